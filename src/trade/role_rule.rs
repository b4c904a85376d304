//! What each role asks of a replacement: kind of part, window of values,
//! rating, polarity, outer foil.
//!
//! ```
//! use firstglow::trade::role::Role;
//! use firstglow::trade::role_rule::{Fit, rule};
//! let coupling = rule(Some(Role::Coupling));
//! assert_eq!((coupling.below, coupling.above), (20, 25));
//! assert_eq!(coupling.fit, Fit::Film);
//! ```
//!
//! Limits: the windows are workshop practice for the marked value, before the
//! tolerance of the new part; no standard gives them.

use super::role::Role;
use super::safety::SafetyClass;
use super::source::Source;

/// What kind of part serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fit {
    /// Aluminium electrolytic for 105 °C.
    Electrolytic,
    /// Plastic film.
    Film,
    /// Silver mica, or ceramic of the steady kind.
    SilverMica,
    /// A part with a safety class.
    Safety(SafetyClass),
}

/// The voltage a role asks for, besides the old mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RatingRule {
    /// The supply with no load at high line, and at least so many volts.
    NoLoad {
        /// Volts.
        least: u16,
    },
    /// So many tenths of the supply with no load, and at least so many volts.
    TimesNoLoad {
        /// Tenths of the no-load peak.
        tenths: u16,
        /// Volts.
        least: u16,
    },
    /// At least so many volts; the supply does not reach it.
    Fixed {
        /// Volts.
        least: u16,
    },
    /// An alternating rating for the line.
    Line,
}

/// What a role asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoleRule {
    /// The role; `None` for a part whose role is not known.
    pub role: Option<Role>,
    /// What kind of part serves.
    pub fit: Fit,
    /// Percent below the old value that still serve.
    pub below: u8,
    /// Percent above the old value that still serve.
    pub above: u8,
    /// The rating.
    pub rating: RatingRule,
    /// Where the positive lead goes.
    pub polarity: Option<&'static str>,
    /// Where the lead marked outer foil goes.
    pub outer_foil: Option<&'static str>,
    /// Where the rule comes from.
    pub source: Source,
}

/// The rule of a role.
pub fn rule(role: Option<Role>) -> &'static RoleRule {
    RULES.iter().find(|row| row.role == role).unwrap_or(&UNKNOWN)
}

/// Workshop practice for a window.
const WINDOW: Source = Source::practice("window of values that restorers accept in this role");

/// Practice where the value is part of a tuned or audible network.
const CLOSE: Source = Source::practice("the value sets a frequency: stay close to the mark");

/// Practice for a vibrator's buffer.
const BUFFER: Source =
    Source::practice("the buffer is matched to its vibrator transformer: keep its value");

/// Practice for line places; the class itself has its own source.
const LINE: Source = Source::practice("line places: class and touch current come before the value");

/// A part whose role is not known keeps close to its mark.
const UNKNOWN: RoleRule = RoleRule {
    role: None,
    fit: Fit::Film,
    below: 20,
    above: 20,
    rating: RatingRule::NoLoad { least: 400 },
    polarity: None,
    outer_foil: None,
    source: Source::practice("role not known: stay within the old part's own tolerance"),
};

/// Builds a row of the table.
const fn row(
    role: Role,
    fit: Fit,
    (below, above): (u8, u8),
    rating: RatingRule,
    (polarity, outer_foil): (Option<&'static str>, Option<&'static str>),
    source: Source,
) -> RoleRule {
    RoleRule { role: Some(role), fit, below, above, rating, polarity, outer_foil, source }
}

/// Every role's rule, in the order of [`Role::ALL`].
const RULES: [RoleRule; 31] = [
    row(
        Role::Reservoir,
        Fit::Electrolytic,
        (10, 25),
        RatingRule::NoLoad { least: 0 },
        (Some("positive to the rectifier's cathode or filament"), None),
        WINDOW,
    ),
    row(
        Role::Smoothing,
        Fit::Electrolytic,
        (10, 100),
        RatingRule::NoLoad { least: 0 },
        (Some("positive to the B+ side"), None),
        WINDOW,
    ),
    row(
        Role::Decoupling,
        Fit::Electrolytic,
        (20, 100),
        RatingRule::NoLoad { least: 0 },
        (Some("positive to the B+ side"), None),
        WINDOW,
    ),
    row(
        Role::Doubler,
        Fit::Electrolytic,
        (10, 25),
        RatingRule::NoLoad { least: 0 },
        (
            Some("each in its own direction in the stack: the upper one's negative is not chassis"),
            None,
        ),
        WINDOW,
    ),
    row(
        Role::BiasBypass,
        Fit::Electrolytic,
        (20, 100),
        RatingRule::Fixed { least: 50 },
        (Some("positive to chassis, negative to B-"), None),
        WINDOW,
    ),
    row(
        Role::ScreenBypass,
        Fit::Film,
        (10, 100),
        RatingRule::NoLoad { least: 400 },
        (None, Some("to the chassis or B- side")),
        WINDOW,
    ),
    row(
        Role::SupplyBypass,
        Fit::Film,
        (10, 100),
        RatingRule::NoLoad { least: 630 },
        (None, Some("to the chassis or B- side")),
        WINDOW,
    ),
    row(
        Role::CathodeBypassAudio,
        Fit::Electrolytic,
        (20, 100),
        RatingRule::Fixed { least: 25 },
        (Some("positive to the cathode"), None),
        WINDOW,
    ),
    row(
        Role::CathodeBypassRf,
        Fit::Film,
        (20, 100),
        RatingRule::Fixed { least: 100 },
        (None, Some("to the chassis or B- side")),
        WINDOW,
    ),
    row(
        Role::Bypass,
        Fit::Film,
        (20, 50),
        RatingRule::NoLoad { least: 400 },
        (None, Some("to the chassis or B- side")),
        WINDOW,
    ),
    row(
        Role::Coupling,
        Fit::Film,
        (20, 25),
        RatingRule::NoLoad { least: 630 },
        (None, Some("to the plate that drives it")),
        WINDOW,
    ),
    row(
        Role::GridCoupling,
        Fit::Film,
        (20, 25),
        RatingRule::NoLoad { least: 100 },
        (None, Some("to the source side")),
        WINDOW,
    ),
    row(
        Role::Avc,
        Fit::Film,
        (20, 20),
        RatingRule::Fixed { least: 100 },
        (None, Some("to the chassis or B- side")),
        WINDOW,
    ),
    row(
        Role::DiodeFilter,
        Fit::SilverMica,
        (20, 20),
        RatingRule::Fixed { least: 300 },
        (None, None),
        WINDOW,
    ),
    row(
        Role::Tone,
        Fit::Film,
        (10, 10),
        RatingRule::NoLoad { least: 250 },
        (None, Some("to the chassis or B- side")),
        CLOSE,
    ),
    row(
        Role::VolumeCompensation,
        Fit::Film,
        (10, 10),
        RatingRule::Fixed { least: 250 },
        (None, Some("to the chassis or B- side")),
        CLOSE,
    ),
    row(
        Role::PlateBypass,
        Fit::Film,
        (10, 10),
        RatingRule::TimesNoLoad { tenths: 30, least: 1000 },
        (None, Some("to the chassis or B+ side")),
        WINDOW,
    ),
    row(
        Role::AcrossLine,
        Fit::Safety(SafetyClass::X2),
        (50, 25),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(
        Role::LineToChassis,
        Fit::Safety(SafetyClass::Y2),
        (90, 0),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(
        Role::BMinusToChassis,
        Fit::Safety(SafetyClass::Y1),
        (95, 0),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(
        Role::AntennaIsolation,
        Fit::Safety(SafetyClass::Y1),
        (50, 10),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(
        Role::GroundIsolation,
        Fit::Safety(SafetyClass::Y1),
        (90, 0),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(
        Role::TouchIsolation,
        Fit::Safety(SafetyClass::Y1),
        (95, 0),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(Role::Buffer, Fit::Film, (5, 5), RatingRule::Fixed { least: 1600 }, (None, None), BUFFER),
    row(
        Role::SparkPlate,
        Fit::Film,
        (20, 20),
        RatingRule::Fixed { least: 100 },
        (None, Some("to the chassis side")),
        WINDOW,
    ),
    row(
        Role::RectifierRf,
        Fit::Film,
        (20, 20),
        RatingRule::TimesNoLoad { tenths: 20, least: 1250 },
        (None, None),
        WINDOW,
    ),
    row(
        Role::MotorSuppressor,
        Fit::Safety(SafetyClass::X2),
        (20, 20),
        RatingRule::Line,
        (None, None),
        LINE,
    ),
    row(
        Role::Tuned,
        Fit::SilverMica,
        (2, 2),
        RatingRule::NoLoad { least: 300 },
        (None, None),
        CLOSE,
    ),
    row(
        Role::Padder,
        Fit::SilverMica,
        (2, 2),
        RatingRule::NoLoad { least: 300 },
        (None, None),
        CLOSE,
    ),
    row(
        Role::OscillatorGrid,
        Fit::SilverMica,
        (10, 10),
        RatingRule::NoLoad { least: 300 },
        (None, None),
        CLOSE,
    ),
    row(
        Role::Tuning,
        Fit::SilverMica,
        (0, 0),
        RatingRule::Fixed { least: 0 },
        (None, None),
        WINDOW,
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_role_has_its_row() {
        for (row, role) in RULES.iter().zip(Role::ALL) {
            assert_eq!(row.role, Some(role));
        }
    }

    #[test]
    fn line_places_ask_for_a_class_and_no_others_do() {
        for row in &RULES {
            let role = row.role.unwrap();
            assert_eq!(matches!(row.fit, Fit::Safety(_)), role.is_line_place(), "{role:?}");
        }
    }
}
