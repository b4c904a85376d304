//! The discharge beside ngspice's transients.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here.
//! Times within 1 %.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::discharge::{Fall, discharge};
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
    let limit = 10.0;
    for seed in 0..8 {
        let (net, start) = filter(seed);
        let ours = discharge(&net, &start, limit, SourcesAs::Open).unwrap();
        let longest = ours.falls.iter().map(|fall| seconds(fall.fall)).fold(0.0, f64::max);
        let mut deck = String::from("discharge\n");
        let mut measures = String::new();
        for line in support::cards(&net).lines() {
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
                "seed {seed} {}: {mine} for {theirs}",
                net.element_name(fall.element)
            );
        }
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
