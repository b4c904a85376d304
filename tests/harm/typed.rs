//! Cans and leads in words and signs that say more than a value: none of them
//! becomes a value, a rating or a place.

use firstglow::notation::note::Level;
use firstglow::notation::plus::Plus;
use firstglow::sheet::Sheet;
use firstglow::sheet::part::{Part, WindingKind};

fn shown(part: &Part) -> String {
    let value = part.capacitance.map_or_else(|| "?".to_owned(), |c| c.to_string());
    let rating = part.rating.map_or_else(|| "?".to_owned(), |v| v.to_string());
    format!("{value} at {rating}")
}

fn read(line: &str) -> Vec<String> {
    Sheet::read(line).parts.iter().map(shown).collect()
}

fn errors(sheet: &Sheet) -> usize {
    sheet.notes.iter().filter(|n| n.level == Level::Error).count()
}

#[test]
fn a_count_of_sections_is_no_value() {
    for (line, sections) in [
        ("C3 dual 16 mfd 475 V electrolytic", &["16 µF at 475 V", "16 µF at 475 V"][..]),
        ("C3 dual 10-10 mfd 350 V", &["10 µF at 350 V", "10 µF at 350 V"]),
        ("C3 3 section 15-15-15 mfd 350 V", &["15 µF at 350 V"; 3]),
        (
            "C3 three section can 8-8-4 mfd 450 V",
            &["8 µF at 450 V", "8 µF at 450 V", "4 µF at 450 V"],
        ),
        ("C3 2-section 30 mfd 150 V", &["30 µF at 150 V"; 2]),
        ("C3 triple .1 mfd 200 V paper", &["0.1 µF at 200 V"; 3]),
        ("C3 dual electrolytic 450 V 8 mfd", &["8 µF at 450 V"; 2]),
        ("C3 16 and 8 mfd 450 V", &["16 µF at 450 V", "8 µF at 450 V"]),
        (
            "C3 4 section can, 20-20-10-10 mfd 400-400-300-25 V",
            &["20 µF at 400 V", "20 µF at 400 V", "10 µF at 300 V", "10 µF at 25 V"],
        ),
    ] {
        assert_eq!(read(line), sections, "{line}");
        assert_eq!(errors(&Sheet::read(line)), 0, "{line}");
    }
}

#[test]
fn what_stands_behind_an_at_sign_is_the_rating() {
    for (line, sections) in [
        ("C3 30@350 30@350 20@25", &["30 µF at 350 V", "30 µF at 350 V", "20 µF at 25 V"][..]),
        ("C3 30 @ 350, 20 @ 25", &["30 µF at 350 V", "20 µF at 25 V"]),
        ("C3 60-40@150", &["60 µF at 150 V", "40 µF at 150 V"]),
        ("C3 60 mfd @ 150 V", &["60 µF at 150 V"]),
    ] {
        assert_eq!(read(line), sections, "{line}");
    }
}

#[test]
fn leads_told_by_sign_or_color_are_places_and_the_sign_is_none() {
    for (line, plus) in [
        ("C3 8 mfd 450 V positive to B2, negative to chassis", Plus::First),
        ("C3 8 mfd 450 V + to B2, - to chassis", Plus::First),
        ("C3 8 mfd 450 V + lead to B2 and - lead to chassis", Plus::First),
        ("C3 8 mfd 450 V red to B2, black to chassis", Plus::Unsaid),
    ] {
        let sheet = Sheet::read(line);
        let leads = sheet.parts[0].leads.as_ref().unwrap();
        assert_eq!((leads.from.to_string(), leads.to.to_string()), ("B2".into(), "chassis".into()));
        assert_eq!(sheet.parts[0].plus, plus, "{line}");
        assert_eq!(errors(&sheet), 0, "{line}");
    }
    let turned = Sheet::read("C3 8 mfd 450 V minus to chassis, plus to B2");
    assert_eq!(turned.parts[0].plus, Plus::Second);
    // A name that begins with the sign is positive, on whichever side.
    for (line, plus) in [
        ("C3 8 mfd 450 V chassis to +B2", Plus::Second),
        ("C3 8 mfd 450 V +250 to chassis", Plus::First),
        ("C3 8 mfd 450 V +250 to +150", Plus::Order),
    ] {
        assert_eq!(Sheet::read(line).parts[0].plus, plus, "{line}");
    }
}

#[test]
fn the_end_of_a_phrase_is_no_place() {
    for line in
        ["C3 .1 mfd 400 V junction of R7 and R8 to chassis", "C3 .1 mfd 400 V R7 & R8 to chassis"]
    {
        let sheet = Sheet::read(line);
        assert!(sheet.parts[0].leads.is_none(), "{line}");
        assert!(errors(&sheet) > 0, "{line}");
    }
    assert!(Sheet::read("C3 8 mfd 450 V from B2 to chassis").parts[0].leads.is_some());
}

#[test]
fn a_low_secondary_beside_the_high_one_heats_tubes() {
    let kinds = |line: &str| -> Vec<WindingKind> {
        Sheet::read(line).parts[0].windings.iter().map(|w| w.kind).collect()
    };
    assert_eq!(
        kinds("T1 power primary 1 to 2 secondary 3 to 5 tap 4 600 V secondary 6 to 7 5 V"),
        [WindingKind::Primary, WindingKind::Secondary, WindingKind::Heater]
    );
    assert_eq!(
        kinds("T1 power primary 1 to 2 secondary 6 to 7 12.6 V"),
        [WindingKind::Primary, WindingKind::Secondary]
    );
}
