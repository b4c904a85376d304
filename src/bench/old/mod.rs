//! Readings on an old part, and what they say of it.
//!
//! What was typed stays as it was typed, under the words of its [`Slot`]; the
//! judgement is made from it each time. A part is judged by its place (the
//! insulation that the circuit asks for there), by its rating (a leak counts at
//! the volts it must stand), and by its kind and age.
//!
//! ```
//! use firstglow::bench::old::{Good, Slot, judge, Around};
//! use firstglow::{plan::plan, sheet::Sheet};
//! use std::collections::BTreeMap;
//! let plan = plan(&Sheet::read("C7 .01 mfd 400 V film"));
//! let readings = BTreeMap::from([
//!     (Slot::Leakage.key().to_owned(), "0.2 µA".to_owned()),
//!     (Slot::LeakageAt.key().to_owned(), "400".to_owned()),
//! ]);
//! let found = judge(&plan.parts[0], &readings, &BTreeMap::new(), &Around::default()).unwrap();
//! assert_eq!(found.good, Good::Passes);
//! assert!(found.sentence.contains("2000 MΩ at 400 V"), "{}", found.sentence);
//! ```
//!
//! Limits: direct voltage and one frequency; a part that shows its fault only
//! when warm or at an instant passes here.

mod capacitance;
mod leak;
mod loss;
mod resistor;

use super::reading::{self, Bound, Figure, ReadingError};
use crate::circuit::beside::Beside;
use crate::circuit::drift::Moved;
use crate::plan::text::{input, working};
use crate::plan::types::{Basis, Input, PlannedPart, Working};
use crate::sheet::part::PartKind;
use crate::trade::dielectric::Dielectric;
use crate::trade::fresh::{AGES_SOURCE, Fresh, ages};
use std::collections::BTreeMap;

/// What is read on an old part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// Its capacitance.
    Capacitance,
    /// The frequency of the instrument.
    Frequency,
    /// Dissipation or power factor.
    Dissipation,
    /// How the bridge came to its null: [`NULLS`].
    Null,
    /// Equivalent series resistance.
    Esr,
    /// Insulation resistance.
    Insulation,
    /// At which volts.
    InsulationAt,
    /// Leakage.
    Leakage,
    /// At which volts.
    LeakageAt,
    /// Leakage in a second test.
    SecondLeakage,
    /// At which volts.
    SecondLeakageAt,
    /// Resistance, of a resistor.
    Resistance,
    /// [`IN_PLACE`] where no lead was lifted.
    InPlace,
}

/// What stands under [`Slot::Null`]: the words kept, and those shown.
pub const NULLS: [(&str, &str); 4] =
    [("", "not noted"), ("sharp", "sharp"), ("broad", "broad or weak"), ("none", "none at all")];

/// What stands under [`Slot::InPlace`] where no lead was lifted.
pub const IN_PLACE: &str = "yes";

impl Slot {
    /// Those of a capacitor, in the order they are asked for.
    pub const CAPACITOR: [Self; 11] = [
        Self::Capacitance,
        Self::Dissipation,
        Self::Null,
        Self::Esr,
        Self::Frequency,
        Self::Leakage,
        Self::LeakageAt,
        Self::SecondLeakage,
        Self::SecondLeakageAt,
        Self::Insulation,
        Self::InsulationAt,
    ];

    /// The words it is kept under, which the record prints.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Capacitance => "capacitance",
            Self::Frequency => "test frequency",
            Self::Dissipation => "dissipation",
            Self::Null => "null",
            Self::Esr => "series resistance",
            Self::Insulation => "insulation",
            Self::InsulationAt => "insulation tested at",
            Self::Leakage => "leakage",
            Self::LeakageAt => "leakage tested at",
            Self::SecondLeakage => "leakage, second test",
            Self::SecondLeakageAt => "second test at",
            Self::Resistance => "resistance",
            Self::InPlace => "taken in circuit",
        }
    }

    /// What the field is called.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Capacitance => "Capacitance",
            Self::Frequency => "Bridge frequency",
            Self::Dissipation => "Dissipation",
            Self::Null => "Null",
            Self::Esr => "Series resistance (ESR)",
            Self::Insulation => "Insulation",
            Self::InsulationAt => "Insulation tested at",
            Self::Leakage => "Leakage",
            Self::LeakageAt => "Leakage tested at",
            Self::SecondLeakage => "Second leakage",
            Self::SecondLeakageAt => "Second test at",
            Self::Resistance => "Resistance",
            Self::InPlace => "Taken in circuit",
        }
    }

    /// The unit taken where none is typed: that of the part's own mark.
    pub fn unit(self, planned: &PlannedPart) -> &'static str {
        let ohms = planned.old.ohms.unwrap_or(0.0);
        match self {
            Self::Capacitance if planned.old.picofarads.is_some_and(|p| p < 1000.0) => "pF",
            Self::Capacitance => "µF",
            Self::Frequency => "Hz",
            Self::Dissipation => "%",
            Self::Resistance if ohms >= 1e6 => "MΩ",
            Self::Resistance if ohms >= 1e3 => "kΩ",
            Self::Esr | Self::Resistance => "Ω",
            Self::Insulation => "MΩ",
            Self::InsulationAt | Self::LeakageAt | Self::SecondLeakageAt => "V",
            Self::Leakage | Self::SecondLeakage if is_electrolytic(planned) => "mA",
            Self::Leakage | Self::SecondLeakage => "µA",
            Self::Null | Self::InPlace => "",
        }
    }

    /// The slot that a check of the plan is answered in.
    pub fn of_check(what: &str) -> Option<Self> {
        let known = [Self::Capacitance, Self::Insulation, Self::Leakage, Self::Resistance];
        known.into_iter().find(|slot| what.starts_with(slot.label()))
    }
}

/// A limit of the instruments at hand, kept for the whole set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The most ohms that are shown before `OL`.
    Ohms,
    /// The least current that is shown.
    Current,
    /// The most capacitance that is shown.
    Capacitance,
    /// The error of the capacitance bridge.
    Error,
}

impl Limit {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Ohms, Self::Current, Self::Capacitance, Self::Error];

    /// The words it is kept under.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Ohms => "highest resistance",
            Self::Current => "least current",
            Self::Capacitance => "highest capacitance",
            Self::Error => "capacitance error",
        }
    }

    /// What the field is called.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Ohms => "Highest resistance shown",
            Self::Current => "Least leakage shown",
            Self::Capacitance => "Highest capacitance shown",
            Self::Error => "Error of the capacitance reading",
        }
    }

    /// The unit taken where none is typed.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Ohms => "MΩ",
            Self::Current => "µA",
            Self::Capacitance => "µF",
            Self::Error => "%",
        }
    }
}

/// Parts of one by which a capacitance reading may err where nothing is said.
/// Source: common practice, no source (old bridges are good to ±10 %).
const USUAL_ERROR: f64 = 0.10;

/// What the circuit says of the part's surroundings, for readings in place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Around {
    /// What runs beside it; `None` where a lead was lifted.
    pub beside: Option<Beside>,
    /// What a drifted resistor moves.
    pub moved: Vec<Moved>,
}

/// How a part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Good {
    /// Its readings pass.
    Passes,
    /// They do not settle it.
    Doubtful,
    /// They give it up.
    Fails,
}

impl Good {
    /// In a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Passes => "Passes",
            Self::Doubtful => "Doubtful",
            Self::Fails => "Fails",
        }
    }
}

/// One thing that the readings say.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How the part stands by it.
    pub good: Good,
    /// In one sentence.
    pub sentence: String,
    /// How that was reached.
    pub working: Working,
}

/// What all readings together say.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The worst of the findings.
    pub good: Good,
    /// In one sentence.
    pub sentence: String,
    /// The findings, worst first.
    pub findings: Vec<Finding>,
}

/// What was typed, and how it reads.
struct Typed<'a> {
    planned: &'a PlannedPart,
    readings: &'a BTreeMap<String, String>,
    limits: &'a BTreeMap<String, String>,
}

impl Typed<'_> {
    /// A reading in its base unit; `None` for none, or one that cannot be read:
    /// its field says so.
    fn get(&self, slot: Slot) -> Option<Figure> {
        read(self.planned, self.readings, slot).ok().flatten()
    }

    fn plain(&self, slot: Slot) -> Option<f64> {
        self.get(slot).map(|f| f.value).filter(|v| v.is_finite() && *v > 0.0)
    }

    fn word(&self, slot: Slot) -> &str {
        self.readings.get(slot.key()).map_or("", |text| text.trim())
    }

    fn limit(&self, limit: Limit) -> Option<f64> {
        let text = self.limits.get(limit.key())?;
        let found = reading::figure(text, limit.unit()).ok().flatten()?;
        Some(found.value).filter(|v| v.is_finite() && *v > 0.0)
    }

    /// Parts of one by which a capacitance reading may err.
    fn error(&self) -> f64 {
        self.limit(Limit::Error).map_or(USUAL_ERROR, |percent| percent / 100.0)
    }
}

/// What was typed under a slot, in base units.
///
/// # Errors
/// [`ReadingError`], to be shown at the field.
pub fn read(
    planned: &PlannedPart,
    readings: &BTreeMap<String, String>,
    slot: Slot,
) -> Result<Option<Figure>, ReadingError> {
    let text = readings.get(slot.key()).map_or("", String::as_str);
    if matches!(slot, Slot::Null | Slot::InPlace) {
        return Ok(None);
    }
    reading::figure(text, slot.unit(planned))
}

/// Whether a part is judged by readings on it.
pub const fn is_judged(kind: PartKind) -> bool {
    matches!(kind, PartKind::Capacitor | PartKind::Resistor | PartKind::Potentiometer)
}

/// Whether no lead was lifted.
pub fn in_place(readings: &BTreeMap<String, String>) -> bool {
    readings.get(Slot::InPlace.key()).is_some_and(|text| text == IN_PLACE)
}

/// The frequency a capacitance was taken at, hertz: as typed, else the line's
/// for large parts and 1 kHz for small ones, as old bridges and meters have it.
pub fn frequency(planned: &PlannedPart, readings: &BTreeMap<String, String>) -> (f64, Basis) {
    let typed = read(planned, readings, Slot::Frequency).ok().flatten();
    match typed.filter(|f| f.value.is_finite() && f.value > 0.0) {
        Some(found) => (found.value, Basis::Stated),
        None if is_electrolytic(planned) => (120.0, Basis::Assumed),
        None => (60.0, Basis::Assumed),
    }
}

/// What all readings on a part say; `None` while nothing is typed that can be
/// judged.
pub fn judge(
    planned: &PlannedPart,
    readings: &BTreeMap<String, String>,
    limits: &BTreeMap<String, String>,
    around: &Around,
) -> Option<Judgement> {
    let typed = Typed { planned, readings, limits };
    let mut findings = Vec::new();
    if planned.kind == PartKind::Capacitor {
        findings.extend(leak::judge(planned, &typed, around));
        findings.extend(capacitance::judge(planned, &typed, around));
        findings.extend(loss::judge(planned, &typed));
        let passes = !findings.is_empty() && findings.iter().all(|f| f.good == Good::Passes);
        findings.extend(dielectric(planned).filter(|_| passes).and_then(age));
    } else {
        findings.extend(resistor::judge(planned, &typed, around));
    }
    // The worst first; of equals the one found first.
    crate::order::sort(&mut findings, |f| [2 - f.good as usize, 0, 0]);
    let worst = findings.first()?;
    let (good, sentence) = (worst.good, worst.sentence.clone());
    Some(Judgement { good, sentence, findings })
}

/// What its kind says although its readings pass.
fn age(dielectric: Dielectric) -> Option<Finding> {
    let why = ages(dielectric)?;
    let wet = dielectric == Dielectric::WetElectrolytic;
    let sentence = if wet {
        format!("It reads well, and goes all the same: {why}.")
    } else {
        format!("It passes today; {why}.")
    };
    let inputs = vec![input("made of", dielectric.label(), Basis::Stated)];
    let working =
        working("age", inputs, "the kind, whatever it reads", sentence.clone(), AGES_SOURCE);
    Some(Finding { good: if wet { Good::Fails } else { Good::Doubtful }, sentence, working })
}

fn dielectric(planned: &PlannedPart) -> Option<Dielectric> {
    planned.old.dielectric.map(|found| found.value)
}

fn is_electrolytic(planned: &PlannedPart) -> bool {
    dielectric(planned).is_some_and(Dielectric::is_electrolytic)
}

/// Its value by its mark, farads.
fn farads(planned: &PlannedPart) -> Option<f64> {
    planned.old.picofarads.map(|p| p * 1e-12).filter(|f| *f > 0.0)
}

/// A good new part of what the plan fits here, or else of the old one's kind.
pub fn fresh(planned: &PlannedPart) -> Option<(Dielectric, Fresh)> {
    let kind = planned.replacement.as_ref().map(|new| new.dielectric).or(dielectric(planned))?;
    let farads = planned
        .replacement
        .as_ref()
        .map(|new| new.picofarads * 1e-12)
        .or_else(|| farads(planned))?;
    let rating = planned.replacement.as_ref().map(|new| new.rating_v);
    let rating = rating.or_else(|| planned.old.rating.map(crate::trade::quantity::Voltage::to_f64));
    Some((kind, Fresh::of(kind, farads, rating)))
}

/// An input as typed: with its sign where it is no more than a bound.
fn typed_input(name: &str, figure: Figure, shown: &str) -> Input {
    let sign = match figure.bound {
        Bound::Exact => "",
        Bound::AtLeast => "at least ",
        Bound::AtMost => "at most ",
    };
    input(name.to_owned(), format!("{sign}{shown}"), Basis::Stated)
}

#[cfg(test)]
mod tests;
