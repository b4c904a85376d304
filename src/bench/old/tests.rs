use super::capacitance::parallel;
use super::*;
use crate::circuit::wiring::Wiring;
use crate::plan::plan;
use crate::sheet::Sheet;
use std::f64::consts::TAU;

/// A driver with its coupling capacitor into an output grid, on a battery.
const STAGE: &str = "BT1 battery 200 V B1 to chassis
V1 6J5 2=chassis 3=pl 5=gr1 7=h 8=k1
V2 6V6GT 2=h 3=out 4=B1 5=gr2 7=chassis 8=k2
R1 50K pl to B1
R2 1.5K k1 to chassis
R3 470K gr1 to chassis
R4 470K gr2 to chassis
R5 250 ohm k2 to chassis
R6 100K B1 to chassis
T1 output primary 1 to 2 250 ohm
wire T1.1 to out
wire T1.2 to B1
C1 .01 mfd 400 V paper coupling pl to gr2
C2 .05 mfd 400 V film gr1 to chassis
C3 10 mfd 450 V electrolytic B1 to chassis
C4 .01 mfd 400 V film pl to gr2";

fn set() -> (Sheet, crate::plan::types::Plan) {
    let sheet = Sheet::read(STAGE);
    let planned = plan(&sheet);
    (sheet, planned)
}

fn typed(all: &[(Slot, &str)]) -> BTreeMap<String, String> {
    all.iter().map(|(slot, text)| (slot.key().to_owned(), (*text).to_owned())).collect()
}

fn of(key: &str, all: &[(Slot, &str)], limits: &[(Limit, &str)], lifted: bool) -> Judgement {
    let (sheet, plan) = set();
    let planned = plan.parts.iter().find(|p| p.key == key).unwrap();
    let readings = typed(all);
    let limits = limits.iter().map(|(l, t)| (l.key().to_owned(), (*t).to_owned())).collect();
    let index = sheet.parts.iter().position(|p| p.key == key).unwrap();
    let wiring = Wiring::of(&sheet);
    let hertz = frequency(planned, &readings).0;
    let beside = (!lifted).then(|| Beside::of(&sheet, &wiring, index, hertz));
    let moved = read(planned, &readings, Slot::Resistance)
        .unwrap()
        .map_or(vec![], |f| crate::circuit::drift::drift(&sheet, &wiring, index, f.value));
    judge(planned, &readings, &limits, &Around { beside, moved }).unwrap()
}

fn lifted(key: &str, all: &[(Slot, &str)]) -> Judgement {
    of(key, all, &[], true)
}

#[test]
fn good_at_a_low_test_and_leaky_at_its_rated_voltage_fails() {
    let found = lifted(
        "C4",
        &[
            (Slot::Leakage, "0.02"),
            (Slot::LeakageAt, "50"),
            (Slot::SecondLeakage, "20"),
            (Slot::SecondLeakageAt, "400"),
        ],
    );
    assert_eq!(found.good, Good::Fails);
    assert!(found.sentence.starts_with("20 MΩ at 400 V"), "{}", found.sentence);
    assert!(found.sentence.contains("at the lower test it showed 2500 MΩ at 50 V"));
    assert!(found.sentence.contains("grid of V2"), "{}", found.sentence);
}

#[test]
fn a_low_test_alone_settles_nothing_and_a_test_at_its_volts_does() {
    let low = lifted("C4", &[(Slot::Leakage, "0.02"), (Slot::LeakageAt, "50")]);
    assert_eq!(low.good, Good::Doubtful);
    assert!(low.sentence.contains("test it at that"), "{}", low.sentence);
    let both = lifted(
        "C4",
        &[
            (Slot::Leakage, "0.02"),
            (Slot::LeakageAt, "50"),
            (Slot::SecondLeakage, "0.1"),
            (Slot::SecondLeakageAt, "400"),
        ],
    );
    assert_eq!(both.good, Good::Passes, "{}", both.sentence);
}

#[test]
fn the_same_leak_passes_where_nothing_moves_and_fails_into_a_grid() {
    let leak = [(Slot::Leakage, "1"), (Slot::LeakageAt, "400")];
    assert_eq!(lifted("C4", &leak).good, Good::Fails);
    // A bypass at a grid without volts on it: the usual 50 MΩ.
    let bypass = lifted("C2", &leak);
    assert!(bypass.sentence.contains("400 MΩ at 400 V"), "{}", bypass.sentence);
    assert_ne!(bypass.good, Good::Fails, "{}", bypass.sentence);
}

/// 0.01 µF with 100 kΩ across it reads 0.0804 µF on a series bridge at 60 Hz:
/// own arithmetic, Cs = Cp(1 + D²), D = 1/(ωRpCp).
#[test]
fn a_high_capacitance_with_its_dissipation_is_told_as_the_leak_it_is() {
    let d = 1.0 / (TAU * 60.0 * 100e3 * 0.01e-6);
    let shown = 0.01e-6 * (1.0 + d * d);
    assert!((shown * 1e6 - 0.0804).abs() < 1e-4);
    let own = parallel(shown, d, 60.0);
    assert!((own.farads - 0.01e-6).abs() < 1e-15 && (own.ohms - 100e3).abs() < 1e-3);
    let reading = [(Slot::Capacitance, "0.0804"), (Slot::Dissipation, "265.3")];
    let found = lifted("C4", &reading);
    assert_eq!(found.good, Good::Fails);
    assert!(found.sentence.contains("0.01 µF with about 100 kΩ across it"), "{}", found.sentence);
    let null = lifted("C4", &[(Slot::Capacitance, "0.0804"), (Slot::Null, "broad")]);
    assert_eq!(null.good, Good::Fails);
    assert!(null.sentence.contains("about 100 kΩ"), "{}", null.sentence);
}

#[test]
fn a_high_capacitance_with_a_sharp_null_is_no_leak() {
    let found = lifted("C4", &[(Slot::Capacitance, "0.02"), (Slot::Null, "sharp")]);
    assert_eq!(found.good, Good::Doubtful);
    assert!(found.sentence.contains("look at its mark"), "{}", found.sentence);
}

#[test]
fn in_circuit_the_capacitor_beside_is_taken_out() {
    // C1 stands across C4: together they read 0.02 µF.
    let found = of("C4", &[(Slot::Capacitance, "0.02")], &[], false);
    assert_eq!(found.good, Good::Passes, "{}", found.sentence);
    assert!(found.sentence.contains("0.01 µF with what the circuit adds taken out"));
    // As a bridge at 1 kHz sees both with the ohms around them, the part alone
    // comes out again.
    let (sheet, plan) = set();
    let planned = plan.parts.iter().find(|p| p.key == "C4").unwrap();
    let index = sheet.parts.iter().position(|p| p.key == "C4").unwrap();
    let beside = Beside::of(&sheet, &Wiring::of(&sheet), index, 1000.0);
    let omega = TAU * 1000.0;
    let (g, b) = (beside.siemens, beside.susceptance + omega * 0.01e-6);
    let d = g / b;
    let shown = b / omega * (1.0 + d * d);
    let readings = typed(&[
        (Slot::Capacitance, &format!("{}", shown * 1e6)),
        (Slot::Dissipation, &format!("{}", d * 100.0)),
        (Slot::Frequency, "1 kHz"),
    ]);
    let around = Around { beside: Some(beside), moved: vec![] };
    let found = judge(planned, &readings, &BTreeMap::new(), &around).unwrap();
    assert!(found.sentence.contains("reads 0.01 µF with"), "{}", found.sentence);
}

#[test]
fn in_circuit_insulation_hides_behind_the_ohms_beside_it() {
    let found = of("C4", &[(Slot::Insulation, "610 k"), (Slot::InsulationAt, "9")], &[], false);
    assert_eq!(found.good, Good::Doubtful);
    assert!(found.sentence.contains("620 kΩ beside it: lift one lead"), "{}", found.sentence);
    // Far below what is beside it, the part's own leak is told.
    let leaky = of("C4", &[(Slot::Insulation, "310 k"), (Slot::InsulationAt, "9")], &[], false);
    assert_eq!(leaky.good, Good::Fails);
    assert!(leaky.sentence.starts_with("620 kΩ at 9 V"), "{}", leaky.sentence);
}

#[test]
fn the_instrument_s_own_limits_bound_what_a_reading_says() {
    let nothing = [(Slot::Leakage, "0"), (Slot::LeakageAt, "400")];
    let coarse = of("C4", &nothing, &[(Limit::Current, "1 µA")], true);
    assert_eq!(coarse.good, Good::Doubtful, "400 MΩ is all it tells: {}", coarse.sentence);
    assert!(coarse.sentence.contains("at least 400 MΩ"), "{}", coarse.sentence);
    let fine = of("C4", &nothing, &[(Limit::Current, "0.01 µA")], true);
    assert_eq!(fine.good, Good::Passes, "{}", fine.sentence);
    let ol = of("C4", &[(Slot::Insulation, "OL")], &[(Limit::Ohms, "20")], true);
    assert_eq!(ol.good, Good::Doubtful, "{}", ol.sentence);
}

#[test]
fn an_old_electrolytic_passes_is_doubted_or_given_up_by_its_leakage() {
    // 10 µF: 1 mA passes, 5 mA gives it up.
    for (leak, good) in
        [("0.9 mA", Good::Doubtful), ("3 mA", Good::Doubtful), ("6 mA", Good::Fails)]
    {
        let found = lifted("C3", &[(Slot::Leakage, leak), (Slot::LeakageAt, "450")]);
        assert_eq!(found.good, good, "{leak}: {}", found.sentence);
    }
    let passes = lifted("C3", &[(Slot::Leakage, "0.9 mA"), (Slot::LeakageAt, "450")]);
    assert!(passes.sentence.contains("past thirty years"), "by age alone: {}", passes.sentence);
    assert!(passes.findings.iter().any(|f| f.good == Good::Passes));
    let dry = lifted("C3", &[(Slot::Capacitance, "6.5")]);
    assert_eq!(dry.good, Good::Fails);
    assert!(dry.sentence.contains("dried out"));
}

/// 10 µF 450 V: 0.25/(2π·120·10 µF) = 33.2 Ω when new.
#[test]
fn series_resistance_past_twice_a_new_one_s_gives_it_up() {
    assert_eq!(lifted("C3", &[(Slot::Esr, "60")]).findings[0].good, Good::Doubtful);
    let found = lifted("C3", &[(Slot::Esr, "80")]);
    assert_eq!(found.good, Good::Fails);
    assert!(found.sentence.contains("33.2 Ω of a new one"), "{}", found.sentence);
}

#[test]
fn paper_that_reads_well_is_still_doubted_for_its_age() {
    let found = lifted("C1", &[(Slot::Leakage, "0.05"), (Slot::LeakageAt, "400")]);
    assert_eq!(found.good, Good::Doubtful);
    assert!(found.sentence.contains("passes today"), "{}", found.sentence);
}

#[test]
fn a_drifted_resistor_says_what_it_moves() {
    let found = lifted("R2", &[(Slot::Resistance, "3 k")]);
    assert_eq!(found.good, Good::Fails);
    assert!(
        found.sentence.contains("By the circuit it takes the cathode of V1"),
        "{}",
        found.sentence
    );
    assert_eq!(lifted("R2", &[(Slot::Resistance, "1.55")]).good, Good::Passes);
    assert_eq!(lifted("R2", &[(Slot::Resistance, "OL")]).good, Good::Fails);
}

#[test]
fn a_resistor_in_circuit_is_held_against_what_both_paths_give() {
    let sheet = Sheet::read("R1 100K a to chassis\nR2 300K a to chassis");
    let plan = plan(&sheet);
    let beside = Some(Beside::of(&sheet, &Wiring::of(&sheet), 0, 60.0));
    let judged = |text: &str| {
        let around = Around { beside, moved: vec![] };
        judge(&plan.parts[0], &typed(&[(Slot::Resistance, text)]), &BTreeMap::new(), &around)
            .unwrap()
    };
    // 100 k with 300 k beside it: 75 k.
    assert_eq!(judged("75k").good, Good::Passes);
    assert_eq!(judged("100k").good, Good::Fails, "too high in circuit is always the part");
    assert_eq!(judged("50k").good, Good::Doubtful);
}

#[test]
fn what_cannot_be_read_is_left_to_its_field() {
    let readings = typed(&[(Slot::Leakage, "warm"), (Slot::LeakageAt, "400")]);
    let (_, plan) = set();
    let planned = plan.parts.iter().find(|p| p.key == "C4").unwrap();
    assert!(judge(planned, &readings, &BTreeMap::new(), &Around::default()).is_none());
    assert!(read(planned, &readings, Slot::Leakage).is_err());
}
