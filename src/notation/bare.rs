//! Bare capacitances, read by the trade's habit once the whole line is known.

use super::capacitor::farads;
use super::code;
use super::item::{Bare, Found};
use super::number::Number;
use super::problem::Problem;
use super::word::Span;
use crate::trade::quantity::{Capacitance, Voltage};
use rust_decimal::Decimal;

/// What the rest of the line says a bare value is likely to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Likely {
    /// Nothing.
    #[default]
    Unsaid,
    /// Microfarads: electrolytic by its dielectric or role.
    Electrolytic,
    /// Picofarads: mica, ceramic, or a tuned role.
    Small,
    /// Microfarads below ten: paper or film.
    Paper,
    /// Picofarads: variable.
    Variable,
}

/// What the rest of the line says of a bare value.
#[derive(Debug, Clone, Copy, Default)]
pub struct Hints {
    /// By its dielectric, role or kind.
    pub likely: Likely,
    /// Whether its voltage mark says working volts.
    pub working_volts: bool,
    /// Whether it has a rating.
    pub rated: bool,
    /// Whether that rating is one that electrolytics alone have.
    pub electrolytic_rating: bool,
}

/// Whether a rating is one of electrolytics, not of paper, mica or ceramic of
/// the time. Source: common practice, no source.
pub fn is_electrolytic_rating(rating: Voltage) -> bool {
    let volts = rating.volts();
    volts <= Decimal::from(150)
        || [350, 450, 475, 525].iter().any(|known| volts == Decimal::from(*known))
}

/// How a bare number is read.
enum Reading {
    Micro,
    Pico,
    Either { micro: bool },
    Code(Capacitance),
    LostPoint(Decimal),
    MaybeRating,
}

/// Reads bare numbers by the trade's habit: below 1 is microfarads; whole
/// numbers are picofarads on small parts, microfarads on electrolytics.
/// Each reading is noted. Source: common practice, no source.
pub fn resolve(
    span: Span,
    numbers: &[Number],
    bare: Bare,
    hints: Hints,
) -> (Option<Vec<Capacitance>>, Vec<Found>) {
    let first = &numbers[0];
    let text = numbers.iter().map(|n| n.written.as_str()).collect::<Vec<_>>().join("-");
    let reading = habit(first, numbers.len(), bare, hints);
    if matches!(reading, Reading::MaybeRating) {
        return (None, vec![value_or_rating(span, &text, hints)]);
    }
    let micro = Decimal::from(1_000_000);
    let scale = match &reading {
        Reading::Micro | Reading::LostPoint(_) | Reading::Either { micro: true } => micro,
        _ => Decimal::ONE,
    };
    let made = match &reading {
        Reading::Code(value) => Ok(vec![*value]),
        Reading::LostPoint(value) => farads(*value, micro).map(|c| vec![c]),
        _ => numbers.iter().map(|n| farads(n.value, scale)).collect(),
    };
    let values = match made {
        Ok(values) => values,
        Err(out) => return (None, vec![Found::error(span, Problem::Range(text, out))]),
    };
    let read = values.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let found = doubt(span, &text, &read, &reading, (numbers, bare));
    (Some(values), vec![found])
}

/// A number that is as likely the rating as the value: asked, not taken.
fn value_or_rating(span: Span, text: &str, hints: Hints) -> Found {
    let unit = if hints.likely == Likely::Electrolytic { "µF" } else { "pF" };
    Found::error(span, Problem::ValueOrRating(text.to_owned()))
        .or(format!("it is the rating {text} V"), format!("{text} V"))
        .or(format!("it is the value {text} {unit}"), format!("{text} {unit}"))
}

/// Whether a number without a unit, alone on its line, is as likely a rating:
/// 400 on paper, 450 on anything but mica and ceramic. Source: common practice,
/// no source.
fn may_be_rating(first: &Number, count: usize, bare: Bare, hints: Hints) -> bool {
    if count > 1 || bare.with_rating || bare.tolerance.is_some() {
        return false;
    }
    let among = |all: &[i64]| all.iter().any(|n| first.value == Decimal::from(*n));
    match hints.likely {
        Likely::Small | Likely::Variable => false,
        Likely::Electrolytic | Likely::Paper if hints.rated => false,
        Likely::Electrolytic | Likely::Paper => {
            super::capacitor::is_old_rating(first) && first.value >= Decimal::from(150)
        }
        Likely::Unsaid => !first.pointed && among(&[350, 450, 475, 525, 600, 1600]),
    }
}

/// The note on a bare reading. What a choice writes stands by itself where the
/// number stood: joined to its rating, or with its tolerance written out.
fn doubt(
    span: Span,
    text: &str,
    read: &str,
    reading: &Reading,
    (numbers, bare): (&[Number], Bare),
) -> Found {
    let first = &numbers[0];
    let (text, as_read) = (text.to_owned(), read.to_owned());
    let found = |problem| Found::reading(span, read, problem);
    let tail = bare.tolerance.map(|t| format!(" {t}")).unwrap_or_default();
    let space = if bare.with_rating { "" } else { " " };
    let micro = Decimal::from(1_000_000);
    let fits = numbers.iter().all(|n| farads(n.value, micro).is_ok());
    let choice = |found: Found, shown: &str, unit: &str| {
        if unit == "µF" && !fits {
            return found;
        }
        found.or(format!("it is {shown} {unit}"), format!("{shown}{space}{unit}{tail}"))
    };
    let coded = (text.len() == 3).then(|| code::three_digit_value(&text)).flatten();
    let as_code = |found: Found, value: Capacitance| {
        let written = value.to_string().replace(' ', space);
        found.or(format!("it is a code: {value}"), format!("{written}{tail}"))
    };
    match reading {
        Reading::Micro if first.value < Decimal::ONE => {
            choice(found(Problem::BareCapacitance(text.clone(), as_read)), &text, "µF")
        }
        Reading::Micro => {
            let found = found(Problem::BareCapacitance(text.clone(), as_read));
            choice(choice(found, &text, "µF"), &text, "pF")
        }
        Reading::Pico => {
            let coded = coded.filter(|_| first.value >= Decimal::ONE_HUNDRED);
            let problem = if coded.is_some() {
                Problem::NotCode(text.clone(), as_read)
            } else {
                Problem::BareCapacitance(text.clone(), as_read)
            };
            let found = choice(choice(found(problem), &text, "pF"), &text, "µF");
            coded.map_or(found.clone(), |value| as_code(found, value))
        }
        Reading::Either { .. } => {
            let found = Found::warning(span, Problem::BareEither(text.clone(), as_read));
            choice(choice(found, &text, "µF"), &text, "pF")
        }
        Reading::Code(value) => {
            let found = found(Problem::Code(text.clone(), as_read));
            choice(as_code(found, *value), &text, "pF")
        }
        Reading::MaybeRating => value_or_rating(span, &text, Hints::default()),
        Reading::LostPoint(value) => {
            let found = Found::warning(span, Problem::LostPoint(text, as_read));
            let found = choice(found, &value.to_string(), "µF");
            choice(found, &first.value.to_string(), "pF")
        }
    }
}

/// Chooses how a bare number is read.
fn habit(first: &Number, count: usize, bare: Bare, hints: Hints) -> Reading {
    let value = first.value;
    if first.lost_point() {
        return Reading::LostPoint(first.with_point());
    }
    if may_be_rating(first, count, bare, hints) {
        return Reading::MaybeRating;
    }
    let whole = value.is_integer();
    let three = whole && first.written.len() == 3 && !first.pointed;
    if value < Decimal::ONE {
        return Reading::Micro;
    }
    if hints.likely == Likely::Variable {
        return Reading::Pico;
    }
    if hints.likely == Likely::Electrolytic {
        return Reading::Micro;
    }
    if three
        && count == 1
        && matches!(first.written.as_bytes()[2], b'1'..=b'4')
        && let Some(value) = code::three_digit_value(&first.written)
    {
        return Reading::Code(value);
    }
    let small = hints.likely == Likely::Small;
    let working = bare.with_rating
        || hints.working_volts
        || hints.electrolytic_rating && value >= Decimal::TEN;
    let joined = count > 1 || working && value <= Decimal::from(200);
    if joined && !small {
        return Reading::Micro;
    }
    if value >= Decimal::TEN || small {
        return Reading::Pico;
    }
    Reading::Either { micro: hints.likely == Likely::Paper || hints.rated }
}
