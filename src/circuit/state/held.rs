//! The capacitor of a doubler that no direct current fixes: its mean volts
//! stand in the netlist as a source, so that its nodes are told like all
//! others.
//!
//! Limits: what else hangs on the nodes between a doubler's capacitors does not
//! change how they divide.

use super::{FedState, Set, StateError};
use crate::circuit::feed::{Feed, Hold};
use crate::circuit::model::Model;
use crate::circuit::netlist::{ElementId, Netlist};
use crate::circuit::solver::{Options, Solution, Solver};
use crate::circuit::supply::{Load, Supply};

/// Ohms of the source for direct current where it has none: the line's.
const LINE_OHMS: f64 = 1.0;

/// A held capacitor in the netlist.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    element: ElementId,
    slot: usize,
    no_load: f64,
}

impl Held {
    /// Adds the source; `None` where its nodes are fixed already.
    pub fn add(model: &mut Model, feed: &Feed) -> Option<Self> {
        let Hold { slot, plus, minus, source } = feed.held?;
        let (plus, minus) = (model.node(plus), model.node(minus));
        if plus == minus {
            return None;
        }
        if let Some((a, b)) = source {
            let (a, b) = (model.node(a), model.node(b));
            if a != b {
                let ohms = feed.supply.source_ohms.max(LINE_OHMS);
                model.net.resistor("source", a, b, ohms).ok()?;
            }
        }
        let no_load = 0.5 * feed.supply.no_load_volts();
        let element = model.net.source("doubler", plus, minus, no_load).ok()?;
        if Solver::new(&model.net).is_err() {
            model.net.open(element);
            return None;
        }
        Some(Self { element, slot, no_load })
    }

    /// Opens it, where its rectifiers are out.
    pub fn open(self, net: &mut Netlist) {
        net.open(self.element);
    }

    /// Sets it to a part of its volts without load.
    pub fn scale(self, net: &mut Netlist, by: f64) {
        // Finite times finite.
        let _ = net.set_source(self.element, self.no_load * by);
    }
}

impl Set<'_> {
    /// The state of a doubler with what both its capacitors bear, and the
    /// circuit solved with them.
    pub(super) fn hold(
        &self,
        solver: &mut Solver,
        net: &mut Netlist,
        supply: &Supply,
        (solution, mut fed): (Solution, FedState),
    ) -> Result<(Solution, FedState), StateError> {
        let Some(steady) = fed.steady else { return Ok((solution, fed)) };
        let load = if fed.amps > 0.0 { Load::ohms(fed.volts / fed.amps) } else { Load::amps(0.0) };
        fed.duties = supply.duties(load, &steady);
        let Some((held, duties)) = self.held[fed.feed].zip(fed.duties) else {
            return Ok((solution, fed));
        };
        let _ = net.set_source(held.element, duties[held.slot].volts);
        let solution = solver.solve(net, &Options::default(), Some(&solution))?;
        Ok((solution, fed))
    }
}
