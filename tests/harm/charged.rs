//! One list of what stays charged, the same wherever it is told.

use crate::chance;
use firstglow::plan::charged::{ChargeBasis, Charged};
use firstglow::plan::plan;
use firstglow::plan::types::Plan;
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use firstglow::ui::charts::stored;
use proptest::prelude::*;
use proptest::sample::select;

fn keys(plan: &Plan) -> Vec<&str> {
    plan.charged.iter().map(|c| c.key.as_str()).collect()
}

/// Hazard, chart, table, power-up step and the sheet of Stop now.
fn assert_one_list(plan: &Plan) {
    let list = keys(plan);
    let hazard = plan.hazards.iter().find(|h| h.id == "stored-energy");
    let of_hazard: Vec<&str> = hazard.iter().flat_map(|h| &h.parts).map(String::as_str).collect();
    assert_eq!(of_hazard, list);
    assert_eq!(plan.circuit.discharge.slow, list);
    let table = stored::list(plan);
    assert_eq!(table.iter().map(|held| held.key.as_str()).collect::<Vec<_>>(), list);
    let step = plan.power_up.iter().find(|s| s.id == "discharge").unwrap();
    let ids: Vec<String> = list.iter().map(|key| format!("left-{key}")).collect();
    assert_eq!(step.readings.iter().map(|r| r.id.clone()).collect::<Vec<_>>(), ids);
    for (charged, (held, reading)) in plan.charged.iter().zip(table.iter().zip(&step.readings)) {
        assert_eq!(held.start, charged.volts_words());
        assert!(reading.what.contains(&charged.volts_words()), "{}", reading.what);
    }
    if let Some(curve) = &plan.circuit.discharge.curve {
        for (key, course) in curve.keys.iter().zip(&curve.volts) {
            let charged = plan.charged.iter().find(|c| c.key == *key).unwrap();
            let drawn = course.iter().copied().fold(0.0, f64::max);
            let told = charged.volts.unwrap();
            assert!((told - drawn).abs() < 1e-3 * told, "{key}: {told} V told, {drawn} V drawn");
        }
    }
    let highest = plan.charged.iter().filter_map(Charged::most_v).fold(0.0, f64::max);
    if let Some(hazard) = hazard.filter(|_| plan.charged.iter().all(|c| c.volts.is_some())) {
        let told = firstglow::plan::text::volts(highest).to_string();
        assert!(hazard.what_can_happen.contains(&told), "{told}: {}", hazard.what_can_happen);
    }
}

#[test]
fn the_example_sets_have_one_list() {
    for example in &EXAMPLES {
        let plan = plan(&Sheet::read(example.text));
        assert!(!plan.charged.is_empty(), "{}", example.id);
        assert_one_list(&plan);
    }
}

#[test]
fn a_bleeder_does_not_take_a_filter_off_the_list() {
    let plan = plan(&Sheet::read(
        "mains 117 V 60 Hz\nsupply transformer\n\
         T1 power primary 1 to 2 117 V, secondary 3 to 5 tap 4 600 V\nwire T1.1 to line\n\
         wire T1.2 to neutral\nwire T1.4 to chassis\nV9 5Y3GT 2=f 8=B1 4=T1.3 6=T1.5\n\
         C1 10 mfd 450 V electrolytic B1 to chassis\nR1 5K 25 W B1 to chassis\n",
    ));
    assert_eq!(keys(&plan), ["C1"]);
    assert!(plan.charged[0].fall_words().contains("if R1 is open it stays charged"));
    // 300 · 125/117 · √2 = 453 V; own arithmetic.
    let opened = plan.charged[0].opened_v.unwrap();
    assert!((opened - 453.3).abs() < 1.0, "{opened}");
    assert!(plan.charged[0].volts_words().ends_with(", 453 V if a resistor is open)"));
    assert_one_list(&plan);
}

#[test]
fn a_sheet_without_connections_lists_its_filters_as_charged() {
    let sheet = "supply transformer 680 VCT\nC1 16 mfd 450 V electrolytic\n\
                 C2 16 mfd 450 V electrolytic\nC3 25 mfd 25 V electrolytic cathode bypass\n";
    let told = plan(&Sheet::read(sheet));
    assert_eq!(keys(&told), ["C1", "C2"]);
    assert!(told.charged.iter().all(|c| c.basis == ChargeBasis::NoLoad && c.fall.is_none()));
    assert!(told.charged[0].fall_words().contains("not known"));
    assert_one_list(&told);
}

#[test]
fn a_section_that_may_be_a_filter_is_listed_by_the_peak_whatever_its_mark() {
    let told = plan(&Sheet::read("supply series-string half-wave\nmains 117 V\nC4 100-100/50\n"));
    assert_eq!(keys(&told), ["C4A", "C4B"]);
    assert!(told.charged.iter().all(|c| c.volts.is_some_and(|v| (v - 176.8).abs() < 0.1)));
    assert_one_list(&told);
}

#[test]
fn where_nothing_is_listed_it_is_never_told_as_discharged() {
    let unknown = plan(&Sheet::read("R1 470K\nC7 .05 400 V paper\n"));
    assert!(keys(&unknown).is_empty());
    assert!(stored::none_listed(&unknown).starts_with("Not known. Treat every filter capacitor"));
    let discharge = unknown.power_up.iter().find(|s| s.id == "discharge").unwrap();
    assert!(discharge.expect.as_ref().unwrap().contains("no proof"));
}

#[test]
fn a_mark_stands_in_where_no_supply_is_told_and_no_mark_is_not_known() {
    let told =
        plan(&Sheet::read("C1 40 mfd 150 V electrolytic\nC2 30 mfd electrolytic 1st filter\n"));
    assert_eq!(told.charged.iter().find(|c| c.key == "C1").unwrap().basis, ChargeBasis::Mark);
    let unmarked = told.charged.iter().find(|c| c.key == "C2").unwrap();
    assert_eq!((unmarked.volts, unmarked.basis), (None, ChargeBasis::Unknown));
    assert_one_list(&told);
}

fn sheet() -> impl Strategy<Value = String> {
    let heads = [
        "mains 117 V 60 Hz\nsupply series-string half-wave\nwire neutral to B-\n\
         V9 35Z5GT 2=line 5=line 7=h1 8=B0\nV8 50L6GT 2=h1 7=B- 3=B0 4=B1 5=gr 8=kk\n",
        "mains 117 V 60 Hz\nsupply transformer\nT1 power primary 1 to 2 117 V, secondary 3 to 5 tap 4 \
         640 V\nwire T1.1 to line\nwire T1.2 to neutral\nwire T1.4 to B-\nV9 5Y3GT 2=f 8=B0 4=T1.3 \
         6=T1.5\n",
        "supply transformer 600 VCT\n",
        "",
    ];
    let places = ["B0", "B1", "B-", "chassis", "gr", "kk", "far"];
    let value = select(
        &[
            "C 20 mfd 450 V electrolytic",
            "C .05 400 V paper",
            "C .5 mfd 600 V paper",
            "R 1K 2 W",
            "R 220K",
        ][..],
    );
    let line = (value, select(places.to_vec()), select(places.to_vec()));
    (select(heads.to_vec()), prop::collection::vec(line, 0..12)).prop_map(|(head, lines)| {
        let numbered = lines.iter().enumerate().map(|(n, (value, a, b))| {
            format!("{}{} {} {a} to {b}\n", &value[..1], n + 1, &value[2..])
        });
        head.to_owned() + &numbered.collect::<String>()
    })
}

proptest! {
    #![proptest_config(chance::cases(300))]

    #[test]
    fn every_place_tells_the_same_list(sheet in sheet()) {
        assert_one_list(&plan(&Sheet::read(&sheet)));
    }
}
