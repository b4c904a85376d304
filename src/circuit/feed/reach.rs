//! What reaches the sources of alternating voltage, and through what.

use super::LEAST_FARADS;
use super::source::Source;
use crate::circuit::model::Model;
use crate::circuit::netlist::{Element, Netlist, NodeId};
use crate::circuit::solver::{Ohmmeter, Options, SourcesAs, solve};
use crate::circuit::wiring::Wiring;
use crate::sheet::Sheet;
use crate::sheet::part::PartKind;
use crate::trade::quantity::Capacitance;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The most ohms between a rectifier and its source; beyond it, what reaches
/// it is no supply.
const FAR_OHMS: f64 = 1e6;

/// What a point reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// The source, by its index.
    pub source: usize,
    /// Its terminal, by its index.
    pub terminal: usize,
    /// Ohms between.
    pub ohms: f64,
    /// The point itself.
    pub at: NodeId,
}

/// A source as a point sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thevenin {
    /// Effective volts.
    pub volts: f64,
    /// The same with heaters and lamps taken out where they only divide.
    pub open_volts: f64,
    /// Ohms.
    pub ohms: f64,
}

/// All sources of a set and the netlist between them and the rectifiers.
pub struct Sources {
    /// The sources.
    pub all: Vec<Source>,
    net: Netlist,
    /// The same without heaters and lamps.
    bare: Netlist,
    near: Vec<Option<Reached>>,
    quiet: Vec<bool>,
    returns: Vec<bool>,
}

impl Sources {
    /// Finds what reaches the sources; `side` is the set's alternating model.
    pub fn of(sheet: &Sheet, wiring: &Wiring, side: &Model, all: Vec<Source>) -> Self {
        let returns = returns(wiring, side);
        let quiet = quiet(sheet, wiring, side, (&all, &returns));
        let near = nearest(&side.net, &all, &quiet);
        let mut bare = side.net.clone();
        for (part, elements) in sheet.parts.iter().zip(&side.parts) {
            if matches!(part.kind, PartKind::Tube | PartKind::Lamp) {
                for element in elements {
                    bare.remove(*element);
                }
            }
        }
        Self { all, net: side.net.clone(), bare, near, quiet, returns }
    }

    /// The source that a point reaches.
    pub fn reach(&self, at: NodeId) -> Option<Reached> {
        self.near[at.index()]
    }

    /// The same of a point that alternates: what direct voltage is told
    /// against, or is filtered to, does not.
    pub fn drives(&self, at: NodeId) -> Option<Reached> {
        self.reach(at).filter(|_| !self.quiet[at.index()])
    }

    /// The terminal of a source that is at a point.
    pub fn terminal(&self, source: usize, at: NodeId) -> Option<usize> {
        self.all[source].terminals.iter().position(|terminal| terminal.at == at)
    }

    /// Whether what direct voltage is told against, or is filtered to, is here.
    pub fn is_quiet(&self, at: NodeId) -> bool {
        self.quiet[at.index()]
    }

    /// Whether a point is chassis, B- or A-.
    pub fn is_return(&self, at: NodeId) -> bool {
        self.returns[at.index()]
    }

    /// Every point that alternates with a source.
    pub fn points(&self, source: usize) -> impl Iterator<Item = NodeId> {
        let near = self.near.iter().enumerate();
        near.filter_map(move |(index, near)| {
            let near = near.filter(|n| n.source == source)?;
            (!self.quiet[index]).then_some(near.at)
        })
    }

    /// The source as a point sees it against one of the source's terminals.
    pub fn thevenin(&self, reached: Reached, back: usize) -> Thevenin {
        let source = &self.all[reached.source];
        let volts = source.volts(reached.terminal, back);
        let ohms = source.ohms(reached.terminal, back);
        let own = Thevenin { volts, open_volts: volts, ohms };
        let (near, far) = (source.terminals[reached.terminal].at, source.terminals[back].at);
        if near == reached.at {
            return own;
        }
        // Lamps, heater sections and resistors between the terminal and the
        // rectifier divide the voltage with what goes on to the other side.
        let share = divided(&self.net, near, far, reached.at).unwrap_or(1.0);
        let open = divided(&self.bare, near, far, reached.at).unwrap_or(1.0);
        let path = behind(&self.net, near, far, reached.at).unwrap_or(reached.ohms);
        Thevenin { volts: volts * share, open_volts: volts * open, ohms: ohms + path }
    }
}

/// The part of a volt between two nodes that a third sees against the far one,
/// with nothing taken.
fn divided(net: &Netlist, near: NodeId, far: NodeId, at: NodeId) -> Option<f64> {
    let mut net = net.clone();
    net.source("alternating", near, far, 1.0).ok()?;
    let solution = solve(&net, &Options::default()).ok()?;
    if solution.floating.contains(&at) && !solution.floating.contains(&far) {
        return None;
    }
    let part = solution.between(at, far);
    (0.01..=1.0).contains(&part).then_some(part)
}

/// Ohms that a node sees with the source between two others at rest.
fn behind(net: &Netlist, near: NodeId, far: NodeId, at: NodeId) -> Option<f64> {
    let mut net = net.clone();
    net.source("alternating", near, far, 0.0).ok()?;
    Ohmmeter::new(&net, SourcesAs::Wire).ok()?.read(at, far)
}

/// The points that direct voltage is told against.
fn returns(wiring: &Wiring, side: &Model) -> Vec<bool> {
    let mut returns = vec![false; side.net.node_count()];
    returns[NodeId::GROUND.index()] = side.reference.is_some();
    for node in ["chassis", "B-", "A-"].iter().filter_map(|name| wiring.named(name)) {
        returns[side.node(node).index()] = true;
    }
    returns
}

/// Those points, and what large capacitors tie to them.
fn quiet(
    sheet: &Sheet,
    wiring: &Wiring,
    side: &Model,
    (sources, returns): (&[Source], &[bool]),
) -> Vec<bool> {
    let mut quiet = returns.to_vec();
    // An end of a winding alternates, whatever capacitors lead from it.
    let ends: Vec<NodeId> = sources
        .iter()
        .flat_map(|source| source.terminals.iter().filter(|t| !t.is_tap).map(|t| t.at))
        .filter(|at| !quiet[at.index()])
        .collect();
    let pairs: Vec<(usize, usize)> = sheet
        .parts
        .iter()
        .filter(|part| part.capacitance.map_or(0.0, Capacitance::farads) >= LEAST_FARADS)
        .filter_map(|part| wiring.leads(part))
        .map(|(a, b)| (side.node(a), side.node(b)))
        .filter(|(a, b)| !ends.contains(a) && !ends.contains(b))
        .map(|(a, b)| (a.index(), b.index()))
        .collect();
    loop {
        let mut more = false;
        for (a, b) in &pairs {
            if quiet[*a] != quiet[*b] {
                (quiet[*a], quiet[*b], more) = (true, true, true);
            }
        }
        if !more {
            return quiet;
        }
    }
}

/// A distance that can be ordered; distances are never NaN.
#[derive(PartialEq)]
struct Distance(f64);
impl Eq for Distance {}
impl PartialOrd for Distance {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Distance {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// The nearest terminal of every node through resistances, none of them beyond
/// a quiet point.
fn nearest(net: &Netlist, sources: &[Source], quiet: &[bool]) -> Vec<Option<Reached>> {
    let mut links: Vec<Vec<(NodeId, f64)>> = vec![Vec::new(); net.node_count()];
    for (_, element) in net.elements() {
        if let Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } = *element {
            links[a.index()].push((b, ohms));
            links[b.index()].push((a, ohms));
        }
    }
    let mut near: Vec<Option<Reached>> = vec![None; net.node_count()];
    let mut open = BinaryHeap::new();
    for (source, of) in sources.iter().enumerate() {
        for (terminal, point) in of.terminals.iter().enumerate() {
            open.push(Reverse((Distance(0.0), point.at, source, terminal)));
        }
    }
    while let Some(Reverse((Distance(ohms), at, source, terminal))) = open.pop() {
        if near[at.index()].is_some() || ohms > FAR_OHMS {
            continue;
        }
        near[at.index()] = Some(Reached { source, terminal, ohms, at });
        if quiet[at.index()] {
            continue;
        }
        for (other, more) in &links[at.index()] {
            if near[other.index()].is_none() && !quiet[other.index()] {
                open.push(Reverse((Distance(ohms + more), *other, source, terminal)));
            }
        }
    }
    near
}
