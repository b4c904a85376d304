//! Which nodes every path to a lead must pass: the articulation points of the
//! network, seen from the supply points.

use super::graph::Graph;
use super::levels::{Levels, Range, widen};

/// What reaches each node.
#[derive(Debug, Clone)]
pub(super) struct Blocks {
    /// The first node after the supplies that every path to a node passes; the
    /// node itself where two paths share none. `None` where nothing reaches it.
    tops: Vec<Option<usize>>,
    /// The part of the network, less its supply points, that a node is in.
    island: Vec<Option<usize>>,
    /// The levels that meet each island.
    ranges: Vec<Vec<Range>>,
    /// The levels of supply points themselves.
    own: Vec<Vec<Range>>,
    /// The supply points that meet each island.
    met: Vec<Vec<usize>>,
}

impl Blocks {
    pub fn of(graph: &Graph, levels: &Levels) -> Self {
        let (island, ranges, met) = islands(graph, levels);
        let own = levels
            .of_node
            .iter()
            .map(|level| {
                let mut own = Vec::new();
                if let Some(level) = level {
                    widen(&mut own, *level);
                }
                own
            })
            .collect();
        Self { tops: tops(graph, levels), island, ranges, own, met }
    }

    /// The node that all paths to a node begin with.
    pub fn top(&self, node: usize) -> Option<usize> {
        self.tops[node]
    }

    /// The levels that reach a node; `None` where none does.
    pub fn reach(&self, node: usize) -> Option<&[Range]> {
        self.tops[node]?;
        Some(self.island[node].map_or(&self.own[node], |island| &self.ranges[island]))
    }

    /// Whether a node stands behind a supply point.
    pub fn meets(&self, node: usize, point: usize) -> bool {
        self.island[node].is_some_and(|island| self.met[island].contains(&point))
    }
}

type Islands = (Vec<Option<usize>>, Vec<Vec<Range>>, Vec<Vec<usize>>);

/// The network without its supply points, in connected pieces.
fn islands(graph: &Graph, levels: &Levels) -> Islands {
    let mut island: Vec<Option<usize>> = vec![None; graph.count()];
    let (mut ranges, mut met) = (Vec::new(), Vec::new());
    for first in 0..graph.count() {
        if island[first].is_some() || levels.of_node[first].is_some() {
            continue;
        }
        let at = ranges.len();
        let (mut around, mut points) = (Vec::new(), Vec::new());
        island[first] = Some(at);
        let mut open = vec![first];
        while let Some(node) = open.pop() {
            for (other, _) in graph.around(node) {
                if let Some(level) = levels.of_node[*other] {
                    widen(&mut around, level);
                    if !points.contains(other) {
                        points.push(*other);
                    }
                } else if island[*other].is_none() {
                    island[*other] = Some(at);
                    open.push(*other);
                }
            }
        }
        ranges.push(around);
        met.push(points);
    }
    (island, ranges, met)
}

/// A node on the way down.
struct Visit {
    node: usize,
    from: Option<usize>,
    next: usize,
}

/// Depth first from all supply points at once, as if one node fed them. What
/// heads the block of a node is passed by every path to it.
fn tops(graph: &Graph, levels: &Levels) -> Vec<Option<usize>> {
    let count = graph.count();
    let fed = |node: usize| levels.of_node[node].is_some();
    // Discovered at; 0 is the node that feeds the supply points.
    let mut found: Vec<usize> = vec![usize::MAX; count];
    let mut low: Vec<usize> = vec![usize::MAX; count];
    let mut parent: Vec<Option<usize>> = vec![None; count];
    let mut order = Vec::new();
    let mut clock = 0;
    let mut stack: Vec<Visit> = Vec::new();
    for first in (0..count).filter(|node| fed(*node)) {
        if found[first] != usize::MAX {
            continue;
        }
        stack.push(Visit { node: first, from: None, next: 0 });
        while let Some(visit) = stack.last_mut() {
            let node = visit.node;
            if visit.next == 0 {
                clock += 1;
                found[node] = clock;
                // A supply point is joined to what feeds them all.
                low[node] = if fed(node) { 0 } else { clock };
                parent[node] = visit.from;
                order.push(node);
            }
            let around = graph.around(node);
            let mut down = None;
            while let Some((other, _)) = around.get(visit.next) {
                visit.next += 1;
                if found[*other] == usize::MAX {
                    down = Some(*other);
                    break;
                }
                if Some(*other) != visit.from {
                    low[node] = low[node].min(found[*other]);
                }
            }
            // A node without neighbors is not opened twice.
            visit.next = visit.next.max(1);
            if let Some(other) = down {
                stack.push(Visit { node: other, from: Some(node), next: 0 });
                continue;
            }
            let done = stack.pop();
            if let Some(above) = done.and_then(|d| d.from) {
                low[above] = low[above].min(low[node]);
            }
        }
    }
    heads(&order, &parent, &found, &low)
}

/// The top of each node, in the order they were found.
fn heads(
    order: &[usize],
    parent: &[Option<usize>],
    found: &[usize],
    low: &[usize],
) -> Vec<Option<usize>> {
    let mut head: Vec<Option<usize>> = vec![None; parent.len()];
    let mut tops: Vec<Option<usize>> = vec![None; parent.len()];
    for node in order {
        // What dominates it: `None` is what feeds the supply points.
        head[*node] = match parent[*node] {
            None => None,
            Some(above) if low[*node] >= found[above] => Some(above),
            Some(above) => head[above],
        };
        tops[*node] = match head[*node] {
            None => Some(*node),
            Some(above) => tops[above],
        };
    }
    tops
}
