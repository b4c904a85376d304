//! The metal that hands touch, piece by piece, and what of it is on the line.

use super::line::{ChassisTie, Finder, LineSide, LiveTouch};
use super::metal::{Metal, contact_metal, contacts, metal_name, nodes_of, words};
use super::{Through, Traits};
use crate::circuit::wiring::NodeIndex;
use rustc_hash::FxHashMap;

/// Ohms below which a resistor alone lets more through a person than 0.5 mA at
/// 125 V.
const TOUCH_OHMS: f64 = 250e3;

impl Finder<'_> {
    /// Metal that hands touch, piece by piece, and that which is live.
    pub fn touch(&self, side: &mut LineSide) {
        let contacts = contacts(self.sheet, self.wiring);
        let mut seeds: Vec<(Metal, NodeIndex)> = Vec::new();
        for node in 0..self.traits.len() {
            if let Some(metal) = self.named(node) {
                seeds.push((metal, node));
            }
        }
        seeds.extend(
            contacts.iter().map(|(part, node)| (contact_metal(&self.sheet.parts[*part]), *node)),
        );
        seeds.sort_unstable();
        self.live_touches(side, &contacts, &seeds);
        for (_, node) in &seeds {
            side.nodes[*node].touchable = true;
        }
        let live: Vec<bool> = side.nodes.iter().map(|n| n.live).collect();
        // One piece is what next to nothing joins.
        let mut marked = vec![false; live.len()];
        for (number, (_, node)) in seeds.iter().enumerate() {
            let piece = self.spread(std::iter::once(*node), &mut marked, |_, to, through| {
                matches!(through, Through::Contact | Through::Coil) && !live[to]
            });
            for node in piece {
                side.nodes[node].piece = number + 1;
            }
        }
        // What a node is itself counts before what it is joined to.
        let mut own: FxHashMap<NodeIndex, Metal> = FxHashMap::default();
        for (metal, node) in &seeds {
            own.entry(*node).or_insert(*metal);
        }
        let mut marked = vec![false; live.len()];
        for (metal, seed) in seeds.into_iter().filter(|(_, node)| !live[*node]) {
            let reached = self.spread(std::iter::once(seed), &mut marked, |_, to, through| {
                let near = match through {
                    Through::Resistor(ohms) => self.tied && ohms < TOUCH_OHMS,
                    _ => true,
                };
                near && !live[to]
            });
            for node in reached {
                side.nodes[node].metal = Some(own.get(&node).copied().unwrap_or(metal));
            }
        }
    }

    fn live_touches(
        &self,
        side: &mut LineSide,
        contacts: &[(usize, NodeIndex)],
        seeds: &[(Metal, NodeIndex)],
    ) {
        // The chassis itself is told as a hot chassis.
        let stands = |node: NodeIndex| {
            side.nodes[node].live && !self.traits[node].has(Traits::CHASSIS)
                || self.traits[node].has(Traits::CHASSIS)
                    && side.chassis != ChassisTie::Apart
                    && contacts.iter().any(|(_, at)| *at == node)
        };
        let mut touches: Vec<LiveTouch> = contacts
            .iter()
            .filter(|(part, node)| stands(*node) && !self.brings_line(*part, *node))
            .map(|(part, node)| LiveTouch { part: Some(*part), node: *node })
            .collect();
        for (_, node) in seeds {
            let told = contacts.iter().any(|(_, at)| at == node);
            if !told && stands(*node) {
                touches.push(LiveTouch { part: None, node: *node });
            }
        }
        touches.dedup();
        side.touches = touches;
    }

    /// Whether a contact is one that the line comes in or goes out by.
    fn brings_line(&self, part: usize, node: NodeIndex) -> bool {
        let part = &self.sheet.parts[part];
        let words = words(part);
        let says = |all: &[&str]| words.iter().any(|w| all.contains(&w.as_str()));
        let line = says(&["line", "mains", "ac", "cord", "interlock", "outlet", "motor", "power"]);
        let on = |node: NodeIndex| self.traits[node].has(Traits::MAINS);
        let own = nodes_of(part, self.wiring);
        // A plug without a word has both wires.
        let both = own.len() == 2 && own.iter().all(|n| on(*n)) && own[0] != own[1];
        let hands = says(&[
            "antenna",
            "aerial",
            "ground",
            "earth",
            "gnd",
            "phono",
            "phones",
            "phone",
            "headphones",
            "headphone",
            "earphone",
            "earphones",
            "speaker",
            "remote",
            "pickup",
            "record",
            "mike",
            "mic",
            "microphone",
        ]) && !says(&["motor"]);
        on(node) && !hands && (line || both)
    }

    /// The metal that a node is by its names.
    fn named(&self, node: NodeIndex) -> Option<Metal> {
        let traits = self.traits[node];
        let by_traits = [
            (Traits::ANTENNA, Metal::Antenna),
            (Traits::GROUND, Metal::Ground),
            (Traits::CHASSIS, Metal::Chassis),
        ];
        let by_traits = by_traits.into_iter().filter(|(t, _)| traits.has(*t)).map(|(_, m)| m);
        let names = self.wiring.nodes[node].names.iter().filter_map(|name| metal_name(name));
        by_traits.chain(names).min()
    }

    pub fn is_touchable(&self, node: NodeIndex) -> bool {
        self.named(node).is_some()
    }
}
