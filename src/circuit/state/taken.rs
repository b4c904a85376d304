//! What a set takes from its supply at volts that are given: the load that the
//! supply, whatever it is fed from, works into.

use super::{Set, StateError, Tubes};
use crate::circuit::law::Law;
use crate::circuit::netlist::Netlist;
use crate::circuit::solver::{Options, RegulatorTube, Solution, Solver, settle};
use crate::trade::tubes::UnitKind;

/// The circuit at given volts of a supply.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The volts of the supply's output against its return.
    pub volts: f64,
    /// The amperes taken.
    pub amps: f64,
    /// The circuit.
    pub solution: Solution,
}

impl Set<'_> {
    /// What the circuit takes from the supply of index `feed`, held at each of
    /// `volts` (rising); `change` alters the netlist first, for a fault. Other
    /// supplies follow in proportion to their volts without load.
    ///
    /// # Errors
    /// [`StateError`], naming the node or element concerned.
    ///
    /// # Panics
    /// Never: the volts of a supply are finite.
    pub fn taken(
        &self,
        feed: usize,
        tubes: Tubes,
        volts: &[f64],
        change: impl Fn(&mut Netlist),
    ) -> Result<(Netlist, Vec<Taken>), StateError> {
        let mut net = self.running.net.clone();
        for device in &self.running.devices {
            let off = match tubes {
                Tubes::Warm => false,
                Tubes::Cold => device.kind != UnitKind::Rectifier,
                Tubes::Without(part) => device.part == part,
            };
            if let (true, Some(element)) = (off, device.element) {
                let _ = net.set_law(element, Law::Off);
            }
        }
        change(&mut net);
        let Some(source) = self.sources.get(feed).copied().flatten() else {
            return Err(StateError::NoSupply);
        };
        let top = self.feeds[feed].supply.no_load_volts().max(1e-9);
        let lit: Vec<RegulatorTube> = self.regulators.iter().map(|(_, tube)| *tube).collect();
        let mut solver = Solver::new(&net)?;
        let mut all: Vec<Taken> = Vec::with_capacity(volts.len());
        for volts in volts.iter().copied() {
            for (index, other) in self.sources.iter().enumerate() {
                if let Some(other) = *other {
                    let no_load = self.feeds[index].supply.no_load_volts();
                    let _ = net.set_source(other, no_load * volts / top);
                }
            }
            for held in self.held.iter().flatten() {
                held.scale(&mut net, volts / top);
            }
            let _ = net.set_source(source, volts);
            let solution = if lit.is_empty() {
                solver.solve(&net, &Options::default(), all.last().map(|taken| &taken.solution))?
            } else {
                settle(&mut net, &lit, &Options::default())?.0
            };
            all.push(Taken { volts, amps: solution.amps(&net, source), solution });
        }
        Ok((net, all))
    }
}
