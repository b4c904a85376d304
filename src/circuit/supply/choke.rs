//! A filter that begins with a choke, on its cycle average.
//!
//! Purpose: the direct voltage and the ripple behind an input choke whether its
//! current flows all the time or stops between the pulses, as it does below the
//! critical inductance.
//!
//! ```
//! use firstglow::circuit::law::SILICON;
//! use firstglow::circuit::supply::{ChokeInput, Load, Section, Topology};
//! // 400 V a plate, 5 H, 20 uF.
//! let input = ChokeInput {
//!     topology: Topology::FullWave,
//!     peak_volts: 400.0 * 2.0_f64.sqrt(),
//!     hertz: 60.0,
//!     source_ohms: 50.0,
//!     law: SILICON,
//!     section: Section { ohms: 100.0, henries: 5.0, farads: 20e-6 },
//! };
//! // 100 mA keeps the current flowing: 2/pi of the crest less 15 V.
//! let busy = input.steady(Load::amps(0.100), None)?;
//! assert!(busy.least_amps > 0.0 && (busy.steady.volts - 354.0).abs() < 2.0);
//! // A tenth of it does not: the volts climb towards the crest of 566 V.
//! let idle = input.steady(Load::amps(0.010), None)?;
//! assert!(idle.least_amps == 0.0 && idle.steady.volts > 410.0);
//! # Ok::<(), firstglow::circuit::supply::SupplyError>(())
//! ```
//!
//! Limits: the choke's inductance is constant. While the rectifiers of a bridge
//! take over from one another its source counts once for each of both ways.

use super::filter::Section;
use super::pair::{Pair, Square, about_one, apply, inverse};
use super::period::{GAMMA, Turn, as_f64};
use super::pulse::pulse;
use super::{Load, Steady, SupplyError, Topology};
use crate::circuit::law::Law;
use std::f64::consts::{PI, SQRT_2};

/// Steps to half a cycle: the choke smooths its current, so that half as many
/// as a capacitor input takes give DC within 0.4 % and ripple within 3 % of
/// the transients in `tests/spice_choke.rs`.
const STEPS: usize = 48;
/// Trials before giving up.
const TRIALS: usize = 80;

/// A supply whose filter begins with a choke.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChokeInput {
    /// How the rectifiers are joined; no doubler.
    pub topology: Topology,
    /// Peak volts of the source; of one half for a tapped winding.
    pub peak_volts: f64,
    /// Hertz of the line.
    pub hertz: f64,
    /// Ohms of winding and reflected primary.
    pub source_ohms: f64,
    /// Each rectifier.
    pub law: Law,
    /// The choke and the capacitor after it.
    pub section: Section,
}

/// What a choke-input supply gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChokeSteady {
    /// The volts are those ahead of the choke; extremes and ripple are those of
    /// the capacitor after it.
    pub steady: Steady,
    /// Mean volts of that capacitor.
    pub volts: f64,
    /// The least amperes in the choke: zero where its current stops.
    pub least_amps: f64,
}

impl ChokeInput {
    /// The output with `load` on the capacitor after the choke, searched from
    /// the [`Steady::state`] of a like load if there is one.
    ///
    /// # Errors
    /// When a value is unusable or the load pulls the output below zero.
    pub fn steady(&self, load: Load, near: Option<[f64; 2]>) -> Result<ChokeSteady, SupplyError> {
        self.check(load)?;
        if load.siemens <= 0.0 && load.amps <= 0.0 {
            return Ok(self.unloaded());
        }
        let half = Half::new(self, load);
        let guess = self.first_guess(load);
        let (state, trials) =
            near.and_then(|near| half.settle(near).ok()).map_or_else(|| half.settle(guess), Ok)?;
        let found = half.summarise(state, trials + 1);
        if found.volts > 0.0 { Ok(found) } else { Err(SupplyError::Overloaded { amps: load.amps }) }
    }

    /// Volts without load: the crest.
    pub fn no_load_volts(&self) -> f64 {
        (self.peak_volts - self.topology.in_series() * self.law.drop_volts(0.0)).max(0.0)
    }

    fn check(&self, load: Load) -> Result<(), SupplyError> {
        if self.section.henries <= 0.0 || !self.section.henries.is_finite() {
            return Err(SupplyError::Value { what: "an inductance" });
        }
        let farads = [self.section.farads; 2];
        let Self { topology, peak_volts, hertz, source_ohms, law, .. } = *self;
        super::Supply { topology, peak_volts, hertz, source_ohms, law, farads }.check(load)
    }

    /// What flows while the choke's current never stops.
    fn first_guess(&self, load: Load) -> Pair {
        let mean = 2.0 / PI * self.peak_volts;
        let drawn = load.amps + load.siemens * mean;
        let lost = self.topology.in_series() * self.law.drop_volts(drawn)
            + drawn * (self.source_ohms + self.section.ohms);
        let volts = (mean - lost).max(0.3 * mean);
        [load.amps + load.siemens * volts, volts]
    }

    fn unloaded(&self) -> ChokeSteady {
        let volts = self.no_load_volts();
        let hertz = self.hertz * self.topology.pulses();
        ChokeSteady { steady: Steady::at_rest(volts, hertz, [0.0, volts]), volts, least_amps: 0.0 }
    }
}

/// A cycle of the output cut into steps: half of the line's, or the whole where
/// one rectifier works alone. The state is the choke's amperes and the
/// capacitor's volts.
struct Half<'a> {
    input: &'a ChokeInput,
    load: Load,
    /// Source volts at both stages of each step.
    source: Vec<Pair>,
    /// `gamma h`.
    span: f64,
    /// `1/(1 + gamma h G/C)`.
    implicit: f64,
}

/// A stage: its state with the derivative by the beginning, and the amperes of
/// the rectifier that drives and of the one that lets go.
struct Stage {
    state: Pair,
    by_start: Square,
    amps: Pair,
}

impl<'a> Half<'a> {
    fn new(input: &'a ChokeInput, load: Load) -> Self {
        let alone = input.topology == Topology::HalfWave;
        let count = if alone { 2 * STEPS } else { STEPS };
        let angle = PI / as_f64(STEPS);
        let (mut inner, mut end) = (Turn::new(angle, GAMMA * angle), Turn::new(angle, angle));
        let source = (0..count)
            .map(|_| [inner.next().1 * input.peak_volts, end.next().1 * input.peak_volts])
            .collect();
        let span = GAMMA * angle / (2.0 * PI * input.hertz);
        let implicit = 1.0 / (1.0 + span * load.siemens / input.section.farads);
        Self { input, load, source, span, implicit }
    }

    /// Moves the state until the cycle gives it back; tells the trials.
    fn settle(&self, mut state: Pair) -> Result<(Pair, usize), SupplyError> {
        let peak = self.input.peak_volts;
        let most = peak / (self.input.source_ohms + self.input.section.ohms).max(1.0);
        let drawn = self.load.amps + self.load.siemens * peak;
        for trial in 1..=TRIALS {
            let (end, by_start) = self.run(state, |_, _, _| {});
            let miss = [end[0] - state[0], end[1] - state[1]];
            let step = apply(inverse(about_one(by_start, -1.0)), miss);
            // Where the current begins or ceases to stop, Newton's steps may
            // run to and fro: half a step then ends it.
            let by = if trial > 20 { 0.5 } else { 1.0 };
            state = [
                (state[0] + by * step[0]).clamp(0.0, most),
                (state[1] + by * step[1]).clamp(-peak, 1.5 * peak),
            ];
            // Newton squares what is left of the step.
            let settled = step[1].abs() <= 1e-4 * peak && step[0].abs() <= 1e-3 * drawn;
            if settled {
                return Ok((state, trial));
            }
            if state[1] <= -peak && trial > 8 {
                return Err(SupplyError::Overloaded { amps: self.load.amps });
            }
        }
        Err(SupplyError::Unsettled { periods: TRIALS })
    }

    /// Integrates one cycle; tells each step's end, its source and amperes.
    fn run(&self, mut state: Pair, mut watch: impl FnMut(Pair, f64, Pair)) -> (Pair, Square) {
        let rest = (1.0 - GAMMA) / GAMMA;
        let mut by_start = [[1.0, 0.0], [0.0, 1.0]];
        for source in &self.source {
            let first = self.stage(state, by_start, source[0]);
            let on = |at: f64, to: f64| at + rest * (to - at);
            let base: Pair = std::array::from_fn(|i| on(state[i], first.state[i]));
            let base_by: Square = std::array::from_fn(|i| {
                std::array::from_fn(|j| on(by_start[i][j], first.by_start[i][j]))
            });
            let second = self.stage(base, base_by, source[1]);
            (state, by_start) = (second.state, second.by_start);
            watch(state, source[1], second.amps);
        }
        (state, by_start)
    }

    /// Solves `L i' = e - drop(i) - R i - v` with `C v' = i - G v - I` for the
    /// end of a stage.
    fn stage(&self, [amps, volts]: Pair, by: Square, source: f64) -> Stage {
        let Section { ohms, henries, farads } = self.input.section;
        let lift = self.implicit * self.span / farads;
        let still = self.implicit * (volts - self.span * self.load.amps / farads);
        let inertia = henries / self.span;
        let found = self.current(source, still - inertia * amps, inertia + ohms + lift);
        let Rectified { amps: [one, other], by_against } = found;
        let current = one + other;
        let by_start_amps: Pair =
            std::array::from_fn(|j| by_against * (self.implicit * by[1][j] - inertia * by[0][j]));
        let by_start_volts =
            std::array::from_fn(|j| self.implicit * by[1][j] + lift * by_start_amps[j]);
        Stage {
            state: [current, still + lift * current],
            by_start: [by_start_amps, by_start_volts],
            amps: [one, other],
        }
    }

    /// The amperes that the source drives against `against` volts and `ohms`,
    /// source and rectifiers besides. Around its zero the rectifier that lets
    /// go may still conduct.
    fn current(&self, source: f64, against: f64, ohms: f64) -> Rectified {
        let ChokeInput { topology, source_ohms, ref law, .. } = *self.input;
        let series = topology.in_series();
        let (amps, slope) = pulse(law, series, ohms + source_ohms, source - against);
        if topology == Topology::HalfWave || -source - against - ohms * amps <= 0.0 {
            return Rectified { amps: [amps, 0.0], by_against: -slope };
        }
        // i = f(e - y) + f(-e - y) with y = against + ohms i: convex in y, so
        // that Newton's steps come from one side.
        let mut y = against + ohms * amps;
        let mut both = [(0.0, 0.0); 2];
        for _ in 0..40 {
            both = [source - y, -source - y].map(|drive| pulse(law, series, source_ohms, drive));
            let sum = both[0].0 + both[1].0;
            let miss = y - against - ohms * sum;
            let step = miss / (1.0 + ohms * (both[0].1 + both[1].1));
            y -= step;
            if step.abs() <= 1e-9 * self.input.peak_volts {
                break;
            }
        }
        let slope = both[0].1 + both[1].1;
        Rectified { amps: both.map(|b| b.0), by_against: -slope / (1.0 + ohms * slope) }
    }

    /// Runs the settled cycle once more and sums it up.
    fn summarise(&self, state: Pair, periods: usize) -> ChokeSteady {
        let input = self.input;
        let count = as_f64(self.source.len());
        let mut sums = Sums::default();
        let angle = 2.0 * PI / count;
        let mut turn = Turn::new(angle, angle);
        self.run(state, |[amps, volts], source, [one, other]| {
            let (cosine, sine) = turn.next();
            let load = self.load.amps + self.load.siemens * volts;
            sums.add(volts, (cosine, sine), input.peak_volts);
            sums.least_amps = sums.least_amps.min(amps);
            sums.peak = sums.peak.max(one.max(other));
            sums.current += amps;
            sums.pulses += one * one + other * other;
            // A tapped winding's halves carry each its own; a bridge's whole
            // winding what one way exceeds the other.
            let through = if input.topology == Topology::FullWave {
                one * one + other * other
            } else {
                (one - other).powi(2)
            };
            sums.through += through;
            sums.watts += source * (one - other);
            sums.capacitor += (amps - load).powi(2);
        });
        let mean = sums.volts / count;
        let each = if input.topology == Topology::HalfWave { 1.0 } else { 2.0 };
        let halves = if input.topology == Topology::FullWave { 2.0 } else { 1.0 };
        let variance = sums.square / count - (mean - input.peak_volts).powi(2);
        let steady = Steady {
            volts: mean + input.section.ohms * sums.current / count,
            extremes: (sums.least, sums.most),
            ripple_peak_to_peak: sums.most - sums.least,
            ripple_rms: variance.max(0.0).sqrt(),
            ripple_fundamental: SQRT_2 * sums.cosine.hypot(sums.sine) / count,
            ripple_hertz: input.hertz * input.topology.pulses(),
            peak_amps: sums.peak,
            rms_amps: (sums.pulses / count / each).sqrt(),
            source_rms_amps: (sums.through / count / halves).sqrt(),
            source_watts: sums.watts / count,
            mean_amps: sums.current / count / each,
            capacitor_rms_amps: (sums.capacitor / count).sqrt(),
            state,
            periods,
        };
        ChokeSteady { steady, volts: mean, least_amps: sums.least_amps.max(0.0) }
    }
}

/// What both ways of a rectifier pass, and how their sum follows the volts
/// against them.
struct Rectified {
    amps: Pair,
    by_against: f64,
}

struct Sums {
    volts: f64,
    square: f64,
    cosine: f64,
    sine: f64,
    least: f64,
    most: f64,
    least_amps: f64,
    peak: f64,
    current: f64,
    pulses: f64,
    through: f64,
    watts: f64,
    capacitor: f64,
}

impl Default for Sums {
    fn default() -> Self {
        Self {
            volts: 0.0,
            square: 0.0,
            cosine: 0.0,
            sine: 0.0,
            least: f64::INFINITY,
            most: f64::NEG_INFINITY,
            least_amps: f64::INFINITY,
            peak: 0.0,
            current: 0.0,
            pulses: 0.0,
            through: 0.0,
            watts: 0.0,
            capacitor: 0.0,
        }
    }
}

impl Sums {
    /// Counts volts, about `middle` so that their squares do not drown them.
    fn add(&mut self, volts: f64, (cosine, sine): (f64, f64), middle: f64) {
        self.volts += volts;
        self.square += (volts - middle).powi(2);
        self.cosine += volts * cosine;
        self.sine += volts * sine;
        self.least = self.least.min(volts);
        self.most = self.most.max(volts);
    }
}
