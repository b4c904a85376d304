//! Tests of it.

use super::*;
use crate::circuit::wiring::Wiring;
use crate::plan::support::{part, volt};
use crate::sheet::Header;

fn supply(header: Header, parts: Vec<Part>) -> Supply {
    let sheet = Sheet { header, parts, ..Sheet::default() };
    Supply::of(&sheet, &Points::of(&sheet, &Wiring::of(&sheet), &[]), &[])
}

fn transformer(secondary: &str, tapped: bool) -> Header {
    Header {
        supply: Some(SupplyKind::Transformer),
        secondary: Some(volt(secondary)),
        centre_tapped: tapped,
        mains: Some(volt("117")),
        ..Header::default()
    }
}

#[test]
fn a_tapped_winding_gives_half_to_each_plate() {
    let found = supply(transformer("700", true), vec![]);
    assert!((found.no_load_v.unwrap() - 528.8).abs() < 0.1);
    assert_eq!(found.line_connected, Some(false));
}

#[test]
fn a_tapped_winding_may_stand_on_the_transformer_itself() {
    for line in ["T1 power transformer 350-0-350", "T1 power 700 V CT"] {
        let sheet = Sheet::read(&format!("mains 117 V\nsupply transformer\n{line}"));
        let found = Supply::of(&sheet, &Points::of(&sheet, &Wiring::of(&sheet), &[]), &[]);
        assert!((found.no_load_v.unwrap() - 528.8).abs() < 0.1, "{line}");
    }
}

#[test]
fn of_the_volts_of_a_transformer_the_tapped_winding_counts_and_the_others_are_told() {
    let sheet = Sheet::read("mains 117 V\nsupply transformer\nT1 pwr 650VCT 150MA 5V 3A 6.3V 4A");
    let low: Vec<_> = sheet.notes.iter().filter_map(|n| n.read.as_deref()).collect();
    assert_eq!(low, ["5 V", "6.3 V"]);
    let found = Supply::of(&sheet, &Points::of(&sheet, &Wiring::of(&sheet), &[]), &[]);
    let peak = found.no_load_v.unwrap();
    // 325 V a side at 125 V for 117 V, times the root of 2: own arithmetic.
    assert!((peak - 491.0).abs() < 0.1, "{peak}");
}

#[test]
fn an_untapped_winding_is_taken_whole_and_said_so() {
    let found = supply(transformer("250", false), vec![]);
    assert!((found.no_load_v.unwrap() - 377.7).abs() < 0.1);
    assert!(found.finding.assumed.iter().any(|a| a.contains("not said to be tapped")));
}

#[test]
fn high_line_follows_the_nameplate() {
    for (mains, high) in [("105", 125.0), ("117", 125.0), ("230", 253.0), ("100", 110.0)] {
        let found = supply(Header { mains: Some(volt(mains)), ..Header::default() }, vec![]);
        assert!((found.high_v - high).abs() < 1e-9, "{mains}");
    }
}

#[test]
fn a_line_rectifier_makes_a_series_string_when_nothing_is_said() {
    let mut tube = part("V5", PartKind::Tube);
    tube.tube = Some("35Z5GT".into());
    let found = supply(Header::default(), vec![tube]);
    assert_eq!(found.kind.unwrap().basis, Basis::Inferred);
    assert_eq!(found.line_connected, Some(true));
    assert_eq!(found.finding.rectifier.as_deref(), Some("V5 35Z5GT"));
}

#[test]
fn nothing_said_is_nothing_known() {
    let found = supply(Header::default(), vec![]);
    assert_eq!((found.no_load_v, found.line_connected), (None, None));
}
