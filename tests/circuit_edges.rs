//! Circuits at the edge: floating, contradictory, shorted, regulated, large.
//!
//! Source of the expectations: own arithmetic on circuits small enough for it;
//! regulator tubes' figures from memory of receiving-tube manuals.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use firstglow::circuit::discharge::{Fall, discharge};
use firstglow::circuit::fit::fit;
use firstglow::circuit::law::Law;
use firstglow::circuit::netlist::{ElementId, Netlist, NodeId, Terminals};
use firstglow::circuit::solver::{
    Lit, Ohmmeter, Options, RegulatorTube, SolveError, Solver, SourcesAs, settle, solve,
};
use firstglow::trade::tubes::find;

const GROUND: NodeId = NodeId::GROUND;

fn assert_close(ours: f64, theirs: f64) {
    assert!((ours - theirs).abs() < 1e-6 * (1.0 + theirs.abs()), "{ours} for {theirs}");
}

#[test]
fn a_floating_part_is_listed_and_the_rest_is_solved() {
    let mut net = Netlist::new();
    let [supply, tap, lost, end] = ["B+", "tap", "lost", "end"].map(|name| net.node(name));
    net.source("B", supply, GROUND, 90.0).unwrap();
    net.resistor("R1", supply, tap, 2e3).unwrap();
    net.resistor("R2", tap, GROUND, 1e3).unwrap();
    net.resistor("R3", lost, end, 1e3).unwrap();
    net.capacitor("C1", tap, lost, 1e-8).unwrap();
    let solution = solve(&net, &Options::default()).unwrap();
    assert_eq!(solution.floating, [lost, end]);
    assert_close(solution.volts(tap), 30.0);
    let mut solver = Solver::new(&net).unwrap();
    let mut analysis = solver.analyse(&net, &solution).unwrap();
    assert_eq!(analysis.resistance(lost), None);
    assert_close(analysis.resistance(tap).unwrap(), 2e3 / 3.0);
    assert_eq!(analysis.resistance(supply), Some(0.0));
}

#[test]
fn sources_that_disagree_are_named() {
    let mut net = Netlist::new();
    let [a, b] = ["A", "B"].map(|name| net.node(name));
    net.source("E1", a, GROUND, 6.0).unwrap();
    net.source("E2", b, GROUND, 9.0).unwrap();
    let wire = net.coil("wire", a, b, 0.0).unwrap();
    let error = solve(&net, &Options::default()).unwrap_err();
    assert_eq!(error, SolveError::Contradiction { element: "wire".into(), node: "A".into() });
    assert!(error.to_string().starts_with("wire: it holds A at another voltage"), "{error}");
    // With a winding's resistance in the wire there is a current instead.
    net.set_ohms(wire, 3.0).unwrap();
    let solution = solve(&net, &Options::default()).unwrap();
    assert_close(solution.amps(&net, wire), -1.0);
}

#[test]
fn sources_in_a_loop_that_adds_up_are_accepted() {
    let mut net = Netlist::new();
    let [a, b] = ["A", "B"].map(|name| net.node(name));
    net.source("E1", a, GROUND, 6.0).unwrap();
    net.source("E2", b, a, 3.0).unwrap();
    net.source("E3", b, GROUND, 9.0).unwrap();
    assert_close(solve(&net, &Options::default()).unwrap().volts(b), 9.0);
}

#[test]
fn currents_of_sources_and_wires_follow_from_the_nodes() {
    let mut net = Netlist::new();
    let [a, b, c] = ["a", "b", "c"].map(|name| net.node(name));
    let battery = net.source("E", a, GROUND, 12.0).unwrap();
    let wire = net.coil("wire", a, b, 0.0).unwrap();
    let meter = net.source("meter", c, b, 0.0).unwrap();
    net.resistor("R1", b, GROUND, 4.0).unwrap();
    net.resistor("R2", c, GROUND, 6.0).unwrap();
    let solution = solve(&net, &Options::default()).unwrap();
    assert_close(solution.amps(&net, battery), 5.0);
    assert_close(solution.amps(&net, wire), -5.0);
    assert_close(solution.amps(&net, meter), 2.0);
}

#[test]
fn a_short_across_a_part_is_no_error() {
    let mut net = Netlist::new();
    let a = net.node("a");
    net.source("E", a, GROUND, 10.0).unwrap();
    net.resistor("self", a, a, 100.0).unwrap();
    let load = net.resistor("R", a, GROUND, 100.0).unwrap();
    let solution = solve(&net, &Options::default()).unwrap();
    assert_close(solution.amps(&net, load), 0.1);
    assert!(solve(&Netlist::new(), &Options::default()).unwrap().kirchhoff.node.is_none());
}

#[test]
fn a_rectifier_without_load_comes_up_to_its_crest() {
    let mut net = Netlist::new();
    let [crest, top] = ["crest", "B+"].map(|name| net.node(name));
    net.source("line", crest, GROUND, 495.0).unwrap();
    net.device("V1", Terminals::diode(crest, top), Law::rectifier(50.0, 0.125)).unwrap();
    let far = net.node("far");
    net.coil("L1", top, far, 300.0).unwrap();
    net.capacitor("C1", far, GROUND, 1e-5).unwrap();
    let solution = solve(&net, &Options::default()).unwrap();
    assert!((solution.volts(far) - 495.0).abs() < 0.1, "{}", solution.volts(far));
}

fn regulator(name: &str, element: ElementId) -> (Law, RegulatorTube) {
    let tube = find(name).unwrap().tube;
    let figures = tube.regulator.unwrap();
    let law = fit(tube, &tube.units()[0]).unwrap().law;
    let amps = (figures.min_ma * 1e-3, figures.max_ma * 1e-3);
    let (volts, start_volts, ohms) = (figures.volts, figures.start_volts, figures.ohms);
    (law, RegulatorTube { element, volts, start_volts, ohms, amps })
}

#[test]
fn a_regulator_lights_holds_or_stays_dark() {
    for (series, beside, expected) in
        [(4e3, 1e6, "holds"), (200e3, 100e3, "dark"), (40e3, 1e6, "out of range")]
    {
        let mut net = Netlist::new();
        let [supply, held] = ["B+", "held"].map(|name| net.node(name));
        net.source("B", supply, GROUND, 250.0).unwrap();
        net.resistor("R1", supply, held, series).unwrap();
        net.resistor("R2", held, GROUND, beside).unwrap();
        let element = net.device("V1", Terminals::diode(held, GROUND), Law::Off).unwrap();
        let (_, tube) = regulator("0D3", element);
        let (solution, lit) = settle(&mut net, &[tube], &Options::default()).unwrap();
        match (lit[0], expected) {
            (Lit::Holding { amps }, "holds") => {
                // 250 V less 150 V through 4 kΩ: 25 mA, a little over the middle.
                assert!((amps - 0.025).abs() < 5e-4, "{amps}");
                assert!((solution.volts(held) - 150.0).abs() < 1.0);
            }
            (Lit::Dark { volts }, "dark") => assert_close(volts, 250.0 / 3.0),
            (Lit::OutOfRange { amps }, "out of range") => assert!(amps < 0.005, "{amps}"),
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn the_ohmmeter_sees_no_tubes_and_no_sources() {
    let mut net = Netlist::new();
    let [line, top, plate, apart] = ["line", "B+", "plate", "apart"].map(|name| net.node(name));
    net.source("line", line, GROUND, 165.0).unwrap();
    net.device("V1", Terminals::diode(line, top), Law::rectifier(21.0, 0.2)).unwrap();
    net.resistor("R1", top, GROUND, 22e3).unwrap();
    net.coil("T1", top, plate, 250.0).unwrap();
    net.resistor("R2", apart, line, 100.0).unwrap();
    let mut meter = Ohmmeter::new(&net, SourcesAs::Open).unwrap();
    assert_close(meter.read(plate, GROUND).unwrap(), 22_250.0);
    assert_close(meter.read(plate, top).unwrap(), 250.0);
    assert_eq!(meter.read(line, top), None);
    assert_close(meter.read(apart, line).unwrap(), 100.0);
    assert_eq!(meter.read(top, top), Some(0.0));
    let mut wired = Ohmmeter::new(&net, SourcesAs::Wire).unwrap();
    assert_close(wired.read(apart, GROUND).unwrap(), 100.0);
}

#[test]
fn a_leaky_coupling_capacitor_moves_the_grid_as_worked_by_hand() {
    // 200 V through 20 MΩ into 470 kΩ: 4.59 V (own arithmetic).
    let mut net = Netlist::new();
    let [plate, grid] = ["plate", "grid"].map(|name| net.node(name));
    net.source("B", plate, GROUND, 200.0).unwrap();
    net.resistor("leak", plate, grid, 20e6).unwrap();
    net.resistor("R1", grid, GROUND, 470e3).unwrap();
    let mut solver = Solver::new(&net).unwrap();
    let solution = solver.solve(&net, &Options::default(), None).unwrap();
    assert!((solution.volts(grid) - 4.592).abs() < 0.001);
    // A microampere led from plate to grid lifts it by what lies to ground.
    let moved = solver.analyse(&net, &solution).unwrap().spread_of_current(plate, grid);
    assert_close(moved[grid.index()], 1.0 / (1.0 / 20e6 + 1.0 / 470e3));
}

#[test]
fn capacitors_that_nothing_discharges_are_told_apart() {
    let mut net = Netlist::new();
    let [a, b, c] = ["a", "b", "c"].map(|name| net.node(name));
    net.capacitor("C1", a, GROUND, 10e-6).unwrap();
    net.capacitor("C2", b, GROUND, 10e-6).unwrap();
    net.resistor("R1", a, b, 1e3).unwrap();
    net.capacitor("C3", c, GROUND, 1e-6).unwrap();
    net.resistor("R2", c, GROUND, 1e6).unwrap();
    let story = discharge(&net, &[0.0, 300.0, 100.0, 300.0], 50.0, SourcesAs::Open).unwrap();
    // The two share their charge and keep it.
    for fall in &story.falls[..2] {
        let Fall::Stays { volts } = fall.fall else { panic!("{fall:?}") };
        assert_close(volts, 200.0);
    }
    let Fall::After { seconds } = story.falls[2].fall else { panic!("{story:?}") };
    assert!((seconds / 6.0_f64.ln() - 1.0).abs() < 0.002, "{seconds}");
    let idle = discharge(&net, &[0.0; 4], 50.0, SourcesAs::Open).unwrap();
    assert!(idle.falls.iter().all(|fall| fall.fall == Fall::Below), "{idle:?}");
}

#[test]
fn ten_thousand_nodes_are_solved() {
    let mut net = Netlist::new();
    let supply = net.node("B+");
    net.source("B", supply, GROUND, 250.0).unwrap();
    let tube = find("12AX7").unwrap().tube;
    let law = fit(tube, &tube.units()[0]).unwrap().law;
    let mut last = supply;
    for n in 0..3000 {
        let [plate, grid, cathode] = ["p", "g", "k"].map(|name| net.node(&format!("V{n}.{name}")));
        net.resistor(&format!("Ra{n}"), supply, plate, 100e3).unwrap();
        net.resistor(&format!("Rg{n}"), grid, GROUND, 1e6).unwrap();
        net.resistor(&format!("Rk{n}"), cathode, GROUND, 2.2e3).unwrap();
        net.resistor(&format!("Rf{n}"), grid, last, 10e6).unwrap();
        net.device(&format!("V{n}"), Terminals::triode(plate, grid, cathode), law).unwrap();
        last = cathode;
    }
    let solution = solve(&net, &Options::default()).unwrap();
    assert!(solution.kirchhoff.amps < 1e-9, "{:?}", solution.kirchhoff);
    assert!(solution.iterations < 60, "{}", solution.iterations);
}

#[test]
fn a_cathode_that_a_grid_alone_ties_down_leaks_nothing_to_ground() {
    // Found by a property: an anchor to ground would take half a milliampere.
    let mut net = Netlist::new();
    let [supply, grid, plate, cathode] = ["B", "grid", "plate", "cathode"].map(|n| net.node(n));
    net.source("B", supply, GROUND, 250.0).unwrap();
    let fed = net.resistor("R1", supply, grid, 1e6).unwrap();
    let tube = find("6J5").unwrap().tube;
    let law = fit(tube, &tube.units()[0]).unwrap().law;
    net.device("V1", Terminals::triode(plate, grid, cathode), law).unwrap();
    let solution = solve(&net, &Options::default()).unwrap();
    assert!(solution.amps(&net, fed).abs() < 1e-9, "{}", solution.amps(&net, fed));
    assert!(solution.floating.is_empty());
}
