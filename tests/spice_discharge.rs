//! The discharge beside ngspice's transients.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here.
//! Times within 1 %.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::discharge::{Discharge, Fall, Valve, discharge, discharge_through};
use firstglow::circuit::netlist::{Element, Netlist, NodeId};
use firstglow::circuit::solver::SourcesAs;
use std::fmt::Write as _;
use support::{Sequence, run};

/// Filter, dividers, bypasses and a coupling capacitor, with values drawn.
fn filter(seed: u64) -> (Netlist, Vec<f64>) {
    let mut s = Sequence::new(seed);
    let mut net = Netlist::new();
    let [b1, b2, b3, screen, plate, grid, cathode] =
        ["B1", "B2", "B3", "screen", "plate", "grid", "cathode"].map(|name| net.node(name));
    net.coil("L1", b1, b2, s.between(100.0, 1500.0)).unwrap();
    net.resistor("R1", b2, b3, s.between(5e3, 5e4)).unwrap();
    net.resistor("R2", b3, screen, s.between(5e4, 5e5)).unwrap();
    net.resistor("R3", screen, NodeId::GROUND, s.between(5e4, 1e6)).unwrap();
    net.resistor("R4", b3, plate, s.between(5e4, 5e5)).unwrap();
    net.resistor("R5", grid, NodeId::GROUND, s.between(2e5, 2e6)).unwrap();
    net.resistor("R6", cathode, NodeId::GROUND, s.between(100.0, 5e3)).unwrap();
    net.capacitor("C1", b1, NodeId::GROUND, s.between(4e-6, 40e-6)).unwrap();
    net.capacitor("C2", b2, NodeId::GROUND, s.between(4e-6, 40e-6)).unwrap();
    net.capacitor("C3", b3, NodeId::GROUND, s.between(1e-7, 20e-6)).unwrap();
    net.capacitor("C4", screen, NodeId::GROUND, s.between(5e-8, 1e-6)).unwrap();
    net.capacitor("C5", plate, grid, s.between(2e-9, 1e-7)).unwrap();
    net.capacitor("C6", cathode, NodeId::GROUND, s.between(5e-6, 50e-6)).unwrap();
    (net, vec![0.0, 350.0, 330.0, 260.0, 90.0, 150.0, 0.0, 12.0])
}

#[test]
fn discharge_times_agree_within_a_percent() {
    for seed in 0..8 {
        let (net, start) = filter(seed);
        let ours = discharge(&net, &start, 10.0, SourcesAs::Open).unwrap();
        compare(&format!("seed {seed}"), (&net, &start), 10.0, "", &ours);
    }
}

/// A supply with a tube or two in series that hold what stands behind a
/// resistor, all lit; the tubes' law beside it as cards.
fn regulated(seed: u64) -> (Netlist, Vec<f64>, Vec<Valve>, String) {
    let mut s = Sequence::new(seed);
    let mut net = Netlist::new();
    let [b1, b2, top, middle] = ["B1", "B2", "top", "middle"].map(|name| net.node(name));
    net.coil("L1", b1, b2, s.between(100.0, 1000.0)).unwrap();
    net.resistor("R1", b2, top, s.between(1e3, 1e4)).unwrap();
    net.resistor("R2", b2, NodeId::GROUND, s.between(3e4, 1e6)).unwrap();
    net.resistor("R3", top, NodeId::GROUND, s.between(2e4, 1e6)).unwrap();
    net.capacitor("C1", b1, NodeId::GROUND, s.between(4e-6, 40e-6)).unwrap();
    net.capacitor("C2", b2, NodeId::GROUND, s.between(4e-6, 40e-6)).unwrap();
    net.capacitor("C3", top, NodeId::GROUND, s.between(1e-8, 1e-6)).unwrap();
    let two = seed % 2 == 1;
    let ohms = s.between(50.0, 300.0);
    let (mut valves, mut cards) = (Vec::new(), String::new());
    let mut tube = |plate: NodeId, cathode: NodeId, volts: f64| {
        valves.push(Valve::glow(plate, cathode, volts, ohms, volts + 35.0));
        let across = format!("(v({})-{})", support::node(plate), other(cathode));
        writeln!(
            cards,
            "BT{} {} {} I=max(0,({across}-{volts})/{ohms:e})",
            support::node(plate),
            support::node(plate),
            support::node(cathode)
        )
        .unwrap();
    };
    let held = if two {
        tube(top, middle, 104.0);
        tube(middle, NodeId::GROUND, 74.0);
        // One more on the middle, so that the tubes pass unlike currents.
        net.resistor("R4", middle, NodeId::GROUND, s.between(5e4, 1e6)).unwrap();
        182.0
    } else {
        tube(top, NodeId::GROUND, 148.0);
        net.resistor("R4", middle, NodeId::GROUND, 1e5).unwrap();
        151.0
    };
    let start = vec![0.0, 350.0, 330.0, held, if two { 76.0 } else { 0.0 }];
    (net, start, valves, cards)
}

#[test]
fn lit_regulators_hold_and_go_out_as_in_a_transient() {
    let mut lives = 0.0_f64;
    for seed in 0..8 {
        let (net, start, valves, cards) = regulated(seed);
        let ours = discharge_through(&net, &start, 50.0, SourcesAs::Open, &valves).unwrap();
        compare(&format!("regulated {seed}"), (&net, &start), 50.0, &cards, &ours);
        // Dark tubes would leave the charge to the resistors alone.
        let dark = discharge(&net, &start, 50.0, SourcesAs::Open).unwrap();
        let (lit, dark) = (seconds(ours.falls[0].fall), seconds(dark.falls[0].fall));
        assert!(lit < dark, "seed {seed}: {lit} for {dark}");
        lives = lives.max(dark / lit);
    }
    assert!(lives > 1.3, "the tubes made no difference: {lives}");
}

/// A capacitor that a rectifier joins to another once that has fallen to it, as
/// in a half-wave doubler on its winding.
#[test]
fn a_rectifier_that_begins_to_conduct_joins_two_capacitors() {
    let mut net = Netlist::new();
    let [joint, output] = ["joint", "output"].map(|name| net.node(name));
    let far = net.node("far");
    net.resistor("R1", far, NodeId::GROUND, 150.0).unwrap();
    net.capacitor("C1", joint, far, 40e-6).unwrap();
    net.capacitor("C2", output, NodeId::GROUND, 20e-6).unwrap();
    net.resistor("R2", output, NodeId::GROUND, 50e3).unwrap();
    let start = [0.0, 150.0, 300.0, 0.0];
    let valve = Valve::rectifier(joint, output, 0.6, 10.0);
    let ours = discharge_through(&net, &start, 50.0, SourcesAs::Open, &[valve]).unwrap();
    let cards = format!(
        "BD {j} {o} I=max(0,(v({j})-v({o})-0.6)/10)\nRJ {j} 0 1e12\n",
        j = support::node(joint),
        o = support::node(output)
    );
    compare("doubler", (&net, &start), 50.0, &cards, &ours);
    // 60 uF from where both meet, not 20: own arithmetic, RC ln.
    let apart = 50e3 * 20e-6 * (300.0_f64 / 150.0).ln();
    let together = 50e3 * 60e-6 * (150.0_f64 / 50.0).ln();
    assert!((seconds(ours.falls[1].fall) / (apart + together) - 1.0).abs() < 0.02);
    let alone = discharge(&net, &start, 50.0, SourcesAs::Open).unwrap();
    assert!(matches!(alone.falls[0].fall, Fall::Stays { .. }));
}

/// Every fall of `ours` against a transient of the same netlist with `cards`
/// besides.
fn compare(
    what: &str,
    (net, start): (&Netlist, &[f64]),
    limit: f64,
    cards: &str,
    ours: &Discharge,
) {
    let longest = ours.falls.iter().map(|fall| seconds(fall.fall)).fold(0.0, f64::max);
    let mut deck = format!("discharge\n{cards}");
    let mut measures = String::new();
    for line in support::cards(net).lines() {
        let volts = line.strip_prefix('C').map(|card| {
            let ends: Vec<usize> =
                card.split(' ').skip(1).take(2).map(|n| n.parse().unwrap()).collect();
            start[ends[0]] - start[ends[1]]
        });
        match volts {
            Some(volts) => writeln!(deck, "{line} IC={volts}").unwrap(),
            None => writeln!(deck, "{line}").unwrap(),
        }
    }
    for (id, element) in net.elements() {
        if let Element::Capacitor { a, b, .. } = *element {
            let n = id.index();
            writeln!(measures, "let d{n} = v({})-{}", support::node(a), other(b)).unwrap();
            writeln!(measures, "meas tran t{n} WHEN d{n}={limit} FALL=LAST").unwrap();
        }
    }
    let stop = 1.1 * longest;
    write!(
        deck,
        ".options reltol=1e-6 vntol=1e-6 abstol=1e-13\n.control\ntran {:e} {stop:e} 0 {:e} uic\n{measures}.endc\n.end\n",
        stop / 5000.0,
        stop / 20000.0
    )
    .unwrap();
    let told = run(&deck);
    for fall in &ours.falls {
        let n = fall.element.index();
        let theirs = told[&format!("t{n}")];
        let mine = seconds(fall.fall);
        assert!(
            (mine / theirs - 1.0).abs() < 0.01,
            "{what} {}: {mine} for {theirs}",
            net.element_name(fall.element)
        );
    }
}

fn other(node: NodeId) -> String {
    if node == NodeId::GROUND { "0".to_owned() } else { format!("v({})", support::node(node)) }
}

fn seconds(fall: Fall) -> f64 {
    match fall {
        Fall::After { seconds } => seconds,
        other => panic!("it falls, but {other:?}"),
    }
}
