//! The periodic steady state, by shooting.
//!
//! Purpose: one period is integrated from a guess, together with how its end
//! depends on its beginning; Newton's method moves the guess until end and
//! beginning agree. An L-stable two-stage method (SDIRK2) keeps stiff supplies,
//! with hardly any source resistance, free of ringing.
//!
//! Example: see [`super::Supply::steady`].
//!
//! Limits: at most one rectifier conducts at a time, which holds for all the
//! forms in [`super::Topology`]. Peak current is the largest of the steps: within
//! 2 % from wCR = 5 on, up to 13 % too high at wCR = 2 with Rs/R under 1 %.

use super::pair::{Pair, Square, about_one, apply, dot, inverse, multiply};
use super::{Load, Supply, SupplyError, Topology};
use crate::circuit::law::{Law, rounding};
use std::f64::consts::{PI, SQRT_2};

/// Steps to half a cycle: at the 78 points of `tests/capacitor_input.rs` DC is
/// then within 0.2 % and ripple within 1 %, in 0.1 ms.
const STEPS: usize = 96;
/// Trials before giving up.
const TRIALS: usize = 60;
/// The diagonal of SDIRK2, `1 - 1/sqrt(2)` (Alexander, 1977).
const GAMMA: f64 = 1.0 - 1.0 / SQRT_2;

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
    /// Volts of the capacitors where a period begins: a neighbouring search may
    /// start there.
    pub state: [f64; 2],
    /// Periods integrated at full fineness.
    pub periods: usize,
}

/// A rectifier in the equations.
#[derive(Clone, Copy)]
struct Branch {
    /// +1 or -1: the half on which it conducts.
    sign: f64,
    /// Its drive is the source less this part of the state.
    against: Pair,
    /// Volts a second that one ampere of it adds to the state.
    charges: Pair,
}

/// `v' = A v + c + B i`, with the output a sum of states.
struct Equations {
    a: Square,
    c: Pair,
    branches: [Option<Branch>; 2],
    output: Pair,
    /// Whether the source is taken as its magnitude, over half a period.
    folded: bool,
    source_ohms: f64,
    in_series: f64,
    law: Law,
}

fn equations(supply: &Supply, load: Load) -> Equations {
    let [c1, c2] = supply.farads;
    let (g, i) = (load.siemens, load.amps);
    let single = Branch { sign: 1.0, against: [1.0, 0.0], charges: [1.0 / c1, 0.0] };
    let one = |folded| Equations {
        // The second state is not used.
        a: [[-g / c1, 0.0], [0.0, -g / c1]],
        c: [-i / c1, 0.0],
        branches: [Some(single), None],
        output: [1.0, 0.0],
        folded,
        source_ohms: supply.source_ohms,
        in_series: supply.topology.in_series(),
        law: supply.law,
    };
    match supply.topology {
        Topology::HalfWave => one(false),
        Topology::FullWave | Topology::Bridge => one(true),
        Topology::DoublerFullWave => Equations {
            a: [[-g / c1; 2], [-g / c2; 2]],
            c: [-i / c1, -i / c2],
            branches: [
                Some(single),
                Some(Branch { sign: -1.0, against: [0.0, 1.0], charges: [0.0, 1.0 / c2] }),
            ],
            output: [1.0, 1.0],
            ..one(false)
        },
        Topology::DoublerHalfWave => Equations {
            a: [[0.0; 2], [0.0, -g / c2]],
            c: [0.0, -i / c2],
            branches: [
                Some(Branch { sign: -1.0, against: [1.0, 0.0], charges: [1.0 / c1, 0.0] }),
                Some(Branch { sign: 1.0, against: [-1.0, 1.0], charges: [-1.0 / c1, 1.0 / c2] }),
            ],
            output: [0.0, 1.0],
            ..one(false)
        },
    }
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
    Steady {
        volts,
        extremes: (volts, volts),
        ripple_peak_to_peak: 0.0,
        ripple_rms: 0.0,
        ripple_fundamental: 0.0,
        ripple_hertz: supply.hertz * supply.topology.pulses(),
        peak_amps: 0.0,
        rms_amps: 0.0,
        source_rms_amps: 0.0,
        source_watts: 0.0,
        mean_amps: 0.0,
        capacitor_rms_amps: 0.0,
        state: match supply.topology {
            Topology::DoublerHalfWave => [volts / 2.0, volts],
            Topology::DoublerFullWave => [volts / 2.0; 2],
            _ => [volts; 2],
        },
        periods: 0,
    }
}

/// Amperes and their slope through `in_series` diodes and `ohms` under
/// `drive` volts.
pub(super) fn pulse(law: &Law, in_series: f64, ohms: f64, drive: f64) -> (f64, f64) {
    let (amps, slope) = match *law {
        _ if drive <= 0.0 => (0.0, 0.0),
        Law::Vacuum { perveance } => vacuum(perveance, in_series, ohms, drive),
        Law::Threshold { volts, ohms: own } => threshold(volts, own, in_series, ohms, drive),
        _ => (0.0, 0.0),
    };
    (amps, slope / (ohms * slope + in_series))
}

/// `ohms k s³ + n s² = drive` for the root `s` of the volts across one diode.
/// It is convex: from the right, Newton's steps fall on the root without
/// passing it.
fn vacuum(perveance: f64, in_series: f64, ohms: f64, drive: f64) -> (f64, f64) {
    let cubic = ohms * perveance;
    let mut root = (drive / in_series).sqrt();
    for _ in 0..40 {
        let miss = (cubic * root + in_series) * root * root - drive;
        let step = miss / ((3.0 * cubic * root + 2.0 * in_series) * root);
        root -= step;
        if step.abs() <= 1e-8 * root {
            // Newton squares what is left.
            break;
        }
    }
    (perveance * root * root * root, 1.5 * perveance * root)
}

/// The straight line of a threshold, and the parabola that rounds its foot
/// (see [`Law::flow`]), solved for the volts above the threshold.
fn threshold(volts: f64, own: f64, in_series: f64, ohms: f64, drive: f64) -> (f64, f64) {
    let left = drive - in_series * volts;
    if left <= 0.0 {
        return (0.0, 0.0);
    }
    let width = rounding(volts);
    let line = (left + 0.5 * width * ohms / own) / (in_series + ohms / own);
    if line >= width {
        return ((line - 0.5 * width) / own, 1.0 / own);
    }
    let square = 0.5 * ohms / (own * width);
    let above = 2.0 * left / (in_series + (in_series * in_series + 4.0 * square * left).sqrt());
    (0.5 * above * above / width / own, above / width / own)
}

/// One period cut into steps.
struct Period<'a> {
    equations: &'a Equations,
    /// Seconds of a step.
    step: f64,
    /// Source volts at the two stages of each step, and at its end.
    source: Vec<Pair>,
    /// `(I - gamma h A)⁻¹`.
    implicit: Square,
}

impl<'a> Period<'a> {
    /// Cuts half a cycle into `steps`.
    fn new(supply: &Supply, equations: &'a Equations, steps: usize) -> Self {
        let count = if equations.folded { steps } else { 2 * steps };
        let angle = PI / as_f64(steps);
        let wave = |sine: f64| {
            let volts = supply.peak_volts * sine;
            if equations.folded { volts.abs() } else { volts }
        };
        let (mut inner, mut end) = (Turn::new(angle, GAMMA * angle), Turn::new(angle, angle));
        let source = (0..count).map(|_| [wave(inner.next().1), wave(end.next().1)]).collect();
        let step = angle / (2.0 * PI * supply.hertz);
        let implicit = inverse(about_one(equations.a, -GAMMA * step));
        Self { equations, step, source, implicit }
    }

    /// Integrates from `state`; tells each step's end, rectifier and amperes,
    /// and gives the end with its derivative by the beginning.
    fn run(&self, mut state: Pair, mut watch: impl FnMut(Pair, usize, f64)) -> (Pair, Square) {
        if let [Some(_), None] = self.equations.branches {
            return self.run_single(state[0], watch);
        }
        let mut by_start = [[1.0, 0.0], [0.0, 1.0]];
        for source in &self.source {
            let first = self.stage(state, by_start, source[0]);
            // Stage 1's rate, from what it moved.
            let rate = |end: f64, start: f64| (end - start) / GAMMA;
            let base: Pair =
                std::array::from_fn(|i| state[i] + (1.0 - GAMMA) * rate(first.state[i], state[i]));
            let base_by: Square = std::array::from_fn(|i| {
                std::array::from_fn(|j| {
                    by_start[i][j] + (1.0 - GAMMA) * rate(first.by_start[i][j], by_start[i][j])
                })
            });
            let second = self.stage(base, base_by, source[1]);
            state = second.state;
            by_start = second.by_start;
            watch(state, second.branch, second.amps);
        }
        (state, by_start)
    }

    /// The same with one capacitor, on numbers instead of pairs.
    fn run_single(
        &self,
        mut state: f64,
        mut watch: impl FnMut(Pair, usize, f64),
    ) -> (Pair, Square) {
        let Equations { a, c, branches, source_ohms, in_series, law, .. } = self.equations;
        let charges = branches[0].map_or(0.0, |branch| branch.charges[0]);
        let span = GAMMA * self.step;
        let implicit = 1.0 / (1.0 - span * a[0][0]);
        let lift = implicit * span * charges;
        let (drawn, ohms) = (span * c[0], source_ohms + lift);
        let stage = |base: f64, by: f64, source: f64| {
            let (state, by) = (implicit * (base + drawn), implicit * by);
            let drive = source - state;
            if drive <= 0.0 {
                return (state, by, 0.0);
            }
            let (amps, by_drive) = pulse(law, *in_series, ohms, drive);
            (state + lift * amps, by - lift * by_drive * by, amps)
        };
        let rest = (1.0 - GAMMA) / GAMMA;
        let mut by_start = 1.0;
        for source in &self.source {
            let (first, by, _) = stage(state, by_start, source[0]);
            let base = state + rest * (first - state);
            let base_by = by_start + rest * (by - by_start);
            let amps;
            (state, by_start, amps) = stage(base, base_by, source[1]);
            watch([state, state], 0, amps);
        }
        // The second state is the first one's double.
        ([state; 2], [[by_start, 0.0], [0.0, by_start]])
    }

    /// Solves `v = base + gamma h (A v + c + B i)` with its derivative.
    fn stage(&self, base: Pair, base_by: Square, source: f64) -> Stage {
        let Equations { c, branches, source_ohms, in_series, law, .. } = self.equations;
        let span = GAMMA * self.step;
        let start: Pair = std::array::from_fn(|i| base[i] + span * c[i]);
        let mut state = apply(self.implicit, start);
        let mut by_start = multiply(self.implicit, base_by);
        let mut found = (0, 0.0);
        for (at, branch) in branches.iter().enumerate() {
            let Some(branch) = branch else { continue };
            let drive = branch.sign * source - dot(branch.against, state);
            if drive <= 0.0 {
                continue;
            }
            let lift = apply(self.implicit, branch.charges.map(|charge| span * charge));
            let ohms = source_ohms + dot(branch.against, lift);
            let (amps, by_drive) = pulse(law, *in_series, ohms, drive);
            let mut moved = by_start;
            for j in 0..2 {
                let drive_by =
                    -(branch.against[0] * by_start[0][j] + branch.against[1] * by_start[1][j]);
                for i in 0..2 {
                    moved[i][j] += lift[i] * by_drive * drive_by;
                }
            }
            by_start = moved;
            state = [state[0] + lift[0] * amps, state[1] + lift[1] * amps];
            found = (at, amps);
            break;
        }
        Stage { state, by_start, branch: found.0, amps: found.1 }
    }
}

/// A pointer that turns by equal angles: its cosines and sines by products.
struct Turn {
    by: (f64, f64),
    at: (f64, f64),
}

impl Turn {
    fn new(by: f64, from: f64) -> Self {
        Self { by: (by.cos(), by.sin()), at: (from.cos(), from.sin()) }
    }

    /// Cosine and sine where it stands; then it turns.
    fn next(&mut self) -> (f64, f64) {
        let ((cosine, sine), now) = (self.by, self.at);
        self.at = (now.0 * cosine - now.1 * sine, now.0 * sine + now.1 * cosine);
        now
    }
}

struct Stage {
    state: Pair,
    by_start: Square,
    branch: usize,
    amps: f64,
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

/// Step counts are small, so nothing is lost.
fn as_f64(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::MAX, f64::from)
}
