//! Which lead of a part is positive, as its line says it.
//!
//! A plus sign on its own before or after a place marks that lead: `8 mfd + B1
//! to chassis`, or the second place. A line that reads `between B1 and chassis`
//! says nothing of the order; the app writes its own lines so.

use super::item::Found;
use super::leads::{is_place, is_to};
use super::problem::Problem;
use super::word::Word;
use serde::Serialize;

/// How a line tells which lead is positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Plus {
    /// By the order of its places, as one types them: the first is positive.
    #[default]
    Order,
    /// A plus sign stands at the first place.
    First,
    /// A plus sign stands at the second place.
    Second,
    /// Not at all: `between B1 and chassis`.
    Unsaid,
}

/// Takes what says the polarity out of the words of a part; what is left reads
/// `A to B`.
pub(super) fn take(words: Vec<Word>) -> (Vec<Word>, Plus, Option<Found>) {
    let (words, between) = as_to(words);
    let Some(to) = words.iter().position(is_to) else { return (words, Plus::Order, None) };
    let marks: Vec<usize> = (0..words.len()).filter(|at| marks(&words, *at, to)).collect();
    let first = marks.iter().any(|at| *at < to);
    let second = marks.iter().find(|at| **at > to).map(|at| words[*at].span);
    let (plus, found) = match (first, second) {
        (true, Some(span)) => {
            let problem = Problem::Second("+".to_owned(), "plus sign");
            (Plus::Unsaid, Some(Found::warning(span, problem)))
        }
        (true, None) => (Plus::First, None),
        (false, Some(_)) => (Plus::Second, None),
        (false, None) if between => (Plus::Unsaid, None),
        (false, None) => (Plus::Order, None),
    };
    (without(words, &marks, to), plus, found)
}

/// `between A and B` as `A to B`, and whether it was so.
fn as_to(mut words: Vec<Word>) -> (Vec<Word>, bool) {
    let Some(from) = words.iter().position(|word| word.is("between")) else {
        return (words, false);
    };
    let Some(and) = (from + 2..words.len()).find(|at| words[*at].is("and")) else {
        return (words, false);
    };
    let last = and + 1 + usize::from(is_plus_at(&words, and + 1));
    let places = (from + 1..and).chain([last]).filter(|at| !is_plus_at(&words, *at));
    let plain = words.iter().all(|word| !is_to(word));
    if !plain || !places.clone().all(|at| is_place(&words, at)) || places.count() < 2 {
        return (words, false);
    }
    "to".clone_into(&mut words[and].text);
    let opening = words.remove(from).span;
    words[from].span = opening.to(words[from].span);
    (words, true)
}

fn is_plus(word: &Word) -> bool {
    !word.quoted && matches!(word.text.as_str(), "+" | "(+)")
}

fn is_plus_at(words: &[Word], at: usize) -> bool {
    words.get(at).is_some_and(is_plus)
}

/// Whether the word is a plus sign at a place beside `to`.
fn marks(words: &[Word], at: usize, to: usize) -> bool {
    if !is_plus(&words[at]) {
        return false;
    }
    let place = |at: usize| is_plus_at(words, at) || is_place(words, at);
    if at > to {
        // Before the place, or after it.
        return at == to + 1 && is_place(words, to + 2) || at == to + 2 && place(to + 1);
    }
    let after = at > 0 && at + 1 == to && is_place(words, at - 1);
    after || at + 1 < to && (at + 1..to).all(place)
}

/// The words without those signs, whose room the place beside them takes.
fn without(words: Vec<Word>, marks: &[usize], to: usize) -> Vec<Word> {
    let mut left: Vec<Word> = Vec::with_capacity(words.len());
    let mut opening = None;
    for (at, mut word) in words.into_iter().enumerate() {
        let marked = marks.contains(&at);
        // It stands after its place next to `to`, or behind the second place.
        let behind = at + 1 == to || at == to + 2;
        match left.last_mut() {
            Some(place) if marked && behind => {
                place.span = place.span.to(word.span);
                place.comma |= word.comma;
            }
            _ if marked => opening = Some(word.span),
            _ => {
                if let Some(sign) = opening.take() {
                    word.span = sign.to(word.span);
                }
                left.push(word);
            }
        }
    }
    left
}

#[cfg(test)]
mod tests {
    use super::super::word::cut;
    use super::*;

    fn taken(text: &str) -> (String, Plus) {
        let (words, plus, _) = take(cut(text, 1).words);
        (words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" "), plus)
    }

    #[test]
    fn a_plus_sign_marks_the_place_beside_it() {
        for (text, left, plus) in [
            ("8 mfd B1 to chassis", "8 mfd B1 to chassis", Plus::Order),
            ("8 mfd + B1 to chassis", "8 mfd B1 to chassis", Plus::First),
            ("8 mfd B1 + to chassis", "8 mfd B1 to chassis", Plus::First),
            ("8 mfd chassis to + bias", "8 mfd chassis to bias", Plus::Second),
            ("8 mfd chassis to bias +", "8 mfd chassis to bias", Plus::Second),
            ("+ B1, B2 to B- 8-8", "B1 B2 to B- 8-8", Plus::First),
            ("between B1 and chassis 8 mfd", "B1 to chassis 8 mfd", Plus::Unsaid),
            ("between + B1 and chassis", "B1 to chassis", Plus::First),
            ("between B1 and + chassis", "B1 to chassis", Plus::Second),
            ("+ B1 to + chassis", "B1 to chassis", Plus::Unsaid),
            // A sum is no mark, and a name may begin or end with the sign.
            ("8 + 8 mfd B1 to chassis", "8 + 8 mfd B1 to chassis", Plus::Order),
            ("8 mfd B+ to chassis", "8 mfd B+ to chassis", Plus::Order),
            ("choke between two stages", "choke between two stages", Plus::Order),
        ] {
            assert_eq!(taken(text), (left.to_owned(), plus), "{text}");
        }
    }

    #[test]
    fn the_words_taken_out_belong_to_the_places() {
        let (words, _, _) = take(cut("8 mfd between B1 and chassis + 450 V", 1).words);
        let spans: Vec<(usize, usize)> =
            words.iter().map(|w| (w.span.column, w.span.length)).collect();
        assert_eq!(spans[2..5], [(7, 10), (18, 3), (22, 9)]);
    }
}
