//! One part of a set.

use crate::trade::dielectric::Dielectric;
use crate::trade::quantity::{
    Capacitance, Current, Inductance, Power, Resistance, Tolerance, Voltage,
};
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use serde::Serialize;

pub use crate::notation::name::{Designator, Place};
pub use crate::notation::plus::Plus;
use crate::notation::winding::is_terminal_number;
pub use crate::notation::word::Span;
pub use crate::trade::kind::{Make, PartKind, WindingKind};

/// The two places a part's leads go to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Leads {
    /// The first lead.
    pub from: Place,
    /// The second lead.
    pub to: Place,
}

/// A pin of a tube tied to a place: `6=scr` or `g2=scr`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PinTie {
    /// The pin number or electrode, lower case.
    pub pin: String,
    /// Where it goes.
    pub place: Place,
}

/// A winding of a transformer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Winding {
    /// What it is for.
    pub kind: WindingKind,
    /// Its first end: a number is a terminal of the transformer, anything else
    /// a place as it prints.
    pub start: String,
    /// Its other end.
    pub end: String,
    /// Its tap.
    pub tap: Option<String>,
    /// Its whole voltage, end to end, alternating.
    pub volts: Option<Voltage>,
    /// Its whole direct-current resistance.
    pub resistance: Option<Resistance>,
}

/// Volts up to which a winding lights filaments, whatever it is called: no tube
/// heated by a transformer of a set takes more, and no B+ is as low. Source: own
/// choice.
const MOST_HEATER_VOLTS: f64 = 15.0;

impl Winding {
    /// Whether it lights filaments: a heater winding by its name, or a secondary
    /// by its volts.
    pub fn lights(&self) -> bool {
        match self.kind {
            WindingKind::Heater | WindingKind::RectifierHeater => true,
            WindingKind::Secondary => self.volts.is_some_and(|v| v.to_f64() <= MOST_HEATER_VOLTS),
            WindingKind::Primary => false,
        }
    }
}

/// The place that the end of a winding is tied to; `None` for a number, which is
/// a terminal of the transformer alone.
pub fn winding_place(end: &str) -> Option<Place> {
    if is_terminal_number(end) { None } else { Place::read(end) }
}

/// One part, or one section of a can. Unsaid things are `None` or empty.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// Unique on the sheet: the designator, with `/2`, `/3` where it is used again.
    pub key: String,
    /// The name on the schematic.
    pub designator: Designator,
    /// What kind of thing it is.
    pub kind: PartKind,
    /// The line (from 1) it starts on.
    pub line: usize,
    /// Its words as they stand in the text, without designator, leads and remark.
    pub mark: String,
    /// Capacitance.
    pub capacitance: Option<Capacitance>,
    /// Resistance; of a coil, its direct-current resistance.
    pub resistance: Option<Resistance>,
    /// Inductance.
    pub inductance: Option<Inductance>,
    /// Working voltage marked on it.
    pub rating: Option<Voltage>,
    /// Whether that rating is alternating.
    pub rating_ac: bool,
    /// Surge voltage marked on it.
    pub surge: Option<Voltage>,
    /// Current rating (fuses, lamps, rectifiers).
    pub current: Option<Current>,
    /// Power rating.
    pub power: Option<Power>,
    /// Tolerance marked on it.
    pub tolerance: Option<Tolerance>,
    /// Dielectric stated.
    pub dielectric: Option<Dielectric>,
    /// Safety class stated.
    pub class: Option<SafetyClass>,
    /// Role stated.
    pub role: Option<Role>,
    /// Whether its line says that it is on the power line, and neither across
    /// it nor from it to chassis.
    pub line_side_unsaid: bool,
    /// Whether its line says where its leads go in words that were not read, or
    /// twice: it may meet the line or metal.
    pub places_unread: bool,
    /// Words on how it is made.
    pub makes: Vec<Make>,
    /// Tube type, as written, upper case.
    pub tube: Option<String>,
    /// Where the tube type stands in the text.
    #[serde(skip)]
    pub tube_span: Option<Span>,
    /// Ties of a tube's pins.
    pub pins: Vec<PinTie>,
    /// Windings of a transformer.
    pub windings: Vec<Winding>,
    /// Where its leads go.
    pub leads: Option<Leads>,
    /// How the line tells which of them is positive.
    pub plus: Plus,
    /// The area of the chassis it sits in.
    pub area: Option<String>,
    /// The remark after `#`, or quoted.
    pub remark: Option<String>,
}

impl Part {
    /// A part that says nothing yet but its name and kind.
    pub fn new(key: impl Into<String>, designator: Designator, kind: PartKind) -> Self {
        Self {
            key: key.into(),
            designator,
            kind,
            line: 1,
            mark: String::new(),
            capacitance: None,
            resistance: None,
            inductance: None,
            rating: None,
            rating_ac: false,
            surge: None,
            current: None,
            power: None,
            tolerance: None,
            dielectric: None,
            class: None,
            role: None,
            line_side_unsaid: false,
            places_unread: false,
            makes: Vec::new(),
            tube: None,
            tube_span: None,
            pins: Vec::new(),
            windings: Vec::new(),
            leads: None,
            plus: Plus::Order,
            area: None,
            remark: None,
        }
    }

    /// Whether its line carries the word.
    pub fn is_made(&self, make: Make) -> bool {
        self.makes.contains(&make)
    }
}
