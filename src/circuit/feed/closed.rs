//! Whether a supply is closed: which points direct current joins, and whether
//! a transformer is on the line.

use super::{Finder, LEAST_FARADS, Missing};
use crate::circuit::model::{Model, is_power_transformer};
use crate::circuit::netlist::{Element, NodeId};
use crate::circuit::wiring::NodeIndex;
use crate::sheet::part::{PartKind, WindingKind};
use crate::sheet::{Sheet, SupplyKind};

/// Which points hang together, the windings of power transformers and the
/// rectifiers left out.
pub(super) struct Paths {
    /// Through what passes direct current.
    direct: Vec<usize>,
    /// Through that and large capacitors.
    all: Vec<usize>,
    /// The points that something beside capacitors joins to another.
    meets: Vec<u32>,
    /// Those groups of `direct` that a tube or the reference is in.
    loaded: Vec<bool>,
}

impl Paths {
    pub fn of(sheet: &Sheet, running: &Model) -> Self {
        let count = running.net.node_count();
        let mut direct: Vec<usize> = (0..count).collect();
        let mut meets = vec![0; count];
        let mut tubes = Vec::new();
        let mut capacitors = Vec::new();
        let mut wound = vec![false; running.net.elements().count()];
        for (part, elements) in sheet.parts.iter().zip(&running.parts) {
            if is_power_transformer(part) {
                for element in elements {
                    wound[element.index()] = true;
                }
            }
        }
        for (id, element) in running.net.elements() {
            if wound[id.index()] {
                continue;
            }
            let mut tie = |nodes: &[NodeId]| {
                for pair in nodes.windows(2) {
                    let [a, b] = [pair[0].index(), pair[1].index()];
                    join(&mut direct, a, b);
                    meets[a] += 1;
                    meets[b] += 1;
                }
            };
            match *element {
                Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => tie(&[a, b]),
                Element::VoltageSource { plus, minus, .. } => tie(&[plus, minus]),
                Element::Device { plate, grid, screen, cathode, law } => {
                    tie(&[plate, cathode]);
                    if law.electrodes() > 1 {
                        tie(&[grid, cathode]);
                    }
                    if law.electrodes() > 2 {
                        tie(&[screen, cathode]);
                    }
                    tubes.push(cathode.index());
                }
                Element::Capacitor { a, b, farads } if farads >= LEAST_FARADS => {
                    capacitors.push((a.index(), b.index()));
                }
                _ => {}
            }
        }
        let mut all = direct.clone();
        for (a, b) in capacitors {
            join(&mut all, a, b);
        }
        let direct: Vec<usize> = (0..count).map(|n| find(&mut direct, n)).collect();
        let all = (0..count).map(|n| find(&mut all, n)).collect();
        let mut loaded = vec![false; count];
        loaded[direct[NodeId::GROUND.index()]] = true;
        for tube in tubes {
            loaded[direct[tube]] = true;
        }
        Self { direct, all, meets, loaded }
    }

    /// Whether current from one point comes back to another: by a load, or into
    /// capacitors where nothing takes any.
    pub fn closes(&self, from: NodeId, to: NodeId) -> bool {
        let (from, to) = (from.index(), to.index());
        self.direct[from] == self.direct[to]
            || !self.loaded[self.direct[from]] && self.all[from] == self.all[to]
    }

    /// Whether anything but capacitors and windings meets a point.
    pub fn leads_on(&self, at: NodeId) -> bool {
        self.meets[at.index()] > 0
    }

    /// How many ways of direct current leave a point.
    pub fn ways(&self, at: NodeId) -> u32 {
        self.meets[at.index()]
    }
}

fn find(root: &mut [usize], mut node: usize) -> usize {
    while root[node] != node {
        root[node] = root[root[node]];
        node = root[node];
    }
    node
}

fn join(root: &mut [usize], a: usize, b: usize) {
    let (a, b) = (find(root, a), find(root, b));
    root[a.max(b)] = a.min(b);
}

/// Names of the line's two sides, as they stand on schematics.
const LINE: [&str; 14] = [
    "line", "line1", "line2", "hot", "live", "mains", "l", "ac", "ac1", "ac2", "neutral", "neut",
    "n", "plug",
];

impl Finder<'_> {
    /// What keeps any supply on a source from being solved, and where.
    pub(super) fn unfit(&self, source: usize) -> Option<(Missing, Option<String>)> {
        let source = &self.sources.all[source];
        let part = source.transformer()?;
        if self.sheet.header.supply == Some(SupplyKind::Vibrator) {
            return Some((Missing::Vibrator, None));
        }
        if !source.is_known {
            return Some((Missing::WindingVolts, self.winding_words(source.coils.first()?)));
        }
        (!self.on_line(part)).then_some((Missing::Primary, None))
    }

    /// Whether the primaries of a transformer are on the line: both ends are,
    /// or nothing of them is drawn.
    fn on_line(&self, part: usize) -> bool {
        let transformer = &self.sheet.parts[part];
        let primaries = transformer.windings.iter().filter(|w| w.kind == WindingKind::Primary);
        let ends: Vec<Option<NodeIndex>> = primaries
            .flat_map(|w| [&w.start, &w.end])
            .map(|t| self.wiring.terminal(transformer, t))
            .collect();
        let drawn = ends.iter().flatten().any(|node| self.is_drawn(part, *node));
        if !drawn {
            return true;
        }
        if ends.iter().any(Option::is_none) {
            return false;
        }
        let ends: Vec<NodeIndex> = ends.into_iter().flatten().collect();
        let mut names: Vec<String> = Vec::new();
        for (index, end) in ends.iter().enumerate() {
            let reached = self.line_names(part, *end);
            // Primaries in series meet at a point of their own.
            let mut others = ends.iter().enumerate().filter(|(other, _)| *other != index);
            let meets = others.any(|(_, other)| self.at(*other) == self.at(*end));
            if reached.is_empty() && !meets {
                return false;
            }
            names.extend(reached);
        }
        names.sort_unstable();
        names.dedup();
        names.len() > 1
    }

    /// Whether anything but a transformer's own windings is at a node.
    pub(super) fn is_drawn(&self, part: usize, node: NodeIndex) -> bool {
        let at = self.at(node);
        let mut here = (0..self.wiring.nodes.len()).filter(|n| self.at(*n) == at);
        here.any(|n| {
            let node = &self.wiring.nodes[n];
            !node.names.is_empty() || node.leads.iter().any(|lead| lead.part != part)
        })
    }

    /// The sides of the line that a node reaches through any part that passes
    /// current; a connector or cord is one of its own.
    fn line_names(&self, own: usize, from: NodeIndex) -> Vec<String> {
        let mut seen = vec![false; self.wiring.nodes.len()];
        let mut open = vec![from];
        let mut found = Vec::new();
        seen[from] = true;
        while let Some(node) = open.pop() {
            let here = &self.wiring.nodes[node];
            let name = here.names.iter().find(|n| LINE.contains(&n.to_ascii_lowercase().as_str()));
            if let Some(name) = name {
                found.push(name.to_ascii_lowercase());
                continue;
            }
            for lead in &here.leads {
                let part = &self.sheet.parts[lead.part];
                match part.kind {
                    PartKind::Connector => found.push(format!("{} {node}", part.key)),
                    PartKind::Capacitor | PartKind::Tube => {}
                    PartKind::Transformer if lead.part != own => {}
                    _ => {
                        let pair = self.wiring.leads(part);
                        let own_windings = part
                            .windings
                            .iter()
                            .filter(|w| w.kind == WindingKind::Primary && lead.part == own);
                        let wound = own_windings.filter_map(|w| {
                            Some((
                                self.wiring.terminal(part, &w.start)?,
                                self.wiring.terminal(part, &w.end)?,
                            ))
                        });
                        // The winding that is asked for is no way to the line.
                        let ways = wound.filter(|(a, b)| *a != from && *b != from);
                        for (a, b) in pair.into_iter().chain(ways) {
                            for (one, other) in [(a, b), (b, a)] {
                                if one == node && !std::mem::replace(&mut seen[other], true) {
                                    open.push(other);
                                }
                            }
                        }
                    }
                }
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}
