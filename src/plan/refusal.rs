//! Why no new part can be named.
//!
//! ```
//! use firstglow::plan::refusal::Refusal;
//! assert!(Refusal::ValueUnknown.to_string().starts_with("value unknown"));
//! ```
//!
//! Limits: one reason a part, the first met.

use thiserror::Error;

/// Why a part has no replacement named.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Refusal {
    /// The sheet gives no value that could be read.
    #[error("value unknown: read it from the part or the schematic and add it to the line")]
    ValueUnknown,
    /// On the line, not said whether across it or to chassis.
    #[error(
        "on the power line, but not said where: write 'across the line' (class X) or 'line to chassis' (class Y) on its line, or its two places"
    )]
    LineSideUnsaid,
    /// Its connection was not read.
    #[error(
        "its connection was not read, or is given twice, and it may meet the line or metal: correct its line first"
    )]
    PlacesUnread,
    /// Neither a mark nor the supply tells the voltage.
    #[error("rating unknown: add the marked voltage, or describe the supply on its own line")]
    RatingUnknown,
    /// Nothing sold covers the voltage.
    #[error("no {what} sold covers {need} V: this wants a high-voltage part from a specialist")]
    NoRating {
        /// Which kind of part.
        what: &'static str,
        /// The voltage, in volts.
        need: String,
    },
    /// No preferred value lies in the window.
    #[error(
        "no preferred value from {least} to {most}, single or two in parallel: match it by measuring"
    )]
    NoValue {
        /// The lower end of the window.
        least: String,
        /// The upper end.
        most: String,
    },
    /// An electrolytic where only a safety class may stand.
    #[error(
        "an electrolytic can never stand at this place on the line: check value and leads against the schematic"
    )]
    ElectrolyticOnLine,
    /// The touch limit leaves no capacitor that is sold.
    #[error("the touch limit of {limit} allows no capacitor that is sold: leave it out")]
    TouchLimit {
        /// The limit.
        limit: String,
    },
    /// Larger than any class part.
    #[error("no class {class} part of {value} is sold: check the reading of the value")]
    ClassTooLarge {
        /// The class.
        class: &'static str,
        /// The value.
        value: String,
    },
}
