//! When each capacitor crosses the limit for good.
//!
//! Purpose: samples of every step, the crossing within a step by a cubic
//! through both ends and their slopes, and when no more can happen.
//!
//! Example: see [`super::discharge`].
//!
//! Limits: a capacitor that passes the limit twice within one step is taken as
//! not having passed.

use super::{Capacitor, CapacitorFall, Discharge, Fall, Network, across};

/// Crossings and samples.
pub(super) struct Watch {
    limit: f64,
    ends: Vec<f64>,
    falls: Vec<Fall>,
    last: Vec<(f64, f64)>,
    seconds: Vec<f64>,
    volts: Vec<Vec<f64>>,
}

impl Watch {
    pub fn new(capacitors: &[Capacitor], ends: Vec<f64>, limit: f64) -> Self {
        let falls = ends
            .iter()
            .zip(capacitors)
            .map(|(end, c)| {
                // What ends at the limit itself counts as staying.
                let stays = end.abs() >= limit * (1.0 - 1e-9);
                if stays && c.start.abs() > 0.0 { Fall::Stays { volts: *end } } else { Fall::Below }
            })
            .collect();
        Self { limit, ends, falls, last: Vec::new(), seconds: Vec::new(), volts: Vec::new() }
    }

    pub fn sample(&mut self, time: f64, network: &Network, capacitors: &[Capacitor]) {
        let before = self.seconds.last().copied().unwrap_or(0.0);
        let step = time - before;
        let mut row = Vec::with_capacity(capacitors.len());
        for (at, c) in capacitors.iter().enumerate() {
            let now = if step > 0.0 { across(c, &network.volts) } else { c.start };
            let slope = across(c, &network.slope);
            if step > 0.0 && !matches!(self.falls[at], Fall::Stays { .. }) {
                let (was, was_slope) = self.last[at];
                if was.abs() > self.limit && now.abs() <= self.limit {
                    // The first step's beginning has no slope yet: a chord.
                    let was_slope = if before > 0.0 { was_slope } else { (now - was) / step };
                    let share = crossing([was, was_slope * step, now, slope * step], self.limit);
                    self.falls[at] = Fall::After { seconds: before + share * step };
                }
            }
            if self.last.len() == at {
                self.last.push((now, slope));
            } else {
                self.last[at] = (now, slope);
            }
            row.push(now);
        }
        self.seconds.push(time);
        self.volts.push(row);
    }

    /// Whether the energy left can lift no capacitor above the limit again.
    pub fn done(&self, network: &Network, capacitors: &[Capacitor]) -> bool {
        if self.seconds.len() < 2 {
            return false;
        }
        let away = |at: usize| across(&capacitors[at], &network.volts) - self.ends[at];
        let energy: f64 =
            capacitors.iter().enumerate().map(|(at, c)| c.farads * away(at) * away(at)).sum();
        capacitors.iter().enumerate().all(|(at, c)| {
            let room = self.limit - self.ends[at].abs();
            matches!(self.falls[at], Fall::Stays { .. }) || c.farads * room * room > energy
        })
    }

    pub fn finish(self, capacitors: &[Capacitor]) -> Discharge {
        let falls =
            capacitors.iter().zip(self.falls).zip(&self.last).map(|((c, fall), &(volts, _))| {
                // Followed to the horizon and still above: as good as staying.
                let fall = if volts.abs() > self.limit { Fall::Stays { volts } } else { fall };
                CapacitorFall { element: c.element, start_volts: c.start, fall }
            });
        Discharge { falls: falls.collect(), seconds: self.seconds, volts: self.volts }
    }
}

/// Where between 0 and 1 the cubic through both ends falls to `limit`.
fn crossing([from, from_slope, to, to_slope]: [f64; 4], limit: f64) -> f64 {
    let value = |x: f64| {
        let (x2, x3) = (x * x, x * x * x);
        (2.0 * x3 - 3.0 * x2 + 1.0) * from
            + (x3 - 2.0 * x2 + x) * from_slope
            + (3.0 * x2 - 2.0 * x3) * to
            + (x3 - x2) * to_slope
    };
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if value(middle).abs() > limit {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
