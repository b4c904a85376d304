//! Whether a set is tied to the line, from its words and from what is wired
//! to the line's two wires, before any node is made.
//!
//! ```
//! use firstglow::circuit::line_tie::is_on_line;
//! use firstglow::sheet::Sheet;
//! assert!(is_on_line(&Sheet::read("supply series-string")));
//! assert!(!is_on_line(&Sheet::read("supply transformer")));
//! assert!(is_on_line(&Sheet::read("supply transformer\nwire neutral to chassis")));
//! ```
//!
//! Limits: a set of which nothing of this is known counts as not tied here;
//! the plan says that it does not know.

use super::model::is_power_transformer;
use super::union_find::UnionFind;
use crate::letters::Letters;
use crate::sheet::part::{Part, PartKind, Place, WindingKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::rectifier;
use rustc_hash::FxHashMap;

/// Ohms below which a resistor is a tie.
pub const TIE_OHMS: f64 = 1.0;

/// Ohms up to which a resistor between the line and B- or the chassis ties the
/// set to the line: surge resistors and droppers. Common practice, no source.
pub const SERIES_OHMS: f64 = 1e3;

/// Whether B-, the chassis or the rectifier of the set is tied to the line.
pub fn is_on_line(sheet: &Sheet) -> bool {
    let isolated = sheet.header.secondary.is_some() || sheet.parts.iter().any(is_power_transformer);
    match sheet.header.supply {
        Some(SupplyKind::SeriesString) => true,
        None if !isolated && (by_parts(sheet) || rectifies_line(sheet)) => true,
        _ => Ties::of(sheet).joins_line_and_return(sheet),
    }
}

/// The names of the line's two wires, in upper case.
pub fn is_line_name(upper: &str) -> bool {
    matches!(
        upper,
        "LINE"
            | "LINE1"
            | "LINE2"
            | "LINE-1"
            | "LINE-2"
            | "LINEA"
            | "LINEB"
            | "LINE-A"
            | "LINE-B"
            | "LINE-HOT"
            | "LINE-HI"
            | "LINE-LO"
            | "LINE-NEUTRAL"
            | "ACLINE"
            | "AC-LINE"
            | "AC-HOT"
            | "AC-NEUTRAL"
            | "AC-COMMON"
            | "MAINS-L"
            | "MAINS-N"
            | "CORD"
            | "LINECORD"
            | "LINE-CORD"
            | "LINEPLUG"
            | "LINE-PLUG"
            | "POWERLINE"
            | "POWER-LINE"
            | "INTERLOCK"
            | "HOT"
            | "LIVE"
            | "MAINS"
            | "NEUTRAL"
            | "NEUT"
            | "L"
            | "N"
            | "AC"
            | "AC1"
            | "AC2"
    )
}

/// Whether a name may be a point of a secondary as well as of the line.
pub fn is_ac_name(upper: &str) -> bool {
    matches!(upper, "AC" | "AC1" | "AC2")
}

/// Whether a power transformer stands on the sheet with primary and secondary.
pub fn has_own_windings(sheet: &Sheet) -> bool {
    sheet.parts.iter().filter(|p| is_power_transformer(p)).any(|part| {
        let has = |kind| part.windings.iter().any(|w| w.kind == kind);
        has(WindingKind::Primary) && has(WindingKind::Secondary)
    })
}

/// Whether a part is a closed contact, or a resistor of next to nothing.
pub fn is_tie(part: &Part) -> bool {
    match part.kind {
        PartKind::Fuse | PartKind::Switch | PartKind::Cord => true,
        PartKind::Resistor => part.resistance.is_some_and(|r| r.to_f64() < TIE_OHMS),
        _ => false,
    }
}

/// Whether a part leads the line on: a contact, a lamp, a line choke, a surge
/// resistor or a dropper.
fn carries(part: &Part) -> bool {
    is_tie(part)
        || match part.kind {
            PartKind::Lamp | PartKind::Coil | PartKind::ResistanceCord | PartKind::Other => true,
            PartKind::Resistor => part.resistance.is_some_and(|r| r.to_f64() <= SERIES_OHMS),
            _ => false,
        }
}

/// A resistance cord or a rectifier tube made for the line.
fn by_parts(sheet: &Sheet) -> bool {
    sheet.parts.iter().any(|part| {
        part.kind == PartKind::ResistanceCord
            || part.kind == PartKind::Tube
                && part.tube.as_deref().is_some_and(|name| {
                    rectifier::find(name).is_some_and(|tube| tube.line_operated)
                        || is_string_tube(name)
                })
    })
}

/// Whether a tube's heater is made for strings on the line: of American types
/// the number before the first letter is its volts, of European ones the first
/// letter its current. Source: RETMA and Pro Electron type codes, from memory.
fn is_string_tube(name: &str) -> bool {
    let name = name.trim().upper();
    let digits: String = name.chars().take_while(char::is_ascii_digit).collect();
    let rest = &name[digits.len()..];
    if !digits.is_empty() {
        let lettered = rest.starts_with(|c: char| c.is_ascii_alphabetic());
        let volts = ["25", "32", "34", "35", "36", "40", "45", "50", "70", "117"];
        // `32A`, `45A`: an early type and its version.
        return lettered && rest.len() > 1 && volts.contains(&digits.as_str());
    }
    // `UL41`, `UCH42`, `VY2`, `VCL11`: a letter for the current, letters for the
    // systems, digits.
    let systems: String =
        rest.chars().skip(1).take_while(|c| "ABCDEFHKLMPQYZ".contains(*c)).collect();
    let number = rest.get(1 + systems.len()..).unwrap_or("");
    // `VP41` is British with a heater of 4 V, `UY227` an American base.
    let current = match rest.chars().next() {
        Some('U') => systems.starts_with(['A', 'B', 'C', 'E', 'F', 'L', 'M', 'Y']),
        Some('V') => systems.starts_with(['C', 'E', 'F', 'L', 'Y']),
        _ => false,
    };
    current
        && systems.len() <= 4
        && (1..=2).contains(&number.len())
        && number.bytes().all(|b| b.is_ascii_digit())
}

/// Whether a dry rectifier or a diode stands on the line itself.
fn rectifies_line(sheet: &Sheet) -> bool {
    let mut ties = Ties::of(sheet);
    let line = ties.on_line(sheet);
    sheet
        .parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::DryRectifier | PartKind::Diode))
        .filter_map(|p| p.leads.as_ref())
        .any(|leads| [&leads.from, &leads.to].into_iter().any(|p| ties.is_in(p, &line)))
}

/// Places joined by wires, pins and contacts.
#[derive(Default)]
struct Ties {
    ids: FxHashMap<String, usize>,
    sets: UnionFind,
}

impl Ties {
    fn of(sheet: &Sheet) -> Self {
        let mut ties = Self::default();
        for wire in &sheet.wires {
            for pair in wire.places.windows(2) {
                ties.join(&pair[0], &pair[1]);
            }
        }
        for part in &sheet.parts {
            if carries(part) {
                ties.leads(part);
            }
            for tie in &part.pins {
                let own = Place::Terminal {
                    part: part.designator.to_string(),
                    terminal: tie.pin.clone(),
                };
                ties.join(&own, &tie.place);
            }
        }
        ties
    }

    fn joins_line_and_return(&mut self, sheet: &Sheet) -> bool {
        let line = self.on_line(sheet);
        let returns: Vec<String> = self
            .ids
            .keys()
            .filter(|name| {
                matches!(name.as_str(), "chassis" | "frame" | "b-" | "b−" | "b–" | "ht-" | "common")
            })
            .cloned()
            .collect();
        returns.iter().any(|name| {
            let root = self.sets.find(self.ids[name]);
            line.contains(&root)
        })
    }

    /// The roots of all places on the line: its names, and the ends of the
    /// primary.
    fn on_line(&mut self, sheet: &Sheet) -> Vec<usize> {
        let own = has_own_windings(sheet);
        let mut ids: Vec<usize> = self
            .ids
            .iter()
            .filter(|(name, _)| {
                let name = name.upper();
                is_line_name(&name) && !(own && is_ac_name(&name))
            })
            .map(|(_, id)| *id)
            .collect();
        for part in sheet.parts.iter().filter(|p| is_power_transformer(p)) {
            for winding in part.windings.iter().filter(|w| w.kind == WindingKind::Primary) {
                for end in [&winding.start, &winding.end] {
                    ids.extend(self.ids.get(&format!("{}.{end}", part.designator).lower()));
                }
            }
        }
        ids.into_iter().map(|id| self.sets.find(id)).collect()
    }

    fn is_in(&mut self, place: &Place, roots: &[usize]) -> bool {
        let name = place.to_string().lower();
        if is_line_name(&name.upper()) {
            return true;
        }
        let Some(id) = self.ids.get(&name).copied() else { return false };
        roots.contains(&self.sets.find(id))
    }

    fn leads(&mut self, part: &Part) {
        if let Some(leads) = &part.leads {
            self.join(&leads.from, &leads.to);
        }
    }

    fn id(&mut self, place: &Place) -> usize {
        let sets = &mut self.sets;
        *self.ids.entry(place.to_string().lower()).or_insert_with(|| sets.add())
    }

    fn join(&mut self, a: &Place, b: &Place) {
        let (a, b) = (self.id(a), self.id(b));
        self.sets.union(a, b);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tie_through_fuse_switch_or_primary_is_found() {
        for text in [
            "wire line to chassis",
            "F1 1 A line to x\nS1 x to B-",
            "supply transformer\nT1 power primary 1 to 2 heater 3 to 4\nwire T1.2 to chassis",
            "V5 35Z5GT",
            "V1 117N7GT",
            "V1 UCH42",
            "V3 50L6GT",
            "V3 70L7GT",
            "V2 VCL11",
            "R1 22 line to ac9\nSR1 selenium ac9 to B0",
            "R9 33 ohm neutral to B-",
            "supply transformer\nPL1 6.3 V line to chassis",
        ] {
            assert!(is_on_line(&Sheet::read(text)), "{text}");
        }
    }

    #[test]
    fn a_transformer_or_nothing_known_is_no_tie() {
        for text in [
            "",
            "V1 UY227\nV2 45\nV3 VP41\nV4 VR150\nV5 32\nV6 35/51\nV7 6L6",
            "T1 power primary 1 to 2 heater 3 to 4\nV5 25L6GT\nV6 UL41",
            "C1 .05 line to chassis",
            "T1 power primary 1 to 2 heater 3 to 4\nS1 line to T1.1\nV5 25Z5",
            "supply vibrator",
            "supply battery",
            "R1 220K neutral to chassis",
        ] {
            assert!(!is_on_line(&Sheet::read(text)), "{text}");
        }
    }
}
