//! Resistors as a graph: parallel ones are one, 0 Ω joins its ends.

use rustc_hash::{FxHashMap, FxHashSet};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The most steps that a path's ohms are followed; what is left out makes the
/// bound lower.
const MOST_STEPS: usize = 24;
/// The most nodes of one step.
const MOST_NODES: usize = 256;

/// Nodes and what joins them.
#[derive(Debug, Clone)]
pub(super) struct Graph {
    root: Vec<usize>,
    /// Neighbors with siemens, each once.
    next: Vec<Vec<(usize, f64)>>,
}

impl Graph {
    pub fn of(nodes: usize, resistors: &[(usize, usize, f64)]) -> Self {
        let mut root: Vec<usize> = (0..nodes).collect();
        for (a, b, ohms) in resistors {
            if *ohms <= 0.0 {
                let (a, b) = (top(&root, *a), top(&root, *b));
                root[a.max(b)] = a.min(b);
            }
        }
        let root: Vec<usize> = (0..nodes).map(|node| top(&root, node)).collect();
        let mut siemens: FxHashMap<(usize, usize), f64> = FxHashMap::default();
        let mut order = Vec::new();
        for (a, b, ohms) in resistors {
            let (a, b) = (root[*a], root[*b]);
            if a != b && *ohms > 0.0 {
                let pair = (a.min(b), a.max(b));
                let of_pair = siemens.entry(pair).or_insert_with(|| {
                    order.push(pair);
                    0.0
                });
                *of_pair += 1.0 / ohms;
            }
        }
        let mut next: Vec<Vec<(usize, f64)>> = vec![Vec::new(); nodes];
        for (a, b) in order {
            let g = siemens[&(a, b)];
            next[a].push((b, g));
            next[b].push((a, g));
        }
        Self { root, next }
    }

    pub fn count(&self) -> usize {
        self.root.len()
    }

    /// The node that stands for all that 0 Ω joins.
    pub fn at(&self, node: usize) -> usize {
        self.root[node]
    }

    pub fn around(&self, node: usize) -> &[(usize, f64)] {
        &self.next[node]
    }

    /// Ohms of what lies between two nodes and nowhere else.
    pub fn ohms(&self, a: usize, b: usize) -> Option<f64> {
        self.next[a].iter().find(|(other, _)| *other == b).map(|(_, g)| 1.0 / g)
    }

    /// The nearest end that is wanted, by ohms, within `most`: the nodes on the
    /// way, the wanted one last. `ends` is `None` where a way goes on, else
    /// whether that end is wanted.
    pub fn nearest(
        &self,
        from: usize,
        most: f64,
        ends: impl Fn(usize) -> Option<bool>,
    ) -> Option<(Vec<usize>, f64)> {
        let mut least: FxHashMap<usize, (f64, Option<usize>)> = FxHashMap::default();
        least.insert(from, (0.0, None));
        // Positive floats order as their bits do.
        let mut open = BinaryHeap::from([Reverse((0.0_f64.to_bits(), from))]);
        while let Some(Reverse((bits, node))) = open.pop() {
            let ohms = f64::from_bits(bits);
            if least[&node].0 < ohms {
                continue;
            }
            let end = ends(node);
            if end == Some(true) {
                let mut way = vec![node];
                while let Some(before) = least[way.last()?].1 {
                    way.push(before);
                }
                way.reverse();
                return Some((way, ohms));
            }
            if end.is_some() {
                continue;
            }
            for (other, g) in &self.next[node] {
                let whole = ohms + 1.0 / g;
                if whole <= most && least.get(other).is_none_or(|(known, _)| whole < *known) {
                    least.insert(*other, (whole, Some(node)));
                    open.push(Reverse((whole.to_bits(), *other)));
                }
            }
        }
        None
    }

    /// Whether a node reaches a wanted one past some others.
    pub fn reaches(&self, from: usize, past: &[usize], wanted: impl Fn(usize) -> bool) -> bool {
        let mut seen: FxHashSet<usize> = past.iter().copied().collect();
        let mut open = vec![from];
        while let Some(node) = open.pop() {
            for (other, _) in &self.next[node] {
                if seen.insert(*other) {
                    if wanted(*other) {
                        return true;
                    }
                    open.push(*other);
                }
            }
        }
        false
    }

    /// Takes off dead ends one after the other; each is told the way out.
    pub fn pruned(&self, keeps: impl Fn(usize) -> bool) -> Vec<Option<(usize, f64)>> {
        let mut left: Vec<usize> = self.next.iter().map(Vec::len).collect();
        let mut out: Vec<Option<(usize, f64)>> = vec![None; self.count()];
        let mut open: Vec<usize> =
            (0..self.count()).filter(|node| left[*node] == 1 && !keeps(*node)).collect();
        while let Some(node) = open.pop() {
            let way =
                self.next[node].iter().find(|(other, _)| out[*other].is_none_or(|o| o.0 != node));
            let Some(way) = way.copied().filter(|_| left[node] == 1) else { continue };
            out[node] = Some(way);
            left[node] = 0;
            let other = way.0;
            left[other] = left[other].saturating_sub(1);
            if left[other] == 1 && !keeps(other) {
                open.push(other);
            }
        }
        out
    }

    /// No more than the ohms from `from` to the nodes that `target` wants, with
    /// `without` taken away: the sum over steps outwards of what crosses each.
    /// `target` is `None` for a node that lets through, `Some(false)` for one
    /// that does not. Source: the Nash-Williams inequality, own arithmetic.
    pub fn least_ohms(
        &self,
        from: &[usize],
        without: usize,
        pruned: &[Option<(usize, f64)>],
        target: impl Fn(usize) -> Option<bool>,
    ) -> f64 {
        let mut seen: FxHashSet<usize> = from.iter().copied().collect();
        seen.insert(without);
        let mut edge: Vec<usize> = from.iter().copied().filter(|node| *node != without).collect();
        let mut sum = 0.0;
        for _ in 0..MOST_STEPS {
            let (mut siemens, mut found) = (0.0, false);
            let mut beyond: Vec<usize> = Vec::new();
            for node in &edge {
                let out = pruned[*node];
                let ways = out.as_ref().map_or(self.next[*node].as_slice(), std::slice::from_ref);
                for (other, g) in ways {
                    // What hangs below a node that is left leads nowhere.
                    let dead = out.is_none() && pruned[*other].is_some();
                    if dead || seen.contains(other) {
                        continue;
                    }
                    match target(*other) {
                        Some(false) => {}
                        Some(true) => {
                            siemens += g;
                            found = true;
                        }
                        None => {
                            siemens += g;
                            beyond.push(*other);
                        }
                    }
                }
            }
            if siemens <= 0.0 {
                return f64::INFINITY;
            }
            sum += 1.0 / siemens;
            if found || beyond.len() > MOST_NODES {
                return sum;
            }
            seen.extend(beyond.iter().copied());
            beyond.sort_unstable();
            beyond.dedup();
            edge = beyond;
        }
        sum
    }
}

/// The first of a joined set.
fn top(root: &[usize], mut node: usize) -> usize {
    while root[node] != node {
        node = root[node];
    }
    node
}
