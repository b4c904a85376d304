//! The choke input on its cycle average beside ngspice's transients.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here
//! until the start no longer matters. DC within 1 %, ripple within 5 %, peak
//! and effective currents within 5 %, from a tenth of the critical inductance
//! to three times that.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::law::{Law, SILICON};
use firstglow::circuit::supply::{
    ChokeInput, ChokeSteady, Load, Section, Topology, critical_henries,
};
use std::fmt::Write as _;
use support::{device, run};

const HERTZ: f64 = 60.0;
const LOAD: f64 = 5000.0;
/// Parts of the critical inductance.
const PARTS: [f64; 7] = [0.1, 0.2, 0.4, 0.7, 1.0, 1.5, 3.0];

/// Cards of one supply with its load; names end in `n`.
fn circuit(n: usize, input: &ChokeInput, start: &ChokeSteady) -> String {
    let (crest, ahead) = (input.peak_volts, input.source_ohms.max(1e-3));
    let Section { ohms, henries, farads } = input.section;
    let diode = |at: usize, plate: &str, cathode: &str| {
        device(10 * n + at, [plate, "0", "0", cathode], &input.law)
    };
    let (src, one, two, foot, top) =
        (format!("s{n}"), format!("a{n}"), format!("b{n}"), format!("x{n}"), format!("top{n}"));
    let rectifier = match input.topology {
        Topology::HalfWave => {
            format!(
                "VS{n} {src} 0 SIN(0 {crest} {HERTZ})\nR{n} {src} {one} {ahead:e}\n{}\n",
                diode(0, &one, &top)
            )
        }
        Topology::FullWave => format!(
            "VS{n} {src} 0 SIN(0 {crest} {HERTZ})\nVT{n} t{n} 0 SIN(0 {} {HERTZ})\n\
             R{n} {src} {one} {ahead:e}\nRB{n} t{n} {two} {ahead:e}\n{}\n{}\n",
            -crest,
            diode(0, &one, &top),
            diode(1, &two, &top)
        ),
        _ => format!(
            "VS{n} {src} {foot} SIN(0 {crest} {HERTZ})\nR{n} {src} {one} {ahead:e}\nRX{n} {foot} 0 1e9\n{}\n{}\n{}\n{}\n",
            diode(0, &one, &top),
            diode(1, &foot, &top),
            diode(2, "0", &one),
            diode(3, "0", &foot)
        ),
    };
    // Stray capacitance, damped: without any the node ahead of a choke whose
    // current stops has no state of its own.
    format!(
        "{rectifier}CS{n} {top} y{n} 100e-12\nRS{n} y{n} 0 200k\nL{n} {top} l{n} {henries:e} IC={:e}\nRL{n} l{n} out{n} {ohms:e}\n\
         C{n} out{n} 0 {farads:e} IC={:e}\nRLOAD{n} out{n} 0 {LOAD}\n",
        start.steady.state[0],
        0.99 * start.volts
    )
}

fn compare(topology: Topology, law: Law, ratio: f64, farads: f64) {
    let critical = critical_henries(LOAD, HERTZ);
    let supplies: Vec<(ChokeInput, ChokeSteady)> = PARTS
        .iter()
        .map(|part| {
            let input = ChokeInput {
                topology,
                peak_volts: 495.0,
                hertz: HERTZ,
                source_ohms: ratio * LOAD,
                law,
                section: Section { ohms: 0.02 * LOAD, henries: part * critical, farads },
            };
            (input, input.steady(Load::ohms(LOAD), None).unwrap())
        })
        .collect();
    let period = 1.0 / HERTZ;
    let cycles = (4.0 * LOAD * farads / period).ceil().max(16.0);
    let (from, to) = (cycles * period, (cycles + 1.0) * period);
    let mut deck = String::from("choke inputs\n");
    let mut measures = String::new();
    let span = format!("from={from:e} to={to:e}");
    for (n, (input, found)) in supplies.iter().enumerate() {
        deck.push_str(&circuit(n, input, found));
        writeln!(measures, "let w{n} = v(out{n})-{:e}", found.volts).unwrap();
        writeln!(measures, "let i{n} = v(l{n},out{n})/{:e}", input.section.ohms).unwrap();
        writeln!(measures, "let j{n} = v(s{n},a{n})/{:e}", input.source_ohms).unwrap();
        for (name, kind, of) in [
            ("dc", "AVG", "w"),
            ("pp", "PP", "w"),
            ("rms", "RMS", "w"),
            ("least", "MIN", "i"),
            ("peak", "MAX", "j"),
            ("eff", "RMS", "j"),
        ] {
            writeln!(measures, "meas tran {name}{n} {kind} {of}{n} {span}").unwrap();
        }
    }
    let step = period / 500.0;
    write!(
        deck,
        ".options reltol=1e-4 abstol=1e-9 vntol=1e-6 method=gear\n\
         .control\ntran {step:e} {to:e} 0 {step:e} uic\n{measures}.endc\n.end\n"
    )
    .unwrap();
    let told = run(&deck);
    for (n, (part, (_, ours))) in PARTS.iter().zip(&supplies).enumerate() {
        let theirs = |name: &str| {
            *told.get(&format!("{name}{n}")).unwrap_or_else(|| panic!("{name}{n}: {told:?}"))
        };
        let what = format!("{topology:?} {law:?} L/Lcrit {part} Rs/R {ratio}");
        let close = |name: &str, ours: f64, theirs: f64, within: f64| {
            assert!((ours / theirs - 1.0).abs() < within, "{what}: {name} {ours} for {theirs}");
        };
        close("volts", ours.volts, ours.volts + theirs("dc"), 0.01);
        close("ripple", ours.steady.ripple_peak_to_peak, theirs("pp"), 0.05);
        let ripple = (theirs("rms").powi(2) - theirs("dc").powi(2)).sqrt();
        close("ripple rms", ours.steady.ripple_rms, ripple, 0.05);
        close("peak", ours.steady.peak_amps, theirs("peak"), 0.05);
        close("effective", ours.steady.source_rms_amps, theirs("eff"), 0.05);
        // Stray capacitance rings a little below zero where the current stops.
        let mean = ours.volts / LOAD;
        assert!(
            (ours.least_amps - theirs("least").max(0.0)).abs() < 0.02 * mean,
            "{what}: {ours:?} {told:?}"
        );
    }
}

fn tube() -> Law {
    Law::rectifier(50.0, 0.125)
}

macro_rules! against_ngspice {
    ($name:ident, $topology:expr, $law:expr, $(($ratio:expr, $farads:expr)),+) => {
        #[test]
        fn $name() {
            $(compare($topology, $law, $ratio, $farads);)+
        }
    };
}

against_ngspice!(
    full_wave_tubes_agree,
    Topology::FullWave,
    tube(),
    (0.005, 16e-6),
    (0.05, 8e-6),
    (0.20, 16e-6)
);
against_ngspice!(
    full_wave_silicon_agrees,
    Topology::FullWave,
    SILICON,
    (0.005, 16e-6),
    (0.20, 8e-6)
);
against_ngspice!(bridges_agree, Topology::Bridge, SILICON, (0.05, 16e-6), (0.20, 8e-6));
against_ngspice!(half_waves_agree, Topology::HalfWave, tube(), (0.02, 8e-6));
