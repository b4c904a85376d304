//! The periodic steady state, by shooting.
//!
//! Purpose: one period is integrated from a guess, together with how its end
//! depends on its beginning; Newton's method moves the guess until end and
//! beginning agree.
//!
//! Example: see [`super::Supply::steady`].
//!
//! Limits: those of the period. Peak current is the largest of the steps: within
//! 2 % from wCR = 5 on, up to 13 % too high at wCR = 2 with Rs/R under 1 %.

use super::pair::{Pair, about_one, apply, dot, inverse};
use super::period::{Equations, Period, STEPS, Turn, as_f64, equations};
use super::{Load, Supply, SupplyError, Topology};
use std::f64::consts::{PI, SQRT_2};

/// Trials before giving up.
const TRIALS: usize = 60;

/// The steady state of a supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steady {
    /// Mean volts of the output.
    pub volts: f64,
    /// Least and most volts within the period.
    pub extremes: (f64, f64),
    /// Volts from least to most.
    pub ripple_peak_to_peak: f64,
    /// Root mean square of the whole ripple, volts.
    pub ripple_rms: f64,
    /// Root mean square of its fundamental, volts.
    pub ripple_fundamental: f64,
    /// Hertz of the fundamental.
    pub ripple_hertz: f64,
    /// Peak amperes of each rectifier.
    pub peak_amps: f64,
    /// Root mean square amperes of each rectifier; of the one with more, in a
    /// half-wave doubler.
    pub rms_amps: f64,
    /// Root mean square amperes of the source; of one half of a tapped winding.
    pub source_rms_amps: f64,
    /// Mean watts out of the source, both halves of a tapped winding together.
    pub source_watts: f64,
    /// Mean amperes of each rectifier.
    pub mean_amps: f64,
    /// Root mean square amperes into the first capacitor.
    pub capacitor_rms_amps: f64,
    /// Volts of the capacitors where a period begins, of a choke input the
    /// choke's amperes and its capacitor's volts: a neighbouring search may
    /// start there.
    pub state: [f64; 2],
    /// Periods integrated at full fineness.
    pub periods: usize,
}

/// Finds the state that a period gives back, from one that is near it if there
/// is one.
pub(super) fn find(supply: &Supply, load: Load, near: Option<Pair>) -> Result<Steady, SupplyError> {
    if load.siemens <= 0.0 && load.amps <= 0.0 {
        return Ok(unloaded(supply));
    }
    let equations = equations(supply, load);
    let period = Period::new(supply, &equations, STEPS);
    let from_near = near.and_then(|near| settle(supply, load, &period, near).ok());
    let (state, trials) = if let Some(found) = from_near {
        found
    } else {
        // A coarse period finds the neighbourhood at a quarter of the cost;
        // where it fails the fine one starts from the guess itself.
        let guess = first_guess(supply, load);
        let coarse = Period::new(supply, &equations, STEPS / 4);
        let start = settle(supply, load, &coarse, guess).map_or(guess, |(state, _)| state);
        settle(supply, load, &period, start)?
    };
    let steady = summarise(supply, load, &equations, &period, state, trials + 1);
    if steady.volts > 0.0 { Ok(steady) } else { Err(SupplyError::Overloaded { amps: load.amps }) }
}

/// Moves the state until the period gives it back; tells the trials it took.
fn settle(
    supply: &Supply,
    load: Load,
    period: &Period,
    mut state: Pair,
) -> Result<(Pair, usize), SupplyError> {
    for trial in 1..=TRIALS {
        let (end, by_start) = period.run(state, |_, _, _| {});
        let miss = [end[0] - state[0], end[1] - state[1]];
        let step = apply(inverse(about_one(by_start, -1.0)), miss);
        let size = step[0].abs().max(step[1].abs());
        for (state, step) in state.iter_mut().zip(step) {
            // The guess may overshoot while the load rules; keep it in reach.
            *state = (*state + step).clamp(-supply.peak_volts, supply.peak_volts * 2.0);
        }
        // Newton squares what is left: after a step of 1e-4 hardly 1e-8 remain.
        // A step that is not a number does not pass.
        if size <= 1e-4 * supply.peak_volts {
            return Ok((state, trial));
        }
        let pinned = state.iter().any(|volts| *volts <= -supply.peak_volts);
        if pinned && trial > 8 {
            return Err(SupplyError::Overloaded { amps: load.amps });
        }
    }
    Err(SupplyError::Unsettled { periods: TRIALS })
}

/// From below, where Newton's steps approach from one side.
fn first_guess(supply: &Supply, load: Load) -> Pair {
    let peak = supply.peak_volts;
    let drawn = load.amps + load.siemens * peak * supply.topology.multiple();
    let lost = drawn * supply.source_ohms * 4.0 + supply.law.drop_volts(3.0 * drawn);
    let volts = (0.95 * peak - lost).max(0.3 * peak);
    match supply.topology {
        Topology::DoublerHalfWave => [volts, 1.8 * volts],
        _ => [volts, volts],
    }
}

fn unloaded(supply: &Supply) -> Steady {
    let volts = supply.no_load_volts();
    let state = match supply.topology {
        Topology::DoublerHalfWave => [volts / 2.0, volts],
        Topology::DoublerFullWave => [volts / 2.0; 2],
        _ => [volts; 2],
    };
    Steady::at_rest(volts, supply.hertz * supply.topology.pulses(), state)
}

impl Steady {
    /// Volts that nothing is taken from.
    pub(super) const fn at_rest(volts: f64, ripple_hertz: f64, state: Pair) -> Self {
        Self {
            volts,
            extremes: (volts, volts),
            ripple_peak_to_peak: 0.0,
            ripple_rms: 0.0,
            ripple_fundamental: 0.0,
            ripple_hertz,
            peak_amps: 0.0,
            rms_amps: 0.0,
            source_rms_amps: 0.0,
            source_watts: 0.0,
            mean_amps: 0.0,
            capacitor_rms_amps: 0.0,
            state,
            periods: 0,
        }
    }
}

/// Runs the settled period once more and sums it up.
fn summarise(
    supply: &Supply,
    load: Load,
    equations: &Equations,
    period: &Period,
    state: Pair,
    periods: usize,
) -> Steady {
    let count = as_f64(period.source.len());
    let pulses = supply.topology.pulses();
    // Ripple cycles in the integrated span.
    let cycles = if equations.folded { 1.0 } else { pulses };
    let mut sums = Sums { least: f64::INFINITY, most: f64::NEG_INFINITY, ..Sums::default() };
    let angle = 2.0 * PI * cycles / count;
    let mut turn = Turn::new(angle, angle);
    let mut source = period.source.iter();
    period.run(state, |state, branch, amps| {
        let volts = dot(equations.output, state);
        let (cosine, sine) = turn.next();
        sums.volts += volts;
        sums.square += (volts - supply.peak_volts).powi(2);
        sums.cosine += volts * cosine;
        sums.sine += volts * sine;
        sums.least = sums.least.min(volts);
        sums.most = sums.most.max(volts);
        let first = if branch == 0 { amps } else { 0.0 };
        let driven = source.next().map_or(0.0, |volts| volts[1]);
        let sign = equations.branches[branch].map_or(0.0, |branch| branch.sign);
        sums.watts += sign * driven * amps;
        sums.peak = sums.peak.max(amps);
        sums.mean += first;
        sums.mean_square[branch] += amps * amps;
        let charge =
            if supply.topology == Topology::DoublerHalfWave && branch == 1 { -amps } else { first };
        let drawn = if supply.topology == Topology::DoublerHalfWave {
            0.0
        } else {
            load.amps + load.siemens * volts
        };
        sums.capacitor += (charge - drawn).powi(2);
    });
    let mean = sums.volts / count;
    let variance = sums.square / count - (mean - supply.peak_volts).powi(2);
    // A folded period holds the pulses of both rectifiers.
    let each = if equations.folded { 2.0 } else { 1.0 };
    // A tapped winding's halves take turns; a bridge's winding carries all.
    let halves = if supply.topology == Topology::FullWave { 2.0 } else { 1.0 };
    Steady {
        volts: mean,
        extremes: (sums.least, sums.most),
        ripple_peak_to_peak: sums.most - sums.least,
        ripple_rms: variance.max(0.0).sqrt(),
        ripple_fundamental: SQRT_2 * sums.cosine.hypot(sums.sine) / count,
        ripple_hertz: supply.hertz * pulses,
        peak_amps: sums.peak,
        rms_amps: (sums.mean_square[0].max(sums.mean_square[1]) / count / each).sqrt(),
        source_rms_amps: ((sums.mean_square[0] + sums.mean_square[1]) / count / halves).sqrt(),
        source_watts: sums.watts / count,
        mean_amps: sums.mean / count / each,
        capacitor_rms_amps: (sums.capacitor / count).sqrt(),
        state,
        periods,
    }
}

#[derive(Default)]
struct Sums {
    volts: f64,
    square: f64,
    cosine: f64,
    sine: f64,
    least: f64,
    most: f64,
    peak: f64,
    watts: f64,
    mean: f64,
    mean_square: Pair,
    capacitor: f64,
}
