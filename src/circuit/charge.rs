//! The highest voltage that a set without load puts across each capacitor.
//!
//! With the tubes cold only resistors carry current. Each of them may be open:
//! a bleeder, a field coil, a leg of a divider, the plug of a speaker, one at a
//! time and together. The worst case leaves one path to each lead, through which
//! no current flows, so the lead stands at the full voltage of the supply point
//! that the path comes from, whatever its ohms. A capacitor sees the difference
//! of two supply points where two paths exist that share no node.
//!
//! Two things are never taken as open: a cathode resistor that lies across its
//! bypass capacitor, and what joins the return of the supply to the common of
//! the loads (back bias, a field or choke in the negative lead).
//!
//! ```
//! use firstglow::circuit::charge::Charging;
//! // 300 V at node 1 against node 0; a dropper to a screen, node 2, and the
//! // lower leg of its divider.
//! let mut net = Charging::new(3);
//! net.supply(1, 0, 300.0);
//! net.resistor(1, 2, 1e6);
//! net.resistor(2, 0, 100e3);
//! let paths = net.find(Some(0));
//! assert_eq!(paths.across(2, 0, None).unwrap().volts, 300.0);
//! ```
//!
//! Limits: supplies that no resistor ties to each other may add. Where more
//! than two supply points reach a capacitor, and for cathode and back-bias
//! resistors, the figure is a bound from above.

mod blocks;
mod graph;
mod levels;
#[cfg(test)]
mod tests;

use blocks::Blocks;
use graph::Graph;
use levels::{Level, Levels};

/// The most ohms between a supply's return and the common of the loads that
/// count as in series with the load: field coils reach 2.5 kΩ, bias resistors
/// less. Source: common practice, no source.
const MOST_SERIES_OHMS: f64 = 5e3;

/// Resistors and supplies between numbered nodes.
#[derive(Debug, Clone)]
pub struct Charging {
    nodes: usize,
    resistors: Vec<(usize, usize, f64)>,
    supplies: Vec<(usize, usize, f64)>,
}

/// What charges a capacitor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// The most volts, with what is in series with the load in its place.
    pub volts: f64,
    /// The most volts if that opens, too.
    pub opened: f64,
    /// Ohms in series with the load that lie across it, where any do.
    pub held_by: Option<f64>,
}

impl Charging {
    /// A network of so many nodes.
    pub const fn new(nodes: usize) -> Self {
        Self { nodes, resistors: Vec::new(), supplies: Vec::new() }
    }

    /// Adds what conducts both ways: resistor, coil, winding; 0 Ω joins.
    pub fn resistor(&mut self, a: usize, b: usize, ohms: f64) {
        if a != b && ohms >= 0.0 && ohms.is_finite() {
            self.resistors.push((a, b, ohms));
        }
    }

    /// Adds a supply or a battery by its volts without load.
    pub fn supply(&mut self, plus: usize, minus: usize, volts: f64) {
        if volts.is_finite() {
            self.supplies.push((plus, minus, volts));
        }
    }

    /// Finds every path; the loads return to `common`.
    pub fn find(&self, common: Option<usize>) -> Paths {
        let graph = Graph::of(self.nodes, &self.resistors);
        let mut levels = Levels::of(&graph, &self.supplies);
        let series = common.and_then(|common| Series::find(&graph, &mut levels, common));
        let blocks = Blocks::of(&graph, &levels);
        let pruned = graph.pruned(|node| levels.of_node[node].is_some());
        let mut paths = Paths { graph, levels, blocks, pruned, common, series };
        let volts = paths.series.as_ref().map(|series| paths.series_volts(series));
        if let (Some(series), Some(volts)) = (&mut paths.series, volts) {
            series.volts = volts;
        }
        paths
    }
}

/// Every way in which supply points charge the nodes of a network.
#[derive(Debug, Clone)]
pub struct Paths {
    graph: Graph,
    levels: Levels,
    blocks: Blocks,
    /// The way out of a node that is a dead end.
    pruned: Vec<Option<(usize, f64)>>,
    common: Option<usize>,
    series: Option<Series>,
}

/// What joins the return of a supply to the common of the loads.
#[derive(Debug, Clone)]
struct Series {
    /// Its nodes, the return last.
    nodes: Vec<usize>,
    ohms: f64,
    /// The most volts across it without load.
    volts: f64,
}

impl Series {
    /// The way from the common to the nearest return; its nodes become points
    /// of the supply.
    fn find(graph: &Graph, levels: &mut Levels, common: usize) -> Option<Self> {
        let common = graph.at(common);
        if levels.of_node[common].is_some() {
            return None;
        }
        let ends = |node: usize| levels.of_node[node].map(|_| levels.is_low(node));
        let (nodes, ohms) = graph.nearest(common, MOST_SERIES_OHMS, ends)?;
        let (back, inner) = nodes.split_last()?;
        let level = levels.of_node[*back]?;
        // A node that another supply point charges past the common is no part
        // of the negative lead.
        let others = |node: usize| {
            node != common
                && graph.reaches(node, &nodes, |other| {
                    levels.of_node[other].is_some_and(|l| l.differs(level))
                })
        };
        if inner.iter().any(|node| others(*node)) {
            return None;
        }
        for node in inner {
            levels.of_node[*node] = Some(level);
        }
        Some(Self { nodes, ohms, volts: 0.0 })
    }

    /// Whether both leads of a capacitor stand at nodes of the negative lead or
    /// behind them.
    fn beside(&self, p: usize, n: usize, blocks: &Blocks) -> bool {
        [p, n]
            .iter()
            .all(|lead| self.nodes.iter().any(|node| node == lead || blocks.meets(*lead, *node)))
    }
}

impl Paths {
    /// The most volts across a capacitor between two nodes; `None` where no
    /// supply reaches one of them, so that its volts are unknown. A resistor
    /// from the lead that is a `cathode` to the common is in series with the load.
    pub fn across(&self, first: usize, second: usize, cathode: Option<usize>) -> Option<Charge> {
        let (p, n) = (self.graph.at(first), self.graph.at(second));
        if p == n {
            return Some(Charge { volts: 0.0, opened: 0.0, held_by: None });
        }
        let (of_p, of_n) = (self.blocks.reach(p)?, self.blocks.reach(n)?);
        // One node that both leads hang on charges them alike.
        let apart = self.blocks.top(p) != self.blocks.top(n);
        let free = if apart { self.levels.widest(of_p, of_n) } else { 0.0 };
        let beside = self.series.iter().filter(|s| s.beside(p, n, &self.blocks));
        let lead = beside.map(|s| s.volts).fold(0.0, f64::max);
        let volts = free.max(lead);
        if let Some(held_by) = self.in_series(p, n) {
            let opened = self.levels.widest_of_all();
            return Some(Charge { volts, opened, held_by: Some(held_by) });
        }
        let cathode = cathode.map(|node| self.graph.at(node)).filter(|k| !self.is_return(*k));
        let cathode = cathode.and_then(|k| match (k == p, k == n) {
            (true, false) if self.is_return(n) => Some((p, n)),
            (false, true) if self.is_return(p) => Some((n, p)),
            _ => None,
        });
        let own = cathode.and_then(|ends| Some((ends, self.graph.ohms(p, n)?)));
        let Some(((cathode, back), own)) = own else {
            return Some(Charge { volts, opened: volts, held_by: None });
        };
        let path = self.path_ohms(&[cathode], back);
        // What the negative lead drops comes on top, for it may feed the cathode.
        let share = if path.is_finite() { own / (own + path) } else { 0.0 };
        let divided = (free * share + lead).min(volts);
        let opened = self.levels.widest_of_all();
        Some(Charge { volts: divided, opened, held_by: Some(own) })
    }

    /// Whether loads return to a node: the common, or what joins it to the
    /// return of a supply.
    pub fn is_return(&self, node: usize) -> bool {
        let node = self.graph.at(node);
        self.common.is_some_and(|common| self.graph.at(common) == node)
            || self.series.as_ref().is_some_and(|s| s.nodes.contains(&node))
    }

    /// The ohms between two nodes of the negative lead.
    fn in_series(&self, p: usize, n: usize) -> Option<f64> {
        let series = self.series.as_ref()?;
        (series.nodes.contains(&p) && series.nodes.contains(&n)).then_some(series.ohms)
    }

    /// The most volts that bleeders put across the negative lead.
    fn series_volts(&self, series: &Series) -> f64 {
        let Some((back, inner)) = series.nodes.split_last() else { return 0.0 };
        let span = self.levels.widest_of_all();
        let path = self.path_ohms(inner, *back);
        if path > 0.0 { (span * series.ohms / path).min(span) } else { span }
    }

    /// No more than the ohms from some nodes to the supply points that differ
    /// from `other`, with `other` taken away; infinite where no path exists.
    fn path_ohms(&self, from: &[usize], other: usize) -> f64 {
        let level = self.levels.of_node[other];
        let target =
            |node: usize| self.levels.of_node[node].map(|l| level.is_none_or(|o| l.differs(o)));
        self.graph.least_ohms(from, other, &self.pruned, target)
    }
}

/// Whether two potentials are the same but for rounding.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

impl Level {
    fn differs(self, other: Self) -> bool {
        self.group != other.group || !same(self.volts, other.volts)
    }
}
