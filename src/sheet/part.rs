//! One part of a set.

use crate::trade::dielectric::Dielectric;
use crate::trade::quantity::{
    Capacitance, Current, Inductance, Power, Resistance, Tolerance, Voltage,
};
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use serde::{Serialize, Serializer};
use std::fmt;

/// A part's name on the schematic: letters, number, section letter.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Designator {
    /// The letters, upper case: `C`, `R`, `V`.
    pub letters: String,
    /// The number.
    pub number: u32,
    /// The section of a multi-section part: `A` of `C1A`.
    pub section: Option<char>,
}

impl fmt::Display for Designator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letters, self.number)?;
        self.section.map_or(Ok(()), |s| write!(f, "{s}"))
    }
}

impl Serialize for Designator {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

/// What kind of thing a part is, by its designator and the words on its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartKind {
    /// A fixed capacitor.
    Capacitor,
    /// A tuning gang, trimmer or adjustable padder.
    VariableCapacitor,
    /// A fixed resistor.
    Resistor,
    /// A control.
    Potentiometer,
    /// A line cord that is itself a resistor.
    ResistanceCord,
    /// A coil, choke or field coil.
    Coil,
    /// A transformer of any kind.
    Transformer,
    /// A tube.
    Tube,
    /// A selenium or copper-oxide rectifier.
    DryRectifier,
    /// A silicon or germanium diode.
    Diode,
    /// A lamp.
    Lamp,
    /// A fuse.
    Fuse,
    /// A switch.
    Switch,
    /// A line cord or cable.
    Cord,
    /// A battery.
    Battery,
    /// A vibrator.
    Vibrator,
    /// A speaker or headphones.
    Speaker,
    /// A meter.
    Meter,
    /// A plug, jack, socket or terminal.
    Connector,
    /// A crystal.
    Crystal,
    /// Anything else.
    Other,
}

/// Words that say more of how a part is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Make {
    /// Carbon composition resistor.
    CarbonComposition,
    /// Carbon or metal film resistor.
    FilmResistor,
    /// Wirewound resistor.
    Wirewound,
    /// A field coil of a speaker.
    FieldCoil,
    /// A filter choke.
    FilterChoke,
    /// Selenium rectifier.
    Selenium,
    /// Copper-oxide rectifier.
    CopperOxide,
    /// Silicon diode.
    Silicon,
    /// Power transformer.
    PowerTransformer,
    /// Output transformer.
    OutputTransformer,
    /// Intermediate-frequency transformer.
    IfTransformer,
    /// Asbestos in or on the part.
    Asbestos,
    /// A part already fitted new.
    New,
    /// Non-polarised.
    NonPolarised,
}

/// A place a lead goes to.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A pin or electrode of a tube, or a terminal of another part: `V2.6`,
    /// `V2.g1`, `T1.3`.
    Terminal {
        /// The part, as its designator prints.
        part: String,
        /// The pin number, terminal or electrode, lower case.
        terminal: String,
    },
    /// A named point: `B1`, `chassis`, `B-`, `line`.
    Named(String),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Terminal { part, terminal } => write!(f, "{part}.{terminal}"),
            Self::Named(name) => f.write_str(name),
        }
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

/// The two places a part's leads go to; for a polarised part the first is
/// positive.
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

/// What a winding is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WindingKind {
    /// The primary.
    Primary,
    /// A secondary.
    Secondary,
    /// A heater winding.
    Heater,
    /// The rectifier's own heater winding.
    RectifierHeater,
}

/// A winding of a transformer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Winding {
    /// What it is for.
    pub kind: WindingKind,
    /// Its first end, a terminal of the transformer.
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
    /// Words on how it is made.
    pub makes: Vec<Make>,
    /// Tube type, as written, upper case.
    pub tube: Option<String>,
    /// Ties of a tube's pins.
    pub pins: Vec<PinTie>,
    /// Windings of a transformer.
    pub windings: Vec<Winding>,
    /// Where its leads go.
    pub leads: Option<Leads>,
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
            makes: Vec::new(),
            tube: None,
            pins: Vec::new(),
            windings: Vec::new(),
            leads: None,
            area: None,
            remark: None,
        }
    }

    /// Whether its line carries the word.
    pub fn is_made(&self, make: Make) -> bool {
        self.makes.contains(&make)
    }
}
