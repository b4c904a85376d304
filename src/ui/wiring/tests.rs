//! The chart and the finding on the example sets.

use super::finding::Finding;
use super::model::{Chart, Standing, ids};
use crate::bench::set::SetId;
use crate::bench::set::{OhmsRecord, SetRecord};
use crate::bench::stamp::Stamp;
use crate::circuit::wiring::Wiring;
use crate::sheet::Sheet;
use crate::sheet::examples::EXAMPLES;
use crate::ui::draw::support::assert_readable;
use std::sync::Arc;

fn chart(text: &str) -> Option<Chart> {
    let sheet = Arc::new(Sheet::read(text));
    Chart::of(&sheet, &Arc::new(Wiring::of(&sheet)))
}

fn with(readings: &[(&str, &str)]) -> SetRecord {
    let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
    for (id, typed) in readings {
        record.ohms_mut(id).reading = (*typed).to_owned();
    }
    record
}

#[test]
fn every_pin_that_is_wired_has_a_reading_with_its_band() {
    for example in &EXAMPLES {
        let chart = chart(example.text).unwrap();
        let ids = ids(&chart);
        let mut sorted = ids.clone();
        sorted.sort();
        sorted.dedup();
        assert_eq!(sorted.len(), ids.len(), "{}: an id stands for two readings", example.id);
        for station in chart.stations() {
            for row in &station.rows {
                assert!(!row.expect.is_empty() && !row.band.is_empty(), "{}", row.id);
                if let Some(drawing) = chart.base(station, row) {
                    assert_readable(&drawing, &format!("{} {}", example.id, row.id));
                }
                assert!(!chart.working(row).inputs.is_empty());
            }
        }
    }
}

#[test]
fn the_walk_goes_round_each_base_pin_by_pin() {
    let chart = chart(EXAMPLES[0].text).unwrap();
    let first: Vec<_> = chart.stations()[0].rows.iter().map(|r| r.id.as_str()).collect();
    assert_eq!(
        first,
        [
            "V1.1",
            "V1.2",
            "V1.3",
            "V1.3 to B0",
            "V1.4",
            "V1.4 to B0",
            "V1.5",
            "V1.6",
            "V1.7",
            "V1.8"
        ]
    );
    assert_eq!(chart.stations()[0].title, "V1, 12SA7, octal base");
    assert_eq!(chart.row("V4.5").unwrap().1.band, "365 to 581 kΩ");
}

#[test]
fn a_short_across_a_coupling_capacitor_is_found_and_told() {
    let chart = chart(EXAMPLES[0].text).unwrap();
    // C16 shorted: the plate of V3 reads nothing to B-.
    let found = chart.finding(&with(&[("V3.6", "0"), ("V3.6 to B0", "470K")]));
    assert_eq!(found.out[0], "V3 pin 6 reads 0 Ω to B-; above 577 kΩ expected");
    let first = &found.suspects[0];
    assert!(found.suspects.iter().any(|s| s.says.starts_with("C16 shorted")), "{first:?}");
    assert!(first.unexplained.is_empty(), "{first:?}");
    let first_only = chart.finding(&with(&[("V3.6", "0")]));
    assert!(first_only.next.is_some(), "{first_only:?}");
}

#[test]
fn old_notation_is_judged_and_kept_as_it_was_typed() {
    let chart = chart(EXAMPLES[0].text).unwrap();
    let row = chart.row("V4.5").unwrap().1;
    let stands =
        |typed: &str| chart.standing(row, &OhmsRecord { reading: typed.into(), good_at: None });
    assert_eq!(stands("470K"), Standing::Well);
    assert_eq!(stands(".47 meg"), Standing::Well);
    assert_eq!(stands("220,000"), Standing::Below);
    assert_eq!(stands("OL"), Standing::Above);
    assert!(matches!(stands("lots"), Standing::Unread(_)));
    let ticked = OhmsRecord { reading: String::new(), good_at: Some(Stamp(1)) };
    assert_eq!(chart.standing(row, &ticked), Standing::Well);
}

#[test]
fn readings_that_no_single_fault_explains_are_said_to_be_so() {
    let chart = chart(EXAMPLES[0].text).unwrap();
    let found = chart.finding(&with(&[("V4.5", "OL"), ("V1.5", "OL"), ("V2.3", "OL")]));
    assert!(found.remark.unwrap().contains("There may be two"), "{:?}", found.remark);
}

#[test]
fn a_set_that_reads_well_has_no_suspect() {
    let chart = chart(EXAMPLES[0].text).unwrap();
    assert_eq!(chart.finding(&with(&[("V4.5", "470K")])), Finding::default());
}

#[test]
fn a_sheet_without_a_reference_has_no_chart() {
    assert!(chart("C1 .05 mfd 400 V paper").is_none());
}
