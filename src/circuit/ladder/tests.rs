//! Tests of it.

use super::*;
use crate::circuit::report::report;
use crate::sheet::examples::EXAMPLES;

fn told(example: usize) -> (Vec<String>, Ladder) {
    let sheet = Sheet::read(EXAMPLES[example].text);
    let wiring = Wiring::of(&sheet);
    let ladder = ladders(&sheet, &wiring, &report(&sheet).supplies).remove(0);
    let key = |part: usize| sheet.parts[part].key.clone();
    let rungs = ladder.rungs.iter().map(|rung| {
        let by = rung.from.map(|(from, part)| {
            format!("{}-{}-", wiring.nodes[ladder.rungs[from].node].name, key(part))
        });
        let shunts: Vec<String> = rung.shunts.iter().map(|(part, _)| key(*part)).collect();
        let name = &wiring.nodes[rung.node].name;
        format!("{}{name}: {}", by.unwrap_or_default(), shunts.join(" "))
    });
    let keys = |parts: &[usize]| parts.iter().map(|p| key(*p)).collect::<Vec<_>>().join(" ");
    let mut all = vec![format!(
        "line {} neutral {} ahead {} rectifier {} negative {}",
        keys(&ladder.line),
        keys(&ladder.neutral),
        keys(&ladder.ahead),
        keys(&ladder.rectifiers),
        keys(&ladder.negative)
    )];
    all.extend(rungs);
    (all, ladder)
}

#[test]
fn a_set_on_the_line_goes_through_lamp_switch_and_rectifier_to_its_two_points() {
    let (told, ladder) = told(0);
    assert_eq!(ladder.source, Source::Line);
    assert_eq!(
        told,
        ["line PL1 neutral S1 ahead  rectifier V5 negative ", "B0: C20A", "B0-R11-B2: C20B C19"]
    );
}

#[test]
fn a_console_goes_through_its_field_and_has_a_resistor_in_the_negative_leg() {
    let (told, ladder) = told(1);
    assert!(matches!(ladder.source, Source::Winding { winding: 1, .. }));
    assert_eq!(
        told,
        [
            "line S1 neutral  ahead  rectifier V8 negative R25",
            "B0: C28",
            "B0-L1-B1: C29A C27",
            "B1-R17-B2: C29B"
        ]
    );
}

#[test]
fn an_instrument_branches_to_its_regulator_and_to_its_test_voltage() {
    let (told, _) = told(2);
    assert_eq!(
        told,
        [
            "line S1 neutral  ahead R1 rectifier SR1 negative ",
            "B0: C4A",
            "B0-L1-B1: C4B C5 C15",
            "B1-R2-B150: C6 V7",
            "B1-R32-test: C38"
        ]
    );
}

#[test]
fn the_string_is_told_in_the_order_of_its_wires() {
    let sheet = Sheet::read(EXAMPLES[0].text);
    let wiring = Wiring::of(&sheet);
    let (parts, end) = heater_string(&sheet, &wiring).unwrap();
    let keys: Vec<&str> = parts.iter().map(|part| sheet.parts[*part].key.as_str()).collect();
    assert_eq!(wiring.nodes[end].name, "B-");
    assert_eq!(keys, ["V5", "V4", "V2", "V1", "V3"]);
}

#[test]
fn an_empty_sheet_has_no_ladder() {
    let sheet = Sheet::default();
    let wiring = Wiring::of(&sheet);
    assert!(ladders(&sheet, &wiring, &[]).is_empty());
    assert!(heater_string(&sheet, &wiring).is_none());
}
