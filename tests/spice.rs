//! Our solutions beside ngspice on the same equations.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here.
//! Linear networks within 0.01 %, tube circuits within 0.1 %, supplies' DC
//! within 1 % and ripple within 5 %, discharge times within 1 %.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::fit::fit;
use firstglow::circuit::law::{Law, SILICON};
use firstglow::circuit::netlist::{Netlist, NodeId, Terminals};
use firstglow::circuit::solver::{Options, Solver, solve};
use firstglow::trade::tubes::{UnitKind, all, find};
use support::{Sequence, operating_point};

const GROUND: NodeId = NodeId::GROUND;

fn law_of(name: &str) -> Law {
    let tube = find(name).unwrap().tube;
    fit(tube, &tube.units()[0]).unwrap().law
}

/// The largest difference, by the expected volts and at least a thousandth of
/// the highest voltage.
fn worst(ours: &[f64], theirs: &[f64]) -> f64 {
    let floor = 1e-3 * theirs.iter().fold(1.0_f64, |most, volts| most.max(volts.abs()));
    ours.iter().zip(theirs).map(|(a, b)| (a - b).abs() / b.abs().max(floor)).fold(0.0, f64::max)
}

#[test]
fn linear_networks_agree_within_a_hundredth_of_a_percent() {
    for seed in 0..12 {
        let mut sequence = Sequence::new(seed);
        let mut net = Netlist::new();
        let nodes: Vec<_> = (0..30).map(|n| net.node(&format!("n{n}"))).collect();
        net.source("B", nodes[0], GROUND, 250.0).unwrap();
        net.source("C", GROUND, nodes[1], 12.0).unwrap();
        net.source("D", nodes[3], nodes[2], 6.0).unwrap();
        for (at, &node) in nodes.iter().enumerate().skip(1) {
            let other = nodes[sequence.pick(at)];
            net.resistor(&format!("R{at}"), node, other, sequence.between(100.0, 2.2e6)).unwrap();
        }
        for at in 0..25 {
            let (a, b) = (nodes[sequence.pick(30)], nodes[sequence.pick(30)]);
            if a != b {
                net.coil(&format!("L{at}"), a, b, sequence.between(5.0, 1e6)).unwrap();
            }
        }
        net.current("I", nodes[5], nodes[9], 0.003).unwrap();
        net.resistor("R99", nodes[20], GROUND, 47e3).unwrap();
        let ours = solve(&net, &Options::default()).unwrap();
        let off = worst(ours.all_volts(), &operating_point(&net));
        assert!(off < 1e-4, "seed {seed}: {off:e}");
    }
}

/// A cathode-biased stage with plate load, screen dropper and grid leak for a
/// type's first amplifying unit.
fn stage(name: &str, b_plus: f64) -> Option<Netlist> {
    let tube = find(name)?.tube;
    let unit = tube.units().into_iter().find(|unit| {
        matches!(unit.kind, UnitKind::Triode | UnitKind::Pentode | UnitKind::Converter)
    })?;
    let law = fit(tube, &unit).ok()?.law;
    let point = tube.points[0];
    let mut net = Netlist::new();
    let [supply, plate, grid, screen, cathode] =
        ["B+", "plate", "grid", "screen", "cathode"].map(|node| net.node(node));
    net.source("B", supply, GROUND, b_plus).unwrap();
    // Loads that lose about a third of the supply at the published current.
    net.resistor("Rp", supply, plate, b_plus / 3.0 / (point.plate_ma * 1e-3)).unwrap();
    net.resistor("Rg", grid, GROUND, 470e3).unwrap();
    let drawn = (point.plate_ma + point.screen_ma.unwrap_or(0.0)) * 1e-3;
    net.resistor("Rk", cathode, GROUND, (-point.grid_volts).max(0.5) / drawn).unwrap();
    let screen_ma = point.screen_ma.unwrap_or(1.0);
    net.resistor("Rs", supply, screen, b_plus / 3.0 / (screen_ma * 1e-3)).unwrap();
    net.device(name, Terminals { plate, grid, screen, cathode }, law).unwrap();
    Some(net)
}

#[test]
fn stages_of_forty_types_agree_within_a_tenth_of_a_percent() {
    let mut checked = 0;
    for tube in all().iter().step_by(3) {
        let Some(net) = stage(&tube.name, 250.0) else {
            continue;
        };
        let ours = solve(&net, &Options::default())
            .unwrap_or_else(|error| panic!("{}: {error}", tube.name));
        let off = worst(ours.all_volts(), &operating_point(&net));
        assert!(off < 1e-3, "{}: {off:e} {:?}", tube.name, ours.all_volts());
        checked += 1;
    }
    assert!(checked >= 40, "{checked}");
}

/// An AC/DC set's tubes on two B+ points, with contact-potential bias through
/// 10 MΩ, a detector diode and the AVC line.
fn small_set() -> Netlist {
    let mut net = Netlist::new();
    let [b1, b2, avc, det] = ["B1", "B2", "AVC", "detector"].map(|name| net.node(name));
    let [p1, s, g1] = ["V1.p", "screens", "V1.g"].map(|name| net.node(name));
    let [p2, g2] = ["V2.p", "V2.g"].map(|name| net.node(name));
    let [p3, g3] = ["V3.p", "V3.g"].map(|name| net.node(name));
    let [p4, g4, k4] = ["V4.p", "V4.g", "V4.k"].map(|name| net.node(name));
    net.source("B", b1, GROUND, 117.0).unwrap();
    net.resistor("R1", b1, b2, 1200.0).unwrap();
    net.coil("T1", b2, p1, 15.0).unwrap();
    net.resistor("R2", b2, s, 100.0).unwrap();
    net.coil("T2", b2, p2, 15.0).unwrap();
    net.coil("L1", avc, g1, 4.0).unwrap();
    net.coil("L2", avc, g2, 15.0).unwrap();
    net.resistor("R3", avc, det, 3.3e6).unwrap();
    net.resistor("R4", det, GROUND, 500e3).unwrap();
    net.resistor("R5", g3, GROUND, 10e6).unwrap();
    net.resistor("R6", b2, p3, 470e3).unwrap();
    net.resistor("R7", g4, GROUND, 470e3).unwrap();
    net.resistor("R8", k4, GROUND, 150.0).unwrap();
    net.coil("T3", b1, p4, 180.0).unwrap();
    net.capacitor("C1", p3, g4, 5e-9).unwrap();
    let tube = |plate, grid, screen, cathode| Terminals { plate, grid, screen, cathode };
    net.device("V1", tube(p1, g1, s, GROUND), law_of("12SA7")).unwrap();
    net.device("V2", tube(p2, g2, s, GROUND), law_of("12SK7")).unwrap();
    net.device("V3", Terminals::triode(p3, g3, GROUND), law_of("12SQ7")).unwrap();
    net.device("V3d", Terminals::diode(det, GROUND), Law::Detector { onset: -0.7 }).unwrap();
    net.device("V4", tube(p4, g4, b2, k4), law_of("50L6GT")).unwrap();
    net
}

#[test]
fn a_small_set_agrees_within_a_tenth_of_a_percent() {
    let net = small_set();
    let ours = solve(&net, &Options::default()).unwrap();
    let theirs = operating_point(&net);
    let off = worst(ours.all_volts(), &theirs);
    assert!(off < 1e-3, "{off:e}\n{:?}\n{theirs:?}", ours.all_volts());
    assert!(ours.kirchhoff.amps < 1e-9, "{:?}", ours.kirchhoff);
}

#[test]
fn a_bridge_of_silicon_and_a_selenium_stack_agree() {
    for law in [SILICON, Law::selenium(8.0, 0.065), Law::rectifier(22.0, 0.070)] {
        let mut net = Netlist::new();
        let [hot, plus, minus] = ["hot", "plus", "minus"].map(|name| net.node(name));
        net.source("E", hot, GROUND, -35.0).unwrap();
        net.resistor("RL", plus, minus, 470.0).unwrap();
        net.resistor("RE", minus, GROUND, 1e6).unwrap();
        for (name, plate, cathode) in
            [("D1", hot, plus), ("D2", GROUND, plus), ("D3", minus, hot), ("D4", minus, GROUND)]
        {
            net.device(name, Terminals::diode(plate, cathode), law).unwrap();
        }
        let ours = solve(&net, &Options::default()).unwrap();
        let off = worst(ours.all_volts(), &operating_point(&net));
        assert!(off < 1e-3, "{law:?}: {off:e}");
    }
}

#[test]
fn drifts_of_parts_move_nodes_as_ngspice_says() {
    let mut net = small_set();
    let mut solver = Solver::new(&net).unwrap();
    let solution = solver.solve(&net, &Options::default(), None).unwrap();
    let watched: Vec<_> = net.nodes().filter(|node| node.index() % 3 == 1).collect();
    let mut tables = Vec::new();
    for &node in &watched {
        tables.push(solver.analyse(&net, &solution).unwrap().sensitivities(&net, node));
    }
    for (nth, name) in [(0, "B"), (1, "R1"), (11, "R6"), (13, "R8")] {
        let id = net.elements().map(|(id, _)| id).find(|id| net.element_name(*id) == name).unwrap();
        let value = match *net.element(id) {
            firstglow::circuit::netlist::Element::Resistor { ohms, .. } => ohms,
            firstglow::circuit::netlist::Element::VoltageSource { volts, .. } => volts,
            _ => panic!("{nth}"),
        };
        let set = |net: &mut Netlist, value: f64| {
            if name == "B" {
                net.set_source(id, value).unwrap();
            } else {
                net.set_ohms(id, value).unwrap();
            }
        };
        set(&mut net, value * 1.001);
        let up = operating_point(&net);
        set(&mut net, value * 0.999);
        let down = operating_point(&net);
        set(&mut net, value);
        for (&node, table) in watched.iter().zip(&tables) {
            let ours = table.iter().find(|entry| entry.element == id).unwrap().volts_per_unit;
            let theirs = (up[node.index()] - down[node.index()]) / (0.002 * value);
            let scale = (ours * value).abs().max(0.05);
            let off = (ours - theirs).abs() * value / scale;
            assert!(off < 0.01, "{name} on {}: {ours:e} for {theirs:e}", net.node_name(node));
        }
    }
}
