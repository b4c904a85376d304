//! Parts that are replaced by something else, or left alone for a reason:
//! selenium and copper-oxide rectifiers, resistance cords, vibrators, and
//! every kind that is neither capacitor nor resistor.
//!
//! ```
//! use firstglow::plan::{context::Context, special, types::Decision};
//! use firstglow::sheet::{Sheet, part::{Designator, Make, Part, PartKind}};
//! let name = Designator { letters: "SR".into(), number: 1, section: None };
//! let mut part = Part::new("SR1", name, PartKind::DryRectifier);
//! part.makes.push(Make::Selenium);
//! let (planned, _) = special::plan(&part, &Context::of(&Sheet::default()));
//! assert_eq!(planned.decision, Decision::Substitute);
//! assert!(planned.reason.contains("22 Ω"));
//! ```
//!
//! Limits: the resistor beside silicon is a start value, trimmed on the bench
//! until B+ is as the sheet gives it.

use super::check::band;
use super::context::Context;
use super::part;
use super::resistor::ohms_text;
use super::string::FORM;
use super::supply::silicon;
use super::text::{figure, input, milliamperes, volts, working};
use super::told::Told;
use super::types::{Basis, Check, Decision, PlannedPart, Working};
use crate::circuit::model::is_silicon;
use crate::notation::note::Note;
use crate::sheet::part::{Make, Part, PartKind, WindingKind};
use crate::trade::quantity::{Current, Tolerance};
use crate::trade::ratings::{RESISTOR_WATTS, covering};
use crate::trade::series::E12;
use crate::trade::source::Source;
use rust_decimal::{Decimal, prelude::ToPrimitive};

const SELENIUM: Source = Source::arithmetic(
    "own simulation, 117 V half wave, 22 Ω, 40 µF, 65 mA: 19 Ω in the AC leg replaces 8 V of \
     selenium, about a fifth of the drop over the mean current",
);
const CORD: Source = Source::practice("alternatives to a resistance line cord");
const KIND: Source = Source::practice("what is done with parts of this kind");

/// Forward drop of a good selenium stack and of silicon, volts.
const DROPS: (f64, f64) = (8.0, 0.8);
/// Direct current assumed where none is told, amperes.
const ASSUMED_A: f64 = 0.065;

/// Plans a part that is neither capacitor nor resistor.
pub fn plan(part: &Part, context: &Context) -> (PlannedPart, Vec<Note>) {
    let planned = match part.kind {
        PartKind::DryRectifier if !is_silicon(part) => dry_rectifier(part, context),
        PartKind::ResistanceCord => resistance_cord(part, context),
        PartKind::Coil | PartKind::Transformer => wound(part),
        _ => by_kind(part),
    };
    (planned, Vec::new())
}

fn dry_rectifier(part: &Part, context: &Context) -> PlannedPart {
    if part.is_made(Make::CopperOxide) {
        return part::begin(
            part,
            Decision::Test,
            "Copper oxide in a meter stays: its curve is part of the scale, silicon would spoil \
             the calibration."
                .to_owned(),
        );
    }
    let (amperes, basis) = match part.current.map(Current::to_f64).filter(|i| *i > 0.0) {
        Some(stated) => (stated, Basis::Stated),
        None => (ASSUMED_A, Basis::Assumed),
    };
    let ohms = start_ohms(amperes);
    let watts = (FORM * amperes).powi(2) * ohms;
    let rated = rated_watts(watts);
    let silicon = silicon::choose(part, context);
    let reason = format!(
        "Replace the selenium rectifier. {}. Put {} {rated} W in series on the AC side, and a fuse \
         ahead of it. That is a start value: trim it until the supply's voltage at the nameplate \
         line is as the sheet gives it, never above it by more than 10 %.",
        silicon.words(&current_class(amperes)),
        ohms_text(ohms)
    );
    let mut planned = part::begin(part, Decision::Substitute, reason);
    planned.working.extend(silicon.working());
    planned.working.push(selenium_working(amperes, basis, ohms, watts, &rated));
    planned.checks.push(Check {
        what: "B+ at the nameplate line, all tubes warm, against the sheet.".to_owned(),
        least: None,
        most: Some("the sheet's figure + 10 %".to_owned()),
    });
    planned
}

/// The start value of the resistor beside silicon, ohms.
pub fn start_ohms(amperes: f64) -> f64 {
    let fifth = (DROPS.0 - DROPS.1) / amperes / 5.0;
    let wanted = Decimal::try_from(fifth.clamp(22.0, 47.0)).ok();
    let nearest = wanted.and_then(|w| E12.nearest(w, Decimal::from(22), Decimal::from(47)));
    nearest.and_then(|v| v.to_f64()).unwrap_or(47.0)
}

fn selenium_working(amperes: f64, basis: Basis, ohms: f64, watts: f64, rated: &str) -> Working {
    let inputs = vec![
        input("direct current", milliamperes(amperes), basis),
        input("drop of good selenium", volts(DROPS.0), Basis::Assumed),
        input("drop of silicon", volts(DROPS.1), Basis::Assumed),
    ];
    let rule = "a fifth of (drop of selenium - drop of silicon) / direct current, for the current \
                in the AC leg is pulsed; the nearest of E12 from 22 to 47 Ω";
    let result = format!("{}, {} W of heat, fit {rated} W", ohms_text(ohms), figure(watts));
    working("series resistor", inputs, rule, result, SELENIUM)
}

/// A sold rating of at least five times the heat, for cool running under cover.
fn rated_watts(watts: f64) -> String {
    Decimal::try_from((watts * 5.0).max(5.0))
        .ok()
        .and_then(|need| covering(RESISTOR_WATTS, need))
        .map_or_else(|| "over 100".to_owned(), |w| w.to_string())
}

fn current_class(amperes: f64) -> String {
    let wanted = (amperes * 5.0).max(1.0).ceil();
    format!("{} A", figure(wanted))
}

fn resistance_cord(part: &Part, context: &Context) -> PlannedPart {
    let stated = part.current.map(Current::to_f64).filter(|i| *i > 0.0);
    let (amperes, basis) = match (stated, context.in_line(part)) {
        (Some(stated), _) => (stated, Basis::Stated),
        (None, Some(load)) => (load.amperes(), Basis::Computed),
        (None, None) => (0.3, Basis::Assumed),
    };
    let reason = "A resistance cord goes: it runs hot and may hold asbestos; cut it off whole, \
                  never strip it. Fit a plain cord and drop the heater voltage inside the set: a \
                  power resistor in free air, a series capacitor of class X2 worked out for the \
                  string, or a diode with a resistor.";
    let mut planned = part::begin(part, Decision::Substitute, reason.to_owned());
    if let Some(ohms) = part.resistance {
        let drop = amperes * ohms.to_f64();
        let inputs = vec![
            input("cord", ohms, Basis::Stated),
            input("heater current", Told::Figure(amperes, "A"), basis),
        ];
        let result = format!("drops {}, {} W of heat", volts(drop), figure(drop * amperes));
        planned.working.push(working("heater drop", inputs, "V = I·R, W = I²·R", result, CORD));
    }
    planned
}

/// Coils and transformers: continuity and winding resistance.
fn wound(part: &Part) -> PlannedPart {
    let reason = "Tested for continuity and against its winding resistance; rarely replaced.";
    let mut planned = part::begin(part, Decision::Test, reason.to_owned());
    let tolerance = Tolerance::symmetric(Decimal::from(20));
    let mut check = |what: String, ohms: f64| {
        let (least, most) = band(ohms, &tolerance);
        planned.checks.push(Check {
            what,
            least: Some(ohms_text(least)),
            most: Some(ohms_text(most)),
        });
    };
    if let Some(ohms) = part.resistance {
        check("DC resistance, cold.".to_owned(), ohms.to_f64());
    }
    for winding in &part.windings {
        if let Some(ohms) = winding.resistance {
            let kind = match winding.kind {
                WindingKind::Primary => "primary",
                WindingKind::Secondary => "secondary",
                WindingKind::Heater => "heater winding",
                WindingKind::RectifierHeater => "rectifier heater winding",
            };
            let what =
                format!("DC resistance of the {kind}, {} to {}.", winding.start, winding.end);
            check(what, ohms.to_f64());
        }
    }
    planned.working.push(kind_working(part, "test"));
    planned
}

fn by_kind(part: &Part) -> PlannedPart {
    let (decision, reason) = match part.kind {
        _ if part.is_made(Make::New) => {
            (Decision::Keep, "Fitted new, and nothing on the sheet speaks against it.")
        }
        PartKind::Tube => (
            Decision::Test,
            "Tested for shorts and emission; the type in the socket compared with the sheet.",
        ),
        PartKind::Vibrator => (
            Decision::Test,
            "Tested by itself on a current-limited supply, and only after its buffer is new.",
        ),
        PartKind::Diode | PartKind::DryRectifier => (Decision::Test, "Tested in both directions."),
        PartKind::Switch | PartKind::Connector => {
            (Decision::Clean, "Contacts are cleaned; the wafer is kept dry.")
        }
        PartKind::Cord => (
            Decision::Test,
            "Bent and looked at along its whole length: brittle or bare rubber is replaced.",
        ),
        PartKind::Fuse => {
            (Decision::Test, "Continuity, and its marked current against the power-up's figure.")
        }
        PartKind::Lamp => {
            (Decision::Test, "Continuity; the right type is part of a series string.")
        }
        PartKind::Battery => {
            (Decision::Substitute, "Old batteries leak: out, and a supply in their place.")
        }
        PartKind::Speaker => (
            Decision::Test,
            "Voice coil for continuity and free travel; never run the set without it.",
        ),
        PartKind::Meter => (Decision::Keep, "Kept; its shunts and scale stay untouched."),
        PartKind::Crystal => (Decision::Keep, "Kept; judged by its oscillation."),
        _ => (Decision::Test, "Looked at and tested for what it does."),
    };
    let mut planned = part::begin(part, decision, reason.to_owned());
    let word = match decision {
        Decision::Clean => "clean",
        Decision::Keep => "keep",
        Decision::Substitute => "substitute",
        _ => "test",
    };
    planned.working.push(kind_working(part, word));
    planned
}

fn kind_working(part: &Part, result: &'static str) -> Working {
    let inputs = vec![input("mark", part.mark.clone(), Basis::Stated)];
    working("decision", inputs, "by the kind of part", result, KIND)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::part as made;
    use crate::sheet::Sheet;
    use crate::trade::quantity::Resistance;

    #[test]
    fn the_start_value_lies_near_the_simulated_one() {
        // A fifth of 111 Ω; the simulation needs 19 Ω.
        assert!((start_ohms(0.065) - 22.0).abs() < f64::EPSILON);
        assert!((start_ohms(1.0) - 22.0).abs() < f64::EPSILON);
        assert!((start_ohms(1e-9) - 47.0).abs() < f64::EPSILON);
    }

    #[test]
    fn copper_oxide_is_left_in_a_meter() {
        let mut part = made("SR1", PartKind::DryRectifier);
        part.makes.push(Make::CopperOxide);
        let planned = plan(&part, &Context::of(&Sheet::default())).0;
        assert_eq!(planned.decision, Decision::Test);
    }

    #[test]
    fn a_resistance_cord_tells_its_heat() {
        let mut part = made("W1", PartKind::ResistanceCord);
        part.resistance = Resistance::new(Decimal::from(160)).ok();
        let planned = plan(&part, &Context::of(&Sheet::default())).0;
        assert_eq!(planned.decision, Decision::Substitute);
        assert_eq!(planned.working[0].result, "drops 48 V, 14.4 W of heat");
    }

    #[test]
    fn every_kind_has_a_decision() {
        for kind in [PartKind::Tube, PartKind::Fuse, PartKind::Other, PartKind::Coil] {
            let planned = plan(&made("Q1", kind), &Context::of(&Sheet::default())).0;
            assert!(!planned.reason.is_empty() && planned.replacement.is_none());
        }
    }
}
