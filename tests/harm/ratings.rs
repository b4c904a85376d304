//! A rating covers the old mark, every solved state, and the no-load peak across that capacitor.

use super::chance;
use super::support::{Sequence, run};
use firstglow::circuit::report::Line;
use firstglow::circuit::state::{Set, Tubes};
use firstglow::circuit::wiring::Wiring;
use firstglow::plan::plan;
use firstglow::plan::types::{Plan, PlannedPart, Severity};
use firstglow::sheet::Sheet;
use proptest::prelude::*;
use std::f64::consts::SQRT_2;
use std::fmt::Write as _;

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(text))
}

fn part<'p>(plan: &'p Plan, key: &str) -> &'p PlannedPart {
    plan.parts.iter().find(|p| p.key == key).unwrap()
}

fn rating(plan: &Plan, key: &str) -> f64 {
    part(plan, key).replacement.as_ref().unwrap_or_else(|| panic!("{key}")).rating_v
}

fn no_load(plan: &Plan, key: &str) -> f64 {
    part(plan, key).no_load.as_ref().unwrap_or_else(|| panic!("{key}")).volts
}

/// A set with a transformer: `half` volts each side of the tap at `mains`, the
/// rectifier's output at B0.
fn transformer(mains: u32, half: u32, tube: &str, rest: &str) -> String {
    let whole = 2 * half;
    let pins = match tube {
        "EZ81" => "1=T1.3 7=T1.5 3=B0 4=T1.6 5=T1.7",
        "6X5GT" => "3=T1.3 5=T1.5 8=B0 2=T1.6 7=T1.7",
        _ => "4=T1.3 6=T1.5 8=B0 2=T1.6",
    };
    format!(
        "mains {mains} V 60 Hz\nsupply transformer\n\
         T1 power primary 1 to 2 {mains} V\n secondary 3 to 5 tap 4 {whole} V\n \
         rectifier 6 to 7 5 V\nwire T1.1 to line\nwire T1.2 to neutral\nV1 {tube} {pins}\n{rest}"
    )
}

/// A set on the line behind a silicon rectifier.
fn on_line(rest: &str) -> String {
    format!(
        "mains 117 V 60 Hz\nsupply series-string half-wave\nwire neutral to B-\n\
         D1 silicon line to B0\n{rest}"
    )
}

/// √2 times the plate's volts at the high line: 125 V for 105 to 125 V, else
/// 10 % more. Own arithmetic.
fn peak(mains: u32, half: u32) -> f64 {
    let high = if (105..=125).contains(&mains) { 125.0 / f64::from(mains) } else { 1.1 };
    SQRT_2 * f64::from(half) * high
}

#[test]
fn what_loads_the_supply_may_be_open() {
    let cases = [
        // A bleeder, a speaker's field across B+, a divider, a regulator tube.
        (117, 300, "5Y3GT", "R9 8K 20 W B0 to chassis"),
        (117, 275, "6X5GT", "L9 speaker field 2500 ohm B0 to chassis"),
        (220, 260, "EZ81", "R8 12K 10 W B0 to scr\nR9 15K 10 W scr to chassis"),
        (110, 325, "5U4G", "R8 5K 20 W B0 to reg\nV9 0D3 5=reg 2=chassis"),
    ];
    for (mains, half, tube, load) in cases {
        let rest = format!(
            "wire T1.4 to chassis\nC1 16 mfd 350 V electrolytic B0 to chassis\n\
             L1 choke 10 H 400 ohm B0 to B1\nC2 16 mfd 350 V electrolytic B1 to chassis\n{load}"
        );
        let plan = planned(&transformer(mains, half, tube, &rest));
        assert_eq!(plan.circuit.trouble, None, "{tube}");
        for key in ["C1", "C2"] {
            let wanted = peak(mains, half);
            assert!((no_load(&plan, key) - wanted).abs() < 0.1, "{tube} {key}: {wanted}");
            assert!(rating(&plan, key) >= wanted, "{tube} {key}: {}", rating(&plan, key));
        }
    }
}

#[test]
fn bleeders_fields_and_dividers_do_not_lower_a_rating() {
    // 25Z5 with a field across B+ 176.8 V, 80 at 350-0-350 on 115 V 538 V, EZ80
    // at 250-0-250 389 V, 83 at 490-0-490 behind a choke 740 V.
    let field = "mains 117 V 60 Hz\nsupply series-string half-wave\nwire neutral to B-\n\
                 V1 25Z5 2=line 5=line 3=B0 4=B0\nL1 speaker field 3000 ohm B0 to B-\n\
                 C1 16 mfd 150 V electrolytic B0 to B-";
    assert!(rating(&planned(field), "C1") >= 177.0);
    let filament = |mains: u32, half: u32, tube: &str, rest: &str| {
        let whole = 2 * half;
        format!(
            "mains {mains} V 60 Hz\nsupply transformer\nT1 power primary 1 to 2 {mains} V\n \
             secondary 3 to 5 tap 4 {whole} V\n rectifier 6 to 7 5 V\nwire T1.1 to line\n\
             wire T1.2 to neutral\nwire T1.4 to chassis\nwire T1.7 to B0\n\
             V1 {tube} 1=T1.6 2=T1.3 3=T1.5 4=B0\n{rest}"
        )
    };
    let divider = filament(
        115,
        350,
        "80",
        "C1 8 mfd 450 V electrolytic B0 to chassis\nR1 15K B0 to scr\nR2 20K scr to chassis",
    );
    assert!(rating(&planned(&divider), "C1") >= 538.0);
    let choke = filament(
        117,
        490,
        "83",
        "L1 choke 12 H 100 ohm B0 to B1\nC1 8 mfd 600 V electrolytic B1 to chassis\n\
         R1 10K 50 W B1 to chassis",
    );
    let plan = planned(&choke);
    assert!((no_load(&plan, "C1") - 740.4).abs() < 0.5, "{}", no_load(&plan, "C1"));
    assert!(rating(&plan, "C1") >= 740.0);
    let ez80 = "mains 230 V 50 Hz\nsupply transformer\nT1 power primary 1 to 2 230 V\n \
                secondary 3 to 5 tap 4 500 V\nwire T1.1 to line\nwire T1.2 to neutral\n\
                wire T1.4 to chassis\nV1 EZ80 1=T1.3 7=T1.5 3=B0\n\
                C1 50 mfd 350 V electrolytic B0 to chassis\nR1 10K 10 W B0 to chassis";
    assert!(rating(&planned(ez80), "C1") >= 389.0);
}

#[test]
fn a_bypass_behind_any_ohms_charges_to_the_full_peak() {
    for ohms in ["100K", "1 meg", "2.2 meg"] {
        let text = on_line(&format!(
            "C1 50 mfd 150 V electrolytic B0 to B-\nR1 1K 5 W B0 to B1\n\
             C2 30 mfd 150 V electrolytic B1 to B-\nR2 {ohms} B1 to scr\nR3 22K scr to B-\n\
             C3 .1 100 V paper scr to B-\nR4 470K B1 to pl\nR5 1 meg gr to B-\n\
             C4 .01 100 V paper pl to gr"
        ));
        let plan = planned(&text);
        for key in ["C3", "C4"] {
            assert!((no_load(&plan, key) - SQRT_2 * 125.0).abs() < 0.1, "{ohms} {key}");
            assert!(rating(&plan, key) >= 177.0, "{ohms} {key}");
        }
    }
}

#[test]
fn what_a_cathode_or_back_bias_resistor_holds_down_is_told_and_not_rated_for_it() {
    let cathode = transformer(
        117,
        300,
        "5Y3GT",
        "wire T1.4 to chassis\nC1 16 mfd 450 V electrolytic B0 to chassis\nR9 20K B0 to chassis\n\
         V2 6V6GT 3=B0 4=B0 5=gr 8=k\nR2 330 2 W k to chassis\nR3 470K gr to chassis\n\
         C2 25 mfd 50 V electrolytic k to chassis",
    );
    let negative = transformer(
        117,
        300,
        "5Y3GT",
        "wire T1.4 to low\nR2 220 5 W chassis to low\nC1 16 mfd 450 V electrolytic B0 to low\n\
         R9 20K B0 to chassis\nC2 25 mfd 50 V electrolytic chassis to low",
    );
    let field = transformer(
        117,
        300,
        "5Y3GT",
        "wire T1.4 to low\nR2 500 10 W chassis to low\nC1 16 mfd 450 V electrolytic B0 to low\n\
         R9 25K B0 to chassis\nC2 10 mfd 50 V electrolytic chassis to low\n\
         R4 100K low to gr\nC3 .1 50 V paper chassis to gr",
    );
    for text in [cathode, negative, field] {
        let plan = planned(&text);
        assert!(no_load(&plan, "C2") < 15.0, "{}", no_load(&plan, "C2"));
        assert!(rating(&plan, "C2") <= 63.0, "{}", rating(&plan, "C2"));
        let hazard = plan.hazards.iter().find(|h| h.id == "opened-resistor").unwrap();
        assert_eq!(hazard.severity, Severity::Caution);
        assert!(hazard.what_can_happen.contains("If R2 opens, C2 sees up to 453 V"), "{hazard:?}");
        assert!(part(&plan, "R2").hazards.contains(&hazard.id));
    }
}

#[test]
fn an_output_that_a_tube_regulates_is_no_bias() {
    // 90 V at the cathode of a triode is doubled, 150 V is not.
    let set = |volts: u32| {
        format!(
            "BT1 battery 300 V B1 to chassis\nBT2 battery {volts} V gr to chassis\n\
             V1 6J5 3=B1 5=gr 8=out\nR1 10K 5 W out to chassis\n\
             C1 10 mfd 250 V electrolytic out to chassis"
        )
    };
    let high = planned(&set(200));
    let rating_working = |plan: &Plan| {
        let found = part(plan, "C1").working.iter().find(|w| w.of == "rating").unwrap().clone();
        found.inputs.iter().map(|i| i.name.to_string()).collect::<Vec<_>>().join("; ")
    };
    assert!(!rating_working(&high).contains("twice"), "{}", rating_working(&high));
    assert!(rating(&high, "C1") < 350.0);
    let low = planned(&set(60));
    assert!(rating_working(&low).contains("twice the computed bias"), "{}", rating_working(&low));
}

#[test]
fn a_can_without_places_holds_the_no_load_peak() {
    for (head, can, least) in [
        ("supply series-string half-wave", "C1 40-40/40 electrolytic", 176.7),
        ("supply series-string half-wave", "C1 50-30 mfd 25 V electrolytic", 176.7),
        ("supply transformer 325-0-325 V", "C1 20-20 electrolytic", 491.0),
        ("supply transformer 275-0-275 V", "C1A, C1B 30 mfd 35 V electrolytic", 415.4),
    ] {
        let plan = planned(&format!("mains 117 V 60 Hz\n{head}\n{can}"));
        for part in plan.parts.iter().filter(|p| p.key.starts_with("C1")) {
            let Some(new) = &part.replacement else { continue };
            assert!(new.rating_v >= least, "{can}: {} {}", part.key, new.text);
        }
    }
    // Its own mark on a section of its own is trusted.
    let plan = planned("mains 117 V 60 Hz\nsupply series-string\nC1 25 mfd 25 V electrolytic");
    assert!(rating(&plan, "C1") <= 50.0);
}

#[test]
fn the_working_names_each_of_the_three() {
    let plan = planned(&on_line("C1 40 mfd 150 V electrolytic B0 to B-\nR1 4K 10 W B0 to B-"));
    let told = part(&plan, "C1").working.iter().find(|w| w.of == "rating").unwrap();
    let names: Vec<&str> = told.inputs.iter().map(|i| i.name.as_ref()).collect();
    assert_eq!(names[0], "old mark");
    assert!(names[1].starts_with("computed stress (") && names[1].contains("ripple"), "{names:?}");
    assert_eq!(names[2], "no load at high line, tubes cold, bleeders open");
}

/// The rectifier's capacitor with its bleeder open, over 40 cycles. Source:
/// Debian's ngspice, run here; its diode drops less than 1 V at no current.
#[test]
fn ngspice_charges_to_what_is_told() {
    for (text, key, volts) in [
        (on_line("C1 40 mfd 150 V electrolytic B0 to B-\nR1 4K 10 W B0 to B-"), "C1", 125.0),
        (
            transformer(
                117,
                300,
                "5Y3GT",
                "wire T1.4 to chassis\nC1 16 mfd 450 V electrolytic B0 to chassis\n\
                 R1 10K 20 W B0 to chassis",
            ),
            "C1",
            300.0 * 125.0 / 117.0,
        ),
        (
            transformer(
                220,
                250,
                "EZ81",
                "wire T1.4 to chassis\nC1 16 mfd 450 V electrolytic B0 to chassis\n\
                 L1 field coil 5000 ohm B0 to chassis",
            ),
            "C1",
            275.0,
        ),
    ] {
        let amplitude = volts * SQRT_2;
        let deck = format!(
            "no load\nV1 a 0 SIN(0 {amplitude} 60)\nR1 a b 50\nD1 b c d\nC1 c 0 16u IC=0\n\
             R2 c 0 1g\n.model d D(IS=1e-9 N=1.5)\n.tran 0.1m 0.67 0 0.1m UIC\n.control\nrun\n\
             meas tran top MAX v(c)\nprint top\n.endc\n.end\n"
        );
        let theirs = run(&deck)["top"];
        let told = no_load(&planned(&text), key);
        assert!(told >= theirs && told - theirs < 2.0, "{told} for {theirs}");
    }
}

/// A random filter and its loads, as lines; the resistors are those that may
/// be open.
fn network(seed: u64) -> (String, Vec<String>) {
    let mut chance = Sequence::new(seed);
    let points = ["B0", "B1", "B2", "scr", "pl", "gr"];
    let mut text = on_line("C1 20 mfd 150 V electrolytic B0 to B-\n");
    let mut resistors = vec!["R1 1K 5 W B0 to B1".to_owned()];
    for number in 2..7 {
        let from = points[chance.pick(points.len())];
        let to = if chance.next() < 0.4 { "B-" } else { points[chance.pick(points.len())] };
        if from != to {
            let ohms = ["2.2K", "15K", "100K", "470K", "2.2 meg"][chance.pick(5)];
            resistors.push(format!("R{number} {ohms} {from} to {to}"));
        }
    }
    for number in 2..6 {
        let from = points[chance.pick(points.len())];
        let to = if chance.next() < 0.5 { "B-" } else { points[chance.pick(points.len())] };
        if from != to {
            let kind = ["10 mfd 50 V electrolytic", ".1 mfd 100 V paper"][chance.pick(2)];
            writeln!(text, "C{number} {kind} {from} to {to}").unwrap();
        }
    }
    (text, resistors)
}

/// The most volts across each capacitor over every set of open resistors, by
/// the DC solver.
fn by_brute_force(text: &str, resistors: &[String]) -> Vec<(String, f64)> {
    let mut most: Vec<(String, f64)> = Vec::new();
    for open in 0..1_usize << resistors.len() {
        let kept = resistors.iter().enumerate().filter(|(at, _)| open >> at & 1 == 0);
        let lines: Vec<&str> = kept.map(|(_, line)| line.as_str()).collect();
        let sheet = Sheet::read(&format!("{text}{}", lines.join("\n")));
        let wiring = Wiring::of(&sheet);
        let set = Set::of(&sheet, &wiring);
        let Ok(state) = set.state(Tubes::Cold, Line::of(&sheet).high) else { continue };
        for part in sheet.parts.iter().filter(|p| p.key.starts_with('C')) {
            let Some((a, b)) = wiring.leads(part) else { continue };
            let (Some(a), Some(b)) = (state.volts(a), state.volts(b)) else { continue };
            let volts = (a - b).abs();
            match most.iter_mut().find(|(key, _)| *key == part.key) {
                Some((_, known)) => *known = known.max(volts),
                None => most.push((part.key.clone(), volts)),
            }
        }
    }
    most
}

proptest! {
    #![proptest_config(chance::cases(60))]

    #[test]
    fn no_rating_lies_below_any_set_of_open_resistors(seed in any::<u64>()) {
        let (text, resistors) = network(seed);
        let whole = format!("{text}{}", resistors.join("\n"));
        let plan = planned(&whole);
        for (key, volts) in by_brute_force(&text, &resistors) {
            let planned = part(&plan, &key);
            if let Some(told) = &planned.no_load {
                prop_assert!(told.volts >= volts - 0.5, "{key} {volts} {told:?}\n{whole}");
            }
            if let Some(new) = &planned.replacement {
                prop_assert!(new.rating_v >= volts, "{key} {volts} {}\n{whole}", new.text);
            }
        }
    }
}
