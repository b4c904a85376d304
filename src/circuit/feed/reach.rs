//! The alternating side: sources, and what reaches them.

use crate::circuit::model::{Model, is_power_transformer, winding_usual};
use crate::circuit::netlist::{Element, Netlist, NodeId};
use crate::circuit::solver::{Ohmmeter, Options, SourcesAs, solve};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::part::{Part, Winding, WindingKind};
use crate::sheet::{Sheet, SupplyKind};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The most ohms between a rectifier and its source; beyond it, what reaches
/// it is no supply.
const FAR_OHMS: f64 = 50e3;
/// Volts taken for the mains where the sheet names none.
const USUAL_MAINS: f64 = 117.0;

/// The line, or a winding of the power transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    ends: [NodeIndex; 2],
    /// Its tap.
    pub tap: Option<NodeIndex>,
    /// Effective volts, end to end.
    volts: f64,
    /// Ohms end to end, with the primary's reflected.
    ohms: f64,
    /// What was taken for want of a figure.
    pub assumed: Vec<String>,
}

impl Source {
    /// The node of its first (`false`) or second end.
    pub fn end(&self, second: bool) -> NodeIndex {
        self.ends[usize::from(second)]
    }
}

/// What a point reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// The source, by its index.
    pub source: usize,
    /// Its first or second end.
    pub end: bool,
    /// Ohms between.
    pub ohms: f64,
    /// The point itself.
    at: NodeId,
}

/// A source as a point sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thevenin {
    /// Effective volts.
    pub volts: f64,
    /// Ohms.
    pub ohms: f64,
}

/// All sources of a set and the netlist between them and the rectifiers.
pub struct Sources {
    /// The sources.
    pub all: Vec<Source>,
    net: Netlist,
    ends: Vec<[NodeId; 2]>,
    /// Ohms to the nearest end of each node, and which end that is.
    near: Vec<Option<(f64, usize, bool)>>,
}

impl Sources {
    /// Finds the sources of a sheet; `side` is its alternating model.
    pub fn of(sheet: &Sheet, wiring: &Wiring, side: &Model) -> Self {
        let mut all = Vec::new();
        let mains = sheet.header.mains.map(crate::trade::quantity::Voltage::to_f64);
        for part in sheet.parts.iter().filter(|p| is_power_transformer(p)) {
            for winding in part.windings.iter().filter(|w| w.kind == WindingKind::Secondary) {
                all.extend(secondary(sheet, wiring, part, winding, mains));
            }
        }
        let on_line = sheet.header.supply != Some(SupplyKind::Transformer) || all.is_empty();
        if on_line
            && let (Some(line), Some(neutral)) = (wiring.named("line"), wiring.named("neutral"))
        {
            let mut assumed = Vec::new();
            if mains.is_none() {
                assumed.push(format!("{USUAL_MAINS} V taken for the mains"));
            }
            all.push(Source {
                ends: [line, neutral],
                tap: None,
                volts: mains.unwrap_or(USUAL_MAINS),
                ohms: 0.0,
                assumed,
            });
        }
        let ends = all
            .iter()
            .map(|s: &Source| [side.node(s.ends[0]), side.node(s.ends[1])])
            .collect::<Vec<_>>();
        let near = nearest(&side.net, &ends);
        Self { all, net: side.net.clone(), ends, near }
    }

    /// The source that a point reaches.
    pub fn reach(&self, at: NodeId) -> Option<Reached> {
        let (ohms, source, end) = self.near[at.index()]?;
        Some(Reached { source, end, ohms, at })
    }

    /// Effective volts of the part of the source that is used.
    pub fn whole(&self, reached: Reached, share: f64) -> f64 {
        self.all[reached.source].volts * share
    }

    /// The source as a point sees it, `share` of it being used.
    pub fn thevenin(&self, reached: Reached, share: f64) -> Thevenin {
        let source = &self.all[reached.source];
        let [first, second] = self.ends[reached.source];
        let (near, far) = if reached.end { (second, first) } else { (first, second) };
        let own = Thevenin { volts: source.volts * share, ohms: source.ohms * share };
        if near == reached.at {
            return own;
        }
        // Lamps and heater sections between the end and the rectifier divide
        // the voltage with the rest of the string.
        let path = Ohmmeter::new(&self.net, SourcesAs::Open)
            .ok()
            .and_then(|mut meter| meter.read(near, reached.at))
            .unwrap_or(0.0);
        let volts = self.open_volts(near, far, reached.at).unwrap_or(1.0) * own.volts;
        Thevenin { volts, ohms: own.ohms + path }
    }

    /// The part of a volt between two ends that a point sees against the far
    /// one, with nothing taken.
    fn open_volts(&self, near: NodeId, far: NodeId, at: NodeId) -> Option<f64> {
        let mut net = self.net.clone();
        net.source("alternating", near, far, 1.0).ok()?;
        let solution = solve(&net, &Options::default()).ok()?;
        let part = solution.between(at, far);
        (0.05..=1.0).contains(&part).then_some(part)
    }
}

/// A winding as a source; `None` where the sheet does not tell its volts.
fn secondary(
    sheet: &Sheet,
    wiring: &Wiring,
    part: &Part,
    winding: &Winding,
    mains: Option<f64>,
) -> Option<Source> {
    let volts = winding.volts.or(sheet.header.secondary)?.to_f64();
    let mut assumed = Vec::new();
    let own = winding.resistance.map_or_else(
        || {
            let usual = winding_usual(part, winding);
            assumed.push(format!(
                "{usual:.0} Ω taken for the high-voltage winding of {}",
                part.designator
            ));
            usual
        },
        crate::trade::quantity::Resistance::to_f64,
    );
    let primary = part.windings.iter().find(|w| w.kind == WindingKind::Primary);
    let primary_volts = primary
        .and_then(|w| w.volts)
        .map(crate::trade::quantity::Voltage::to_f64)
        .or(mains)
        .filter(|v| *v > 0.0)
        .unwrap_or(USUAL_MAINS);
    let primary_ohms = primary.map_or(0.0, |w| {
        w.resistance
            .map_or_else(|| winding_usual(part, w), crate::trade::quantity::Resistance::to_f64)
    });
    let tap = winding.tap.as_ref().and_then(|t| wiring.terminal(part, t));
    // Each half reflects the primary by its own ratio: counted so that half of
    // `ohms` is what one plate sees.
    let turns = volts / primary_volts * if tap.is_some() { 0.5 } else { 1.0 };
    let reflected = primary_ohms * turns * turns * if tap.is_some() { 2.0 } else { 1.0 };
    Some(Source {
        ends: [wiring.terminal(part, &winding.start)?, wiring.terminal(part, &winding.end)?],
        tap,
        volts: mains.map_or(volts, |m| volts * m / primary_volts),
        ohms: own + reflected,
        assumed,
    })
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

/// The nearest source end of every node through resistances.
fn nearest(net: &Netlist, ends: &[[NodeId; 2]]) -> Vec<Option<(f64, usize, bool)>> {
    let mut links: Vec<Vec<(usize, f64)>> = vec![Vec::new(); net.node_count()];
    for (_, element) in net.elements() {
        if let Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } = *element {
            links[a.index()].push((b.index(), ohms));
            links[b.index()].push((a.index(), ohms));
        }
    }
    let mut near: Vec<Option<(f64, usize, bool)>> = vec![None; net.node_count()];
    let mut open = BinaryHeap::new();
    for (source, pair) in ends.iter().enumerate() {
        for (end, node) in [(false, pair[0]), (true, pair[1])] {
            open.push(Reverse((Distance(0.0), node.index(), source, end)));
        }
    }
    while let Some(Reverse((Distance(ohms), node, source, end))) = open.pop() {
        if near[node].is_some() || ohms > FAR_OHMS {
            continue;
        }
        near[node] = Some((ohms, source, end));
        for (other, more) in &links[node] {
            if near[*other].is_none() {
                open.push(Reverse((Distance(ohms + more), *other, source, end)));
            }
        }
    }
    near
}
