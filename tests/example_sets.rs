//! The three example sets, fully connected: volts and watts credible for their
//! class, and equal to what ngspice makes of the same circuit.
//!
//! The windows are not this program's output: they are what sets of such a
//! class show. "Manuals" are receiving-tube manuals' typical operation, from
//! memory; "arithmetic" is own arithmetic from such figures; "practice" is
//! common practice, no source.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::netlist::NodeId;
use firstglow::circuit::report::{Report, report};
use firstglow::circuit::state::{Set, Tubes};
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use support::operating_point;

fn sheet(id: &str) -> Sheet {
    Sheet::read(EXAMPLES.iter().find(|e| e.id == id).unwrap().text)
}

fn of(id: &str) -> Report {
    let report = report(&sheet(id));
    assert_eq!(report.trouble, None, "{id}");
    report
}

/// Node, least and most volts, what it is and why.
type Window = (&'static str, f64, f64, &'static str);

fn check(report: &Report, windows: &[Window]) {
    for (name, least, most, why) in windows {
        let node =
            report.nodes.iter().find(|n| n.name == *name).unwrap_or_else(|| panic!("{name}"));
        let volts = node.running_v.unwrap_or_else(|| panic!("{name} floats"));
        assert!((*least..=*most).contains(&volts), "{name}: {volts} V, {why}");
        let band = node.band_v.unwrap();
        assert!(band.least <= band.most, "{name}");
    }
}

fn plate_watts(report: &Report, key: &str) -> f64 {
    report.tubes.iter().find(|t| t.key == key).unwrap().plate_watts
}

#[test]
fn the_table_set() {
    let report = of("table-set");
    check(
        &report,
        &[
            // 117 V half wave, 40 µF, about 65 mA: 115 to 125 V (practice: charts
            // of such sets; 117 V by the separate simulation at 70 mA, 22 Ω).
            ("B0", 108.0, 128.0, "B+ at the rectifier's cathode"),
            // 1 kΩ carries all but the output plate, 25 mA or so: 20 to 30 V less.
            ("B2", 82.0, 105.0, "screens and small plates; practice: 85 to 100 V"),
            // No drop but the coil's.
            ("V1.3", 82.0, 105.0, "plate of the converter, at B2"),
            ("V2.8", 82.0, 105.0, "plate of the IF tube, at B2"),
            // 100 Ω and 12 mA (manuals: 12SK7 at 100 V, 13 + 4 mA at -1 V).
            ("k2", 0.8, 1.8, "cathode of the IF tube"),
            // 470 kΩ from 90 V, about 0.1 mA: a third of B+ (manuals, resistance
            // coupled amplifiers).
            ("pl3", 20.0, 60.0, "plate of the first audio tube"),
            // Grid leak of 10 MΩ: contact potential (manuals: -0.5 to -1 V).
            ("af", -1.1, -0.4, "grid of the first audio tube"),
            // 160 Ω of primary and 35 to 45 mA.
            ("V4.3", 100.0, 122.0, "plate of the output tube"),
            // 50L6GT at 110/110 V: -7.5 V, 49 + 4 mA through 150 Ω (manuals);
            // a screen at 90 V takes less.
            ("k4", 4.8, 8.0, "cathode of the output tube"),
        ],
    );
    // 110 V × 49 mA = 5.4 W at the manual's point; here less, below 10 W.
    let watts = plate_watts(&report, "V4");
    assert!((3.0..6.0).contains(&watts), "{watts}");
    let supply = &report.supplies[0];
    assert_eq!(supply.topology, "half-wave");
    assert!(supply.peak_ma.unwrap() < supply.max_peak_ma.unwrap());
    // 12.6·3 + 50 + 35 V; arithmetic.
    assert!((report.heaters.as_ref().unwrap().sum_v - 122.8).abs() < 0.01);
}

#[test]
fn the_console() {
    let report = of("console");
    check(
        &report,
        &[
            // 320 V a plate, 5U4G, 10 µF, 120 mA: about 330 V across the filter
            // (manuals' curves for such a load), less the bias in the negative leg.
            ("B0", 295.0, 340.0, "B+ at the filament, against the chassis"),
            // 500 Ω of field and 120 mA: 60 V less; practice: 250 to 270 V.
            ("B1", 235.0, 280.0, "B+ behind the field"),
            // 20 kΩ and 2 mA.
            ("B2", 195.0, 245.0, "the decoupled point"),
            // Screens of variable-mu tubes: 100 V (manuals).
            ("scr", 75.0, 115.0, "screens of RF and IF"),
            // 6SA7 at 250/100 V: 8.5 mA of screen (manuals); 20 kΩ from 255 V.
            ("scr2", 75.0, 110.0, "screens of the converter"),
            // 6SK7 at 250/100 V, -3 V: 9.2 + 2.6 mA (manuals); 300 Ω.
            ("k1", 2.0, 3.8, "cathode of the RF tube"),
            ("k3", 2.0, 3.8, "cathode of the IF tube"),
            // 250 kΩ; manuals' resistance coupled amplifiers: 0.4 to 0.6 of B+.
            ("pl4", 70.0, 145.0, "plate of the first audio tube"),
            // A split load passes a quarter of B+ in each half (practice).
            ("pl5", 125.0, 185.0, "plate of the inverter"),
            ("k5", 45.0, 95.0, "cathode of the inverter, about what its plate dropped"),
            // Two 6V6GT at 255 V ask for -15 V (manuals: push-pull 285 V, -19 V;
            // single 250 V, -12.5 V).
            ("gr6", -18.0, -12.0, "output grid against the chassis"),
            ("B-", -18.0, -12.0, "the drop of 125 Ω at 120 mA: 15 V; arithmetic"),
            ("V6.3", 230.0, 275.0, "output plate"),
        ],
    );
    // 250 V × 35 to 45 mA, below 12 W (manuals).
    for key in ["V6", "V7"] {
        let watts = plate_watts(&report, key);
        assert!((7.5..12.0).contains(&watts), "{key}: {watts}");
    }
    let supply = &report.supplies[0];
    assert_eq!(supply.topology, "full-wave");
    assert!((100.0..140.0).contains(&supply.ma), "{}", supply.ma);
    assert!(supply.peak_ma.unwrap() < supply.max_peak_ma.unwrap());
    assert!(supply.inverse_v < supply.max_inverse_v.unwrap());
}

#[test]
fn the_bench_instrument() {
    let report = of("bench-instrument");
    check(
        &report,
        &[
            // 250 V half wave, selenium, 20 µF, 45 mA: a tenth above the winding's
            // effective volts less 200 Ω × pulses (separate simulations of half
            // waves at Rs/RL 3 %: 0.73 of the crest).
            ("B0", 240.0, 285.0, "B+ at the stack"),
            // 250 Ω and 45 mA.
            ("B1", 230.0, 275.0, "B+ behind the choke"),
            // 0D3 holds 150 V (manuals).
            ("B150", 147.0, 154.0, "regulated point"),
            // 6SN7 at 150 V, 1.5 kΩ: 3 to 4 mA (manuals' plate family).
            ("k1a", 4.0, 6.5, "cathode of the source's oscillator"),
            ("k1b", 6.5, 10.5, "cathode of the driver at 250 V, 1 kΩ"),
            // 6SJ7, 220 kΩ and 1 MΩ from 150 V: manuals' resistance coupled
            // amplifiers put plate and screen at a fifth to a half of B+.
            ("pl2", 30.0, 90.0, "plate of the first null amplifier"),
            ("scr2", 20.0, 50.0, "its screen"),
            ("k2", 0.8, 2.0, "its cathode"),
            // The divider of the leakage test: 250 V at its top by its label.
            ("test", 228.0, 272.0, "leakage test voltage"),
            // Two halves of one 6SN7 in balance: equal cathodes.
            ("k3a", 4.5, 8.5, "cathode of the leakage meter"),
            ("k3b", 4.5, 8.5, "the other one"),
        ],
    );
    let volts =
        |name: &str| report.nodes.iter().find(|n| n.name == name).unwrap().running_v.unwrap();
    // At rest the meter shows next to nothing of its 1 mA.
    let meter = (volts("mt") - volts("k3b")) / 100.0;
    assert!(meter.abs() < 0.3e-3, "{meter}");
    // The regulator works between 5 and 40 mA (manuals).
    let tube = report.tubes.iter().find(|t| t.key == "V7").unwrap();
    assert!((5.0..40.0).contains(&tube.plate_ma), "{}", tube.plate_ma);
}

#[test]
fn every_set_says_of_each_node_what_it_should_read() {
    for example in &EXAMPLES {
        let report = of(example.id);
        for node in report.nodes.iter().filter(|n| n.running_v.is_some()) {
            let band = node.band_v.unwrap();
            let shown = node.meter_v.unwrap();
            let inside = band.least - 1e-9 <= shown && shown <= band.most + 1e-9;
            assert!(inside, "{}: {} shows {shown} outside {band:?}", example.id, node.name);
            if let (Some(ohms), Some(band)) = (node.ohms, node.band_ohms) {
                assert!(band.least <= ohms && ohms <= band.most, "{} {}", example.id, node.name);
            }
        }
    }
}

/// The set's own netlist with its supply as the source of direct current that
/// it came to. Source: Debian's ngspice, run here.
#[test]
fn ngspice_agrees_within_a_tenth_of_a_percent() {
    for example in &EXAMPLES {
        let sheet = sheet(example.id);
        let wiring = Wiring::of(&sheet);
        let set = Set::of(&sheet, &wiring);
        for (tubes, line) in [(Tubes::Warm, 1.0), (Tubes::Warm, 1.068), (Tubes::Cold, 1.068)] {
            let state = set.state(tubes, line).unwrap();
            assert!(state.solution.kirchhoff.amps < 1e-9, "{:?}", state.solution.kirchhoff);
            let mut net = state.net.clone();
            // A simulator wants a path to ground from every node.
            let nodes: Vec<NodeId> = net.nodes().collect();
            for node in nodes {
                net.resistor("path", node, NodeId::GROUND, 1e12).unwrap();
            }
            let theirs = operating_point(&net);
            let highest = theirs.iter().fold(1.0_f64, |most, v| most.max(v.abs()));
            for node in net.nodes().filter(|n| !state.solution.floating.contains(n)) {
                let (ours, theirs) = (state.solution.volts(node), theirs[node.index()]);
                let off = (ours - theirs).abs() / theirs.abs().max(1e-3 * highest);
                assert!(
                    off < 1e-3,
                    "{} {tubes:?} {}: {ours} for {theirs}",
                    example.id,
                    net.node_name(node)
                );
            }
        }
    }
}
