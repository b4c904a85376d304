//! Which nodes are unknown: sources and shorts folded, islands found.
//!
//! Purpose: nodes joined by voltage sources or wires of zero ohms keep fixed
//! differences, so each such group has one unknown, or none when it holds
//! ground. What is left is a plain conductance matrix.
//!
//! Example: a 6 V battery from ground to A, and 2 V from A to B, leave no
//! unknown at all.
//!
//! Limits: a loop of sources that does not add up is an error; one that does
//! is accepted, and the current around it is not told.

use super::SolveError;
use crate::circuit::law::Law;
use crate::circuit::netlist::{Element, ElementId, Netlist, NodeId};

/// Volts by which a loop of sources may miss zero (rounding only).
const LOOP_SLACK: f64 = 1e-9;

/// Nodes by their unknowns.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reduction {
    /// The unknown of each node; `None` where ground is in its group.
    pub unknown: Vec<Option<usize>>,
    /// What to add to the unknown (or to zero) for the node's volts.
    pub offset: Vec<f64>,
    /// A node of each unknown's group, for messages.
    pub representative: Vec<NodeId>,
}

impl Reduction {
    /// Folds the sources, each with the volts that `volts_of` tells.
    pub fn new(
        net: &Netlist,
        volts_of: impl Fn(ElementId, f64) -> f64,
    ) -> Result<Self, SolveError> {
        let mut groups = Groups::new(net.node_count());
        for (id, element) in net.elements() {
            if let Some((plus, minus, volts)) = rigid(element) {
                let volts = if matches!(element, Element::VoltageSource { .. }) {
                    volts_of(id, volts)
                } else {
                    0.0
                };
                if !groups.join(plus.index(), minus.index(), volts) {
                    return Err(SolveError::Contradiction {
                        element: net.element_name(id).to_owned(),
                        node: net.node_name(plus).to_owned(),
                    });
                }
            }
        }
        let count = net.node_count();
        let (ground, ground_offset) = groups.find(0);
        let mut number = vec![None; count];
        let mut reduction = Self {
            unknown: vec![None; count],
            offset: vec![0.0; count],
            representative: Vec::new(),
        };
        for node in std::iter::once(NodeId::GROUND).chain(net.nodes()) {
            let (root, offset) = groups.find(node.index());
            if root == ground {
                reduction.offset[node.index()] = offset - ground_offset;
                continue;
            }
            reduction.offset[node.index()] = offset;
            let unknown = *number[root].get_or_insert_with(|| {
                reduction.representative.push(node);
                reduction.representative.len() - 1
            });
            reduction.unknown[node.index()] = Some(unknown);
        }
        Ok(reduction)
    }

    /// How many unknowns there are.
    pub fn len(&self) -> usize {
        self.representative.len()
    }

    /// The unknown of a node; ground's is the one after the last.
    pub fn place(&self, node: NodeId) -> usize {
        self.unknown[node.index()].unwrap_or(self.len())
    }

    /// The volts of all nodes from the unknowns; `scale` shrinks the sources.
    pub fn spread(&self, unknowns: &[f64], scale: f64, volts: &mut Vec<f64>) {
        volts.clear();
        volts.extend(self.unknown.iter().zip(&self.offset).map(|(unknown, offset)| {
            unknown.map_or(0.0, |unknown| unknowns[unknown]) + scale * offset
        }));
    }

    /// Unknowns that no conducting path ties to ground: one anchor for each
    /// island, and all members.
    pub fn islands(&self, net: &Netlist) -> Islands {
        let ground = self.len();
        let mut groups = Groups::new(ground + 1);
        let place = |node: NodeId| self.place(node);
        for (_, element) in net.elements() {
            match *element {
                Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => {
                    groups.join(place(a), place(b), 0.0);
                }
                Element::Device { plate, screen, cathode, law, .. } if law != Law::Off => {
                    groups.join(place(plate), place(cathode), 0.0);
                    if law.electrodes() > 2 {
                        groups.join(place(screen), place(cathode), 0.0);
                    }
                }
                _ => {}
            }
        }
        self.by_grids(net, &mut groups);
        let grounded = groups.find(ground).0;
        let mut islands = Islands { anchors: Vec::new(), island: vec![None; ground] };
        let mut number = vec![None; ground + 1];
        for unknown in 0..ground {
            let root = groups.find(unknown).0;
            if root != grounded {
                let island = *number[root].get_or_insert_with(|| {
                    islands.anchors.push(unknown);
                    islands.anchors.len() - 1
                });
                islands.island[unknown] = Some(island);
            }
        }
        islands
    }
}

impl Reduction {
    /// Cathodes that nothing else ties down are tied by a grid that is: its
    /// current has to go somewhere. A grid without a leak still floats.
    fn by_grids(&self, net: &Netlist, groups: &mut Groups) {
        let ground = self.len();
        let place = |node: NodeId| self.place(node);
        let mut open: Vec<(usize, usize)> = net
            .elements()
            .filter_map(|(_, element)| match *element {
                Element::Device { grid, cathode, law, .. } if law.electrodes() > 1 => {
                    Some((place(grid), place(cathode)))
                }
                _ => None,
            })
            .collect();
        // One tube ties the next; no set has more of them in a row.
        for _ in 0..16 {
            let before = open.len();
            open.retain(|&(grid, cathode)| {
                let grounded = groups.find(ground).0;
                let ties = groups.find(grid).0 == grounded && groups.find(cathode).0 != grounded;
                if ties {
                    groups.join(cathode, ground, 0.0);
                }
                !ties
            });
            if open.len() == before {
                return;
            }
        }
    }
}

/// The parts of the circuit that float.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Islands {
    /// One unknown of each island.
    pub anchors: Vec<usize>,
    /// The island of each unknown; `None` where ground is reached.
    pub island: Vec<Option<usize>>,
}

/// The ends and volts of an element that fixes a difference.
pub(super) fn rigid(element: &Element) -> Option<(NodeId, NodeId, f64)> {
    match *element {
        Element::VoltageSource { plus, minus, volts } => Some((plus, minus, volts)),
        Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } if ohms <= 0.0 => {
            Some((a, b, 0.0))
        }
        _ => None,
    }
}

/// Union-find with offsets: `value(node) = value(root) + offset`.
pub(super) struct Groups {
    parent: Vec<usize>,
    offset: Vec<f64>,
    size: Vec<usize>,
}

impl Groups {
    pub fn new(count: usize) -> Self {
        Self { parent: (0..count).collect(), offset: vec![0.0; count], size: vec![1; count] }
    }

    pub fn find(&mut self, node: usize) -> (usize, f64) {
        let mut root = node;
        let mut total = 0.0;
        while self.parent[root] != root {
            total += self.offset[root];
            root = self.parent[root];
        }
        let (mut at, mut left) = (node, total);
        while self.parent[at] != root && at != root {
            let (next, step) = (self.parent[at], self.offset[at]);
            self.parent[at] = root;
            self.offset[at] = left;
            left -= step;
            at = next;
        }
        (root, total)
    }

    /// Joins so that `value(a) - value(b) = volts`; false when they already
    /// differ by something else.
    pub fn join(&mut self, a: usize, b: usize, volts: f64) -> bool {
        let (root_a, offset_a) = self.find(a);
        let (root_b, offset_b) = self.find(b);
        // value(root_a) - value(root_b)
        let between = volts - offset_a + offset_b;
        if root_a == root_b {
            return between.abs() <= LOOP_SLACK * (1.0 + volts.abs());
        }
        let (child, root, offset) = if self.size[root_a] <= self.size[root_b] {
            (root_a, root_b, between)
        } else {
            (root_b, root_a, -between)
        };
        self.parent[child] = root;
        self.offset[child] = offset;
        self.size[root] += self.size[child];
        true
    }
}
