//! Small changes about a solution, and the circuit as an ohmmeter sees it.
//!
//! Purpose: how far a node moves when a part drifts (first order, by the
//! adjoint equations: one solve a node, whatever the number of parts), the
//! resistance a node shows, and readings of an unpowered set.
//!
//! ```
//! use firstglow::circuit::netlist::{Netlist, NodeId};
//! use firstglow::circuit::solver::{Ohmmeter, Options, Solver, SourcesAs};
//!
//! let mut net = Netlist::new();
//! let (supply, tap) = (net.node("B+"), net.node("tap"));
//! net.source("B", supply, NodeId::GROUND, 200.0)?;
//! let upper = net.resistor("R1", supply, tap, 100e3)?;
//! net.resistor("R2", tap, NodeId::GROUND, 100e3)?;
//! let mut solver = Solver::new(&net)?;
//! let solution = solver.solve(&net, &Options::default(), None)?;
//! let mut analysis = solver.analyse(&net, &solution)?;
//! assert!((analysis.resistance(tap).unwrap() - 50e3).abs() < 1e-6);
//! // 1 % more in R1 takes 0.5 V off the tap.
//! let moves = analysis.sensitivities(&net, tap);
//! let by_upper = moves.iter().find(|moved| moved.element == upper).unwrap();
//! assert!((by_upper.volts_per_unit * 1000.0 + 0.5).abs() < 1e-9);
//! // Unpowered, from the tap to ground: R1 leads nowhere.
//! let mut meter = Ohmmeter::new(&net, SourcesAs::Open)?;
//! assert!((meter.read(tap, NodeId::GROUND).unwrap() - 100e3).abs() < 1e-6);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Limits: first order only. The ohmmeter takes capacitors as charged and
//! steady, and tubes and diodes as not conducting; a solid-state diode may
//! conduct under a real meter's own voltage.

use super::reduce::Reduction;
use super::system::{Crutch, System};
use super::{Solution, SolveError};
use crate::circuit::law::Law;
use crate::circuit::netlist::{Element, ElementId, Netlist, NodeId};

/// How a node moves with one element's value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// The element.
    pub element: ElementId,
    /// Volts per ohm, per volt or per ampere, by the element's kind.
    pub volts_per_unit: f64,
}

/// The factored derivatives at a solution.
#[derive(Debug)]
pub struct Analysis<'a> {
    system: &'a mut System,
    volts: Vec<f64>,
}

impl<'a> Analysis<'a> {
    pub(super) fn new(system: &'a mut System, solution: &Solution) -> Self {
        Self { system, volts: solution.volts.clone() }
    }

    /// The resistance between a node and ground for small changes, tubes at
    /// their working slopes; `None` for a node that floats. Zero for one held
    /// by sources.
    pub fn resistance(&mut self, node: NodeId) -> Option<f64> {
        let Some(unknown) = self.system.reduction.unknown[node.index()] else {
            return Some(0.0);
        };
        if self.system.islands.island[unknown].is_some() {
            return None;
        }
        Some(own_ohms(self.system, unknown))
    }

    /// The unknown that a node's volts hang on; `None` where it is held.
    pub fn unknown(&self, node: NodeId) -> Option<usize> {
        self.system.reduction.unknown[node.index()]
    }

    /// How many unknowns there are.
    pub fn len(&self) -> usize {
        self.system.reduction.len()
    }

    /// Whether sources hold every node.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Volts that unknowns move per ampere led from one node to another, as
    /// far as they matter: `reach` is told each unknown that moves and says
    /// whether to follow it further.
    pub fn spread(&mut self, from: NodeId, to: NodeId, reach: impl FnMut(usize, f64) -> bool) {
        spread(self.system, from, to, reach);
    }

    /// Volts that every node moves per ampere led into `node`, by
    /// [`NodeId::index`]: what a microampere of leakage does, and to whom.
    pub fn spread_of_current(&mut self, from: NodeId, to: NodeId) -> Vec<f64> {
        let reduction = &self.system.reduction;
        let mut column = vec![0.0; reduction.len()];
        if let Some(unknown) = reduction.unknown[to.index()] {
            column[unknown] += 1.0;
        }
        if let Some(unknown) = reduction.unknown[from.index()] {
            column[unknown] -= 1.0;
        }
        self.system.factors.solve(&mut column);
        let of = |unknown: &Option<usize>| unknown.map_or(0.0, |unknown| column[unknown]);
        self.system.reduction.unknown.iter().map(of).collect()
    }

    /// How a node's volts move with each resistor, coil and source.
    pub fn sensitivities(&mut self, net: &Netlist, node: NodeId) -> Vec<Sensitivity> {
        let mut adjoint = vec![0.0; self.system.reduction.len()];
        let seen = self.system.reduction.unknown[node.index()];
        if let Some(unknown) = seen {
            adjoint[unknown] = 1.0;
            self.system.factors.solve_transposed(&mut adjoint);
        }
        let system = &*self.system;
        let weight = |node: NodeId| {
            system.reduction.unknown[node.index()].map_or(0.0, |unknown| adjoint[unknown])
        };
        let mut found = Vec::new();
        for (element, kind) in net.elements() {
            let volts_per_unit = match *kind {
                Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } if ohms > 0.0 => {
                    let across = self.volts[a.index()] - self.volts[b.index()];
                    (weight(a) - weight(b)) * across / (ohms * ohms)
                }
                Element::CurrentSource { from, to, .. } => weight(to) - weight(from),
                Element::VoltageSource { .. } => self.by_source(net, element, node, &adjoint),
                _ => continue,
            };
            found.push(Sensitivity { element, volts_per_unit });
        }
        found
    }

    /// The part of one voltage source: it shifts its far side as a block.
    fn by_source(&self, net: &Netlist, source: ElementId, node: NodeId, adjoint: &[f64]) -> f64 {
        let one = |id: ElementId, _: f64| f64::from(u8::from(id == source));
        // A loop of sources cannot move one of its members alone.
        let Ok(shifted) = Reduction::new(net, one) else {
            return 0.0;
        };
        let change = self.system.push(&self.volts, &shifted.offset);
        let carried: f64 = change.iter().zip(adjoint).map(|(change, weight)| change * weight).sum();
        shifted.offset[node.index()] - carried
    }
}

/// What the voltage sources are to an ohmmeter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SourcesAs {
    /// Taken out: batteries, the line, supplies drawn as a source.
    Open,
    /// Wires: windings drawn as a source without resistance.
    Wire,
}

/// The unpowered circuit, factored once for any number of readings.
#[derive(Debug)]
pub struct Ohmmeter {
    system: System,
    /// The island of each unknown, ground's being `None`.
    column: Vec<f64>,
}

impl Ohmmeter {
    /// Takes the tubes as not conducting and the sources as told.
    ///
    /// # Errors
    /// When the equations do not fix a node; it is named.
    pub fn new(net: &Netlist, sources: SourcesAs) -> Result<Self, SolveError> {
        let quiet = quiet(net, sources);
        let mut system = System::new(&quiet)?;
        let volts = vec![0.0; quiet.node_count()];
        system.conduct(&volts);
        system.factor(Crutch::NONE).map_err(|row| SolveError::Undefined {
            node: net.node_name(system.reduction.representative[row]).to_owned(),
        })?;
        Ok(Self { column: vec![0.0; system.reduction.len()], system })
    }

    /// Ohms between two nodes; `None` when no path joins them.
    pub fn read(&mut self, a: NodeId, b: NodeId) -> Option<f64> {
        let place = |node: NodeId| self.system.reduction.unknown[node.index()];
        let island =
            |node: NodeId| place(node).and_then(|unknown| self.system.islands.island[unknown]);
        if island(a) != island(b) {
            return None;
        }
        let (a, b) = (place(a), place(b));
        if a == b {
            return Some(0.0);
        }
        self.column.fill(0.0);
        if let Some(a) = a {
            self.column[a] = 1.0;
        }
        if let Some(b) = b {
            self.column[b] -= 1.0;
        }
        self.system.factors.solve(&mut self.column);
        let at = |place: Option<usize>| place.map_or(0.0, |place| self.column[place]);
        Some(at(a) - at(b))
    }
}

impl Ohmmeter {
    /// How many unknowns there are.
    pub fn len(&self) -> usize {
        self.system.reduction.len()
    }

    /// Whether every node is ground.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The unknown of a node; `None` for ground.
    pub fn unknown(&self, node: NodeId) -> Option<usize> {
        self.system.reduction.unknown[node.index()]
    }

    /// Ohms from an unknown to ground; `None` when no path joins them.
    pub fn to_ground(&mut self, unknown: usize) -> Option<f64> {
        let tied = self.system.islands.island[unknown].is_none();
        tied.then(|| own_ohms(&mut self.system, unknown))
    }

    /// Volts of unknowns per ampere led through the circuit from one node to
    /// another, as far as they matter: `reach` is told each unknown and says
    /// whether to follow it further.
    ///
    /// By the law of adjoint networks (Tellegen; any text of circuit theory)
    /// the reading from an unknown to ground moves by the square of what it is
    /// told here, by the square of the ohms between the two nodes, per ohm.
    pub fn spread(&mut self, from: NodeId, to: NodeId, reach: impl FnMut(usize, f64) -> bool) {
        spread(&mut self.system, from, to, reach);
    }
}

/// Ohms between an unknown and ground.
fn own_ohms(system: &mut System, unknown: usize) -> f64 {
    let mut ohms = 0.0;
    system.factors.spread(&[(unknown, 1.0)], |row, volts| {
        if row == unknown {
            ohms = volts;
        }
        false
    });
    ohms
}

fn spread(system: &mut System, from: NodeId, to: NodeId, reach: impl FnMut(usize, f64) -> bool) {
    let place = |node: NodeId| system.reduction.unknown[node.index()];
    let ends: Vec<(usize, f64)> =
        [(to, 1.0), (from, -1.0)].into_iter().filter_map(|(n, v)| Some((place(n)?, v))).collect();
    system.factors.spread(&ends, reach);
}

/// The same nodes with what an ohmmeter sees between them.
pub(super) fn quiet(net: &Netlist, sources: SourcesAs) -> Netlist {
    let mut quiet = net.clone();
    for (id, element) in net.elements() {
        match element {
            Element::Device { .. } => {
                quiet.set_law(id, Law::Off).expect("a law without constants is usable");
            }
            Element::VoltageSource { .. } | Element::CurrentSource { .. } => {
                quiet.set_source(id, 0.0).expect("zero is finite");
            }
            _ => {}
        }
    }
    if sources == SourcesAs::Open {
        quiet.drop_voltage_sources();
    }
    quiet
}
