//! The cycle-average supply beside ngspice's transients.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here
//! until the start no longer matters. DC within 1 %, ripple within 5 %, peak
//! and rms rectifier current within 5 %.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::fit::fit;
use firstglow::circuit::law::{Law, SILICON};
use firstglow::circuit::netlist::{Netlist, NodeId, Terminals};
use firstglow::circuit::solver::Options;
use firstglow::circuit::supply::{Load, Steady, Supply, Topology, couple};
use firstglow::trade::tubes::find;
use std::f64::consts::PI;
use std::fmt::Write as _;
use support::{device, run};

const HERTZ: f64 = 60.0;
const LOAD: f64 = 3000.0;
const RATIOS: [f64; 4] = [0.005, 0.02, 0.05, 0.20];

/// Cards of one supply with its load; names end in `n`.
fn circuit(n: usize, supply: &Supply, start: &Steady, load_ohms: f64) -> String {
    let (v, r) = (supply.peak_volts, supply.source_ohms.max(1e-3));
    let [c1, c2] = supply.farads;
    let diode = |at: usize, plate: &str, cathode: &str| {
        let n = 10 * n + at;
        device(n, [plate, "0", "0", cathode], &supply.law)
    };
    // Off the mark on purpose, so that agreement is found, not given.
    let near = 0.97 * start.volts;
    let half = 0.5 * near;
    let wave =
        |name: &str, sign: f64| format!("V{name}{n} {name}{n} 0 SIN(0 {} {HERTZ})\n", sign * v);
    let load = |top: &str, bottom: &str| format!("RLOAD{n} {top} {bottom} {load_ohms:e}\n");
    match supply.topology {
        Topology::HalfWave => format!(
            "{}R{n} s{n} a{n} {r:e}\n{}\nC{n} out{n} 0 {c1:e} IC={near}\n{}",
            wave("s", 1.0),
            diode(0, &format!("a{n}"), &format!("out{n}")),
            load(&format!("out{n}"), "0")
        ),
        Topology::FullWave => format!(
            "{}{}R{n} s{n} a{n} {r:e}\nRB{n} t{n} b{n} {r:e}\n{}\n{}\nC{n} out{n} 0 {c1:e} IC={near}\n{}",
            wave("s", 1.0),
            wave("t", -1.0),
            diode(0, &format!("a{n}"), &format!("out{n}")),
            diode(1, &format!("b{n}"), &format!("out{n}")),
            load(&format!("out{n}"), "0")
        ),
        Topology::Bridge => format!(
            "VS{n} s{n} x{n} SIN(0 {v} {HERTZ})\nR{n} s{n} a{n} {r:e}\n{}\n{}\n{}\n{}\nRX{n} x{n} 0 1e9\nC{n} out{n} 0 {c1:e} IC={near}\n{}",
            diode(0, &format!("a{n}"), &format!("out{n}")),
            diode(1, &format!("x{n}"), &format!("out{n}")),
            diode(2, "0", &format!("a{n}")),
            diode(3, "0", &format!("x{n}")),
            load(&format!("out{n}"), "0")
        ),
        Topology::DoublerFullWave => format!(
            "VS{n} s{n} m{n} SIN(0 {v} {HERTZ})\nR{n} s{n} a{n} {r:e}\n{}\n{}\nC{n} out{n} m{n} {c1:e} IC={half}\nCB{n} m{n} 0 {c2:e} IC={half}\n{}",
            diode(0, &format!("a{n}"), &format!("out{n}")),
            diode(1, "0", &format!("a{n}")),
            load(&format!("out{n}"), "0")
        ),
        Topology::DoublerHalfWave => format!(
            "{}R{n} s{n} a{n} {r:e}\nC{n} x{n} a{n} {c1:e} IC={half}\n{}\n{}\nCB{n} out{n} 0 {c2:e} IC={near}\n{}",
            wave("s", 1.0),
            diode(0, "0", &format!("x{n}")),
            diode(1, &format!("x{n}"), &format!("out{n}")),
            load(&format!("out{n}"), "0")
        ),
    }
}

/// Compares supplies that differ in source resistance, in one run.
fn compare(topology: Topology, law: Law, wcr: f64) {
    let farads = [wcr / (2.0 * PI * HERTZ * LOAD); 2];
    let supplies: Vec<(Supply, Steady)> = RATIOS
        .iter()
        .map(|ratio| {
            let source_ohms = ratio * LOAD;
            let supply =
                Supply { topology, peak_volts: 495.0, hertz: HERTZ, source_ohms, law, farads };
            (supply, supply.steady(Load::ohms(LOAD)).unwrap())
        })
        .collect();
    let period = 1.0 / HERTZ;
    // Six time constants of reservoir and load, and a few cycles at least.
    let cycles = (6.0 * wcr / (2.0 * PI)).ceil().max(12.0);
    let (from, to) = (cycles * period, (cycles + 1.0) * period);
    let mut deck = String::from("supplies\n");
    let mut measures = String::new();
    for (n, (supply, steady)) in supplies.iter().enumerate() {
        deck.push_str(&circuit(n, supply, steady, LOAD));
        let span = format!("from={from:e} to={to:e}");
        // About its middle: the squares of the whole would drown the ripple.
        writeln!(measures, "let w{n} = v(out{n})-{:e}", steady.volts).unwrap();
        for (name, kind) in [("dc", "AVG"), ("pp", "PP"), ("rms", "RMS")] {
            writeln!(measures, "meas tran {name}{n} {kind} w{n} {span}").unwrap();
        }
        // Of either sign: a doubler's source feeds both rectifiers.
        writeln!(measures, "let i{n} = v(s{n},a{n})/{:e}", supply.source_ohms).unwrap();
        writeln!(measures, "meas tran top{n} MAX i{n} {span}").unwrap();
        writeln!(measures, "meas tran low{n} MIN i{n} {span}").unwrap();
        writeln!(measures, "meas tran ir{n} RMS i{n} {span}").unwrap();
    }
    deck.push_str(".options reltol=1e-5 abstol=1e-10 vntol=1e-7 method=gear\n");
    write!(
        deck,
        ".control\ntran {:e} {to:e} 0 {:e} uic\n{measures}.endc\n.end\n",
        period / 400.0,
        period / 400.0
    )
    .unwrap();
    let told = run(&deck);
    for (n, (ratio, (_, ours))) in RATIOS.iter().zip(&supplies).enumerate() {
        let theirs = |name: &str| {
            *told.get(&format!("{name}{n}")).unwrap_or_else(|| panic!("{name}{n}: {told:?}"))
        };
        let what = format!("{topology:?} wCR {wcr} Rs/R {ratio}");
        let close = |name: &str, ours: f64, theirs: f64, within: f64| {
            assert!((ours / theirs - 1.0).abs() < within, "{what}: {name} {ours} for {theirs}");
        };
        close("volts", ours.volts, ours.volts + theirs("dc"), 0.01);
        close("ripple", ours.ripple_peak_to_peak, theirs("pp"), 0.05);
        let ripple = (theirs("rms").powi(2) - theirs("dc").powi(2)).sqrt();
        close("ripple rms", ours.ripple_rms, ripple, 0.05);
        close("peak current", ours.peak_amps, theirs("top").max(-theirs("low")), 0.05);
        close("rms current", ours.source_rms_amps, theirs("ir"), 0.05);
    }
}

/// A 50 V at 125 mA rectifier.
fn tube() -> Law {
    Law::rectifier(50.0, 0.125)
}

macro_rules! against_ngspice {
    ($name:ident, $topology:expr, $law:expr, $($wcr:expr),+) => {
        #[test]
        fn $name() {
            $(compare($topology, $law, $wcr);)+
        }
    };
}

against_ngspice!(half_wave_tubes_agree, Topology::HalfWave, tube(), 5.0, 10.0, 30.0, 100.0);
against_ngspice!(half_wave_silicon_agrees, Topology::HalfWave, SILICON, 5.0, 30.0, 100.0);
against_ngspice!(full_wave_tubes_agree, Topology::FullWave, tube(), 5.0, 10.0, 30.0, 100.0);
against_ngspice!(full_wave_silicon_agrees, Topology::FullWave, SILICON, 5.0, 30.0, 100.0);
against_ngspice!(bridges_of_silicon_agree, Topology::Bridge, SILICON, 5.0, 30.0);
against_ngspice!(full_wave_doublers_agree, Topology::DoublerFullWave, tube(), 5.0, 20.0, 100.0);
against_ngspice!(
    half_wave_doublers_agree,
    Topology::DoublerHalfWave,
    tube(),
    5.0,
    20.0,
    50.0,
    100.0
);
against_ngspice!(silicon_doublers_agree, Topology::DoublerHalfWave, SILICON, 5.0, 20.0, 100.0);
against_ngspice!(
    selenium_doublers_agree,
    Topology::DoublerHalfWave,
    Law::selenium(8.0, 0.065),
    5.0,
    50.0
);

/// A full-wave supply, a 400 ohm choke without inductance, and an output
/// stage: our coupled average beside ngspice's transient of the whole.
#[test]
fn a_supply_and_its_output_stage_agree() {
    let supply = Supply {
        topology: Topology::FullWave,
        peak_volts: 300.0 * 2.0_f64.sqrt(),
        hertz: HERTZ,
        source_ohms: 150.0,
        law: tube(),
        farads: [10e-6; 2],
    };
    let output = find("6V6GT").unwrap().tube;
    let mut net = Netlist::new();
    let [b1, b2, plate, cathode] = ["B1", "B2", "plate", "cathode"].map(|name| net.node(name));
    let reservoir = net.source("B", b1, NodeId::GROUND, 1.0).unwrap();
    net.resistor("R1", b1, b2, 400.0).unwrap();
    net.coil("T", b2, plate, 250.0).unwrap();
    net.resistor("Rk", cathode, NodeId::GROUND, 270.0).unwrap();
    let grid = NodeId::GROUND;
    let law = fit(output, &output.units()[0]).unwrap().law;
    net.device("V1", Terminals { plate, grid, screen: b2, cathode }, law).unwrap();
    let (solution, steady) =
        couple(&mut net, reservoir, &supply, Some(400.0), &Options::default()).unwrap();
    assert!((solution.volts(b1) - steady.volts).abs() < 1e-3);

    let mut deck = String::from("set\n");
    let cards = support::cards(&net);
    for line in cards.lines().filter(|line| !line.starts_with('V')) {
        writeln!(deck, "{line}").unwrap();
    }
    let v = supply.peak_volts;
    write!(
        deck,
        "VS s 0 SIN(0 {v} 60)\nVT t 0 SIN(0 {} 60)\nRA s a 150\nRB t b 150\n{}\n{}\nCA {top} 0 10e-6 IC=300\nCB {b2} 0 40e-6 IC=290\nCK {k} 0 25e-6 IC=12\n",
        -v,
        device(90, ["a", "0", "0", &support::node(b1)], &tube()),
        device(91, ["b", "0", "0", &support::node(b1)], &tube()),
        top = support::node(b1),
        b2 = support::node(b2),
        k = support::node(cathode),
    )
    .unwrap();
    let name = |node: NodeId| format!("v({})", support::node(node));
    write!(
        deck,
        ".options reltol=1e-5\n.control\ntran 5e-5 1.0166666667 0 5e-5 uic\nmeas tran top AVG {} from=1 to=1.0166666667\nmeas tran low AVG {} from=1 to=1.0166666667\nmeas tran bias AVG {} from=1 to=1.0166666667\nmeas tran pp PP {} from=1 to=1.0166666667\n.endc\n.end\n",
        name(b1),
        name(b2),
        name(cathode),
        name(b1)
    )
    .unwrap();
    let told = run(&deck);
    for (ours, name) in
        [(steady.volts, "top"), (solution.volts(b2), "low"), (solution.volts(cathode), "bias")]
    {
        assert!((ours / told[name] - 1.0).abs() < 0.01, "{name}: {ours} for {}", told[name]);
    }
    assert!(
        (steady.ripple_peak_to_peak / told["pp"] - 1.0).abs() < 0.05,
        "{} {}",
        steady.ripple_peak_to_peak,
        told["pp"]
    );
}
