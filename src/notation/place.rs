//! Places of one word or several: `V2.6`, `V2 pin 6`, `pin 6 of V2`, `V2 plate`,
//! `grid of V2`, `cap of V2`, `T1 term 3`, `lug 2 of T1`, `chassis`.
//!
//! A phrase that names no place is a fault, and its words say nothing else: of
//! `pin 6 to B2` neither the pin nor the 6 is anything. What a hyphen means
//! stands in [`super::pin`].

use super::amount::{is_mark, text_of};
use super::beside::belongs;
use super::item::Found;
use super::kinds::kind_of;
use super::name::{Designator, NoPlace, Place};
use super::number;
use super::pin;
use super::problem::Problem;
use super::unit;
use super::vocabulary;
use super::word::{Span, Word};
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::PartKind;
use std::ops::Range;

pub use super::beside::Beside;

/// Whether a word joins two places.
pub fn is_to(word: &Word) -> bool {
    !word.quoted && (word.is("to") || matches!(word.text.as_str(), "→" | "->" | "=>"))
}

/// A place, or why the words that should name one do not.
pub type Read = Result<Place, Box<Found>>;

/// Words that stand where a place should.
#[derive(Debug, Clone, PartialEq)]
pub struct Phrase {
    /// The words.
    pub words: Range<usize>,
    /// What they name.
    pub place: Read,
}

/// The most words of a place: `control grid of the V2`.
const MOST_WORDS: usize = 5;

/// The place whose last word stands before word `end`, none of its words before
/// `floor`; `None` where no place can stand.
pub fn before(words: &[Word], floor: usize, end: usize, sort: Beside) -> Option<Phrase> {
    let least = end.saturating_sub(MOST_WORDS).max(floor);
    let found = (least..end.checked_sub(1)?)
        .find_map(|start| several(words, start..end))
        .or_else(|| one(words, end.checked_sub(1).filter(|at| *at >= floor)?))?;
    let start = found.words.start;
    let open = start > floor && !words[start - 1].comma;
    let least = start.saturating_sub(MOST_WORDS).max(floor);
    if open && let Some(other) = (least..start).find_map(|at| several(words, at..start)) {
        return Some(spoilt(words, other.words.start..end));
    }
    let found = match start.checked_sub(1).filter(|at| *at >= floor).map(|at| (at, &words[at])) {
        Some((at, word)) if !word.comma && !word.quoted && !belongs(words, at, &found, sort) => {
            spoilt(words, at..end)
        }
        _ => found,
    };
    Some(found.grown(words, floor))
}

/// The place whose first word is word `at`; `None` where no place can stand.
pub fn after(words: &[Word], at: usize, sort: Beside) -> Option<Phrase> {
    let found = starting(words, at)?;
    let end = found.words.end;
    let second = starting(words, end)
        .filter(|p| p.words.len() > 1 && p.place.is_ok() && !words[end - 1].comma);
    if let Some(other) = second.filter(|p| !words.get(p.words.end).is_some_and(is_to)) {
        return Some(spoilt(words, at..other.words.end));
    }
    let found = match words.get(end) {
        Some(word)
            if !words[end - 1].comma && !word.quoted && !belongs(words, end, &found, sort) =>
        {
            spoilt(words, at..end + 1)
        }
        _ => found,
    };
    Some(found.grown(words, at))
}

impl Phrase {
    /// A fault takes in the electrode, pin or part that stands within two words
    /// of it: of `screen foo of V3` the screen is no role.
    fn grown(mut self, words: &[Word], floor: usize) -> Self {
        if self.place.is_ok() {
            return self;
        }
        let apart = |at: usize| words[at].comma || words[at].quoted || is_to(&words[at]);
        let Range { mut start, mut end } = self.words.clone();
        let mut at = start;
        while at > floor && start - at < 3 && !apart(at - 1) {
            at -= 1;
            if is_of_place(&words[at]) {
                start = at;
            }
        }
        let mut at = end;
        while at < words.len() && at - end < 3 && !apart(at - 1) && !is_to(&words[at]) {
            at += 1;
            if is_of_place(&words[at - 1]) {
                end = at;
            }
        }
        self.words = start..end;
        self
    }
}

/// Whether a word belongs to a place of several words.
fn is_of_place(word: &Word) -> bool {
    let joins = ["of", "term", "terminal", "lug", "top", "control"].iter().any(|w| word.is(w));
    !word.quoted && (joins || is_pin_word(word) || pin::is_electrode_word(&word.lower()))
        || whole_part(word).is_some()
}

/// The same, whatever stands behind it.
pub fn starting(words: &[Word], at: usize) -> Option<Phrase> {
    let most = words.len().min(at + MOST_WORDS);
    let several = (at + 2..=most).rev().find_map(|end| several(words, at..end));
    several.or_else(|| one(words, at))
}

/// The runs of words that are one place: of `V2 control grid` no word is a
/// control.
pub fn of_several_words(words: &[Word]) -> Vec<Range<usize>> {
    let mut all: Vec<Range<usize>> = Vec::new();
    if !words.iter().any(|w| whole_part(w).is_some()) {
        return all;
    }
    let mut at = 0;
    while at < words.len() {
        match starting(words, at).filter(|p| p.words.len() > 1) {
            Some(found) => {
                at = found.words.end;
                all.push(found.words);
            }
            None => at += 1,
        }
    }
    all
}

/// Words that are no one place.
fn spoilt(words: &[Word], run: Range<usize>) -> Phrase {
    let text = text_of(&words[run.clone()]);
    fault(words, run, Problem::PlacePhrase(text))
}

fn fault(words: &[Word], run: Range<usize>, problem: Problem) -> Phrase {
    let found = Found::error(span(words, run.clone()), problem);
    Phrase { words: run, place: Err(Box::new(found)) }
}

fn span(words: &[Word], run: Range<usize>) -> Span {
    words[run.start].span.to(words[run.end - 1].span)
}

/// A place of one word.
fn one(words: &[Word], at: usize) -> Option<Phrase> {
    let word = words.get(at)?;
    if word.quoted || is_to(word) || is_value(words, at) || is_dielectric(word) {
        return None;
    }
    let run = at..at + 1;
    Some(match Place::parse(&word.text) {
        Ok(place) => Phrase { words: run, place: Ok(place) },
        Err(why) => fault(words, run, problem(&word.text, why)),
    })
}

/// What to say of a word that is no place.
pub fn problem(text: &str, why: NoPlace) -> Problem {
    match why {
        NoPlace::Electrode(_) => Problem::BareElectrode(text.to_owned()),
        NoPlace::Pin(_) => Problem::BarePin(text.to_owned()),
        NoPlace::Part(part) => Problem::BarePart(part.to_string()),
        NoPlace::Other => Problem::Place(text.to_owned()),
    }
}

/// A place of several words that takes exactly this run.
fn several(words: &[Word], run: Range<usize>) -> Option<Phrase> {
    let all = &words[run.clone()];
    if all.len() < 2 || all.iter().any(|w| w.quoted || is_to(w)) {
        return None;
    }
    if all[..all.len() - 1].iter().any(|w| w.comma || w.span.line != all[0].span.line) {
        return None;
    }
    let at = |part: &Designator, terminal: String| Phrase {
        words: run.clone(),
        place: Ok(pin::at(part, &terminal)),
    };
    // The unit of a value behind the last word makes it no pin.
    let value = is_value(words, run.end - 1);
    let (head, tail) = (whole_part(&all[0]), whole_part(&all[all.len() - 1]));
    if let Some(part) = &head {
        match terminal(part, &all[1..]) {
            _ if value => {}
            Some(Ok(terminal)) => return Some(at(part, terminal)),
            Some(Err(number)) => return Some(unsaid_pin(words, run, part, &number)),
            None => {}
        }
    }
    if let Some(part) = &tail {
        let mut head = &all[..all.len() - 1];
        while let Some((word, rest)) = head.split_last()
            && ["of", "on", "at", "the", "tube"].iter().any(|w| word.is(w))
        {
            head = rest;
        }
        match terminal(part, head) {
            Some(Ok(terminal)) => return Some(at(part, terminal)),
            Some(Err(number)) if head.len() + 1 < all.len() => {
                return Some(unsaid_pin(words, run, part, &number));
            }
            _ => {}
        }
    }
    // `V2.8 cathode` says the same twice.
    let longer = || super::line::phrase(words, run.end - 1).is_some_and(|(_, used)| used > 1);
    let last = &all[all.len() - 1];
    let electrodes = ["plate", "anode", "grid", "cathode", "screen", "suppressor"];
    if electrodes.iter().any(|w| last.is(w)) && !longer() {
        let head = run.start..run.end - 1;
        let found = several(words, head.clone())
            .or_else(|| one(words, head.start).filter(|_| head.len() == 1));
        if let Some(Ok(place @ Place::Terminal { .. })) = found.map(|p| p.place) {
            return Some(Phrase { words: run, place: Ok(place) });
        }
    }
    let pin = matches!(all, [word, number] if is_pin_word(word) && number_of(number).is_some());
    (pin && !value).then(|| {
        let text = text_of(all);
        fault(words, run, Problem::BarePin(text))
    })
}

/// `V2 6`: most likely a pin, so it is offered and not taken.
fn unsaid_pin(words: &[Word], run: Range<usize>, part: &Designator, number: &str) -> Phrase {
    let text = text_of(&words[run.clone()]);
    let place = pin::at(part, number).to_string();
    let mut found = fault(words, run, Problem::PlacePhrase(text));
    if let Err(fault) = &mut found.place {
        **fault = fault.as_ref().clone().or(format!("it is {place}"), place);
    }
    found
}

/// A word that is the designator of a part with pins or terminals.
pub(super) fn whole_part(word: &Word) -> Option<Designator> {
    let text = word.text.trim_end_matches("'s");
    let part = Designator::read(text).filter(|_| !text.contains(['-', '.']))?;
    pin::has_numbers(kind_of(&part.letters), &part.letters).then_some(part)
}

/// The words that say of which sort a number is.
pub(super) fn is_pin_word(word: &Word) -> bool {
    ["pin", "pin#", "term", "term.", "terminal", "lug", "contact", "no", "no."]
        .iter()
        .any(|w| word.is(w))
}

/// A pin number: `6`, `#6`, `p6`.
fn number_of(word: &Word) -> Option<&str> {
    let text = word.text.trim_start_matches(['#', 'p', 'P']);
    let digits = (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    digits.then_some(text)
}

/// The terminal that words name on a part: `Err` is a number that nothing says
/// to be a pin.
fn terminal(part: &Designator, words: &[Word]) -> Option<Result<String, String>> {
    match words {
        [number] if number.text.starts_with(['#', 'p', 'P']) && number_of(number).is_some() => {
            number_of(number).map(|n| Ok(n.to_owned()))
        }
        [number] if number_of(number).is_some() => number_of(number).map(|n| Err(n.to_owned())),
        [sort, number] if is_pin_word(sort) => number_of(number).map(|n| Ok(n.to_owned())),
        [sort, dot, number] if is_pin_word(sort) && is_pin_word(dot) => {
            number_of(number).map(|n| Ok(n.to_owned()))
        }
        _ if kind_of(&part.letters) == PartKind::Tube => electrode(words).map(Ok),
        _ => None,
    }
}

/// The electrode that words name: `plate`, `control grid`, `top cap`.
fn electrode(words: &[Word]) -> Option<String> {
    let lower = text_of(words).to_ascii_lowercase();
    if let [word] = words {
        let plain = word.lower();
        // An article is no anode.
        let fits = plain != "a" && pin::is_electrode(&plain);
        return fits.then_some(plain);
    }
    let name = match lower.as_str() {
        "top cap" | "grid cap" | "plate cap" => "cap",
        "control grid" | "grid 1" | "grid no. 1" | "grid no 1" => "g1",
        "screen grid" | "grid 2" | "grid no. 2" | "grid no 2" => "g2",
        "suppressor grid" | "grid 3" | "grid no. 3" | "grid no 3" => "g3",
        "grid 4" => "g4",
        "grid 5" => "g5",
        "diode plate" => "d",
        "triode plate" => "pt",
        "triode grid" => "gt",
        "plate a" | "plate 1" => "pa",
        "plate b" | "plate 2" => "pb",
        "grid a" => "ga",
        "grid b" => "gb",
        "cathode a" | "cathode 1" => "ka",
        "cathode b" | "cathode 2" => "kb",
        _ => return None,
    };
    Some(name.to_owned())
}

/// Whether a word is a value with its unit, its number, or the unit of a number
/// before it: in `400 V to chassis` no place stands before `to`.
pub fn is_value(words: &[Word], at: usize) -> bool {
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
        None => {
            (is_mark(&words[at].text) || unit::volt_word(&words[at].text).is_some())
                && bare_before()
        }
    }
}

/// Whether a word names a dielectric in full: `paper to chassis` has lost a
/// place. Short forms such as `pp` may be names of places.
fn is_dielectric(word: &Word) -> bool {
    word.text.len() >= 4 && Dielectric::ALL.iter().any(|d| word.is(d.label()))
}

/// Whether a word before a comma belongs to a list of places, not of values.
pub fn can_be_listed(words: &[Word], at: usize) -> bool {
    let word = &words[at];
    !word.quoted
        && word.text.chars().next().is_some_and(char::is_alphabetic)
        && Place::read(&word.text).is_some()
        && vocabulary::meaning(&word.text).is_none()
        && !is_value(words, at)
}
