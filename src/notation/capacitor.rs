//! The numbers of a capacitor: sections, values joined to ratings, bare values.
//!
//! Bare values are kept as they stand ([`Item::BareCapacitance`]) until the
//! whole line is known, then read by [`super::bare::resolve`].

use super::amount::{
    Around, Taken, doubtful_mark, mark_after, measured, number_fault, scaled, text_of,
    unit_problem, volts,
};
use super::code;
use super::item::{Bare, Found, Item};
use super::joined::{
    Joined, Member, Shape, halves, join, rated_next, rating_span, shape, skip, times, values_length,
};
use super::number::{self, Number};
use super::problem::Problem;
use super::unit::{self, Measure, VoltMark};
use super::word::{Span, Word};
use crate::trade::kind::PartKind;
use crate::trade::quantity::Capacitance;
use rust_decimal::Decimal;

pub use super::joined::is_old_rating;

/// Reads the numbers that start at the first word.
pub fn take(words: &[Word], around: Around) -> Taken {
    let word = &words[0];
    let (times, skipped) = times(&word.text).unwrap_or((1, 0));
    let joined = match join(skip(&word.text, skipped)) {
        Ok(joined) => joined.repeated(times, skipped),
        Err(e) => return number_fault(words, Problem::Number(word.text.clone(), e)),
    };
    let (mark, span, used) = mark_after(words, joined.length);
    let mut taken = Taken { words: used, ..Taken::default() };
    if let Some(product) = product(words, &joined, mark) {
        return product;
    }
    if let [Member { number, .. }] = joined.members.as_slice() {
        single(&mut taken, words, number, mark, span, around);
    } else {
        several(&mut taken, words, &joined, mark, span, around);
    }
    taken
}

/// `20x20`, `8x8 mfd`: a fault, for sections alike could be meant, or so many of
/// them.
fn product(words: &[Word], joined: &Joined, mark: &str) -> Option<Taken> {
    let [Member { number, .. }] = joined.members.as_slice() else { return None };
    let second = number::read(mark.strip_prefix(['x', 'X', '×'])?).ok()?;
    let length = number.length + 1 + second.length;
    let (unit, span, used) = mark_after(words, length);
    let sections = format!("{}-{}", number.written, second.written);
    let space = if unit.is_empty() { "" } else { " " };
    let problem = Problem::Times(text_of(&words[..used]), sections.clone());
    let mut found = Found::error(span, problem);
    if number.value == second.value {
        found = found.or("it is two sections", format!("{sections}{space}{unit}"));
    }
    Some(Taken { words: used, items: Vec::new(), found: vec![found] })
}

/// Makes a capacitance from a number and its scale in picofarads.
pub(super) fn farads(
    value: Decimal,
    scale: Decimal,
) -> Result<Capacitance, crate::trade::quantity::OutOfRange> {
    Capacitance::new(scaled(value, scale))
}

/// One number.
fn single(
    taken: &mut Taken,
    words: &[Word],
    number: &Number,
    mark: &str,
    span: Span,
    around: Around,
) {
    let text = text_of(&words[..taken.words]);
    if mark.is_empty() {
        taken.push(span, Item::BareCapacitance(vec![number.clone()], Bare::default()));
        return;
    }
    if let Some(unit) = unit::read(mark) {
        if unit.measure == Measure::Capacitance && number.lost_point() {
            lost_point(taken, span, &text, number, mark, unit.scale);
            return;
        }
        if unit.measure == Measure::Capacitance {
            doubtful_mark(taken, span, &text, number, mark, |n| farads(n, unit.scale));
        }
        measured(taken, words, span, number.value, unit);
        return;
    }
    let mut letters = mark.chars();
    if let (Some(letter), None) = (letters.next(), letters.next())
        && taken.words == 1
    {
        lettered(taken, span, &text, number, letter, around);
        return;
    }
    taken.found.push(Found::error(span, unit_problem(&words[0].text, mark, around.kind)));
}

/// `05 mfd` for `.05 mfd`: copies of a drawing lose the point.
fn lost_point(
    taken: &mut Taken,
    span: Span,
    text: &str,
    number: &Number,
    mark: &str,
    scale: Decimal,
) {
    let value = number.with_point();
    let made = farads(value, scale);
    if let Ok(read) = &made {
        let whole = number.value;
        let problem = Problem::LostPoint(text.to_owned(), read.to_string());
        taken.found.push(
            Found { read: Some(read.to_string()), ..Found::warning(span, problem) }
                .or(format!("it is {value} {mark}"), format!("{value} {mark}"))
                .or(format!("it is {whole} {mark}"), format!("{whole} {mark}")),
        );
    }
    taken.push_checked(span, text, made.map(|c| Item::Capacitance(vec![c])));
}

/// A number with one letter that is no unit: thousand picofarads, or a
/// tolerance.
fn lettered(
    taken: &mut Taken,
    span: Span,
    text: &str,
    number: &Number,
    letter: char,
    around: Around,
) {
    let below_one = number.value < Decimal::ONE;
    if matches!(letter, 'K' | 'k') && !below_one {
        let made = farads(number.value, Decimal::from(1000));
        if let Ok(value) = made {
            let read = value.to_string();
            let picofarads = format!("{} pF ±10 %", number.written);
            taken.found.push(
                Found::reading(span, &read, Problem::KiloPico(text.to_owned(), read.clone()))
                    .or(format!("it is {read}"), &read)
                    .or(format!("it is {picofarads}"), picofarads),
            );
        }
        taken.push_checked(span, text, made.map(|c| Item::Capacitance(vec![c])));
        return;
    }
    let Some(tolerance) = code::percent_letter(letter) else {
        let mark = letter.to_string();
        taken.found.push(Found::error(span, unit_problem(text, &mark, around.kind)));
        return;
    };
    let bare = Bare { tolerance: Some(tolerance), ..Bare::default() };
    taken.push(span, Item::BareCapacitance(vec![number.clone()], bare));
    taken.push(span.part(span.length - 1, 1), Item::Tolerance(tolerance));
    let read = tolerance.to_string();
    let problem = Problem::ToleranceRead(text.to_owned(), read.clone());
    taken.found.push(Found::reading(span.part(span.length - 1, 1), &read, problem));
}

/// What joined numbers say: sections, and a rating after them or not.
fn several(
    taken: &mut Taken,
    words: &[Word],
    joined: &Joined,
    mark: &str,
    span: Span,
    around: Around,
) {
    let text = text_of(&words[..taken.words]);
    let unit = unit::read(mark);
    let volt_mark = match unit.map(|u| u.measure) {
        Some(Measure::Volts(kind)) => Some(kind),
        Some(Measure::Capacitance) => None,
        None if mark.is_empty() => None,
        _ => {
            taken.found.push(Found::error(span, unit_problem(&words[0].text, mark, around.kind)));
            return;
        }
    };
    let numbers: Vec<&Number> = joined.members.iter().map(|m| &m.number).collect();
    let in_volts = |n: &Number| match (volt_mark, unit) {
        (Some(_), Some(unit)) => scaled(n.value, unit.scale),
        _ => n.value,
    };
    if volt_mark.is_some() && (around.has_value && !around.rated || joined.alike()) {
        let amounts: Vec<Decimal> = numbers.iter().map(|n| in_volts(n)).collect();
        volts(taken, words, span, &amounts, volt_mark.unwrap_or(VoltMark::Plain));
        return;
    }
    if around.kind == PartKind::VariableCapacitor && volt_mark.is_none() {
        range(taken, span, &text, &numbers, unit.map(|u| u.scale));
        return;
    }
    if around.has_value
        && !around.rated
        && unit.is_none()
        && numbers.iter().all(|n| is_old_rating(n))
    {
        // Ratings of the sections before them, when the whole line is known.
        push_values(taken, span, &text, &numbers, None, false);
        return;
    }
    if let Some(ratings_from) = halves(joined).filter(|_| !around.has_value || around.rated) {
        let (values, ratings) = numbers.split_at(ratings_from);
        let value_span = words[0].span.part(0, values_length(values, joined));
        push_values(taken, value_span, &text, values, None, true);
        let amounts: Vec<Decimal> = ratings.iter().map(|n| in_volts(n)).collect();
        let span = rating_span(words[0].span, joined, ratings_from, span);
        let saved = taken.words;
        volts(taken, words, span, &amounts, volt_mark.unwrap_or(VoltMark::Plain));
        taken.words = taken.words.max(saved);
        return;
    }
    let shape = shape(joined, unit.map(|u| u.measure), rated_next(words, taken.words));
    match shape {
        Shape::Unsure => taken.found.push(Found::error(span, Problem::Sections(text))),
        Shape::Fraction => {
            fraction(taken, span, &text, numbers[0], numbers[1], unit.map(|u| u.scale));
        }
        Shape::Sections => push_values(taken, span, &text, &numbers, unit, false),
        Shape::Rated => {
            let Some((rating, values)) = numbers.split_last() else { return };
            if volt_mark.is_none() {
                taken.found.extend(doubt(span, &text, joined, values, rating));
            }
            let value_span = words[0].span.part(0, values_length(values, joined));
            push_values(taken, value_span, &text, values, unit, true);
            let rating_span = rating_span(words[0].span, joined, values.len(), span);
            let saved = taken.words;
            let mark = volt_mark.unwrap_or(VoltMark::Plain);
            volts(taken, words, rating_span, &[in_volts(rating)], mark);
            taken.words = taken.words.max(saved);
        }
    }
}

/// The note on a rating that could be a section.
fn doubt(
    span: Span,
    text: &str,
    joined: &Joined,
    values: &[&Number],
    rating: &Number,
) -> Option<Found> {
    let greatest = values.iter().map(|n| n.value).max().unwrap_or(Decimal::ZERO);
    let all = |of: &[&Number]| of.iter().map(|n| n.written.as_str()).collect::<Vec<_>>().join("-");
    let (shown, volts) = (all(values), rating.value.to_string());
    let read = format!("{shown} and {volts} V");
    let stroke = joined.members.last().is_some_and(|m| m.sign == Some('/'));
    let doubtful = rating.value <= scaled(greatest, Decimal::TWO) && rating.value <= LOW_RATING;
    let (problem, kept) = match stroke {
        true if !doubtful && rating.value > greatest => return None,
        true => (
            Problem::ValueStrokeRating(text.to_owned(), read.clone()),
            format!("{shown} mfd {volts} V"),
        ),
        false if joined.members.iter().any(|m| m.sign == Some('/')) => return None,
        false => (
            Problem::ValueHyphenRating(text.to_owned(), read.clone()),
            format!("{shown}  {volts} V"),
        ),
    };
    let sections = if stroke { format!("{shown}-{volts} mfd") } else { format!("{text} mfd") };
    let count = if values.len() == 1 { "two" } else { "more" };
    Some(
        Found::reading(span, &read, problem)
            .or("it is value and rating", kept)
            .or(format!("it is {count} sections"), sections),
    )
}

/// Up to here a number behind a stroke is as often a value as a rating, volts.
/// Source: common practice, no source.
const LOW_RATING: Decimal = Decimal::from_parts(63, 0, 0, false, 0);

/// Pushes the values of the sections, with their unit or bare.
fn push_values(
    taken: &mut Taken,
    span: Span,
    text: &str,
    values: &[&Number],
    unit: Option<unit::Unit>,
    with_rating: bool,
) {
    if let Some(unit) = unit.filter(|u| u.measure == Measure::Capacitance) {
        let made: Result<Vec<_>, _> = values.iter().map(|n| farads(n.value, unit.scale)).collect();
        taken.push_checked(span, text, made.map(Item::Capacitance));
    } else {
        let all = values.iter().map(|n| (*n).clone()).collect();
        taken.push(span, Item::BareCapacitance(all, Bare { with_rating, ..Bare::default() }));
    }
}

/// A range of a variable capacitor: its greatest value counts.
fn range(taken: &mut Taken, span: Span, text: &str, numbers: &[&Number], scale: Option<Decimal>) {
    let most = numbers.iter().map(|n| n.value).max().unwrap_or(Decimal::ZERO);
    // Of bare numbers those below one are microfarads: `.00035`.
    let (usual, mark) =
        if most < Decimal::ONE { (Decimal::from(1_000_000), "µF") } else { (Decimal::ONE, "pF") };
    let made = farads(most, scale.unwrap_or(usual));
    if let (None, Ok(value)) = (scale, &made) {
        let read = value.to_string();
        let problem = Problem::BareCapacitance(text.to_owned(), read.clone());
        let written = format!("{text} {mark}");
        taken
            .found
            .push(Found::reading(span, &read, problem).or(format!("it is {written}"), written));
    }
    taken.push_checked(span, text, made.map(|c| Item::Capacitance(vec![c])));
}

/// `1/2 mfd`.
fn fraction(
    taken: &mut Taken,
    span: Span,
    text: &str,
    above: &Number,
    below: &Number,
    scale: Option<Decimal>,
) {
    let Some(value) = above.value.checked_div(below.value) else {
        let problem = Problem::Number(text.to_owned(), number::NumberError::DivisionByZero);
        taken.found.push(Found::error(span, problem));
        return;
    };
    if let Some(scale) = scale {
        taken.push_checked(span, text, farads(value, scale).map(|c| Item::Capacitance(vec![c])));
    } else {
        let number = Number { value, pointed: true, written: text.to_owned(), ..above.clone() };
        taken.push(span, Item::BareCapacitance(vec![number], Bare::default()));
    }
}
