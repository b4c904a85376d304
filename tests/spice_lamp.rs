//! The set on a lamp beside ngspice's transients.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here
//! with the same laws written out apart: the lamp's and the heaters' resistance
//! follow their own mean square volts, kept on a capacitor. Volts and current
//! within 1 %.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::lamp::Lamp;
use firstglow::circuit::limiter::{
    Core, Effect, Fault, FaultKind, Heat, Point, Rectifies, SetLoad, faults,
};
use firstglow::circuit::state::Set;
use firstglow::circuit::supply::Topology;
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::{Sheet, examples::EXAMPLES};
use std::f64::consts::{PI, SQRT_2};
use std::fmt::Write as _;
use support::{device, run};

const HERTZ: f64 = 60.0;
/// Seconds in which the lamp's and the heaters' resistances follow.
const FOLLOWS: f64 = 0.12;

fn load(example: usize) -> (SetLoad, Vec<Fault>) {
    let sheet = Sheet::read(EXAMPLES[example].text);
    let wiring = Wiring::of(&sheet);
    let set = Set::of(&sheet, &wiring);
    let mut load = SetLoad::of(&sheet, &set).unwrap();
    let faults = faults(&sheet, &set, &load);
    // Emission at low volts is no law that a simulator knows: all conduct.
    load.fed.as_mut().unwrap().rectifies = Rectifies::Dry;
    load.cold = load.warm.clone();
    (load, faults)
}

fn kind(faults: &[Fault], kind: FaultKind) -> &Fault {
    faults.iter().find(|fault| fault.kind == kind).unwrap()
}

/// Cards of line, lamp and heaters; `p` is the line at the set.
fn line(load: &SetLoad, watts: f64, point: &Point, cold: bool, shunt: f64) -> String {
    let (rated, amps) = (120.0, watts / 120.0);
    let hot = format!("sqrt(max(v(h),1e-9))/({amps}*pow(sqrt(max(v(h),1e-9))/{rated},0.55))");
    let lamp = format!("max({hot},{:e})", rated / amps / 13.0);
    let siemens = load.heaters.watts / load.mains_v.powi(2);
    let heater = if cold {
        format!("{}", 1.0 / 6.0)
    } else {
        format!("max(1/6,pow(sqrt(max(v(g),1e-9))/{},0.45))", load.mains_v)
    };
    let mut deck = format!(
        "VL line 0 SIN(0 {} {HERTZ})\nBLAMP line p I=(v(line)-v(p))/({lamp})\n\
         BH 0 h I=(v(line)-v(p))^2\nRH h 0 1\nCH h 0 {FOLLOWS} IC={}\n\
         BG 0 g I=v(p)^2\nRG g 0 1\nCG g 0 {FOLLOWS} IC={}\n\
         BHEAT p 0 I=v(p)*{siemens:e}/({heater})\n",
        point.line_v * SQRT_2,
        (1.03 * point.lamp_v).powi(2),
        (0.97 * point.set_v).powi(2),
    );
    if load.core.watts > 0.0 {
        let ohms = load.mains_v.powi(2) / load.core.watts;
        let henries = load.mains_v / (2.0 * PI * HERTZ * load.core.amps);
        writeln!(deck, "RCORE p 0 {ohms:e}\nLCORE p 0 {henries:e}").unwrap();
    }
    if shunt > 0.0 {
        writeln!(deck, "RSHUNT p 0 {:e}", 1.0 / shunt).unwrap();
    }
    deck
}

/// The cards of B+; `out` is the reservoir, `short` ties it to its return.
fn rectifier(load: &SetLoad, curve: &[(f64, f64)], leak: f64, short: bool, near: &Point) -> String {
    let fed = load.fed.unwrap();
    let (n, ohms) = (fed.ratio, fed.supply.source_ohms);
    let mut deck = format!(
        "E1 s1x 0 p 0 {n}\nV1 s1x s1 0\nF1 p 0 V1 {n}\nR1 s1 a1 {ohms:e}\n{}\n",
        device(1, ["a1", "0", "0", "out"], &fed.supply.law)
    );
    if fed.supply.topology == Topology::FullWave {
        writeln!(
            deck,
            "E2 s2x 0 p 0 {}\nV2 s2x s2 0\nF2 p 0 V2 {}\nR2 s2 a2 {ohms:e}\n{}",
            -n,
            -n,
            device(2, ["a2", "0", "0", "out"], &fed.supply.law)
        )
        .unwrap();
    }
    if short {
        writeln!(deck, "RSHORT out 0 1e-3").unwrap();
        return deck;
    }
    let points: Vec<String> = curve.iter().map(|(v, i)| format!("{v:e},{i:e}")).collect();
    writeln!(
        deck,
        "BOUT out 0 I=pwl(v(out),{})\nC1 out 0 {:e} IC={:e}",
        points.join(","),
        fed.supply.farads[0],
        // Off the mark on purpose, so that agreement is found, not given.
        0.96 * near.b_plus
    )
    .unwrap();
    if leak > 0.0 {
        writeln!(deck, "RLEAK out 0 {:e}", 1.0 / leak).unwrap();
    }
    deck
}

/// Runs a deck until its resistances have settled, and compares.
fn compare(what: &str, cards: &str, ours: &Point) {
    let period = 1.0 / HERTZ;
    let (from, to) = (90.0 * period, 92.0 * period);
    let span = format!("from={from:e} to={to:e}");
    let deck = format!(
        "{what}\n{cards}.options reltol=1e-4 method=gear\n.control\n\
         tran {:e} {to:e} 0 {:e} uic\nlet vlamp=v(line)-v(p)\nlet iline=-i(vl)\n\
         meas tran lamp RMS vlamp {span}\nmeas tran set RMS v(p) {span}\n\
         meas tran amps RMS iline {span}\nmeas tran bplus AVG v(out) {span}\n.endc\n.end\n",
        period / 300.0,
        period / 300.0
    );
    let told = run(&deck);
    for (name, ours, scale) in [
        ("lamp", ours.lamp_v, ours.line_v),
        ("set", ours.set_v, ours.line_v),
        ("amps", ours.amps, ours.amps),
        ("bplus", ours.b_plus, ours.b_plus.max(10.0)),
    ] {
        let theirs = told[name];
        // Lamp and set share the line: each is held against the whole of it.
        assert!((ours - theirs).abs() < 0.01 * scale, "{what}: {name} {ours} for {theirs}");
    }
}

fn lamp(watts: f64) -> Lamp {
    Lamp::new(120.0, watts).unwrap()
}

#[test]
fn a_series_string_behind_lamps_agrees_at_every_stage() {
    let (load, _) = load(0);
    for (watts, line_v) in [(40.0, 117.0), (60.0, 117.0), (60.0, 60.0), (100.0, 94.0)] {
        let point = load.point(Some(&lamp(watts)), line_v, Heat::Settled, None);
        let cards = line(&load, watts, &point, false, 0.0)
            + &rectifier(&load, &load.warm.points, 0.0, false, &point);
        compare(&format!("string {watts} W {line_v} V"), &cards, &point);
    }
}

#[test]
fn a_transformer_set_behind_lamps_agrees_at_every_stage() {
    let (load, _) = load(1);
    assert!(load.core != Core::default());
    for (watts, line_v) in [(100.0, 117.0), (200.0, 117.0), (100.0, 76.0)] {
        let point = load.point(Some(&lamp(watts)), line_v, Heat::Settled, None);
        let cards = line(&load, watts, &point, false, 0.0)
            + &rectifier(&load, &load.warm.points, 0.0, false, &point);
        compare(&format!("transformer {watts} W {line_v} V"), &cards, &point);
    }
}

#[test]
fn cold_heaters_behind_a_lamp_agree() {
    for (example, watts) in [(0, 60.0), (1, 200.0)] {
        let (load, _) = load(example);
        let point = load.point(Some(&lamp(watts)), 117.0, Heat::At(0.0), None);
        let cards = line(&load, watts, &point, true, 0.0)
            + &rectifier(&load, &load.cold.points, 0.0, false, &point);
        compare(&format!("cold {example}"), &cards, &point);
    }
}

#[test]
fn shorts_and_leaks_behind_a_lamp_agree() {
    for (example, watts) in [(0, 60.0), (1, 200.0)] {
        let (load, faults) = load(example);
        let at = |fault| load.point(Some(&lamp(watts)), 117.0, Heat::Settled, Some(fault));
        let cards = |leak, short, near: &Point| {
            line(&load, watts, near, false, 0.0)
                + &rectifier(&load, &load.warm.points, leak, short, near)
        };
        let short = kind(&faults, FaultKind::FilterShorted);
        let point = at(short);
        compare(&format!("short {example}"), &cards(0.0, true, &point), &point);
        let leaky = kind(&faults, FaultKind::FilterLeaky);
        let Effect::Leak(siemens) = leaky.effect else { panic!("{leaky:?}") };
        let point = at(leaky);
        compare(&format!("leak {example}"), &cards(siemens, false, &point), &point);
    }
}

#[test]
fn half_a_winding_on_ground_and_a_lost_bias_agree() {
    let (load, faults) = load(1);
    let half = kind(&faults, FaultKind::HalfGrounded);
    let Effect::Shunt(siemens) = half.effect else { panic!("{half:?}") };
    let point = load.point(Some(&lamp(200.0)), 117.0, Heat::Settled, Some(half));
    let cards = line(&load, 200.0, &point, false, siemens)
        + &rectifier(&load, &load.warm.points, 0.0, false, &point);
    compare("half a winding", &cards, &point);

    let lost = kind(&faults, FaultKind::NoBias);
    let Effect::Circuit(curve) = &lost.effect else { panic!("{lost:?}") };
    let point = load.point(Some(&lamp(200.0)), 117.0, Heat::Settled, Some(lost));
    let cards = line(&load, 200.0, &point, false, 0.0)
        + &rectifier(&load, &curve.points, 0.0, false, &point);
    compare("lost bias", &cards, &point);
}

#[test]
fn a_shorted_half_wave_rectifier_agrees() {
    let (load, faults) = load(0);
    let shorted = kind(&faults, FaultKind::RectifierShorted);
    let point = load.point(Some(&lamp(60.0)), 117.0, Heat::Settled, Some(shorted));
    let fed = load.fed.unwrap();
    let volts = point.set_v * fed.ratio;
    let mut cards = line(&load, 60.0, &point, false, 0.0);
    // The circuit as a resistance: what it takes there, both ways.
    let ohms = volts / load.warm.at(volts).0;
    write!(
        cards,
        "E1 s1x 0 p 0 {n}\nV1 s1x s1 0\nF1 p 0 V1 {n}\nR1 s1 out {:e}\nC1 out 0 {:e}\nRO out 0 {ohms:e}\n",
        fed.supply.source_ohms,
        fed.supply.farads[0],
        n = fed.ratio
    )
    .unwrap();
    compare("shorted rectifier", &cards, &point);
}
