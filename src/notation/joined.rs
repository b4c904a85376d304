//! Numbers that stand joined on a capacitor, and which of them are ratings.
//!
//! | written | read as |
//! |---|---|
//! | `8-8/450`, `150-150/150`, `100-100/50` | sections, and their rating behind the stroke |
//! | `40-20/450-25` | sections, and a rating for each |
//! | `25/25`, `40/25` | value and rating, where that rating is sold and no other one follows |
//! | `8/16 450 V`, `20/20 mfd` | sections |
//! | `.05-600` | value and rating, ten times apart |
//! | `8-450 mfd`, `40-20` | sections |
//! | `1/2`, `3/4` | a fraction |
//! | `150-50/33`, `40-40/150/25` | nothing: a fault |

use super::amount::scaled;
use super::number::{self, Number};
use super::unit::{self, Measure};
use super::word::{Span, Word};
use crate::trade::ratings::ELECTROLYTIC;
use rust_decimal::Decimal;

/// A number of several, the sign before it, and where it starts.
pub(super) struct Member {
    pub sign: Option<char>,
    pub start: usize,
    pub number: Number,
}

/// Numbers joined by `-`, `+` or `/`, as in `8-8/450`.
pub(super) struct Joined {
    pub members: Vec<Member>,
    /// How many characters they take.
    pub length: usize,
}

impl Joined {
    /// The first number so many times over, all standing where it stands.
    pub fn repeated(mut self, times: usize, skipped: usize) -> Self {
        for member in &mut self.members {
            member.start += skipped;
        }
        self.length += skipped;
        for _ in 1..times {
            let Member { start, number, .. } = &self.members[0];
            let more = Member { sign: Some('-'), start: *start, number: number.clone() };
            self.members.insert(1, more);
        }
        self
    }

    /// Whether they are one number repeated, so that none rates the others.
    pub fn alike(&self) -> bool {
        self.members.iter().all(|m| m.start == self.members[0].start)
    }
}

/// The count of `2x8` and how many characters it takes: sections alike.
pub(super) fn times(text: &str) -> Option<(usize, usize)> {
    let mut chars = text.chars();
    let count = chars.next()?.to_digit(10).filter(|n| (2..=6).contains(n))?;
    let alike = matches!(chars.next()?, 'x' | 'X' | '×')
        && chars.next().is_some_and(|c| c.is_ascii_digit() || c == '.');
    alike.then_some((count as usize, 2))
}

/// Reads numbers while `-`, `+` or `/` joins a further one.
pub(super) fn join(text: &str) -> Result<Joined, number::NumberError> {
    let mut members: Vec<Member> = Vec::new();
    let (mut rest, mut at, mut sign) = (text, 0, None);
    loop {
        let mut number = number::read(rest)?;
        // A fraction such as 8/450 is two numbers here; 1/2 is put together later.
        if let Some((above, _)) = number.fraction.take() {
            number.length = number.written.len();
            number.value = above;
        }
        let (start, length) = (at, number.length);
        members.push(Member { sign, start, number });
        at += length;
        rest = skip(rest, length);
        let joint = rest.trim_start_matches(' ');
        let next = skip(joint, 1).trim_start_matches(' ');
        let goes_on = next.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        match joint.chars().next() {
            Some(c @ ('-' | '+' | '/' | '–' | '−')) if goes_on && members.len() < 12 => {
                sign = Some(c);
                at += rest.chars().count() - next.chars().count();
                rest = next;
            }
            _ => return Ok(Joined { members, length: at }),
        }
    }
}

/// A text without its first characters.
pub(super) fn skip(text: &str, characters: usize) -> &str {
    text.char_indices().nth(characters).map_or("", |(i, _)| &text[i..])
}

/// Ratings that electrolytic and paper parts of the time carry; a number of
/// these after a hyphen is a rating. Source: common practice, no source.
const OLD_RATINGS: [i64; 19] = [
    25, 50, 100, 150, 200, 250, 300, 350, 400, 450, 475, 500, 525, 600, 800, 1000, 1200, 1600, 2000,
];

/// Whether a bare number is a rating of the time.
pub fn is_old_rating(number: &Number) -> bool {
    !number.pointed && OLD_RATINGS.iter().any(|r| number.value == Decimal::from(*r))
}

/// Whether a number is a rating that was or is sold, low ones too. Source of
/// the low ones: common practice, no source.
fn is_sold_rating(number: &Number) -> bool {
    const LOW: [i64; 4] = [6, 12, 15, 40];
    let listed = || {
        let mut sold = ELECTROLYTIC.iter().filter_map(|text| Decimal::from_str_exact(text).ok());
        sold.any(|sold| sold == number.value)
    };
    is_old_rating(number) || LOW.iter().any(|low| number.value == Decimal::from(*low)) || listed()
}

/// What joined numbers are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// Sections, their rating not among them.
    Sections,
    /// All but the last are sections, the last is their rating.
    Rated,
    /// A fraction.
    Fraction,
    /// Nothing that is certain.
    Unsure,
}

/// What joined numbers are, by the unit that follows them all (after `8-450
/// mfd` both are values) and by whether a rating stands next.
pub(super) fn shape(joined: &Joined, after: Option<Measure>, rated_next: bool) -> Shape {
    let Some((Member { sign, number: last, .. }, before)) = joined.members.split_last() else {
        return Shape::Sections;
    };
    if matches!(after, Some(Measure::Volts(_))) {
        return Shape::Rated;
    }
    if let ([above], Some('/')) = (before, sign)
        && is_fraction(above.number.value, last.value)
    {
        return Shape::Fraction;
    }
    let farads = after == Some(Measure::Capacitance);
    let greatest = before.iter().map(|m| m.number.value).max().unwrap_or(Decimal::ZERO);
    let strokes = joined.members.iter().filter(|m| m.sign == Some('/')).count();
    let is_rating = match sign {
        Some('/') if rated_next && last.value < Decimal::ONE_HUNDRED => false,
        Some('/') if last.value >= Decimal::TEN && last.value > greatest => true,
        Some('/') => strokes == 1 && !farads && is_sold_rating(last),
        Some('-' | '–' | '−') => {
            let ten_times = scaled(greatest, Decimal::TEN) <= last.value;
            before.len() == 1 && is_old_rating(last) && ten_times && !farads
        }
        _ => false,
    };
    if is_rating {
        return Shape::Rated;
    }
    let mixed = strokes > 0 && strokes + 1 < joined.members.len();
    let doubtful = strokes > 1 && is_sold_rating(last) && last.value < greatest;
    if (mixed || doubtful) && !farads && !rated_next { Shape::Unsure } else { Shape::Sections }
}

/// Whether two numbers are a fraction as values were written: 1/2, 3/4.
fn is_fraction(above: Decimal, below: Decimal) -> bool {
    let of = |all: &[i64], value: Decimal| all.iter().any(|n| value == Decimal::from(*n));
    of(&[1, 3], above) && above < below && of(&[2, 3, 4, 5, 8, 10, 16], below)
}

/// Whether the next amount behind `words[..from]` is a rating: `8/16 450 V`.
pub(super) fn rated_next(words: &[Word], from: usize) -> bool {
    for (at, word) in words.iter().enumerate().skip(from) {
        if word.quoted || !word.text.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
            continue;
        }
        let Ok(number) = number::read(&word.text) else { return false };
        let mark: String = word.text.chars().skip(number.length).collect();
        let next = |at: usize| words.get(at).map(|w| w.text.as_str()).unwrap_or_default();
        let (mark, behind) = if mark.is_empty() {
            (next(at + 1), next(at + 2))
        } else {
            (mark.as_str(), next(at + 1))
        };
        let surge = unit::volt_word(behind) == Some(unit::VoltMark::Surge);
        return match unit::read(mark).map(|u| u.measure) {
            Some(Measure::Volts(unit::VoltMark::Surge)) => false,
            Some(Measure::Volts(_)) => !surge,
            Some(_) => false,
            None => {
                number.fraction.is_none()
                    && is_old_rating(&number)
                    && number.value >= Decimal::ONE_HUNDRED
            }
        };
    }
    false
}

/// `40-20/450-25`: as many ratings of the time behind the only stroke as there
/// are values before it. The number that opens the ratings.
pub(super) fn halves(joined: &Joined) -> Option<usize> {
    let strokes: Vec<usize> =
        (0..joined.members.len()).filter(|at| joined.members[*at].sign == Some('/')).collect();
    let &[stroke] = strokes.as_slice() else { return None };
    let ratings = &joined.members[stroke..];
    let rated = ratings.iter().all(|m| is_old_rating(&m.number));
    (stroke > 1 && ratings.len() == stroke && rated).then_some(stroke)
}

/// How many characters the values before a rating take.
pub(super) fn values_length(values: &[&Number], joined: &Joined) -> usize {
    joined.members.get(values.len() - 1).map_or(0, |m| m.start + m.number.length)
}

/// Where the rating stands: from the digits of the number that opens it to the
/// end of its mark.
pub(super) fn rating_span(word: Span, joined: &Joined, opens: usize, whole: Span) -> Span {
    let skip = joined.members.get(opens).map_or(0, |m| m.start);
    Span { column: word.column + skip, length: whole.length.saturating_sub(skip), ..word }
}
