//! The unpowered set as resistors between unknowns, for the discharge.
//!
//! Purpose: the same folding of wires and sources as the solver's, without its
//! equations, and which unknowns resistors join.
//!
//! Example: see [`crate::circuit::discharge::discharge`].
//!
//! Limits: tubes and diodes are left out.

use super::analysis::quiet;
use super::reduce::{Groups, Reduction};
use super::{SolveError, SourcesAs};
use crate::circuit::netlist::{Element, Netlist, NodeId};

/// Resistors between unknowns; ground is the place after the last unknown.
pub struct Joined {
    reduction: Reduction,
    /// Ends and siemens.
    pub resistors: Vec<(usize, usize, f64)>,
}

/// Unknowns that resistors join, numbered; ground's pool is the one after the
/// last.
pub struct Pools {
    /// The pool of each unknown, and of ground.
    pub of: Vec<usize>,
    /// An unknown of each pool.
    pub members: Vec<usize>,
    /// How many pools there are.
    pub count: usize,
}

impl Joined {
    /// Folds the wires, and the sources as told.
    pub fn new(net: &Netlist, sources: SourcesAs) -> Result<Self, SolveError> {
        let quiet = quiet(net, sources);
        let reduction = Reduction::new(&quiet, |_, volts| volts)?;
        let place = |node: NodeId| reduction.place(node);
        let resistors = quiet
            .elements()
            .filter_map(|(_, element)| match *element {
                Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } if ohms > 0.0 => {
                    Some((place(a), place(b), 1.0 / ohms))
                }
                _ => None,
            })
            .filter(|(a, b, _)| a != b)
            .collect();
        Ok(Self { reduction, resistors })
    }

    /// How many unknowns there are.
    pub fn len(&self) -> usize {
        self.reduction.len()
    }

    /// The place of a node.
    pub fn place(&self, node: NodeId) -> usize {
        self.reduction.place(node)
    }

    /// A node of each unknown.
    pub fn representatives(&self) -> impl Iterator<Item = NodeId> {
        self.reduction.representative.iter().copied()
    }

    /// One unknown of each island that `links` do not tie to ground.
    pub fn loose(&self, links: impl Iterator<Item = (usize, usize)>) -> Vec<usize> {
        loose_of(self.len(), links)
    }

    /// Which unknowns end at one voltage.
    pub fn pools(&self) -> Pools {
        let ground = self.len();
        let mut groups = Groups::new(ground + 1);
        for &(a, b, _) in &self.resistors {
            groups.join(a, b, 0.0);
        }
        let grounded = groups.find(ground).0;
        let mut number = vec![None; ground + 1];
        let mut members = Vec::new();
        let pools: Vec<Option<usize>> = (0..=ground)
            .map(|unknown| {
                let root = groups.find(unknown).0;
                (root != grounded).then(|| {
                    *number[root].get_or_insert_with(|| {
                        members.push(unknown);
                        members.len() - 1
                    })
                })
            })
            .collect();
        let count = members.len();
        Pools { of: pools.into_iter().map(|pool| pool.unwrap_or(count)).collect(), count, members }
    }

    /// The error that names an unknown's node.
    pub fn undefined(&self, net: &Netlist, row: usize) -> SolveError {
        SolveError::Undefined { node: net.node_name(self.reduction.representative[row]).to_owned() }
    }
}

/// One member of each group of `0..count` that `links` do not tie to ground,
/// which is `count` itself.
pub fn loose_of(count: usize, links: impl Iterator<Item = (usize, usize)>) -> Vec<usize> {
    let mut groups = Groups::new(count + 1);
    for (a, b) in links {
        groups.join(a, b, 0.0);
    }
    let grounded = groups.find(count).0;
    let mut seen = vec![false; count + 1];
    (0..count)
        .filter(|&member| {
            let root = groups.find(member).0;
            root != grounded && !std::mem::replace(&mut seen[root], true)
        })
        .collect()
}
