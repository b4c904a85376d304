//! What is told of nodes, parts, tubes and supplies.

use super::fall::{Curve, FallOf, HeldIn};
use crate::circuit::alternating::Alternating;
use crate::circuit::feed::Missing;
use crate::circuit::model::Assumption;
use crate::notation::note::Note;
use serde::Serialize;
use std::borrow::Cow;

/// A range in which a reading is well.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// What a meter on direct volts, its black lead on the reference, is for at a
/// node.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum AtMeter {
    /// The node is the reference itself: the black lead goes there.
    Reference,
    /// It reads the direct volts of the node.
    Direct,
    /// An alternating voltage stands there: no direct reading tells anything.
    Alternating {
        /// Volts RMS against the reference.
        rms_v: f64,
    },
    /// Nothing is known of its volts: it counts as live.
    Unknown,
}

/// A node in every state. Its direct volts stand only where a meter on direct
/// volts belongs ([`AtMeter::Direct`]), and at the reference, where they are 0
/// by definition.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NodeReport {
    /// Its name.
    pub name: String,
    /// What a meter is for there.
    pub meter: AtMeter,
    /// The alternating voltage that line and windings put there.
    pub alternating: Alternating,
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
    /// The most it holds from switching off on, volts.
    pub held_v: Option<f64>,
    /// In which state it holds that.
    pub held_in: Option<HeldIn>,
    /// The highest volts of the first lead against the second in any state.
    pub most: Option<Extreme>,
    /// The lowest, which may be below zero.
    pub least: Option<Extreme>,
    /// Ripple of the supply point it stands at, peak to peak at the high line;
    /// `None` behind a filter, where it is smaller and not computed.
    pub ripple_pp_v: Option<f64>,
    /// What it is charged to with no load; `None` where a lead reaches no
    /// supply.
    pub no_load: Option<NoLoad>,
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

/// Volts in the state in which they are highest or lowest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Extreme {
    /// Volts, with their sign.
    pub volts: f64,
    /// In which state.
    pub state: Cow<'static, str>,
}

/// A capacitor in the set without load, at the high line: every tube cold but
/// rectifiers, every bleeder, field coil and divider open.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NoLoad {
    /// The most volts.
    pub volts: f64,
    /// Keys of the cathode or back-bias resistors across it, which count as in
    /// their place.
    pub held_by: Vec<String>,
    /// The most volts if those open, too.
    pub opened_v: f64,
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
    /// Whether its currents are computed; where not, those below are zero and
    /// say nothing.
    pub is_known: bool,
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
    /// Whether it feeds the negative end, `back`; `output` is then its return.
    pub negative: bool,
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

/// A supply that could not be solved: what it feeds is unknown, and counts as
/// live and charged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnsolvedSupply {
    /// Keys of its rectifiers; none where a winding has none.
    pub rectifiers: Vec<String>,
    /// Key of its transformer.
    pub transformer: Option<String>,
    /// The index of the node that it feeds, where that is known.
    pub output: Option<usize>,
    /// What it lacks.
    pub missing: Missing,
    /// Volts that it may reach or pass, without load at the high line, of
    /// either sign: the crest of the whole winding. `None` where nothing tells.
    pub may_be_above_v: Option<f64>,
    /// What it lacks, by the parts of the sheet, without a full stop.
    pub message: String,
    /// The line of the part that the message is about.
    pub line: usize,
}

/// What a rectifier stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RectifierReport {
    /// The key of the part.
    pub key: String,
    /// Peak inverse volts it sees without load at the high line; several in
    /// series share them. `None` where its supply is not solved.
    pub inverse_v: Option<f64>,
    /// The published most.
    pub max_inverse_v: Option<f64>,
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
    /// The index of the node that it feeds.
    pub const fn fed(&self) -> usize {
        if self.negative { self.back } else { self.output }
    }

    /// The index of the node that its current comes back to.
    pub const fn common(&self) -> usize {
        if self.negative { self.output } else { self.back }
    }

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
    /// Every supply whose volts are known.
    pub supplies: Vec<SupplyReport>,
    /// Every other supply.
    pub unsolved: Vec<UnsolvedSupply>,
    /// Every rectifier, by its own inverse volts.
    pub rectifiers: Vec<RectifierReport>,
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
