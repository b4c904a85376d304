//! A set and its parts: the model that everything downstream shares.
//!
//! The text is the truth that is saved. [`Sheet::read`] reads all of it and
//! never fails: what could not be read stays in the text and has a note.

pub mod areas;
pub mod cells;
mod check;
pub mod edit;
pub mod examples;
pub mod history;
pub mod import;
pub mod part;
mod pieces;
pub mod print;
mod read;
pub mod rows;
pub mod scan;

use crate::notation::note::Note;
use crate::trade::quantity::{Current, Frequency, Power, Voltage};
use crate::trade::tubes::{self, TubeType};
use part::{Part, Place};

pub use read::Reading;
use serde::Serialize;

pub use crate::notation::amount::BareM;
pub use crate::trade::kind::{Cord, Rectification, SupplyKind};

/// What the sheet says of the set as a whole. Unsaid things are `None`.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Header {
    /// `set` line: the name.
    pub name: Option<String>,
    /// `mains` line: the nameplate voltage.
    pub mains: Option<Voltage>,
    /// `mains` line: `high 127 V`, the highest line voltage to plan for.
    pub high_line: Option<Voltage>,
    /// `mains` line: the frequency; `DC` is zero hertz.
    pub frequency: Option<Frequency>,
    /// `mains` line: the nameplate power.
    pub power: Option<Power>,
    /// `mains` line: `fuse 1 A`, a fuse the set has.
    pub fuse: Option<Current>,
    /// `mains` line: `touch 0.25 mA`, the touch-current limit to plan for.
    pub touch_limit: Option<Current>,
    /// `mains` line: `two-wire` or `three-wire`.
    pub cord: Option<Cord>,
    /// `meter` line: the ohms of the user's voltmeter.
    pub meter_ohms: Option<f64>,
    /// `supply` line: the kind.
    pub supply: Option<SupplyKind>,
    /// `supply` line: `half-wave`, `full-wave`, `bridge`, `doubler`.
    pub rectification: Option<Rectification>,
    /// `supply` line: the secondary's whole voltage, 700 for `350-0-350 V`.
    pub secondary: Option<Voltage>,
    /// `supply` line: whether that winding is tapped at its centre.
    pub centre_tapped: bool,
    /// `read` line: how a bare `M` is read.
    pub bare_m: BareM,
    /// The line (from 1) of the `supply` directive.
    pub supply_line: Option<usize>,
    /// The line (from 1) of the `mains` directive.
    pub mains_line: Option<usize>,
}

/// A wire that ties places together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Wire {
    /// The line, from 1.
    pub line: usize,
    /// The places tied, two or more.
    pub places: Vec<Place>,
}

/// An area of the chassis that is opened as one.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Area {
    /// The line, from 1.
    pub line: usize,
    /// Its name.
    pub name: String,
    /// The designators listed.
    pub parts: Vec<String>,
    /// The areas that must be open before, by their index.
    pub after: Vec<usize>,
    /// What is taken off to open it.
    pub off: Vec<String>,
    /// What is marked before it is loosened.
    pub mark: Vec<String>,
    /// What must be set again afterwards.
    pub readjust: Vec<String>,
}

/// Everything a sheet says.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Sheet {
    /// The set as a whole.
    pub header: Header,
    /// Its parts, in the order of the text. A can written on one line stands
    /// here as its sections.
    pub parts: Vec<Part>,
    /// Wires.
    pub wires: Vec<Wire>,
    /// Tube types entered on the sheet.
    #[serde(skip)]
    pub types: Vec<TubeType>,
    /// Areas.
    pub areas: Vec<Area>,
    /// Notes on the text, in order of line and column.
    pub notes: Vec<Note>,
}

impl Sheet {
    /// The type of a tube: one entered on the sheet, or else the table's.
    pub fn tube_type(&self, name: &str) -> Option<(&TubeType, tubes::Match)> {
        let own = self.types.iter().find(|t| t.name.eq_ignore_ascii_case(name));
        own.map(|tube| (tube, tubes::Match::Name))
            .or_else(|| tubes::find(name).map(|found| (found.tube, found.by)))
    }
}
