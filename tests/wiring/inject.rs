//! Every single fault of every kind, put into the example sets and a random
//! one: the readings that the walk gives are simulated with the meter's error,
//! the proposed readings are followed, and the true fault must stand among the
//! first three.
//!
//! The simulation knows nothing of the ranking: strengths of drift and leakage
//! are drawn, readings come from a fresh solve of the faulted set.

use super::build::Built;
use super::random::{self, Sequence};
use firstglow::bench::reading::Verdict;
use firstglow::bench::wiring::{
    Candidate, Ohmmeter, Taken, Value, band, check, check_with, meter::judge,
};
use firstglow::circuit::fault::{Change, Effects, How, Kind, Table};
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use std::collections::BTreeMap;

/// Readings taken at most past the first that is out of band.
const MOST_FOLLOWED: usize = 8;

/// A fault in a strength of its own.
fn strength(table: &Table, fault: usize, by: &mut Sequence) -> Vec<Change> {
    let own = &table.faults[fault];
    let drifted = |factor: f64| -> Vec<Change> {
        let links = table.harness.links_of(own.part).iter();
        links.map(|l| Change { a: l.a, b: l.b, siemens: l.siemens / factor - l.siemens }).collect()
    };
    let tolerance = table.harness.links_of(own.part).first().map_or(0.2, |l| l.tolerance);
    match own.how {
        How::Up => drifted(by.between(1.0 + 1.5 * tolerance, 4.0)),
        How::Down => drifted(1.0 / by.between(1.0 + 1.5 * tolerance, 4.0)),
        How::Leaky => {
            let ohms = by.between(20e3, 300e3);
            own.variants[0].iter().map(|c| Change { siemens: 1.0 / ohms, ..*c }).collect()
        }
        _ => own.variants[0].clone(),
    }
}

/// What the meter shows.
fn shown(ohms: f64, by: &mut Sequence) -> f64 {
    let meter = Ohmmeter::USUAL;
    if ohms >= meter.top {
        return f64::INFINITY;
    }
    let error = meter.error(ohms) * 0.8 * (2.0 * by.next() - 1.0);
    if ohms + error >= meter.top { f64::INFINITY } else { (ohms + error).max(0.0) }
}

#[derive(Default, Clone, Copy)]
struct Count {
    all: usize,
    unseen: usize,
    /// Seen, and alike to others at every reading.
    alike: usize,
    first: usize,
    three: usize,
    followed: usize,
}

impl Count {
    fn seen(&self) -> usize {
        self.all - self.unseen
    }
}

/// Whether all readings of two faulted sets are alike to the meter.
fn alike(one: &[f64], other: impl Fn(usize) -> f64) -> bool {
    one.iter().enumerate().all(|(at, ohms)| Ohmmeter::USUAL.alike(*ohms, other(at)))
}

/// A set and all that its faults change.
struct Bench {
    table: Table,
    effects: Effects,
}

impl Bench {
    fn of(sheet: &Sheet) -> Self {
        let table = Table::of(sheet, &Wiring::of(sheet)).expect("a set");
        let effects = Effects::all(&table);
        Self { table, effects }
    }

    /// Whether a candidate holds the true fault, or one that reads the same.
    fn holds(&self, candidate: &Candidate, truth: usize, exact: &[f64]) -> bool {
        candidate.faults.iter().any(|fault| {
            let variants = 0..self.table.faults[*fault].variants.len();
            let ohms = |v: usize, probe: usize| self.effects.ohms(&self.table, *fault, v, probe);
            *fault == truth || variants.into_iter().any(|v| alike(exact, |probe| ohms(v, probe)))
        })
    }
}

fn inject(sheet: &Sheet, spread: bool, seed: u64, counts: &mut BTreeMap<Kind, Count>) {
    let bench = Bench::of(sheet);
    let Bench { table, effects } = &bench;
    let mut by = Sequence::new(seed);
    for (at, fault) in table.faults.iter().enumerate() {
        let changes = strength(table, at, &mut by);
        let factors: Vec<f64> = (table.harness.links.iter())
            .map(|l| if spread { 1.0 + l.tolerance * 0.9 * (2.0 * by.next() - 1.0) } else { 1.0 })
            .collect();
        let exact = Built::new(table, &changes, |l| 1.0 / factors[l]).readings(table);
        let nominal = Built::new(table, &changes, |_| 1.0).readings(table);
        let readings: Vec<f64> = exact.iter().map(|ohms| shown(*ohms, &mut by)).collect();
        let is_out = |probe: usize, ohms: f64| {
            let band = band(&Ohmmeter::USUAL, &table.expected[probe]);
            judge(band, ohms) != Verdict::Within
        };
        let count = counts.entry(fault.kind()).or_default();
        count.all += 1;
        let out = (0..readings.len()).find(|probe| is_out(*probe, readings[*probe]));
        let moves = (0..nominal.len()).any(|probe| is_out(probe, nominal[probe]));
        let (Some(out), true) = (out, moves) else {
            count.unseen += 1;
            continue;
        };
        let take = |probe: usize| Taken { probe, value: Value::Ohms(readings[probe]) };
        let mut taken: Vec<Taken> = (0..=out).map(take).collect();
        for _ in 0..MOST_FOLLOWED {
            let Some(next) = check_with(table, effects, &taken).next else { break };
            taken.push(take(next.probe));
            count.followed += 1;
        }
        let found = check_with(table, effects, &taken);
        let stands = found.candidates.iter().position(|c| bench.holds(c, at, &nominal));
        let is_alike = stands.is_some_and(|s| found.candidates[s].faults.len() > 1);
        count.alike += usize::from(is_alike);
        count.first += usize::from(stands == Some(0));
        count.three += usize::from(stands.is_some_and(|s| s < 3));
    }
}

fn told(name: &str, counts: &BTreeMap<Kind, Count>) -> (usize, usize) {
    println!("{name}: faults, of these unseen from the points of the chart; of the others");
    println!("alike to another fault, first, among the first three, readings followed each");
    let (mut three, mut seen) = (0, 0);
    let number = |count: usize| u32::try_from(count).map_or(f64::NAN, f64::from);
    let each = |sum: usize, of: usize| number(sum) / number(of.max(1));
    for (kind, c) in counts {
        println!(
            "  {:<10}{:>5}{:>5}  |{:>5}{:>5}{:>5}{:>6.1}",
            format!("{kind:?}"),
            c.all,
            c.unseen,
            c.alike,
            c.first,
            c.three,
            each(c.followed, c.seen())
        );
        three += c.three;
        seen += c.seen();
    }
    println!("  {three} of {seen} among the first three ({:.1} %)", 100.0 * each(three, seen));
    (three, seen)
}

fn sets() -> Vec<(String, Sheet)> {
    let examples = EXAMPLES.iter().map(|e| (e.id.to_owned(), Sheet::read(e.text)));
    let random = ("random".to_owned(), Sheet::read(&random::sheet(7, 5)));
    examples.chain([random]).collect()
}

#[test]
fn the_true_fault_stands_among_the_first_three_in_nine_of_ten_cases() {
    for (name, sheet) in sets() {
        let mut counts = BTreeMap::new();
        inject(&sheet, false, 1, &mut counts);
        let (three, seen) = told(&name, &counts);
        assert!(seen > 100, "{name}: only {seen} faults are to be seen");
        assert!(10 * three >= 9 * seen, "{name}: {three} of {seen}");
    }
}

#[test]
fn the_same_holds_with_every_part_somewhere_in_its_tolerance() {
    for (name, sheet) in sets() {
        let mut counts = BTreeMap::new();
        inject(&sheet, true, 2, &mut counts);
        let (three, seen) = told(&format!("{name}, parts spread"), &counts);
        assert!(10 * three >= 9 * seen, "{name}: {three} of {seen}");
    }
}

#[test]
fn faults_that_are_followed_on_demand_rank_as_when_all_are() {
    for (name, sheet) in sets() {
        let Bench { table, effects } = Bench::of(&sheet);
        let mut by = Sequence::new(3);
        for fault in (0..table.faults.len()).step_by(7) {
            let changes = strength(&table, fault, &mut by);
            let readings = Built::new(&table, &changes, |_| 1.0).readings(&table);
            let taken: Vec<Taken> = (0..readings.len())
                .step_by(2)
                .map(|probe| Taken { probe, value: Value::Ohms(readings[probe]) })
                .collect();
            let (lazy, whole) = (check(&table, &taken), check_with(&table, &effects, &taken));
            let first = |c: &firstglow::bench::wiring::Check| {
                c.candidates.iter().take(3).map(|c| c.faults[0]).collect::<Vec<_>>()
            };
            assert_eq!(first(&lazy), first(&whole), "{name} {:?}", table.faults[fault].how);
            assert_eq!(lazy.next, whole.next, "{name} {:?}", table.faults[fault].how);
        }
    }
}
