//! Supplies whose rectifier tube is turned round, or heated by a winding that
//! is called a secondary: their capacitors hold what that supply gives.

use firstglow::plan::plan;
use firstglow::plan::types::{Plan, PlannedPart};
use firstglow::sheet::Sheet;
use std::f64::consts::SQRT_2;

fn part<'p>(plan: &'p Plan, key: &str) -> &'p PlannedPart {
    plan.parts.iter().find(|p| p.key == key).unwrap()
}

/// A main supply of 300 V a side, and a winding of so many volts whose
/// rectifier has its cathode on the winding, its plate at `out`.
fn turned(volts: u32, tube: &str, rest: &str) -> Plan {
    plan(&Sheet::read(&format!(
        "mains 117 V 60 Hz\nsupply transformer\nT1 power primary 1 to 2 117 V\n \
         secondary 3 to 5 tap 4 600 V\n secondary 8 to 9 {volts} V\n secondary 6 to 7 5 V\n\
         wire T1.1 to line\nwire T1.2 to neutral\nwire T1.4 to chassis\nwire T1.9 to chassis\n\
         V1 5Y3GT 2=T1.6 8=T1.7 4=T1.3 6=T1.5\nwire T1.7 to B0\n\
         C1 16 mfd 475 V electrolytic B0 to chassis\nR1 10K 20 W B0 to chassis\n{tube}\n{rest}"
    )))
}

#[test]
fn a_small_capacitor_at_a_turned_rectifier_holds_its_own_supply() {
    for (volts, tube, capacitor) in [
        (700, "V2 2X2 1=T1.8 4=T1.8 cap=out", ".5 mfd 400 V oil"),
        (850, "V2 2X2 1=T1.8 4=T1.8 cap=out", ".25 mfd 600 V paper"),
        (1000, "V2 2X2 1=T1.8 4=T1.8 cap=out", ".1 mfd 600 V paper"),
        (60, "V2 6X5GT 3=out 5=out 8=T1.8", ".5 mfd 50 V paper"),
    ] {
        let plan =
            turned(volts, tube, &format!("C2 {capacitor} out to chassis\nR2 1 meg out to chassis"));
        let peak = f64::from(volts) * SQRT_2 * 125.0 / 117.0;
        let told = part(&plan, "C2").no_load.as_ref().unwrap().volts;
        assert!((told - peak).abs() < 1.0, "{told} {peak}");
        let rating = part(&plan, "C2").replacement.as_ref().map(|r| r.rating_v);
        assert!(rating.is_none_or(|rating| rating >= peak), "{rating:?} {peak}");
    }
}

#[test]
fn an_electrolytic_there_has_its_plus_at_the_chassis() {
    for (volts, tube) in [(70, "V2 6X5GT 3=out 5=out 8=T1.8"), (90, "V2 5Y3GT 4=out 6=out 2=T1.8")]
    {
        let plan = turned(
            volts,
            tube,
            "C2 20 mfd 150 V electrolytic chassis to out\nR2 22K out to chassis",
        );
        let new = part(&plan, "C2").replacement.as_ref().unwrap();
        let told = new.polarity.as_ref().unwrap().to_string();
        assert!(told.starts_with("positive to chassis (computed"), "{told}");
        assert!(new.rating_v >= f64::from(volts) * SQRT_2 * 125.0 / 117.0);
    }
}

#[test]
fn a_filament_winding_called_secondary_leaves_the_supply_closed() {
    let plan = turned(
        60,
        "V2 6X5GT 3=out 5=out 8=T1.8",
        "C2 20 mfd 100 V electrolytic chassis to out\nR2 22K out to chassis",
    );
    let told = part(&plan, "C1").no_load.as_ref().unwrap().volts;
    assert!((told - 300.0 * SQRT_2 * 125.0 / 117.0).abs() < 1.0, "{told}");
    assert!(!plan.hazards.iter().any(|h| h.id.starts_with("unknown-supply-v1")));
}

#[test]
fn a_first_filter_that_comes_back_to_the_line_before_a_field_is_a_filter() {
    for (negative, typed) in [
        ("R1 820 1 W B- to neutral", "B+ to neutral"),
        ("L1 field 450 ohm neutral to B-", "B+ to neutral"),
        ("L1 choke 8 H 250 ohm neutral to B-", "neutral to B+"),
    ] {
        let plan = plan(&Sheet::read(&format!(
            "mains 117 V 60 Hz\nsupply series-string half-wave\nV1 35W4 4=line 5=line 7=B+\n\
             {negative}\nC1 30 mfd 150 V electrolytic {typed}\n\
             C2 50 mfd 150 V electrolytic B+ to B-\nR2 3.3K 10 W B+ to B-"
        )));
        let new = part(&plan, "C1").replacement.as_ref().unwrap();
        assert!(new.class.is_none() && new.rating_v >= SQRT_2 * 125.0, "{new:?}");
        let told = new.polarity.as_ref().unwrap().to_string();
        assert!(told.starts_with("positive to B+"), "{negative} {told}");
    }
}

/// Two 45s, the way their bias comes to the chassis, and its capacitor.
fn push_pull(windings: &str, bias: &str) -> Plan {
    plan(&Sheet::read(&format!(
        "mains 117 V 60 Hz\nsupply transformer\nT1 power primary 1 to 2 117 V\n \
         secondary 3 to 5 tap 4 640 V\n heater 6 to 7 5 V\n {windings}\n\
         wire T1.1 to line\nwire T1.2 to neutral\nwire T1.4 to chassis\n\
         V1 80 1=B0 2=T1.3 3=T1.5 4=T1.7\nwire T1.6 to B0\n\
         C1 8 mfd 500 V electrolytic B0 to chassis\nL1 choke 10 H 200 ohm B0 to B1\n\
         C2 8 mfd 500 V electrolytic B1 to chassis\nR9 30K 10 W B1 to chassis\n\
         V2 45 1=T1.8 2=B1 3=g 4=T1.10\nV3 45 1=T1.8 2=B1 3=g 4=T1.10\n\
         R2 470K g to chassis\n{bias}"
    )))
}

#[test]
fn the_bypass_at_a_filament_or_its_tap_is_that_of_a_cathode() {
    for (windings, bias) in [
        (
            "heater 8 to 10 tap 9 2.5 V",
            "R1 800 10 W T1.9 to chassis\nC3 10 mfd 50 V T1.9 to chassis",
        ),
        ("heater 8 to 10 2.5 V", "R1 800 10 W T1.8 to chassis\nC3 10 mfd 50 V T1.8 to chassis"),
        ("heater 8 to 10 2.5 V", "R1 800 10 W T1.10 to chassis\nC3 10 mfd 50 V T1.10 to chassis"),
        (
            "heater 8 to 10 2.5 V",
            "R3 10 ohm T1.8 to hum\nR4 10 ohm hum to T1.10\nR1 800 10 W hum to chassis\n\
             C3 10 mfd 50 V hum to chassis",
        ),
    ] {
        let plan = push_pull(windings, bias);
        let (capacitor, volts) =
            (part(&plan, "C3"), part(&plan, "C3").stress.as_ref().unwrap().volts);
        assert!((30.0..75.0).contains(&volts), "{bias} {volts}");
        let rating = capacitor.replacement.as_ref().unwrap().rating_v;
        assert!(rating >= 2.0 * volts, "{bias} {volts} {rating}");
        assert_eq!(capacitor.no_load.as_ref().unwrap().held_by, ["R1"], "{bias}");
        assert!(plan.hazards.iter().any(|h| h.id == "opened-resistor"), "{bias}");
    }
}
