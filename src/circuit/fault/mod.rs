//! What an ohmmeter reads on a sound set, and what each single fault of its
//! wiring would make of every reading.
//!
//! The set is taken as it is wired: every pin, lug and named point a point of
//! its own. It is factored once; each fault is a few changed conductances.
//!
//! ```
//! use firstglow::circuit::fault::{Effects, Kind, Table};
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//!
//! let sheet = Sheet::read("V1 6J5 3=pl 5=gr 8=k\nR1 1K k to chassis\nR2 470K gr to chassis");
//! let table = Table::of(&sheet, &Wiring::of(&sheet)).unwrap();
//! let cathode = table.probes.iter().position(|p| p.place == firstglow::circuit::fault::Spot::Pin(0, 8));
//! let cathode = cathode.unwrap();
//! assert!((table.expected[cathode].ohms - 1000.0).abs() < 1.0);
//! // R1 open: the cathode reads open.
//! let open = table.faults.iter().position(|f| f.part == 1 && f.kind() == Kind::Open).unwrap();
//! assert_eq!(Effects::all(&table).ohms(&table, open, 0, cathode), f64::INFINITY);
//! ```
//!
//! Limits: direct current, tubes cold and in their sockets, controls in their
//! middle, switches closed as the sheet draws them; one fault at a time.
//! Capacitors pass nothing, so a capacitor that is open, or whose lead is on
//! the wrong pin, changes no reading and is told so.

mod harness;
mod list;
mod network;
mod probe;
mod words;

pub use harness::{Harness, Link, PointIndex, Tie, TieOf};
pub use network::{Change, Network, OPEN_OHMS, Port};
pub use probe::{Expected, Probe, Spot};

use crate::circuit::wiring::Wiring;
use crate::order;
use crate::sheet::Sheet;
use network::Changed;

/// What kind of thing went wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A part is open.
    Open,
    /// A part is short.
    Short,
    /// A resistance is off by more than its tolerance.
    Drifted,
    /// A capacitor leaks.
    Leaky,
    /// A lead or a wire is on the pin beside its own.
    Neighbour,
    /// What belongs on a tap is on an end of the winding.
    Tap,
    /// The leads of two sections of a can are exchanged.
    Swapped,
    /// A wire was left off.
    WireOff,
}

impl Kind {
    /// All kinds, in the order told.
    pub const ALL: [Self; 8] = [
        Self::Open,
        Self::Short,
        Self::Drifted,
        Self::Leaky,
        Self::Neighbour,
        Self::Tap,
        Self::Swapped,
        Self::WireOff,
    ];
}

/// What went wrong, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum How {
    /// The part is open; of several resistances the one between two points.
    Open(Option<Port>),
    /// The same, short.
    Short(Option<Port>),
    /// The wiper stands off its track.
    Wiper(PointIndex),
    /// Its resistance is too high.
    Up,
    /// Its resistance is too low.
    Down,
    /// It leaks.
    Leaky,
    /// One of its leads is on the pin beside the right one.
    Lead {
        /// 0 for the first lead, 1 for the second.
        end: usize,
        /// The tube, by its part.
        tube: usize,
        /// The pin it belongs on.
        pin: u8,
        /// The pin it is on.
        on: u8,
    },
    /// What belongs on the tap of a winding is on one of its ends.
    Tap {
        /// The tap's terminal.
        tap: String,
        /// The end's.
        end: String,
    },
    /// Its lead and that of another section are exchanged.
    Swapped {
        /// The other section, by its part.
        with: usize,
    },
    /// A wire was left off, by its tie.
    WireOff {
        /// The tie.
        tie: usize,
    },
    /// A wire to a pin is on the pin beside it.
    WireOn {
        /// The tie.
        tie: usize,
        /// The pin it is on.
        on: u8,
    },
}

/// One fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// The part concerned; of a wire the tube or part it goes to.
    pub part: usize,
    /// What went wrong.
    pub how: How,
    /// How likely it is before any reading, beside other faults.
    pub prior: f64,
    /// What it changes, in one or several strengths.
    pub variants: Vec<Vec<Change>>,
}

impl Fault {
    /// Its kind.
    pub const fn kind(&self) -> Kind {
        self.how.kind()
    }
}

/// What a fault does to one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// The probe.
    pub probe: usize,
    /// What it reads then, ohms; infinite where it is open.
    pub ohms: f64,
}

/// All readings of a sound set, and its faults.
#[derive(Debug, Clone)]
pub struct Table {
    /// The set as it is wired.
    pub harness: Harness,
    /// The readings, in the order of going.
    pub probes: Vec<Probe>,
    /// What a sound set reads.
    pub expected: Vec<Expected>,
    /// The faults.
    pub faults: Vec<Fault>,
    /// The readings as the network has them, open ones by their insulation.
    raw: Vec<f64>,
    network: Network,
}

impl Table {
    /// Works out every reading. `None` where the sheet names no chassis and no
    /// B-, or nothing is wired.
    pub fn of(sheet: &Sheet, wiring: &Wiring) -> Option<Self> {
        let harness = Harness::of(sheet, wiring)?;
        if harness.len < 2 {
            return None;
        }
        let ranks = probe::ranks(sheet, wiring, &harness);
        let mut network =
            Network::new(harness.len, harness.ground, &conductors(&harness), |p| ranks[p])?;
        let probes = probe::walk(sheet, wiring, &harness, &network);
        let forming = [conductors(&harness), probe::leaks(sheet, &harness)].concat();
        let leaky = Network::new(harness.len, harness.ground, &forming, |p| ranks[p]);
        let (raw, expected) = probe::expected(sheet, &harness, &mut network, leaky, &probes);
        let faults = list::faults(sheet, wiring, &harness);
        Some(Self { harness, probes, expected, faults, raw, network })
    }
}

/// What faults change.
#[derive(Debug, Clone)]
pub struct Effects {
    /// By fault and strength, in the order of the probes; empty where the fault
    /// was not followed.
    of: Vec<Vec<Vec<Effect>>>,
}

/// A reading that moves by less than this part of it is not followed.
const LEAST_MOVE: f64 = 1e-3;
/// The same, ohms.
const LEAST_OHMS: f64 = 0.05;
/// A change that sees less than this part of a probe's volts, and of its
/// current, does not move it.
const LEAST_REACH: f64 = 3e-3;
/// How many faults are followed at once, times the points of the set: what a
/// keystroke may cost on a set of thousands of parts. Own choice.
const MOST_WORK: usize = 3_000_000;

impl Effects {
    /// What every fault changes.
    pub fn all(table: &Table) -> Self {
        Self::of(table, |_| true)
    }

    /// What those faults change that may move any of these probes.
    pub fn near(table: &Table, probes: &[usize]) -> Self {
        let mut network = table.network.clone();
        // By the law of adjoint networks (Tellegen; any text of circuit
        // theory) a change is seen from a probe as the probe is from it.
        let columns: Vec<(Vec<f64>, f64)> = (probes.iter())
            .map(|probe| {
                let port = table.probes[*probe].port();
                let column = network.column(port);
                let whole = column[port.0] - column[port.1];
                (column, whole.abs().max(LEAST_OHMS))
            })
            .collect();
        let seen = |change: &Change| {
            let by = columns.iter().map(|(column, whole)| {
                let volts = (column[change.a] - column[change.b]).abs();
                // The same as a part of the probe's own volts, or of its current.
                volts * change.siemens.abs().max(1.0 / whole)
            });
            by.fold(0.0, f64::max)
        };
        let reach: Vec<f64> = (table.faults.iter())
            .map(|f| f.variants.iter().flatten().map(seen).fold(0.0, f64::max))
            .collect();
        let mut near: Vec<usize> = (0..reach.len()).filter(|f| reach[*f] > LEAST_REACH).collect();
        order::sort(&mut near, |fault| order::falling(reach[*fault]));
        near.truncate((MOST_WORK / table.harness.len).max(50));
        let mut wanted = vec![false; reach.len()];
        for fault in near {
            wanted[fault] = true;
        }
        Self::of(table, |fault| wanted[fault])
    }

    fn of(table: &Table, wanted: impl Fn(usize) -> bool) -> Self {
        let mut network = table.network.clone();
        let of = |(index, fault): (usize, &Fault)| {
            if wanted(index) {
                effects(table, &mut network, fault)
            } else {
                vec![Vec::new(); fault.variants.len()]
            }
        };
        Self { of: table.faults.iter().enumerate().map(of).collect() }
    }

    /// What a probe reads with a fault in one of its strengths, ohms; infinite
    /// where it is open.
    pub fn ohms(&self, table: &Table, fault: usize, variant: usize, probe: usize) -> f64 {
        let effects = self.changed(fault, variant);
        let found = effects.binary_search_by_key(&probe, |effect| effect.probe);
        found.map_or(table.expected[probe].ohms, |at| effects[at].ohms)
    }

    /// What a fault changes in one of its strengths, by probe.
    pub fn changed(&self, fault: usize, variant: usize) -> &[Effect] {
        &self.of[fault][variant]
    }
}

fn effects(table: &Table, network: &mut Network, fault: &Fault) -> Vec<Vec<Effect>> {
    let ports = fault.variants.first().into_iter().flatten();
    // The strengths of a fault change the same places.
    let columns: Vec<Vec<f64>> = ports.map(|c| network.column((c.a, c.b))).collect();
    let of = |changes: &Vec<Change>| {
        let Some(changed) = Changed::new(changes, &columns) else { return Vec::new() };
        let probes = table.probes.iter().zip(&table.expected).enumerate();
        probes
            .filter_map(|(probe, (place, sound))| {
                let ohms = changed.ohms(place.port(), table.raw[probe]);
                differ(ohms, sound.ohms).then_some(Effect { probe, ohms })
            })
            .collect()
    };
    fault.variants.iter().map(of).collect()
}

/// Whether two readings are to be told apart at all.
fn differ(one: f64, other: f64) -> bool {
    match (one.is_finite(), other.is_finite()) {
        (true, true) => (one - other).abs() > LEAST_OHMS.max(LEAST_MOVE * other),
        (false, false) => false,
        _ => true,
    }
}

/// Everything that conducts.
fn conductors(harness: &Harness) -> Vec<Change> {
    let links = harness.links.iter().map(|l| Change { a: l.a, b: l.b, siemens: l.siemens });
    let ties = harness.ties.iter().map(|t| Change { a: t.a, b: t.b, siemens: harness::TIE });
    links.chain(ties).collect()
}
