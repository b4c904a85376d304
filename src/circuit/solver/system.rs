//! The equations: conductances in their slots, currents node by node.
//!
//! Purpose: evaluate Kirchhoff's current law and its derivatives at given
//! volts. The sums are formed element by element, not by the matrix, so that
//! the residual is an independent check of the solution.
//!
//! Example: see [`super::Solver`].
//!
//! Limits: an element between two nodes of one group has no effect on it and
//! is left out.

use super::SolveError;
use super::reduce::{Islands, Reduction};
use super::sparse::{Factors, Pattern};
use crate::circuit::law::{Flow, Law};
use crate::circuit::netlist::{Element, Netlist, NodeId};

/// Siemens that hold an island to ground. No current can pass a single
/// anchor, so the figure matters to nothing but the pivots.
const ANCHOR: f64 = 1e-6;

/// The equations of one netlist.
#[derive(Debug, Clone)]
pub(super) struct System {
    pub reduction: Reduction,
    pub islands: Islands,
    pub factors: Factors,
    /// Values of all that is linear, by slot; one more takes what meets ground.
    linear: Vec<f64>,
    values: Vec<f64>,
    conductors: Vec<Conductor>,
    currents: Vec<(NodeId, NodeId, f64)>,
    devices: Vec<Device>,
    /// What the devices pass at the volts last told.
    flows: Vec<Flow>,
    diagonal: Vec<usize>,
    /// The elements last taken over.
    elements: Vec<Element>,
}

/// A terminal: its node's place among volts, and its unknown's among sums,
/// where ground's own is the one after the last.
#[derive(Debug, Clone, Copy)]
struct Terminal {
    node: usize,
    unknown: usize,
}

#[derive(Debug, Clone)]
struct Conductor {
    a: Terminal,
    b: Terminal,
    siemens: f64,
}

/// Terminals in the order plate, grid, screen, cathode.
#[derive(Debug, Clone)]
struct Device {
    at: [Terminal; 4],
    law: Law,
    slots: [[usize; 4]; 4],
}

impl Device {
    /// Volts of plate, grid and screen against the cathode.
    fn volts(&self, volts: &[f64]) -> [f64; 3] {
        let base = volts[self.at[3].node];
        [0, 1, 2].map(|i| volts[self.at[i].node] - base)
    }
}

/// What differs between two netlists, from nothing to everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Change {
    None,
    /// Constants of laws.
    Laws,
    /// Volts of sources.
    Volts,
    /// Tubes that came to conduct or ceased.
    Ties,
    /// Ohms and amperes.
    Values,
    /// What joins what.
    Shape,
}

/// What differs between an element and another one that was in its place.
fn change(old: &Element, new: &Element) -> Change {
    match (*old, *new) {
        (Element::Resistor { a, b, ohms }, Element::Resistor { a: c, b: d, ohms: other })
        | (Element::Coil { a, b, ohms }, Element::Coil { a: c, b: d, ohms: other })
            if (a, b) == (c, d) && ohms > 0.0 && other > 0.0 =>
        {
            Change::Values
        }
        (
            Element::VoltageSource { plus, minus, .. },
            Element::VoltageSource { plus: a, minus: b, .. },
        ) if (plus, minus) == (a, b) => Change::Volts,
        (
            Element::CurrentSource { from, to, .. },
            Element::CurrentSource { from: a, to: b, .. },
        ) if (from, to) == (a, b) => Change::Values,
        (
            Element::Device { plate, grid, screen, cathode, law },
            Element::Device { plate: a, grid: b, screen: c, cathode: d, law: other },
        ) if (plate, grid, screen, cathode) == (a, b, c, d) => {
            let alike =
                law.electrodes() == other.electrodes() && (law == Law::Off) == (other == Law::Off);
            if alike { Change::Laws } else { Change::Ties }
        }
        _ => Change::Shape,
    }
}

/// What helps a hard start; the last solve is without it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crutch {
    /// Siemens from every unknown to ground.
    pub gmin: f64,
    /// Share of the sources that is switched on.
    pub sources: f64,
}

impl Crutch {
    /// No help at all.
    pub const NONE: Self = Self { gmin: 0.0, sources: 1.0 };
}

/// Kirchhoff's sums at some volts.
#[derive(Debug, Clone, Default)]
pub(super) struct Sums {
    /// Amperes leaving each unknown's group; zero when solved.
    pub leaving: Vec<f64>,
    /// The sum of the magnitudes.
    pub passing: Vec<f64>,
    /// What rounding alone may leave.
    pub rounding: Vec<f64>,
}

impl System {
    pub fn new(net: &Netlist) -> Result<Self, SolveError> {
        let reduction = Reduction::new(net, |_, volts| volts)?;
        let islands = reduction.islands(net);
        let mut edges = Vec::new();
        let mut edge = |a: NodeId, b: NodeId| {
            if let (Some(a), Some(b)) = (reduction.unknown[a.index()], reduction.unknown[b.index()])
            {
                edges.push((a, b));
            }
        };
        for (_, element) in net.elements() {
            match *element {
                Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => edge(a, b),
                Element::Device { plate, grid, screen, cathode, .. } => {
                    let nodes = [plate, grid, screen, cathode];
                    for (i, &a) in nodes.iter().enumerate() {
                        nodes[i + 1..].iter().for_each(|&b| edge(a, b));
                    }
                }
                _ => {}
            }
        }
        let pattern = Pattern::new(reduction.len(), &edges);
        let diagonal = (0..pattern.rows()).filter_map(|row| pattern.slot(row, row)).collect();
        let size = pattern.len() + 1;
        let mut system = Self {
            reduction,
            islands,
            factors: Factors::new(pattern),
            linear: vec![0.0; size],
            values: vec![0.0; size],
            conductors: Vec::new(),
            currents: Vec::new(),
            devices: Vec::new(),
            flows: Vec::new(),
            diagonal,
            elements: net.elements().map(|(_, element)| *element).collect(),
        };
        system.fill(net);
        Ok(system)
    }

    /// Takes over the values of a netlist; a new shape makes a new system.
    pub fn update(&mut self, net: &Netlist) -> Result<(), SolveError> {
        let change = self.take_over(net);
        if change >= Change::Shape {
            // One that is refused leaves nothing to compare with.
            self.elements.clear();
            *self = Self::new(net)?;
            return Ok(());
        }
        if change == Change::None {
            return Ok(());
        }
        if change >= Change::Volts {
            let reduction = Reduction::new(net, |_, volts| volts);
            self.reduction = reduction.inspect_err(|_| self.elements.clear())?;
        }
        if change >= Change::Ties {
            let before = std::mem::replace(&mut self.islands, self.reduction.islands(net));
            if change >= Change::Values || before.anchors != self.islands.anchors {
                self.fill(net);
                return Ok(());
            }
        }
        let laws = net.elements().filter_map(|(_, element)| match element {
            Element::Device { law, .. } => Some(*law),
            _ => None,
        });
        self.devices.iter_mut().zip(laws).for_each(|(device, law)| device.law = law);
        Ok(())
    }

    /// Takes over the elements and tells the most that differs from before.
    fn take_over(&mut self, net: &Netlist) -> Change {
        let same = net.node_count() == self.reduction.unknown.len()
            && net.elements().count() == self.elements.len();
        if !same {
            return Change::Shape;
        }
        let mut most = Change::None;
        for (old, (_, new)) in self.elements.iter_mut().zip(net.elements()) {
            if old != new {
                most = most.max(change(old, new));
                *old = *new;
            }
        }
        most
    }

    fn fill(&mut self, net: &Netlist) {
        self.linear.fill(0.0);
        self.conductors.clear();
        self.currents.clear();
        self.devices.clear();
        for (_, element) in net.elements() {
            match *element {
                Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms }
                    if ohms > 0.0 && a != b =>
                {
                    for (i, j, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
                        let slot = self.slot(i, j);
                        self.linear[slot] += sign / ohms;
                    }
                    let [a, b] = [a, b].map(|node| self.terminal(node));
                    self.conductors.push(Conductor { a, b, siemens: 1.0 / ohms });
                }
                Element::CurrentSource { from, to, amps } => self.currents.push((from, to, amps)),
                Element::Device { plate, grid, screen, cathode, law } => {
                    let nodes = [plate, grid, screen, cathode];
                    let slots = nodes.map(|row| nodes.map(|column| self.slot(row, column)));
                    let at = nodes.map(|node| self.terminal(node));
                    self.devices.push(Device { at, law, slots });
                }
                _ => {}
            }
        }
        for at in 0..self.islands.anchors.len() {
            self.linear[self.diagonal[self.islands.anchors[at]]] += ANCHOR;
        }
    }

    fn terminal(&self, node: NodeId) -> Terminal {
        Terminal { node: node.index(), unknown: self.reduction.place(node) }
    }

    fn slot(&self, row: NodeId, column: NodeId) -> usize {
        let pattern = self.factors.pattern();
        let found = pattern.slot(self.reduction.place(row), self.reduction.place(column));
        found.unwrap_or(pattern.len())
    }

    /// Takes what the devices pass at the volts of all nodes.
    pub fn conduct(&mut self, volts: &[f64]) {
        self.flows.clear();
        self.flows.extend(self.devices.iter().map(|device| device.law.flow(device.volts(volts))));
    }

    /// Kirchhoff's sums at the volts of all nodes, at which the devices are
    /// left.
    pub fn sums(&mut self, unknowns: &[f64], volts: &[f64], crutch: Crutch, sums: &mut Sums) {
        self.conduct(volts);
        let count = self.reduction.len();
        for list in [&mut sums.leaving, &mut sums.passing, &mut sums.rounding] {
            list.clear();
            list.resize(count + 1, 0.0);
        }
        let (leaving, passing) = (sums.leaving.as_mut_slice(), sums.passing.as_mut_slice());
        let rounding = sums.rounding.as_mut_slice();
        for Conductor { a, b, siemens } in &self.conductors {
            let (at_a, at_b) = (volts[a.node], volts[b.node]);
            let amps = (at_a - at_b) * siemens;
            let round = 4.0 * f64::EPSILON * (at_a.abs() + at_b.abs()) * siemens;
            leaving[a.unknown] += amps;
            leaving[b.unknown] -= amps;
            passing[a.unknown] += amps.abs();
            passing[b.unknown] += amps.abs();
            rounding[a.unknown] += round;
            rounding[b.unknown] += round;
        }
        let mut leave = |unknown: usize, amps: f64| {
            leaving[unknown] += amps;
            passing[unknown] += amps.abs();
        };
        for &(from, to, amps) in &self.currents {
            leave(self.terminal(from).unknown, amps * crutch.sources);
            leave(self.terminal(to).unknown, -amps * crutch.sources);
        }
        for (device, flow) in self.devices.iter().zip(&self.flows) {
            let mut total = 0.0;
            for i in 0..device.law.electrodes() {
                leave(device.at[i].unknown, flow.amps[i]);
                total += flow.amps[i];
            }
            leave(device.at[3].unknown, -total);
        }
        for list in [&mut sums.leaving, &mut sums.passing, &mut sums.rounding] {
            list.truncate(count);
        }
        for &anchor in &self.islands.anchors {
            sums.leaving[anchor] += ANCHOR * unknowns[anchor];
        }
        if crutch.gmin > 0.0 {
            for (sum, unknown) in sums.leaving.iter_mut().zip(unknowns) {
                *sum += crutch.gmin * unknown;
            }
        }
    }

    /// Factors the derivatives at the volts at which the devices were left;
    /// names the row that fails.
    pub fn factor(&mut self, crutch: Crutch) -> Result<(), usize> {
        self.values.copy_from_slice(&self.linear);
        let values = self.values.as_mut_slice();
        for (device, flow) in self.devices.iter().zip(&self.flows) {
            let used = device.law.electrodes();
            for i in 0..used {
                for j in 0..used {
                    let slope = flow.slope[i][j];
                    values[device.slots[i][j]] += slope;
                    values[device.slots[i][3]] -= slope;
                    values[device.slots[3][j]] -= slope;
                    values[device.slots[3][3]] += slope;
                }
            }
        }
        if crutch.gmin > 0.0 {
            for &slot in &self.diagonal {
                values[slot] += crutch.gmin;
            }
        }
        self.factors.factor(values).map_err(|singular| singular.row)
    }

    /// How the currents leaving each unknown change when the nodes' volts move
    /// by `shift`, at the volts given.
    pub fn push(&self, volts: &[f64], shift: &[f64]) -> Vec<f64> {
        let mut change = vec![0.0; self.reduction.len() + 1];
        for Conductor { a, b, siemens } in &self.conductors {
            let amps = (shift[a.node] - shift[b.node]) * siemens;
            change[a.unknown] += amps;
            change[b.unknown] -= amps;
        }
        for device in &self.devices {
            let (flow, moved) = (device.law.flow(device.volts(volts)), device.volts(shift));
            for i in 0..device.law.electrodes() {
                let amps: f64 =
                    (0..device.law.electrodes()).map(|j| flow.slope[i][j] * moved[j]).sum();
                change[device.at[i].unknown] += amps;
                change[device.at[3].unknown] -= amps;
            }
        }
        change.truncate(self.reduction.len());
        change
    }
}
