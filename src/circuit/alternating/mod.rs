//! Alternating volts of every node against the reference, at the frequency of
//! the line: where a direct-voltage reading has no place.
//!
//! Purpose: line, windings and vibrator secondaries as sources, resistances and
//! capacitors between them, solved as phasors. What several sources put on one
//! node is added by size, for the sense of a winding is not on a sheet.
//!
//! ```
//! use firstglow::circuit::alternating::{Alternating, at_nodes};
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read(
//!     "T1 power primary line to neutral 117 V, secondary 1 to 3 600 V tap 2\n\
//!      wire T1.2 to chassis",
//! );
//! let wiring = Wiring::of(&sheet);
//! let nodes = at_nodes(&sheet, &wiring);
//! let end = wiring.terminal(&sheet.parts[0], "1").unwrap();
//! assert!(matches!(nodes[end], Alternating::Rms { volts } if (volts - 300.0).abs() < 1.0));
//! assert_eq!(nodes[wiring.named("chassis").unwrap()], Alternating::None);
//! ```
//!
//! Limits: tubes and rectifiers do not conduct here, so ripple is none of it;
//! coils are their resistance alone. A winding that nothing ties to the
//! reference is taken as balanced about it. A line that no resistance ties to
//! the reference is taken as wholly above it, for either wire may be the live
//! one and the chassis may be grounded.

mod phasor;

use super::model::{Model, View, is_power_transformer};
use super::netlist::{Element, NodeId};
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::part::{Part, Winding, WindingKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::quantity::{Frequency, Voltage};
use phasor::{Branch, Network};
use serde::Serialize;
use std::f64::consts::TAU;

/// The alternating voltage of a node against the reference.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Alternating {
    /// None that a meter shows.
    None,
    /// So many volts RMS.
    Rms {
        /// Volts RMS.
        volts: f64,
    },
    /// A winding whose volts are not on the sheet reaches the node.
    Unknown,
}

impl Alternating {
    /// Volts RMS; `None` where they are not known.
    pub const fn rms(self) -> Option<f64> {
        match self {
            Self::None => Some(0.0),
            Self::Rms { volts } => Some(volts),
            Self::Unknown => None,
        }
    }

    /// Whether a meter on direct volts has no place on a node of `dc_v` volts:
    /// the alternating voltage is more than a tenth of it, or more than 10 V.
    /// Source: common practice, no source.
    pub fn forbids_dc(self, dc_v: f64) -> bool {
        self.rms().is_none_or(|ac| ac > MOST_BESIDE_DC_V || ac > SHARE_OF_DC * dc_v.abs())
    }
}

/// The most volts RMS beside which a direct voltage is read.
const MOST_BESIDE_DC_V: f64 = 10.0;
/// The same as a part of the direct voltage.
const SHARE_OF_DC: f64 = 0.1;
/// Volts RMS that no meter shows.
const LEAST_V: f64 = 0.05;
/// Volts taken for a heater winding without volts on the sheet, which is more
/// than nearly all have. Source: common practice, no source.
const HEATER_V: f64 = 12.6;
/// Volts taken for a rectifier's heater winding without volts on the sheet.
/// Source: common practice, no source.
const RECTIFIER_HEATER_V: f64 = 6.3;
/// Volts taken for the mains where the sheet names none, as for the supplies.
const MAINS_V: f64 = 117.0;
/// Hertz taken where the sheet names none.
const HERTZ: f64 = 60.0;
/// Ohms behind each source: far below what a set has there.
const SOURCE_OHMS: f64 = 0.01;
/// Ohms that tie a floating winding to the reference: far above all else.
const LEAK_OHMS: f64 = 1e9;
/// Part of an unknown source's volts from which a node counts as reached.
const REACHED: f64 = 1e-3;

/// A pair of nodes with an alternating voltage between them.
struct Source {
    ends: [NodeIndex; 2],
    tap: Option<NodeIndex>,
    /// Volts RMS; `None` where the sheet does not tell them.
    volts: Option<f64>,
    /// Whether it is the line itself.
    is_line: bool,
}

/// The alternating voltage of every node of the wiring.
pub fn at_nodes(sheet: &Sheet, wiring: &Wiring) -> Vec<Alternating> {
    let sources = sources(sheet, wiring);
    let mut found = vec![Alternating::None; wiring.nodes.len()];
    if sources.is_empty() {
        return found;
    }
    let model = Model::of(sheet, wiring, View::Alternating);
    let Some(mut network) = network(&model, &sources, hertz(sheet)) else {
        // What does not solve is not known, and not told as free of it.
        return vec![Alternating::Unknown; wiring.nodes.len()];
    };
    for source in &sources {
        let ends = source.ends.map(|node| model.node(node));
        if ends[0] == ends[1] {
            continue;
        }
        let size = network.volts(&injected(&model, source));
        let floats = source.is_line && !network.joins(ends[0].index(), NodeId::GROUND.index());
        for (node, told) in found.iter_mut().enumerate() {
            let at = model.node(node).index();
            let part = if floats && network.joins(ends[0].index(), at) { 1.0 } else { size[at] };
            *told = add(*told, part, source.volts);
        }
    }
    found
}

/// What a node has with one source more, that puts `part` of its volts there.
fn add(told: Alternating, part: f64, volts: Option<f64>) -> Alternating {
    match (told, volts) {
        (Alternating::Unknown, _) => told,
        (_, None) if part > REACHED => Alternating::Unknown,
        (_, None) => told,
        (_, Some(source)) => {
            let volts = told.rms().unwrap_or(0.0) + part * source;
            if volts > LEAST_V { Alternating::Rms { volts } } else { Alternating::None }
        }
    }
}

fn hertz(sheet: &Sheet) -> f64 {
    sheet.header.frequency.map(Frequency::to_f64).filter(|f| *f > 0.0).unwrap_or(HERTZ)
}

/// Line, primaries and windings of a set.
fn sources(sheet: &Sheet, wiring: &Wiring) -> Vec<Source> {
    let kind = sheet.header.supply;
    if kind == Some(SupplyKind::Battery) {
        return Vec::new();
    }
    let on_line = kind != Some(SupplyKind::Vibrator);
    let mains = sheet.header.mains.map_or(MAINS_V, Voltage::to_f64);
    let mut all = Vec::new();
    let line = wiring.named("line").zip(wiring.named("neutral")).filter(|_| on_line);
    if let Some((line, neutral)) = line {
        let ends = [line, neutral];
        all.push(Source { ends, tap: None, volts: Some(mains), is_line: true });
    }
    for part in sheet.parts.iter().filter(|p| is_power_transformer(p)) {
        for winding in &part.windings {
            let primary = winding.kind == WindingKind::Primary;
            // A primary on the line is the line's own source.
            if !primary || on_line && line.is_none() {
                all.extend(source(wiring, part, winding, mains));
            }
        }
    }
    all
}

/// A winding as a source, where its ends are on the sheet.
fn source(wiring: &Wiring, part: &Part, winding: &Winding, mains: f64) -> Option<Source> {
    let ends = [wiring.terminal(part, &winding.start)?, wiring.terminal(part, &winding.end)?];
    let tap = winding.tap.as_ref().and_then(|tap| wiring.terminal(part, tap));
    let told = winding.volts.map(Voltage::to_f64);
    let volts = match winding.kind {
        WindingKind::Primary => Some(told.unwrap_or(mains)),
        WindingKind::Heater => Some(told.unwrap_or(HEATER_V)),
        WindingKind::RectifierHeater => Some(told.unwrap_or(RECTIFIER_HEATER_V)),
        WindingKind::Secondary => told,
    };
    Some(Source { ends, tap, volts, is_line: winding.kind == WindingKind::Primary })
}

/// Resistances, capacitors and sources as branches; `None` where they do not
/// solve.
fn network(model: &Model, sources: &[Source], hertz: f64) -> Option<Network> {
    let mut branches: Vec<Branch> = model
        .net
        .elements()
        .filter_map(|(_, element)| match *element {
            Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } => {
                Some(Branch::resistance(a.index(), b.index(), ohms))
            }
            Element::Capacitor { a, b, farads } => {
                Some(Branch::reactance(a.index(), b.index(), TAU * hertz * farads))
            }
            _ => None,
        })
        .collect();
    let mut leaks = Vec::new();
    for source in sources {
        let nodes = [Some(source.ends[0]), source.tap, Some(source.ends[1])];
        let points: Vec<usize> =
            nodes.into_iter().flatten().map(|n| model.node(n).index()).collect();
        let behind = |pair: &[usize]| Branch::resistance(pair[0], pair[1], SOURCE_OHMS);
        branches.extend(points.windows(2).map(behind));
        leaks.extend(points);
    }
    Network::new(model.net.node_count(), &branches, &leaks, LEAK_OHMS)
}

/// The currents that stand for one volt of a source: node and amperes.
fn injected(model: &Model, source: &Source) -> Vec<(usize, f64)> {
    let at = |node: NodeIndex| model.node(node).index();
    let [first, last] = source.ends.map(at);
    let full = 1.0 / SOURCE_OHMS;
    // Both halves of a tapped winding drive half a volt through their own ohms:
    // what enters the tap from one leaves it by the other.
    let amps = if source.tap.is_some() { 0.5 * full } else { full };
    vec![(first, amps), (last, -amps)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::part::Place;

    fn rms(text: &str, place: &str) -> Option<f64> {
        let sheet = Sheet::read(text);
        let wiring = Wiring::of(&sheet);
        let place = match place.split_once('.') {
            Some((part, terminal)) => {
                Place::Terminal { part: part.to_owned(), terminal: terminal.to_owned() }
            }
            None => Place::Named(place.to_owned()),
        };
        at_nodes(&sheet, &wiring)[wiring.node(&place).unwrap()].rms()
    }

    #[test]
    fn a_rectifiers_plates_have_the_volts_of_their_half_and_b_plus_has_none() {
        let text = "T1 power primary 6 to 7 117 V, secondary 1 to 3 640 V tap 2, \
                    rectifier 4 to 5 5 V\nwire T1.6 to line\nwire T1.7 to neutral\nV1 5Y3GT 2=T1.4 8=T1.5 4=T1.1 6=T1.3\n\
                    R1 250 5 W T1.2 to chassis\nC1 20 mfd 450 V T1.5 to T1.2\n\
                    C2 20 mfd 450 V T1.5 to chassis";
        let plate = rms(text, "V1.4").unwrap();
        assert!((plate - 320.0).abs() < 1.0, "{plate}");
        // The whole filament is one output, but for the winding's own 5 V.
        assert!(rms(text, "V1.8").unwrap() < 0.1);
        assert!(rms(text, "V1.2").unwrap() < 5.1);
        assert!(rms(text, "T1.2").unwrap() < 0.1);
        // Either prong may be the live one.
        assert!((rms(text, "line").unwrap() - 117.0).abs() < 0.1);
        assert!((rms(text, "neutral").unwrap() - 117.0).abs() < 0.1);
    }

    #[test]
    fn a_heater_string_divides_the_line() {
        // 150 mA heaters: 50 of 110 V, and 25 of 110 V.
        let text = "supply series-string\nmains 110 V\nV1 50L6GT 2=line 7=mid\n\
                    R1 400 mid to low\nR2 0 low to neutral\nwire neutral to B-\nC1 .1 B- to B1";
        // 333.3 Ω ahead of 400 Ω: 110 · 400 / 733.3.
        assert!((rms(text, "mid").unwrap() - 60.0).abs() < 0.1);
        assert!((rms(text, "line").unwrap() - 110.0).abs() < 0.1);
    }

    #[test]
    fn a_capacitor_divides_as_a_phasor() {
        // 1 µF at 60 Hz is 2652.6 Ω; with 2652.6 Ω the node has 1/√2 of the line.
        let text = "supply series-string\nmains 100 V 60 Hz\nC1 1 mfd line to a\n\
                    R1 2652.58 ohm a to B-\nwire neutral to B-";
        assert!((rms(text, "a").unwrap() - 70.71).abs() < 0.02);
    }

    #[test]
    fn a_winding_without_volts_is_not_known_where_it_reaches() {
        let text = "T1 power primary line to neutral 117 V, secondary 1 to 3 tap 2\n\
                    wire T1.2 to chassis\nR1 100 T1.1 to a\nR2 1M b to chassis";
        assert_eq!(rms(text, "a"), None);
        assert_eq!(rms(text, "b"), Some(0.0));
        assert!(Alternating::Unknown.forbids_dc(400.0));
    }

    #[test]
    fn a_tenth_of_the_dc_or_ten_volts_forbids_it() {
        for (ac, dc, forbids) in
            [(5.0, 300.0, false), (11.0, 300.0, true), (6.3, 20.0, true), (0.5, -6.0, false)]
        {
            assert_eq!(Alternating::Rms { volts: ac }.forbids_dc(dc), forbids, "{ac} {dc}");
        }
        assert!(!Alternating::None.forbids_dc(0.0));
    }
}
