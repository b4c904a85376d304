//! What stands between a rectifier and its reservoir.

use super::choke::smooths;
use super::{Choke, Finder, Found, LEAST_FARADS, Store};
use crate::circuit::wiring::NodeIndex;
use crate::sheet::part::PartKind;
use crate::trade::quantity::{Capacitance, Resistance};

/// The most ohms in the lead back to the winding that still are no load.
const RETURN_OHMS: f64 = 5e3;

/// What stands between the rectifier and the reservoir.
#[derive(Default)]
pub(super) struct Filter {
    pub choke: Option<Choke>,
    pub source_ohms: f64,
    pub return_ohms: f64,
    pub pulsating: Vec<NodeIndex>,
}

impl Finder<'_> {
    /// What stands between the rectifier and the reservoir. A resistor ahead of
    /// it moves the output to its far end.
    pub(super) fn filter(&self, found: &mut Found, assumed: &mut Vec<String>) -> Filter {
        if found.stores[0].farads >= LEAST_FARADS || found.topology.is_doubler() {
            return Filter::default();
        }
        let (fed, common) = found.sides();
        if let Some(filter) = self.return_filter(found, fed, common) {
            return filter;
        }
        if let Some(choke) = self.choke(fed, common, assumed) {
            return Filter { choke: Some(choke), ..Filter::default() };
        }
        self.resistor_input(found, fed, common).unwrap_or_default()
    }

    /// A reservoir that comes back by a resistor or a choke.
    fn return_filter(
        &self,
        found: &mut Found,
        fed: NodeIndex,
        common: NodeIndex,
    ) -> Option<Filter> {
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let ohms = match part.kind {
                PartKind::Resistor => part.resistance.map(Resistance::to_f64),
                PartKind::Coil => self.ohms_of(index),
                _ => None,
            };
            let Some((a, b)) = self.wiring.leads(part) else { continue };
            let far = match (self.at(a) == self.at(common), self.at(b) == self.at(common)) {
                (true, false) => b,
                (false, true) => a,
                _ => continue,
            };
            let (Some(ohms), store) = (ohms, self.across(fed, far)) else { continue };
            if ohms > RETURN_OHMS || store.farads < LEAST_FARADS {
                continue;
            }
            if part.kind == PartKind::Coil && smooths(part) {
                let choke = self.choke_of(index, ohms, store);
                return Some(Filter { choke: Some(choke), ..Filter::default() });
            }
            let beside = self.across(common, far).farads;
            if beside >= LEAST_FARADS {
                // The pulses charge both capacitors in series.
                let farads = store.farads * beside / (store.farads + beside);
                found.stores[0] = Store { farads, parts: store.parts };
                return Some(Filter::default());
            }
            found.stores[0] = store;
            return Some(Filter { source_ohms: ohms, return_ohms: ohms, ..Filter::default() });
        }
        None
    }

    /// A resistor between the rectifier and the reservoir, where nothing else
    /// meets the rectifier: it stands in the way of each pulse.
    fn resistor_input(
        &self,
        found: &mut Found,
        fed: NodeIndex,
        common: NodeIndex,
    ) -> Option<Filter> {
        if self.paths.ways(self.at(fed)) != 1 {
            return None;
        }
        let (ohms, far) = self.sheet.parts.iter().find_map(|part| {
            let ohms = part.resistance.map(Resistance::to_f64);
            let ohms = ohms.filter(|_| part.kind == PartKind::Resistor)?;
            let (a, b) = self.wiring.leads(part)?;
            match (self.at(a) == self.at(fed), self.at(b) == self.at(fed)) {
                (true, false) => Some((ohms, b)),
                (false, true) => Some((ohms, a)),
                _ => None,
            }
        })?;
        let store = self.across(far, common);
        if store.farads < LEAST_FARADS {
            return None;
        }
        found.stores[0] = store;
        if found.negative {
            found.back = self.best_named(far);
        } else {
            found.output = self.best_named(far);
        }
        Some(Filter { source_ohms: ohms, pulsating: vec![fed], ..Filter::default() })
    }

    /// Farads that stand between two nodes, and their parts.
    pub(super) fn across(&self, plus: NodeIndex, minus: NodeIndex) -> Store {
        let pair = (self.at(plus), self.at(minus));
        let mut store = Store::default();
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let Some(value) = part.capacitance else { continue };
            let Some((a, b)) = self.wiring.leads(part) else { continue };
            let ends = [(self.at(a), self.at(b)), (self.at(b), self.at(a))];
            if pair.0 != pair.1 && ends.contains(&pair) {
                store.farads += Capacitance::farads(value);
                store.parts.push(index);
            }
        }
        store
    }
}

impl Found {
    /// The point that it feeds and the one that its current comes back to.
    const fn sides(&self) -> (NodeIndex, NodeIndex) {
        if self.negative { (self.back, self.output) } else { (self.output, self.back) }
    }
}
