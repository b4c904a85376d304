//! The supplies of a set: which rectifiers feed which point from which winding.
//!
//! A rectifier unit feeds the set where one of its sides reaches the line or a
//! winding of the power transformer through no more than lamps, heaters and
//! resistors. What it stands on decides the topology.
//!
//! Limits: of several rectifiers on one output the strongest source counts; see
//! also those of the half-wave doublers.

mod cascade;
mod choke;
mod reach;

use super::law::Law;
use super::model::{Device, Model, View};
use super::netlist::NodeId;
use super::supply::{Supply, Topology};
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::{Rectification, Sheet, SupplyKind};
use crate::trade::tubes::UnitKind;
use cascade::Cascade;
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
    /// The capacitors that stand for the reservoir, by their part's index; of a
    /// doubler both.
    pub reservoir: Vec<usize>,
    /// Those of them that are the second of [`Supply::farads`].
    pub second: Vec<usize>,
    /// The doubler's capacitor that no direct current fixes, if it is one.
    pub held: Option<Hold>,
    /// The choke, where the filter begins with one.
    pub choke: Option<Choke>,
    /// Effective volts of the source, of one half where it is tapped, behind
    /// lamps and heater sections that are warm.
    pub source_rms: f64,
    /// The same with nothing ahead of the rectifier: what a cold string gives.
    pub open_rms: f64,
    /// What was taken for want of a figure.
    pub assumed: Vec<String>,
}

/// A capacitor whose volts only the rectifiers set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hold {
    /// Which of [`Supply::farads`].
    pub slot: usize,
    /// Its positive end.
    pub plus: NodeIndex,
    /// Its negative end.
    pub minus: NodeIndex,
    /// Its end on the source and the source's other end, which the source
    /// joins for direct current.
    pub source: Option<(NodeIndex, NodeIndex)>,
}

/// A choke that the filter begins with, and the capacitor after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Choke {
    /// Its part's index.
    pub part: usize,
    /// Its inductance.
    pub henries: f64,
    /// Ohms of its winding.
    pub ohms: f64,
    /// Farads from its far end to the supply's return.
    pub farads: f64,
    /// The capacitors that are these, by their part's index.
    pub capacitors: Vec<usize>,
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
    let finder = Finder { sheet, wiring, running, sources: &sources, ends: &ends };
    let cascades = finder.cascades();
    let taken: FxHashSet<usize> = cascades.iter().flat_map(|c| c.devices.iter().copied()).collect();
    let mut outputs: Vec<NodeIndex> = Vec::new();
    let mut seen = FxHashSet::default();
    let feeds_one = |e: &&Ends| e.plate.is_some() && e.cathode.is_none();
    for end in ends.iter().filter(feeds_one).filter(|e| !taken.contains(&e.index)) {
        let output = running.devices[end.index].cathode;
        if seen.insert(running.node(output)) {
            outputs.push(output);
        }
    }
    let left_out = (cascades.len() + outputs.len()).saturating_sub(MOST_FEEDS);
    let mut feeds: Vec<Feed> = cascades
        .into_iter()
        .map(|cascade| finder.doubled(cascade))
        .chain(outputs.into_iter().filter_map(|output| finder.feed(output)))
        .take(MOST_FEEDS)
        .collect();
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
        let held = (topology == Topology::DoublerFullWave).then_some(Hold {
            slot: 1,
            plus: middle,
            minus: back,
            source: None,
        });
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
        let stores = if topology == Topology::DoublerFullWave {
            [self.across(output, middle), self.across(middle, back)]
        } else {
            [self.across(output, back), Store::default()]
        };
        let share = if half { 0.5 } else { 1.0 };
        let found = Found { topology, back, share, output, devices, held, stores, ohms: 0.0 };
        Some(self.finish(found, first.index, reached))
    }

    /// The feed of a half-wave doubler.
    fn doubled(&self, cascade: Cascade) -> Feed {
        let Cascade { output, back, reached, ends: (plus, minus), .. } = cascade;
        let (far, common) = if cascade.negative { (plus, output) } else { (minus, back) };
        let first = cascade.devices[0];
        let law = |device: usize| self.running.devices[device].fit.law;
        let differ = cascade.devices.iter().any(|device| law(*device) != law(first));
        let found = Found {
            topology: Topology::DoublerHalfWave,
            back,
            share: if cascade.half { 0.5 } else { 1.0 },
            output,
            devices: cascade.devices,
            held: Some(Hold { slot: 0, plus, minus, source: Some((far, common)) }),
            stores: [
                Store { farads: cascade.farads, parts: cascade.series },
                self.across(output, back),
            ],
            ohms: cascade.ohms,
        };
        let mut feed = self.finish(found, first, reached);
        if differ {
            let part = &self.sheet.parts[self.running.devices[first].part];
            feed.assumed.push(format!(
                "The rectifiers of the doubler differ: all are taken as {}",
                part.designator
            ));
        }
        feed
    }

    /// The common plate of rectifiers whose cathodes are on the same source:
    /// the lower side of a bridge or doubler.
    fn down(&self, reached: Reached) -> Option<NodeIndex> {
        self.ends
            .iter()
            .find(|e| e.plate.is_none() && e.cathode.is_some_and(|c| c.source == reached.source))
            .map(|e| self.device(e).plate)
    }

    fn finish(&self, found: Found, first: usize, reached: Reached) -> Feed {
        let mut assumed = Vec::new();
        let source = &self.sources.all[reached.source];
        let thevenin = self.sources.thevenin(reached, found.share);
        let [one, two] = found.stores;
        let choke = if one.farads < LEAST_FARADS {
            self.choke(found.output, found.back, &mut assumed)
        } else {
            None
        };
        let short = match found.topology {
            Topology::DoublerHalfWave => two.farads < LEAST_FARADS,
            _ => one.farads < LEAST_FARADS && choke.is_none(),
        };
        let mut farads = [one.farads.max(1e-9), two.farads.max(1e-9)];
        if short {
            assumed.push("10 µF taken for the first filter: none stands from the rectifier's output to its return".to_owned());
            let known = found.topology == Topology::DoublerHalfWave;
            farads = [if known { farads[0] } else { USUAL_FARADS }, USUAL_FARADS];
        }
        let law = self.strongest(&found.devices).unwrap_or(self.running.devices[first].fit.law);
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
                source_ohms: thevenin.ohms + found.ohms,
                law,
                farads,
            },
            reservoir: one.parts.into_iter().chain(two.parts.iter().copied()).collect(),
            second: two.parts,
            held: found.held,
            choke,
            source_rms: rms,
            open_rms: self.sources.whole(reached, found.share),
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

    /// Farads that stand between two nodes, and their parts.
    fn across(&self, plus: NodeIndex, minus: NodeIndex) -> Store {
        let at = |n| self.running.node(n);
        let pair = (at(plus), at(minus));
        let mut store = Store::default();
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let Some(value) = part.capacitance else { continue };
            let Some((a, b)) = self.wiring.leads(part) else { continue };
            let ends = [(at(a), at(b)), (at(b), at(a))];
            if pair.0 != pair.1 && ends.contains(&pair) {
                store.farads += value.farads();
                store.parts.push(index);
            }
        }
        store
    }
}

/// A topology and its points.
struct Found {
    topology: Topology,
    back: NodeIndex,
    /// The part of the source that is used.
    share: f64,
    output: NodeIndex,
    devices: Vec<usize>,
    held: Option<Hold>,
    stores: [Store; 2],
    /// Ohms of each pulse besides the source's.
    ohms: f64,
}

/// Capacitors that stand parallel.
#[derive(Default)]
struct Store {
    farads: f64,
    parts: Vec<usize>,
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
