//! Names and taps in windings: whether a supply closes rests on them.

use super::{errors, part, places};
use firstglow::circuit::report::report;
use firstglow::circuit::wiring::Wiring;
use firstglow::notation::note::Level;
use firstglow::sheet::{Sheet, print};

/// A full-wave supply around the windings of a transformer.
fn set(windings: &str, plates: [&str; 2], tap: &str) -> String {
    format!(
        "supply transformer\nT2 power primary PL1 to PL2 117 V 6 ohm\n {windings}\n\
         wire PL1 to line\nwire PL2 to neutral\nV8 5Y3GT 4={} 6={} 8=B0 2=fil\n{tap}\n\
         C1 10 mfd 450 V B0 to chassis\nR1 1K 10 W B0 to B1\nC2 10 mfd 450 V B1 to chassis\n\
         R2 10K 10 W B1 to chassis\n",
        plates[0], plates[1]
    )
}

fn volts(text: &str) -> Option<f64> {
    let told = report(&Sheet::read(text));
    told.nodes.iter().find(|n| n.name == "B1").and_then(|n| n.running_v)
}

#[test]
fn a_name_in_a_winding_is_the_place_of_that_name() {
    for (line, terminal, name) in [
        ("secondary HTA to HTB 600 V", "HTA", "HTA"),
        ("heater X1 to gnd 6.3 V", "ground", "chassis"),
        ("primary line to neutral 117 V", "neutral", "neutral"),
        ("secondary 3 to V8.4 300 V", "V8.4", "V8.4"),
        ("secondary 3 to V8 pin 4 300 V", "V8.4", "V8.4"),
        ("secondary a1 to b1 tap mid 600 V", "mid", "mid"),
    ] {
        let text = format!("V8 5Y3GT\nT2 power {line}\nR1 1K {name} to far");
        let sheet = Sheet::read(&text);
        let wiring = Wiring::of(&sheet);
        let lug = wiring.terminal(part(&sheet, "T2"), terminal).unwrap();
        assert_eq!(wiring.leads(part(&sheet, "R1")).unwrap().0, lug, "{line}");
        let again = Sheet::read(&print::line(part(&sheet, "T2")));
        assert_eq!(again.parts[0].windings, part(&sheet, "T2").windings, "{line}");
    }
    // Numbers are terminals of the transformer alone.
    let sheet = Sheet::read("T2 power primary 1 to 2\nT4 output primary 1 to 2");
    let wiring = Wiring::of(&sheet);
    let lug = |key: &str| wiring.terminal(part(&sheet, key), "1").unwrap();
    assert_ne!(lug("T2"), lug("T4"));
}

#[test]
fn a_supply_closes_in_every_way_of_writing_its_tap() {
    let plain = volts(&set(
        "secondary 3 to 5 tap 4 650 V 200 ohm",
        ["T2.3", "T2.5"],
        "wire T2.4 to chassis",
    ));
    assert!(plain.is_some_and(|v| v > 150.0), "{plain:?}");
    for winding in [
        "secondary HT1 to HT2 tap chassis 650 V 200 ohm",
        "secondary HT1 to HT2 650 V CT to gnd 200 ohm",
        "secondary HT1 to HT2 650V CT gnd 200 ohm",
        "secondary HT1 to HT2 650 VCT to chassis 200 ohm",
        "secondary HT1 to HT2 200 ohm 650 V tap gnd",
        "secondary HT1 to HT2 CT to gnd 650 V 200 ohm",
        "secondary HT1 to HT2 center tap gnd 650 V 200 ohm",
        "secondary HT1 to HT2 center-tap to chassis 650 V 200 ohm",
        "secondary HT1 to HT2 325-0-325 V 200 ohm tap gnd",
        "secondary HT1 to HT2 325-0-325 CT to gnd 200 ohm",
        "secondary HT1 - gnd - HT2 650 V 200 ohm",
        "secondary HT1-gnd-HT2 650 V 200 ohm",
    ] {
        let text = set(winding, ["HT1", "HT2"], "# no wire");
        let sheet = Sheet::read(&text);
        let wrong: Vec<_> = sheet.notes.iter().filter(|n| n.level == Level::Error).collect();
        assert!(wrong.is_empty(), "{winding}: {wrong:?}");
        assert_eq!(volts(&text), plain, "{winding}");
    }
}

#[test]
fn a_tap_that_is_not_read_is_none_and_is_told() {
    for winding in [
        "secondary 3 to 5 650 V CT",
        "secondary 3 to 5 650 VCT",
        "secondary 3 to 5 325-0-325 V",
        "secondary 3 to 5 tap 650 V",
        "secondary 3 to 5 center tapped 650 V",
        "secondary 3 to 5 650 V CT to plate",
        "secondary 3 to 5 650 V tap V9",
    ] {
        let text = format!("T2 power primary 1 to 2 117 V\n {winding}");
        let sheet = Sheet::read(&text);
        let secondary = &part(&sheet, "T2").windings[1];
        assert!(secondary.tap.is_none(), "{winding}");
        assert_eq!(secondary.volts.unwrap().to_string(), "650 V", "{winding}");
        assert!(sheet.notes.iter().any(|n| n.level > Level::Reading), "{winding}");
    }
}

#[test]
fn a_winding_without_its_ends_gives_no_amounts_to_another() {
    for line in [
        "T2 power primary 117 V heater 6.3 V",
        "T2 power primary 1 to 117 V 5 ohm",
        "T2 power heater 6.3 V 3 ohm",
        "T2 power primary plate to 2 117 V",
    ] {
        let sheet = Sheet::read(line);
        let read = part(&sheet, "T2");
        assert!(read.windings.is_empty() && read.rating.is_none(), "{line}: {read:?}");
        assert!(read.resistance.is_none() && places(&sheet).is_empty(), "{line}");
        assert!(!errors(&sheet, 1).is_empty(), "{line}");
    }
}
