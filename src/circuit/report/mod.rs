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
mod charge;
mod choke;
mod doubler;
mod fall;
mod leakage;
mod meter;
pub(super) mod resistance;
mod stress;
mod supply;
mod tubes;
mod types;
mod unsolved;

use super::alternating::Alternating;
use super::feed::Missing;
use super::model::{Model, View};
use super::solver::Solver;
use super::state::{Set, State, StateError, Tubes};
use super::wiring::Wiring;
use crate::order;
use crate::sheet::Sheet;

pub use fall::{Curve, FallOf, HeldIn};
use stress::Without;
pub use tubes::base_name;
pub use types::{
    AtLine, AtMeter, Band, CapacitorReport, ChokeReport, DutyReport, Extreme, HeaterString, NoLoad,
    NodeReport, PinReport, RectifierReport, Report, ResistorReport, SupplyReport, TubeReport,
    UnsolvedSupply,
};

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
            report.unsolved = unsolved::unsolved(sheet, set, line, None);
            running(&mut report, sheet, set, &unpowered, (&states, solver), line);
        }
        Err(error) => {
            report.unsolved = unsolved::unsolved(sheet, set, line, Some(&error));
            report.trouble = Some(trouble(&error, &report.unsolved));
        }
    }
    report.rectifiers = unsolved::rectifiers(sheet, set, line);
    report.notes.append(&mut unsolved::notes(sheet, set, &report.unsolved));
    order::sort(&mut report.notes, |n| [n.line, n.column, 0]);
    meter::tell(&mut report, sheet, set);
    report
}

/// Why no voltages are told: what the supplies lack, where they are on the
/// sheet.
fn trouble(error: &StateError, unsolved: &[UnsolvedSupply]) -> String {
    if *error != StateError::Unsolved {
        return error.to_string();
    }
    let lacks: Vec<&str> = unsolved
        .iter()
        .filter(|one| one.missing != Missing::OtherSupply)
        .map(|one| one.message.as_str())
        .collect();
    format!("{error}. {}", lacks.join("; "))
}

fn blank(name: &str) -> NodeReport {
    NodeReport {
        name: name.to_owned(),
        meter: AtMeter::Unknown,
        alternating: Alternating::None,
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
    charge::fill(&mut report.capacitors, (sheet, set, line), &states.running);
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
}
