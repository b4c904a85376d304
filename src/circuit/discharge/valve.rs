//! The discharge through what conducts above a voltage of its own: a glow tube
//! that is still lit, a rectifier that lets one capacitor fill another.
//!
//! Purpose: between two changes each of these is a resistance behind a fixed
//! voltage, so the network is linear; the moment at which one goes out, or
//! begins to conduct, is found within the step and the network made anew.
//!
//! ```
//! use firstglow::circuit::discharge::{Fall, Valve, discharge_through};
//! use firstglow::circuit::netlist::{Netlist, NodeId};
//! use firstglow::circuit::solver::SourcesAs;
//!
//! // 10 uF at 250 V through 10 kΩ into a tube that holds 150 V and goes out
//! // there; 1 MΩ then takes it from 150 V to 50 V in 10 s ln 3.
//! let mut net = Netlist::new();
//! let [top, tube] = ["B+", "tube"].map(|name| net.node(name));
//! net.capacitor("C1", top, NodeId::GROUND, 10e-6)?;
//! net.resistor("R1", top, tube, 10e3)?;
//! net.resistor("R2", top, NodeId::GROUND, 1e6)?;
//! let lit = Valve::glow(tube, NodeId::GROUND, 150.0, 200.0, 185.0);
//! let story = discharge_through(&net, &[0.0, 250.0, 150.0], 50.0, SourcesAs::Open, &[lit])?;
//! let Fall::After { seconds } = story.falls[0].fall else { panic!() };
//! assert!((11.0..11.9).contains(&seconds), "{seconds}");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Limits: the law is a straight line. A glow goes out where that line has no
//! current left; a real one a little above.

use super::super::netlist::{Netlist, NodeId};
use super::super::solver::{Joined, SolveError, SourcesAs};
use super::watch::Watch;
use super::{
    Capacitor, CapacitorFall, Discharge, FIRST_STEP, Fall, GROWTH, HORIZON, Network, across,
    capacitors, final_volts, follow,
};

/// Amperes below which a valve counts as out: they move 100 µF by a volt in
/// ten seconds. Own choice.
const OUT_AMPS: f64 = 10e-6;
/// Changes that are followed: far more than a set has.
const MOST_CHANGES: usize = 200;
/// Halvings of a step to find a change within it: to a millionth.
const HALVINGS: usize = 20;
/// Volts above a rectifier's own at which it begins to conduct.
const BEGINS_VOLTS: f64 = 0.5;

/// What conducts above a voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Valve {
    plate: NodeId,
    cathode: NodeId,
    volts: f64,
    ohms: f64,
    begins: f64,
    conducts: bool,
    glows: bool,
}

impl Valve {
    /// A lit glow tube: it passes `(v - volts)/ohms` until nothing is left, and
    /// lights again only at `start` volts.
    pub const fn glow(plate: NodeId, cathode: NodeId, volts: f64, ohms: f64, start: f64) -> Self {
        Self { plate, cathode, volts, ohms, begins: start, conducts: true, glows: true }
    }

    /// A rectifier that conducts whenever it is driven.
    pub const fn rectifier(plate: NodeId, cathode: NodeId, volts: f64, ohms: f64) -> Self {
        let begins = volts + BEGINS_VOLTS;
        Self { plate, cathode, volts, ohms, begins, conducts: false, glows: false }
    }
}

/// Follows all capacitors as [`super::discharge`] does, with `valves` besides
/// the resistors.
///
/// # Errors
/// When the netlist's wires contradict, or its equations fix no answer.
pub fn discharge_through(
    net: &Netlist,
    start: &[f64],
    limit: f64,
    sources: SourcesAs,
    valves: &[Valve],
) -> Result<Discharge, SolveError> {
    if valves.is_empty() {
        return super::discharge(net, start, limit, sources);
    }
    let mut course = Course::new(net, start, limit, sources, valves)?;
    course.run()?;
    course.tell()
}

impl Fall {
    /// For ordering: never above, after a time, never below.
    const fn length(self) -> (u8, f64) {
        match self {
            Self::Below => (0, 0.0),
            Self::After { seconds } => (1, seconds),
            Self::Stays { volts } => (2, volts.abs()),
        }
    }
}

impl Discharge {
    /// Of two courses of the same capacitors each one's longer fall, with its
    /// volts over time.
    #[must_use]
    pub fn longer(&self, other: &Self) -> Self {
        self.merged(other, |own, new| new.fall.length() > own.fall.length())
    }

    /// Of two courses of the same capacitors from different states each one's
    /// with the higher volts at its start, with its volts over time.
    #[must_use]
    pub fn higher(&self, other: &Self) -> Self {
        self.merged(other, |own, new| new.start_volts.abs() > own.start_volts.abs())
    }

    /// Of two courses each capacitor's own, or the other's where that is worse.
    fn merged(
        &self,
        other: &Self,
        is_worse: impl Fn(&CapacitorFall, &CapacitorFall) -> bool,
    ) -> Self {
        let chosen: Vec<(&Self, CapacitorFall)> = self
            .falls
            .iter()
            .zip(&other.falls)
            .map(|(own, new)| if is_worse(own, new) { (other, *new) } else { (self, *own) })
            .collect();
        let end = |course: &Self| course.seconds.last().copied().unwrap_or(0.0);
        let seconds = if end(other) > end(self) { &other.seconds } else { &self.seconds };
        let row = |time: &f64| -> Vec<f64> {
            let each = chosen.iter().enumerate();
            each.map(|(at, (course, _))| course.volts_at(at, *time)).collect()
        };
        Self {
            falls: chosen.iter().map(|(_, fall)| *fall).collect(),
            seconds: seconds.clone(),
            volts: seconds.iter().map(row).collect(),
        }
    }

    /// Volts of a capacitor at a time, straight between the samples.
    fn volts_at(&self, at: usize, seconds: f64) -> f64 {
        let next = self.seconds.partition_point(|s| *s < seconds);
        let after = next.min(self.seconds.len().saturating_sub(1));
        let before = next.saturating_sub(1).min(after);
        let (from, to) = (self.seconds[before], self.seconds[after]);
        let share = if to > from { ((seconds - from) / (to - from)).min(1.0) } else { 0.0 };
        self.volts[before][at] + share * (self.volts[after][at] - self.volts[before][at])
    }
}

/// The time at which something was, with the volts of all unknowns and their
/// slopes.
type Sample = (f64, Vec<f64>, Vec<f64>);

struct Course<'a> {
    net: &'a Netlist,
    start: &'a [f64],
    limit: f64,
    sources: SourcesAs,
    valves: Vec<Valve>,
    samples: Vec<Sample>,
}

impl<'a> Course<'a> {
    fn new(
        net: &'a Netlist,
        start: &'a [f64],
        limit: f64,
        sources: SourcesAs,
        valves: &[Valve],
    ) -> Result<Self, SolveError> {
        let joined = Joined::new(net, sources)?;
        let volts: Vec<f64> = joined
            .representatives()
            .map(|node| start.get(node.index()).copied().unwrap_or(0.0))
            .chain([0.0])
            .collect();
        let slope = vec![0.0; volts.len()];
        let samples = vec![(0.0, volts, slope)];
        Ok(Self { net, start, limit, sources, valves: valves.to_vec(), samples })
    }

    /// Follows every change until none can come.
    fn run(&mut self) -> Result<(), SolveError> {
        for _ in 0..MOST_CHANGES {
            if !self.is_open() || !self.until_change()? {
                break;
            }
        }
        Ok(())
    }

    /// Whether a change may come: something conducts, or may begin to.
    fn is_open(&self) -> bool {
        self.valves.iter().any(|valve| valve.conducts || !valve.glows)
    }

    /// Follows one network until a valve changes; tells whether one did.
    fn until_change(&mut self) -> Result<bool, SolveError> {
        let (joined, capacitors) = self.joined()?;
        let mut network = self.network(&joined, &capacitors);
        let undefined = |row| joined.undefined(self.net, row);
        let (mut time, before, _) = self.last();
        network.volts = before;
        let since = time;
        let mut step = FIRST_STEP;
        while time < HORIZON && !self.is_low(&capacitors, &network) {
            let before = network.volts.clone();
            network.advance(step).map_err(undefined)?;
            if self.changed(&joined, &network).is_some() {
                let (mut low, mut high) = (0.0, step);
                for _ in 0..HALVINGS {
                    let middle = 0.5 * (low + high);
                    network.volts.clone_from(&before);
                    network.advance(middle).map_err(undefined)?;
                    let over = self.changed(&joined, &network).is_some();
                    (low, high) = if over { (low, middle) } else { (middle, high) };
                }
                network.volts.clone_from(&before);
                network.advance(high).map_err(undefined)?;
                time += high;
                let changed = self.changed(&joined, &network);
                self.samples.push((time, network.volts, network.slope));
                if let Some(valve) = changed {
                    self.valves[valve].conducts ^= true;
                }
                return Ok(changed.is_some());
            }
            time += step;
            self.samples.push((time, network.volts.clone(), network.slope.clone()));
            step = FIRST_STEP + GROWTH * (time - since);
        }
        Ok(false)
    }

    /// The netlist with the valves that conduct, and its capacitors.
    fn joined(&self) -> Result<(Joined, Vec<Capacitor>), SolveError> {
        let mut net = self.net.clone();
        for valve in self.lit() {
            // Two nodes that are there already, and ohms above zero.
            let _ = net.resistor("valve", valve.plate, valve.cathode, valve.ohms);
        }
        let joined = Joined::new(&net, self.sources)?;
        let capacitors = capacitors(&net, &joined, self.start);
        Ok((joined, capacitors))
    }

    /// The network of it.
    fn network<'c>(&self, joined: &Joined, capacitors: &'c [Capacitor]) -> Network<'c> {
        let mut network = Network::new(joined, capacitors, self.start);
        for valve in self.lit() {
            let amps = valve.volts / valve.ohms;
            let ends = [(joined.place(valve.plate), amps), (joined.place(valve.cathode), -amps)];
            network.drive.extend(ends);
        }
        network
    }

    /// The valves that conduct.
    fn lit(&self) -> impl Iterator<Item = &Valve> {
        self.valves.iter().filter(|valve| valve.conducts)
    }

    /// A valve whose state no longer fits the volts.
    fn changed(&self, joined: &Joined, network: &Network) -> Option<usize> {
        let at = |node| network.volts[joined.place(node)];
        self.valves.iter().position(|valve| {
            let volts = at(valve.plate) - at(valve.cathode);
            if valve.conducts {
                volts - valve.volts <= OUT_AMPS * valve.ohms
            } else {
                volts >= valve.begins
            }
        })
    }

    /// Whether every capacitor is so low that nothing can matter any more.
    fn is_low(&self, capacitors: &[Capacitor], network: &Network) -> bool {
        capacitors.iter().all(|c| across(c, &network.volts).abs() < 0.5 * self.limit)
    }

    fn last(&self) -> Sample {
        self.samples.last().cloned().unwrap_or_default()
    }

    /// Tells the capacitors' falls from the samples, and what follows them with
    /// nothing conducting.
    fn tell(mut self) -> Result<Discharge, SolveError> {
        let (time, volts, _) = self.last();
        for valve in &mut self.valves {
            valve.conducts = false;
        }
        let (joined, capacitors) = self.joined()?;
        let mut network = self.network(&joined, &capacitors);
        let now: Vec<Capacitor> =
            capacitors.iter().map(|c| Capacitor { start: across(c, &volts), ..*c }).collect();
        let ends = final_volts(self.net, &joined, &now)?;
        let mut watch = Watch::new(&capacitors, ends, self.limit);
        for (time, volts, slope) in std::mem::take(&mut self.samples) {
            (network.volts, network.slope) = (volts, slope);
            watch.sample(time, &network, &capacitors);
        }
        network.volts = volts;
        // After the horizon nothing follows.
        if time < HORIZON {
            follow(&mut network, &mut watch, &capacitors, time)
                .map_err(|row| joined.undefined(self.net, row))?;
        }
        Ok(watch.finish(&capacitors))
    }
}
