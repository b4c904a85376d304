//! The plan as screens, paper and the JSON of `examples/plan.rs` show it.
//!
//! # Stability
//! The field names serialised here are stable: fields may be added, none is
//! renamed or dropped. Enumerations serialise in kebab case, quantities as
//! they print (`"0.047 µF"`, `"630 V"`); numbers carry their unit in the name
//! (`picofarads`, `rating_v`).

use super::charged::Charged;
use super::polarity::Polarity;
use super::told::Told;
use crate::circuit::model::Assumption;
use crate::circuit::report::{
    Curve, FallOf, HeaterString, NoLoad, NodeReport, RectifierReport, Report, SupplyReport,
    TubeReport, UnsolvedSupply,
};
use crate::notation::note::Note;
use crate::sheet::part::{Designator, PartKind};
use crate::trade::dielectric::Dielectric;
use crate::trade::quantity::{Capacitance, Power, Resistance, Tolerance, Voltage};
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use crate::trade::source::Source;
use serde::Serialize;
use std::borrow::Cow;

/// How a finding came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// The sheet says so.
    Stated,
    /// The places its leads go to say so.
    Placed,
    /// Inferred by the trade's habit; to be checked.
    Inferred,
    /// Assumed for want of anything better; to be checked.
    Assumed,
    /// Computed from other figures.
    Computed,
}

/// One figure that goes into a working.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Input {
    /// What it is: `old mark`, `no-load peak`.
    pub name: Cow<'static, str>,
    /// The figure with its unit.
    pub value: Told,
    /// How it came about.
    pub basis: Basis,
}

/// How a figure or a decision was reached.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// What it decides: `value`, `rating`, `dielectric`, `touch current`.
    pub of: Cow<'static, str>,
    /// The figures that go in.
    pub inputs: Vec<Input>,
    /// The rule or formula.
    pub rule: Cow<'static, str>,
    /// What comes out.
    pub result: Told,
    /// Where the rule comes from.
    pub source: Source,
}

/// Something found about a part, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Finding<T> {
    /// What was found.
    pub value: T,
    /// How.
    pub basis: Basis,
}

/// What to do with a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    /// Fit a new part.
    Replace,
    /// Replace by a different arrangement, as told (selenium, resistance cords).
    Substitute,
    /// Keep if it passes the test told.
    Test,
    /// Clean, never replace.
    Clean,
    /// Keep.
    Keep,
}

/// How new parts are arranged in the place of the old one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Arrangement {
    /// One part.
    Single,
    /// Two equal parts in series, each bridged by a balancing resistor.
    TwoInSeries {
        /// The value of each part.
        each: Capacitance,
        /// The rated voltage of each part.
        each_rating: Voltage,
        /// The resistor across each.
        balance: Resistance,
        /// The rating of that resistor.
        balance_power: Power,
    },
    /// Two parts in parallel, where no single preferred value fits a tuned
    /// place or a buffer.
    TwoInParallel {
        /// The larger value.
        first: Capacitance,
        /// The smaller value.
        second: Capacitance,
    },
}

/// The part to fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Replacement {
    /// In one line: `0.047 µF 630 V polypropylene film`.
    pub text: String,
    /// Its value in place (of a series pair, the value of the pair).
    pub value: Capacitance,
    /// The same in picofarads.
    pub picofarads: f64,
    /// What it is made of.
    pub dielectric: Dielectric,
    /// Its rated voltage in place.
    pub rating: Voltage,
    /// The same in volts.
    pub rating_v: f64,
    /// Whether the rating is alternating.
    pub rating_ac: bool,
    /// The safety class it must carry.
    pub class: Option<SafetyClass>,
    /// Where its positive lead goes, or how to find it; `None` of what has no
    /// polarity by its kind.
    pub polarity: Option<Polarity>,
    /// Temperature class in degrees Celsius.
    pub temperature_c: Option<u16>,
    /// The least and greatest value that would also serve here.
    pub window: (Capacitance, Capacitance),
    /// One part or two.
    pub arrangement: Arrangement,
    /// Where the lead marked outer foil goes.
    pub outer_foil: Option<String>,
}

impl Replacement {
    /// Whether it must have no polarity.
    pub fn is_non_polarised(&self) -> bool {
        self.polarity.as_ref().is_some_and(Polarity::is_non_polarized)
    }
}

/// The old part as it stands on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OldPart {
    /// Its mark as the user wrote it.
    pub text: String,
    /// Its value as it is read, with unit.
    pub value: Option<String>,
    /// Capacitance, for capacitors.
    pub picofarads: Option<f64>,
    /// Resistance, for resistors.
    pub ohms: Option<f64>,
    /// Its working voltage.
    pub rating: Option<Voltage>,
    /// What it is made of (capacitors).
    pub dielectric: Option<Finding<Dielectric>>,
    /// Its tolerance.
    pub tolerance: Option<Finding<Tolerance>>,
}

/// What to measure on a part that stays, and the limits that pass it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Check {
    /// What to measure and how.
    pub what: String,
    /// The least reading that passes, with unit.
    pub least: Option<String>,
    /// The greatest reading that passes, with unit.
    pub most: Option<String>,
}

/// One part of the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlannedPart {
    /// The key of the part on the sheet.
    pub key: String,
    /// Its name on the schematic.
    pub designator: Designator,
    /// What kind of thing it is.
    pub kind: PartKind,
    /// Its line on the sheet, from 1.
    pub line: usize,
    /// What to do with it.
    pub decision: Decision,
    /// Why, in one sentence.
    pub reason: String,
    /// What it does in the circuit, and how that is known (capacitors).
    pub role: Option<Finding<Role>>,
    /// The old part.
    pub old: OldPart,
    /// The part to fit.
    pub replacement: Option<Replacement>,
    /// What to measure on it.
    pub checks: Vec<Check>,
    /// Its hazards: identifiers of [`Hazard::id`].
    pub hazards: Vec<String>,
    /// How all of that was reached.
    pub working: Vec<Working>,
    /// Its area of the chassis.
    pub area: Option<String>,
    /// The greatest direct voltage it sees, where the circuit tells it
    /// (capacitors).
    pub stress: Option<Stress>,
    /// What it is charged to with no load, where the circuit tells it
    /// (capacitors).
    pub no_load: Option<NoLoad>,
    /// The insulation it must have in this place (capacitors).
    pub required_insulation: Option<Insulation>,
    /// What it holds after switching off, and for how long (capacitors).
    pub discharge: Option<FallOf>,
    /// What it turns to heat (resistors).
    pub watts: Option<Watts>,
}

/// The greatest direct voltage of a capacitor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stress {
    /// Volts.
    pub volts: f64,
    /// In which state of the set: `cold, high line`, `V3 out`.
    pub state: Cow<'static, str>,
}

/// The insulation that a capacitor must have in its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Insulation {
    /// The least, ohms.
    pub ohms: f64,
    /// What a leak moves first: `grid of V4`.
    pub moves: String,
    /// How far that may move, volts.
    pub allowed_v: f64,
}

/// What a resistor turns to heat.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Watts {
    /// Running at the nominal line, watts.
    pub running: f64,
    /// The most in any state, watts.
    pub worst: f64,
    /// In which state.
    pub state: Cow<'static, str>,
    /// What it is rated for, where the sheet says so, watts.
    pub rated: Option<f64>,
}

/// How bad a hazard is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Know of it.
    Caution,
    /// Can injure or start a fire.
    Warning,
    /// Can kill.
    Danger,
}

/// Something about this set that can hurt.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hazard {
    /// A stable name: `line-capacitor`, `hot-chassis`, `stored-energy`.
    pub id: String,
    /// A short title.
    pub title: String,
    /// How bad it is.
    pub severity: Severity,
    /// What can happen.
    pub what_can_happen: String,
    /// What to do.
    pub what_to_do: String,
    /// The keys of the parts concerned; empty for the set as a whole.
    pub parts: Vec<String>,
    /// How its figures were reached.
    pub working: Vec<Working>,
}

/// Parts of one value within a group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupLine {
    /// What they share: `0.047 µF`, or a type name.
    pub value: String,
    /// How many pieces.
    pub count: usize,
    /// The keys of the parts they are for.
    pub parts: Vec<String>,
}

/// Parts that are bought, tested or kept together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// A stable name: `replace/polypropylene/630`.
    pub id: String,
    /// Its title: `Polypropylene film, 630 V`.
    pub title: String,
    /// What to do with these.
    pub decision: Decision,
    /// What they are made of.
    pub dielectric: Option<Dielectric>,
    /// Their rated voltage.
    pub rating: Option<Voltage>,
    /// Their safety class.
    pub class: Option<SafetyClass>,
    /// By value, ascending.
    pub lines: Vec<GroupLine>,
    /// How many pieces in all.
    pub count: usize,
    /// Total capacitance of the group, for capacitors.
    pub total: Option<Capacitance>,
}

/// A phase of the power-up, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// Unplugged: look and measure.
    BeforePower,
    /// Set up lamp, isolation, meters.
    SetUp,
    /// Stages of line voltage.
    Stages,
    /// At the full line.
    FullLine,
    /// Off again: discharge and verify.
    SwitchOff,
}

/// What it takes to go on past a step or a reading that is not as it must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StopKind {
    /// It is noted, and stops nothing.
    Advice,
    /// It stops the power-up until it is cured or a reason is written down.
    #[default]
    Overridable,
    /// Only a new reading within limits or a changed sheet cures it; no reason
    /// passes it.
    CureOnly,
}

/// A reading to note beside a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reading {
    /// A stable name within the step.
    pub id: String,
    /// What to measure.
    pub what: String,
    /// Its unit: `V`, `mA`, `Ω`.
    pub unit: String,
    /// The least that is well, in that unit.
    pub least: Option<String>,
    /// The most that is well, in that unit.
    pub most: Option<String>,
    /// What it takes to go on where it is out of its limits, or missing.
    pub stop: StopKind,
    /// Whether the step is done only with it.
    pub needed: bool,
    /// Below this, in that unit, only a new reading cures it, whatever `stop`
    /// says: near zero ohms at the plug.
    pub cure_below: Option<String>,
}

/// One step of the power-up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerStep {
    /// A stable name; checks and readings are kept under it.
    pub id: String,
    /// Its phase.
    pub phase: Phase,
    /// A short title.
    pub title: String,
    /// What to do.
    pub action: String,
    /// What to expect.
    pub expect: Option<String>,
    /// When to stop.
    pub stop_if: Option<String>,
    /// How long to hold, in seconds.
    pub hold_seconds: Option<u32>,
    /// Line voltage at the set's plug in this step.
    pub line_v: Option<f64>,
    /// Readings to note.
    pub readings: Vec<Reading>,
    /// How its figures were reached.
    pub working: Vec<Working>,
    /// What it takes to go on without doing it.
    pub stop: StopKind,
}

/// What the plan knows of the supply.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct SupplyFinding {
    /// The mains planned for, volts.
    pub mains_v: f64,
    /// The highest line planned for, volts.
    pub high_line_v: f64,
    /// The frequency, hertz.
    pub frequency_hz: f64,
    /// The highest voltage of the supply with no load, at high line, volts.
    pub no_load_peak_v: Option<f64>,
    /// The highest volts of all supplies of either sign with no load, at high
    /// line; the least that is known where a supply is unknown.
    pub highest_no_load_v: Option<f64>,
    /// Whether a supply of the set could not be solved.
    pub has_unknown_supply: bool,
    /// Whether chassis or B- is tied to the line.
    pub line_connected: Option<bool>,
    /// The rectifier's designator and type.
    pub rectifier: Option<String>,
    /// What was assumed, in sentences.
    pub assumed: Vec<String>,
    /// How the figures were reached.
    pub working: Vec<Working>,
    /// Every supply that the circuit shows at work: volts, ripple, load and
    /// peak of its rectifier against their limits.
    pub supplies: Vec<SupplyReport>,
    /// Every supply that could not be solved: unknown, live and charged.
    pub unsolved: Vec<UnsolvedSupply>,
    /// Every rectifier with its own inverse volts.
    pub rectifiers: Vec<RectifierReport>,
}

/// What the circuit says of the set as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Circuit {
    /// What volts and ohms are told against.
    pub reference: Option<String>,
    /// Every node: volts in each state with its band, ohms with theirs.
    pub nodes: Vec<NodeReport>,
    /// Every tube of a known type, pin by pin.
    pub tubes: Vec<TubeReport>,
    /// The heaters, of a series string.
    pub heaters: Option<HeaterString>,
    /// What the capacitors hold after switching off.
    pub discharge: Discharge,
    /// What was taken for want of a figure.
    pub assumed: Vec<Assumption>,
    /// Why the voltages could not be computed, where they could not.
    pub trouble: Option<String>,
}

/// What the capacitors hold after switching off.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Discharge {
    /// The keys of [`Plan::charged`], in its order.
    pub slow: Vec<String>,
    /// The volts over time of those whose course is known.
    pub curve: Option<Curve>,
    /// Whether the volts of every supply and of every capacitor that is listed
    /// are known.
    pub is_known: bool,
}

impl Circuit {
    /// The circuit's report, less what stands at parts and supply.
    pub fn of(report: Report, charged: &[Charged]) -> Self {
        let slow = charged.iter().map(|c| c.key.clone()).collect();
        let curve = report.curve.and_then(|curve| of_charged(curve, charged));
        let is_known = report.trouble.is_none()
            && report.unsolved.is_empty()
            && charged.iter().all(|c| c.fall.is_some());
        Self {
            reference: report.reference,
            nodes: report.nodes,
            tubes: report.tubes,
            heaters: report.heaters,
            discharge: Discharge { slow, curve, is_known },
            assumed: report.assumed,
            trouble: report.trouble,
        }
    }
}

/// The curves of the capacitors that are listed.
fn of_charged(mut curve: Curve, charged: &[Charged]) -> Option<Curve> {
    let is_listed = |key: &String| charged.iter().any(|c| c.key == *key && c.fall.is_some());
    let kept: Vec<bool> = curve.keys.iter().map(is_listed).collect();
    let mut of_volts = kept.iter();
    curve.volts.retain(|_| of_volts.next().is_some_and(|kept| *kept));
    let mut of_keys = kept.iter();
    curve.keys.retain(|_| of_keys.next().is_some_and(|kept| *kept));
    (!curve.keys.is_empty()).then_some(curve)
}

/// The plan of a set.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Plan {
    /// Every part of the sheet, in its order.
    pub parts: Vec<PlannedPart>,
    /// Every part in exactly one group.
    pub groups: Vec<Group>,
    /// What can hurt, worst first.
    pub hazards: Vec<Hazard>,
    /// The power-up, in order.
    pub power_up: Vec<PowerStep>,
    /// What stays charged with the plug out: the one list of it.
    pub charged: Vec<Charged>,
    /// Notes on the text and on the plan, in order of line and column.
    pub notes: Vec<Note>,
    /// The supply.
    pub supply: SupplyFinding,
    /// What the circuit says; its fields stand beside those of the plan.
    #[serde(flatten)]
    pub circuit: Circuit,
}
