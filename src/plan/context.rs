//! What every part is planned against: places, supply, and what bridges what.
//!
//! ```
//! use firstglow::{plan::context::Context, sheet::Sheet};
//! let context = Context::of(&Sheet::default());
//! assert!(!context.supply.described());
//! ```
//!
//! Limits: resistors that bridge a capacitor are told in its working and
//! judged themselves; they never change the capacitor's replacement.

use super::places::Places;
use super::supply::Supply;
use crate::notation::note::{Level, Note};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use std::collections::HashMap;

/// The surroundings of a part.
#[derive(Debug, Clone)]
pub struct Context {
    /// The nodes of the sheet.
    pub places: Places,
    /// The supply.
    pub supply: Supply,
    bridges: HashMap<(usize, usize), f64>,
}

impl Context {
    /// Reads the surroundings once for all parts.
    pub fn of(sheet: &Sheet) -> Self {
        let places = Places::of(sheet);
        let supply = Supply::of(sheet, &places);
        let mut bridges = HashMap::new();
        for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Resistor) {
            let siemens = part.resistance.map(|r| 1.0 / r.to_f64()).filter(|g| g.is_finite());
            if let (Some(nodes), Some(siemens)) = (nodes(part, &places), siemens) {
                *bridges.entry(nodes).or_insert(0.0) += siemens;
            }
        }
        Self { places, supply, bridges }
    }

    /// The resistance across a part's leads, ohms.
    pub fn bridge_ohms(&self, part: &Part) -> Option<f64> {
        self.bridges.get(&nodes(part, &self.places)?).map(|siemens| 1.0 / siemens)
    }

    /// Whether a lead of the part is on the line itself.
    pub fn on_mains(&self, part: &Part) -> bool {
        part.leads.as_ref().is_some_and(|leads| {
            self.places.on_mains(&leads.from) || self.places.on_mains(&leads.to)
        })
    }
}

/// Both nodes of a part, the lower first.
fn nodes(part: &Part, places: &Places) -> Option<(usize, usize)> {
    let leads = part.leads.as_ref()?;
    let (a, b) = (places.node(&leads.from)?, places.node(&leads.to)?);
    Some((a.min(b), a.max(b)))
}

/// A note of the plan on a part's line.
pub fn note(part: &Part, level: Level, message: String) -> Note {
    let length = part.designator.to_string().chars().count();
    Note { line: part.line, column: 1, length, level, message, read: None, choices: Vec::new() }
}
