//! Leads told one by one, by sign or by color: `positive to B1, negative to
//! chassis`, `+ to B1, - to chassis`, `red to B1, black to chassis`.
//!
//! They are put as `B1 to chassis`, so that neither sign nor color becomes a
//! place.

use super::place::{is_to, starting};
use super::plus::Plus;
use super::word::Word;

/// What a lead is told by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    Plus,
    Minus,
    /// A color tells no sign for sure.
    Color,
}

const COLORS: [&str; 10] =
    ["red", "black", "blue", "green", "yellow", "brown", "white", "orange", "grey", "gray"];

fn mark(word: &Word) -> Option<Mark> {
    if word.quoted {
        return None;
    }
    Some(match word.lower().as_str() {
        "+" | "(+)" | "positive" | "pos" | "pos." | "plus" => Mark::Plus,
        "-" | "–" | "(-)" | "negative" | "neg" | "neg." | "minus" => Mark::Minus,
        color if COLORS.contains(&color) => Mark::Color,
        _ => return None,
    })
}

/// One lead and where it goes: the mark, the word that joins, the words of the
/// place, and what follows.
struct Lead {
    mark: Mark,
    joint: usize,
    place: std::ops::Range<usize>,
}

fn lead(words: &[Word], at: usize) -> Option<Lead> {
    let mark = mark(words.get(at)?)?;
    let named = |w: &Word| ["lead", "side", "end", "wire"].iter().any(|name| w.is(name));
    let joint = at + 1 + usize::from(words.get(at + 1).is_some_and(named));
    words.get(joint).filter(|w| is_to(w))?;
    let place = starting(words, joint + 1).filter(|p| p.place.is_ok())?.words;
    Some(Lead { mark, joint, place })
}

/// The words with such a pair as `A to B`, and what it says of the plus.
pub(super) fn take(words: Vec<Word>) -> (Vec<Word>, Option<Plus>) {
    let pair = (0..words.len()).find_map(|at| {
        let first = lead(&words, at)?;
        let next = first.place.end;
        let and = words.get(next).is_some_and(|w| w.is("and") || w.text == "&");
        let second = lead(&words, next + usize::from(and))?;
        let plus = match (first.mark, second.mark) {
            (Mark::Plus, Mark::Minus) => Plus::First,
            (Mark::Minus, Mark::Plus) => Plus::Second,
            (Mark::Color, Mark::Color) => Plus::Unsaid,
            _ => return None,
        };
        Some((at, first, second, plus))
    });
    let Some((at, first, second, plus)) = pair else { return (words, None) };
    let mut left = words[..at].to_vec();
    left.extend_from_slice(&words[first.place.clone()]);
    if let Some(last) = left.last_mut() {
        last.comma = false;
    }
    left.push(words[second.joint].clone());
    left.extend_from_slice(&words[second.place.start..]);
    (left, Some(plus))
}
