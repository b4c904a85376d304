//! The supply as a ladder: from the line to the rectifier, and from its output
//! through chokes and resistors to every further filtered point.
//!
//! ```
//! use firstglow::circuit::{ladder, report::report, wiring::Wiring};
//! use firstglow::sheet::{Sheet, examples::EXAMPLES};
//! let sheet = Sheet::read(EXAMPLES[0].text);
//! let wiring = Wiring::of(&sheet);
//! let ladders = ladder::ladders(&sheet, &wiring, &report(&sheet).supplies);
//! let names: Vec<&str> =
//!     ladders[0].rungs.iter().map(|r| wiring.nodes[r.node].name.as_str()).collect();
//! assert_eq!(names, ["B0", "B2"]);
//! ```
//!
//! Limits: a point counts as filtered by a capacitor of at least 0.5 µF or a
//! regulator tube to the common side; one part stands between two points.

use super::model::{is_contact, is_power_transformer};
use super::report::SupplyReport;
use super::wiring::{End, NodeIndex, Wiring};
use crate::order;
use crate::sheet::part::{Part, PartKind, WindingKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::quantity::Capacitance;
use crate::trade::tubes::{Class, Unit};
use rustc_hash::FxHashSet;
use std::collections::VecDeque;

/// The least capacitor that makes a point a filtered one.
const LEAST_FARADS: f64 = 0.5e-6;
/// The most ohms of a resistor that decouples a point; above it, it is a load.
const MOST_OHMS: f64 = 220e3;
/// The most ohms of what stands in the line or in the return.
const SERIES_OHMS: f64 = 1e3;

/// Where the alternating voltage comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// The line itself.
    Line,
    /// A winding of a power transformer.
    Winding {
        /// The transformer, by its index on the sheet.
        part: usize,
        /// The winding, by its index on the part.
        winding: usize,
    },
}

/// A point of the supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Rung {
    /// Its node.
    pub node: NodeIndex,
    /// The rung it is fed from, and the part between.
    pub from: Option<(usize, usize)>,
    /// The parts from it to the common side, filters first.
    pub shunts: Vec<(usize, NodeIndex)>,
}

/// One supply from the line to its last point.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    /// Its place among the supplies.
    pub supply: usize,
    /// The parts in the line wire, in order.
    pub line: Vec<usize>,
    /// The parts in the neutral wire, in order.
    pub neutral: Vec<usize>,
    /// Where the alternating voltage comes from.
    pub source: Source,
    /// The parts between the winding and the rectifier.
    pub ahead: Vec<usize>,
    /// The rectifiers.
    pub rectifiers: Vec<usize>,
    /// The common return: B- where closed contacts join it to the source.
    pub back: NodeIndex,
    /// The points, each after the one it is fed from.
    pub rungs: Vec<Rung>,
    /// The parts between its return and the chassis, where they are two.
    pub negative: Vec<usize>,
    /// The capacitors from the chassis to the return, where those are two.
    pub across: Vec<(usize, NodeIndex)>,
}

/// The ladders of all supplies.
pub fn ladders(sheet: &Sheet, wiring: &Wiring, supplies: &[SupplyReport]) -> Vec<Ladder> {
    let walk = Walk { sheet, wiring };
    (0..).zip(supplies).map(|(at, supply)| walk.ladder(at, supply)).collect()
}

/// The heaters of a series string from the line on, with what stands between,
/// and the node where the string ends.
pub fn heater_string(sheet: &Sheet, wiring: &Wiring) -> Option<(Vec<usize>, NodeIndex)> {
    if sheet.header.supply != Some(SupplyKind::SeriesString) {
        return None;
    }
    let line = wiring.named("line")?;
    let ends = ["neutral", "B-", "chassis"].map(|n| wiring.named(n));
    let walk = Walk { sheet, wiring };
    let steps = |node: NodeIndex| {
        let mut steps = walk.steps(node, &|p| is_contact(p.kind) || is_dropper(p));
        steps.extend(walk.heater_steps(node));
        steps
    };
    shortest(line, &|n| ends.contains(&Some(n)), steps)
}

/// Whether a part stands in series with heaters.
fn is_dropper(part: &Part) -> bool {
    part.kind == PartKind::ResistanceCord
        || part.kind == PartKind::Resistor
            && part.resistance.is_some_and(|r| r.to_f64() <= SERIES_OHMS)
}

struct Walk<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
}

impl Walk<'_> {
    fn ladder(&self, at: usize, supply: &SupplyReport) -> Ladder {
        let rectifiers: Vec<usize> =
            supply.rectifiers.iter().filter_map(|key| self.index(key)).collect();
        let plates: Vec<NodeIndex> =
            rectifiers.iter().flat_map(|r| self.driven(*r, supply.negative)).collect();
        let (source, ahead) = self.source(&plates);
        let back = self.joined_return(supply.common());
        let primary = match source {
            Source::Winding { part, .. } => self.primary(part),
            Source::Line => plates.first().map(|plate| (*plate, back)),
        };
        let named = |name: &str| self.wiring.named(name);
        let wire = |from: Option<NodeIndex>, to: Option<NodeIndex>| {
            from.zip(to).and_then(|(a, b)| self.path(a, b, &in_the_line)).unwrap_or_default()
        };
        let (mut line, mut neutral) = (Vec::new(), Vec::new());
        if let Some((a, b)) = primary {
            line = wire(named("line"), Some(a));
            neutral = wire(named("neutral"), Some(b));
            if line.is_empty() && neutral.is_empty() {
                (line, neutral) = (wire(named("line"), Some(b)), wire(named("neutral"), Some(a)));
            }
        }
        let (negative, across) = match named("chassis") {
            Some(chassis) if chassis != back => (
                self.path(back, chassis, &in_the_return).unwrap_or_default(),
                self.shunts(chassis, &[back]),
            ),
            _ => (Vec::new(), Vec::new()),
        };
        let rungs = self.rungs(supply, back);
        Ladder {
            supply: at,
            line,
            neutral,
            source,
            ahead,
            rectifiers,
            back,
            rungs,
            negative,
            across,
        }
    }

    /// The return, told by its own name where contacts alone part the two.
    fn joined_return(&self, back: NodeIndex) -> NodeIndex {
        let common = self.wiring.named("B-");
        let contacts = |p: &Part| is_contact(p.kind);
        common.filter(|b| self.path(back, *b, &contacts).is_some()).unwrap_or(back)
    }

    fn index(&self, key: &str) -> Option<usize> {
        self.sheet.parts.iter().position(|p| p.key == key)
    }

    /// The nodes where a rectifier takes alternating voltage: its plates, or its
    /// cathodes in a supply that is turned round.
    fn driven(&self, part: usize, turned: bool) -> Vec<NodeIndex> {
        let units = self.wiring.socket(part).and_then(|socket| {
            let tube = socket.tube.as_ref()?;
            let side = |u: Unit| if turned { u.cathode } else { u.plate };
            let driven = tube.units().into_iter().filter_map(|u| socket.at(side(u)));
            Some(driven.collect::<Vec<_>>())
        });
        units.unwrap_or_else(|| {
            let leads = self.wiring.leads(&self.sheet.parts[part]);
            leads.map(|(a, b)| if turned { b } else { a }).into_iter().collect()
        })
    }

    /// The winding that feeds the plates, and what stands between.
    fn source(&self, plates: &[NodeIndex]) -> (Source, Vec<usize>) {
        for (part, transformer) in self.transformers() {
            for (winding, one) in transformer.windings.iter().enumerate() {
                if one.kind != WindingKind::Secondary {
                    continue;
                }
                for end in [&one.start, &one.end] {
                    let Some(end) = self.wiring.terminal(transformer, end) else { continue };
                    let found = plates.iter().find_map(|p| self.path(end, *p, &in_the_line));
                    if let Some(ahead) = found {
                        return (Source::Winding { part, winding }, ahead);
                    }
                }
            }
        }
        (Source::Line, Vec::new())
    }

    fn transformers(&self) -> impl Iterator<Item = (usize, &Part)> {
        self.sheet.parts.iter().enumerate().filter(|(_, p)| is_power_transformer(p))
    }

    fn primary(&self, part: usize) -> Option<(NodeIndex, NodeIndex)> {
        let part = &self.sheet.parts[part];
        let primary = part.windings.iter().find(|w| w.kind == WindingKind::Primary)?;
        let node = |terminal: &str| self.wiring.terminal(part, terminal);
        node(&primary.start).zip(node(&primary.end))
    }

    /// The points fed from the output, nearest first.
    fn rungs(&self, supply: &SupplyReport, back: NodeIndex) -> Vec<Rung> {
        let common = self.common(back);
        let mut rungs: Vec<Rung> = vec![Rung {
            node: supply.fed(),
            from: None,
            shunts: self.shunts(supply.fed(), &common),
        }];
        let mut seen: FxHashSet<NodeIndex> = common.iter().copied().collect();
        seen.insert(supply.fed());
        let mut at = 0;
        while at < rungs.len() {
            for (part, node) in self.steps(rungs[at].node, &feeds_on) {
                if seen.contains(&node) || !self.is_filtered(node, &common) {
                    continue;
                }
                seen.insert(node);
                let shunts = self.shunts(node, &common);
                rungs.push(Rung { node, from: Some((at, part)), shunts });
            }
            at += 1;
        }
        rungs
    }

    /// The nodes of the common side.
    fn common(&self, back: NodeIndex) -> Vec<NodeIndex> {
        let named = ["B-", "chassis"].iter().filter_map(|n| self.wiring.named(n));
        std::iter::once(back).chain(named).collect()
    }

    /// The parts from a node to the common side, the largest capacitors first.
    fn shunts(&self, node: NodeIndex, common: &[NodeIndex]) -> Vec<(usize, NodeIndex)> {
        let capacitors = |p: &Part| p.kind == PartKind::Capacitor;
        let mut shunts: Vec<(usize, NodeIndex)> = self.steps(node, &capacitors);
        shunts.retain(|(_, far)| common.contains(far));
        order::sort(&mut shunts, |(part, _)| order::falling(self.farads(*part)));
        let regulators = self.wiring.nodes[node].leads.iter().filter_map(|lead| {
            let socket = self.wiring.socket(lead.part)?;
            let tube = socket.tube.as_ref().filter(|t| t.class == Class::Regulator)?;
            let unit = tube.units().into_iter().next()?;
            let far = socket.at(unit.cathode).filter(|n| common.contains(n))?;
            (socket.at(unit.plate) == Some(node)).then_some((lead.part, far))
        });
        shunts.extend(regulators);
        shunts.dedup();
        shunts
    }

    fn is_filtered(&self, node: NodeIndex, common: &[NodeIndex]) -> bool {
        self.shunts(node, common).iter().any(|(part, _)| {
            self.sheet.parts[*part].kind == PartKind::Tube || self.farads(*part) >= LEAST_FARADS
        })
    }

    fn farads(&self, part: usize) -> f64 {
        self.sheet.parts[part].capacitance.map_or(0.0, Capacitance::farads)
    }

    /// The parts that lead on from a node, and where to.
    fn steps(&self, node: NodeIndex, passes: &dyn Fn(&Part) -> bool) -> Vec<(usize, NodeIndex)> {
        let leads = self.wiring.nodes[node].leads.iter();
        leads
            .filter(|lead| matches!(lead.end, End::From | End::To))
            .filter_map(|lead| {
                let part = &self.sheet.parts[lead.part];
                let (a, b) = passes(part).then(|| self.wiring.leads(part)).flatten()?;
                Some((lead.part, if lead.end == End::From { b } else { a }))
            })
            .filter(|(_, far)| *far != node)
            .collect()
    }

    /// The heaters that lead on from a node.
    fn heater_steps(&self, node: NodeIndex) -> Vec<(usize, NodeIndex)> {
        let sockets = self.wiring.sockets.iter();
        sockets
            .filter_map(|socket| {
                let pins = socket.tube.as_ref()?.pins_of("h");
                let ends: Vec<NodeIndex> = pins.iter().filter_map(|p| socket.node(*p)).collect();
                let [a, b] = ends[..] else { return None };
                let far = if a == node { b } else { (b == node).then_some(a)? };
                (far != node).then_some((socket.part, far))
            })
            .collect()
    }

    fn path(
        &self,
        from: NodeIndex,
        to: NodeIndex,
        passes: &dyn Fn(&Part) -> bool,
    ) -> Option<Vec<usize>> {
        let found = shortest(from, &|node| node == to, |node| self.steps(node, passes));
        found.map(|(path, _)| path)
    }
}

/// What may stand in the line.
fn in_the_line(part: &Part) -> bool {
    is_contact(part.kind) || part.kind == PartKind::Lamp || is_dropper(part)
}

/// What may stand between the return and the chassis.
fn in_the_return(part: &Part) -> bool {
    part.kind == PartKind::Coil || is_contact(part.kind) || is_dropper(part)
}

/// What feeds a further point.
fn feeds_on(part: &Part) -> bool {
    part.kind == PartKind::Coil
        || is_contact(part.kind)
        || part.kind == PartKind::Resistor
            && part.resistance.is_some_and(|r| r.to_f64() <= MOST_OHMS)
}

/// The parts of the shortest way to an end, and that end.
fn shortest(
    from: NodeIndex,
    is_end: &dyn Fn(NodeIndex) -> bool,
    steps: impl Fn(NodeIndex) -> Vec<(usize, NodeIndex)>,
) -> Option<(Vec<usize>, NodeIndex)> {
    let mut seen = FxHashSet::from_iter([from]);
    let mut open = VecDeque::from([(from, Vec::new())]);
    while let Some((node, path)) = open.pop_front() {
        if is_end(node) {
            return Some((path, node));
        }
        for (part, next) in steps(node) {
            if seen.insert(next) {
                let mut on = path.clone();
                on.push(part);
                open.push_back((next, on));
            }
        }
    }
    None
}

#[cfg(test)]
mod tests;
