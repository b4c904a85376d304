//! Which faults explain the readings, the likeliest first.
//!
//! Each fault in each of its strengths says what every reading would be. A
//! reading counts by how far it is from that, in tolerances and the meter's
//! error; readings of one node that agree count as one; a reading that fits a
//! fault not at all counts against it, but never without end, for a reading can
//! be taken amiss. Before any reading the faults are weighed by kind.

use super::meter::{Ohmmeter, band, judge};
use super::next::{Next, next};
use crate::bench::reading::Verdict;
use crate::circuit::fault::{Effects, Expected, Table};
use crate::order;

/// A reading that was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// The probe, by its number.
    pub probe: usize,
    /// What it showed.
    pub value: Value,
}

/// What a reading showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// Ohms; infinite for an open circuit.
    Ohms(f64),
    /// Ticked as good: somewhere in its band.
    Good,
}

/// Faults that explain the readings and that no reading of the chart tells
/// apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The faults, by their numbers, the likeliest first.
    pub faults: Vec<usize>,
    /// The strength of the first that fits best.
    pub variant: usize,
    /// Its share of all candidates, from 0 to 1.
    pub share: f64,
    /// Readings that are out of band and that it does not explain, by probe.
    pub unexplained: Vec<usize>,
}

/// What the readings come to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Check {
    /// Probes whose readings are out of their band, in the order taken.
    pub out: Vec<usize>,
    /// What explains them, the likeliest first; empty where all are well.
    pub candidates: Vec<Candidate>,
    /// The reading that tells the leading candidates apart best.
    pub next: Option<Next>,
}

/// A reading that does not fit counts no more than this against a fault, in
/// natural logarithms. Own choice.
const MISS: f64 = -12.0;
/// From here on a reading counts as explained.
const EXPLAINED: f64 = -4.5;
/// Relative width taken for a reading that a fault has moved: what is left in
/// its path has tolerances too. Half of the usual ±20 %.
const MOVED_WIDTH: f64 = 0.1;
/// The most groups of faults that are told.
const MOST: usize = 12;

/// Ranks the faults by the readings taken.
pub fn check(table: &Table, taken: &[Taken]) -> Check {
    let out = out_of_band(table, taken);
    if out.is_empty() {
        return Check::default();
    }
    check_with(table, &Effects::near(table, &out), taken)
}

/// The probes whose readings are out of their band, in the order taken.
fn out_of_band(table: &Table, taken: &[Taken]) -> Vec<usize> {
    let is_out = |t: &&Taken| match t.value {
        Value::Good => false,
        Value::Ohms(ohms) => {
            judge(band(&Ohmmeter::USUAL, &table.expected[t.probe]), ohms) != Verdict::Within
        }
    };
    taken.iter().filter(is_out).map(|t| t.probe).collect()
}

/// The same as [`check`] where what faults change is known already.
pub fn check_with(table: &Table, effects: &Effects, taken: &[Taken]) -> Check {
    let meter = Ohmmeter::USUAL;
    let out = out_of_band(table, taken);
    if out.is_empty() {
        return Check::default();
    }
    let seen = Seen::new(table, effects, meter, taken);
    let mut scored: Vec<Scored> = (0..table.faults.len())
        .filter(|fault| touches(table, effects, *fault, &out))
        .map(|fault| seen.score(fault))
        .collect();
    order::sort(&mut scored, |s| order::falling(s.score));
    let best = scored.first().map_or(0.0, |s| s.score);
    let whole: f64 = scored.iter().map(|s| (s.score - best).exp()).sum();
    let mut candidates: Vec<Candidate> = Vec::new();
    let tell = Tell { table, effects, meter };
    for own in &scored {
        let share = (own.score - best).exp() / whole;
        let alike =
            |c: &Candidate| tell.same_readings((c.faults[0], c.variant), (own.fault, own.variant));
        if let Some(same) = candidates.iter_mut().find(|c| alike(c)) {
            same.faults.push(own.fault);
            same.share += share;
        } else if candidates.len() < MOST {
            candidates.push(Candidate {
                faults: vec![own.fault],
                variant: own.variant,
                share,
                unexplained: seen.unexplained(own, &out),
            });
        }
    }
    // What many faults would bring about is likelier than what one would.
    order::sort(&mut candidates, |c| order::falling(c.share));
    let next = next(&tell, &candidates, taken);
    Check { out, candidates, next }
}

/// Whether a fault moves any of these readings.
fn touches(table: &Table, effects: &Effects, fault: usize, out: &[usize]) -> bool {
    let variants = table.faults[fault].variants.len();
    (0..variants).any(|v| effects.changed(fault, v).iter().any(|e| out.contains(&e.probe)))
}

/// A fault with its best strength.
#[derive(Debug, Clone, Copy)]
struct Scored {
    fault: usize,
    variant: usize,
    score: f64,
}

/// What a meter tells of the faults.
pub(super) struct Tell<'a> {
    pub table: &'a Table,
    pub effects: &'a Effects,
    pub meter: Ohmmeter,
}

impl Tell<'_> {
    /// What a probe reads with a fault in one of its strengths.
    pub fn ohms(&self, (fault, variant): (usize, usize), probe: usize) -> f64 {
        self.effects.ohms(self.table, fault, variant, probe)
    }

    /// Whether two faults in their strengths make the same of every reading,
    /// as far as the meter tells.
    fn same_readings(&self, one: (usize, usize), other: (usize, usize)) -> bool {
        let half = |a: (usize, usize), b: (usize, usize)| {
            let changed = self.effects.changed(a.0, a.1);
            changed.iter().all(|e| self.meter.alike(e.ohms, self.ohms(b, e.probe)))
        };
        half(one, other) && half(other, one)
    }
}

/// The readings taken, and how well a sound set fits each.
struct Seen<'a> {
    table: &'a Table,
    effects: &'a Effects,
    meter: Ohmmeter,
    /// By probe: the reading, how much it counts, how well a sound set fits.
    of: Vec<Option<Reading>>,
    sound: f64,
}

#[derive(Debug, Clone, Copy)]
struct Reading {
    value: Value,
    weight: f64,
    sound: f64,
}

impl<'a> Seen<'a> {
    fn new(table: &'a Table, effects: &'a Effects, meter: Ohmmeter, taken: &[Taken]) -> Self {
        let mut of: Vec<Option<Reading>> = vec![None; table.probes.len()];
        for t in taken {
            let fits = |other: &&Taken| {
                same_place(table, t.probe, other.probe) && same_value(&meter, t.value, other.value)
            };
            let times = taken.iter().filter(fits).count();
            let expected = &table.expected[t.probe];
            let sound = fit(&meter, expected, expected.ohms, false, t.value);
            let weight = 1.0 / f64::from(u32::try_from(times.max(1)).unwrap_or(1));
            of[t.probe] = Some(Reading { value: t.value, weight, sound });
        }
        let sound = of.iter().flatten().map(|r| r.weight * r.sound).sum();
        Self { table, effects, meter, of, sound }
    }

    fn score(&self, fault: usize) -> Scored {
        let own = &self.table.faults[fault];
        let fits: Vec<f64> = (0..own.variants.len()).map(|v| self.fits(fault, v)).collect();
        let best = fits.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let variant = fits.iter().position(|f| *f >= best).unwrap_or(0);
        let sum: f64 = fits.iter().map(|f| (f - best).exp()).sum();
        let count = f64::from(u32::try_from(fits.len()).unwrap_or(1));
        Scored { fault, variant, score: best + (sum / count).ln() + own.prior.ln() }
    }

    /// How well all readings fit a fault in one strength.
    fn fits(&self, fault: usize, variant: usize) -> f64 {
        let mut sum = self.sound;
        for effect in self.effects.changed(fault, variant) {
            if let Some(reading) = self.of[effect.probe] {
                let expected = &self.table.expected[effect.probe];
                let fit = fit(&self.meter, expected, effect.ohms, true, reading.value);
                sum += reading.weight * (fit - reading.sound);
            }
        }
        sum
    }

    fn unexplained(&self, scored: &Scored, out: &[usize]) -> Vec<usize> {
        let is_left = |probe: &&usize| {
            let Some(reading) = self.of[**probe] else { return false };
            let expected = &self.table.expected[**probe];
            let ohms = self.effects.ohms(self.table, scored.fault, scored.variant, **probe);
            let moved = (ohms - expected.ohms).abs() > 0.0;
            fit(&self.meter, expected, ohms, moved, reading.value) < EXPLAINED
        };
        out.iter().filter(is_left).copied().collect()
    }
}

fn same_place(table: &Table, one: usize, other: usize) -> bool {
    let (a, b) = (&table.probes[one], &table.probes[other]);
    let alike = |x, y| table.harness.alike(x, y);
    alike(a.at, b.at) && alike(a.against, b.against)
}

fn same_value(meter: &Ohmmeter, one: Value, other: Value) -> bool {
    match (one, other) {
        (Value::Ohms(a), Value::Ohms(b)) => meter.alike(a, b),
        (Value::Good, Value::Good) => true,
        _ => false,
    }
}

/// How well a reading fits what a probe would read, in natural logarithms:
/// about 0 for a good fit of a reading with the usual width, more for a close
/// one, [`MISS`] at the least.
fn fit(meter: &Ohmmeter, expected: &Expected, ohms: f64, moved: bool, value: Value) -> f64 {
    let own = if expected.ohms.is_finite() && expected.ohms > 0.0 {
        0.5 * expected.spread / expected.ohms
    } else {
        0.0
    };
    let width = if moved { own.max(MOVED_WIDTH) } else { own };
    let (low, high) = expected.range(ohms);
    let reading = match value {
        Value::Ohms(reading) => reading,
        Value::Good => {
            let band = band(meter, expected);
            let middle = if ohms.is_finite() { ohms } else { meter.top };
            middle.max(band.least).min(band.most)
        }
    };
    if reading >= meter.top {
        return if high * (1.0 + 2.0 * width) >= 0.9 * meter.top { 0.0 } else { MISS };
    }
    if low >= meter.top {
        return if reading >= 0.5 * meter.top { 0.0 } else { MISS };
    }
    let edge = reading.max(low).min(high);
    let error = 0.5 * meter.error(reading);
    let off = (edge * width).hypot(error);
    let by = (reading - edge) / off;
    // A wide range says little of any reading in it.
    let play = (high.min(meter.top) + meter.floor) / (low + meter.floor);
    let scale = off / (edge + 5.0) + play.max(1.0).ln();
    (-0.5 * by * by + (MOVED_WIDTH / scale.max(0.01)).ln().min(2.0)).max(MISS)
}
