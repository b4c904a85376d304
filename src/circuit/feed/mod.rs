//! The supplies of a set: which rectifiers feed which point from which winding.
//!
//! A rectifier feeds the set where one of its sides reaches the line or a
//! winding of the power transformer through no more than lamps, heaters and
//! resistors, and what its other side feeds leads back to that winding. Which
//! side that is tells the sign; what the winding's other terminals meet tells
//! the topology.
//!
//! Limits: two supplies on one winding do not flatten each other's crests. See
//! also the limits of the half-wave doublers.

mod adopt;
mod cascade;
mod choke;
mod closed;
mod ends;
mod filter;
mod left;
mod reach;
mod source;
mod topology;
mod unsolved;

use super::law::Law;
use super::model::{Device, Model, View};
use super::netlist::NodeId;
use super::supply::{Supply, Topology};
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::part::Part;
use crate::sheet::{Rectification, Sheet, SupplyKind};
use crate::trade::quantity::Frequency;
use cascade::Cascade;
use closed::Paths;
use ends::Ends;
use reach::{Reached, Sources};
pub use unsolved::{Missing, Reach, Unsolved};

/// One supply of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// The rectifier units, by their index in [`Model::devices`].
    pub devices: Vec<usize>,
    /// The positive end of what it gives.
    pub output: NodeIndex,
    /// The negative end.
    pub back: NodeIndex,
    /// Whether it feeds the negative end: the other one is on its source.
    pub negative: bool,
    /// The supply at the nominal line.
    pub supply: Supply,
    /// Its source, by its index among those of the set.
    pub source: usize,
    /// The capacitors that stand for the reservoir, by their part's index; of a
    /// doubler both.
    pub reservoir: Vec<usize>,
    /// Those of them that are the second of [`Supply::farads`].
    pub second: Vec<usize>,
    /// The doubler's capacitor that no direct current fixes, if it is one.
    pub held: Option<Hold>,
    /// The choke, where the filter begins with one.
    pub choke: Option<Choke>,
    /// Ohms between the source and the reservoir that the load's current
    /// passes, too: volts from `output` to `back` are more by their drop.
    pub return_ohms: f64,
    /// Points whose direct voltage the circuit does not tell: between a winding
    /// and a rectifier, or between rectifiers.
    pub pulsating: Vec<NodeIndex>,
    /// How many crests each rectifier sees the wrong way round.
    pub inverse_crests: f64,
    /// Effective volts of the source, of one half where it is tapped, behind
    /// lamps and heater sections that are warm.
    pub source_rms: f64,
    /// The same with nothing ahead of the rectifier: what a cold string gives.
    pub open_rms: f64,
    /// What was taken for want of a figure.
    pub assumed: Vec<String>,
}

impl Feed {
    /// The point that it feeds.
    pub const fn fed(&self) -> NodeIndex {
        if self.negative { self.back } else { self.output }
    }

    /// The point that its current comes back to.
    pub const fn common(&self) -> NodeIndex {
        if self.negative { self.output } else { self.back }
    }
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

/// Ohms within which a side is on the alternating side for sure: no direct
/// supply is loaded by so little.
const NEAR_OHMS: f64 = 300.0;

/// What is found of a set's supplies.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Supplies {
    /// Those that can be solved.
    pub feeds: Vec<Feed>,
    /// Those that cannot.
    pub unsolved: Vec<Unsolved>,
}

/// Finds the supplies of a set. Small diodes of tubes that rectify what a
/// source gives become rectifiers in `running`.
pub fn find(sheet: &Sheet, wiring: &Wiring, running: &mut Model) -> Supplies {
    if matches!(sheet.header.supply, Some(SupplyKind::Battery)) {
        return Supplies::default();
    }
    let side = Model::of(sheet, wiring, View::Alternating);
    let sources = Sources::of(sheet, wiring, &side, source::sources(sheet, wiring, &side));
    adopt::diodes(sheet, running, &sources);
    let ends = ends::all(sheet, wiring, running, &sources);
    let paths = Paths::of(sheet, running);
    let finder = Finder { sheet, wiring, running, sources: &sources, ends: &ends, paths };
    let mut found = Supplies::default();
    let mut taken = vec![false; ends.len()];
    for cascade in finder.cascades() {
        finder.take(&cascade.devices, &mut taken);
        match finder.doubled(cascade) {
            Ok(feed) => found.feeds.push(feed),
            Err(unsolved) => found.unsolved.push(*unsolved),
        }
    }
    while let Some(at) = taken.iter().position(|taken| !taken) {
        let Some(group) = finder.group(at, &taken) else {
            taken[at] = true;
            continue;
        };
        let (members, result) = finder.supply(&group, &taken);
        for member in members {
            taken[member] = true;
        }
        match result {
            Ok(feed) => found.feeds.push(*feed),
            Err(unsolved) => found.unsolved.push(*unsolved),
        }
    }
    for feed in found.feeds.split_off(found.feeds.len().min(MOST_FEEDS)) {
        found.unsolved.push(unsolved_feed(running, &feed, Missing::TooMany));
    }
    finder.left_over(&mut found);
    found
}

/// A supply that is closed and yet cannot be solved.
pub fn unsolved_feed(running: &Model, feed: &Feed, missing: Missing) -> Unsolved {
    let mut rectifiers: Vec<usize> =
        feed.devices.iter().map(|device| running.devices[*device].part).collect();
    rectifiers.dedup();
    let mut points = vec![feed.output, feed.back];
    points.extend(&feed.pulsating);
    Unsolved {
        rectifiers,
        transformer: None,
        output: Some(feed.fed()),
        missing,
        place: None,
        peak_volts: Some(
            feed.open_rms * std::f64::consts::SQRT_2 * feed.supply.topology.multiple(),
        ),
        reach: Reach::Points(points),
    }
}

struct Finder<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    running: &'a Model,
    sources: &'a Sources,
    ends: &'a [Ends],
    paths: Paths,
}

impl Finder<'_> {
    fn at(&self, node: NodeIndex) -> NodeId {
        self.running.node(node)
    }

    /// The unit that stands for a rectifier.
    fn device(&self, ends: &Ends) -> &Device {
        &self.running.devices[ends.first()]
    }

    /// The part of a rectifier.
    fn part(&self, ends: &Ends) -> &Part {
        &self.sheet.parts[self.device(ends).part]
    }

    fn take(&self, devices: &[usize], taken: &mut [bool]) {
        for (index, ends) in self.ends.iter().enumerate() {
            taken[index] |= ends.devices.iter().any(|device| devices.contains(device));
        }
    }

    /// The feed of a half-wave doubler.
    fn doubled(&self, cascade: Cascade) -> Result<Feed, Box<Unsolved>> {
        let Cascade { output, back, reached, ends: (plus, minus), common, .. } = cascade;
        let (far, near) = if cascade.negative { (plus, output) } else { (minus, back) };
        let source = &self.sources.all[reached.source];
        let law = |device: usize| self.running.devices[device].fit.law;
        let first = cascade.devices[0];
        let (fed, returns) = if cascade.negative { (back, output) } else { (output, back) };
        if let Some((missing, place)) = self.unfit(reached.source).or_else(|| {
            (!self.paths.closes(self.at(fed), self.at(returns))).then_some((Missing::Return, None))
        }) {
            let members: Vec<usize> = (0..self.ends.len())
                .filter(|i| self.ends[*i].devices.iter().any(|d| cascade.devices.contains(d)))
                .collect();
            let mut unsolved = self.unsolved(&members, reached.source, Some(fed), missing, place);
            unsolved.peak_volts = unsolved.peak_volts.map(|volts| 2.0 * volts);
            return Err(Box::new(unsolved));
        }
        let differ = cascade.devices.iter().any(|device| law(*device) != law(first));
        let thevenin = self.sources.thevenin(reached, common);
        let found = Found {
            topology: Topology::DoublerHalfWave,
            output,
            back,
            negative: cascade.negative,
            devices: cascade.devices,
            law: law(first),
            held: Some(Hold { slot: 0, plus, minus, source: Some((far, near)) }),
            stores: [
                Store { farads: cascade.farads, parts: cascade.series },
                self.across(output, back),
            ],
            source: reached.source,
            thevenin,
            ohms: cascade.ohms,
            assumed: source.assumed.clone(),
            pulsating: Vec::new(),
        };
        let mut feed = self.finish(found);
        if differ {
            let part = &self.sheet.parts[self.running.devices[first].part];
            feed.assumed.push(format!(
                "The rectifiers of the doubler differ: all are taken as {}",
                part.designator
            ));
        }
        Ok(feed)
    }

    fn finish(&self, mut found: Found) -> Feed {
        let mut assumed = std::mem::take(&mut found.assumed);
        let mut filter = self.filter(&mut found, &mut assumed);
        let [one, two] = &found.stores;
        let short = match found.topology {
            Topology::DoublerHalfWave => two.farads < LEAST_FARADS,
            _ => one.farads < LEAST_FARADS && filter.choke.is_none(),
        };
        let mut farads = [one.farads.max(1e-9), two.farads.max(1e-9)];
        if short {
            assumed.push("10 µF taken for the first filter: none stands from the rectifier's output to its return".to_owned());
            let known = found.topology == Topology::DoublerHalfWave;
            farads = [if known { farads[0] } else { USUAL_FARADS }, USUAL_FARADS];
        }
        let hertz = self.sheet.header.frequency.map_or(60.0, Frequency::to_f64);
        let hertz = if hertz > 0.0 { hertz } else { 60.0 };
        filter.pulsating.append(&mut found.pulsating);
        let [one, two] = found.stores;
        Feed {
            devices: found.devices,
            output: found.output,
            back: found.back,
            negative: found.negative,
            source: found.source,
            supply: Supply {
                topology: found.topology,
                peak_volts: found.thevenin.volts * std::f64::consts::SQRT_2,
                hertz,
                source_ohms: found.thevenin.ohms + found.ohms + filter.source_ohms,
                law: found.law,
                farads,
            },
            reservoir: one.parts.into_iter().chain(two.parts.iter().copied()).collect(),
            second: two.parts,
            held: found.held,
            choke: filter.choke,
            return_ohms: filter.return_ohms,
            pulsating: filter.pulsating,
            // Off, a plate of a tapped winding or of a half wave sees its own
            // crest and the capacitor's; a bridge's sees one of them.
            inverse_crests: if found.topology == Topology::Bridge { 1.0 } else { 2.0 },
            source_rms: found.thevenin.volts,
            open_rms: found.thevenin.open_volts,
            assumed,
        }
    }
}

/// A topology and its points.
struct Found {
    topology: Topology,
    output: NodeIndex,
    back: NodeIndex,
    negative: bool,
    devices: Vec<usize>,
    law: Law,
    held: Option<Hold>,
    stores: [Store; 2],
    source: usize,
    thevenin: reach::Thevenin,
    /// Ohms of each pulse besides the source's.
    ohms: f64,
    assumed: Vec<String>,
    pulsating: Vec<NodeIndex>,
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
