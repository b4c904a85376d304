//! Resistors on the line: droppers, surge resistors, shunts of lamps and line
//! cords are tested and told their heat; only bridges to metal are raised.

use crate::chance::cases;
use firstglow::plan::plan;
use firstglow::plan::types::{Decision, PlannedPart};
use firstglow::sheet::Sheet;
use proptest::prelude::*;
use proptest::sample::select;

fn part(text: &str, key: &str) -> PlannedPart {
    plan(&Sheet::read(text)).parts.into_iter().find(|p| p.key == key).unwrap()
}

fn watts(text: &str, key: &str) -> Option<f64> {
    part(text, key).watts.map(|w| w.running)
}

/// Five miniature tubes of .15 A with a surge resistor to the plate.
const SURGE: &str = "mains 117 V 60 Hz\nsupply series-string half-wave\n\
    V1 12BE6 3=h1 4=h0\nV2 12BA6 3=h1 4=h2\nV3 12AV6 3=B- 4=h0\nV4 50C5 3=h2 4=h3\n\
    V5 35W4 3=h3 4=line 5=ac 6=tap 7=B0\nPL1 6.3 V .15 A line to tap\nS1 neutral to B-\n\
    R1 33 1 W tap to ac\nC50 50 mfd 150 V electrolytic B0 to B-\nR9 2000 10 W B0 to B-\n";

/// A dropper of 160 Ω ahead of .3 A heaters.
const DROPPED: &str = "mains 117 V 60 Hz\nsupply series-string\nR1 160 25 W line to h5\n\
    V1 6D6 1=h1 6=h0\nV2 6C6 1=h2 6=h1\nV3 43 1=h3 6=h2\nV4 25Z5 1=h5 6=h3 2=line 5=line 3=B0 4=B0\n\
    wire h0 to B-\nwire neutral to B-\nC50 16 mfd 150 V electrolytic B0 to B-\nR9 3000 5 W B0 to B-\n";

/// The same tubes on a resistance cord, the chassis as B-.
const CORD: &str = "mains 117 V 60 Hz\nsupply series-string\nW1 resistance cord 180 ohm line to h5\n\
    V1 6D6 1=h1 6=chassis\nV2 6C6 1=h2 6=h1\nV3 43 1=h3 6=h2\n\
    V4 25Z5 1=h5 6=h3 2=line 5=line 3=B0 4=B0\nS1 neutral to chassis\n\
    C50 16 mfd 150 V electrolytic B0 to chassis\nR9 3000 5 W B0 to chassis\n";

/// 220 V, .1 A: a surge resistor for silicon and a dropper, lamps with a shunt.
const EUROPEAN: &str = "mains 220 V 50 Hz\nsupply series-string\nR1 160 5 W line to a\n\
    SR1 silicon a to B0\nR2 1850 25 W line to s1\nPL1 18 V .1 A s1 to s2\nR3 330 s1 to s2\n\
    type U1 class=power-pentode base=octal pins=2:h,7:h,3:p,4:g2,5:g1,8:k heater=20V/0.1A\n\
    S1 neutral to B-\nC50 50 mfd 350 V electrolytic B0 to B-\nR9 10K 10 W B0 to B-\n";

#[test]
fn what_carries_heaters_lamps_or_the_rectifier_is_never_raised() {
    for (set, keys) in [
        (SURGE, vec!["R1"]),
        (DROPPED, vec!["R1"]),
        (EUROPEAN, vec!["R1", "R2", "R3"]),
        ("supply series-string\nR1 22 1/2 W line to ac\nSR1 selenium ac to B0\n", vec!["R1"]),
        ("supply series-string\nR1 220 25 W line to x\n", vec!["R1"]),
        ("supply series-string\nR1 47 neutral to B-\nR2 160 10 W line to V5.5\n", vec!["R1", "R2"]),
        ("supply series-string\nPL1 6.3 V .15 A line to t\nR1 25 5 W line to t\n", vec!["R1"]),
        ("R1 33 tap to ac\nV5 35Z5GT 2=line 3=tap 5=ac 8=B0\n", vec!["R1"]),
        ("supply series-string\nV1 50L6GT 7=chassis 2=h2\nR1 220 25 W line to h2\n", vec!["R1"]),
        (
            "supply series-string\nV1 50L6GT 8=k\nR1 150 k to chassis\nR2 120 25 W B- to h1\n",
            vec!["R1", "R2"],
        ),
    ] {
        for key in keys {
            let found = part(set, key);
            assert_eq!(found.decision, Decision::Test, "{set} {key}: {}", found.reason);
            assert!(!found.reason.contains("raised"), "{set} {key}");
            assert!(!found.checks.is_empty(), "{set} {key}");
        }
    }
}

#[test]
fn a_bridge_from_the_line_to_metal_is_raised_where_both_ends_are_proven() {
    for (set, line) in [
        (SURGE, "R8 220K B- to chassis"),
        (SURGE, "R8 100K earth to B-"),
        (SURGE, "R8 47K neutral to cabinet"),
        (DROPPED, "F1 1 A line to lf\nR8 150K lf to panel"),
        (EUROPEAN, "R8 100K B- to ground"),
        (SURGE, "R8 100K control B- to chassis"),
        ("supply transformer\n", "R8 68K line to chassis"),
    ] {
        let found = part(&format!("{set}{line}\n"), "R8");
        assert_eq!(found.decision, Decision::Replace, "{line}: {}", found.reason);
        assert!(found.reason.contains("From the line to metal"), "{line}");
    }
    let kept = part(&format!("{SURGE}R8 470K B- to chassis\n"), "R8");
    assert_eq!(kept.decision, Decision::Test);
}

/// I²·R by hand from the rated current of the heaters.
#[test]
fn droppers_and_cords_are_told_the_heat_of_the_string() {
    // 0.3 A in 160 Ω.
    let dropper = part(DROPPED, "R1");
    assert!((dropper.watts.as_ref().unwrap().running - 14.4).abs() < 0.01);
    let how = dropper.working.iter().find(|w| w.of == "watts").unwrap();
    assert_eq!(how.rule, "I²·R of the effective current");
    assert!(how.result.to_string().ends_with("14.4 W of heat"), "{}", how.result);
    assert!(how.inputs.iter().any(|i| i.name == "heater current"));
    // 0.3 A in 220 Ω.
    let more = DROPPED.replace("R1 160", "R1 220");
    assert!((watts(&more, "R1").unwrap() - 19.8).abs() < 0.01);
    // 0.15 A in 30 Ω between two heaters, less what the rectifier's pulses at
    // the tap take from the string.
    let between = SURGE.replace("V4 50C5 3=h2 4=h3", "V4 50C5 3=h2 4=h9\nR7 30 5 W h9 to h3");
    assert!((0.6..0.675).contains(&watts(&between, "R7").unwrap()));
    // 0.3 A in 180 Ω along the cord: 54 V, 16.2 W.
    let cord = part(CORD, "W1");
    let how = cord.working.iter().find(|w| w.of == "heater drop").unwrap();
    assert_eq!(how.result, "drops 54 V, 16.2 W of heat");
    // More than its rating is said.
    let small = DROPPED.replace("160 25 W", "160 10 W");
    assert!(part(&small, "R1").checks.iter().any(|c| c.what.starts_with("Overloaded")));
}

/// 2.63 times the direct current, by the simulation that the sources name.
#[test]
fn a_surge_resistor_is_told_the_heat_of_the_rectifiers_pulses() {
    for (set, ohms) in [(SURGE, 33.0), (EUROPEAN, 160.0)] {
        let plan = plan(&Sheet::read(set));
        let direct = plan.supply.supplies[0].ma * 1e-3;
        let found = plan.parts.iter().find(|p| p.key == "R1").unwrap();
        let wanted = (2.63 * direct).powi(2) * ohms;
        let running = found.watts.as_ref().unwrap().running;
        assert!((running - wanted).abs() < 0.01 * wanted, "{running} is not {wanted}");
    }
}

#[test]
fn a_string_that_is_cut_or_mixed_tells_no_watts_and_never_none() {
    let cut = DROPPED.replace("V3 43 1=h3 6=h2\n", "");
    let mixed = DROPPED.replace("V1 6D6 1=h1 6=h0", "V1 12SA7 2=h1 7=h0");
    let unknown = DROPPED.replace("V3 43", "V3 43XYZ");
    for (set, key) in [(&cut, "R1"), (&mixed, "R1"), (&unknown, "R1")] {
        assert_eq!(watts(set, key), None, "{set}");
    }
}

proptest! {
    #![proptest_config(cases(400))]

    /// Whatever is left off the sheet, a series part never runs cold.
    #[test]
    fn a_part_in_series_with_the_line_is_never_told_no_watts(
        set in select(vec![SURGE, DROPPED, EUROPEAN]),
        out in prop::collection::vec(0_usize..16, 0..4),
        ohms in 20_u32..900,
    ) {
        let lines: Vec<&str> = set
            .lines()
            .enumerate()
            .filter(|(at, line)| {
                !out.contains(at) || line.starts_with("R1") || line.starts_with("supply")
            })
            .map(|(_, line)| line)
            .collect();
        let kept = lines.join("\n");
        let text = format!("{kept}\nR7 {ohms} 20 W line to dropped\n");
        for key in ["R1", "R7"] {
            let found = part(&text, key);
            prop_assert_eq!(found.decision, Decision::Test, "{}", text);
            if let Some(watts) = found.watts {
                prop_assert!(watts.running > 0.0, "{} {}", key, text);
            }
        }
    }
}
