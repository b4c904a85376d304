//! The choke that a filter begins with.

use super::{Choke, Finder, LEAST_FARADS, USUAL_FARADS};
use crate::circuit::netlist::Element;
use crate::circuit::wiring::NodeIndex;
use crate::sheet::part::PartKind;
use crate::trade::quantity::Inductance;

/// Henries taken for a choke or field coil that the sheet gives none: common
/// practice, no source.
const USUAL_HENRIES: f64 = 10.0;

impl Finder<'_> {
    /// The coil that meets the output, with the capacitor after it.
    pub(super) fn choke(
        &self,
        output: NodeIndex,
        back: NodeIndex,
        assumed: &mut Vec<String>,
    ) -> Option<Choke> {
        let at = self.running.node(output);
        let (index, far) = self.sheet.parts.iter().enumerate().find_map(|(index, part)| {
            let (a, b) = self.wiring.leads(part).filter(|_| part.kind == PartKind::Coil)?;
            match (self.running.node(a) == at, self.running.node(b) == at) {
                (true, false) => Some((index, b)),
                (false, true) => Some((index, a)),
                _ => None,
            }
        })?;
        let part = &self.sheet.parts[index];
        let henries = part.inductance.map(Inductance::to_f64).filter(|h| *h > 0.0);
        if henries.is_none() {
            assumed.push(format!(
                "{USUAL_HENRIES} H taken for {}, which the filter begins with",
                part.designator
            ));
        }
        let ohms = self.running.parts[index].iter().find_map(|element| {
            match *self.running.net.element(*element) {
                Element::Resistor { ohms, .. } | Element::Coil { ohms, .. } => Some(ohms),
                _ => None,
            }
        });
        let mut store = self.across(far, back);
        if store.farads < LEAST_FARADS {
            assumed.push(format!(
                "10 µF taken after {}: none stands from its far end to the supply's return",
                part.designator
            ));
            store.farads = USUAL_FARADS;
        }
        Some(Choke {
            part: index,
            henries: henries.unwrap_or(USUAL_HENRIES),
            ohms: ohms.unwrap_or(0.0),
            farads: store.farads,
            capacitors: store.parts,
        })
    }
}
