//! A supply and the circuit it feeds, brought into agreement.
//!
//! Purpose: the circuit takes a current that depends on the voltage, the
//! supply gives a voltage that depends on the current. A voltage source in
//! the netlist stands for the reservoir; it is moved until both agree.
//!
//! Example: see `tests/spice_supply.rs`, where a rectifier feeds a tube stage.
//!
//! Limits: to the ripple the circuit is a resistance, its own mean or the one
//! that is told.

use super::{Load, Steady, Supply, SupplyError};
use crate::circuit::netlist::{ElementId, Netlist};
use crate::circuit::solver::{Options, Solution, SolveError, Solver};

/// Trials before giving up; the interval at least halves in two.
const TRIALS: usize = 60;
/// The part of the crest by which supply and circuit may differ: 0.5 mV of
/// 500 V.
const AGREED: f64 = 1e-6;

/// Amperes that count as none: less is what tubes leak, and a cycle so little
/// loaded does not tell its volts as finely as they must agree. A vacuum
/// rectifier's volts are then 0.1 V too high.
pub const NOTHING_AMPS: f64 = 1e-7;

/// Why supply and circuit do not agree.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CoupledError {
    /// The supply has no steady state.
    #[error(transparent)]
    Supply(#[from] SupplyError),
    /// The circuit has no solution.
    #[error(transparent)]
    Circuit(#[from] SolveError),
    /// No voltage satisfies both.
    #[error("supply and circuit do not agree on a voltage (last {volts:.1} V)")]
    Disagree {
        /// The last volts tried.
        volts: f64,
    },
}

/// An answer to another, like question: where the search begins.
#[derive(Debug, Clone, Copy)]
pub struct Near<'a> {
    /// Volts of the reservoir.
    pub volts: f64,
    /// The [`Steady::state`] there.
    pub state: [f64; 2],
    /// The circuit's solution there.
    pub solution: &'a Solution,
    /// Volts by which the supply's answer falls behind per volt that is tried:
    /// [`Agreed::slope`] of the like question.
    pub slope: f64,
}

/// Supply and circuit in agreement.
#[derive(Debug, Clone)]
pub struct Agreed {
    /// The circuit.
    pub solution: Solution,
    /// The supply.
    pub steady: Steady,
    /// Volts by which the supply's answer falls behind per volt that is tried.
    pub slope: f64,
}

/// Finds the reservoir's volts; `reservoir` is the voltage source that stands
/// for it, and is left at the answer. `ripple_ohms` is what the ripple finds
/// behind the reservoir: the resistor of an RC section, infinity for a choke;
/// `None` takes volts by amperes.
///
/// # Errors
/// When either side fails, or no voltage between zero and no load fits.
///
/// # Panics
/// Never: the volts tried lie between zero and the crest.
pub fn couple(
    net: &mut Netlist,
    reservoir: ElementId,
    supply: &Supply,
    ripple_ohms: Option<f64>,
    options: &Options,
) -> Result<(Solution, Steady), CoupledError> {
    let mut solver = Solver::new(net)?;
    let Agreed { solution, steady, .. } =
        couple_near(&mut solver, net, reservoir, supply, ripple_ohms, options, None)?;
    Ok((solution, steady))
}

/// The same with a solver that is kept, from a like answer if there is one.
///
/// # Errors
/// As [`couple`].
///
/// # Panics
/// Never: the volts tried lie between zero and the crest.
pub fn couple_near(
    solver: &mut Solver,
    net: &mut Netlist,
    reservoir: ElementId,
    supply: &Supply,
    ripple_ohms: Option<f64>,
    options: &Options,
    near: Option<Near>,
) -> Result<Agreed, CoupledError> {
    agree_near(
        solver,
        net,
        reservoir,
        supply.no_load_volts(),
        options,
        near,
        |volts, amps, state| supply.steady_near(load(volts, amps, ripple_ohms), state),
    )
}

/// The same for any supply: `give` tells its steady state at trial volts, the
/// amperes that the circuit takes there and a [`Steady::state`] to begin from;
/// `top` is what it has without load.
///
/// # Errors
/// As [`couple`].
///
/// # Panics
/// Never: the volts tried lie between zero and the crest.
pub fn agree_near(
    solver: &mut Solver,
    net: &mut Netlist,
    reservoir: ElementId,
    top: f64,
    options: &Options,
    near: Option<Near>,
    give: impl Fn(f64, f64, Option<[f64; 2]>) -> Result<Steady, SupplyError>,
) -> Result<Agreed, CoupledError> {
    let mut search = Search::new(top, near.map_or(-1.0, |near| near.slope));
    let mut volts = near.map_or(0.85 * top, |near| near.volts.clamp(0.0, top));
    let mut state = near.map(|near| near.state);
    let mut last: Option<Solution> = None;
    for _ in 0..TRIALS {
        net.set_source(reservoir, volts).expect("volts between zero and the peak are finite");
        let start = last.as_ref().or(near.map(|near| near.solution));
        let solution = solver.solve(net, options, start)?;
        let amps = solution.amps(net, reservoir);
        let steady = give(volts, amps, state)?;
        let miss = steady.volts - volts;
        if miss.abs() <= AGREED * top {
            return Ok(Agreed { solution, steady, slope: search.slope });
        }
        volts = search.next(volts, miss);
        state = Some(steady.state);
        last = Some(solution);
    }
    Err(CoupledError::Disagree { volts })
}

/// The root of a falling miss between no volts and no load: the secant of the
/// last two trials, kept inside what is known of both sides.
struct Search {
    low: f64,
    high: f64,
    last: Option<(f64, f64)>,
    slope: f64,
}

impl Search {
    /// A slope of -1 is that of a circuit of fixed ohms, to which the supply's
    /// own volts are the answer.
    const fn new(top: f64, slope: f64) -> Self {
        Self { low: 0.0, high: top, last: None, slope }
    }

    fn next(&mut self, volts: f64, miss: f64) -> f64 {
        let width = self.high - self.low;
        if miss > 0.0 {
            self.low = volts;
        } else {
            self.high = volts;
        }
        if let Some((before, missed)) = self.last {
            let slope = (miss - missed) / (volts - before);
            // A tiny step tells no slope.
            if slope.is_finite() && slope < 0.0 {
                self.slope = slope;
            }
        }
        let wanted = volts - miss / self.slope;
        // A side that hardly moves is halved, so that the interval must shrink.
        let slow = self.last.is_some_and(|(_, missed)| miss.abs() > 0.5 * missed.abs())
            && self.high - self.low > 0.5 * width;
        self.last = Some((volts, miss));
        if !slow && wanted > self.low && wanted < self.high {
            wanted
        } else {
            0.5 * (self.low + self.high)
        }
    }
}

/// `amps` at `volts`, with the slope of `ripple_ohms` about them.
fn load(volts: f64, amps: f64, ripple_ohms: Option<f64>) -> Load {
    match ripple_ohms {
        _ if amps <= NOTHING_AMPS => Load::amps(0.0),
        Some(ohms) if ohms > 0.0 => Load { siemens: 1.0 / ohms, amps: amps - volts / ohms },
        _ => Load::ohms(volts / amps),
    }
}
