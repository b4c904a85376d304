//! A supply whose filter begins with a choke, brought into agreement with the
//! circuit.
//!
//! Limits: the choke feeds one capacitor, that between its far end and the
//! supply's return; what else stands behind it is a resistance to the ripple.

use super::FedState;
use crate::circuit::feed::Choke;
use crate::circuit::netlist::{ElementId, Netlist};
use crate::circuit::solver::{Options, Solution, Solver};
use crate::circuit::supply::{
    Agreed, ChokeInput, ChokeSteady, CoupledError, Load, NOTHING_AMPS, Near, Section, Supply,
    SupplyError, agree_near,
};

/// A choke input at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChokeState {
    /// Least amperes of the choke; zero where its current stops.
    pub least_amps: f64,
}

/// The supply with its choke.
pub fn input(supply: &Supply, choke: &Choke) -> ChokeInput {
    let Supply { topology, peak_volts, hertz, source_ohms, law, .. } = *supply;
    let section = Section { ohms: choke.ohms, henries: choke.henries, farads: choke.farads };
    ChokeInput { topology, peak_volts, hertz, source_ohms, law, section }
}

impl ChokeInput {
    /// The steady state with a circuit that takes `amps` at `volts` ahead of
    /// the choke.
    fn at(
        &self,
        volts: f64,
        amps: f64,
        near: Option<[f64; 2]>,
    ) -> Result<ChokeSteady, SupplyError> {
        let load = if amps > NOTHING_AMPS {
            // The choke's own ohms are none of the capacitor's load.
            Load::ohms((volts / amps - self.section.ohms).max(1e-3))
        } else {
            Load::amps(0.0)
        };
        self.steady(load, near)
    }
}

/// Brings a choke input into agreement with what it feeds.
pub(super) fn agree(
    solver: &mut Solver,
    net: &mut Netlist,
    (index, element): (usize, ElementId),
    (supply, choke): (&Supply, &Choke),
    near: Option<Near>,
) -> Result<(Solution, FedState), CoupledError> {
    let input = input(supply, choke);
    let top = input.no_load_volts();
    let give = |volts: f64, amps: f64, state| Ok(input.at(volts, amps, state)?.steady);
    let Agreed { solution, steady, slope } =
        agree_near(solver, net, element, top, &Options::default(), near, give)?;
    let amps = solution.amps(net, element);
    let least_amps = input.at(steady.volts, amps, Some(steady.state))?.least_amps;
    let fed = FedState {
        feed: index,
        volts: steady.volts,
        amps,
        steady: Some(steady),
        duties: None,
        choke: Some(ChokeState { least_amps }),
        slope,
    };
    Ok((solution, fed))
}
