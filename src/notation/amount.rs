//! Numbers with their units, on every kind of part.
//!
//! A capacitor's numbers are read in [`super::capacitor`]; here are the marks
//! that mean the same on any part, and resistors.

use super::capacitor;
use super::code;
use super::item::{Found, Item, Placed};
use super::number::{self, Number};
use super::problem::Problem;
use super::tolerance;
use super::unit::{self, Measure, Unit, VoltMark};
use super::word::{Span, Word};
use crate::trade::kind::PartKind;
use crate::trade::quantity::{
    Current, Frequency, Inductance, OutOfRange, Power, Resistance, Tolerance, Voltage,
};
use rust_decimal::Decimal;

/// How a bare `M` on a resistor is read, where the sheet says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BareM {
    /// By the size of the number, with a note.
    #[default]
    BySize,
    /// As thousand.
    Thousand,
    /// As million.
    Million,
}

/// What the reader of a number knows of its surroundings.
#[derive(Debug, Clone, Copy)]
pub struct Around {
    /// The kind of part.
    pub kind: PartKind,
    /// How `M` is read.
    pub bare_m: BareM,
    /// Whether the part's value was read already.
    pub has_value: bool,
    /// Whether a rating was read already.
    pub rated: bool,
}

/// What a run of words gave.
#[derive(Debug, Default)]
pub struct Taken {
    /// How many words were used.
    pub words: usize,
    /// What they say.
    pub items: Vec<Placed>,
    /// What is wrong or doubtful.
    pub found: Vec<Found>,
}

impl Taken {
    /// Adds an item.
    pub fn push(&mut self, span: Span, item: Item) {
        self.items.push(Placed { span, item });
    }

    /// Adds an item, or the fault of its range.
    pub fn push_checked(&mut self, span: Span, text: &str, made: Result<Item, OutOfRange>) {
        match made {
            Ok(item) => self.push(span, item),
            Err(out) => {
                self.found.push(Found::error(span, Problem::Range(text.to_owned(), out)));
            }
        }
    }
}

/// Reads the number that starts at the first word; `None` where none does.
pub fn take(words: &[Word], around: Around) -> Option<Taken> {
    let word = words.first().filter(|w| !w.quoted)?;
    if let Some(taken) = tolerance::take(words) {
        return Some(taken);
    }
    if let Some(taken) = code::take(word, around) {
        return Some(taken);
    }
    let first = word.text.chars().next()?;
    if matches!(first, '-' | '−') && word.text.chars().nth(1).is_some_and(|c| c.is_ascii_digit())
    {
        return Some(negative(words));
    }
    if !(first.is_ascii_digit() || "½¼¾⅛".contains(first) || starts_with_point(&word.text)) {
        return None;
    }
    if matches!(around.kind, PartKind::Capacitor | PartKind::VariableCapacitor) {
        return Some(capacitor::take(words, around));
    }
    match number::read(&word.text) {
        Ok(number) => Some(with_unit(words, &number, around)),
        Err(e) => Some(number_fault(words, Problem::Number(word.text.clone(), e))),
    }
}

/// Whether a number starts with its point.
fn starts_with_point(text: &str) -> bool {
    let mut chars = text.chars();
    matches!(chars.next(), Some('.' | ',')) && chars.next().is_some_and(|c| c.is_ascii_digit())
}

/// A number below zero: no part has one.
fn negative(words: &[Word]) -> Taken {
    let what = OutOfRange { what: "a quantity", least: "zero", most: "its greatest value" };
    number_fault(words, Problem::Range(words[0].text.clone(), what))
}

/// One word with a fault.
pub fn fault(word: &Word, problem: Problem) -> Taken {
    Taken { words: 1, items: Vec::new(), found: vec![Found::error(word.span, problem)] }
}

/// A number with a fault, and the unit after it.
pub fn number_fault(words: &[Word], problem: Problem) -> Taken {
    let unit = words.get(1).is_some_and(|w| !words[0].comma && !w.quoted && is_mark(&w.text));
    Taken { words: 1 + usize::from(unit), ..fault(&words[0], problem) }
}

/// The unit after a number: attached to it, or the next word. Gives the mark,
/// the span of number and mark, and how many words they take. A unit stands on
/// the line of its number.
pub fn mark_after(words: &[Word], length: usize) -> (&str, Span, usize) {
    let word = &words[0];
    let attached = word.text.char_indices().nth(length).map_or("", |(i, _)| &word.text[i..]);
    if attached.is_empty()
        && !word.comma
        && let Some(next) = words.get(1)
        && !next.quoted
        && next.span.line == word.span.line
        && is_mark(&next.text)
    {
        return (&next.text, word.span.to(next.span), 2);
    }
    (attached, word.span, 1)
}

/// Whether a word alone is a unit mark.
pub fn is_mark(text: &str) -> bool {
    unit::read(text).is_some() || matches!(text, "K" | "k" | "M" | "m")
}

/// Whether a word only repeats that the value is a resistance: `470 K ohms`.
fn is_ohm(word: &Word) -> bool {
    !word.quoted && unit::read(&word.text).is_some_and(|u| u.measure == Measure::Resistance)
}

/// A number on any part but a capacitor.
fn with_unit(words: &[Word], number: &Number, around: Around) -> Taken {
    let (mark, span, used) = mark_after(words, number.length);
    let mut taken = Taken { words: used, ..Taken::default() };
    let text = text_of(&words[..used]);
    let resistive = matches!(
        around.kind,
        PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord
    );
    let scale = match mark {
        "" if resistive => Some(Decimal::ONE),
        "K" | "k" => Some(Decimal::from(1000)),
        "M" | "m" => {
            taken.words += usize::from(words.get(used).is_some_and(is_ohm));
            resistance_in_m(&mut taken, span, &text, number, around);
            return taken;
        }
        _ => None,
    };
    if matches!(mark, "K" | "k") {
        taken.words += usize::from(words.get(used).is_some_and(is_ohm));
    }
    if let Some(scale) = scale {
        doubtful_mark(&mut taken, span, &text, number, mark, |n| ohms(n, scale));
        taken.push_checked(span, &text, ohms(number.value, scale).map(Item::Resistance));
        return taken;
    }
    let Some(unit) = unit::read(mark) else {
        taken.found.push(Found::error(span, unit_problem(&words[0].text, mark, around.kind)));
        return taken;
    };
    if mark.eq_ignore_ascii_case("w") && resistive && !around.has_value && too_many_watts(number) {
        let made = ohms(number.value, Decimal::ONE);
        if let Ok(value) = made {
            let read = value.to_string();
            let problem = Problem::WattOrOhm(text.clone(), read.clone());
            let mut found = Found::reading(span, &read, problem)
                .or(format!("it is {read}"), format!("{} ohm", number.written));
            if Power::new(number.value).is_ok() {
                found = found.or("it is watts", format!("{} watts", number.written));
            }
            taken.found.push(found);
        }
        taken.push_checked(span, &text, made.map(Item::Resistance));
        return taken;
    }
    if unit.measure == Measure::Resistance {
        doubtful_mark(&mut taken, span, &text, number, mark, |n| ohms(n, unit.scale));
    }
    measured(&mut taken, words, span, number.value, unit);
    if unit.measure == Measure::Resistance {
        taken.words += usize::from(words.get(used).is_some_and(is_ohm));
    }
    taken
}

/// Whether a number before `w` is too many watts for a receiver's resistor, and
/// no fraction: an old way to write ohms.
fn too_many_watts(number: &Number) -> bool {
    number.fraction.is_none() && number.value > Decimal::from(50)
}

/// The words as written, one space between.
pub fn text_of(words: &[Word]) -> String {
    words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ")
}

/// What to say of an unknown or missing unit.
pub fn unit_problem(text: &str, mark: &str, kind: PartKind) -> Problem {
    let expected = match kind {
        PartKind::Capacitor | PartKind::VariableCapacitor => "mfd, mmf, pF, nF, V or %",
        PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord => {
            "K, meg, ohm, W, V or %"
        }
        PartKind::Coil => "H, mH, ohm or mA",
        _ => "V, A, W, ohm or H",
    };
    if mark.is_empty() {
        return Problem::NoUnit(text.to_owned(), expected);
    }
    Problem::Unit(text.to_owned(), mark.to_owned(), expected)
}

/// An amount times the scale of its unit; overflow counts as out of range.
pub fn scaled(value: Decimal, scale: Decimal) -> Decimal {
    value.checked_mul(scale).unwrap_or(Decimal::MAX)
}

/// A resistance.
fn ohms(value: Decimal, scale: Decimal) -> Result<Resistance, OutOfRange> {
    Resistance::new(scaled(value, scale))
}

/// A number followed by `M` on a resistor.
fn resistance_in_m(taken: &mut Taken, span: Span, text: &str, number: &Number, around: Around) {
    let thousand = ohms(number.value, Decimal::from(1000));
    let million = ohms(number.value, Decimal::from(1_000_000));
    let as_thousand = match around.bare_m {
        BareM::Thousand => true,
        BareM::Million => false,
        BareM::BySize => number.value >= Decimal::from(25),
    };
    let made = if as_thousand { thousand.clone() } else { million.clone() };
    if around.bare_m == BareM::BySize
        && let Ok(read) = &made
    {
        let problem = Problem::BareM(text.to_owned(), read.to_string());
        let mut found = Found::reading(span, &read.to_string(), problem);
        let written = &number.written;
        if let Ok(value) = thousand {
            found = found.or(format!("it is {value}"), format!("{written}K"));
        }
        if let Ok(value) = million {
            found = found.or(format!("it is {value}"), format!("{written} meg"));
        }
        taken.found.push(
            found
                .or_line("M is thousand on this whole sheet", "read M as thousand")
                .or_line("M is million on this whole sheet", "read M as million"),
        );
    }
    taken.push_checked(span, text, made.map(Item::Resistance));
}

/// Notes a comma or point that could mean something else.
pub fn doubtful_mark<T: std::fmt::Display>(
    taken: &mut Taken,
    span: Span,
    text: &str,
    number: &Number,
    mark: &str,
    make: impl Fn(Decimal) -> Result<T, OutOfRange>,
) {
    let Some(other) = number.other else { return };
    let (Ok(read), Ok(else_read)) = (make(number.value), make(other)) else { return };
    let problem = Problem::Mark(text.to_owned(), read.to_string());
    taken.found.push(
        Found::reading(span, &read.to_string(), problem)
            .or(format!("it is {read}"), format!("{}{mark}", number.value))
            .or(format!("it is {else_read}"), format!("{}{mark}", other.normalize())),
    );
}

/// A number with a unit that means the same on any part.
pub fn measured(taken: &mut Taken, words: &[Word], span: Span, value: Decimal, unit: Unit) {
    let text = text_of(&words[..taken.words]);
    let amount = scaled(value, unit.scale);
    let made = match unit.measure {
        Measure::Volts(mark) => {
            volts(taken, words, span, &[amount], mark);
            return;
        }
        Measure::Percent => Ok(Item::Tolerance(Tolerance::symmetric(value))),
        Measure::Capacitance => {
            crate::trade::quantity::Capacitance::new(amount).map(|c| Item::Capacitance(vec![c]))
        }
        Measure::Resistance => Resistance::new(amount).map(Item::Resistance),
        Measure::Inductance => Inductance::new(amount).map(Item::Inductance),
        Measure::Current => Current::new(amount).map(Item::Current),
        Measure::Frequency => Frequency::new(amount).map(Item::Frequency),
        Measure::Power => Power::new(amount).map(Item::Power),
    };
    if matches!(made, Ok(Item::Tolerance(_))) && value > Decimal::from(300) {
        taken.found.push(Found::error(span, Problem::Tolerance(text)));
        return;
    }
    taken.push_checked(span, &text, made);
}

/// Voltages, with the words after them that say which kind they are.
pub fn volts(taken: &mut Taken, words: &[Word], span: Span, amounts: &[Decimal], mark: VoltMark) {
    let mut mark = mark;
    let mut span = span;
    let text = text_of(&words[..taken.words]);
    while let Some(next) = words.get(taken.words)
        && !words[taken.words - 1].comma
        && !next.quoted
        && let Some(more) = unit::volt_word(&next.text)
    {
        // "DC surge" is a surge; "AC CT" is tapped.
        if mark == VoltMark::Plain || !matches!(more, VoltMark::Working) {
            mark = more;
        }
        span = span.to(next.span);
        taken.words += 1;
    }
    let made: Result<Vec<_>, _> = amounts.iter().map(|v| Voltage::new(*v)).collect();
    taken.push_checked(span, &text, made.map(|all| Item::Volts(all, mark)));
}
