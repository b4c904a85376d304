//! The points that supplies and batteries hold, by their volts without load.

use super::graph::Graph;
use super::same;

/// A point that a supply holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Level {
    /// Which of the supplies that share points.
    pub group: usize,
    /// Its volts within them.
    pub volts: f64,
}

/// The volts that a node may be charged to, in one group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    pub group: usize,
    pub least: f64,
    pub most: f64,
}

/// The supply points of a network.
#[derive(Debug, Clone)]
pub(super) struct Levels {
    /// By node.
    pub of_node: Vec<Option<Level>>,
    /// The least and most of each group.
    groups: Vec<(f64, f64)>,
    low: Vec<bool>,
}

impl Levels {
    /// Follows supplies from point to point; one that closes a loop adds
    /// nothing.
    pub fn of(graph: &Graph, supplies: &[(usize, usize, f64)]) -> Self {
        let count = graph.count();
        let mut next: Vec<Vec<(usize, f64)>> = vec![Vec::new(); count];
        let mut low = vec![false; count];
        for (plus, minus, volts) in supplies {
            let (plus, minus) = (graph.at(*plus), graph.at(*minus));
            if plus != minus {
                next[minus].push((plus, *volts));
                next[plus].push((minus, -volts));
                low[if *volts < 0.0 { plus } else { minus }] = true;
            }
        }
        let mut levels = Self { of_node: vec![None; count], groups: Vec::new(), low };
        for first in (0..count).filter(|node| !next[*node].is_empty()) {
            if levels.of_node[first].is_some() {
                continue;
            }
            let group = levels.groups.len();
            let mut ends = (0.0_f64, 0.0_f64);
            levels.of_node[first] = Some(Level { group, volts: 0.0 });
            let mut open = vec![(first, 0.0)];
            while let Some((node, volts)) = open.pop() {
                ends = (ends.0.min(volts), ends.1.max(volts));
                for (other, more) in &next[node] {
                    if levels.of_node[*other].is_none() {
                        levels.of_node[*other] = Some(Level { group, volts: volts + more });
                        open.push((*other, volts + more));
                    }
                }
            }
            levels.groups.push(ends);
        }
        levels
    }

    /// Whether a node is the negative end of a supply.
    pub fn is_low(&self, node: usize) -> bool {
        self.low[node]
    }

    /// The widest difference in any group, and of groups that may add.
    pub fn widest_of_all(&self) -> f64 {
        self.groups.iter().map(|(least, most)| most - least).sum()
    }

    /// The widest difference between a level that one lead reaches and one
    /// that the other does.
    pub fn widest(&self, first: &[Range], second: &[Range]) -> f64 {
        let mut widest = 0.0_f64;
        for a in first {
            for b in second {
                let apart = if a.group == b.group {
                    (a.most - b.least).max(b.most - a.least)
                } else {
                    let span = |group: usize| self.groups[group].1 - self.groups[group].0;
                    span(a.group) + span(b.group)
                };
                widest = widest.max(apart);
            }
        }
        widest
    }
}

/// Widens the ranges by a level.
pub(super) fn widen(ranges: &mut Vec<Range>, level: Level) {
    match ranges.iter_mut().find(|r| r.group == level.group) {
        Some(range) => {
            range.least = range.least.min(level.volts);
            range.most = range.most.max(level.volts);
            if same(range.least, range.most) {
                range.most = range.least;
            }
        }
        None => ranges.push(Range { group: level.group, least: level.volts, most: level.volts }),
    }
}
