//! Tube types: base, pins, heater, published operation and limits.
//!
//! Purpose: what a receiving-tube manual says of a type, in one table, with
//! where each row comes from; and the same form for types a user enters.
//!
//! ```
//! use firstglow::trade::tubes::{Match, find, nearest};
//!
//! let found = find("6sn7-gtb").unwrap();
//! assert_eq!(found.tube.name, "6SN7GT");
//! assert_eq!(found.by, Match::Suffix); // an assumption to be shown
//! assert_eq!(found.tube.pins_of("kb"), [3]);
//! assert!(find("6SN9").is_none());
//! assert!(nearest("6SN9", 3).iter().any(|tube| tube.name == "6SN7GT"));
//! ```
//!
//! Limits: most rows are from memory of manuals of about 1935 to 1960 and say
//! so; pins of rows marked doubtful must be checked before use. A type has one
//! set of figures: where its units differ (a diode-pentode's diode) they are
//! those of the amplifying unit.

mod base;
mod parse;
mod search;
mod terminal;
mod units;

pub use base::{Base, KeyKind};
pub use parse::{TableError, parse_pin, parse_point, parse_row};
pub use search::{Found, Match, all, find, nearest};
pub use terminal::{MOST_PINS, Pinned, joins, pin_of, spelled};
pub use units::{Place, Unit, UnitKind};

use std::borrow::Cow;

/// What an electrode is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// Plate or anode.
    Plate,
    /// A grid, counted from the cathode.
    Grid(u8),
    /// Cathode.
    Cathode,
    /// Plate of a small diode.
    DiodePlate,
    /// An end of a heater.
    Heater,
    /// A tap for the dial lamp.
    HeaterTap,
    /// The middle of a heater.
    HeaterCentre,
    /// An end of a filament that is its own cathode.
    Filament,
    /// Its positive end.
    FilamentPlus,
    /// Its negative end.
    FilamentMinus,
    /// Its middle.
    FilamentCentre,
    /// Shell, base sleeve or inner shield.
    Shield,
    /// The glowing target of an indicator.
    Target,
    /// A link inside the tube, to break the circuit when it is pulled.
    Jumper,
    /// Not connected, or no pin there.
    NotConnected,
    /// Connected inside; not to be used.
    Internal,
}

/// Which of a tube's units an electrode belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Section {
    /// The only one, or common to all.
    Common,
    /// The first of two alike.
    A,
    /// The second of two alike.
    B,
    /// The triode beside something else.
    Triode,
}

/// One electrode.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Electrode {
    /// What it is.
    pub part: Part,
    /// Whose.
    pub section: Section,
}

/// What one pin leads to; several where they are joined inside.
pub type Pin = Vec<Electrode>;

/// What a tube does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// A voltage amplifier.
    Triode,
    /// A triode for output.
    PowerTriode,
    /// Two triodes.
    DualTriode,
    /// Small diodes with a triode.
    DiodeTriode,
    /// Small diodes with a pentode.
    DiodePentode,
    /// Two small diodes.
    DualDiode,
    /// A sharp-cutoff pentode.
    Pentode,
    /// A remote-cutoff pentode.
    RemotePentode,
    /// A screen-grid tube.
    Tetrode,
    /// A pentode or beam tube for output.
    PowerPentode,
    /// A frequency converter.
    Converter,
    /// A tuning indicator.
    Eye,
    /// A power rectifier.
    Rectifier,
    /// A glow regulator.
    Regulator,
}

/// A published working point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OperatingPoint {
    /// Plate volts.
    pub plate_volts: f64,
    /// Screen volts, where there is a screen.
    pub screen_volts: Option<f64>,
    /// Volts of the control grid (of the signal grid in a converter).
    pub grid_volts: f64,
    /// Plate milliamperes.
    pub plate_ma: f64,
    /// Screen milliamperes.
    pub screen_ma: Option<f64>,
}

/// Figures of a rectifier, each plate where not said otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectifier {
    /// First capacitor of the typical operation, microfarads. Manuals give no
    /// absolute maximum: the peak current is the limit.
    pub typical_microfarads: f64,
    /// Most volts rms a plate.
    pub max_rms_volts: f64,
    /// Peak inverse volts.
    pub peak_inverse_volts: f64,
    /// Peak milliamperes.
    pub peak_ma: f64,
    /// Direct milliamperes in all (each plate where the cathodes are separate).
    pub dc_ma: f64,
    /// Least ohms of the supply.
    pub source_ohms: f64,
    /// Published drop: volts at milliamperes; for gas, volts alone.
    pub drop: Drop,
    /// Seconds until it conducts (common practice, no source).
    pub warm_up_seconds: f64,
}

/// A rectifier's forward drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drop {
    /// Vacuum: volts at milliamperes.
    Vacuum {
        /// Volts.
        volts: f64,
        /// Milliamperes.
        ma: f64,
    },
    /// Gas: volts, nearly constant.
    Gas {
        /// Volts.
        volts: f64,
    },
}

/// Figures of a glow regulator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulator {
    /// Volts it holds.
    pub volts: f64,
    /// Volts it needs to start.
    pub start_volts: f64,
    /// Least milliamperes.
    pub min_ma: f64,
    /// Most milliamperes.
    pub max_ma: f64,
    /// Ohms of its slope.
    pub ohms: f64,
}

/// How sure a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Confidence {
    /// Working point found quoted from a data sheet; the rest from memory.
    Found,
    /// From memory of the named source.
    FromMemory,
    /// From memory, and not sure: pins to be checked.
    Doubtful,
    /// Entered by the user.
    Entered,
}

/// A tube type, from the table or built at run time.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeType {
    /// Its number.
    pub name: Cow<'static, str>,
    /// Other numbers of the same tube.
    pub aliases: Vec<Cow<'static, str>>,
    /// Its base.
    pub base: Base,
    /// Its pins, the first being pin 1.
    pub pins: Vec<Pin>,
    /// Its top cap.
    pub cap: Option<Pin>,
    /// Heater or filament volts; 0 where there is none.
    pub heater_volts: f64,
    /// Heater or filament amperes.
    pub heater_amps: f64,
    /// What it does.
    pub class: Class,
    /// Published working points, the manual's typical one first.
    pub points: Vec<OperatingPoint>,
    /// Amplification factor, for triodes.
    pub mu: Option<f64>,
    /// Transconductance at the first point, micromhos (conversion
    /// transconductance in a converter).
    pub gm_micromhos: Option<f64>,
    /// Plate resistance at the first point, ohms.
    pub rp_ohms: Option<f64>,
    /// Grid volts at which the plate current has nearly ended.
    pub cutoff_volts: Option<f64>,
    /// Most plate volts.
    pub max_plate_volts: Option<f64>,
    /// Most plate watts.
    pub max_plate_watts: Option<f64>,
    /// Figures as a rectifier.
    pub rectifier: Option<Rectifier>,
    /// Figures as a regulator.
    pub regulator: Option<Regulator>,
    /// Volts and milliamperes of an indicator's target.
    pub target: Option<(f64, f64)>,
    /// Volts and milliamperes of a converter's oscillator anode.
    pub oscillator_anode: Option<(f64, f64)>,
    /// Where the row comes from.
    pub source: Cow<'static, str>,
    /// How sure it is.
    pub confidence: Confidence,
    /// Remarks.
    pub note: Cow<'static, str>,
}

impl TubeType {
    /// The pins that carry an electrode, by its short name (`g1`, `k`, `pb`,
    /// `h`); empty when there is none.
    pub fn pins_of(&self, electrode: &str) -> Vec<u8> {
        let wanted = parse_pin(electrode).unwrap_or_default();
        (1..)
            .zip(&self.pins)
            .filter(|(_, pin)| !wanted.is_empty() && wanted.iter().all(|part| pin.contains(part)))
            .map(|(number, _)| number)
            .collect()
    }

    /// Whether the cathode is the filament itself.
    pub fn directly_heated(&self) -> bool {
        self.pins.iter().flatten().any(|electrode| {
            matches!(electrode.part, Part::Filament | Part::FilamentPlus | Part::FilamentMinus)
        })
    }
}

#[cfg(test)]
mod tests;
