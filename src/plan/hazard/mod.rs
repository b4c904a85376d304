//! What can hurt on this set, worst first: each says what can happen and what
//! to do.
//!
//! ```
//! use firstglow::{plan::plan, sheet::{Header, Sheet, SupplyKind}};
//! let header = Header { supply: Some(SupplyKind::SeriesString), ..Header::default() };
//! let plan = plan(&Sheet { header, ..Sheet::default() });
//! assert_eq!(plan.hazards[0].id, "hot-chassis");
//! ```
//!
//! Limits: what the sheet shows. A hazard that is not listed is not excluded,
//! and nothing here stands in for the local code or a licensed electrician.

mod line;
mod material;
mod opened;
mod polarity;
mod stored;
mod unknown;

pub use line::fuse_working as line_fuse_working;

use super::charged::Charged;
use super::context::Context;
use super::types::{Hazard, PlannedPart, Severity, Working};
use crate::order;
use crate::sheet::Sheet;
use rustc_hash::FxHashMap;

/// The hazards of a set; the keys of hazards are entered at their parts.
pub fn hazards(
    sheet: &Sheet,
    parts: &mut [PlannedPart],
    charged: &[Charged],
    context: &Context,
) -> Vec<Hazard> {
    let mut found = line::hazards(sheet, parts, context);
    found.extend(stored::hazard(charged));
    found.extend(unknown::hazards(context));
    found.extend(material::hazards(sheet, parts));
    found.extend(polarity::hazards(sheet, parts, context));
    found.extend(opened::hazards(sheet, parts, context));
    order::sort(&mut found, |h| [usize::MAX - h.severity as usize, 0, 0]);
    let places: FxHashMap<String, usize> =
        parts.iter().enumerate().map(|(i, p)| (p.key.clone(), i)).collect();
    for hazard in &found {
        for key in &hazard.parts {
            if let Some(index) = places.get(key) {
                parts[*index].hazards.push(hazard.id.clone());
            }
        }
    }
    found
}

/// A hazard before its parts and workings are known.
struct Words {
    id: &'static str,
    title: &'static str,
    severity: Severity,
    happens: &'static str,
    todo: &'static str,
}

impl Words {
    fn hazard(&self, parts: Vec<String>, working: Vec<Working>) -> Hazard {
        Hazard {
            id: self.id.to_owned(),
            title: self.title.to_owned(),
            severity: self.severity,
            what_can_happen: self.happens.to_owned(),
            what_to_do: self.todo.to_owned(),
            parts,
            working,
        }
    }

    /// The hazard, if any part raises it.
    fn of(&self, parts: Vec<String>) -> Option<Hazard> {
        (!parts.is_empty()).then(|| self.hazard(parts, Vec::new()))
    }
}

/// The keys of the parts that satisfy a condition.
fn keys(parts: &[PlannedPart], wanted: impl Fn(&PlannedPart) -> bool) -> Vec<String> {
    parts.iter().filter(|p| wanted(p)).map(|p| p.key.clone()).collect()
}
