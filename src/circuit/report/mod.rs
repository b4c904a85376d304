//! What the circuit says of every node, part and tube of a set.
//!
//! ```
//! use firstglow::circuit::report::report;
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read("R1 100K B1 to chassis");
//! let report = report(&sheet);
//! assert!(report.trouble.is_some(), "nothing feeds it");
//! ```
//!
//! Limits: direct current and cycle averages. A set that is partly connected
//! is told as far as it goes; what was taken for want of a figure is listed.
//!
//! # Stability
//! The field names serialised here are stable: fields may be added, none is
//! renamed or dropped. Volts are against `reference`; numbers carry their unit
//! in the name.

mod bands;
mod choke;
mod doubler;
mod fall;
mod leakage;
pub(super) mod resistance;
mod stress;
mod supply;
mod tubes;

use super::model::{Assumption, Model, View};
use super::solver::Solver;
use super::state::{Set, State, Tubes};
use super::wiring::Wiring;
use crate::notation::note::Note;
use crate::order;
use crate::sheet::Sheet;
use serde::Serialize;
use std::borrow::Cow;

pub use fall::{Curve, FallOf};
use stress::Without;
pub use tubes::base_name;

/// A range in which a reading is well.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// A node in every state.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NodeReport {
    /// Its name.
    pub name: String,
    /// Volts with every tube cold, at the high line.
    pub cold_v: Option<f64>,
    /// Volts running at the low line.
    pub low_v: Option<f64>,
    /// Volts running at the nominal line.
    pub running_v: Option<f64>,
    /// Volts running at the high line.
    pub high_v: Option<f64>,
    /// The range in which a reading at the nominal line is well.
    pub band_v: Option<Band>,
    /// Volts the user's meter shows.
    pub meter_v: Option<f64>,
    /// Ohms of the circuit behind the node, for small changes.
    pub source_ohms: Option<f64>,
    /// Ohms to the reference with the power off; `None` for no path.
    pub ohms: Option<f64>,
    /// The range in which that reading is well.
    pub band_ohms: Option<Band>,
}

/// A capacitor's place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CapacitorReport {
    /// The key of the part.
    pub key: String,
    /// The greatest direct voltage it sees, volts; `None` where its place is
    /// not known.
    pub stress_v: Option<f64>,
    /// In which state: `cold, high line`, `running, high line`, `V3 out`.
    pub stress_state: Cow<'static, str>,
    /// Volts across it running, first lead against second.
    pub running_v: Option<f64>,
    /// What happens to it after switching off.
    pub fall: Option<FallOf>,
    /// The least ohms of insulation it must have here.
    pub required_insulation: Option<f64>,
    /// What a leak moves first: `grid of V4`.
    pub leak_moves: Option<String>,
    /// Volts that point moves per microampere of leakage.
    pub leak_v_per_ua: Option<f64>,
    /// How far that point may move, volts.
    pub leak_allowed_v: Option<f64>,
}

/// A resistor at work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ResistorReport {
    /// The key of the part.
    pub key: String,
    /// Watts running at the nominal line.
    pub watts: f64,
    /// The most watts in any state, at the high line.
    pub worst_watts: f64,
    /// In which state.
    pub worst_state: Cow<'static, str>,
    /// Watts it is rated for, where the sheet says so.
    pub rated_watts: Option<f64>,
}

/// A pin of a tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PinReport {
    /// Its number; 0 is the top cap.
    pub pin: u8,
    /// Its electrode in words.
    pub electrode: String,
    /// The index of its node in [`Report::nodes`].
    pub node: Option<usize>,
}

/// A tube at work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TubeReport {
    /// The key of the part.
    pub key: String,
    /// Its type as the table names it.
    pub tube: String,
    /// The name of its base.
    pub base: String,
    /// Its pins, in order.
    pub pins: Vec<PinReport>,
    /// Milliamperes into its plates, units together.
    pub plate_ma: f64,
    /// Milliamperes into its screen.
    pub screen_ma: f64,
    /// Plate watts of its busiest unit.
    pub plate_watts: f64,
    /// The most plate watts published.
    pub max_plate_watts: Option<f64>,
    /// The error of its law at the published point, percent; `None` where it
    /// has no point.
    pub law_error_percent: Option<f64>,
    /// Where its figures come from.
    pub source: String,
}

/// A supply at work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SupplyReport {
    /// Keys of its rectifiers.
    pub rectifiers: Vec<String>,
    /// `half-wave`, `full-wave`, `bridge`, `doubler`.
    pub topology: String,
    /// The index of the node it feeds.
    pub output: usize,
    /// The index of the node its current comes back to.
    pub back: usize,
    /// Keys of its first filter capacitors.
    pub reservoir: Vec<String>,
    /// Volts running at the nominal line.
    pub volts: f64,
    /// Milliamperes taken.
    pub ma: f64,
    /// The greatest volts without load, at the high line.
    pub no_load_v: f64,
    /// Effective volts of the source at each plate.
    pub source_rms_v: f64,
    /// Ohms of the source at each plate.
    pub source_ohms: f64,
    /// Ripple, effective volts; of a choke input behind the choke.
    pub ripple_rms_v: Option<f64>,
    /// Ripple, peak to peak.
    pub ripple_pp_v: Option<f64>,
    /// Its frequency, hertz.
    pub ripple_hz: Option<f64>,
    /// Peak milliamperes of each plate.
    pub peak_ma: Option<f64>,
    /// The published most, milliamperes a plate.
    pub max_peak_ma: Option<f64>,
    /// The published most direct milliamperes.
    pub max_ma: Option<f64>,
    /// Peak inverse volts each plate sees at the high line.
    pub inverse_v: f64,
    /// The published most.
    pub max_inverse_v: Option<f64>,
    /// Amperes of the first pulse when switched on warm at the crest.
    pub surge_a: Option<f64>,
    /// What the capacitors of a doubler bear; empty of other supplies.
    pub doubled: Vec<DutyReport>,
    /// The choke, where the filter begins with one.
    pub choke: Option<ChokeReport>,
    /// Volts by the line, the lowest first: what comes at a part of the nominal
    /// line with every cathode warm.
    pub by_line: Vec<AtLine>,
}

/// A capacitor of a doubler at work, at the nominal line but for `no_load_v`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DutyReport {
    /// Its key.
    pub key: String,
    /// `series` (between the source and the rectifiers) or `output` of a
    /// half-wave doubler, `upper` or `lower` of a full-wave one.
    pub place: String,
    /// Mean volts.
    pub volts: f64,
    /// Least volts within the cycle.
    pub least_v: f64,
    /// Most volts within the cycle.
    pub most_v: f64,
    /// Volts without load at the high line: one crest, or both.
    pub no_load_v: f64,
    /// Its ripple current, effective milliamperes.
    pub ripple_ma: f64,
}

/// A choke that the filter begins with.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChokeReport {
    /// Its key.
    pub key: String,
    /// Its inductance, henries.
    pub henries: f64,
    /// Keys of the capacitors after it.
    pub capacitors: Vec<String>,
    /// Ohms that it feeds at the nominal line; `None` where nothing is taken.
    pub load_ohms: Option<f64>,
    /// The critical inductance at that load, henries; none of one rectifier
    /// alone, whose current always stops.
    pub critical_h: Option<f64>,
    /// About the least load that keeps the current of this choke flowing,
    /// milliamperes.
    pub needed_ma: Option<f64>,
    /// The least current of the choke within a cycle, milliamperes.
    pub least_ma: f64,
    /// Whether it never stops.
    pub flows: bool,
    /// What is taken with the tubes cold at the high line, milliamperes.
    pub cold_ma: Option<f64>,
    /// Whether its current never stops then.
    pub cold_flows: bool,
}

/// A supply at a part of the nominal line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtLine {
    /// Parts of one of the nominal line.
    pub line: f64,
    /// Volts of the supply's output against its return.
    pub volts: f64,
}

impl SupplyReport {
    /// Volts at a part of the nominal line, between those computed.
    pub fn volts_at(&self, line: f64) -> Option<f64> {
        let mut below = AtLine { line: 0.0, volts: 0.0 };
        for next in &self.by_line {
            if line <= next.line {
                let share = (line - below.line) / (next.line - below.line);
                return Some(below.volts + share * (next.volts - below.volts));
            }
            below = *next;
        }
        None
    }
}

/// The heaters of a series string.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterString {
    /// Volts of all heaters together.
    pub sum_v: f64,
    /// Volts of the mains.
    pub mains_v: f64,
    /// Milliamperes of the string.
    pub ma: f64,
    /// Keys of tubes whose heater current differs from the first one's.
    pub odd: Vec<String>,
}

/// Everything the circuit says of a set.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Report {
    /// What volts and ohms are told against.
    pub reference: Option<String>,
    /// Every node.
    pub nodes: Vec<NodeReport>,
    /// Every capacitor with two known places.
    pub capacitors: Vec<CapacitorReport>,
    /// Every resistor with two known places.
    pub resistors: Vec<ResistorReport>,
    /// Every tube of a known type.
    pub tubes: Vec<TubeReport>,
    /// Every supply.
    pub supplies: Vec<SupplyReport>,
    /// The heaters, of a series string.
    pub heaters: Option<HeaterString>,
    /// The fall of the capacitors after switching off.
    pub curve: Option<Curve>,
    /// What was taken for want of a figure.
    pub assumed: Vec<Assumption>,
    /// Why the voltages could not be computed, where they could not.
    pub trouble: Option<String>,
    /// Notes on places and on what the solution shows.
    pub notes: Vec<Note>,
}

/// The states that the report is made of.
struct States<'a> {
    running: State<'a>,
    cold: State<'a>,
    low: State<'a>,
    high: State<'a>,
    without: Vec<Without<'a>>,
    /// The volts of every supply at parts of the line, in their order.
    lines: Vec<(f64, Vec<f64>)>,
}

/// The line's extremes, in parts of the nominal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

impl Line {
    /// The extremes for a sheet: the high line it names, or 125 V for
    /// nameplates from 105 to 125 V and 10 % above any other; as far below.
    pub fn of(sheet: &Sheet) -> Self {
        let nominal = sheet
            .header
            .mains
            .map_or(117.0, super::super::trade::quantity::Voltage::to_f64)
            .max(1.0);
        // A high line below the nameplate is no high line.
        let named = sheet.header.high_line.map(|v| v.to_f64() / nominal).filter(|n| *n >= 1.0);
        let usual = if (105.0..=125.0).contains(&nominal) { 125.0 / nominal } else { 1.1 };
        let high = named.unwrap_or(usual).max(1.0);
        Self { low: (2.0 - high).max(0.5), high }
    }
}

/// Computes everything of a set.
pub fn report(sheet: &Sheet) -> Report {
    let wiring = Wiring::of(sheet);
    report_of(sheet, &Set::of(sheet, &wiring))
}

/// The same of a set that is prepared.
pub fn report_of(sheet: &Sheet, set: &Set) -> Report {
    let wiring = set.wiring;
    let line = Line::of(sheet);
    let mut report = Report {
        reference: set.running.reference.map(|n| wiring.nodes[n].name.clone()),
        nodes: wiring.nodes.iter().map(|n| blank(&n.name)).collect(),
        assumed: set.assumed(),
        notes: wiring.notes.clone(),
        heaters: tubes::heaters(sheet, wiring),
        ..Report::default()
    };
    report.tubes = tubes::tubes(sheet, wiring);
    let unpowered = Model::of(sheet, wiring, View::Ohmmeter);
    resistance::fill(&mut report, sheet, &unpowered);
    match states(set, line) {
        Ok((states, solver)) => {
            running(&mut report, sheet, set, &unpowered, (&states, solver), line);
        }
        Err(error) => report.trouble = Some(error.to_string()),
    }
    report
}

fn blank(name: &str) -> NodeReport {
    NodeReport {
        name: name.to_owned(),
        cold_v: None,
        low_v: None,
        running_v: None,
        high_v: None,
        band_v: None,
        meter_v: None,
        source_ohms: None,
        ohms: None,
        band_ohms: None,
    }
}

/// How many times a change is followed to a node, in all: a thousand parts that
/// each move a thousand nodes. Sheets beyond it, where every part moves every
/// node, are told bands that leave the farthest parts out.
const MOST_VISITS: usize = 1_000_000;

/// Parts of the nominal line at which a supply is computed besides.
const LOW_LINES: [f64; 1] = [0.5];

/// Every state of a set.
fn states<'a>(set: &'a Set, line: Line) -> Result<(States<'a>, Solver), super::state::StateError> {
    let mut solver = Solver::new(&set.running.net)?;
    let running = set.state_near(&mut solver, Tubes::Warm, 1.0, None)?;
    let from = Some((&running, 1.0));
    let low = set.state_near(&mut solver, Tubes::Warm, line.low, from)?;
    let high = set.state_near(&mut solver, Tubes::Warm, line.high, from)?;
    let cold = set.state_near(&mut solver, Tubes::Cold, line.high, None)?;
    let without = stress::without_each(set, &high, &cold);
    let volts = |state: &State| state.fed.iter().map(|fed| fed.volts).collect::<Vec<f64>>();
    let mut lines: Vec<(f64, Vec<f64>)> = LOW_LINES
        .into_iter()
        .filter_map(|at| {
            let state = set.state_near(&mut solver, Tubes::Warm, at, from).ok()?;
            Some((at, volts(&state)))
        })
        .collect();
    lines.extend([(line.low, volts(&low)), (1.0, volts(&running)), (line.high, volts(&high))]);
    Ok((States { running, cold, low, high, without, lines }, solver))
}

/// Fills in everything that needs the states.
fn running(
    report: &mut Report,
    sheet: &Sheet,
    set: &Set,
    unpowered: &Model,
    (states, mut solver): (&States, Solver),
    line: Line,
) {
    for (index, node) in report.nodes.iter_mut().enumerate() {
        node.cold_v = states.cold.volts(index);
        node.low_v = states.low.volts(index);
        node.running_v = states.running.volts(index);
        node.high_v = states.high.volts(index);
    }
    report.capacitors = stress::capacitors(sheet, set, states);
    report.resistors = stress::resistors(sheet, set, states);
    let state = &states.running;
    if let Ok(mut analysis) = solver.analyse(&state.net, &state.solution) {
        bands::fill(report, sheet, states, &mut analysis, line);
        leakage::fill(report, sheet, set, states, &mut analysis);
    }
    fall::fill(report, sheet, set, unpowered, states);
    report.supplies = supply::supplies(sheet, set, states, line);
    tubes::currents(report, sheet, states);
    let mut notes = stress::notes(sheet, set, states);
    report.notes.append(&mut notes);
    report.notes.append(&mut choke::notes(sheet, &report.supplies));
    order::sort(&mut report.notes, |n| [n.line, n.column, 0]);
}
