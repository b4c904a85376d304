//! Sections with their own ratings, and numbers that are not read.

use firstglow::sheet::part::Part;
use firstglow::sheet::{Sheet, edit};

fn shown(part: &Part) -> String {
    let value = part.capacitance.map_or_else(|| "?".to_owned(), |c| c.to_string());
    let rating = part.rating.map_or_else(|| "?".to_owned(), |v| v.to_string());
    format!("{value} at {rating}")
}

fn read(line: &str) -> Vec<String> {
    Sheet::read(line).parts.iter().map(shown).collect()
}

#[test]
fn each_section_has_the_rating_that_stands_with_it() {
    for (line, sections) in [
        ("C2 100-60/160 10/25 elect", &["100 µF at 160 V", "60 µF at 160 V", "10 µF at 25 V"][..]),
        ("C2 80-40/450 50/50", &["80 µF at 450 V", "40 µF at 450 V", "50 µF at 50 V"]),
        ("C2 30-30/350 25/25 lytic", &["30 µF at 350 V", "30 µF at 350 V", "25 µF at 25 V"]),
        ("C2 200-200/200", &["200 µF at 200 V", "200 µF at 200 V"]),
        ("C2 50-50/50", &["50 µF at 50 V", "50 µF at 50 V"]),
        ("C2 500-500/25", &["500 µF at 25 V", "500 µF at 25 V"]),
        ("C2 100/100", &["100 µF at 100 V"]),
        ("C2 50/25", &["50 µF at 25 V"]),
        ("C2 16/32 350 V", &["16 µF at 350 V", "32 µF at 350 V"]),
        ("C2 50/50 450 V", &["50 µF at 450 V", "50 µF at 450 V"]),
        ("C2 20-20/400 10/50 V", &["20 µF at 400 V", "20 µF at 400 V", "10 µF at 50 V"]),
        ("C2 20 uF/400V", &["20 µF at 400 V"]),
        ("C2 8 mfd@475V", &["8 µF at 475 V"]),
        ("C2 .25 x 2 600V", &["0.25 µF at 600 V", "0.25 µF at 600 V"]),
        ("C2 0.5 x 3 200 V", &["0.5 µF at 200 V", "0.5 µF at 200 V", "0.5 µF at 200 V"]),
    ] {
        assert_eq!(read(line), sections, "{line}");
    }
}

#[test]
fn a_reading_that_could_be_sections_offers_them() {
    for (line, sections) in [("C2 50/50", 2), ("C2 25/25", 2), ("C2 60-60/50", 3)] {
        let sheet = Sheet::read(line);
        let note = sheet.notes.iter().find(|n| n.message.contains("value and rating")).unwrap();
        let other = edit::apply(line, &note.choices.last().unwrap().edit);
        assert_eq!(Sheet::read(&other).parts.len(), sections, "{other}");
    }
}

#[test]
fn a_number_that_is_not_read_leaves_every_rating_of_the_can_open() {
    for line in [
        "C2 100-60/160 10 at 25",
        "C2 100-60/160 10zz 25 V",
        "C2 100-60 mfd 160W 25V",
        "C2 100-60-10 mfd 160/25",
        "C2 100-60-10 mfd 160-25 V",
        "C2 80-40-20/450 25",
        "C2 20 mfd 25 V 450 V",
        "C2 20 mfd 450q 25 V",
        "C2 20-20 450 25 V 10",
        "C2 40-40 mfd 150 V 20 mfd 16 mfd 25 V",
    ] {
        let sheet = Sheet::read(line);
        assert!(sheet.parts.iter().all(|p| p.rating.is_none()), "{line}: {:?}", read(line));
        assert!(
            sheet.notes.iter().any(|n| n.message.contains("left open")
                || n.message.contains("ratings for")
                || n.message.contains("second value")),
            "{line}: {:?}",
            sheet.notes
        );
    }
}

#[test]
fn a_value_that_is_not_read_takes_no_other_number() {
    for line in [
        "C2 30x30 350V",
        "C2 30x30 350",
        "C2 10x10 mfd 450",
        "C2 100-60/47",
        "C2 60-60/160/25",
        "C2 12zz 450",
        "C2 4..7.1 600",
        "C2 500 V 450",
        "C2 paper 600",
        "C2 350 electrolytic",
        "C2 475",
        "R2 33Q 1/2",
        "R2 1.2.3 10",
    ] {
        let sheet = Sheet::read(line);
        let part = &sheet.parts[0];
        let read = part.capacitance.is_some() || part.resistance.is_some();
        assert!(!read || sheet.parts.len() > 1, "{line}: {:?}", shown(part));
        assert!(!sheet.notes.is_empty(), "{line}");
    }
}

#[test]
fn values_that_fit_no_number_of_parts_are_none() {
    for line in ["C2, C3, C4 40-20/150", "C2A/B/C 40-20 mfd 150 V", "C7-C9 .1-.05 mfd 400 V"] {
        assert!(read(line).iter().all(|s| s == "? at ?"), "{line}: {:?}", read(line));
    }
}
