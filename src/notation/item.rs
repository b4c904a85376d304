//! What a line says, item by item, each with the place it stands.

use super::name::Place;
use super::note::{Choice, Edit, Level, Note};
use super::number::Number;
use super::problem::Problem;
use super::word::Span;
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::{Make, PartKind, WindingKind};
use crate::trade::quantity::{
    Capacitance, Current, Frequency, Inductance, Power, Resistance, Tolerance, Voltage,
};
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;

use super::unit::VoltMark;

/// One thing that a line says.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Capacitance, one for each section.
    Capacitance(Vec<Capacitance>),
    /// Bare numbers on a capacitor, one for each section, still to be read.
    BareCapacitance(Vec<Number>, Bare),
    /// Resistance.
    Resistance(Resistance),
    /// Inductance.
    Inductance(Inductance),
    /// Current.
    Current(Current),
    /// Frequency.
    Frequency(Frequency),
    /// Power.
    Power(Power),
    /// Voltage, one for each section.
    Volts(Vec<Voltage>, VoltMark),
    /// Tolerance.
    Tolerance(Tolerance),
    /// Safety class.
    Class(SafetyClass),
    /// Dielectric.
    Dielectric(Dielectric),
    /// Role.
    Role(Role),
    /// A capacitor on the power line, not said whether across it or to chassis;
    /// the words as written.
    LineSide(String),
    /// How it is made.
    Make(Make),
    /// What kind of part it is.
    Kind(PartKind),
    /// Area of the chassis.
    Area(String),
    /// Words on where the leads go that were not read, or that go against the
    /// pair of places that was.
    UnreadPlaces,
    /// Where the leads go: one first place for each section, and the common one.
    Leads(Vec<Place>, Place),
    /// A pin tied to a place.
    Pin(String, Place),
    /// A winding.
    Winding(WindingItem),
    /// An amount that could not be read, as written: what stands beside it may
    /// belong to it.
    Unread(String),
    /// Tube type.
    Tube(String),
    /// Quoted words, or words a part of this kind may carry freely.
    Remark(String),
}

/// What else is known of a bare number where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Bare {
    /// A rating was joined to it: `8/450`.
    pub with_rating: bool,
    /// A tolerance letter was joined to it: `.1M`.
    pub tolerance: Option<Tolerance>,
}

/// A winding as written.
#[derive(Debug, Clone, PartialEq)]
pub struct WindingItem {
    /// What it is for.
    pub kind: WindingKind,
    /// Its first terminal.
    pub start: String,
    /// Its last terminal.
    pub end: String,
    /// Its tap.
    pub tap: Option<String>,
    /// Its whole voltage.
    pub volts: Option<Voltage>,
    /// Its whole resistance.
    pub resistance: Option<Resistance>,
}

/// An item and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Where it stands.
    pub span: Span,
    /// What it says.
    pub item: Item,
}

/// A problem and where it stands, with what would settle it.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Where it stands.
    pub span: Span,
    /// What is wrong or doubtful.
    pub problem: Problem,
    /// How much it matters.
    pub level: Level,
    /// What it was read as.
    pub read: Option<String>,
    /// What settles it.
    pub choices: Vec<Choice>,
}

impl Found {
    /// A fault.
    pub const fn error(span: Span, problem: Problem) -> Self {
        Self { span, problem, level: Level::Error, read: None, choices: Vec::new() }
    }

    /// Something that makes the plan weaker.
    pub const fn warning(span: Span, problem: Problem) -> Self {
        Self { span, problem, level: Level::Warning, read: None, choices: Vec::new() }
    }

    /// A reading by habit.
    pub fn reading(span: Span, read: &str, problem: Problem) -> Self {
        let read = Some(read.to_owned());
        Self { span, problem, level: Level::Reading, read, choices: Vec::new() }
    }

    /// Whether an amount could not be read, so that value and rating beside it
    /// are open. A tolerance says nothing of either.
    pub const fn leaves_value_open(&self) -> bool {
        matches!(self.level, Level::Error) && !matches!(self.problem, Problem::Tolerance(_))
    }

    /// Adds a choice that replaces what stands there.
    #[must_use]
    pub fn or(mut self, label: impl Into<String>, text: impl Into<String>) -> Self {
        let Span { line, column, length } = self.span;
        let edit = Edit::Replace { line, column, length, text: text.into() };
        self.choices.push(Choice { label: label.into(), edit });
        self
    }

    /// Adds a choice that puts a line at the top of the sheet.
    #[must_use]
    pub fn or_line(mut self, label: impl Into<String>, text: impl Into<String>) -> Self {
        let edit = Edit::InsertLine { line: 1, text: text.into() };
        self.choices.push(Choice { label: label.into(), edit });
        self
    }

    /// The note that is shown.
    pub fn note(self) -> Note {
        Note {
            line: self.span.line,
            column: self.span.column,
            length: self.span.length,
            level: self.level,
            message: self.problem.to_string(),
            read: self.read,
            choices: self.choices,
        }
    }
}
