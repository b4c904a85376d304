//! The choke that a filter begins with.

use super::{Choke, Finder, LEAST_FARADS, Store, USUAL_FARADS};
use crate::circuit::netlist::Element;
use crate::circuit::wiring::NodeIndex;
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::quantity::Inductance;

/// Henries taken for a choke or field coil that the sheet gives none: common
/// practice, no source.
const USUAL_HENRIES: f64 = 10.0;
/// Henries from which a coil smooths.
const SMOOTHS_HENRIES: f64 = 0.5;

impl Finder<'_> {
    /// The coil that meets the output, with the capacitor after it.
    pub(super) fn choke(
        &self,
        output: NodeIndex,
        back: NodeIndex,
        assumed: &mut Vec<String>,
    ) -> Option<Choke> {
        let at = self.at(output);
        let (index, far) = self.sheet.parts.iter().enumerate().find_map(|(index, part)| {
            let (a, b) = self.wiring.leads(part).filter(|_| part.kind == PartKind::Coil)?;
            match (self.at(a) == at, self.at(b) == at) {
                (true, false) => Some((index, b)),
                (false, true) => Some((index, a)),
                _ => None,
            }
        })?;
        let part = &self.sheet.parts[index];
        if henries(part).is_none() {
            assumed.push(format!(
                "{USUAL_HENRIES} H taken for {}, which the filter begins with",
                part.designator
            ));
        }
        let mut store = self.across(far, back);
        if store.farads < LEAST_FARADS {
            assumed.push(format!(
                "10 µF taken after {}: none stands from its far end to the supply's return",
                part.designator
            ));
            store.farads = USUAL_FARADS;
        }
        Some(self.choke_of(index, self.ohms_of(index).unwrap_or(0.0), store))
    }

    /// A coil with the capacitor after it.
    pub(super) fn choke_of(&self, part: usize, ohms: f64, store: Store) -> Choke {
        let henries = henries(&self.sheet.parts[part]).unwrap_or(USUAL_HENRIES);
        Choke { part, henries, ohms, farads: store.farads, capacitors: store.parts }
    }

    /// Ohms of a part in the running set.
    pub(super) fn ohms_of(&self, part: usize) -> Option<f64> {
        self.running.parts[part].iter().find_map(|element| {
            match *self.running.net.element(*element) {
                Element::Resistor { ohms, .. } | Element::Coil { ohms, .. } => Some(ohms),
                _ => None,
            }
        })
    }
}

/// Whether a coil keeps its current flowing.
pub(super) fn smooths(part: &Part) -> bool {
    part.is_made(Make::FilterChoke)
        || part.is_made(Make::FieldCoil)
        || henries(part).is_some_and(|h| h >= SMOOTHS_HENRIES)
}

fn henries(part: &Part) -> Option<f64> {
    part.inductance.map(Inductance::to_f64).filter(|h| *h > 0.0)
}
