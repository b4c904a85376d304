//! Coded values: a letter in place of the point (IEC 60062), and three digits
//! with a tolerance letter.
//!
//! Source: IEC 60062:2016 and EIA-198, from memory.

use super::amount::{Around, Taken};
use super::item::{Found, Item};
use super::problem::Problem;
use super::word::{Span, Word};
use crate::trade::kind::PartKind;
use crate::trade::quantity::{Capacitance, Resistance, Tolerance};
use rust_decimal::Decimal;

/// Reads a coded value that is one word; `None` where the word is no code.
pub fn take(word: &Word, around: Around) -> Option<Taken> {
    match around.kind {
        PartKind::Capacitor | PartKind::VariableCapacitor => {
            lettered(word, capacitance_letter).or_else(|| three_digits(word))
        }
        PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord => {
            lettered(word, resistance_letter)
        }
        _ => None,
    }
}

/// The item that a letter makes of a number.
type Letter = fn(char, Decimal, bool) -> Option<Item>;

/// Picofarads for the letter of a coded capacitance. `K`, `m` and `R` are codes
/// only between digits.
fn capacitance_letter(letter: char, number: Decimal, between: bool) -> Option<Item> {
    let scale: i64 = match letter {
        'p' | 'P' => 1,
        'R' if between => 1,
        'n' | 'N' => 1000,
        'K' | 'k' if between => 1000,
        'u' | 'U' | 'µ' | 'μ' => 1_000_000,
        'm' if between => 1_000_000_000,
        _ => return None,
    };
    let value = number.checked_mul(Decimal::from(scale))?;
    Capacitance::new(value).ok().map(|c| Item::Capacitance(vec![c]))
}

/// Ohms for the letter of a coded resistance.
fn resistance_letter(letter: char, number: Decimal, _between: bool) -> Option<Item> {
    let scale = match letter {
        'L' => Decimal::new(1, 3),
        'R' | 'r' | 'E' => Decimal::ONE,
        'K' | 'k' => Decimal::from(1000),
        'M' => Decimal::from(1_000_000),
        'G' => Decimal::from(1_000_000_000),
        'T' => Decimal::from(1_000_000_000_000_i64),
        _ => return None,
    };
    Resistance::new(number.checked_mul(scale)?).ok().map(Item::Resistance)
}

/// `4K7`, `2n2`, `R47`, `470R`, with a tolerance letter after it or not.
fn lettered(word: &Word, make: Letter) -> Option<Taken> {
    let chars: Vec<char> = word.text.chars().collect();
    if chars.len() > 12 {
        return None;
    }
    let at = chars.iter().position(|c| !c.is_ascii_digit())?;
    let after = chars[at + 1..].iter().take_while(|c| c.is_ascii_digit()).count();
    let tail = &chars[at + 1 + after..];
    // Letters without digits after them are units (`470p`, `470K`), but for
    // those that no unit has, and those with a tolerance letter (`33nK`).
    let end: String = chars[at..].iter().collect();
    let suffix = at > 0
        && if tail.is_empty() {
            matches!(chars[at], 'R' | 'E' | 'L' | 'G' | 'T')
        } else {
            super::unit::read(&end).is_none()
        };
    if after == 0 && !suffix {
        return None;
    }
    let tolerance = match tail {
        [] => None,
        [letter] => Some(percent_letter(*letter)?),
        _ => return None,
    };
    let whole: String = chars[..at].iter().collect();
    let part: String = chars[at + 1..at + 1 + after].iter().collect();
    let number = Decimal::from_str_exact(&format!("0{whole}.{part}0")).ok()?;
    let item = make(chars[at], number, at > 0 && after > 0)?;
    let mut taken = Taken { words: 1, ..Taken::default() };
    let length = word.span.length - tail.len();
    taken.push(word.span.part(0, length), item);
    if let Some(tolerance) = tolerance {
        taken.push(word.span.part(length, 1), Item::Tolerance(tolerance));
    }
    Some(taken)
}

/// Tolerances in percent by letter, IEC 60062.
pub fn percent_letter(letter: char) -> Option<Tolerance> {
    let both = |p: i64| Some(Tolerance::symmetric(Decimal::from(p)));
    let sides =
        |b: i64, a: i64| Some(Tolerance { below: Decimal::from(b), above: Decimal::from(a) });
    match letter.to_ascii_uppercase() {
        'F' => both(1),
        'G' => both(2),
        'J' => both(5),
        'K' => both(10),
        'M' => both(20),
        'N' => both(30),
        'P' => sides(0, 100),
        'Q' => sides(10, 30),
        'S' => sides(20, 50),
        'T' => sides(10, 50),
        'Z' => sides(20, 80),
        _ => None,
    }
}

/// Tolerances in picofarads by letter, for parts below 10 pF, as percent of the
/// value.
fn picofarad_letter(letter: char, value: Capacitance) -> Option<Tolerance> {
    let picofarads = match letter.to_ascii_uppercase() {
        'B' => Decimal::new(10, 2),
        'C' => Decimal::new(25, 2),
        'D' => Decimal::new(50, 2),
        _ => return None,
    };
    let percent = picofarads.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(value.picofarads())?;
    Some(Tolerance::symmetric(percent.round_dp(2)))
}

/// The picofarads of three digits: two figures and a power of ten; 8 and 9 as
/// the power mean 0.01 and 0.1.
///
/// ```
/// use firstglow::notation::code::three_digit_value;
/// assert_eq!(three_digit_value("473").unwrap().to_string(), "0.047 µF");
/// assert_eq!(three_digit_value("229").unwrap().to_string(), "2.2 pF");
/// ```
pub fn three_digit_value(digits: &str) -> Option<Capacitance> {
    let figures: i64 = digits.get(..2)?.parse().ok()?;
    let power: u32 = digits.get(2..)?.parse().ok()?;
    let value = match power {
        9 => Decimal::new(figures, 1),
        8 => Decimal::new(figures, 2),
        _ => Decimal::from(figures.checked_mul(10_i64.pow(power))?),
    };
    Capacitance::new(value).ok()
}

/// `473K`, `104M`.
fn three_digits(word: &Word) -> Option<Taken> {
    let (digits, letter) = word.text.split_at_checked(3)?;
    let mut letters = letter.chars();
    let (letter, None) = (letters.next()?, letters.next()) else { return None };
    let is_unit = super::unit::read(&letter.to_string()).is_some();
    if !digits.chars().all(|c| c.is_ascii_digit())
        || digits.starts_with('0')
        || !letter.is_ascii_alphabetic()
        || is_unit
    {
        return None;
    }
    let value = three_digit_value(digits)?;
    let Some(tolerance) = percent_letter(letter).or_else(|| picofarad_letter(letter, value)) else {
        let problem = Problem::ToleranceLetter(word.text.clone(), letter);
        return Some(super::amount::fault(word, problem));
    };
    let mut taken = Taken { words: 1, ..Taken::default() };
    taken.push(word.span.part(0, 3), Item::Capacitance(vec![value]));
    taken.push(word.span.part(3, 1), Item::Tolerance(tolerance));
    if digits.ends_with('0') {
        taken.found.push(plain_or_code(word, digits, letter, value));
    }
    Some(taken)
}

/// `470K` is 47 pF as a code, and could be 470 pF ±10 % or 470 nF.
fn plain_or_code(word: &Word, digits: &str, letter: char, value: Capacitance) -> Found {
    let Span { .. } = word.span;
    let read = value.to_string();
    let mut found =
        Found::reading(word.span, &read, Problem::Code(word.text.clone(), read.clone()))
            .or(format!("it is {read}"), format!("{read} {}", tolerance_text(letter)))
            .or(format!("it is {digits} pF"), format!("{digits} pF {}", tolerance_text(letter)));
    if letter.eq_ignore_ascii_case(&'k') {
        found = found.or(format!("it is {digits} nF"), format!("{digits} nF"));
    }
    found
}

/// The tolerance of a letter as it is written out.
fn tolerance_text(letter: char) -> String {
    percent_letter(letter).map(|t| t.to_string()).unwrap_or_default()
}
