//! Tolerances with signs: `±10 %`, `+-10%`, `-10/+50%`, `+50 -10 %`.

use super::amount::{Taken, text_of};
use super::item::{Found, Item};
use super::number;
use super::problem::Problem;
use super::word::Word;
use crate::trade::quantity::Tolerance;
use rust_decimal::Decimal;

/// The signs that open or join a tolerance.
const fn is_sign(c: char) -> bool {
    matches!(c, '+' | '-' | '±' | '−' | '–')
}

/// Reads a signed tolerance at the first word; `None` where none starts.
pub fn take(words: &[Word]) -> Option<Taken> {
    let first = words.first()?.text.chars().next()?;
    if !is_sign(first) {
        return None;
    }
    let used = extent(words);
    let run: String = words[..used].iter().map(|w| w.text.as_str()).collect();
    if !run.contains('%') && !run.starts_with('±') && signs(&run) < 2 {
        return None;
    }
    let text = text_of(&words[..used]);
    let span = words[0].span.to(words[used - 1].span);
    let mut taken = Taken { words: used, ..Taken::default() };
    match read(&run) {
        Some(tolerance) => taken.push(span, Item::Tolerance(tolerance)),
        None => taken.found.push(Found::error(span, Problem::Tolerance(text))),
    }
    Some(taken)
}

/// How many signs a run has, `+-` and `+/-` counting once.
fn signs(run: &str) -> usize {
    run.replace("+/-", "±").replace("+-", "±").chars().filter(|c| is_sign(*c)).count()
}

/// Whether a word opens a tolerance of its own, the same on both sides.
fn opens_both(text: &str) -> bool {
    ["±", "+-", "+/-"].iter().any(|sign| text.starts_with(sign))
}

/// How many words the tolerance takes: those that are only signs, digits,
/// points, slashes and percent marks.
fn extent(words: &[Word]) -> usize {
    let fits = |w: &Word| {
        !w.quoted && w.text.chars().all(|c| is_sign(c) || c.is_ascii_digit() || "./%".contains(c))
    };
    let both = opens_both(&words[0].text);
    // A sign alone opens the next side where a number follows it.
    let opens = |at: usize| {
        let sign = words[at].text.chars().all(|c| is_sign(c) || c == '/');
        let number = |w: &Word| w.text.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        !sign || words.get(at + 1).is_some_and(number)
    };
    let mut used = 1;
    while !words[used - 1].comma
        && let Some(next) = words.get(used)
        && fits(next)
        && (next.text.starts_with(is_sign) && !both && !opens_both(&next.text) && opens(used)
            || next.text.starts_with('%')
            || next.text.starts_with('/') && !both && opens(used)
            || words[used - 1].text.chars().all(|c| is_sign(c) || c == '/'))
    {
        used += 1;
    }
    used
}

/// Reads the run, white space removed.
fn read(run: &str) -> Option<Tolerance> {
    let plain =
        run.replace('%', "").replace("+/-", "±").replace("+-", "±").replace(['−', '–'], "-");
    if let Some(both) = plain.strip_prefix('±') {
        return whole(both).map(Tolerance::symmetric);
    }
    let mut below = None;
    let mut above = None;
    let mut rest = plain.as_str();
    while !rest.is_empty() {
        rest = rest.strip_prefix('/').unwrap_or(rest);
        let sign = rest.chars().next()?;
        let tail = rest.get(1..)?;
        let end = tail.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(tail.len());
        let slot = match sign {
            '-' => &mut below,
            '+' => &mut above,
            _ => return None,
        };
        if slot.replace(whole(&tail[..end])?).is_some() {
            return None;
        }
        rest = &tail[end..];
    }
    let zero = Decimal::ZERO;
    Some(Tolerance { below: below.unwrap_or(zero), above: above.unwrap_or(zero) })
}

/// A percentage of 0 to 300 that fills the whole text.
fn whole(text: &str) -> Option<Decimal> {
    let number = number::read(text).ok()?;
    (number.length == text.chars().count() && number.value <= Decimal::from(300))
        .then_some(number.value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::word::cut;

    fn tolerance(text: &str) -> String {
        let taken = take(&cut(text, 1).words);
        match taken.as_ref().map(|t| (&t.items[..], &t.found[..])) {
            Some(([one], [])) => match &one.item {
                Item::Tolerance(t) => t.to_string(),
                _ => "other".to_owned(),
            },
            Some((_, [found])) => found.problem.to_string(),
            _ => "none".to_owned(),
        }
    }

    #[test]
    fn signed_tolerances_are_read() {
        for (text, expected) in [
            ("±10%", "±10 %"),
            ("± 10 %", "±10 %"),
            ("+-20%", "±20 %"),
            ("+/-5 %", "±5 %"),
            ("-10+50%", "-10 +50 %"),
            ("-10/+50%", "-10 +50 %"),
            ("-10 +50 %", "-10 +50 %"),
            ("+50 -10 %", "-10 +50 %"),
            ("-10% +50%", "-10 +50 %"),
            ("+100%", "-0 +100 %"),
            ("-5", "none"),
            ("-10-20%", "'-10-20%' is no tolerance; expected 0 to 300 %, as in ±10 % or -10 +50 %"),
        ] {
            assert_eq!(tolerance(text), expected, "{text}");
        }
    }
}
