//! What the capacitors of a doubler bear, beside ngspice's transients.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here
//! until the start no longer matters. Mean volts within 1 %, the swing and the
//! ripple current within 5 %.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::law::{Law, SILICON};
use firstglow::circuit::supply::{Load, Supply, Topology};
use std::f64::consts::{PI, SQRT_2};
use std::fmt::Write as _;
use support::{device, run};

const HERTZ: f64 = 60.0;
const LOAD: f64 = 4000.0;

/// A half-wave doubler on the line with its load; `first` stands for the
/// rectifier that charges the series capacitor.
fn cards(supply: &Supply, first: &Law, near: f64) -> String {
    let (v, r) = (supply.peak_volts, supply.source_ohms);
    let [c1, c2] = supply.farads;
    format!(
        "VS s 0 SIN(0 {v} {HERTZ})\nR1 s a {r:e}\nC1 x a {c1:e} IC={}\nC2 out 0 {c2:e} IC={near}\n\
         RLOAD out 0 {LOAD}\n{}\n{}\n",
        0.5 * near,
        device(1, ["0", "0", "0", "x"], first),
        device(2, ["x", "0", "0", "out"], &supply.law),
    )
}

fn supply(law: Law, wcr: [f64; 2], ratio: f64) -> Supply {
    Supply {
        topology: Topology::DoublerHalfWave,
        peak_volts: 117.0 * SQRT_2,
        hertz: HERTZ,
        source_ohms: ratio * LOAD,
        law,
        farads: wcr.map(|wcr| wcr / (2.0 * PI * HERTZ * LOAD)),
    }
}

#[test]
fn both_capacitors_bear_what_a_transient_shows() {
    for (law, wcr, ratio) in [
        (SILICON, [60.0, 60.0], 0.005),
        (SILICON, [20.0, 100.0], 0.02),
        (Law::rectifier(22.0, 0.15), [60.0, 60.0], 0.005),
        (Law::rectifier(22.0, 0.15), [25.0, 25.0], 0.05),
        (Law::selenium(6.0, 0.1), [60.0, 30.0], 0.005),
        (Law::selenium(6.0, 0.1), [5.0, 5.0], 0.20),
    ] {
        let supply = supply(law, wcr, ratio);
        let load = Load::ohms(LOAD);
        let steady = supply.steady(load).unwrap();
        let duties = supply.duties(load, &steady).unwrap();
        // The slowest of both: some six time constants.
        let cycles = (wcr[0] + wcr[1]).max(20.0).ceil();
        let (from, to) = (cycles / HERTZ, (cycles + 1.0) / HERTZ);
        let mut deck = format!("doubler\n{}", cards(&supply, &law, 0.97 * steady.volts));
        write!(
            deck,
            ".options reltol=1e-5 abstol=1e-10 vntol=1e-7 method=gear\n.control\n\
             tran {step:e} {to:e} 0 {step:e} uic\nlet w0 = v(x)-v(a)\nlet w1 = v(out)\n\
             let i0 = v(a,s)/{:e}\n",
            supply.source_ohms,
            step = 1.0 / HERTZ / 1000.0
        )
        .unwrap();
        let span = format!("from={from:e} to={to:e}");
        for (name, kind, of) in [
            ("dc0", "AVG", "w0"),
            ("dc1", "AVG", "w1"),
            ("pp0", "PP", "w0"),
            ("pp1", "PP", "w1"),
            ("rms0", "RMS", "i0"),
        ] {
            writeln!(deck, "meas tran {name} {kind} {of} {span}").unwrap();
        }
        deck.push_str(".endc\n.end\n");
        let told = run(&deck);
        let what = format!("{law:?} {wcr:?} {ratio}");
        let close = |name: &str, ours: f64, within: f64| {
            let theirs = told[name];
            assert!((ours / theirs - 1.0).abs() < within, "{what}: {name} {ours} for {theirs}");
        };
        for (n, duty) in duties.iter().enumerate() {
            close(&format!("dc{n}"), duty.volts, 0.01);
            close(&format!("pp{n}"), duty.extremes.1 - duty.extremes.0, 0.05);
        }
        close("rms0", duties[0].rms_amps, 0.05);
    }
}

/// What the plan warns of: with the rectifier that charges it open, the series
/// capacitor is charged the wrong way round, to the crest, and the output falls.
#[test]
fn an_open_first_rectifier_turns_the_series_capacitor_round() {
    let supply = supply(SILICON, [60.0, 60.0], 0.005);
    let to = 200.0 / HERTZ;
    let deck = format!(
        "open\n{}.options reltol=1e-4 method=gear\n.control\ntran {step:e} {to:e} 0 {step:e} uic\n\
         let w0 = v(x)-v(a)\nmeas tran end AVG w0 from={:e} to={to:e}\n\
         meas tran out AVG v(out) from={:e} to={to:e}\n.endc\n.end\n",
        cards(&supply, &Law::Off, 300.0),
        to - 1.0 / HERTZ,
        to - 1.0 / HERTZ,
        step = 1.0 / HERTZ / 200.0
    );
    let told = run(&deck);
    assert!(
        told["end"] < -0.95 * supply.peak_volts && told["end"] > -supply.peak_volts,
        "{told:?}"
    );
    assert!(told["out"] < 10.0, "{told:?}");
}
