//! Rectifiers by where their two sides lead: those in series count as one.

use super::reach::{Reached, Sources};
use super::{LEAST_FARADS, NEAR_OHMS};
use crate::circuit::law::Law;
use crate::circuit::model::Model;
use crate::circuit::netlist::{Element, NodeId};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::PartKind;
use crate::trade::quantity::Capacitance;
use crate::trade::tubes::UnitKind;

/// One rectifier unit, or several in series, and where its sides reach the
/// alternating side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ends {
    /// The units, by their index in [`Model::devices`], from plate to cathode.
    pub devices: Vec<usize>,
    /// The points between them.
    pub between: Vec<NodeIndex>,
    /// Where it takes current in.
    pub anode: NodeIndex,
    /// Where it gives it out.
    pub cathode: NodeIndex,
    /// What the first reaches.
    pub plate_side: Option<Reached>,
    /// What the second reaches.
    pub cathode_side: Option<Reached>,
    /// How all of it conducts.
    pub law: Law,
}

impl Ends {
    /// The unit that stands for it.
    pub fn first(&self) -> usize {
        self.devices[0]
    }

    /// Its side on the alternating side and its other one, where one is: with
    /// whether current flows from the source.
    pub fn driven(&self) -> Option<(Reached, NodeIndex, bool)> {
        match (self.plate_side, self.cathode_side) {
            (Some(reached), None) => Some((reached, self.cathode, true)),
            (None, Some(reached)) => Some((reached, self.anode, false)),
            _ => None,
        }
    }
}

/// Every rectifier of the set.
pub(super) fn all(sheet: &Sheet, wiring: &Wiring, running: &Model, sources: &Sources) -> Vec<Ends> {
    let units = running.devices.iter().enumerate();
    let units = units.filter(|(_, d)| {
        d.kind == UnitKind::Rectifier && running.node(d.plate) != running.node(d.cathode)
    });
    let mut all: Vec<Ends> = units
        .map(|(index, d)| Ends {
            devices: vec![index],
            between: Vec::new(),
            anode: d.plate,
            cathode: d.cathode,
            plate_side: None,
            cathode_side: None,
            law: d.fit.law,
        })
        .collect();
    while let Some((first, second, law)) = in_series(sheet, wiring, running, sources, &all) {
        let later = all[second].clone();
        let one = &mut all[first];
        one.between.push(one.cathode);
        one.between.extend(later.between);
        one.devices.extend(later.devices);
        (one.cathode, one.law) = (later.cathode, law);
        all.remove(second);
    }
    for ends in &mut all {
        let at = |node| sources.drives(running.node(node));
        (ends.plate_side, ends.cathode_side) = sides(at(ends.anode), at(ends.cathode));
    }
    all
}

/// Which of a rectifier's sides are on the alternating side: those that are
/// near it, or else the nearer one. The other may reach it through a bleeder.
fn sides(plate: Option<Reached>, cathode: Option<Reached>) -> (Option<Reached>, Option<Reached>) {
    let ohms = |r: Option<Reached>| r.map_or(f64::INFINITY, |r| r.ohms);
    let nearest = ohms(plate).min(ohms(cathode));
    let on = |r: Option<Reached>| r.filter(|r| r.ohms <= NEAR_OHMS.max(nearest));
    (on(plate), on(cathode))
}

/// Two that meet where nothing else but the resistors and small capacitors
/// across each does, and the law of both.
fn in_series(
    sheet: &Sheet,
    wiring: &Wiring,
    running: &Model,
    sources: &Sources,
    all: &[Ends],
) -> Option<(usize, usize, Law)> {
    let at = |node| running.node(node);
    for (first, a) in all.iter().enumerate() {
        let mid = at(a.cathode);
        let here = |e: &Ends| at(e.anode) == mid || at(e.cathode) == mid;
        let others: Vec<usize> =
            (0..all.len()).filter(|index| *index != first && here(&all[*index])).collect();
        let [second] = others[..] else { continue };
        let b = &all[second];
        let apart = at(b.anode) == mid && at(b.cathode) != at(a.anode);
        let law = apart.then(|| together(a, b)).flatten();
        let ends = [at(a.anode), at(b.cathode)];
        if let Some(law) = law
            && sources.reach(mid).is_none_or(|r| r.ohms > 0.0)
            && bare(sheet, wiring, running, mid, ends)
        {
            return Some((first, second, law));
        }
    }
    None
}

/// Whether only what equalises two rectifiers in series meets their joint.
fn bare(sheet: &Sheet, wiring: &Wiring, running: &Model, mid: NodeId, ends: [NodeId; 2]) -> bool {
    let leads_on = |a: NodeId, b: NodeId| {
        let other = if a == mid { b } else { a };
        (a == mid || b == mid) && !ends.contains(&other)
    };
    let elements = running.net.elements().all(|(_, element)| match *element {
        Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => !leads_on(a, b),
        Element::VoltageSource { plus, minus, .. } => plus != mid && minus != mid,
        Element::Device { plate, grid, screen, cathode, .. } => {
            ![plate, grid, screen, cathode].contains(&mid)
        }
        _ => true,
    });
    let large = sheet.parts.iter().any(|part| {
        part.kind == PartKind::Capacitor
            && part.capacitance.map_or(0.0, Capacitance::farads) >= LEAST_FARADS
            && wiring
                .leads(part)
                .is_some_and(|(a, b)| running.node(a) == mid || running.node(b) == mid)
    });
    elements && !large && mid != NodeId::GROUND
}

/// The law of two chains in series: of one kind, their drops add.
fn together(a: &Ends, b: &Ends) -> Option<Law> {
    match (a.law, b.law) {
        (Law::Vacuum { perveance: one }, Law::Vacuum { perveance: other }) => {
            let drop = one.powf(-2.0 / 3.0) + other.powf(-2.0 / 3.0);
            Some(Law::Vacuum { perveance: drop.powf(-1.5) })
        }
        (Law::Threshold { volts, ohms }, Law::Threshold { volts: more, ohms: other }) => {
            Some(Law::Threshold { volts: volts + more, ohms: ohms + other })
        }
        _ => None,
    }
}
