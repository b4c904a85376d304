//! Pins, electrodes and terminals as people write them, and what is none.

use super::{errors, leads, part, places};
use firstglow::circuit::wiring::Wiring;
use firstglow::notation::note::Note;
use firstglow::sheet::{Sheet, edit};

/// Tubes of one plate and of two, a transformer with numbered terminals.
const HEAD: &str = "supply transformer\nV2 6K6GT 3=out 4=B2 5=g 8=chassis\nV4 12AX7\nV6 6X5GT\n\
    V7 75\nT3 output primary 1 to 2 secondary 3 to 4\n";

/// The line that a test adds.
const LINE: usize = 7;

fn read(line: &str) -> Sheet {
    Sheet::read(&format!("{HEAD}{line}"))
}

fn of(line: &str) -> Option<(String, String)> {
    let sheet = read(line);
    leads(sheet.parts.last().unwrap())
}

#[test]
fn a_pin_is_the_same_place_in_every_way_of_writing_it() {
    let ways = [
        "V2.5",
        "V2-5",
        "V2/5",
        "V2#5",
        "V2:5",
        "V2p5",
        "v2 pin 5",
        "V2 p5",
        "pin 5 of V2",
        "pin 5 on V2",
        "V2 pin no. 5",
        "V2pin5",
        "pin p5 of V2",
    ];
    for way in ways {
        for (line, other) in [
            (format!("R1 1 meg {way} to chassis"), "chassis"),
            (format!("C1 .05 mfd 400 V {way} to det"), "det"),
            (format!("R2 220K {way} - chassis"), "chassis"),
        ] {
            let found = of(&line).unwrap();
            assert_eq!((found.0.as_str(), found.1.as_str()), ("V2.5", other), "{line}");
            assert!(errors(&read(&line), LINE).is_empty(), "{line}");
        }
        let line = format!("R3 10K B1 to {way} 1 W");
        assert_eq!(of(&line).unwrap().1, "V2.5", "{line}");
        assert!(part(&read(&line), "R3").power.is_some(), "{line}");
    }
}

#[test]
fn an_electrode_is_its_pin_in_every_way_of_writing_it() {
    for (ways, pin) in [
        (
            &["V2 plate", "plate of V2", "V2.plate", "V2-plate", "V2 anode", "V2 p", "plate V2"][..],
            3,
        ),
        (&["V2 grid", "grid of V2", "V2 control grid", "V2 g1", "V2/g1", "control grid of V2"], 5),
        (&["V2 screen", "screen of V2", "V2 g2", "V2-g2", "V2 screen grid", "V2 sg"], 4),
        (&["V2 cathode", "V2 k", "cathode of V2", "V2.k", "V2-k"], 8),
    ] {
        for way in ways {
            let line = format!("C9 .02 mfd 600 V {way} to tone");
            let sheet = read(&line);
            assert!(errors(&sheet, LINE).is_empty(), "{line}: {:?}", errors(&sheet, LINE));
            let wiring = Wiring::of(&sheet);
            let here = wiring.leads(part(&sheet, "C9")).unwrap().0;
            let tube = sheet.parts.iter().position(|p| p.key == "V2").unwrap();
            assert_eq!(wiring.socket(tube).unwrap().node(pin), Some(here), "{line}");
        }
    }
    for way in ["cap of V7", "V7 top cap", "V7 cap", "grid cap of V7", "V7.cap"] {
        let sheet = read(&format!("R1 1 meg {way} to avc"));
        let wiring = Wiring::of(&sheet);
        let here = wiring.leads(part(&sheet, "R1")).unwrap().0;
        let tube = sheet.parts.iter().position(|p| p.key == "V7").unwrap();
        assert_eq!(wiring.socket(tube).unwrap().cap(), Some(here), "{way}");
    }
}

#[test]
fn a_numbered_terminal_is_the_same_place_in_every_way_of_writing_it() {
    for way in ["T3.2", "T3-2", "T3 term 2", "lug 2 of T3", "T3/2", "T3 terminal 2", "T3 lug 2"] {
        let line = format!("R5 100 ohm {way} to B1");
        assert_eq!(of(&line).unwrap().0, "T3.2", "{line}");
    }
    assert_eq!(of("C4 .1 mfd S1-3 to J2-1").unwrap(), ("S1.3".into(), "J2.1".into()));
}

#[test]
fn a_name_that_ends_or_begins_with_a_sign_stays_a_name() {
    for name in ["B-", "C-", "HT-", "A-", "-C", "B+", "HT+", "bias-", "gnd-lug", "R3-C7"] {
        let line = format!("C6 1 mfd 50 V {name} to out");
        assert_eq!(of(&line).unwrap().0, name, "{line}");
    }
}

#[test]
fn ground_has_its_short_names_and_common_is_asked_where_it_can_be_two_things() {
    let to_chassis = |line: &str| {
        let sheet = read(&format!("{line}\nwire chassis to tie"));
        let wiring = Wiring::of(&sheet);
        let leads = wiring.leads(part(&sheet, "R1"));
        leads.is_some_and(|l| Some(l.1) == wiring.named("chassis"))
    };
    for name in ["gnd", "gnd.", "chas.", "grd", "GND", "chassis", "common"] {
        assert!(to_chassis(&format!("R1 1K V2.5 to {name}")), "{name}");
    }
    for way in ["V2.5, gnd", "V2.5 gnd", "V2.5 - gnd", "between V2.5 and gnd", "between V2.5 & gnd"]
    {
        assert!(to_chassis(&format!("R1 470 ohm 1 W {way}")), "{way}");
    }
    let head = "supply series-string\nV2 50L6GT\n";
    for line in ["R1 150 ohm V2.8 to common", "C1 .1 mfd common to B2", "wire V2.8 to common"] {
        let sheet = Sheet::read(&format!("{head}{line}"));
        assert!(places(&sheet).is_empty(), "{line}: {:?}", places(&sheet));
        let [asked] = errors(&sheet, 3)[..] else { panic!("{line}: {:?}", sheet.notes) };
        let labels: Vec<&str> = asked.choices.iter().map(|c| c.label.as_str()).collect();
        assert_eq!(labels, ["it is chassis", "it is B-"]);
        let settled = edit::apply(&format!("{head}{line}"), &asked.choices[1].edit);
        assert!(places(&Sheet::read(&settled)).contains(&"B-".to_owned()), "{settled}");
    }
}

/// A phrase of no place: no place of it stands on the sheet, the value stays, and
/// one error on its line says why.
fn nothing_of(line: &str, value: bool) -> Note {
    let before = places(&Sheet::read(HEAD));
    let sheet = read(line);
    assert_eq!(places(&sheet), before, "{line}");
    let read = sheet.parts.last().unwrap();
    assert_eq!(read.resistance.is_some() || read.capacitance.is_some(), value, "{line}");
    assert!(read.leads.is_none() && read.role.is_none(), "{line}");
    let errors = errors(&sheet, LINE);
    assert!(!errors.is_empty(), "{line}");
    errors[0].clone()
}

#[test]
fn a_bare_electrode_or_pin_is_no_point() {
    for line in [
        "R1 47K plate to B2",
        "R1 47K B2 to plate",
        "C1 .05 mfd 400 V grid to chassis",
        "C1 25 mfd 25 V B2 to heater",
        "R1 1 meg pin 6 to B2",
        "R1 1 meg B2 to pin 6",
        "R1 1 meg 6 to B2",
        "R1 1 meg B2 to 6",
        "R1 1 meg V2 to B2",
        "R1 1 meg T3 to B2",
        "R1 1 meg V2- to B2",
        "R1 1 meg V2. to B2",
        "R1 1 meg V.6 to B2",
        "R1 1 meg .6 to B2",
        "R1 1 meg V2 6 to B2",
        "R1 1 meg B2 to V2 6",
        "R1 1 meg V2 spike to B2",
        "R1 1 meg spike of V2 to B2",
        "R1 1 meg V2.8 spike to B2",
        "R1 1 meg det spike to B2",
        "R1 1 meg B2 to det spike",
        "R1 1 meg pin of V2 to B2",
        "R1 1 meg V2.8 to",
        "R1 1 meg to V2.8",
        "R1 1 meg V2.8 to to B2",
        "R1 1 meg between V2.8 and",
        "R1 1 meg between plate and gnd",
        "R1 1 meg V2-A to B2",
        "R1 1 meg V2.10 to B2",
        "R1 1 meg V2.99 to B2",
        "R1 1 meg V2 cap to B2",
        "R1 1 meg V2.quux to B2",
        "R1 1 meg V4.plate to B2",
        "R1 1 meg cathode of V4 to B2",
        "R1 1 meg V6 plate to out",
    ] {
        nothing_of(line, true);
    }
    // The number of the pin is not the value either.
    for line in ["R1 B2 to V2 6", "R1 V2 6 to B2", "C1 B2 to pin 8", "R1 B2 to 6"] {
        nothing_of(line, false);
    }
}

#[test]
fn what_is_asked_is_settled_by_one_tap() {
    for (line, count) in [
        ("R1 47K plate to B2", 4),
        ("R1 1 meg pin 6 to B2", 4),
        ("R1 1 meg V2 6 to B2", 1),
        ("R1 1 meg plate of V4 to B2", 2),
        ("C1 .01 mfd V6 plate to chassis", 2),
        ("C1 .01 mfd V6.plate to heater", 4),
    ] {
        let text = format!("{HEAD}{line}");
        let note = nothing_of(line, true);
        assert_eq!(note.choices.len(), count, "{line}: {note:?}");
        let settled = Sheet::read(&edit::apply(&text, &note.choices[0].edit));
        let still = errors(&settled, LINE);
        let healed = still.is_empty() && settled.parts.last().unwrap().leads.is_some();
        assert!(healed || still.iter().all(|n| n.message != note.message), "{line}: {still:?}");
    }
}

#[test]
fn a_tie_or_wire_that_fails_ties_nothing() {
    let before = places(&Sheet::read(HEAD));
    for line in [
        "wire V2.8 to plate",
        "wire V2.8 to chassis to V2 spike",
        "wire V2.8 to chassis and 6",
        "wire V2.8 spike to chassis",
        "wire chassis to V4 plate to B-",
        "wire V2.8 to V2.44 to chassis",
        "V9 6SK7 8=.. 6=plate 4=6 3=V2 quux=B1 9=B1",
        "J1 phono 1=plate 2=.. 3=",
        "J1 speaker 1= 2=V2 3=6",
        "T8 driver primary plate to B1",
        "T8 driver secondary V2 to V4.3",
        "T8 driver V2.3 to B2",
    ] {
        let sheet = read(line);
        assert_eq!(places(&sheet), before, "{line}");
        assert!(!errors(&sheet, LINE).is_empty(), "{line}");
    }
}

#[test]
fn a_tie_may_be_written_with_spaces() {
    for line in ["V9 6SK7 pin 8 = T3.1 4= B1 6 =scr", "V9 6SK7 8=T3-1 pin 4=B1 6 = scr"] {
        let sheet = read(line);
        let pins: Vec<String> =
            part(&sheet, "V9").pins.iter().map(|t| format!("{}={}", t.pin, t.place)).collect();
        assert_eq!(pins, ["8=T3.1", "4=B1", "6=scr"], "{line}");
        assert!(errors(&sheet, LINE).is_empty(), "{line}");
    }
    let sheet = read("V9 6SK7 plate = V2 pin 5 8=chassis");
    assert_eq!(part(&sheet, "V9").pins[0].place.to_string(), "V2.5");
}

#[test]
fn words_behind_the_value_that_say_nothing_change_neither_value_nor_places() {
    for line in [
        "C3 .05 mfd 400 V paper greenish V2.5 to B1",
        "C3 .05 mfd 400 V wrapped twice paper V2.5 to B1 sleeve",
        "C3 .05 mfd lengthy 400 V paper V2.5 to B1",
    ] {
        let sheet = read(line);
        let read = part(&sheet, "C3");
        assert_eq!(read.capacitance.unwrap().to_string(), "0.05 µF", "{line}");
        assert_eq!(read.rating.unwrap().to_string(), "400 V", "{line}");
        assert_eq!(leads(read).unwrap(), ("V2.5".into(), "B1".into()), "{line}");
        assert!(!errors(&sheet, LINE).is_empty(), "{line}");
    }
}
