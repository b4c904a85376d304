//! After switching off: how long each capacitor stays charged.
//!
//! Purpose: the capacitors with the resistors that join them, from the volts
//! they hold, until each is below a limit; and which of them nothing
//! discharges.
//!
//! ```
//! use firstglow::circuit::discharge::{Fall, discharge};
//! use firstglow::circuit::netlist::{Netlist, NodeId};
//! use firstglow::circuit::solver::SourcesAs;
//!
//! // 47 uF at 450 V through 2.2 kΩ to 10 V: R C ln 45 = 0.394 s.
//! let mut net = Netlist::new();
//! let top = net.node("B+");
//! net.capacitor("C1", top, NodeId::GROUND, 47e-6)?;
//! net.resistor("R1", top, NodeId::GROUND, 2200.0)?;
//! let story = discharge(&net, &[0.0, 450.0], 10.0, SourcesAs::Open)?;
//! let Fall::After { seconds } = story.falls[0].fall else { panic!() };
//! assert!((seconds - 0.3936).abs() < 0.001);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Limits: tubes count as not conducting, which is the slow side: warm ones
//! help for some seconds. What does conduct, as a lit regulator, is followed by
//! [`discharge_through`]. Leakage and dielectric absorption are left out. Times
//! under 0.1 ms are not resolved.
//!
//! Method: an L-stable third-order method (SDIRK3) with steps that grow in
//! proportion to the time since switching off, so that fast and slow parts of
//! the fall are both followed. What stays charged is found by charge alone:
//! nodes joined by resistors end at one voltage, ground's at zero.

mod valve;
mod watch;

use super::netlist::{Element, ElementId, Netlist};
use super::solver::sparse::{Factors, Pattern};
use super::solver::{Joined, SolveError, SourcesAs};
pub use valve::{Valve, discharge_through};
use watch::Watch;

/// Each step as a part of the time so far.
const GROWTH: f64 = 0.2;
/// The first step, seconds.
const FIRST_STEP: f64 = 2e-5;
/// When to give up following, seconds: some months.
const HORIZON: f64 = 1e7;
/// Diagonal and weights of SDIRK3 (Alexander, SIAM J. Numer. Anal. 1977).
const GAMMA: f64 = 0.435_866_521_508_459;
const B1: f64 = -1.5 * GAMMA * GAMMA + 4.0 * GAMMA - 0.25;
const B2: f64 = 1.5 * GAMMA * GAMMA - 5.0 * GAMMA + 1.25;

/// When a capacitor falls below the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fall {
    /// It was never above.
    Below,
    /// It falls below for good.
    After {
        /// Seconds since switching off.
        seconds: f64,
    },
    /// Nothing brings it below.
    Stays {
        /// Volts it keeps.
        volts: f64,
    },
}

/// One capacitor's fall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CapacitorFall {
    /// The capacitor.
    pub element: ElementId,
    /// Volts at switching off.
    pub start_volts: f64,
    /// When it is below the limit.
    pub fall: Fall,
}

/// All capacitors over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Discharge {
    /// In the order of the netlist.
    pub falls: Vec<CapacitorFall>,
    /// Seconds of the samples, beginning with 0.
    pub seconds: Vec<f64>,
    /// Volts of each capacitor (inner, as `falls`) at each time.
    pub volts: Vec<Vec<f64>>,
}

/// Follows all capacitors from the nodes' `start` volts (by
/// [`super::netlist::NodeId::index`]) until each is below `limit` volts for
/// good, or never will be.
///
/// # Errors
/// When the netlist's wires contradict, or its equations fix no answer.
pub fn discharge(
    net: &Netlist,
    start: &[f64],
    limit: f64,
    sources: SourcesAs,
) -> Result<Discharge, SolveError> {
    let joined = Joined::new(net, sources)?;
    let capacitors = capacitors(net, &joined, start);
    let mut network = Network::new(&joined, &capacitors, start);
    let ends = final_volts(net, &joined, &capacitors)?;
    let mut watch = Watch::new(&capacitors, ends, limit);
    watch.sample(0.0, &network, &capacitors);
    follow(&mut network, &mut watch, &capacitors, 0.0).map_err(|row| joined.undefined(net, row))?;
    Ok(watch.finish(&capacitors))
}

/// Follows a network from a time of change until nothing more can happen.
fn follow(
    network: &mut Network,
    watch: &mut Watch,
    capacitors: &[Capacitor],
    since: f64,
) -> Result<(), usize> {
    let (mut time, mut step) = (since, FIRST_STEP);
    while !watch.done(network, capacitors) && time < HORIZON {
        network.advance(step)?;
        time += step;
        watch.sample(time, network, capacitors);
        step = GROWTH * (time - since);
    }
    Ok(())
}

/// A capacitor between two unknowns; ground is the place after the last.
struct Capacitor {
    element: ElementId,
    a: usize,
    b: usize,
    farads: f64,
    start: f64,
}

fn capacitors(net: &Netlist, joined: &Joined, start: &[f64]) -> Vec<Capacitor> {
    let volts = |index: usize| start.get(index).copied().unwrap_or(0.0);
    net.elements()
        .filter_map(|(element, kind)| match *kind {
            Element::Capacitor { a, b, farads } => Some(Capacitor {
                element,
                a: joined.place(a),
                b: joined.place(b),
                farads,
                start: volts(a.index()) - volts(b.index()),
            }),
            _ => None,
        })
        .collect()
}

/// `C v' = s - G v`. Lists by unknown have one place more, ground's, which is 0.
struct Network<'a> {
    capacitors: &'a [Capacitor],
    factors: Factors,
    conductance: Vec<f64>,
    capacitance: Vec<f64>,
    values: Vec<f64>,
    volts: Vec<f64>,
    slope: Vec<f64>,
    /// The constant currents `s`: row, amperes.
    drive: Vec<(usize, f64)>,
}

impl<'a> Network<'a> {
    fn new(joined: &Joined, capacitors: &'a [Capacitor], start: &[f64]) -> Self {
        // An island neither resistors nor capacitors tie to ground.
        let resistors = joined.resistors.iter().map(|&(a, b, _)| (a, b));
        let links = resistors.chain(capacitors.iter().map(|c| (c.a, c.b)));
        let anchors = joined.loose(links.clone());
        let ground = joined.len();
        let edges: Vec<(usize, usize)> = links.filter(|(a, b)| a.max(b) < &ground).collect();
        let pattern = Pattern::new(joined.len(), &edges);
        let (mut conductance, mut capacitance) =
            (vec![0.0; pattern.len()], vec![0.0; pattern.len()]);
        for &(a, b, siemens) in &joined.resistors {
            stamp(&pattern, &mut conductance, a, b, siemens);
        }
        for c in capacitors {
            stamp(&pattern, &mut capacitance, c.a, c.b, c.farads);
        }
        for anchor in anchors {
            stamp(&pattern, &mut conductance, anchor, ground, 1e-6);
        }
        let volts = joined
            .representatives()
            .map(|node| start.get(node.index()).copied().unwrap_or(0.0))
            .chain([0.0])
            .collect();
        Self {
            capacitors,
            values: vec![0.0; pattern.len()],
            slope: vec![0.0; ground + 1],
            drive: Vec::new(),
            factors: Factors::new(pattern),
            conductance,
            capacitance,
            volts,
        }
    }

    /// One step of SDIRK3; the volts and their slope at its end are kept.
    fn advance(&mut self, step: f64) -> Result<(), usize> {
        for ((value, g), c) in self.values.iter_mut().zip(&self.conductance).zip(&self.capacitance)
        {
            *value = c + GAMMA * step * g;
        }
        self.factors.factor(&self.values).map_err(|singular| singular.row)?;
        let first = self.stage(&self.volts.clone(), step);
        let half = 0.5 * (1.0 - GAMMA);
        let base = combine(&self.volts, [(half * step, &first)]);
        let second = self.stage(&base, step);
        let base = combine(&self.volts, [(B1 * step, &first), (B2 * step, &second)]);
        let third = self.stage(&base, step);
        self.volts = combine(&base, [(GAMMA * step, &third)]);
        self.slope = third;
        Ok(())
    }

    /// The slope `k` of `C k = s - G (base + gamma h k)`.
    fn stage(&mut self, base: &[f64], step: f64) -> Vec<f64> {
        // Solve for the end, C v = C base + gamma h (s - G v), and take the slope.
        let mut end = vec![0.0; base.len()];
        for c in self.capacitors {
            let charge = c.farads * (base[c.a] - base[c.b]);
            end[c.a] += charge;
            end[c.b] -= charge;
        }
        for &(row, amps) in &self.drive {
            end[row] += GAMMA * step * amps;
        }
        end[base.len() - 1] = 0.0;
        self.factors.solve(&mut end);
        let by = 1.0 / (GAMMA * step);
        for (end, base) in end.iter_mut().zip(base) {
            *end = (*end - base) * by;
        }
        end
    }
}

/// Volts across a capacitor, from a list by unknown.
fn across(c: &Capacitor, list: &[f64]) -> f64 {
    list[c.a] - list[c.b]
}

fn combine<const N: usize>(base: &[f64], terms: [(f64, &Vec<f64>); N]) -> Vec<f64> {
    let mut sum = base.to_vec();
    for (weight, list) in terms {
        for (sum, value) in sum.iter_mut().zip(list) {
            *sum += weight * value;
        }
    }
    sum
}

/// Adds what lies between two unknowns; ground has no slot.
fn stamp(pattern: &Pattern, values: &mut [f64], a: usize, b: usize, value: f64) {
    for (row, column, value) in [(a, a, value), (b, b, value), (a, b, -value), (b, a, -value)] {
        if let Some(slot) = pattern.slot(row, column) {
            values[slot] += value;
        }
    }
}

/// Volts that each capacitor keeps in the end, by the charge of the nodes that
/// resistors join.
fn final_volts(
    net: &Netlist,
    joined: &Joined,
    capacitors: &[Capacitor],
) -> Result<Vec<f64>, SolveError> {
    let pool = joined.pools();
    let ends: Vec<_> = capacitors.iter().map(|c| (pool.of[c.a], pool.of[c.b])).collect();
    let edges: Vec<_> = ends.iter().copied().filter(|(a, b)| a.max(b) < &pool.count).collect();
    let pattern = Pattern::new(pool.count, &edges);
    let mut values = vec![0.0; pattern.len()];
    let mut volts = vec![0.0; pool.count + 1];
    for (c, &(a, b)) in capacitors.iter().zip(&ends) {
        if a == b {
            continue;
        }
        stamp(&pattern, &mut values, a, b, c.farads);
        volts[a] += c.farads * c.start;
        volts[b] -= c.farads * c.start;
    }
    volts[pool.count] = 0.0;
    for anchor in super::solver::loose_of(pool.count, ends.iter().copied()) {
        stamp(&pattern, &mut values, anchor, pool.count, 1e-6);
    }
    let mut factors = Factors::new(pattern);
    factors
        .factor(&values)
        .map_err(|singular| joined.undefined(net, pool.members[singular.row]))?;
    factors.solve(&mut volts);
    Ok(ends.iter().map(|&(a, b)| volts[a] - volts[b]).collect())
}
