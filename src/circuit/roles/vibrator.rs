//! The windings of a vibrator's transformer, and the capacitors that tune them.

use super::{Asked, End, Placed, Roles};
use crate::circuit::model::is_power_transformer;
use crate::circuit::points::{LARGE_FARADS, Points, Traits};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::letters::Letters;
use crate::sheet::Sheet;
use crate::sheet::part::{Make, Part, PartKind, WindingKind};
use crate::trade::role::Role;
use rustc_hash::FxHashSet;

/// Ohms up to which a resistor in series with a buffer damps it: 5 to 10 kΩ.
/// Common practice, no source.
const DAMPS_OHMS: f64 = 20e3;

/// Nodes of a vibrator's transformer.
#[derive(Debug, Clone, Default)]
pub(super) struct Windings {
    vibrator: bool,
    /// Ends of the high-voltage winding, through a damping resistor too.
    ends: FxHashSet<NodeIndex>,
    /// Its tap, where that is no return.
    taps: FxHashSet<NodeIndex>,
    /// Ends of the primary and contacts of the vibrator.
    contacts: FxHashSet<NodeIndex>,
}

impl Windings {
    /// Whether the set has a vibrator.
    pub const fn is_vibrator(&self) -> bool {
        self.vibrator
    }

    /// Finds them; `stated` says that the sheet calls the set a vibrator set.
    pub fn of(sheet: &Sheet, wiring: &Wiring, points: &Points, stated: bool) -> Self {
        let mut windings = Self::default();
        if !(stated || sheet.parts.iter().any(is_vibrator)) {
            return windings;
        }
        windings.vibrator = true;
        let quiet = |node: &NodeIndex| {
            !points.traits(*node).has(Traits::RETURN) && !points.traits(*node).has(Traits::BATTERY)
        };
        let contacts = sheet.parts.iter().filter(|p| is_reed(p));
        for part in contacts {
            let pins = part.pins.iter().filter_map(|tie| wiring.node(&tie.place));
            let leads = wiring.leads(part).into_iter().flat_map(|(a, b)| [a, b]);
            let terminals = wiring.terminals_of(&part.designator.to_string());
            windings.contacts.extend(pins.chain(leads).chain(terminals).filter(quiet));
        }
        let fed: Vec<&Part> =
            sheet.parts.iter().filter(|p| feeds(p, wiring, points, &windings.contacts)).collect();
        for part in fed {
            for winding in &part.windings {
                let at = |t: &String| wiring.terminal(part, t).filter(quiet);
                let ends = [&winding.start, &winding.end].into_iter().filter_map(at);
                match winding.kind {
                    WindingKind::Secondary => {
                        windings.ends.extend(ends);
                        windings.taps.extend(winding.tap.as_ref().and_then(at));
                    }
                    WindingKind::Primary => windings.contacts.extend(ends),
                    _ => {}
                }
            }
        }
        windings.damped(sheet, wiring);
        windings
    }

    /// A point that only a resistor to an end and one part more meet.
    fn damped(&mut self, sheet: &Sheet, wiring: &Wiring) {
        for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Resistor) {
            let small = part.resistance.is_some_and(|r| r.to_f64() <= DAMPS_OHMS);
            let Some((a, b)) = wiring.leads(part).filter(|_| small) else { continue };
            for (end, other) in [(a, b), (b, a)] {
                if self.ends.contains(&end) && wiring.nodes[other].leads.len() == 2 {
                    self.ends.insert(other);
                }
            }
        }
    }
}

impl Roles<'_> {
    /// A capacitor with a lead on the high-voltage winding of a vibrator's
    /// transformer, or across its primary and the vibrator's contacts.
    pub(super) fn buffer(&self, asked: Asked, [a, b]: [End; 2]) -> Option<Placed> {
        // By its value: a filter behind the tap of a synchronous one is none.
        let filters = asked.part.capacitance.is_some_and(|c| c.farads() >= LARGE_FARADS);
        if filters {
            return None;
        }
        let on = |nodes: &FxHashSet<NodeIndex>| nodes.contains(&a.node) || nodes.contains(&b.node);
        let windings = &self.windings;
        let (ends, taps, contacts) =
            (on(&windings.ends), on(&windings.taps), on(&windings.contacts));
        (ends || taps || contacts).then(|| {
            self.placed(
                Role::Buffer,
                format!("tunes the vibrator's transformer: {}", self.joins(a, b)),
            )
        })
    }
}

/// Whether a part is a vibrator, by its letters or its words.
fn is_vibrator(part: &Part) -> bool {
    part.kind == PartKind::Vibrator || says(part, &["vibrator", "vib"])
}

/// Whether a part is the vibrator itself, not its transformer or a capacitor.
fn is_reed(part: &Part) -> bool {
    part.kind == PartKind::Vibrator
        || matches!(part.kind, PartKind::Other | PartKind::Connector | PartKind::Diode)
            && says(part, &["vibrator", "vib"])
}

/// Whether a transformer is the one that the vibrator feeds.
fn feeds(part: &Part, wiring: &Wiring, points: &Points, contacts: &FxHashSet<NodeIndex>) -> bool {
    let other = part.is_made(Make::OutputTransformer) || part.is_made(Make::IfTransformer);
    if part.kind != PartKind::Transformer || other {
        return false;
    }
    let volts = |least: f64| {
        part.windings.iter().any(|w| {
            w.kind == WindingKind::Secondary && w.volts.is_some_and(|v| v.to_f64() >= least)
        })
    };
    let meets = part.windings.iter().any(|winding| {
        [&winding.start, &winding.end].into_iter().filter_map(|t| wiring.terminal(part, t)).any(
            |node| {
                let traits = points.traits(node);
                contacts.contains(&node)
                    || traits.has(Traits::RECTIFIER_IN)
                    || traits.has(Traits::BATTERY)
            },
        )
    });
    is_power_transformer(part) || says(part, &["vibrator", "vib"]) || volts(60.0) || meets
}

fn says(part: &Part, wanted: &[&str]) -> bool {
    let all = format!("{} {}", part.mark, part.remark.as_deref().unwrap_or_default()).lower();
    all.split(|c: char| !c.is_alphanumeric()).any(|word| wanted.contains(&word))
}
