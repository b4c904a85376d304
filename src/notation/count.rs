//! How many sections a capacitor has, where a word says it: `dual 8 mfd`, `3
//! section 20-20-20`, `4-section can`. The count is no value.

use super::joined;
use super::place::is_to;
use super::unit::{self, Measure};
use super::word::Word;

/// The count that starts at a word, and how many words say it.
fn count(words: &[Word], at: usize) -> Option<(usize, usize)> {
    let word = words.get(at).filter(|w| !w.quoted)?.lower();
    let section = |text: &str| {
        let text = text.trim_end_matches([':', '.']);
        matches!(text, "section" | "sections" | "sect" | "unit" | "units")
    };
    let said = match word.as_str() {
        "dual" | "double" | "twin" => Some(2),
        "triple" => Some(3),
        "quad" | "quadruple" => Some(4),
        _ => None,
    };
    let next = words.get(at + 1).filter(|w| !words[at].comma && !w.quoted);
    let follows = next.is_some_and(|w| section(&w.lower()));
    if let Some(times) = said {
        return Some((times, 1 + usize::from(follows)));
    }
    if follows {
        return Some((number(&word)?, 2));
    }
    let (head, tail) = word.split_once('-')?;
    section(tail).then_some(())?;
    let said = match head {
        "dual" => Some(2),
        "triple" => Some(3),
        head => number(head),
    };
    Some((said?, 1))
}

fn number(text: &str) -> Option<usize> {
    Some(match text {
        "2" | "two" => 2,
        "3" | "three" => 3,
        "4" | "four" => 4,
        "5" | "five" => 5,
        "6" | "six" => 6,
        _ => return None,
    })
}

/// The words without a count: a single value behind it stands so many times,
/// as `2x8`; several values are the sections themselves.
pub(super) fn take(words: Vec<Word>) -> Vec<Word> {
    let found = (0..words.len()).find_map(|at| Some((at, count(&words, at)?)));
    let Some((at, (times, used))) = found else { return words };
    let mut left = words;
    left.drain(at..at + used);
    let end = left.iter().skip(at).position(is_to).map_or(left.len(), |to| at + to);
    if let Some(value) = (at..end).find(|next| is_value(&left, *next))
        && joined::join(&left[value].text).is_ok_and(|joined| joined.members.len() == 1)
        && joined::times(&left[value].text).is_none()
    {
        left[value].text = format!("{times}x{}", left[value].text);
    }
    left
}

/// Whether a word is a number that is no voltage.
fn is_value(words: &[Word], at: usize) -> bool {
    let word = &words[at];
    let Ok(joined) = joined::join(&word.text) else { return false };
    let rest = joined::skip(&word.text, joined.length);
    let mark = if rest.is_empty() && !word.comma {
        words.get(at + 1).map_or("", |w| w.text.as_str())
    } else {
        rest
    };
    !word.quoted && !unit::read(mark).is_some_and(|u| matches!(u.measure, Measure::Volts(_)))
}
