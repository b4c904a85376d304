//! Words beside a place: which of them leave it as it is, and which spoil it.

use super::amount::is_mark;
use super::name::{NoPlace, Place};
use super::pin;
use super::place::{Phrase, is_to, is_value, whole_part};
use super::unit;
use super::winding;
use super::word::Word;

/// What a word of no meaning beside a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// A fault: the part has a value, and nothing else stands on its line.
    Fault,
    /// A description, as switches, jacks and windings may carry.
    Description,
}

/// Whether a word beside a place is something of its own, so that the place is
/// read rightly without it.
pub(super) fn belongs(words: &[Word], at: usize, found: &Phrase, sort: Beside) -> bool {
    let word = &words[at];
    let behind = at >= found.words.end;
    let lower = word.lower();
    if matches!(lower.as_str(), "of" | "pin" | "term" | "terminal" | "lug" | "term.") {
        return false;
    }
    // Of `junction of R5 and R6` the last word alone is no place.
    if !behind && matches!(lower.as_str(), "and" | "or" | "&") {
        return false;
    }
    let Ok(place) = &found.place else { return true };
    // The first place of a second pair.
    if behind && words.get(at + 1).is_some_and(is_to) {
        return true;
    }
    if is_to(word) || is_value(words, at) || !starts_as_name(&word.text) {
        return true;
    }
    let single = word.text.len() == 1 && word.text.starts_with(|c: char| c.is_lowercase());
    let mark = is_mark(&word.text) && (!single || at > 0 && is_value(words, at - 1));
    if mark || unit::volt_word(&word.text).is_some() || winding::keyword(word).is_some() {
        return true;
    }
    // `screen top of V3`: two electrodes, of which none is a role.
    let of_part =
        !behind && found.words.len() > 1 && whole_part(&words[found.words.start]).is_none();
    if of_part && pin::is_electrode_word(&lower) {
        return false;
    }
    if meaning_at(words, at) {
        return true;
    }
    if word.text.contains('=') || matches!(lower.as_str(), "in" | "area" | "between") {
        return true;
    }
    // An area's name is no place.
    if !behind && at > 0 && matches!(words[at - 1].lower().as_str(), "in" | "area") {
        return true;
    }
    let clear = is_clear(place);
    match Place::parse(&word.text) {
        Err(NoPlace::Part(_) | NoPlace::Pin(_)) => false,
        Err(NoPlace::Electrode(_)) => matches!(place, Place::Terminal { .. }),
        Ok(other) => !is_clear(&other) && (clear || sort == Beside::Description),
        Err(NoPlace::Other) => clear || sort == Beside::Description,
    }
}

/// Whether a word reads as a place and nothing else: a pin, a point of every
/// set, or a name with a figure or a sign in it, as `B2` and `HT-`.
fn is_clear(place: &Place) -> bool {
    place.is_sure()
        || matches!(place, Place::Named(name) if name.len() <= 8
            && name.contains(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '−' | '?')))
}

/// Whether a word starts as names of points do.
fn starts_as_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_alphabetic() || c == '_')
        || text.len() > 1 && text.starts_with(['+', '-']) && !pin::is_bare_number(text)
}

/// Whether a phrase of the trade starts or stands at a word.
fn meaning_at(words: &[Word], at: usize) -> bool {
    let from = at.saturating_sub(3);
    (from..=at)
        .any(|start| super::line::phrase(words, start).is_some_and(|(_, used)| start + used > at))
}
