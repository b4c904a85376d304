//! Tests of it.

use super::*;
use crate::bench::set::SetId;
use crate::bench::stamp::Stamp;
use crate::letters::Letters;
use crate::plan::plan;
use crate::sheet::examples::EXAMPLES;

fn with<T>(at: usize, run: impl FnOnce(Paper) -> T) -> T {
    let sheet = Sheet::read(EXAMPLES[at].text);
    let wiring = Wiring::of(&sheet);
    let plan = plan(&sheet);
    let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
    record.part_mut("C7").done_at = Some(Stamp(0));
    let steps = plan.power_up.clone();
    run(Paper {
        sheet: &sheet,
        wiring: &wiring,
        plan: &plan,
        steps: &steps,
        record: &record,
        ahead: 0,
    })
}

#[test]
fn every_row_has_a_cell_for_each_of_its_columns() {
    for at in 0..EXAMPLES.len() {
        with(at, |paper| {
            for table in Kind::ALL.into_iter().filter_map(|kind| paper.table(kind)) {
                assert!(!table.rows.is_empty(), "{:?}", table.kind);
                for row in table.rows.iter().filter(|row| !row.cells.is_empty()) {
                    assert_eq!(row.cells.len() + 1, table.columns.len(), "{row:?}");
                    assert!(!row.head.is_empty(), "{row:?}");
                }
            }
        });
    }
}

#[test]
fn leads_are_told_in_words_with_pin_electrode_and_type() {
    with(0, |paper| {
        let table = paper.table(Kind::Leads).unwrap();
        let all: Vec<&str> = table
            .rows
            .iter()
            .flat_map(|row| &row.cells)
            .filter_map(|cell| match cell {
                Cell::Text(words) => Some(words.as_str()),
                _ => None,
            })
            .collect();
        assert!(all.contains(&"V3 pin 6, triode plate of 12SQ7; the point pl3"), "{all:?}");
        assert!(all.contains(&"+ V5 pin 8, cathode of 35Z5GT; T5 lug 2; the point B0"), "{all:?}");
        assert!(all.contains(&"the point B-, which ties 8 pins and lugs"), "{all:?}");
    });
}

#[test]
fn every_pin_of_every_tube_has_its_boxes() {
    with(1, |paper| {
        let table = paper.table(Kind::Wiring).unwrap();
        let pins: usize = paper.plan.circuit.tubes.iter().map(|t| t.pins.len()).sum();
        let boxes = table.rows.iter().flat_map(|row| &row.cells);
        let boxes = boxes.filter(|cell| matches!(cell, Cell::Fill(_))).count();
        assert!(boxes >= 2 * pins, "{boxes} boxes for {pins} pins");
    });
}

#[test]
fn the_label_warns_of_the_line_and_of_charge_and_certifies_nothing() {
    let label = with(0, |paper| paper.label("Nov 25, 2026"));
    let words: Vec<String> = label.iter().map(|(k, v)| format!("{k} {v}")).collect();
    let all = words.join("\n");
    assert!(all.contains("on the line") && all.contains("Stays charged"), "{all}");
    assert!(all.contains("Not certified") && !all.lower().contains("safe"), "{all}");
    let label = with(1, |paper| paper.label("Nov 25, 2026"));
    assert!(label.iter().all(|(_, words)| !words.contains("on the line")), "{label:?}");
}
