//! Half-wave doublers: a capacitor in series with the source, and two
//! rectifiers that meet behind it.
//!
//! One rectifier joins the source's other end to that joint and charges the
//! capacitor on one half of the cycle; the other passes what source and
//! capacitor give together on the other half. Turned round, both make a
//! negative supply.
//!
//! Limits: two rectifiers; longer chains are taken as the doubler that they
//! begin with. One resistor may stand between capacitor and joint. Both
//! rectifiers count as alike.

use super::reach::Reached;
use super::{Ends, Finder, LEAST_FARADS, NEAR_OHMS};
use crate::circuit::netlist::NodeId;
use crate::circuit::wiring::NodeIndex;
use crate::sheet::part::PartKind;
use crate::trade::quantity::{Capacitance, Resistance};

/// A half-wave doubler.
pub(super) struct Cascade {
    /// Its rectifiers, those that charge the series capacitor first.
    pub devices: Vec<usize>,
    /// Positive end of what it gives.
    pub output: NodeIndex,
    /// Negative end.
    pub back: NodeIndex,
    /// The series capacitors, by their part's index, and their farads.
    pub series: Vec<usize>,
    pub farads: f64,
    /// The series capacitor's positive and negative end.
    pub ends: (NodeIndex, NodeIndex),
    /// Whether it makes a negative supply: the source's other end is `output`.
    pub negative: bool,
    /// Where the series capacitor meets the source.
    pub reached: Reached,
    /// The source's other terminal, by its index.
    pub common: usize,
    /// Ohms between capacitor and joint, and from the source's other end.
    pub ohms: f64,
}

/// A capacitor in series with the source.
struct Series {
    parts: Vec<usize>,
    farads: f64,
    near: NodeIndex,
    far: NodeIndex,
    reached: Reached,
    ohms: f64,
}

impl Finder<'_> {
    /// Every half-wave doubler.
    pub(super) fn cascades(&self) -> Vec<Cascade> {
        let mut all: Vec<Cascade> = Vec::new();
        for first in self.ends {
            for second in self.ends {
                let meet = self.at(first.cathode) == self.at(second.anode);
                let taken = |index: usize| all.iter().any(|c| c.devices.contains(&index));
                if first.first() != second.first()
                    && meet
                    && !taken(first.first())
                    && !taken(second.first())
                    && let Some(found) = self.cascade(first, second)
                {
                    all.push(found);
                }
            }
        }
        all
    }

    /// The doubler of two rectifiers in series, unless their joint is on the
    /// source itself, as in a bridge.
    fn cascade(&self, first: &Ends, second: &Ends) -> Option<Cascade> {
        let joint = self.running.node(first.cathode);
        if self.near_source(joint).is_some() {
            return None;
        }
        let series = self.series(joint)?;
        let positive = self.other_end(first.anode, series.reached);
        let negative = self.other_end(second.cathode, series.reached);
        let (common, negative) = match (positive, negative) {
            (Some(common), None) => (common, false),
            (None, Some(common)) => (common, true),
            _ => return None,
        };
        let ends = if negative { (series.far, series.near) } else { (series.near, series.far) };
        let mut devices = self.alike(first);
        devices.extend(self.alike(second));
        Some(Cascade {
            devices,
            output: second.cathode,
            back: first.anode,
            series: series.parts,
            farads: series.farads,
            ends,
            negative,
            reached: series.reached,
            common: common.terminal,
            ohms: series.ohms + common.ohms,
        })
    }

    /// The units that stand parallel to one.
    fn alike(&self, to: &Ends) -> Vec<usize> {
        let at = |e: &Ends| (self.at(e.anode), self.at(e.cathode));
        let same = self.ends.iter().filter(|e| at(e) == at(to));
        same.flat_map(|e| e.devices.clone()).collect()
    }

    /// What a node reaches of a source through little.
    fn near_source(&self, node: NodeId) -> Option<Reached> {
        self.sources.reach(node).filter(|r| r.ohms <= NEAR_OHMS)
    }

    /// The large capacitors between a joint and the source.
    fn series(&self, joint: NodeId) -> Option<Series> {
        let mut found: Option<Series> = None;
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let farads = part.capacitance.map_or(0.0, Capacitance::farads);
            let Some((a, b)) = self.wiring.leads(part).filter(|_| farads >= LEAST_FARADS) else {
                continue;
            };
            for (near, far) in [(a, b), (b, a)] {
                let (Some(ohms), Some(reached)) = (
                    self.to_joint(near, joint),
                    self.sources.drives(self.at(far)).filter(|r| r.ohms <= NEAR_OHMS),
                ) else {
                    continue;
                };
                match &mut found {
                    None => {
                        let parts = vec![index];
                        found = Some(Series { parts, farads, near, far, reached, ohms });
                    }
                    Some(with) if self.same(with.near, near) && self.same(with.far, far) => {
                        with.parts.push(index);
                        with.farads += farads;
                    }
                    Some(_) => {}
                }
            }
        }
        found
    }

    fn same(&self, a: NodeIndex, b: NodeIndex) -> bool {
        self.running.node(a) == self.running.node(b)
    }

    /// Ohms from a node to the joint: none, or those of one resistor.
    fn to_joint(&self, node: NodeIndex, joint: NodeId) -> Option<f64> {
        let at = |n: NodeIndex| self.running.node(n);
        if at(node) == joint {
            return Some(0.0);
        }
        self.sheet.parts.iter().filter(|p| p.kind == PartKind::Resistor).find_map(|part| {
            let (a, b) = self.wiring.leads(part)?;
            let ends = [(at(a), at(b)), (at(b), at(a))];
            let ohms = part.resistance.map(Resistance::to_f64)?;
            (ends.contains(&(at(node), joint)) && ohms <= NEAR_OHMS).then_some(ohms)
        })
    }

    /// Whether a node is the other end of the source, or its tap.
    fn other_end(&self, node: NodeIndex, from: Reached) -> Option<Common> {
        let at = self.running.node(node);
        if let Some(terminal) = self.sources.terminal(from.source, at) {
            return (terminal != from.terminal).then_some(Common { terminal, ohms: 0.0 });
        }
        let reached = self.near_source(at)?;
        (reached.source == from.source && reached.terminal != from.terminal)
            .then_some(Common { terminal: reached.terminal, ohms: reached.ohms })
    }
}

/// The terminal of the source that both rectifiers' loops share.
struct Common {
    terminal: usize,
    ohms: f64,
}
