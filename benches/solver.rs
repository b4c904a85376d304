//! The solver's speed by the size of the set, and beside ngspice.
//!
//! Circuits are audio stages on one B+ line: three nodes and five parts each.
//! `60`, `1000` and `10000` are parts. The ratio to ngspice is of whole runs on
//! the same deck: ours ten thousand times over in one process, theirs with its
//! start, so that it favours ours; its own time for the analysis is printed
//! beside it where it tells one.

#![allow(missing_docs, reason = "the macro writes a public function")]

use criterion::{Criterion, criterion_group, criterion_main};
use firstglow::circuit::discharge::discharge;
use firstglow::circuit::fit::fit;
use firstglow::circuit::law::Law;
use firstglow::circuit::netlist::{Netlist, NodeId, Terminals};
use firstglow::circuit::solver::{Options, Solver, SourcesAs, solve};
use firstglow::circuit::supply::{Load, Supply, Topology};
use firstglow::trade::tubes::find;
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

const GROUND: NodeId = NodeId::GROUND;

fn law(name: &str) -> Law {
    let tube = find(name).expect("a type of the table").tube;
    fit(tube, &tube.units()[0]).expect("a type that fits").law
}

/// About `parts` parts, capacitors among them.
fn set(parts: usize) -> Netlist {
    let mut net = Netlist::new();
    let [supply, first] = ["B", "B1"].map(|name| net.node(name));
    net.source("B", supply, GROUND, 250.0).expect("finite");
    net.coil("L1", supply, first, 300.0).expect("above zero");
    net.capacitor("C1", first, GROUND, 2e-5).expect("above zero");
    let (triode, pentode) = (law("12AX7"), law("6SJ7"));
    let mut last = GROUND;
    for n in 0..parts / 6 {
        let [plate, grid, cathode, screen] =
            ["p", "g", "k", "s"].map(|name| net.node(&format!("V{n}.{name}")));
        net.resistor("Rp", first, plate, 100e3).expect("above zero");
        net.resistor("Rg", grid, GROUND, 470e3).expect("above zero");
        net.resistor("Rk", cathode, GROUND, 2.2e3).expect("above zero");
        net.capacitor("Cc", last, grid, 1e-8).expect("above zero");
        net.resistor("Rs", first, screen, 1e6).expect("above zero");
        let law = if n % 2 == 0 { triode } else { pentode };
        net.device("V", Terminals { plate, grid, screen, cathode }, law).expect("a sound law");
        last = plate;
    }
    net
}

fn solving(criterion: &mut Criterion) {
    let options = Options::default();
    let mut times = Vec::new();
    for parts in [60, 100, 1000, 10_000] {
        let net = set(parts);
        criterion.bench_function(&format!("solve {parts} parts"), |bench| {
            bench.iter(|| solve(black_box(&net), &options));
        });
        let start = Instant::now();
        let runs = 20_000 / parts;
        for _ in 0..runs {
            black_box(solve(black_box(&net), &options)).expect("it solves");
        }
        times.push((
            parts,
            start.elapsed().as_secs_f64() / f64::from(u32::try_from(runs).expect("few")),
        ));
    }
    let exponent = (times[3].1 / times[1].1).log10() / 2.0;
    println!("time grows as parts to the power {exponent:.2} from 100 to 10,000");
    let net = set(60);
    let mut solver = Solver::new(&net).expect("no contradiction");
    let first = solver.solve(&net, &options, None).expect("it solves");
    criterion.bench_function("solve 60 parts again, warm", |bench| {
        bench.iter(|| solver.solve(black_box(&net), &options, Some(&first)));
    });
    let node = net.nodes().nth(4).expect("more than four nodes");
    criterion.bench_function("sensitivities of one node, 60 parts", |bench| {
        bench.iter(|| {
            let mut analysis = solver.analyse(&net, &first).expect("it solves");
            analysis.sensitivities(&net, node)
        });
    });
    let volts = first.all_volts().to_vec();
    criterion.bench_function("discharge, 60 parts", |bench| {
        bench.iter(|| discharge(black_box(&net), &volts, 50.0, SourcesAs::Open));
    });
}

fn supplies(criterion: &mut Criterion) {
    for topology in [Topology::HalfWave, Topology::FullWave, Topology::DoublerHalfWave] {
        let supply = Supply {
            topology,
            peak_volts: 495.0,
            hertz: 60.0,
            source_ohms: 150.0,
            law: Law::rectifier(50.0, 0.125),
            farads: [20e-6; 2],
        };
        criterion.bench_function(&format!("supply, {topology:?}"), |bench| {
            bench.iter(|| black_box(&supply).steady(Load::ohms(5000.0)));
        });
    }
}

/// Resistors alone, so that both decks say the same without B sources.
fn beside_ngspice(_: &mut Criterion) {
    let mut net = Netlist::new();
    let mut deck = String::from("ladder\nV1 1 0 100\n");
    let mut last = net.node("1");
    net.source("V1", last, GROUND, 100.0).expect("finite");
    for n in 2..=3000 {
        let node = net.node(&n.to_string());
        net.resistor("R", last, node, 100.0).expect("above zero");
        net.resistor("S", node, GROUND, 1e5).expect("above zero");
        writeln!(deck, "R{n} {} {n} 100\nS{n}x {n} 0 1e5", n - 1).expect("a string takes all");
        last = node;
    }
    let deck =
        deck.replace('S', "RS") + ".op\n.control\nop\nprint v(3000)\nrusage time\n.endc\n.end\n";
    let path = std::env::temp_dir().join("firstglow-bench.cir");
    if std::fs::write(&path, deck).is_err() {
        return;
    }
    let start = Instant::now();
    let told = std::process::Command::new("ngspice").arg("-b").arg(&path).output();
    let theirs = start.elapsed().as_secs_f64();
    let Ok(told) = told else {
        println!("ngspice is not here: no ratio");
        return;
    };
    let start = Instant::now();
    for _ in 0..20 {
        black_box(solve(black_box(&net), &Options::default())).expect("it solves");
    }
    let ours = start.elapsed().as_secs_f64() / 20.0;
    println!(
        "6,000 resistors: ours {:.2} ms, ngspice's whole run {:.0} ms, ratio {:.0}",
        ours * 1e3,
        theirs * 1e3,
        theirs / ours
    );
    for line in String::from_utf8_lossy(&told.stdout).lines().filter(|line| line.contains("time")) {
        println!("ngspice: {line}");
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).measurement_time(std::time::Duration::from_secs(1)).warm_up_time(std::time::Duration::from_millis(300));
    targets = solving, supplies, beside_ngspice
}
criterion_main!(benches);
