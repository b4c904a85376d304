//! Where the positive lead of an electrolytic goes.

use super::chance;
use super::support::Sequence;
use firstglow::circuit::report::report;
use firstglow::plan::plan;
use firstglow::plan::polarity::{Lead, Polarity};
use firstglow::plan::types::{Plan, Severity};
use firstglow::sheet::Sheet;
use firstglow::sheet::cells::set_cell;
use firstglow::sheet::import::from_table;
use firstglow::sheet::print;
use firstglow::sheet::rows::{Column, rows};
use proptest::prelude::*;
use std::fmt::Write as _;

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(text))
}

fn polarity(plan: &Plan, key: &str) -> Polarity {
    let part = plan.parts.iter().find(|p| p.key == key).unwrap();
    part.replacement.as_ref().unwrap_or_else(|| panic!("{key}")).polarity.clone().unwrap()
}

fn place(plan: &Plan, key: &str) -> String {
    match polarity(plan, key) {
        Polarity::Positive { told, .. } => told.place.to_string(),
        other => format!("{other}"),
    }
}

fn in_doubt(plan: &Plan, key: &str) -> bool {
    let hazard = plan.hazards.iter().find(|h| h.id == "polarity");
    hazard.is_some_and(|h| h.parts.iter().any(|part| part == key))
}

/// A set whose negative lead drops some 20 V between `low` and the chassis.
fn back_bias(lead: &str, capacitor: &str) -> String {
    format!(
        "mains 117 V 60 Hz\nsupply transformer\nT1 power primary 1 to 2 117 V\n \
         secondary 3 to 5 tap 4 600 V\nwire T1.1 to line\nwire T1.2 to neutral\n\
         wire T1.4 to low\nV1 5Y3GT 4=T1.3 6=T1.5 8=B0\n{lead}\n\
         C1 16 mfd 450 V electrolytic B0 to low\nR9 6K 20 W B0 to chassis\n{capacitor}"
    )
}

#[test]
fn the_computed_sign_decides_below_the_chassis_as_above_it() {
    for lead in [
        "R1 400 5 W chassis to low",
        "L1 field coil 500 ohm chassis to low",
        "L1 choke 8 H 300 ohm low to x\nR1 100 2 W x to chassis",
    ] {
        for (typed, doubt) in [
            ("chassis to low", false),
            ("low to chassis", true),
            ("between low and chassis", false),
        ] {
            let plan = planned(&back_bias(lead, &format!("C2 25 mfd 50 V electrolytic {typed}")));
            assert_eq!(place(&plan, "C2"), "chassis", "{lead} {typed}");
            assert_eq!(in_doubt(&plan, "C2"), doubt, "{lead} {typed}");
            assert_eq!(place(&plan, "C1"), "B0");
        }
    }
}

#[test]
fn a_filter_typed_backwards_keeps_its_computed_sign_and_both_are_named() {
    for typed in ["chassis to B1", "chassis to + B1", "+ chassis to B1"] {
        let text = format!(
            "BT1 battery 180 V B0 to chassis\nR1 1K B0 to B1\nR2 100K B1 to chassis\n\
             C1 20 mfd 250 V electrolytic {typed}"
        );
        let plan = planned(&text);
        assert_eq!(place(&plan, "C1"), "B1", "{typed}");
        let backwards = typed != "chassis to + B1";
        assert_eq!(in_doubt(&plan, "C1"), backwards, "{typed}");
        if backwards {
            let hazard = plan.hazards.iter().find(|h| h.id == "polarity").unwrap();
            assert_eq!(hazard.severity, Severity::Danger);
            assert!(hazard.what_can_happen.contains("B1"), "{hazard:?}");
            assert!(hazard.what_can_happen.contains("chassis"), "{hazard:?}");
            assert!(hazard.what_to_do.contains("non-polarized"), "{hazard:?}");
        }
    }
}

#[test]
fn two_states_of_two_signs_decide_nothing() {
    // A cathode that stands at the negative rail while cold and above the
    // chassis at work.
    for (rail, ohms) in [(100, "22K"), (60, "10K"), (45, "6.8K")] {
        let text = format!(
            "BT1 battery 250 V B1 to chassis\nBT2 battery {rail} V chassis to neg\n\
             V1 6J5 3=B1 5=chassis 8=k\nR1 {ohms} k to neg\n\
             C1 10 mfd 150 V electrolytic k to chassis"
        );
        let plan = planned(&text);
        let found = polarity(&plan, "C1");
        assert!(matches!(found, Polarity::Contradiction { .. }), "{found:?}");
        assert!(found.to_string().starts_with("not decided"), "{found}");
        assert!(in_doubt(&plan, "C1"));
    }
}

#[test]
fn without_a_voltage_the_name_then_the_order_and_never_in_silence() {
    for (typed, positive, doubt) in [
        ("chassis to bias", "chassis", false),
        ("gnd to gridbias", "ground", false),
        ("chassis to C-", "chassis", false),
        ("chassis to -C", "chassis", false),
        ("chassis to HT-", "chassis", false),
        ("neg150 to chassis", "chassis", true),
        ("bias1 to earth", "ground", true),
        ("k4 to chassis", "k4", false),
        ("chassis to k4", "chassis", false),
    ] {
        let plan = planned(&format!("C5 50 mfd 100 V electrolytic {typed}"));
        assert_eq!(place(&plan, "C5"), positive, "{typed}");
        assert_eq!(in_doubt(&plan, "C5"), doubt, "{typed}");
        assert!(polarity(&plan, "C5").to_string().contains("check the mark on the old part"));
    }
}

#[test]
fn a_line_that_the_app_wrote_has_no_polarity_unless_a_plus_was_given() {
    let table = |from: &str, to: &str| {
        let mut text = "C1 20 mfd 150 V electrolytic".to_owned();
        text = set_cell(&text, 1, Column::From, from);
        text = set_cell(&text, 1, Column::To, to);
        let row = &rows(&text)[0];
        assert_eq!((row.cell(Column::From), row.cell(Column::To)), (from, to), "{text}");
        text
    };
    let import = |from: &str, to: &str| {
        from_table(&format!(
            "Ref,Value (uF),Volts,Type,From,To\nC1,20,150,electrolytic,{from},{to}\n"
        ))
        .text
    };
    for (from, to, positive) in [
        ("x", "y", None),
        ("y", "x", None),
        ("+ x", "y", Some(Lead::First)),
        ("x", "y +", Some(Lead::Second)),
    ] {
        for text in [table(from, to), import(from, to)] {
            let found = polarity(&planned(&text), "C1");
            assert_eq!(found.positive(), positive, "{text}");
            let printed = print::line(&Sheet::read(&text).parts[0]);
            assert_eq!(polarity(&planned(&printed), "C1").positive(), positive, "{printed}");
        }
    }
    // What was typed by hand stays as it was typed.
    let typed = "C1 20 mfd 150 V electrolytic x to y";
    assert_eq!(set_cell(typed, 1, Column::Rating, "200 V"), typed.replace("150", "200"));
}

#[test]
fn a_part_without_polarity_is_known_by_its_kind() {
    let plan = planned("C1 10 mfd 50 V nonpolarized electrolytic bias to chassis");
    assert!(polarity(&plan, "C1").is_non_polarized());
    assert!(!in_doubt(&plan, "C1"));
}

/// Batteries of both signs, resistors and electrolytics anywhere between them.
fn network(seed: u64) -> String {
    let mut chance = Sequence::new(seed);
    let points = ["B1", "a", "b", "c", "chassis", "neg"];
    let mut text = String::from(
        "BT1 battery 120 V B1 to chassis\nBT2 battery 45 V chassis to neg\nR1 10K B1 to a\n\
         R2 22K a to neg\n",
    );
    let pair = |chance: &mut Sequence| {
        let first = chance.pick(points.len());
        let second = (first + 1 + chance.pick(points.len() - 1)) % points.len();
        (points[first], points[second])
    };
    for number in 3..8 {
        let (from, to) = pair(&mut chance);
        let ohms = ["1K", "4.7K", "33K", "220K"][chance.pick(4)];
        writeln!(text, "R{number} {ohms} {from} to {to}").unwrap();
    }
    for number in 1..6 {
        let (from, to) = pair(&mut chance);
        let leads = match chance.pick(4) {
            0 => format!("+ {from} to {to}"),
            1 => format!("between {from} and {to}"),
            _ => format!("{from} to {to}"),
        };
        writeln!(text, "C{number} 10 mfd 250 V electrolytic {leads}").unwrap();
    }
    text
}

proptest! {
    #![proptest_config(chance::cases(300))]

    #[test]
    fn the_polarity_told_has_the_computed_sign(seed in any::<u64>()) {
        let text = network(seed);
        let (plan, report) = (planned(&text), report(&Sheet::read(&text)));
        for capacitor in &report.capacitors {
            let Some(volts) = capacitor.running_v else { continue };
            let told = polarity(&plan, &capacitor.key);
            if volts.abs() >= 5.0 {
                let wanted = if volts > 0.0 { Lead::First } else { Lead::Second };
                prop_assert_eq!(told.positive(), Some(wanted), "{} {}\n{}", capacitor.key, volts, text);
                let typed = text.lines().find(|l| l.starts_with(&format!("{} ", capacitor.key))).unwrap();
                let against = wanted == Lead::Second && !typed.contains("between");
                prop_assert_eq!(in_doubt(&plan, &capacitor.key), against, "{} {}\n{}", capacitor.key, volts, text);
            }
        }
    }
}
