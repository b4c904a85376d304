//! The likely faults of a first power-up, and what each does to the load.

use super::load::{Curve, SetLoad, curve};
use crate::circuit::netlist::{Element, Netlist, NodeId};
use crate::circuit::state::{Set, State, Tubes};
use crate::circuit::supply::{Supply, Topology};
use crate::sheet::Sheet;
use crate::sheet::part::PartKind;

/// What is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaultKind {
    /// The first filter capacitor is a short.
    FilterShorted,
    /// It leaks as much as the whole set takes.
    FilterLeaky,
    /// The rectifier is a wire.
    RectifierShorted,
    /// Half of the tapped winding is on ground.
    HalfGrounded,
    /// A leaky coupling capacitor takes the output tube's bias away.
    NoBias,
}

/// What a fault does to the load.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Nothing.
    None,
    /// These siemens stand across B+ besides.
    Leak(f64),
    /// The circuit takes another current.
    Circuit(Curve),
    /// A rectifier works into a short.
    Shorted {
        /// The rectifier at the nominal line.
        supply: Supply,
        /// Effective volts of its source by those of the line.
        ratio: f64,
    },
    /// Alternating voltage stands on the filter.
    Alternating,
    /// These siemens stand across the line besides.
    Shunt(f64),
}

/// A fault of this set.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// The parts concerned: `C20`, `C18 before V4`.
    pub parts: String,
    /// The ohms it was taken with, where it has any.
    pub ohms: Option<f64>,
    /// What it does.
    pub effect: Effect,
}

/// The faults that this set can have, the hard shorts first.
pub fn faults(sheet: &Sheet, set: &Set, load: &SetLoad) -> Vec<Fault> {
    let Some(fed) = load.fed else { return Vec::new() };
    let found = &set.feeds[load.feed];
    let keys = |all: &[usize]| {
        all.iter().map(|at| sheet.parts[*at].key.as_str()).collect::<Vec<_>>().join(", ")
    };
    let filter = keys(&found.reservoir);
    let mut rectifiers: Vec<usize> =
        found.devices.iter().map(|d| set.running.devices[*d].part).collect();
    rectifiers.dedup();
    let mut all = Vec::new();
    if fed.choke.is_none() && !found.reservoir.is_empty() {
        all.push(Fault {
            kind: FaultKind::FilterShorted,
            parts: filter.clone(),
            ohms: None,
            effect: shorted_output(&fed.supply, fed.ratio),
        });
    }
    all.push(Fault {
        kind: FaultKind::RectifierShorted,
        parts: keys(&rectifiers),
        ohms: None,
        effect: shorted_rectifier(&fed.supply, fed.ratio),
    });
    if fed.transformer && fed.supply.topology == Topology::FullWave {
        let ohms = (fed.supply.source_ohms / (fed.ratio * fed.ratio)).max(0.5);
        all.push(Fault {
            kind: FaultKind::HalfGrounded,
            parts: String::new(),
            ohms: None,
            effect: Effect::Shunt(1.0 / ohms),
        });
    }
    let running = set.state(Tubes::Warm, 1.0).ok();
    let running = running.as_ref();
    if let (Some(fed), false) = (running.and_then(|s| s.fed.get(load.feed)), filter.is_empty()) {
        // As much again as the set itself takes.
        let ohms = fed.volts / fed.amps.max(1e-4);
        all.push(Fault {
            kind: FaultKind::FilterLeaky,
            parts: filter,
            ohms: Some(ohms),
            effect: Effect::Leak(1.0 / ohms),
        });
    }
    all.extend(running.and_then(|state| no_bias(sheet, set, load, state)));
    all
}

fn shorted_output(supply: &Supply, ratio: f64) -> Effect {
    let mut supply = *supply;
    if supply.topology.multiple() > 1.0 {
        supply.topology = Topology::HalfWave;
    }
    Effect::Shorted { supply, ratio }
}

/// Of two plates on a tapped winding the one that is left shorts the whole of
/// it every other half cycle; so does a bridge's neighbour. Elsewhere the
/// filter capacitor stands on alternating voltage.
fn shorted_rectifier(supply: &Supply, ratio: f64) -> Effect {
    let mut supply = *supply;
    match supply.topology {
        Topology::FullWave => {
            // The primary's ohms come with the square of the whole ratio, half
            // of which each half reflects: twice is the least that they are.
            supply.source_ohms *= 2.0;
            supply.topology = Topology::HalfWave;
            Effect::Shorted { supply, ratio: 2.0 * ratio }
        }
        Topology::Bridge => {
            supply.topology = Topology::HalfWave;
            Effect::Shorted { supply, ratio }
        }
        _ => Effect::Alternating,
    }
}

/// The least amperes of a tube that counts as an output tube.
const OUTPUT_AMPS: f64 = 5e-3;
/// The least volts that a leak must bring.
const DONOR_VOLTS: f64 = 20.0;

/// A coupling capacitor's place: its part, the tube, both nodes.
struct Coupled {
    capacitor: usize,
    tube: usize,
    grid: NodeId,
    cathode: NodeId,
    donor: NodeId,
    amps: f64,
}

/// The output tube whose grid a coupling capacitor can lift: with the grid at
/// its cathode.
fn no_bias(sheet: &Sheet, set: &Set, load: &SetLoad, state: &State) -> Option<Fault> {
    let at = coupled(sheet, set, state)
        .into_iter()
        .reduce(|best, next| if next.amps > best.amps { next } else { best })?;
    let short = move |net: &mut Netlist| {
        // Between two nodes that are there already: nothing to refuse.
        let _ = net.source("bias lost", at.grid, at.cathode, 0.0);
    };
    let lifted = curve(set, load.feed, Tubes::Warm, short).ok()?;
    let volts = state.fed.get(load.feed)?.volts;
    let (net, taken) = set.taken(load.feed, Tubes::Warm, &[volts], short).ok()?;
    let solution = &taken.first()?.solution;
    let (source, _) =
        net.elements().filter(|(_, e)| matches!(e, Element::VoltageSource { .. })).last()?;
    // What holds the grid up is what the capacitor must leak.
    let amps = solution.amps(&net, source);
    let across = solution.between(at.donor, at.grid);
    let ohms = (amps > 1e-9 && across > 0.0).then(|| across / amps);
    let key = |part: usize| sheet.parts[part].key.as_str();
    Some(Fault {
        kind: FaultKind::NoBias,
        parts: format!("{} before {}", key(at.capacitor), key(at.tube)),
        ohms,
        effect: Effect::Circuit(lifted),
    })
}

fn coupled(sheet: &Sheet, set: &Set, state: &State) -> Vec<Coupled> {
    let mut all = Vec::new();
    for (index, part) in sheet.parts.iter().enumerate() {
        if part.kind != PartKind::Capacitor {
            continue;
        }
        let Some((a, b)) = set.wiring.leads(part) else { continue };
        let (a, b) = (set.running.node(a), set.running.node(b));
        for (grid, donor) in [(a, b), (b, a)] {
            if state.solution.between(donor, grid) < DONOR_VOLTS {
                continue;
            }
            for device in &set.running.devices {
                let on_grid = device.grid.is_some_and(|g| set.running.node(g) == grid);
                let cathode = set.running.node(device.cathode);
                let (true, Some(element)) = (on_grid && grid != cathode, device.element) else {
                    continue;
                };
                let amps = state.solution.amps(&state.net, element);
                if amps >= OUTPUT_AMPS {
                    let tube = device.part;
                    all.push(Coupled { capacitor: index, tube, grid, cathode, donor, amps });
                }
            }
        }
    }
    all
}
