//! The points of a supply, from the rectifier's output on.
//!
//! A point further on is what a choke, a field coil or a resistor joins to one
//! before it, if it bears a name of a supply point or a capacitor of a size
//! that filters; a plate behind its load or a screen behind its dropper is none.

use super::{Points, Traits};
use crate::circuit::feed::Feed;
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use std::collections::VecDeque;

/// Farads from which a capacitor filters; what is smaller bypasses radio
/// frequency. Source: common practice, no source.
pub const LARGE_FARADS: f64 = 0.8e-6;

/// Marks the points of every supply.
pub fn follow(points: &mut Points, sheet: &Sheet, wiring: &Wiring, feeds: &[Feed]) {
    if feeds.is_empty() {
        return;
    }
    let mut links: Vec<Vec<NodeIndex>> = vec![Vec::new(); wiring.nodes.len()];
    let mut filtered = vec![false; wiring.nodes.len()];
    for part in &sheet.parts {
        let Some((a, b)) = wiring.leads(part) else { continue };
        match part.kind {
            PartKind::Resistor | PartKind::Coil => {
                links[a].push(b);
                links[b].push(a);
            }
            PartKind::Capacitor if is_large(part) => {
                for (node, other) in [(a, b), (b, a)] {
                    filtered[node] |= points.traits(other).has(Traits::RETURN);
                }
            }
            _ => {}
        }
    }
    let mut depth: Vec<Option<u32>> = vec![None; wiring.nodes.len()];
    let mut open = VecDeque::new();
    for feed in feeds {
        let (from, back) = (feed.fed(), feed.common());
        direct(points, feed);
        depth[from] = Some(0);
        // What it comes back to is no point further on.
        depth[back].get_or_insert(u32::MAX);
        open.push_back(from);
    }
    while let Some(node) = open.pop_front() {
        let Some(level) = depth[node] else { continue };
        points.add(
            node,
            match level {
                0 => Traits::RESERVOIR,
                1 => Traits::SMOOTHED,
                _ => Traits::DECOUPLED,
            },
        );
        for other in &links[node] {
            let traits = points.traits(*other);
            let point = filtered[*other] || traits.has(Traits::ANY_B_PLUS);
            let stage = traits.has(Traits::RETURN) || traits.has(Traits::CATHODE);
            if depth[*other].is_none() && point && !stage {
                depth[*other] = Some(level + 1);
                open.push_back(*other);
            }
        }
    }
}

/// What a rectifier gives is direct, though a plate be its end, as where the
/// rectifier is turned round; what lies before it alternates, whatever its
/// electrode.
fn direct(points: &mut Points, feed: &Feed) {
    points.take_away(feed.fed(), Traits::RECTIFIER_IN);
    for node in &feed.pulsating {
        if !points.traits(*node).has(Traits::RETURN) {
            points.add(*node, Traits::RECTIFIER_IN);
        }
    }
}

/// Whether a capacitor filters by its size or its kind.
pub fn is_large(part: &Part) -> bool {
    part.dielectric.is_some_and(crate::trade::dielectric::Dielectric::is_electrolytic)
        || part.capacitance.is_some_and(|c| c.farads() >= LARGE_FARADS)
}
