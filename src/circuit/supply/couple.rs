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
    let top = supply.no_load_volts();
    // `low`: the supply gives more than this; `high`: it gives no more.
    let (mut low, mut high) = (0.0, top);
    let (mut at_low, mut at_high) = (top, 0.0_f64);
    let mut volts = 0.85 * top;
    let mut last: Option<Solution> = None;
    for _ in 0..TRIALS {
        net.set_source(reservoir, volts).expect("volts between zero and the peak are finite");
        let solution = solver.solve(net, options, last.as_ref())?;
        let amps = solution.amps(net, reservoir);
        let load = load(volts, amps, ripple_ohms);
        let steady = supply.steady(load)?;
        let miss = steady.volts - volts;
        if miss.abs() <= 1e-7 * top {
            return Ok((solution, steady));
        }
        // Illinois: a side that stays twice counts half.
        if miss > 0.0 {
            (low, at_low) = (volts, miss);
            at_high *= 0.5;
        } else {
            (high, at_high) = (volts, miss);
            at_low *= 0.5;
        }
        let secant = (low * at_high - high * at_low) / (at_high - at_low);
        volts = if secant > low && secant < high && at_high < 0.0 {
            secant
        } else {
            0.5 * (low + high)
        };
        if at_high.abs() <= 0.0 {
            // Nothing is known of the upper side yet: trust the supply.
            volts = steady.volts.clamp(low, high);
        }
        last = Some(solution);
    }
    Err(CoupledError::Disagree { volts })
}

/// `amps` at `volts`, with the slope of `ripple_ohms` about them.
fn load(volts: f64, amps: f64, ripple_ohms: Option<f64>) -> Load {
    match ripple_ohms {
        _ if amps <= 0.0 => Load::amps(0.0),
        Some(ohms) if ohms > 0.0 => Load { siemens: 1.0 / ohms, amps: amps - volts / ohms },
        _ => Load::ohms(volts / amps),
    }
}
