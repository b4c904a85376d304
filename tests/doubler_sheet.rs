//! Half-wave doublers as sheets: found from their wiring, told on the plan.
//!
//! Every figure is own arithmetic unless a source stands beside it; the law of
//! the supply itself is held against ngspice in `tests/spice_supply.rs` and
//! `tests/spice_doubler.rs`.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use firstglow::circuit::report::{DutyReport, FallOf, Report, SupplyReport, report};
use firstglow::plan::plan;
use firstglow::plan::types::{Plan, PlannedPart};
use firstglow::sheet::Sheet;
use firstglow::trade::role::Role;

const LINE: &str = "mains 117 V 60 Hz\nsupply series-string\n";
const SILICON: &str = "wire neutral to B-\nC1 40 uF 150 V electrolytic mid to ac\n\
    R1 22 ohm 5 W line to ac\nD1 silicon B- to mid\nD2 silicon mid to B1\n\
    C2 40 uF 350 V electrolytic B1 to B-\nR2 5K 20 W B1 to B-";

fn read(text: &str) -> Report {
    let report = report(&Sheet::read(&format!("{LINE}{text}")));
    assert_eq!(report.trouble, None, "{text}");
    report
}

fn only(report: &Report) -> &SupplyReport {
    assert_eq!(report.supplies.len(), 1, "{:?}", report.supplies);
    &report.supplies[0]
}

fn duty<'s>(supply: &'s SupplyReport, key: &str) -> &'s DutyReport {
    supply.doubled.iter().find(|d| d.key == key).unwrap()
}

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(&format!("{LINE}{text}")))
}

fn part<'p>(plan: &'p Plan, key: &str) -> &'p PlannedPart {
    plan.parts.iter().find(|p| p.key == key).unwrap()
}

/// The same doubler drawn in every way that it is wired: each gives the volts
/// of the first, with its series capacitor told as such.
#[test]
fn a_half_wave_doubler_is_found_however_it_is_wired() {
    let volts = only(&read(SILICON)).volts;
    // Twice the crest of 165 V, less what pulses of half an ampere drop in
    // 22 ohms and half of the ripple on both capacitors.
    assert!((280.0..295.0).contains(&volts), "{volts}");
    for (what, text) in [
        (
            "the resistor behind the capacitor",
            "wire neutral to B-\nC1 40 uF 150 V electrolytic far to line\nR1 22 ohm 5 W far to mid\n\
             D1 silicon B- to mid\nD2 silicon mid to B1\nC2 40 uF 350 V electrolytic B1 to B-\n\
             R2 5K 20 W B1 to B-",
        ),
        (
            "the capacitor in the neutral wire",
            "wire line to B-\nR1 22 ohm 5 W neutral to ac\nC1 40 uF 150 V electrolytic mid to ac\n\
             D1 silicon B- to mid\nD2 silicon mid to B1\nC2 40 uF 350 V electrolytic B1 to B-\n\
             R2 5K 20 W B1 to B-",
        ),
        (
            "a negative supply",
            "wire neutral to B-\nR1 22 ohm 5 W line to ac\nC1 40 uF 150 V electrolytic ac to mid\n\
             D1 silicon mid to B-\nD2 silicon low to mid\nC2 40 uF 350 V electrolytic B- to low\n\
             R2 5K 20 W B- to low",
        ),
        (
            "two capacitors parallel, a fuse and a switch in the line",
            "wire neutral to B-\nF1 fuse 1 A line to x\nS1 switch x to y\nR1 22 ohm 5 W y to ac\n\
             C1 30 uF 150 V electrolytic mid to ac\nC3 10 uF 150 V electrolytic mid to ac\n\
             D1 silicon B- to mid\nD2 silicon mid to B1\nC2 40 uF 350 V electrolytic B1 to B-\n\
             R2 5K 20 W B1 to B-",
        ),
    ] {
        let report = read(text);
        let supply = only(&report);
        assert_eq!(supply.topology, "doubler", "{what}");
        assert_eq!(supply.rectifiers.len(), 2, "{what}");
        assert!((supply.volts / volts - 1.0).abs() < 1e-3, "{what}: {}", supply.volts);
        assert_eq!(duty(supply, "C1").place, "series", "{what}");
        assert_eq!(duty(supply, "C2").place, "output", "{what}");
    }
}

/// A tube of two separate cathodes: 25Z6GT, octal 7Q.
const TUBE: &str = "wire neutral to B-\nR1 15 ohm 10 W line to ac\n\
    C1 40 uF 150 V electrolytic mid to ac\nV1 25Z6GT 5=B- 8=mid 3=mid 4=B1\n\
    C2 40 uF 300 V electrolytic B1 to B-\nR2 3300 ohm 30 W B1 to B-";

#[test]
fn a_tube_of_two_cathodes_doubles_and_is_held_to_its_limits() {
    let report = read(TUBE);
    let supply = only(&report);
    assert_eq!((supply.topology.as_str(), &supply.rectifiers), ("doubler", &vec!["V1".to_owned()]));
    // The manual's half-wave doubler with 30 ohms and 16 uF gives some 200 V at
    // 75 mA (from memory); more capacitance and less resistance give more.
    assert!((190.0..270.0).contains(&supply.volts), "{supply:?}");
    // 450 mA a plate, 700 V inverse: receiving-tube manuals, from memory.
    assert_eq!((supply.max_peak_ma, supply.max_inverse_v), (Some(450.0), Some(700.0)));
    let peak = supply.peak_ma.unwrap();
    assert!(peak > 3.0 * supply.ma && peak < 1500.0, "{peak}");
    // Both crests of 125 V.
    assert!((supply.inverse_v - 353.6).abs() < 0.1);
}

#[test]
fn selenium_doubles_with_its_own_drop() {
    let text = SILICON
        .replace("D1 silicon", "SR1 selenium 100 mA")
        .replace("D2 silicon", "SR2 selenium 100 mA");
    let (dry, silicon) = (only(&read(&text)).volts, only(&read(SILICON)).volts);
    // Two stacks of some 6 V at their rated current.
    assert!((6.0..35.0).contains(&(silicon - dry)), "{silicon} {dry}");
}

#[test]
fn the_series_capacitor_bears_one_crest_and_the_output_both() {
    let report = read(SILICON);
    let supply = only(&report);
    let (series, output) = (duty(supply, "C1"), duty(supply, "C2"));
    // sqrt(2) x 125 V, once and twice.
    assert!((series.no_load_v - 176.8).abs() < 0.1 && (output.no_load_v - 353.6).abs() < 0.1);
    assert!(series.least_v > 0.0 && series.most_v < 165.5, "{series:?}");
    assert!(series.least_v < series.volts && series.volts < series.most_v);
    // What goes in by one rectifier goes out by the other: 40 uF times its
    // swing is the charge that the set takes in a cycle, I/f.
    let charge = 40e-6 * (series.most_v - series.least_v);
    assert!((charge / (supply.ma * 1e-3 / 60.0) - 1.0).abs() < 0.01, "{charge}");
    // More than the set's own current, less than the peak.
    assert!(series.ripple_ma > 2.0 * supply.ma && series.ripple_ma < supply.peak_ma.unwrap());
    let own = |key: &str| report.capacitors.iter().find(|c| c.key == key).unwrap();
    assert!((own("C1").running_v.unwrap() - series.volts).abs() < 0.01);
    // Nothing lies across the series capacitor: switched off, it keeps its charge.
    assert!(matches!(own("C1").fall, Some(FallOf::Stays { volts }) if volts > 140.0));
}

#[test]
fn parallel_capacitors_share_the_ripple_by_their_size() {
    let text = SILICON.replace(
        "C1 40 uF 150 V electrolytic mid to ac",
        "C1 30 uF 150 V electrolytic mid to ac\nC3 10 uF 150 V electrolytic mid to ac",
    );
    let report = read(&text);
    let (large, small) = (duty(only(&report), "C1"), duty(only(&report), "C3"));
    assert!((large.ripple_ma / small.ripple_ma - 3.0).abs() < 1e-6);
}

#[test]
fn the_plan_tells_role_stress_polarity_and_duty() {
    let plan = planned(SILICON);
    let series = part(&plan, "C1");
    assert_eq!(series.role.unwrap().value, Role::Doubler);
    assert!((series.stress.as_ref().unwrap().volts - 176.8).abs() < 0.1);
    let new = series.replacement.as_ref().unwrap();
    assert!((176.8..=300.0).contains(&new.rating_v), "{new:?}");
    assert!(new.polarity.as_ref().unwrap().to_string().starts_with("positive to mid"), "{new:?}");
    let told = series.working.iter().find(|w| w.of == "doubler duty").unwrap();
    assert!(told.result.to_string().contains("of ripple"), "{told:?}");
    assert!(told.rule.contains("the wrong way round"));
    let output = part(&plan, "C2");
    assert_eq!(output.role.unwrap().value, Role::Reservoir);
    // The bleeder holds it below both crests of the high line.
    let stress = output.stress.as_ref().unwrap().volts;
    assert!((290.0..353.6).contains(&stress), "{stress}");
    assert!(output.replacement.as_ref().unwrap().rating_v >= stress, "{output:?}");
    // Nobody said that it doubles: its wiring did.
    assert!((plan.supply.no_load_peak_v.unwrap() - 353.6).abs() < 0.1);
}

#[test]
fn a_series_capacitor_drawn_backwards_is_told_and_planned_the_right_way() {
    let text = SILICON.replace("electrolytic mid to ac", "electrolytic ac to mid");
    let plan = planned(&text);
    let hazard = plan.hazards.iter().find(|h| h.id == "polarity").unwrap();
    assert_eq!(hazard.parts, ["C1"]);
    assert!(hazard.what_can_happen.contains("positive is mid"), "{hazard:?}");
    assert!(hazard.what_can_happen.contains("but also ac (typed first)"), "{hazard:?}");
    let new = part(&plan, "C1").replacement.as_ref().unwrap();
    assert!(new.polarity.as_ref().unwrap().to_string().starts_with("positive to mid"), "{new:?}");
}

#[test]
fn a_supply_line_that_says_otherwise_is_overruled_aloud() {
    let sheet = format!("mains 117 V 60 Hz\nsupply series-string half-wave\n{SILICON}");
    let plan = plan(&Sheet::read(&sheet));
    assert!((plan.supply.no_load_peak_v.unwrap() - 353.6).abs() < 0.1);
    assert!(plan.supply.assumed.iter().any(|a| a.contains("wired as a voltage doubler")));
}

/// On its winding the series capacitor empties into the output capacitor once
/// that has fallen to it: 60 uF instead of 20 from there on; and should the
/// rectifier not conduct any more, it keeps its charge. Each is told its worse
/// case.
#[test]
fn the_longer_of_two_discharges_is_told() {
    let report = report(&Sheet::read(
        "mains 117 V 60 Hz\nsupply transformer\nT1 power primary 1 to 2 117 V 5 ohm\n \
         secondary 3 to 4 117 V 20 ohm\nwire T1.4 to chassis\n\
         C1 40 uF 200 V electrolytic mid to T1.3\nD1 silicon chassis to mid\nD2 silicon mid to B1\n\
         C2 20 uF 400 V electrolytic B1 to chassis\nR1 100K 2 W B1 to chassis",
    ));
    let supply = only(&report);
    let own = |key: &str| report.capacitors.iter().find(|c| c.key == key).unwrap();
    assert!(matches!(own("C1").fall, Some(FallOf::Stays { volts }) if volts > 160.0));
    let Some(FallOf::After { seconds, .. }) = own("C2").fall else { panic!("{:?}", own("C2")) };
    // Half of what it held takes RC ln 2, then both fall together to 50 V.
    let held = supply.volts * 125.0 / 117.0;
    let together = 6.0 * (0.5 * held / 50.0).ln();
    assert!((seconds / (2.0 * 2.0_f64.ln() + together) - 1.0).abs() < 0.03, "{seconds}");
    let curve = report.curve.as_ref().unwrap();
    let volts = &curve.volts[curve.keys.iter().position(|k| k == "C2").unwrap()];
    let at = curve.seconds.iter().position(|s| *s >= seconds).unwrap();
    assert!(volts[at] <= 50.5 && volts[at - 1] >= 49.5, "{} {}", volts[at - 1], volts[at]);
}

/// The full-wave kind has the same telling: each capacitor its half.
#[test]
fn both_capacitors_of_a_full_wave_doubler_hold_and_keep_half() {
    let report = read(
        "D1 silicon line to B1\nD2 silicon B- to line\nC1 40 uF 200 V electrolytic B1 to neutral\n\
         C2 40 uF 200 V electrolytic neutral to B-\nR1 5K 20 W B1 to B-",
    );
    let supply = only(&report);
    let (upper, lower) = (duty(supply, "C1"), duty(supply, "C2"));
    assert_eq!((upper.place.as_str(), lower.place.as_str()), ("upper", "lower"));
    assert!((upper.volts + lower.volts - supply.volts).abs() < 0.01, "{upper:?} {lower:?}");
    assert!((upper.volts / lower.volts - 1.0).abs() < 0.01);
    for key in ["C1", "C2"] {
        let own = report.capacitors.iter().find(|c| c.key == key).unwrap();
        assert!((140.0..170.0).contains(&own.running_v.unwrap()), "{own:?}");
        // Both fall through R1 in 100 ms a time constant.
        assert!(
            matches!(own.fall, Some(FallOf::After { seconds, .. }) if (0.05..0.3).contains(&seconds)),
            "{own:?}"
        );
    }
}

#[test]
fn a_rectifier_without_a_series_capacitor_is_no_doubler() {
    // Two rectifiers in series, a habit for more inverse voltage.
    let report = read(
        "wire neutral to B-\nD1 silicon line to mid\nD2 silicon mid to B1\n\
         C1 40 uF 200 V electrolytic B1 to B-\nR1 5K 20 W B1 to B-",
    );
    assert!(report.supplies.iter().all(|s| s.topology != "doubler"), "{:?}", report.supplies);
}
