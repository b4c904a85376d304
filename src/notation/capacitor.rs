//! The numbers of a capacitor: sections, values joined to ratings, bare values.
//!
//! Bare values are kept as they stand ([`Item::BareCapacitance`]) until the
//! whole line is known, then read by [`super::bare::resolve`].

use super::amount::{
    Around, Taken, doubtful_mark, mark_after, measured, number_fault, scaled, text_of,
    unit_problem, volts,
};
use super::code;
use super::item::{Bare, Found, Item};
use super::number::{self, Number};
use super::problem::Problem;
use super::unit::{self, Measure, VoltMark};
use super::word::{Span, Word};
use crate::trade::kind::PartKind;
use crate::trade::quantity::Capacitance;
use rust_decimal::Decimal;

/// A number of several, the sign before it, and where it starts.
struct Member {
    sign: Option<char>,
    start: usize,
    number: Number,
}

/// Numbers joined by `-`, `+` or `/`, as in `8-8/450`.
struct Joined {
    members: Vec<Member>,
    /// How many characters they take.
    length: usize,
}

/// Reads the numbers that start at the first word.
pub fn take(words: &[Word], around: Around) -> Taken {
    let word = &words[0];
    let (times, skipped) = times(&word.text).unwrap_or((1, 0));
    let joined = match join(skip(&word.text, skipped)) {
        Ok(joined) => joined.repeated(times, skipped),
        Err(e) => return number_fault(words, Problem::Number(word.text.clone(), e)),
    };
    let (mark, span, used) = mark_after(words, joined.length);
    let mut taken = Taken { words: used, ..Taken::default() };
    if let [Member { number, .. }] = joined.members.as_slice() {
        single(&mut taken, words, number, mark, span, around);
    } else {
        several(&mut taken, words, &joined, mark, span, around);
    }
    taken
}

impl Joined {
    /// The first number so many times over, all standing where it stands.
    fn repeated(mut self, times: usize, skipped: usize) -> Self {
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
    fn alike(&self) -> bool {
        self.members.iter().all(|m| m.start == self.members[0].start)
    }
}

/// The count of `2x8` and how many characters it takes: sections alike.
fn times(text: &str) -> Option<(usize, usize)> {
    let mut chars = text.chars();
    let count = chars.next()?.to_digit(10).filter(|n| (2..=6).contains(n))?;
    let alike = matches!(chars.next()?, 'x' | 'X' | '×')
        && chars.next().is_some_and(|c| c.is_ascii_digit() || c == '.');
    alike.then_some((count as usize, 2))
}

/// Reads numbers while `-`, `+` or `/` joins a further one.
fn join(text: &str) -> Result<Joined, number::NumberError> {
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
fn skip(text: &str, characters: usize) -> &str {
    text.char_indices().nth(characters).map_or("", |(i, _)| &text[i..])
}

/// Makes a capacitance from a number and its scale in picofarads.
pub(super) fn farads(
    value: Decimal,
    scale: Decimal,
) -> Result<Capacitance, crate::trade::quantity::OutOfRange> {
    Capacitance::new(scaled(value, scale))
}

/// One number.
fn single(
    taken: &mut Taken,
    words: &[Word],
    number: &Number,
    mark: &str,
    span: Span,
    around: Around,
) {
    let text = text_of(&words[..taken.words]);
    if mark.is_empty() {
        taken.push(span, Item::BareCapacitance(vec![number.clone()], Bare::default()));
        return;
    }
    if let Some(unit) = unit::read(mark) {
        if unit.measure == Measure::Capacitance && number.lost_point() {
            lost_point(taken, span, &text, number, mark, unit.scale);
            return;
        }
        if unit.measure == Measure::Capacitance {
            doubtful_mark(taken, span, &text, number, mark, |n| farads(n, unit.scale));
        }
        measured(taken, words, span, number.value, unit);
        return;
    }
    let mut letters = mark.chars();
    if let (Some(letter), None) = (letters.next(), letters.next())
        && taken.words == 1
    {
        lettered(taken, span, &text, number, letter, around);
        return;
    }
    taken.found.push(Found::error(span, unit_problem(&words[0].text, mark, around.kind)));
}

/// `05 mfd` for `.05 mfd`: copies of a drawing lose the point.
fn lost_point(
    taken: &mut Taken,
    span: Span,
    text: &str,
    number: &Number,
    mark: &str,
    scale: Decimal,
) {
    let value = number.with_point();
    let made = farads(value, scale);
    if let Ok(read) = &made {
        let whole = number.value;
        let problem = Problem::LostPoint(text.to_owned(), read.to_string());
        taken.found.push(
            Found { read: Some(read.to_string()), ..Found::warning(span, problem) }
                .or(format!("it is {value} {mark}"), format!("{value} {mark}"))
                .or(format!("it is {whole} {mark}"), format!("{whole} {mark}")),
        );
    }
    taken.push_checked(span, text, made.map(|c| Item::Capacitance(vec![c])));
}

/// A number with one letter that is no unit: thousand picofarads, or a
/// tolerance.
fn lettered(
    taken: &mut Taken,
    span: Span,
    text: &str,
    number: &Number,
    letter: char,
    around: Around,
) {
    let below_one = number.value < Decimal::ONE;
    if matches!(letter, 'K' | 'k') && !below_one {
        let made = farads(number.value, Decimal::from(1000));
        if let Ok(value) = made {
            let read = value.to_string();
            let picofarads = format!("{} pF ±10 %", number.written);
            taken.found.push(
                Found::reading(span, &read, Problem::KiloPico(text.to_owned(), read.clone()))
                    .or(format!("it is {read}"), &read)
                    .or(format!("it is {picofarads}"), picofarads),
            );
        }
        taken.push_checked(span, text, made.map(|c| Item::Capacitance(vec![c])));
        return;
    }
    let Some(tolerance) = code::percent_letter(letter) else {
        let mark = letter.to_string();
        taken.found.push(Found::error(span, unit_problem(text, &mark, around.kind)));
        return;
    };
    let bare = Bare { tolerance: Some(tolerance), ..Bare::default() };
    taken.push(span, Item::BareCapacitance(vec![number.clone()], bare));
    taken.push(span.part(span.length - 1, 1), Item::Tolerance(tolerance));
    let read = tolerance.to_string();
    let problem = Problem::ToleranceRead(text.to_owned(), read.clone());
    taken.found.push(Found::reading(span.part(span.length - 1, 1), &read, problem));
}

/// What joined numbers say: sections, and a rating after them or not.
fn several(
    taken: &mut Taken,
    words: &[Word],
    joined: &Joined,
    mark: &str,
    span: Span,
    around: Around,
) {
    let text = text_of(&words[..taken.words]);
    let unit = unit::read(mark);
    let volt_mark = match unit.map(|u| u.measure) {
        Some(Measure::Volts(kind)) => Some(kind),
        Some(Measure::Capacitance) => None,
        None if mark.is_empty() => None,
        _ => {
            taken.found.push(Found::error(span, unit_problem(&words[0].text, mark, around.kind)));
            return;
        }
    };
    let numbers: Vec<&Number> = joined.members.iter().map(|m| &m.number).collect();
    let in_volts = |n: &Number| match (volt_mark, unit) {
        (Some(_), Some(unit)) => scaled(n.value, unit.scale),
        _ => n.value,
    };
    if volt_mark.is_some() && (around.has_value || joined.alike()) {
        let amounts: Vec<Decimal> = numbers.iter().map(|n| in_volts(n)).collect();
        volts(taken, words, span, &amounts, volt_mark.unwrap_or(VoltMark::Plain));
        return;
    }
    if around.kind == PartKind::VariableCapacitor && volt_mark.is_none() {
        range(taken, span, &text, &numbers, unit.map(|u| u.scale));
        return;
    }
    if around.has_value && unit.is_none() && numbers.iter().all(|n| is_old_rating(n)) {
        // Ratings of the sections before them, when the whole line is known.
        push_values(taken, span, &text, &numbers, None, false);
        return;
    }
    if let Some(ratings_from) = halves(joined).filter(|_| !around.has_value) {
        let (values, ratings) = numbers.split_at(ratings_from);
        let value_span = words[0].span.part(0, values_length(values, joined));
        push_values(taken, value_span, &text, values, None, true);
        let amounts: Vec<Decimal> = ratings.iter().map(|n| in_volts(n)).collect();
        let span = rating_span(words[0].span, joined, ratings_from, span);
        let saved = taken.words;
        volts(taken, words, span, &amounts, volt_mark.unwrap_or(VoltMark::Plain));
        taken.words = taken.words.max(saved);
        return;
    }
    let (values, rating) = split(joined, unit.map(|u| u.measure));
    if let (true, [above, below]) = (rating.is_none(), numbers.as_slice())
        && joined.members[1].sign == Some('/')
        && above.value < below.value
    {
        fraction(taken, span, &text, above, below, unit.map(|u| u.scale));
        return;
    }
    let value_span = rating.map_or(span, |_| words[0].span.part(0, values_length(&values, joined)));
    if rating.is_some() && volt_mark.is_none() && joined.members.iter().all(|m| m.sign != Some('/'))
    {
        let read = format!(
            "{} and {} V",
            values[0].written,
            rating.map_or_else(String::new, |r| r.value.to_string())
        );
        let problem = Problem::ValueHyphenRating(text.clone(), read.clone());
        let apart = format!(
            "{} / {} V",
            values[0].written,
            rating.map_or_else(String::new, |r| r.value.to_string())
        );
        let sections = format!("{text} mfd");
        taken.found.push(
            Found::reading(span, &read, problem)
                .or("it is value and rating", apart.replace('/', ""))
                .or("it is two sections", sections),
        );
    }
    push_values(taken, value_span, &text, &values, unit, rating.is_some());
    if let Some(rating) = rating {
        let rating_span = rating_span(words[0].span, joined, values.len(), span);
        let saved = taken.words;
        volts(taken, words, rating_span, &[in_volts(rating)], volt_mark.unwrap_or(VoltMark::Plain));
        taken.words = taken.words.max(saved);
    }
}

/// Pushes the values of the sections, with their unit or bare.
fn push_values(
    taken: &mut Taken,
    span: Span,
    text: &str,
    values: &[&Number],
    unit: Option<unit::Unit>,
    with_rating: bool,
) {
    if let Some(unit) = unit.filter(|u| u.measure == Measure::Capacitance) {
        let made: Result<Vec<_>, _> = values.iter().map(|n| farads(n.value, unit.scale)).collect();
        taken.push_checked(span, text, made.map(Item::Capacitance));
    } else {
        let all = values.iter().map(|n| (*n).clone()).collect();
        taken.push(span, Item::BareCapacitance(all, Bare { with_rating, ..Bare::default() }));
    }
}

/// A range of a variable capacitor: its greatest value counts.
fn range(taken: &mut Taken, span: Span, text: &str, numbers: &[&Number], scale: Option<Decimal>) {
    let most = numbers.iter().map(|n| n.value).max().unwrap_or(Decimal::ZERO);
    // Of bare numbers those below one are microfarads: `.00035`.
    let (usual, mark) =
        if most < Decimal::ONE { (Decimal::from(1_000_000), "µF") } else { (Decimal::ONE, "pF") };
    let made = farads(most, scale.unwrap_or(usual));
    if let (None, Ok(value)) = (scale, &made) {
        let read = value.to_string();
        let problem = Problem::BareCapacitance(text.to_owned(), read.clone());
        let written = format!("{text} {mark}");
        taken
            .found
            .push(Found::reading(span, &read, problem).or(format!("it is {written}"), written));
    }
    taken.push_checked(span, text, made.map(|c| Item::Capacitance(vec![c])));
}

/// `1/2 mfd`.
fn fraction(
    taken: &mut Taken,
    span: Span,
    text: &str,
    above: &Number,
    below: &Number,
    scale: Option<Decimal>,
) {
    let Some(value) = above.value.checked_div(below.value) else {
        let problem = Problem::Number(text.to_owned(), number::NumberError::DivisionByZero);
        taken.found.push(Found::error(span, problem));
        return;
    };
    if let Some(scale) = scale {
        taken.push_checked(span, text, farads(value, scale).map(|c| Item::Capacitance(vec![c])));
    } else {
        let number = Number { value, pointed: true, written: text.to_owned(), ..above.clone() };
        taken.push(span, Item::BareCapacitance(vec![number], Bare::default()));
    }
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

/// Which of the joined numbers are values, and which one is their rating, by
/// the unit that follows them all: after `8-450 mfd` both are values.
fn split(joined: &Joined, after: Option<Measure>) -> (Vec<&Number>, Option<&Number>) {
    let numbers: Vec<&Number> = joined.members.iter().map(|m| &m.number).collect();
    let Some((Member { sign, number: last, .. }, before)) = joined.members.split_last() else {
        return (numbers, None);
    };
    let firsts: Vec<&Number> = before.iter().map(|m| &m.number).collect();
    let greatest = firsts.iter().map(|n| n.value).max().unwrap_or(Decimal::ZERO);
    let large = last.value >= Decimal::from(10);
    let known = is_old_rating(last);
    let ten_times = scaled(greatest, Decimal::TEN) <= last.value;
    let is_rating = matches!(after, Some(Measure::Volts(_)))
        || match sign {
            Some('/') => large && last.value > greatest,
            Some('-' | '–' | '−') => {
                firsts.len() == 1 && known && ten_times && after != Some(Measure::Capacitance)
            }
            _ => false,
        };
    if is_rating { (firsts, Some(last)) } else { (numbers, None) }
}

/// `40-20/450-25`: as many ratings of the time behind the only stroke as there
/// are values before it. The number that opens the ratings.
fn halves(joined: &Joined) -> Option<usize> {
    let strokes: Vec<usize> =
        (0..joined.members.len()).filter(|at| joined.members[*at].sign == Some('/')).collect();
    let &[stroke] = strokes.as_slice() else { return None };
    let ratings = &joined.members[stroke..];
    let rated = ratings.iter().all(|m| is_old_rating(&m.number));
    (stroke > 1 && ratings.len() == stroke && rated).then_some(stroke)
}

/// How many characters the values before a rating take.
fn values_length(values: &[&Number], joined: &Joined) -> usize {
    joined.members.get(values.len() - 1).map_or(0, |m| m.start + m.number.length)
}

/// Where the rating stands: from the digits of the number that opens it to the
/// end of its mark.
fn rating_span(word: Span, joined: &Joined, opens: usize, whole: Span) -> Span {
    let skip = joined.members.get(opens).map_or(0, |m| m.start);
    Span { column: word.column + skip, length: whole.length.saturating_sub(skip), ..word }
}
