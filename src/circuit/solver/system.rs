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
use crate::circuit::law::Law;
use crate::circuit::netlist::{Element, Netlist, NodeId};

/// Siemens that hold an island to ground. No current can pass a single
/// anchor, so the figure matters to nothing but the pivots.
const ANCHOR: f64 = 1e-6;
/// Marks a place that has no slot (ground).
const NONE: usize = usize::MAX;

/// The equations of one netlist.
#[derive(Debug, Clone)]
pub(super) struct System {
    pub reduction: Reduction,
    pub islands: Islands,
    pub factors: Factors,
    /// Values of all that is linear.
    linear: Vec<f64>,
    values: Vec<f64>,
    conductors: Vec<Conductor>,
    currents: Vec<(NodeId, NodeId, f64)>,
    devices: Vec<Device>,
    diagonal: Vec<usize>,
    /// The elements last taken over.
    elements: Vec<Element>,
}

#[derive(Debug, Clone)]
struct Conductor {
    a: NodeId,
    b: NodeId,
    siemens: f64,
}

/// Terminals in the order plate, grid, screen, cathode.
#[derive(Debug, Clone)]
struct Device {
    nodes: [NodeId; 4],
    law: Law,
    slots: [[usize; 4]; 4],
}

/// What differs between two netlists, from nothing to everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Change {
    None,
    /// Constants of laws.
    Laws,
    /// Volts of sources.
    Volts,
    /// Ohms and amperes, or tubes that came to conduct or ceased.
    Paths,
    /// What joins what.
    Shape,
}

/// What differs between an element and the one that was in its place.
fn change(old: &Element, new: &Element) -> Change {
    match (*old, *new) {
        (old, new) if old == new => Change::None,
        (Element::Resistor { a, b, ohms }, Element::Resistor { a: c, b: d, ohms: other })
        | (Element::Coil { a, b, ohms }, Element::Coil { a: c, b: d, ohms: other })
            if (a, b) == (c, d) && ohms > 0.0 && other > 0.0 =>
        {
            Change::Paths
        }
        (
            Element::VoltageSource { plus, minus, .. },
            Element::VoltageSource { plus: a, minus: b, .. },
        ) if (plus, minus) == (a, b) => Change::Volts,
        (
            Element::CurrentSource { from, to, .. },
            Element::CurrentSource { from: a, to: b, .. },
        ) if (from, to) == (a, b) => Change::Paths,
        (
            Element::Device { plate, grid, screen, cathode, law },
            Element::Device { plate: a, grid: b, screen: c, cathode: d, law: other },
        ) if (plate, grid, screen, cathode) == (a, b, c, d) => {
            let alike =
                law.electrodes() == other.electrodes() && (law == Law::Off) == (other == Law::Off);
            if alike { Change::Laws } else { Change::Paths }
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
        let diagonal =
            (0..pattern.rows()).map(|row| pattern.slot(row, row).unwrap_or(NONE)).collect();
        let size = pattern.len();
        let mut system = Self {
            reduction,
            islands,
            factors: Factors::new(pattern),
            linear: vec![0.0; size],
            values: vec![0.0; size],
            conductors: Vec::new(),
            currents: Vec::new(),
            devices: Vec::new(),
            diagonal,
            elements: net.elements().map(|(_, element)| *element).collect(),
        };
        system.fill(net);
        Ok(system)
    }

    /// Takes over the values of a netlist; a new shape makes a new system.
    pub fn update(&mut self, net: &Netlist) -> Result<(), SolveError> {
        let change = self.change(net);
        if change >= Change::Shape {
            *self = Self::new(net)?;
            return Ok(());
        }
        if change == Change::None {
            return Ok(());
        }
        self.elements.clear();
        self.elements.extend(net.elements().map(|(_, element)| *element));
        if change >= Change::Volts {
            self.reduction = Reduction::new(net, |_, volts| volts)?;
        }
        if change >= Change::Paths {
            self.islands = self.reduction.islands(net);
            self.fill(net);
            return Ok(());
        }
        let laws = net.elements().filter_map(|(_, element)| match element {
            Element::Device { law, .. } => Some(*law),
            _ => None,
        });
        self.devices.iter_mut().zip(laws).for_each(|(device, law)| device.law = law);
        Ok(())
    }

    /// The most that differs from the netlist last taken over.
    fn change(&self, net: &Netlist) -> Change {
        let same = net.node_count() == self.reduction.unknown.len()
            && net.elements().count() == self.elements.len();
        if !same {
            return Change::Shape;
        }
        let pairs = self.elements.iter().zip(net.elements());
        pairs.map(|(old, (_, new))| change(old, new)).max().unwrap_or(Change::None)
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
                    self.conductors.push(Conductor { a, b, siemens: 1.0 / ohms });
                    for (i, j, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
                        let slot = self.slot(i, j);
                        add(&mut self.linear, slot, sign / ohms);
                    }
                }
                Element::CurrentSource { from, to, amps } => self.currents.push((from, to, amps)),
                Element::Device { plate, grid, screen, cathode, law } => {
                    let nodes = [plate, grid, screen, cathode];
                    let slots = nodes.map(|row| nodes.map(|column| self.slot(row, column)));
                    self.devices.push(Device { nodes, law, slots });
                }
                _ => {}
            }
        }
        for at in 0..self.islands.anchors.len() {
            let slot = self.diagonal[self.islands.anchors[at]];
            add(&mut self.linear, slot, ANCHOR);
        }
    }

    fn slot(&self, row: NodeId, column: NodeId) -> usize {
        let unknown = &self.reduction.unknown;
        match (unknown[row.index()], unknown[column.index()]) {
            (Some(row), Some(column)) => self.factors.pattern().slot(row, column).unwrap_or(NONE),
            _ => NONE,
        }
    }

    /// Kirchhoff's sums at the volts of all nodes.
    pub fn sums(&self, unknowns: &[f64], volts: &[f64], crutch: Crutch, sums: &mut Sums) {
        let count = self.reduction.len();
        for list in [&mut sums.leaving, &mut sums.passing, &mut sums.rounding] {
            list.clear();
            list.resize(count, 0.0);
        }
        let mut leave = |node: NodeId, amps: f64, rounding: f64| {
            if let Some(unknown) = self.reduction.unknown[node.index()] {
                sums.leaving[unknown] += amps;
                sums.passing[unknown] += amps.abs();
                sums.rounding[unknown] += rounding;
            }
        };
        for part in &self.conductors {
            let (a, b) = (volts[part.a.index()], volts[part.b.index()]);
            let amps = (a - b) * part.siemens;
            let rounding = 4.0 * f64::EPSILON * (a.abs() + b.abs()) * part.siemens;
            leave(part.a, amps, rounding);
            leave(part.b, -amps, rounding);
        }
        for &(from, to, amps) in &self.currents {
            leave(from, amps * crutch.sources, 0.0);
            leave(to, -amps * crutch.sources, 0.0);
        }
        for device in &self.devices {
            let [plate, grid, screen, cathode] = device.nodes;
            let base = volts[cathode.index()];
            let at = [plate, grid, screen].map(|node| volts[node.index()] - base);
            let flow = device.law.flow(at);
            for (node, amps) in
                device.nodes.into_iter().zip(flow.amps).take(device.law.electrodes())
            {
                leave(node, amps, 0.0);
            }
            let total: f64 = flow.amps[..device.law.electrodes()].iter().sum();
            leave(cathode, -total, 0.0);
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

    /// Factors the derivatives at the volts of all nodes; names the row that
    /// fails.
    pub fn factor(&mut self, volts: &[f64], crutch: Crutch) -> Result<(), usize> {
        self.values.copy_from_slice(&self.linear);
        for device in &self.devices {
            let used = device.law.electrodes();
            let base = volts[device.nodes[3].index()];
            let mut at = [0.0; 3];
            for (at, node) in at.iter_mut().zip(&device.nodes) {
                *at = volts[node.index()] - base;
            }
            let flow = device.law.flow(at);
            for i in 0..used {
                for j in 0..used {
                    let slope = flow.slope[i][j];
                    add(&mut self.values, device.slots[i][j], slope);
                    add(&mut self.values, device.slots[i][3], -slope);
                    add(&mut self.values, device.slots[3][j], -slope);
                    add(&mut self.values, device.slots[3][3], slope);
                }
            }
        }
        if crutch.gmin > 0.0 {
            for &slot in &self.diagonal {
                self.values[slot] += crutch.gmin;
            }
        }
        self.factors.factor(&self.values).map_err(|singular| singular.row)
    }

    /// How the currents leaving each unknown change when the nodes' volts move
    /// by `shift`, at the volts given.
    pub fn push(&self, volts: &[f64], shift: &[f64]) -> Vec<f64> {
        let mut change = vec![0.0; self.reduction.len()];
        let mut leave = |node: NodeId, amps: f64| {
            if let Some(unknown) = self.reduction.unknown[node.index()] {
                change[unknown] += amps;
            }
        };
        for part in &self.conductors {
            let amps = (shift[part.a.index()] - shift[part.b.index()]) * part.siemens;
            leave(part.a, amps);
            leave(part.b, -amps);
        }
        for device in &self.devices {
            let [plate, grid, screen, cathode] = device.nodes;
            let by = |list: &[f64]| {
                [plate, grid, screen].map(|node| list[node.index()] - list[cathode.index()])
            };
            let (flow, moved) = (device.law.flow(by(volts)), by(shift));
            for (i, &node) in device.nodes.iter().enumerate().take(device.law.electrodes()) {
                let amps: f64 =
                    (0..device.law.electrodes()).map(|j| flow.slope[i][j] * moved[j]).sum();
                leave(node, amps);
                leave(cathode, -amps);
            }
        }
        change
    }
}

fn add(values: &mut [f64], slot: usize, value: f64) {
    if slot != NONE {
        values[slot] += value;
    }
}
