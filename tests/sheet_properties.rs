//! What holds for the circuit of every sheet, over random ones.
//!
//! The sheets have one supply and tubes, resistors and capacitors thrown
//! between a handful of points: most make no sense as sets, all must be told.

#![allow(clippy::unwrap_used, reason = "a test that cannot build its input should fail")]

#[path = "support/chance.rs"]
mod chance;

use firstglow::circuit::report::{FallOf, PinReport, Report, report};
use firstglow::circuit::state::{Set, Tubes};
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::Sheet;
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::BTreeMap;
use std::fmt::Write;

const POINTS: [&str; 14] =
    ["B0", "B1", "B2", "p1", "p2", "g1", "g2", "k1", "k2", "s1", "avc", "chassis", "tap", "far"];
const TUBES: [&str; 6] = ["6J5", "6SJ7", "6V6GT", "6SQ7", "6SA7", "6H6"];
const OHMS: [&str; 9] = ["100", "470", "1K", "2.2K", "10K", "47K", "100K", "470K", "2.2 meg"];
const FARADS: [&str; 6] = ["100 pF", ".001 uF", ".05 uF", ".5 uF", "8 uF", "25 uF"];

/// What every sheet begins with.
const SUPPLY: &str = "mains 117 V 60 Hz\nsupply transformer 350-0-350 V\n\
    T1 power primary 1 to 2 117 V 5 ohm\n secondary 3 to 5 tap 4 700 V CT 300 ohm\n\
    V99 5Y3GT 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\n\
    C99 10 uF 450 V electrolytic B0 to chassis\nR98 1K 5 W B0 to B1\n\
    C98 10 uF 450 V electrolytic B1 to chassis\n";

fn point() -> impl Strategy<Value = &'static str> {
    select(&POINTS[..])
}

/// A line without its number.
fn line() -> impl Strategy<Value = (char, String)> {
    let resistor = (select(&OHMS[..]), point(), point())
        .prop_map(|(ohms, a, b)| ('R', format!("{ohms} 1 W {a} to {b}")));
    let capacitor = (select(&FARADS[..]), point(), point())
        .prop_map(|(farads, a, b)| ('C', format!("{farads} 400 V {a} to {b}")));
    let tube = (select(&TUBES[..]), prop::collection::vec((2_u8..9, point()), 2..7)).prop_map(
        |(tube, ties)| {
            let ties: BTreeMap<u8, &str> = ties.into_iter().collect();
            let pins: Vec<String> = ties.iter().map(|(pin, at)| format!("{pin}={at}")).collect();
            ('V', format!("{tube} {}", pins.join(" ")))
        },
    );
    prop_oneof![5 => resistor, 3 => capacitor, 2 => tube]
}

fn lines() -> impl Strategy<Value = Vec<String>> {
    prop::collection::vec(line(), 0..14).prop_map(|lines| {
        let named = lines.into_iter().enumerate();
        named.map(|(n, (letter, rest))| format!("{letter}{} {rest}", n + 1)).collect()
    })
}

fn sheet(lines: &[String]) -> Sheet {
    let mut text = SUPPLY.to_owned();
    for line in lines {
        writeln!(text, "{line}").unwrap();
    }
    Sheet::read(&text)
}

/// Volts of every point by its name, in two states.
fn points(report: &Report) -> BTreeMap<&str, [Option<f64>; 2]> {
    let named = report.nodes.iter().filter(|n| POINTS.contains(&n.name.as_str()));
    named.map(|n| (n.name.as_str(), [n.running_v, n.cold_v])).collect()
}

fn near(a: Option<f64>, b: Option<f64>, within: f64) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= within * (1.0 + a.abs()),
        (a, b) => a.is_none() == b.is_none(),
    }
}

proptest! {
    #![proptest_config(chance::cases(1_000))]

    #[test]
    fn every_sheet_is_told_and_its_currents_balance(lines in lines()) {
        let sheet = sheet(&lines);
        let wiring = Wiring::of(&sheet);
        let set = Set::of(&sheet, &wiring);
        for (tubes, line) in [(Tubes::Warm, 1.0), (Tubes::Cold, 1.07)] {
            if let Ok(state) = set.state(tubes, line) {
                let left = state.solution.kirchhoff;
                prop_assert!(left.amps < 1e-9 || left.relative < 1e-8, "{left:?}");
            }
        }
        let told = report(&sheet);
        prop_assert!(told.nodes.iter().all(|n| n.running_v.is_none_or(f64::is_finite)));
        prop_assert!(serde_json::to_string(&told).is_ok());
    }

    #[test]
    fn the_order_of_lines_does_not_matter(
        (lines, shuffled) in lines().prop_flat_map(|l| (Just(l.clone()), Just(l).prop_shuffle())),
    ) {
        let (first, second) = (report(&sheet(&lines)), report(&sheet(&shuffled)));
        prop_assert_eq!(first.trouble.is_some(), second.trouble.is_some());
        let (a, b) = (points(&first), points(&second));
        prop_assert_eq!(a.len(), b.len());
        // A grid that floats or that tubes alone tie down hangs on currents below
        // what any solution resolves, and what its tube passes with it.
        let untied = |pin: &PinReport| {
            pin.node.is_some_and(|n| first.nodes[n].running_v.is_none() || first.nodes[n].cold_v.is_none())
        };
        if first.tubes.iter().any(|t| t.key != "V99" && t.pins.iter().any(untied)) {
            return Ok(());
        }
        for (name, volts) in &a {
            let other = b[name];
            prop_assert!(near(volts[0], other[0], 1e-4), "{name}: {:?} {:?}", volts, other);
            prop_assert!(near(volts[1], other[1], 1e-4), "{name}: {:?} {:?}", volts, other);
        }
        for capacitor in &first.capacitors {
            let other = second.capacitors.iter().find(|c| c.key == capacitor.key).unwrap();
            prop_assert!(near(capacitor.stress_v, other.stress_v, 1e-3), "{capacitor:?} {other:?}");
        }
    }

    #[test]
    fn a_higher_line_never_lowers_a_cold_stress(lines in lines(), more in 1_u32..20) {
        let mut low = sheet(&lines);
        let mut high = low.clone();
        let volt = |v: u32| firstglow::trade::quantity::Voltage::new(v.into()).ok();
        low.header.high_line = volt(120);
        high.header.high_line = volt(120 + more);
        let (low, high) = (report(&low), report(&high));
        for (a, b) in low.nodes.iter().zip(&high.nodes) {
            if let (Some(a), Some(b)) = (a.cold_v, b.cold_v) {
                prop_assert!(b.abs() >= a.abs() - 1e-3 * (1.0 + a.abs()), "{a} {b}");
            }
        }
    }

    #[test]
    fn a_bleeder_never_lengthens_the_fall_of_the_first_filter(
        lines in lines(),
        ohms in select(&OHMS[4..]),
    ) {
        // Capacitors between two live points may hand their charge on: out.
        let grounded = |l: &String| !l.starts_with('C') || l.ends_with("to chassis");
        let lines: Vec<String> = lines.into_iter().filter(grounded).collect();
        let mut bled = lines.clone();
        bled.push(format!("R97 {ohms} 10 W B0 to chassis"));
        let seconds = |lines: &[String]| {
            let report = report(&sheet(lines));
            let first = report.capacitors.iter().find(|c| c.key == "C99").cloned();
            match first.and_then(|c| c.fall) {
                Some(FallOf::After { seconds, .. }) => Some(seconds),
                Some(FallOf::Stays { .. }) => Some(f64::INFINITY),
                Some(FallOf::Below) => Some(0.0),
                None => None,
            }
        };
        if let (Some(before), Some(after)) = (seconds(&lines), seconds(&bled)) {
            prop_assert!(after <= before * 1.02 + 1e-3, "{before} {after}");
        }
    }
}

/// A ladder of so many nodes between B1 and the chassis.
fn ladder(nodes: usize) -> String {
    let mut text = SUPPLY.to_owned();
    for n in 1..=nodes {
        let from = if n == 1 { "B1".to_owned() } else { format!("n{}", n - 1) };
        writeln!(text, "R{n} 100 ohm {from} to n{n}\nC{n} .01 uF n{n} to chassis").unwrap();
    }
    writeln!(text, "R100000 10K n{nodes} to chassis").unwrap();
    text
}

#[test]
fn ten_thousand_nodes_in_a_row_in_a_ring_and_afloat_are_told() {
    let row = ladder(10_000);
    let ring = format!("{row}R100001 1K n9999 to n1\nwire n5 to n7\n");
    let mut afloat = SUPPLY.to_owned();
    for n in 1..=10_000 {
        writeln!(afloat, "R{n} 1K a{n} to b{n}").unwrap();
    }
    for text in [row, ring, afloat] {
        let told = report(&Sheet::read(&text));
        assert_eq!(told.trouble, None);
        assert!(told.nodes.len() > 10_000);
    }
}

#[test]
fn many_rectifiers_tubes_of_no_type_and_loops_are_told() {
    let mut text = SUPPLY.to_owned();
    for n in 1..=1_000 {
        let next = n % 1_000 + 1;
        writeln!(text, "D{n} silicon T1.3 to o{n}\nR{n} 10K o{n} to o{next}").unwrap();
        writeln!(text, "V{n} 6XX{n} 1=o{n} 2=chassis 3=V{next}.3").unwrap();
    }
    let told = report(&Sheet::read(&text));
    assert!(told.notes.iter().filter(|n| n.message.contains("not in the table")).count() >= 999);
}
