//! The DC solver: node volts of a netlist, checked by Kirchhoff's sums.
//!
//! Purpose: Newton's method on the node equations. Where it fails from a cold
//! start it is damped, then helped by conductances to ground that are taken
//! away step by step, then by switching the sources on slowly; the solve that
//! counts is always the last, without help.
//!
//! ```
//! use firstglow::circuit::law::{Law, Triode};
//! use firstglow::circuit::netlist::{Netlist, NodeId, Terminals};
//! use firstglow::circuit::solver::{Options, solve};
//!
//! // A voltage amplifier: 250 V, 100 k in the plate, 2.7 k in the cathode.
//! let mut net = Netlist::new();
//! let [supply, plate, cathode] = ["B+", "plate", "cathode"].map(|name| net.node(name));
//! net.source("B", supply, NodeId::GROUND, 250.0)?;
//! net.resistor("Rp", supply, plate, 100e3)?;
//! net.resistor("Rk", cathode, NodeId::GROUND, 2.7e3)?;
//! let law = Law::Triode(Triode { perveance: 0.76e-3, mu: 20.0, offset: 0.69, grid_onset: -0.7 });
//! net.device("V1", Terminals::triode(plate, NodeId::GROUND, cathode), law)?;
//! let solution = solve(&net, &Options::default())?;
//! assert!((3.0..5.0).contains(&solution.volts(cathode)));
//! assert!(solution.kirchhoff.amps < 1e-12);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Limits: nodes that nothing ties to ground are anchored at 0 V, listed in
//! [`Solution::floating`], and everything else is solved all the same. Circuits
//! with more than one stable state give one of them.

mod analysis;
mod joined;
mod lists;
mod newton;
mod order;
mod reduce;
mod regulator;
pub mod sparse;
mod system;

pub use analysis::{Analysis, Ohmmeter, Sensitivity, SourcesAs};
pub(super) use joined::{Joined, loose_of};
pub use regulator::{Lit, RegulatorTube, settle};

use super::netlist::{Element, ElementId, Netlist, NodeId};
use newton::Failure;
use reduce::rigid;
use std::collections::{BTreeMap, BTreeSet};
use system::{Crutch, Sums, System};

/// Why a netlist has no solution.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SolveError {
    /// Sources around a loop disagree.
    #[error(
        "{element}: it holds {node} at another voltage than the sources and wires already do; take one away"
    )]
    Contradiction {
        /// The source or wire that closes the loop.
        element: String,
        /// One of its nodes.
        node: String,
    },
    /// No answer within the iterations allowed.
    #[error("{node}: the voltage does not settle (last {volts:.1} V); look at what joins it")]
    NoConvergence {
        /// The node whose current was furthest from balance.
        node: String,
        /// Its last volts.
        volts: f64,
    },
    /// The equations do not fix a node.
    #[error("{node}: nothing fixes its voltage; look for a missing path")]
    Undefined {
        /// The node.
        node: String,
    },
}

/// How much a solve may do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Most Newton steps of each attempt.
    pub iterations: usize,
    /// Largest last step, in volts and relative, of a settled node. Newton
    /// squares what is left: after a step of 1e-7 hardly 1e-14 remain.
    pub tolerance: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self { iterations: 60, tolerance: 1e-7 }
    }
}

/// What it took.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Plain Newton.
    Newton,
    /// Newton with shortened steps.
    Damped,
    /// Conductances to ground, taken away step by step.
    Gmin,
    /// Sources switched on slowly.
    Sources,
}

/// The worst node by Kirchhoff's current law, summed element by element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kirchhoff {
    /// Amperes that do not balance.
    pub amps: f64,
    /// The same, by the sum of all that pass the node.
    pub relative: f64,
    /// The node; `None` when there was no unknown.
    pub node: Option<NodeId>,
}

/// Node volts and what vouches for them.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    volts: Vec<f64>,
    source_amps: Vec<f64>,
    /// Nodes without a path to ground; their volts are against their own
    /// island's anchor.
    pub floating: Vec<NodeId>,
    /// What is left of Kirchhoff's law.
    pub kirchhoff: Kirchhoff,
    /// Newton steps in all.
    pub iterations: usize,
    /// What it took.
    pub method: Method,
}

impl Solution {
    /// Volts of a node against ground.
    pub fn volts(&self, node: NodeId) -> f64 {
        self.volts[node.index()]
    }

    /// Volts of `a` against `b`.
    pub fn between(&self, a: NodeId, b: NodeId) -> f64 {
        self.volts(a) - self.volts(b)
    }

    /// Volts of all nodes, by [`NodeId::index`].
    pub fn all_volts(&self) -> &[f64] {
        &self.volts
    }

    /// Amperes through an element: from `a` to `b`, out of a voltage source's
    /// plus end, into a device's plate. A capacitor passes none; a wire's
    /// current is told as if it were a source's.
    pub fn amps(&self, net: &Netlist, id: ElementId) -> f64 {
        match *net.element(id) {
            Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } if ohms > 0.0 => {
                self.between(a, b) / ohms
            }
            Element::Resistor { .. } | Element::Coil { .. } | Element::VoltageSource { .. } => {
                self.source_amps[id.index()]
            }
            Element::CurrentSource { amps, .. } => amps,
            Element::Device { .. } => self.electrode_amps(net, id)[0],
            Element::Capacitor { .. } => 0.0,
        }
    }

    /// Amperes into plate, grid and screen of a device; zeros for the rest.
    pub fn electrode_amps(&self, net: &Netlist, id: ElementId) -> [f64; 3] {
        match *net.element(id) {
            Element::Device { plate, grid, screen, cathode, law } => {
                law.flow([plate, grid, screen].map(|node| self.between(node, cathode))).amps
            }
            _ => [0.0; 3],
        }
    }
}

/// Solves a netlist once.
///
/// # Errors
/// See [`SolveError`]; each names the node or the element.
pub fn solve(net: &Netlist, options: &Options) -> Result<Solution, SolveError> {
    Solver::new(net)?.solve(net, options, None)
}

/// A solver that keeps its ordering from solve to solve.
#[derive(Debug, Clone)]
pub struct Solver {
    system: System,
}

impl Solver {
    /// Works out the unknowns and their order.
    ///
    /// # Errors
    /// When sources contradict each other.
    pub fn new(net: &Netlist) -> Result<Self, SolveError> {
        Ok(Self { system: System::new(net)? })
    }

    /// Solves for the netlist's present values, from another solution's volts
    /// if there is one. The netlist may differ in anything; only what keeps
    /// its shape keeps the ordering.
    ///
    /// # Errors
    /// See [`SolveError`].
    pub fn solve(
        &mut self,
        net: &Netlist,
        options: &Options,
        start: Option<&Solution>,
    ) -> Result<Solution, SolveError> {
        self.system.update(net)?;
        let guess = start.map(|solution| self.unknowns_of(&solution.volts));
        let found = newton::run(&mut self.system, guess, options)
            .map_err(|failure| self.explain(net, failure))?;
        let floating = net.nodes().filter(|node| self.island(*node).is_some()).collect();
        Ok(Solution {
            source_amps: source_amps(net, &found.volts),
            volts: found.volts,
            floating,
            kirchhoff: self.worst(&found.sums),
            iterations: found.iterations,
            method: found.method,
        })
    }

    /// The derivatives at a solution: sensitivities and resistances.
    ///
    /// # Errors
    /// When the equations no longer fit the netlist or fix no answer.
    pub fn analyse(
        &mut self,
        net: &Netlist,
        solution: &Solution,
    ) -> Result<Analysis<'_>, SolveError> {
        self.system.update(net)?;
        self.system.conduct(&solution.volts);
        self.system
            .factor(Crutch::NONE)
            .map_err(|row| self.explain(net, Failure::Singular { row }))?;
        Ok(Analysis::new(&mut self.system, solution))
    }

    fn unknowns_of(&self, volts: &[f64]) -> Vec<f64> {
        let reduction = &self.system.reduction;
        let at = |node: &NodeId| {
            let index = node.index();
            volts.get(index).map_or(0.0, |volts| volts - reduction.offset[index])
        };
        reduction.representative.iter().map(at).collect()
    }

    fn island(&self, node: NodeId) -> Option<usize> {
        self.system.reduction.unknown[node.index()]
            .and_then(|unknown| self.system.islands.island[unknown])
    }

    fn worst(&self, sums: &Sums) -> Kirchhoff {
        let mut worst = Kirchhoff { amps: 0.0, relative: 0.0, node: None };
        for (row, (leaving, passing)) in sums.leaving.iter().zip(&sums.passing).enumerate() {
            if leaving.abs() >= worst.amps {
                worst.amps = leaving.abs();
                worst.relative = leaving.abs() / passing.max(f64::MIN_POSITIVE);
                worst.node = Some(self.system.reduction.representative[row]);
            }
        }
        worst
    }

    fn explain(&self, net: &Netlist, failure: Failure) -> SolveError {
        let name = |row: usize| net.node_name(self.system.reduction.representative[row]).to_owned();
        match failure {
            Failure::Singular { row } => SolveError::Undefined { node: name(row) },
            Failure::Unsettled { row, volts } => {
                SolveError::NoConvergence { node: name(row), volts }
            }
        }
    }
}

/// Amperes out of the plus end of each source and wire, by Kirchhoff's law
/// from the leaves of their tree inwards. In a loop of wires one carries none.
fn source_amps(net: &Netlist, volts: &[f64]) -> Vec<f64> {
    let mut leaving = vec![0.0; net.node_count()];
    let mut joins: BTreeMap<usize, Vec<(usize, usize, f64)>> = BTreeMap::new();
    for (id, element) in net.elements() {
        if let Some((plus, minus, _)) = rigid(element) {
            let (plus, minus) = (plus.index(), minus.index());
            joins.entry(plus).or_default().push((id.index(), minus, 1.0));
            joins.entry(minus).or_default().push((id.index(), plus, -1.0));
        }
    }
    // What leaves ground is asked of none: it is the root of its own tree.
    let mut joined = vec![false; net.node_count()];
    joins.keys().filter(|node| **node > 0).for_each(|node| joined[*node] = true);
    let counts = |nodes: &[NodeId]| nodes.iter().any(|node| joined[node.index()]);
    for (_, element) in net.elements().filter(|(_, element)| rigid(element).is_none()) {
        match *element {
            Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } if !counts(&[a, b]) => {}
            Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } => {
                let amps = (volts[a.index()] - volts[b.index()]) / ohms;
                leaving[a.index()] += amps;
                leaving[b.index()] -= amps;
            }
            Element::CurrentSource { from, to, amps } => {
                leaving[from.index()] += amps;
                leaving[to.index()] -= amps;
            }
            Element::Device { plate, grid, screen, cathode, law }
                if counts(&[plate, grid, screen, cathode]) =>
            {
                let base = volts[cathode.index()];
                let flow = law.flow([plate, grid, screen].map(|node| volts[node.index()] - base));
                for (node, amps) in
                    [plate, grid, screen].into_iter().zip(flow.amps).take(law.electrodes())
                {
                    leaving[node.index()] += amps;
                    leaving[cathode.index()] -= amps;
                }
            }
            _ => {}
        }
    }
    walk_joins(&joins, leaving, net.elements().count())
}

/// Sums `leaving` along spanning trees of the joins.
fn walk_joins(
    joins: &BTreeMap<usize, Vec<(usize, usize, f64)>>,
    mut leaving: Vec<f64>,
    elements: usize,
) -> Vec<f64> {
    let mut amps = vec![0.0; elements];
    let mut seen = BTreeSet::new();
    for &root in joins.keys() {
        if !seen.insert(root) {
            continue;
        }
        // Each visited node with the join it was reached by.
        let mut order: Vec<(usize, usize, usize, f64)> = Vec::new();
        let mut stack = vec![root];
        while let Some(node) = stack.pop() {
            for &(element, next, sign) in &joins[&node] {
                if seen.insert(next) {
                    order.push((next, node, element, sign));
                    stack.push(next);
                }
            }
        }
        for &(node, parent, element, sign) in order.iter().rev() {
            // What leaves `node` must come in by the join, from the parent.
            amps[element] = -sign * leaving[node];
            leaving[parent] += leaving[node];
        }
    }
    amps
}
