//! Nodes in words: `the plate of V3 (pin 6)`.

use super::{End, Roles};
use crate::circuit::points::Traits;
use crate::circuit::wiring::{End as LeadEnd, NodeIndex};
use crate::trade::tubes::Class;

/// The most leads looked through for a tube's pin.
const MOST_LEADS: usize = 64;

impl Roles<'_> {
    /// `joins X and Y`.
    pub(super) fn joins(&self, a: End, b: End) -> String {
        format!("joins {} and {}", self.words(a), self.words(b))
    }

    /// What a node is, as a person would say it.
    pub(super) fn words(&self, end: End) -> String {
        if !end.known {
            return "a place that is not known".to_owned();
        }
        let name = || self.wiring.nodes[end.node].name.clone();
        let own = !self.wiring.nodes[end.node].names.is_empty();
        if end.returns() || end.mains || end.has(Traits::ANTENNA) {
            return match self.wiring.nodes[end.node].name.as_str() {
                "chassis" => "the chassis".to_owned(),
                "line" => "the line".to_owned(),
                "neutral" => "the neutral wire".to_owned(),
                "antenna" => "the antenna".to_owned(),
                other => other.to_owned(),
            };
        }
        if end.has(Traits::RESERVOIR) {
            return format!("{}, where the rectifier feeds the set", name());
        }
        if end.has(Traits::PLACED_B_PLUS) {
            return format!("the supply point {}", name());
        }
        if self.around.is_wiper(end.node)
            && let Some((control, _)) = name().split_once('.')
        {
            return format!("the wiper of {control}");
        }
        self.electrode(end.node)
            .unwrap_or_else(|| if own { format!("the point {}", name()) } else { name() })
    }

    /// The electrode of a tube that meets a node.
    fn electrode(&self, node: NodeIndex) -> Option<String> {
        let leads = self.wiring.nodes[node].leads.iter().take(MOST_LEADS);
        leads
            .filter_map(|lead| self.pin(lead.part, &lead.end))
            .min_by_key(|(rank, _)| *rank)
            .map(|(_, words)| words)
    }

    /// A pin in words; electrodes that carry a signal come before others.
    fn pin(&self, part: usize, end: &LeadEnd) -> Option<(u8, String)> {
        let socket = self.wiring.socket(part)?;
        let tube = socket.tube.as_ref()?;
        let (electrode, place) = match end {
            LeadEnd::Pin(pin) => (socket.electrode_name(*pin)?, format!("pin {pin}")),
            LeadEnd::Cap => (socket.cap_name()?, "top cap".to_owned()),
            _ => return None,
        };
        let several = tube.class == Class::Converter;
        let electrode = match electrode.as_str() {
            "grid 2" if !several => "screen".to_owned(),
            "grid 2 and grid 4" | "grid 3 and grid 5" => "screens".to_owned(),
            _ => electrode,
        };
        let rank = match electrode.as_str() {
            e if e.starts_with("heater") || e.starts_with("shell") => return None,
            e if e.starts_with("cathode") => 1,
            // A suppressor goes where its cathode goes.
            "grid 3" if !several => 2,
            _ => 0,
        };
        let output = matches!(tube.class, Class::PowerPentode | Class::PowerTriode)
            && electrode.starts_with("grid")
            && rank == 0;
        let after = if output && electrode == "grid" { ", an output tube" } else { "" };
        let name = &self.sheet.parts[part].designator;
        Some((rank, format!("the {electrode} of {name} ({place}){after}")))
    }
}
