//! Places: where leads go, what pins are tied to, the ends of windings.

use super::amount::is_mark;
use super::item::Found;
use super::name::Place;
use super::number;
use super::problem::Problem;
use super::unit;
use super::vocabulary;
use super::word::Word;
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::WindingKind;
use std::ops::Range;

/// Whether a word joins two places.
pub fn is_to(word: &Word) -> bool {
    !word.quoted && (word.is("to") || matches!(word.text.as_str(), "→" | "->" | "=>"))
}

/// The run of words that says where the leads go: `A to B`, `A, B to C`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leads {
    /// The words of the run.
    pub words: Range<usize>,
    /// Which of them is `to`.
    to: usize,
}

/// Finds the first `to` with a word on each side that can be a place.
pub fn find(words: &[Word]) -> Option<Leads> {
    let to = (1..words.len().saturating_sub(1))
        .find(|&i| is_to(&words[i]) && !is_value(words, i - 1) && !is_dielectric(&words[i - 1]))?;
    let mut start = to - 1;
    while start > 0
        && words[start - 1].comma
        && can_be_place(&words[start - 1])
        && !is_value(words, start - 1)
    {
        start -= 1;
    }
    Some(Leads { words: start..to + 2, to })
}

/// Whether a word is a value with its unit, its number, or the unit of a number
/// before it: in `400 V to chassis` no place stands before `to`.
fn is_value(words: &[Word], at: usize) -> bool {
    let unit_after = |text: &str, length: usize| {
        let rest: String = text.chars().skip(length).collect();
        (rest.is_empty() || is_mark(&rest)).then_some(rest.is_empty())
    };
    let number = |word: &Word| {
        let length = number::read(&word.text).ok()?.length;
        unit_after(&word.text, length)
    };
    let bare_before = || at > 0 && !words[at - 1].comma && number(&words[at - 1]) == Some(true);
    let unit_behind = || !words[at].comma && words.get(at + 1).is_some_and(|w| is_mark(&w.text));
    match number(&words[at]) {
        Some(bare) => !bare || unit_behind(),
        None => is_mark(&words[at].text) && bare_before(),
    }
}

/// Whether a word names a dielectric in full: `paper to chassis` has lost a
/// place. Short forms such as `pp` may be names of places.
fn is_dielectric(word: &Word) -> bool {
    word.text.len() >= 4 && Dielectric::ALL.iter().any(|d| word.is(d.label()))
}

/// Whether a word can stand beside `to`, not being a value or a dielectric.
pub fn is_place(words: &[Word], at: usize) -> bool {
    words.get(at).is_some_and(|w| {
        !w.quoted && !is_to(w) && Place::read(&w.text).is_some() && !is_dielectric(w)
    }) && !is_value(words, at)
}

/// Whether a word before a comma belongs to a list of places, not of values.
fn can_be_place(word: &Word) -> bool {
    !word.quoted
        && word.text.chars().next().is_some_and(char::is_alphabetic)
        && Place::read(&word.text).is_some()
        && vocabulary::meaning(&word.text).is_none()
}

impl Leads {
    /// The places, or the word that is none.
    ///
    /// # Errors
    /// A [`Found`] at the word that cannot be a place.
    pub fn read(&self, words: &[Word]) -> Result<(Vec<Place>, Place), Box<Found>> {
        let place = |word: &Word| {
            Place::read(&word.text)
                .ok_or_else(|| Box::new(Found::error(word.span, Problem::Place(word.text.clone()))))
        };
        let from = words[self.words.start..self.to].iter().map(place).collect::<Result<_, _>>()?;
        Ok((from, place(&words[self.to + 1])?))
    }
}

/// Reads `6=scr`, `g2=B2`.
pub fn pin(text: &str) -> Option<(String, Place)> {
    let (pin, place) = text.split_once('=')?;
    let fits = (1..=8).contains(&pin.len())
        && pin.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-'));
    if !fits {
        return None;
    }
    Some((pin.to_ascii_lowercase(), Place::read(place)?))
}

/// The kind of winding a keyword opens, and its name in notes.
pub fn winding_word(word: &Word) -> Option<(WindingKind, &'static str)> {
    if word.quoted {
        return None;
    }
    Some(match word.lower().as_str() {
        "primary" | "pri" => (WindingKind::Primary, "primary"),
        "secondary" | "sec" => (WindingKind::Secondary, "secondary"),
        "heater" | "heaters" | "filament" => (WindingKind::Heater, "heater"),
        "rectifier" | "rectifier-heater" => (WindingKind::RectifierHeater, "rectifier"),
        _ => return None,
    })
}

/// The ends of a winding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ends {
    /// Its first terminal.
    pub start: String,
    /// Its last terminal.
    pub end: String,
    /// Its tap.
    pub tap: Option<String>,
    /// The word after them.
    pub next: usize,
}

/// Reads `1 to 2 tap 3` from word `at`.
pub fn winding_ends(words: &[Word], at: usize) -> Option<Ends> {
    let terminal = |i: usize| {
        let word = words.get(i).filter(|w| !w.quoted)?;
        let fits = (1..=8).contains(&word.text.len())
            && word.text.chars().all(|c| c.is_ascii_alphanumeric() || "+-_".contains(c));
        fits.then(|| word.text.to_ascii_lowercase())
    };
    let start = terminal(at)?;
    words.get(at + 1).filter(|w| is_to(w))?;
    let end = terminal(at + 2)?;
    let mut next = at + 3;
    let tap =
        words.get(next).filter(|w| w.is("tap") || w.is("ct")).and_then(|_| terminal(next + 1));
    if tap.is_some() {
        next += 2;
    }
    Some(Ends { start, end, tap, next })
}

/// How many words of an incomplete winding stand at `at`: `3` or `3 to`, but
/// not the number of a voltage.
pub fn half_winding(words: &[Word], at: usize) -> usize {
    let digits = words.get(at).is_some_and(|w| w.text.chars().all(|c| c.is_ascii_digit()));
    match words.get(at + 1) {
        _ if !digits => 0,
        Some(next) if is_to(next) => 2,
        Some(next) if unit::read(&next.text).is_some() => 0,
        _ => 1,
    }
}
