//! Ties of pins that are written with spaces: `pin 8 = T2.3`, `8= chassis`,
//! `plate = V2 pin 5`. They are put together before the line is read.

use super::pin::{is_bare_number, is_electrode};
use super::place::{is_pin_word, starting};
use super::word::{Span, Word};

/// The words with each tie as one word.
pub(super) fn joined(words: &[Word]) -> Vec<Word> {
    let mut out: Vec<Word> = Vec::with_capacity(words.len());
    let mut at = 0;
    while let Some(word) = words.get(at) {
        let Some(tie) = tie(words, at, &out) else {
            out.push(word.clone());
            at += 1;
            continue;
        };
        if tie.takes_left {
            out.pop();
        }
        if out.last().is_some_and(is_pin_word) {
            out.pop();
        }
        at = tie.next;
        out.push(tie.word);
    }
    out
}

struct Tie {
    word: Word,
    next: usize,
    /// Whether the word before belongs to it.
    takes_left: bool,
}

/// The tie around the equals sign of word `at`.
fn tie(words: &[Word], at: usize, before: &[Word]) -> Option<Tie> {
    let word = &words[at];
    let (left, right) = word.text.split_once('=').filter(|_| !word.quoted)?;
    let previous = before.last().filter(|w| is_pin(w) && w.span.line == word.span.line);
    let takes_left = left.is_empty();
    let (left, start) = match (takes_left, previous) {
        (true, Some(pin)) => (pin.text.clone(), pin.span),
        (true, None) => return None,
        (false, _) => (left.to_owned(), word.span),
    };
    let (place, next, end) = place(words, at, right)?;
    let text = format!("{left}={place}");
    let span = start.to(end);
    let word = Word { comma: words[next - 1].comma, ..Word::new(text, span) };
    Some(Tie { word, next, takes_left })
}

/// The place behind the equals sign, the word after it and where it ends.
fn place(words: &[Word], at: usize, right: &str) -> Option<(String, usize, Span)> {
    let word = &words[at];
    if right.is_empty() {
        let next = words.get(at + 1).filter(|w| {
            !w.quoted && !word.comma && w.span.line == word.span.line && !w.text.contains('=')
        })?;
        let found = starting(words, at + 1);
        let Some(found) = found else { return Some((next.text.clone(), at + 2, next.span)) };
        let text = found.place.map_or_else(|_| next.text.clone(), |p| p.to_string());
        return Some((text, found.words.end, words[found.words.end - 1].span));
    }
    // `6=V2 pin 5`: the place goes on in the next words.
    let mut rest = vec![Word { comma: word.comma, ..Word::new(right.to_owned(), word.span) }];
    rest.extend(words[at + 1..].iter().take(4).cloned());
    let several = starting(&rest, 0).filter(|p| p.words.len() > 1);
    match several.map(|p| (p.place, p.words.len())) {
        Some((Ok(place), used)) => Some((place.to_string(), at + used, words[at + used - 1].span)),
        _ => Some((right.to_owned(), at + 1, word.span)),
    }
}

/// Whether a word can be the pin of a tie: a number or an electrode.
fn is_pin(word: &Word) -> bool {
    let plain = word.text.len() <= 8 && !word.text.contains('=');
    !word.quoted && !word.comma && plain && (is_bare_number(&word.text) || is_electrode(&word.text))
}
