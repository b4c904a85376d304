//! Node equations of resistances and capacitors on one frequency.
//!
//! Each node has two unknowns, the real and the imaginary part of its volts, so
//! that the real sparse LU serves. Every equation is turned back by an eighth of
//! a cycle, `(g + js)(1 - j) = (g + s) + j(s - g)`: then resistances and
//! capacitors alike stand on the diagonal, and no pivot vanishes.

use crate::circuit::solver::sparse::{Factors, Pattern};
use crate::circuit::union_find::UnionFind;

/// Siemens that stand for a wire: a thousandth of an ohm.
const WIRE: f64 = 1e3;

/// What joins two nodes; node 0 is the reference.
#[derive(Debug, Clone, Copy)]
pub struct Branch {
    a: usize,
    b: usize,
    /// Siemens in phase.
    conductance: f64,
    /// Siemens ahead of it by a quarter of a cycle.
    susceptance: f64,
}

impl Branch {
    /// A resistance in ohms.
    pub fn resistance(a: usize, b: usize, ohms: f64) -> Self {
        Self { a, b, conductance: (1.0 / ohms).min(WIRE), susceptance: 0.0 }
    }

    /// A capacitor, by its siemens at the frequency.
    pub const fn reactance(a: usize, b: usize, siemens: f64) -> Self {
        Self { a, b, conductance: 0.0, susceptance: siemens }
    }
}

/// The factored equations, and which nodes resistances join.
pub struct Network {
    factors: Factors,
    islands: Vec<usize>,
}

impl Network {
    /// Factors the equations of `nodes` nodes. Every node has a leak to the
    /// reference, those of `leaks` one of `leak_ohms`, the rest a far smaller
    /// one. `None` where the equations have no answer.
    pub fn new(nodes: usize, branches: &[Branch], leaks: &[usize], leak_ohms: f64) -> Option<Self> {
        let unknowns = nodes.saturating_sub(1);
        let pattern = pattern(unknowns, branches);
        let mut values = vec![0.0; pattern.len()];
        let leak = 1.0 / leak_ohms;
        let all = (1..nodes).map(|node| (node, leak * 1e-3));
        for (node, siemens) in all.chain(leaks.iter().map(|node| (*node, leak))) {
            stamp(
                &pattern,
                &mut values,
                &Branch { a: node, b: 0, conductance: siemens, susceptance: 0.0 },
            );
        }
        for branch in branches {
            stamp(&pattern, &mut values, branch);
        }
        let mut factors = Factors::new(pattern);
        factors.factor(&values).ok()?;
        Some(Self { factors, islands: islands(nodes, branches) })
    }

    /// Whether resistances join two nodes.
    pub fn joins(&self, a: usize, b: usize) -> bool {
        self.islands[a] == self.islands[b]
    }

    /// The size of every node's volts for currents led into nodes.
    pub fn volts(&mut self, amps: &[(usize, f64)]) -> Vec<f64> {
        let mut unknowns = vec![0.0; 2 * (self.islands.len() - 1)];
        for (node, amps) in amps.iter().filter(|(node, _)| *node > 0) {
            // Turned back like the equations: amps · (1 - j).
            unknowns[2 * (node - 1)] += amps;
            unknowns[2 * (node - 1) + 1] -= amps;
        }
        self.factors.solve(&mut unknowns);
        let sizes = unknowns.chunks_exact(2).map(|pair| pair[0].hypot(pair[1]));
        std::iter::once(0.0).chain(sizes).collect()
    }
}

fn pattern(unknowns: usize, branches: &[Branch]) -> Pattern {
    let mut edges: Vec<(usize, usize)> = (0..unknowns).map(|n| (2 * n, 2 * n + 1)).collect();
    for Branch { a, b, .. } in branches.iter().filter(|branch| branch.a.min(branch.b) > 0) {
        let (a, b) = (2 * (a - 1), 2 * (b - 1));
        edges.extend([(a, b), (a, b + 1), (a + 1, b), (a + 1, b + 1)]);
    }
    Pattern::new(2 * unknowns, &edges)
}

/// Adds a branch to the equations, turned back by an eighth of a cycle.
fn stamp(pattern: &Pattern, values: &mut [f64], branch: &Branch) {
    let Branch { a, b, conductance, susceptance } = *branch;
    let (g, s) = (conductance + susceptance, susceptance - conductance);
    for (row, column, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
        if row == 0 || column == 0 || a == b {
            continue;
        }
        let (row, column) = (2 * (row - 1), 2 * (column - 1));
        for (down, right, value) in [(0, 0, g), (1, 1, g), (0, 1, -s), (1, 0, s)] {
            if let Some(slot) = pattern.slot(row + down, column + right) {
                values[slot] += sign * value;
            }
        }
    }
}

/// The nodes that resistances join, as the least of each island.
fn islands(nodes: usize, branches: &[Branch]) -> Vec<usize> {
    let mut sets = UnionFind::new(nodes);
    for Branch { a, b, .. } in branches.iter().filter(|branch| branch.conductance > 0.0) {
        sets.union(*a, *b);
    }
    sets.into_roots()
}
