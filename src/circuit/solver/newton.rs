//! Newton's method and its crutches.
//!
//! Purpose: find the unknowns at which Kirchhoff's sums vanish. Settled means
//! that the last full step moved no unknown by more than the tolerance, in
//! volts and relative, and that each sum is small beside what passes; a value
//! that is not a number is never settled.
//!
//! Example: see [`super::Solver`].
//!
//! Limits: finds one solution. The failure names the row that was furthest
//! from balance at the end.

use super::system::{Crutch, Sums, System};
use super::{Method, Options};

/// Amperes that always count as balanced, and the share of the passing current
/// that does. The usual 1 pA of circuit simulators, and far below 0.01 %.
const ABSOLUTE_AMPS: f64 = 1e-12;
const RELATIVE_AMPS: f64 = 1e-9;

/// The answer, and Kirchhoff's sums there.
pub(super) struct Found {
    /// Volts of all nodes.
    pub volts: Vec<f64>,
    pub sums: Sums,
    pub iterations: usize,
    pub method: Method,
}

/// Where it broke down.
#[derive(Debug, Clone, Copy)]
pub(super) enum Failure {
    Singular { row: usize },
    Unsettled { row: usize, volts: f64 },
}

/// Tries plain, damped, gmin and source stepping in turn.
pub(super) fn run(
    system: &mut System,
    guess: Option<Vec<f64>>,
    options: &Options,
) -> Result<Found, Failure> {
    let zeros = vec![0.0; system.reduction.len()];
    let mut search = Search { system, options, steps: 0, volts: Vec::new(), sums: Sums::default() };
    let start = guess.unwrap_or_else(|| zeros.clone());
    let Err(mut last) = search.settle(start, Crutch::NONE, false) else {
        return Ok(search.found(Method::Newton));
    };
    for method in [Method::Damped, Method::Gmin, Method::Sources] {
        let tried = match method {
            Method::Gmin => search.with_gmin(zeros.clone()),
            Method::Sources => search.with_sources(zeros.clone()),
            _ => search.settle(zeros.clone(), Crutch::NONE, true),
        };
        match tried {
            Ok(_) => return Ok(search.found(method)),
            Err(failure) => last = failure,
        }
    }
    Err(last)
}

struct Search<'a> {
    system: &'a mut System,
    options: &'a Options,
    steps: usize,
    volts: Vec<f64>,
    sums: Sums,
}

impl Search<'_> {
    /// What was measured last.
    fn found(self, method: Method) -> Found {
        Found { volts: self.volts, sums: self.sums, iterations: self.steps, method }
    }

    fn with_gmin(&mut self, mut unknowns: Vec<f64>) -> Result<Vec<f64>, Failure> {
        for exponent in 2..=12 {
            let gmin = 10.0_f64.powi(-exponent);
            unknowns = self.settle(unknowns, Crutch { gmin, sources: 1.0 }, true)?;
        }
        self.settle(unknowns, Crutch::NONE, true)
    }

    fn with_sources(&mut self, mut unknowns: Vec<f64>) -> Result<Vec<f64>, Failure> {
        let (mut reached, mut step) = (0.0, 0.1);
        while reached < 1.0 {
            let sources = f64::min(reached + step, 1.0);
            match self.settle(unknowns.clone(), Crutch { gmin: 0.0, sources }, true) {
                Ok(next) => {
                    unknowns = next;
                    reached = sources;
                    step *= 1.5;
                }
                Err(failure) => {
                    step *= 0.25;
                    if step < 1e-4 {
                        return Err(failure);
                    }
                }
            }
        }
        self.settle(unknowns, Crutch::NONE, true)
    }

    fn settle(
        &mut self,
        mut unknowns: Vec<f64>,
        crutch: Crutch,
        damped: bool,
    ) -> Result<Vec<f64>, Failure> {
        let limit = if damped { 3 * self.options.iterations } else { self.options.iterations };
        let mut step = vec![0.0; unknowns.len()];
        self.measure(&unknowns, crutch);
        for _ in 0..limit {
            self.steps += 1;
            self.system.factor(crutch).map_err(|row| Failure::Singular { row })?;
            step.copy_from_slice(&self.sums.leaving);
            self.system.factors.solve(&mut step);
            let share = if damped { self.shorten(&unknowns, &step, crutch) } else { 1.0 };
            for (unknown, step) in unknowns.iter_mut().zip(&step) {
                *unknown -= share * step;
            }
            self.measure(&unknowns, crutch);
            if share >= 1.0 && self.still(&unknowns, &step) && self.balanced() {
                return Ok(unknowns);
            }
            if !unknowns.iter().all(|unknown| unknown.is_finite()) {
                break;
            }
        }
        Err(self.blame(&unknowns))
    }

    fn measure(&mut self, unknowns: &[f64], crutch: Crutch) {
        self.system.reduction.spread(unknowns, crutch.sources, &mut self.volts);
        self.system.sums(unknowns, &self.volts, crutch, &mut self.sums);
    }

    /// The largest of 1, 1/2, 1/4 … that brings the sums down.
    fn shorten(&mut self, unknowns: &[f64], step: &[f64], crutch: Crutch) -> f64 {
        let before = self.merit();
        let mut share = 1.0;
        while share > 1e-3 {
            let trial: Vec<f64> =
                unknowns.iter().zip(step).map(|(unknown, step)| unknown - share * step).collect();
            self.measure(&trial, crutch);
            if self.merit() <= before * (1.0 - 1e-4 * share) || self.balanced() {
                break;
            }
            share *= 0.5;
        }
        share
    }

    fn merit(&self) -> f64 {
        self.sums.leaving.iter().map(|amps| amps * amps).sum::<f64>().sqrt()
    }

    fn still(&self, unknowns: &[f64], step: &[f64]) -> bool {
        let tolerance = self.options.tolerance;
        let largest = unknowns.iter().fold(0.0_f64, |most, volts| most.max(volts.abs()));
        // `all` with `<=` is false for a value that is not a number.
        step.iter().all(|step| step.abs() <= tolerance * (1.0 + largest))
    }

    fn balanced(&self) -> bool {
        let Sums { leaving, passing, rounding } = &self.sums;
        leaving.iter().zip(passing).zip(rounding).all(|((leaving, passing), rounding)| {
            leaving.abs() <= ABSOLUTE_AMPS + RELATIVE_AMPS * passing + rounding
        })
    }

    fn blame(&self, unknowns: &[f64]) -> Failure {
        let mut worst = (0, 0.0);
        for (row, leaving) in self.sums.leaving.iter().enumerate() {
            if leaving.is_nan() || leaving.abs() > worst.1 {
                worst = (row, leaving.abs());
            }
        }
        Failure::Unsettled { row: worst.0, volts: unknowns.get(worst.0).copied().unwrap_or(0.0) }
    }
}
