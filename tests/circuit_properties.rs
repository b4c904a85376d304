//! What holds for any circuit: checked on circuits drawn at random.
//!
//! Source of the expectations: Kirchhoff's laws and the theory of resistor
//! networks (superposition, reciprocity, Rayleigh's monotonicity); no figures.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

#[path = "support/chance.rs"]
mod chance;

use firstglow::circuit::discharge::{Discharge, Fall, discharge};
use firstglow::circuit::fit::fit;
use firstglow::circuit::law::{Law, SILICON};
use firstglow::circuit::netlist::{Element, ElementId, Netlist, NodeId, Terminals};
use firstglow::circuit::solver::{Ohmmeter, Options, Solution, Solver, SourcesAs, solve};
use firstglow::circuit::supply::{Load, Supply, Topology};
use firstglow::trade::tubes::find;
use proptest::prelude::*;
use std::sync::OnceLock;

const NODES: usize = 12;

/// One drawn part: kind, four places, a value from 0 to 1.
type Draw = (u8, [usize; 4], f64);

fn draws(kinds: std::ops::Range<u8>, most: usize) -> impl Strategy<Value = Vec<Draw>> {
    let place = 0..NODES;
    prop::collection::vec(
        (kinds, [place.clone(), place.clone(), place.clone(), place], 0.0..1.0),
        4..most,
    )
}

fn laws() -> &'static [Law] {
    static LAWS: OnceLock<Vec<Law>> = OnceLock::new();
    LAWS.get_or_init(|| {
        ["6SN7GT", "12AX7", "6V6GT", "6SJ7", "12SA7", "6SK7", "5Y3GT"]
            .iter()
            .map(|name| {
                let tube = find(name).unwrap().tube;
                fit(tube, &tube.units()[0]).unwrap().law
            })
            .chain([SILICON, Law::Detector { onset: -0.7 }, Law::selenium(8.0, 0.07)])
            .collect()
    })
}

fn spread(low: f64, high: f64, share: f64) -> f64 {
    low * (high / low).powf(share)
}

/// Nodes 1 to `NODES`, each with a leak to ground unless `loose`.
fn empty(loose: bool) -> (Netlist, Vec<NodeId>) {
    let mut net = Netlist::new();
    let mut nodes = vec![NodeId::GROUND];
    for n in 1..NODES {
        let node = net.node(&format!("n{n}"));
        if !loose {
            net.resistor(&format!("G{n}"), node, NodeId::GROUND, 1e6).unwrap();
        }
        nodes.push(node);
    }
    (net, nodes)
}

fn add(net: &mut Netlist, nodes: &[NodeId], n: usize, &(kind, at, share): &Draw) {
    let [a, b, screen, cathode] = at.map(|at| nodes[at]);
    let name = format!("X{n}");
    match kind {
        0..=3 => net.resistor(&name, a, b, spread(10.0, 2e6, share)),
        4 => net.current(&name, a, b, 0.02 * (share - 0.5)),
        5 => net.capacitor(&name, a, b, spread(1e-9, 1e-4, share)),
        6 => net.coil(&name, a, b, spread(0.1, 2e3, share)),
        7 => net.source(&name, a, b, 700.0 * (share - 0.3)),
        8 => net.coil(&name, a, b, 0.0),
        _ => {
            let law = laws()[usize::from(kind - 9) % laws().len()];
            net.device(&name, Terminals { plate: a, grid: b, screen, cathode }, law)
        }
    }
    .unwrap();
}

/// B+ on node 1 through a resistor, and the drawn parts.
fn circuit(parts: &[Draw]) -> Netlist {
    let (mut net, nodes) = empty(false);
    let feed = net.node("feed");
    net.source("B", feed, NodeId::GROUND, 300.0).unwrap();
    net.resistor("RB", feed, nodes[1], 1e3).unwrap();
    for (n, part) in parts.iter().enumerate() {
        add(&mut net, &nodes, n, part);
    }
    net
}

fn solved(net: &Netlist) -> Solution {
    solve(net, &Options::default()).unwrap_or_else(|error| panic!("{error}\n{net:#?}"))
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * (1.0 + a.abs().max(b.abs()))
}

proptest! {
    #![proptest_config(chance::cases(256))]

    #[test]
    fn currents_balance_at_every_node_whatever_the_tubes(parts in draws(0..7, 20), tubes in draws(9..19, 10)) {
        let all: Vec<Draw> = parts.into_iter().chain(tubes).collect();
        let net = circuit(&all);
        let solution = solved(&net);
        let kirchhoff = solution.kirchhoff;
        prop_assert!(kirchhoff.amps <= 1e-9 + 1e-6 * kirchhoff.relative, "{kirchhoff:?}");
        // And by the elements' own currents, node by node.
        let mut sums = vec![0.0; net.node_count()];
        for (id, element) in net.elements() {
            let amps = solution.amps(&net, id);
            match *element {
                Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => {
                    sums[a.index()] += amps;
                    sums[b.index()] -= amps;
                }
                Element::CurrentSource { from, to, .. } => {
                    sums[from.index()] += amps;
                    sums[to.index()] -= amps;
                }
                Element::VoltageSource { plus, minus, .. } => {
                    sums[plus.index()] -= amps;
                    sums[minus.index()] += amps;
                }
                Element::Device { plate, grid, screen, cathode, law } => {
                    let electrodes = solution.electrode_amps(&net, id);
                    for (node, amps) in [plate, grid, screen].into_iter().zip(electrodes).take(law.electrodes()) {
                        sums[node.index()] += amps;
                        sums[cathode.index()] -= amps;
                    }
                }
                Element::Capacitor { .. } => {}
            }
        }
        for node in net.nodes() {
            prop_assert!(sums[node.index()].abs() < 1e-8, "{}: {}", net.node_name(node), sums[node.index()]);
        }
    }

    #[test]
    fn the_order_of_elements_changes_nothing(parts in draws(0..7, 20), tubes in draws(9..19, 6), turn in 0_usize..20) {
        let mut all: Vec<Draw> = parts.into_iter().chain(tubes).collect();
        let first = solved(&circuit(&all));
        let by = turn % all.len();
        all.rotate_left(by);
        all.reverse();
        let second = solved(&circuit(&all));
        for (a, b) in first.all_volts().iter().zip(second.all_volts()) {
            // Circuits with two stable states may give either, but not by order.
            prop_assert!(close(*a, *b), "{a} {b}");
        }
    }

    #[test]
    fn linear_answers_add_up(parts in draws(0..7, 24), other in 0.001_f64..0.02, at in 1..NODES) {
        let sources = |battery: f64, scale: f64, amps: f64| {
            let mut net = circuit(&parts);
            let ids: Vec<ElementId> = net.elements().map(|(id, _)| id).collect();
            for id in ids {
                match *net.element(id) {
                    Element::VoltageSource { .. } => net.set_source(id, battery).unwrap(),
                    Element::CurrentSource { amps, .. } => net.set_source(id, scale * amps).unwrap(),
                    _ => {}
                }
            }
            let node = net.nodes().nth(at - 1).unwrap();
            net.current("I", NodeId::GROUND, node, amps).unwrap();
            solved(&net)
        };
        let whole = sources(250.0, 1.0, other);
        let ones = [sources(250.0, 0.0, 0.0), sources(0.0, 1.0, 0.0), sources(0.0, 0.0, other)];
        for (n, volts) in whole.all_volts().iter().enumerate() {
            let sum: f64 = ones.iter().map(|one| one.all_volts()[n]).sum();
            prop_assert!(close(*volts, sum), "{volts} {sum}");
        }
    }

    #[test]
    fn any_netlist_is_answered_or_refused_by_name(parts in draws(0..19, 40)) {
        let (mut net, nodes) = empty(true);
        for (n, part) in parts.iter().enumerate() {
            add(&mut net, &nodes, n, part);
        }
        match solve(&net, &Options::default()) {
            Ok(solution) => {
                prop_assert!(solution.all_volts().iter().all(|volts| volts.is_finite()));
                for node in &solution.floating {
                    prop_assert!(*node != NodeId::GROUND);
                }
            }
            Err(error) => {
                let text = error.to_string();
                prop_assert!(text.starts_with('n') || text.starts_with('X') || text.starts_with("ground"), "{text}");
            }
        }
    }

    #[test]
    fn one_more_resistor_never_raises_a_reading(parts in draws(0..4, 20), more in draws(0..4, 5), at in 1..NODES) {
        let node = NODES - at;
        let read = |parts: &[Draw]| {
            let (mut net, nodes) = empty(true);
            for (n, part) in parts.iter().enumerate() {
                add(&mut net, &nodes, n, part);
            }
            let mut meter = Ohmmeter::new(&net, SourcesAs::Open).unwrap();
            let ohms = meter.read(nodes[node], NodeId::GROUND).unwrap_or(f64::INFINITY);
            let back = meter.read(NodeId::GROUND, nodes[node]).unwrap_or(f64::INFINITY);
            assert!(ohms.to_bits() == back.to_bits() || close(ohms, back));
            ohms
        };
        let before = read(&parts);
        let all: Vec<Draw> = parts.iter().chain(&more).copied().collect();
        let after = read(&all);
        prop_assert!(after <= before * (1.0 + 1e-9), "{before} {after}");
    }

    #[test]
    fn small_signal_resistance_is_the_slope_of_the_answer(parts in draws(0..7, 20), tubes in draws(9..15, 6), at in 1..NODES) {
        let all: Vec<Draw> = parts.into_iter().chain(tubes).collect();
        let mut net = circuit(&all);
        let node = net.nodes().nth(at - 1).unwrap();
        let test = net.current("test", NodeId::GROUND, node, 0.0).unwrap();
        let mut solver = Solver::new(&net).unwrap();
        let rest = solver.solve(&net, &Options::default(), None).unwrap();
        let slope = solver.analyse(&net, &rest).unwrap().resistance(node).unwrap();
        // At zero volts electrodes begin to conduct: slopes bend too sharply there
        // for a difference to tell them, and rectifiers are left out for the same.
        prop_assume!(rest.volts(node).abs() > 0.5);
        let step = 1e-4 / slope.abs().max(1.0);
        let mut shifted = |amps: f64| {
            net.set_source(test, amps).unwrap();
            solver.solve(&net, &Options::default(), Some(&rest)).unwrap().volts(node)
        };
        let measured = (shifted(step) - shifted(-step)) / (2.0 * step);
        prop_assert!((measured - slope).abs() <= 0.02 * slope.abs() + 1.0, "{measured} {slope}");
    }

    #[test]
    fn a_bleeder_never_lengthens_a_discharge(
        parts in draws(0..4, 20), farads in prop::collection::vec(0.0_f64..1.0, NODES - 1),
        at in 1..NODES, bleeder in 0.0_f64..1.0,
    ) {
        let story = |bled: bool| -> Discharge {
            let (mut net, nodes) = empty(true);
            for (n, part) in parts.iter().enumerate() {
                add(&mut net, &nodes, n, part);
            }
            for (n, share) in farads.iter().enumerate() {
                net.capacitor(&format!("C{n}"), nodes[n + 1], NodeId::GROUND, spread(1e-8, 1e-4, *share)).unwrap();
            }
            if bled {
                net.resistor("bleeder", nodes[at], NodeId::GROUND, spread(1e3, 1e6, bleeder)).unwrap();
            }
            let mut start: Vec<f64> = farads.iter().map(|share| 400.0 * (share * 7.3).fract()).collect();
            start.insert(0, 0.0);
            discharge(&net, &start, 50.0, SourcesAs::Open).unwrap()
        };
        let (plain, bled) = (story(false), story(true));
        for (before, after) in plain.falls.iter().zip(&bled.falls) {
            let time = |fall: Fall| match fall {
                Fall::Below => 0.0,
                Fall::After { seconds } => seconds,
                Fall::Stays { .. } => f64::INFINITY,
            };
            // Two runs of the same method differ by its error.
            prop_assert!(time(after.fall) <= 1.01 * time(before.fall) + 1e-4, "{before:?} {after:?}");
        }
    }

    #[test]
    fn a_higher_line_never_lowers_a_cold_voltage(parts in draws(0..4, 16), line in 90.0_f64..130.0, more in 1.0_f64..30.0) {
        let cold = |volts: f64| {
            let (mut net, nodes) = empty(false);
            let crest = net.node("crest");
            net.source("line", crest, NodeId::GROUND, volts * 2.0_f64.sqrt()).unwrap();
            net.device("V1", Terminals::diode(crest, nodes[1]), Law::rectifier(21.0, 0.2)).unwrap();
            for (n, part) in parts.iter().enumerate() {
                add(&mut net, &nodes, n, part);
            }
            solved(&net)
        };
        let (low, high) = (cold(line), cold(line + more));
        for (a, b) in low.all_volts().iter().zip(high.all_volts()) {
            prop_assert!(*b >= *a - 1e-9, "{a} {b}");
        }
    }

    #[test]
    fn a_supply_gives_less_at_more_load_and_never_past_its_crest(
        peak in 100.0_f64..700.0, source in 0.0_f64..1.0, farads in 0.0_f64..1.0, load in 0.0_f64..1.0, form in 0_usize..5,
    ) {
        let topology = [
            Topology::HalfWave, Topology::FullWave, Topology::Bridge, Topology::DoublerFullWave, Topology::DoublerHalfWave,
        ][form];
        let supply = Supply {
            topology,
            peak_volts: peak,
            hertz: 60.0,
            source_ohms: spread(5.0, 1e3, source),
            law: Law::rectifier(50.0, 0.125),
            farads: [spread(1e-6, 1e-4, farads); 2],
        };
        let ohms = spread(1e3, 1e6, load);
        let light = supply.steady(Load::ohms(2.0 * ohms)).unwrap();
        let heavy = supply.steady(Load::ohms(ohms)).unwrap();
        prop_assert!(heavy.volts < light.volts && light.volts < supply.no_load_volts());
        // Charge in is charge out; the output takes what one rectifier, or both, give.
        let each = if topology == Topology::FullWave || topology == Topology::Bridge { 2.0 } else { 1.0 };
        prop_assert!((heavy.mean_amps * each * ohms / heavy.volts - 1.0).abs() < 0.005, "{heavy:?}");
    }
}
