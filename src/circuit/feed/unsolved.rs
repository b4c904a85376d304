//! Supplies that cannot be solved: what they lack, what they may give, and
//! what they lead to.

use crate::circuit::wiring::NodeIndex;
use serde::Serialize;

/// What a supply lacks to be solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Missing {
    /// The center tap of the winding leads nowhere, or there is none.
    CenterTap,
    /// An end of the winding leads nowhere.
    WindingEnd,
    /// The winding's volts are not on the sheet.
    WindingVolts,
    /// The transformer's primary is not tied to the line.
    Primary,
    /// What the supply feeds has no way back to its source.
    Return,
    /// No winding and no line reaches the rectifier.
    Source,
    /// A plate of the rectifier has no place.
    Plate,
    /// The rectifier's cathode or filament has no place.
    Cathode,
    /// A winding that no known rectifier takes.
    Rectifier,
    /// A bridge with less than four rectifiers.
    Bridge,
    /// The rectifier's type is not known.
    TubeType,
    /// Rectifiers of several sources feed one point.
    SharedOutput,
    /// Its output and its return are one point.
    Shorted,
    /// More supplies than are computed.
    TooMany,
    /// A vibrator feeds it: its wave is none of the line's.
    Vibrator,
    /// Supply and circuit did not come to agree.
    NotConverged,
    /// It is closed, and feeds what another supply feeds that is not.
    OtherSupply,
}

/// How far what a supply lacks reaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reach {
    /// What hangs on these points.
    Points(Vec<NodeIndex>),
    /// Anything: where it leads is not known.
    Everything,
}

/// A supply that cannot be solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Unsolved {
    /// Its rectifiers, by their part's index.
    pub rectifiers: Vec<usize>,
    /// Its transformer, by its part's index.
    pub transformer: Option<usize>,
    /// The point that it feeds.
    pub output: Option<NodeIndex>,
    /// What it lacks.
    pub missing: Missing,
    /// Where it lacks it: the winding's ends, a terminal, a pin.
    pub place: Option<String>,
    /// Volts that it may reach without load at the nominal line, either way.
    pub peak_volts: Option<f64>,
    /// How far it reaches.
    pub reach: Reach,
}
