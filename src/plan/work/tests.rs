//! Tests of it.

use super::*;
use crate::plan::plan;

fn of(text: &str) -> Work {
    let sheet = Sheet::read(text);
    work(&sheet, &plan(&sheet))
}

fn keys(work: &Work) -> Vec<String> {
    work.stops.iter().map(|s| s.keys.join(" ")).collect()
}

#[test]
fn a_cover_is_opened_once_for_all_that_lies_behind_it() {
    let work = of("C1 .05 mfd 400 V paper\nC2 .05 mfd 400 V paper\nC3 .05 mfd 400 V paper\n\
         area bottom: off: four screws\narea left: C1 after bottom\narea back: C2\n\
         area right: C3 after bottom");
    assert_eq!(keys(&work), ["C1", "C3", "C2"]);
    assert_eq!(work.openings, 4, "back, bottom, left, right");
    assert!(work.reasons.iter().any(|r| r == "bottom is opened once, for left, right."));
    assert_eq!(work.stops[0].opens[0].what, "four screws");
    assert_eq!(work.stops[0].closes, ["left"]);
    assert_eq!(work.stops[1].closes, ["right", "bottom"]);
}

#[test]
fn what_can_hurt_comes_first_even_where_a_cover_comes_off_twice() {
    let work = of("mains 117 V 60 Hz\nC1 .05 mfd 400 V paper line to neutral\n\
         C2 .05 mfd 400 V paper\nC3 .01 mfd 400 V paper line to chassis\n\
         area bottom:\narea a: C1 after bottom\narea b: C2 after bottom\narea c: C3");
    let order = keys(&work);
    assert_eq!(order.last().map(String::as_str), Some("C2"), "{order:?}");
    assert!(work.reasons.iter().any(|r| r.starts_with("First where parts can hurt")));
}

#[test]
fn marks_come_before_what_is_taken_off_and_what_is_set_again_comes_last() {
    let work = of("C1 .05 mfd 400 V paper\narea case: off: screws mark: pointer\n\
         area dial: C1 after case off: dial readjust: dial pointer");
    let steps: Vec<String> =
        work.stops[0].opens.iter().map(|s| format!("{} {}", s.kind.words(), s.what)).collect();
    assert_eq!(steps, ["Mark first pointer", "Take off screws", "Take off dial"]);
    assert_eq!(work.readjust.len(), 1);
    assert_eq!(work.readjust[0].id, "area/dial/readjust/dial pointer");
}

#[test]
fn sections_of_a_can_follow_each_other_and_so_does_what_bridges_a_part() {
    let work = of("C1A 8 mfd 450 V electrolytic a to chassis\nR9 1K x to y\n\
         C2 .05 mfd 400 V paper\nC1B 8 mfd 450 V electrolytic b to chassis\n\
         R1 1K chassis to a\narea top: C1 C2 R1 R9");
    let order = keys(&work).join(" ");
    assert!(order.contains("C1A C1B R1"), "{order}");
}

#[test]
fn a_sheet_of_ten_thousand_parts_and_as_many_areas_is_ordered() {
    use std::fmt::Write;
    let mut text = String::new();
    for n in 1..=10_000 {
        let _ = writeln!(text, "C{n} .05 mfd 400 V paper a to b in x{n}");
    }
    let sheet = Sheet::read(&text);
    let plan = Plan { parts: plan(&Sheet::read("C1 .05 mfd 400 V")).parts, ..Plan::default() };
    let parts = sheet.parts.iter().map(|p| PlannedPart {
        key: p.key.clone(),
        area: p.area.clone(),
        ..plan.parts[0].clone()
    });
    let plan = Plan { parts: parts.collect(), ..Plan::default() };
    assert_eq!(work(&sheet, &plan).stops.len(), 10_000);
}

#[test]
fn every_part_of_an_example_that_asks_for_work_is_visited_once() {
    for example in &crate::sheet::examples::EXAMPLES {
        let sheet = Sheet::read(example.text);
        let plan = plan(&sheet);
        let work = work(&sheet, &plan);
        let mut seen: Vec<&String> = work.stops.iter().flat_map(|s| &s.keys).collect();
        seen.sort();
        let mut wanted: Vec<&String> =
            plan.parts.iter().filter(|p| p.decision != Decision::Keep).map(|p| &p.key).collect();
        wanted.sort();
        assert_eq!(seen, wanted, "{}", example.id);
        assert!(!work.readjust.is_empty() && !work.reasons.is_empty(), "{}", example.id);
    }
}
