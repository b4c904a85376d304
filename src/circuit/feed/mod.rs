//! The supplies of a set: which rectifiers feed which point from which winding.
//!
//! A rectifier unit feeds the set where one of its sides reaches the line or a
//! winding of the power transformer through no more than lamps, heaters and
//! resistors. What it stands on decides the topology.
//!
//! Limits: half-wave doublers whose series capacitor stands before the
//! rectifier are told as not understood. Of several rectifiers on one output
//! the strongest source counts.

mod reach;

use super::law::Law;
use super::model::{Device, Model, View};
use super::netlist::NodeId;
use super::supply::{Supply, Topology};
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::{Rectification, Sheet, SupplyKind};
use crate::trade::tubes::UnitKind;
use reach::{Reached, Sources};
use rustc_hash::FxHashSet;

/// One supply of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// The rectifier units, by their index in [`Model::devices`].
    pub devices: Vec<usize>,
    /// The point it feeds.
    pub output: NodeIndex,
    /// The point its current comes back to.
    pub back: NodeIndex,
    /// The supply at the nominal line.
    pub supply: Supply,
    /// The capacitors that stand for the reservoir, by their part's index.
    pub reservoir: Vec<usize>,
    /// The choke, by its part's index, where the filter begins with one.
    pub choke: Option<usize>,
    /// Effective volts of the source, of one half where it is tapped, behind
    /// lamps and heater sections that are warm.
    pub source_rms: f64,
    /// The same with nothing ahead of the rectifier: what a cold string gives.
    pub open_rms: f64,
    /// What was taken for want of a figure.
    pub assumed: Vec<String>,
}

/// The most supplies that are computed: no set has as many.
const MOST_FEEDS: usize = 8;
/// The least reservoir; what is smaller is a radio-frequency bypass.
const LEAST_FARADS: f64 = 0.5e-6;
/// The reservoir taken where the sheet shows none.
const USUAL_FARADS: f64 = 10e-6;

/// Finds the supplies of a set.
pub fn find(sheet: &Sheet, wiring: &Wiring, running: &Model) -> Vec<Feed> {
    if matches!(sheet.header.supply, Some(SupplyKind::Battery)) {
        return Vec::new();
    }
    let side = Model::of(sheet, wiring, View::Alternating);
    let sources = Sources::of(sheet, wiring, &side);
    let ends: Vec<Ends> = running
        .devices
        .iter()
        .enumerate()
        .filter(|(_, d)| d.kind == UnitKind::Rectifier && d.plate != d.cathode)
        .map(|(index, d)| {
            let (plate, cathode) =
                sides(sources.reach(side.node(d.plate)), sources.reach(side.node(d.cathode)));
            Ends { index, plate, cathode }
        })
        .collect();
    let mut outputs: Vec<NodeIndex> = Vec::new();
    let mut seen = FxHashSet::default();
    for end in ends.iter().filter(|e| e.plate.is_some() && e.cathode.is_none()) {
        let output = running.devices[end.index].cathode;
        if seen.insert(running.node(output)) {
            outputs.push(output);
        }
    }
    let finder = Finder { sheet, wiring, running, sources: &sources, ends: &ends };
    let left_out = outputs.len().saturating_sub(MOST_FEEDS);
    let mut feeds: Vec<Feed> =
        outputs.into_iter().take(MOST_FEEDS).filter_map(|output| finder.feed(output)).collect();
    if let (Some(first), true) = (feeds.first_mut(), left_out > 0) {
        first.assumed.push(format!(
            "{left_out} rectifiers more feed points of their own: they are left out of the voltages"
        ));
    }
    feeds
}

/// Ohms within which a side is on the alternating side for sure: no direct
/// supply is loaded by so little.
const NEAR_OHMS: f64 = 300.0;

/// Which of a rectifier's sides are on the alternating side: those that are
/// near it, or else the nearer one. The other may reach it through a bleeder.
fn sides(plate: Option<Reached>, cathode: Option<Reached>) -> (Option<Reached>, Option<Reached>) {
    let ohms = |r: Option<Reached>| r.map_or(f64::INFINITY, |r| r.ohms);
    let nearest = ohms(plate).min(ohms(cathode));
    let on = |r: Option<Reached>| r.filter(|r| r.ohms <= NEAR_OHMS.max(nearest));
    (on(plate), on(cathode))
}

/// Where the two sides of a rectifier reach the alternating side.
struct Ends {
    index: usize,
    plate: Option<Reached>,
    cathode: Option<Reached>,
}

struct Finder<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    running: &'a Model,
    sources: &'a Sources,
    ends: &'a [Ends],
}

impl Finder<'_> {
    fn device(&self, ends: &Ends) -> &Device {
        &self.running.devices[ends.index]
    }

    /// The feed of one output.
    fn feed(&self, output: NodeIndex) -> Option<Feed> {
        let at = self.running.node(output);
        let mut up: Vec<(&Ends, Reached)> = self
            .ends
            .iter()
            .filter(|e| e.cathode.is_none() && self.running.node(self.device(e).cathode) == at)
            .filter_map(|e| Some((e, e.plate?)))
            .collect();
        let source = up.first()?.1.source;
        up.retain(|(_, r)| r.source == source);
        let (first, reached) = *up.first()?;
        let opposite = up.iter().find(|(_, r)| r.end != reached.end);
        let down = self.down(reached);
        let source = &self.sources.all[reached.source];
        let (topology, back) = match (opposite, source.tap, down) {
            (Some(_), Some(tap), _) => (Topology::FullWave, tap),
            (Some(_), None, Some(down)) => (Topology::Bridge, down),
            (Some(_), None, None) => (Topology::FullWave, source.end(!reached.end)),
            (None, _, Some(down)) => (Topology::DoublerFullWave, down),
            (None, Some(tap), None) => (Topology::HalfWave, tap),
            (None, None, None) => (Topology::HalfWave, source.end(!reached.end)),
        };
        let half = source.tap.is_some() && topology != Topology::Bridge;
        let middle = source.end(!reached.end);
        let mut devices: Vec<usize> = up.iter().map(|(e, _)| e.index).collect();
        if matches!(topology, Topology::Bridge | Topology::DoublerFullWave) {
            let back_at = self.running.node(back);
            devices.extend(
                self.ends
                    .iter()
                    .filter(|e| {
                        e.plate.is_none() && self.running.node(self.device(e).plate) == back_at
                    })
                    .map(|e| e.index),
            );
        }
        Some(self.finish(Found { topology, back, half, middle, output, devices }, first, reached))
    }

    /// The common plate of rectifiers whose cathodes are on the same source:
    /// the lower side of a bridge or doubler.
    fn down(&self, reached: Reached) -> Option<NodeIndex> {
        self.ends
            .iter()
            .find(|e| e.plate.is_none() && e.cathode.is_some_and(|c| c.source == reached.source))
            .map(|e| self.device(e).plate)
    }

    fn finish(&self, found: Found, first: &Ends, reached: Reached) -> Feed {
        let mut assumed = Vec::new();
        let source = &self.sources.all[reached.source];
        let share = if found.half { 0.5 } else { 1.0 };
        let thevenin = self.sources.thevenin(reached, share);
        let (farads, reservoir) = self.reservoir(&found);
        let choke = if farads[0] < LEAST_FARADS { self.choke(found.output) } else { None };
        let farads = if farads[0] >= LEAST_FARADS || choke.is_some() {
            [farads[0].max(1e-9), farads[1].max(1e-9)]
        } else {
            assumed.push("10 µF taken for the first filter: none stands from the rectifier's output to its return".to_owned());
            [USUAL_FARADS; 2]
        };
        let law = self.strongest(&found.devices).unwrap_or(self.device(first).fit.law);
        let hertz = self
            .sheet
            .header
            .frequency
            .map_or(60.0, super::super::trade::quantity::Frequency::to_f64);
        let hertz = if hertz > 0.0 { hertz } else { 60.0 };
        assumed.extend(source.assumed.iter().cloned());
        let rms = thevenin.volts;
        Feed {
            devices: found.devices,
            output: found.output,
            back: found.back,
            supply: Supply {
                topology: found.topology,
                peak_volts: rms * std::f64::consts::SQRT_2,
                hertz,
                source_ohms: thevenin.ohms,
                law,
                farads,
            },
            reservoir,
            choke,
            source_rms: rms,
            open_rms: self.sources.whole(reached, share),
            assumed,
        }
    }

    /// The law of plates that share a winding's end: their perveances add.
    fn strongest(&self, devices: &[usize]) -> Option<Law> {
        let laws: Vec<Law> = devices.iter().map(|d| self.running.devices[*d].fit.law).collect();
        let ends: Vec<NodeId> =
            devices.iter().map(|d| self.running.node(self.running.devices[*d].plate)).collect();
        let together = ends.iter().filter(|e| Some(*e) == ends.first()).count();
        match laws.first()? {
            Law::Vacuum { perveance } if together > 1 => {
                let count = u32::try_from(together).unwrap_or(1);
                Some(Law::Vacuum { perveance: perveance * f64::from(count) })
            }
            law => Some(*law),
        }
    }

    /// Farads that stand from output to return, and their parts; of a doubler
    /// the upper and the lower ones.
    fn reservoir(&self, found: &Found) -> ([f64; 2], Vec<usize>) {
        let at = |n| self.running.node(n);
        let (output, back, middle) = (at(found.output), at(found.back), at(found.middle));
        let pairs = if found.topology == Topology::DoublerFullWave {
            [(output, middle), (middle, back)]
        } else {
            [(output, back), (NodeId::GROUND, NodeId::GROUND)]
        };
        let mut farads = [0.0; 2];
        let mut parts = Vec::new();
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let Some(value) = part.capacitance else { continue };
            let Some((a, b)) = self.wiring.leads(part) else { continue };
            let ends = [(at(a), at(b)), (at(b), at(a))];
            for (slot, pair) in pairs.iter().enumerate() {
                if pair.0 != pair.1 && ends.contains(pair) {
                    farads[slot] += value.farads();
                    parts.push(index);
                }
            }
        }
        (farads, parts)
    }

    /// A coil that meets the output.
    fn choke(&self, output: NodeIndex) -> Option<usize> {
        use crate::sheet::part::PartKind;
        let at = self.running.node(output);
        self.sheet.parts.iter().position(|part| {
            part.kind == PartKind::Coil
                && self
                    .wiring
                    .leads(part)
                    .is_some_and(|(a, b)| self.running.node(a) == at || self.running.node(b) == at)
        })
    }
}

/// A topology and its points.
struct Found {
    topology: Topology,
    back: NodeIndex,
    half: bool,
    middle: NodeIndex,
    output: NodeIndex,
    devices: Vec<usize>,
}

/// The sheet's own word for a topology.
pub const fn rectification(topology: Topology) -> Rectification {
    match topology {
        Topology::HalfWave => Rectification::HalfWave,
        Topology::FullWave => Rectification::FullWave,
        Topology::Bridge => Rectification::Bridge,
        Topology::DoublerFullWave | Topology::DoublerHalfWave => Rectification::Doubler,
    }
}
