//! The windings of a transformer: `secondary 3 to 5 tap 4 650 V`.
//!
//! A number alone is a terminal of the transformer; a name is a place like any
//! other, so `secondary HT1 to HT2` ends where `HT1` stands elsewhere. The tap
//! may stand in any of these ways, before the volts or behind them:
//! `tap 4`, `CT to gnd`, `center tap gnd`, `650 V CT to gnd`, `HT1 - gnd - HT2`.
//! A part of a winding that cannot be read is left out with a fault.

use super::amount::{self, Around, text_of};
use super::directive;
use super::item::{Found, Item, Placed, WindingItem};
use super::name::Place;
use super::place::{self, Beside, is_to};
use super::problem::Problem;
use super::word::{Span, Word};
use crate::trade::kind::WindingKind;

/// What the words of a winding gave.
#[derive(Debug, Default)]
pub struct Taken {
    /// The word after it.
    pub next: usize,
    /// What it says.
    pub items: Vec<Placed>,
    /// What is wrong or doubtful.
    pub found: Vec<Found>,
}

/// The kind of winding a keyword opens, and its name in notes.
pub fn keyword(word: &Word) -> Option<(WindingKind, &'static str)> {
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

/// Reads the winding whose keyword is word `at`; `None` where none is.
pub fn take(words: &[Word], at: usize, around: Around) -> Option<Taken> {
    let (kind, name) = keyword(&words[at])?;
    let mut reading = Reading { words, around, taken: Taken { next: at + 1, ..Taken::default() } };
    match reading.ends() {
        Ok((start, tap, end)) => {
            let mut winding = WindingItem { kind, start, end, tap, volts: None, resistance: None };
            reading.rest(&mut winding, words[at].span);
            let span = words[at].span.to(words[reading.taken.next - 1].span);
            reading.taken.items.push(Placed { span, item: Item::Winding(winding) });
        }
        Err(fault) => {
            let fault = fault
                .unwrap_or_else(|| Box::new(Found::error(words[at].span, Problem::Winding(name))));
            reading.taken.found.push(*fault);
            reading.skip(kind);
        }
    }
    Some(reading.taken)
}

struct Reading<'a> {
    words: &'a [Word],
    around: Around,
    taken: Taken,
}

type Ends = (String, Option<String>, String);

impl Reading<'_> {
    fn word(&self) -> Option<&Word> {
        self.words.get(self.taken.next)
    }

    /// `1 to 2`, `HT1 - gnd - HT2`, `3-4-5`; none of them is a plain lack of
    /// ends, or a fault of its own.
    fn ends(&mut self) -> Result<Ends, Option<Box<Found>>> {
        if let Some(ends) = self.word().filter(|w| !w.quoted).and_then(|w| in_one_word(&w.text)) {
            self.taken.next += 1;
            return Ok(ends);
        }
        let first = self.terminal()?;
        let mut rest = Vec::new();
        while rest.len() < 2 && self.word().is_some_and(|w| is_to(w) || is_dash(w)) {
            let dash = self.word().is_some_and(is_dash);
            self.taken.next += 1;
            rest.push(self.terminal()?);
            if !dash {
                break;
            }
        }
        let mut rest = rest.into_iter();
        match (rest.next(), rest.next()) {
            (Some(tap), Some(end)) => Ok((first, Some(tap), end)),
            (Some(end), None) => Ok((first, None, end)),
            _ => Err(None),
        }
    }

    /// One end or tap: a number of the transformer, or a place.
    fn terminal(&mut self) -> Result<String, Option<Box<Found>>> {
        let at = self.taken.next;
        let word = self.words.get(at).filter(|w| !w.quoted).ok_or(None)?;
        if is_terminal_number(&word.text) && !place::is_value(self.words, at) {
            self.taken.next += 1;
            return Ok(word.text.to_ascii_lowercase());
        }
        let phrase = place::after(self.words, at, Beside::Description).ok_or(None)?;
        self.taken.next = phrase.words.end;
        phrase.place.map(|place| place.to_string()).map_err(Some)
    }

    /// Tap, volts and resistance in any order, until something else stands there.
    fn rest(&mut self, winding: &mut WindingItem, opened: Span) {
        let mut tapped = false;
        while self.word().is_some_and(|w| keyword(w).is_none()) {
            if let Some((whole, used)) = directive::tapped(&self.words[self.taken.next..]) {
                winding.volts = winding.volts.or(Some(whole));
                tapped = true;
                self.taken.next += used;
            } else if let Some(used) = tap_words(&self.words[self.taken.next..]) {
                tapped = true;
                self.tap(winding, used);
            } else if !self.amount(winding, &mut tapped) {
                break;
            }
        }
        if tapped && winding.tap.is_none() && self.taken.found.is_empty() {
            self.taken.found.push(Found::warning(opened, Problem::TapUnsaid));
        }
    }

    /// `tap 4`, `CT to gnd`.
    fn tap(&mut self, winding: &mut WindingItem, used: usize) {
        let start = self.taken.next;
        self.taken.next += used;
        let to = self.word().is_some_and(is_to);
        self.taken.next += usize::from(to);
        let at = self.taken.next;
        let placed = self.word().is_some_and(|w| {
            !w.quoted
                && keyword(w).is_none()
                && !place::is_value(self.words, at)
                && directive::tapped(&self.words[at..]).is_none()
        });
        if !placed && !to {
            return;
        }
        match self.terminal() {
            Ok(tap) if winding.tap.is_none() => winding.tap = Some(tap),
            Ok(_) => {
                let text = text_of(&self.words[start..self.taken.next]);
                self.fault(start, Problem::Second(text, "tap"));
            }
            Err(fault) => match fault {
                Some(fault) => self.taken.found.push(*fault),
                None => self.fault(start, Problem::Tap),
            },
        }
    }

    fn fault(&mut self, start: usize, problem: Problem) {
        let span = self.words[start].span.to(self.words[self.taken.next - 1].span);
        self.taken.found.push(Found::error(span, problem));
    }

    /// A voltage or resistance; `false` where none stands.
    fn amount(&mut self, winding: &mut WindingItem, tapped: &mut bool) -> bool {
        let Some(taken) = amount::take(&self.words[self.taken.next..], self.around) else {
            return false;
        };
        for placed in taken.items {
            match placed.item {
                Item::Volts(all, mark) if winding.volts.is_none() => {
                    winding.volts = all.first().copied();
                    *tapped |= mark == super::unit::VoltMark::CentreTapped;
                }
                Item::Resistance(r) if winding.resistance.is_none() => {
                    winding.resistance = Some(r);
                }
                item => self.taken.items.push(Placed { span: placed.span, item }),
            }
        }
        self.taken.found.extend(taken.found);
        self.taken.next += taken.words.max(1);
        // `650 V CT to gnd`: the mark is a part of the volts.
        let marked = self.words.get(self.taken.next - 1).is_some_and(|w| is_ct(w) || is_vct(w));
        if marked && *tapped && winding.tap.is_none() && self.places_a_tap() {
            self.tap(winding, 0);
        }
        true
    }

    /// Whether a place for the tap follows a mark such as `CT`.
    fn places_a_tap(&self) -> bool {
        let Some(word) = self.word() else { return false };
        let named = || Place::read(&word.text).is_some_and(|p| p.is_sure());
        is_to(word)
            || named()
            || is_terminal_number(&word.text) && !place::is_value(self.words, self.taken.next)
    }

    /// Skips the rest of a winding without ends: its amounts are of no winding,
    /// but for the volts of a secondary, which are the set's.
    fn skip(&mut self, kind: WindingKind) {
        while self.word().is_some_and(|w| keyword(w).is_none()) {
            let at = self.taken.next;
            if kind == WindingKind::Secondary && self.tells_volts() {
                return;
            }
            if let Some((_, used)) = directive::tapped(&self.words[at..]) {
                self.taken.next += used;
            } else if let Some(used) = tap_words(&self.words[at..]) {
                self.taken.next += used;
                let _ = self.terminal();
            } else if self.word().is_some_and(is_to) {
                self.taken.next += 1;
                let _ = self.terminal();
            } else if let Some(taken) = amount::take(&self.words[at..], self.around) {
                self.taken.next += taken.words.max(1);
            } else {
                return;
            }
        }
    }

    /// Whether the volts of the set's high-voltage winding stand next, with no
    /// end of it before them.
    fn tells_volts(&self) -> bool {
        let at = self.taken.next;
        let plain = at > 0 && keyword(&self.words[at - 1]).is_some();
        let volts = || {
            amount::take(&self.words[at..], self.around)
                .is_some_and(|t| t.items.iter().any(|p| matches!(p.item, Item::Volts(..))))
        };
        plain && (directive::tapped(&self.words[at..]).is_some() || volts())
    }
}

fn is_dash(word: &Word) -> bool {
    !word.quoted && matches!(word.text.as_str(), "-" | "–" | "—")
}

fn is_ct(word: &Word) -> bool {
    ["ct", "c.t.", "ct.", "c-t", "c/t"].iter().any(|w| word.is(w))
}

fn is_vct(word: &Word) -> bool {
    word.lower().ends_with("ct")
}

/// How many words say that a tap comes: `tap`, `CT`, `center tap`, `tap at`.
fn tap_words(words: &[Word]) -> Option<usize> {
    let is =
        |at: usize, all: &[&str]| words.get(at).is_some_and(|w| all.iter().any(|text| w.is(text)));
    let used = match words.first()? {
        word if is_ct(word) => 1,
        _ if is(0, &["tap", "tapped"]) => 1,
        _ if is(0, &["center-tap", "centre-tap", "centertap", "center-tapped"]) => 1,
        _ if is(0, &["center", "centre"]) && is(1, &["tap", "tapped"]) => 2,
        _ => return None,
    };
    Some(used + usize::from(is(used, &["at", "on", "="])))
}

/// Whether a word is a terminal by its number: `3`, `3a`.
pub fn is_terminal_number(text: &str) -> bool {
    (1..=4).contains(&text.len())
        && text.starts_with(|c: char| c.is_ascii_digit())
        && text.chars().all(|c| c.is_ascii_alphanumeric())
        && text.chars().filter(char::is_ascii_alphabetic).count() <= 1
}

/// `1-2`, `3-4-5`, `HT1-gnd-HT2`: the ends, and the tap between them.
fn in_one_word(text: &str) -> Option<Ends> {
    let pieces: Vec<&str> = text.split(['-', '–']).collect();
    let terminal = |text: &str| {
        if is_terminal_number(text) {
            return Some(text.to_ascii_lowercase());
        }
        Place::read(text).map(|place| place.to_string())
    };
    let volts = |text: &str| text.len() > 2 && text.bytes().all(|b| b.is_ascii_digit());
    if pieces.iter().any(|piece| piece.is_empty() || *piece == "0" || volts(piece)) {
        return None;
    }
    match pieces.as_slice() {
        [start, end] => Some((terminal(start)?, None, terminal(end)?)),
        [start, tap, end] => Some((terminal(start)?, Some(terminal(tap)?), terminal(end)?)),
        _ => None,
    }
}
