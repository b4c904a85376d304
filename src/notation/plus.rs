//! Which lead of a part is positive, as its line says it.
//!
//! A plus sign on its own before or after a place marks that lead: `8 mfd + B1
//! to chassis`, or the second place. A line that reads `between B1 and chassis`
//! says nothing of the order; the app writes its own lines so.

use super::item::Found;
use super::place::{is_to, starting};
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

/// Takes the plus signs at places out of the words of a part.
pub(super) fn take(words: Vec<Word>) -> (Vec<Word>, Plus, Option<Found>) {
    let Some((joint, between)) = joint(&words) else { return (words, Plus::Order, None) };
    let marks: Vec<usize> = (0..words.len()).filter(|at| marks(&words, *at, joint)).collect();
    let glued = |at: usize| words.get(at).is_some_and(is_signed_name);
    let first = marks.iter().any(|at| *at < joint);
    let second = marks.iter().find(|at| **at > joint).map(|at| words[*at].span);
    let (plus, found) = match (first, second) {
        (true, Some(span)) => {
            let problem = Problem::Second("+".to_owned(), "plus sign");
            (Plus::Unsaid, Some(Found::warning(span, problem)))
        }
        (true, None) => (Plus::First, None),
        (false, Some(_)) => (Plus::Second, None),
        (false, None) if between => (Plus::Unsaid, None),
        // The sign may stand at a name without a space: `chassis to +B1`.
        (false, None) => match (joint.checked_sub(1).is_some_and(glued), glued(joint + 1)) {
            (true, false) => (Plus::First, None),
            (false, true) => (Plus::Second, None),
            _ => (Plus::Order, None),
        },
    };
    (without(words, &marks, joint), plus, found)
}

/// The word that joins both places, and whether they follow `between`.
fn joint(words: &[Word]) -> Option<(usize, bool)> {
    let Some(from) = words.iter().position(|word| word.is("between")) else {
        return words.iter().position(is_to).map(|at| (at, false));
    };
    let first = past_place(words, past_plus(words, from + 1))?;
    let joint = past_plus(words, first);
    let joins = words.get(joint).is_some_and(|w| is_to(w) || w.is("and") || w.text == "&");
    joins.then_some((joint, true))
}

/// The word after the place that starts at a word.
fn past_place(words: &[Word], at: usize) -> Option<usize> {
    let found = starting(words, at)?;
    found.place.is_ok().then_some(found.words.end)
}

fn past_plus(words: &[Word], at: usize) -> usize {
    at + usize::from(words.get(at).is_some_and(is_plus))
}

fn is_plus(word: &Word) -> bool {
    !word.quoted && matches!(word.text.as_str(), "+" | "(+)")
}

/// Whether a name begins with a plus: `+B1`, `+HT`, `+250`.
fn is_signed_name(word: &Word) -> bool {
    !word.quoted
        && word.text.strip_prefix('+').is_some_and(|rest| rest.starts_with(char::is_alphanumeric))
}

/// Whether the word is a plus sign at a place beside the joint.
fn marks(words: &[Word], at: usize, joint: usize) -> bool {
    if !is_plus(&words[at]) {
        return false;
    }
    if at > joint {
        let place = past_plus(words, joint + 1);
        let end = past_place(words, place);
        return end.is_some() && (at == joint + 1 || end == Some(at));
    }
    let ends_here = |from: usize| past_place(words, from) == Some(at);
    let behind = at + 1 == joint && (0..at).any(ends_here);
    behind || at + 1 < joint && are_places(words, at + 1, joint)
}

/// Whether nothing but places and plus signs stands in a run of words.
fn are_places(words: &[Word], mut at: usize, end: usize) -> bool {
    while at < end {
        let place = past_plus(words, at);
        match past_place(words, place) {
            Some(next) if next <= end => at = next,
            _ if place == end => return true,
            _ => return false,
        }
    }
    true
}

/// The words without those signs, whose room the place beside them takes.
fn without(words: Vec<Word>, marks: &[usize], joint: usize) -> Vec<Word> {
    let mut left: Vec<Word> = Vec::with_capacity(words.len());
    let mut opening = None;
    for (at, mut word) in words.into_iter().enumerate() {
        let marked = marks.contains(&at);
        // It stands after its place next to the joint, or behind the second place.
        let behind = at + 1 == joint || at > joint + 1;
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
            ("between B1 and chassis 8 mfd", "between B1 and chassis 8 mfd", Plus::Unsaid),
            ("between + B1 and chassis", "between B1 and chassis", Plus::First),
            ("between B1 and + chassis", "between B1 and chassis", Plus::Second),
            ("between V2 pin 8 + and gnd", "between V2 pin 8 and gnd", Plus::First),
            ("8 mfd + V2 pin 8 to chassis", "8 mfd V2 pin 8 to chassis", Plus::First),
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
        assert_eq!(spans[2..6], [(7, 7), (15, 2), (18, 3), (22, 9)]);
    }
}
