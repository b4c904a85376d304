//! Which lamp tells a healthy set from a faulty one best.

use super::fault::Fault;
use super::load::SetLoad;
use super::point::{Heat, Point};
use crate::circuit::lamp::Lamp;
use crate::trade::lamp::{Lamps, SOLD_W};

/// A lamp with what it shows at the full line.
#[derive(Debug, Clone, PartialEq)]
pub struct LampRow {
    /// The lamp, or several in parallel.
    pub lamps: Lamps,
    /// The healthy set behind it.
    pub healthy: Point,
    /// The set with each fault behind it, in their order.
    pub faulty: Vec<Point>,
    /// Parts of the lamp's rated volts by which its worst fault lies above the
    /// healthy set.
    pub apart: f64,
}

/// What was chosen, by index among the rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// For the first stages: tells best.
    pub first: usize,
    /// For the last ones: the smallest that leaves the healthy set most of the
    /// line.
    pub second: usize,
}

/// Parts of the line that the second lamp must leave a healthy set. Common
/// practice, no source: from there on it works.
pub const WORKING: f64 = 0.85;

/// Lamps that are sold, and several of the largest.
pub fn candidates(rated_v: f64) -> Vec<Lamps> {
    let single = SOLD_W.iter().map(|watts| Lamps { watts: *watts, count: 1, rated_v });
    let largest = SOLD_W[SOLD_W.len() - 1];
    let several = (2..=3).map(|count| Lamps { watts: largest, count, rated_v });
    single.chain(several).collect()
}

/// Every lamp at the nominal line.
pub fn rows(load: &SetLoad, faults: &[Fault], rated_v: f64) -> Vec<LampRow> {
    candidates(rated_v)
        .into_iter()
        .filter_map(|lamps| {
            let lamp = Lamp::new(lamps.rated_v, lamps.total_w())?;
            let at = |fault| load.point(Some(&lamp), load.mains_v, Heat::Settled, fault);
            let healthy = at(None);
            let faulty: Vec<Point> = faults.iter().map(|fault| at(Some(fault))).collect();
            let worst = faulty.iter().map(|point| point.lamp_v).fold(healthy.lamp_v, f64::max);
            let apart = (worst - healthy.lamp_v) / lamp.rated_volts();
            Some(LampRow { lamps, healthy, faulty, apart })
        })
        .collect()
}

/// The lamp on which healthy and worst fault lie farthest apart, and the one
/// for the last stages; `None` where there is no row.
pub fn choose(rows: &[LampRow]) -> Option<Choice> {
    let best = rows.iter().map(|row| row.apart).fold(f64::NEG_INFINITY, f64::max);
    // Of those that tell as well the smallest limits most.
    let first = rows.iter().position(|row| row.apart >= best - 0.01)?;
    let works = |row: &LampRow| row.healthy.set_v >= WORKING * row.healthy.line_v;
    let second = rows.iter().skip(first).position(works).map_or(rows.len() - 1, |at| first + at);
    Some(Choice { first, second })
}
