//! One part's line, read into items.

use super::amount::{self, BareM};
use super::count;
use super::item::{Found, Item, Placed};
use super::kinds::{VARIABLE_PF, VARIABLE_RATED_PF, Value, kind_of, refined};
use super::name::Designator;
use super::place;
use super::plus::{self, Plus};
use super::reader::Reader;
use super::settle::settle;
use super::signed;
use super::ties;
use super::unit;
use super::vocabulary::{self, Meaning};
use super::word::{Span, Word};
use crate::trade::kind::PartKind;
use crate::trade::role::Role;
use rust_decimal::Decimal;

/// The most faults noted on one line.
const MOST_FOUND: usize = 8;

/// A line that names one part, or several alike.
#[derive(Debug, Clone, PartialEq)]
pub struct PartLine {
    /// The designators, and where they stand.
    pub designators: Vec<(Designator, Span)>,
    /// What kind of part it is.
    pub kind: PartKind,
    /// How the line tells which lead is positive.
    pub plus: Plus,
    /// What the line says, in the order of the text.
    pub items: Vec<Placed>,
    /// Everything wrong or doubtful.
    pub found: Vec<Found>,
}

/// Reads the words of a line whose first one is a designator.
pub fn read(words: &[Word], bare_m: BareM) -> PartLine {
    let (designators, used) = designators(words);
    let kind = designators.first().map_or(PartKind::Other, |(d, _)| kind_of(&d.letters));
    let mut words = ties::joined(&words[used..]);
    let mut told = None;
    if kind == PartKind::Capacitor {
        (words, told) = signed::take(count::take(words));
    }
    let (words, plus, sign) = plus::take(words);
    let plus = told.unwrap_or(plus);
    let words = split_joined(&words, kind);
    let mut line = read_as(kind, kind_in_words(&words), designators, words, bare_m);
    line.plus = plus;
    line.found.extend(sign);
    line.found.truncate(MOST_FOUND);
    line
}

/// Reads the words as those of a part of the kind that letters, words and value
/// give.
fn read_as(
    letters: PartKind,
    said: Option<PartKind>,
    designators: Vec<(Designator, Span)>,
    words: Vec<Word>,
    bare_m: BareM,
) -> PartLine {
    let read = |kind: PartKind, designators, words| {
        let (items, found) = Reader::new(words, kind, bare_m).run();
        let mut line = PartLine { designators, kind, plus: Plus::Order, items, found };
        settle(&mut line);
        line
    };
    let variable = letters == PartKind::VariableCapacitor
        || letters == PartKind::Capacitor && said == Some(PartKind::VariableCapacitor);
    let doubtful = variable || said.is_some_and(|said| said != letters);
    if !doubtful {
        return read(letters, designators, words);
    }
    // As if the word fitted; what is then read tells whether it does.
    let wished = if letters == PartKind::Capacitor && !variable {
        letters
    } else {
        let most = Value { fits_variable: true, resistance: true };
        refined(letters, said, most)
    };
    let first = read(wished, designators.clone(), words.clone());
    let kind = refined(letters, said, value_of(&first));
    if kind == wished { first } else { read(kind, designators, words) }
}

/// What the values of a line say of its kind. A large value with a rating is a
/// fixed capacitor's.
fn value_of(line: &PartLine) -> Value {
    let is = |wanted: fn(&Item) -> bool| line.items.iter().any(|p| wanted(&p.item));
    let rated = is(|item| matches!(item, Item::Volts(..)));
    let most = Decimal::from(if rated { VARIABLE_RATED_PF } else { VARIABLE_PF });
    let fits = |item: &Item| match item {
        Item::Capacitance(all) => all.iter().all(|c| c.picofarads() <= most),
        Item::Dielectric(d) => !d.is_paper() && !d.is_electrolytic() && !d.is_film(),
        _ => true,
    };
    Value {
        fits_variable: line.items.iter().all(|p| fits(&p.item)),
        resistance: is(|item| matches!(item, Item::Resistance(_))),
    }
}

/// The designators a line starts with: one, several parted by commas, or a
/// range `R3-R6`.
fn designators(words: &[Word]) -> (Vec<(Designator, Span)>, usize) {
    let mut all: Vec<(Designator, Span)> = Vec::new();
    let mut used = 0;
    while let Some(word) = words.get(used) {
        let joins =
            used == 0 || words[used - 1].comma || matches!(words[used - 1].text.as_str(), "&");
        if used > 0 && (word.text == "&") && !all.is_empty() {
            used += 1;
            continue;
        }
        if !joins {
            break;
        }
        let text = word.text.trim_end_matches(':');
        if let Some(designator) = Designator::read(text) {
            all.push((designator, word.span));
        } else if let Some(range) = range(text) {
            all.extend(range.into_iter().map(|d| (d, word.span)));
        } else {
            break;
        }
        used += 1;
    }
    (all, used.max(1))
}

/// `R3-R6`, at most 50 parts; `C1A/C1B` and `C1A/B`.
pub fn range(text: &str) -> Option<Vec<Designator>> {
    if text.contains('/') {
        return sections(text);
    }
    let (first, last) = text.split_once(['-', '–'])?;
    let (first, last) = (Designator::read(first)?, Designator::read(last)?);
    let fits = first.letters == last.letters
        && first.section.is_none()
        && last.section.is_none()
        && first.number < last.number
        && last.number - first.number < 50;
    fits.then(|| {
        (first.number..=last.number).map(|number| Designator { number, ..first.clone() }).collect()
    })
}

/// `C1A/C1B`, `C1A/B/C`.
fn sections(text: &str) -> Option<Vec<Designator>> {
    let mut all: Vec<Designator> = Vec::new();
    for name in text.split('/').take(26) {
        let letter = name.chars().next().filter(|c| name.len() == 1 && c.is_ascii_alphabetic());
        all.push(match (letter, all.first()) {
            (Some(letter), Some(first)) => {
                first.section?;
                Designator { section: Some(letter.to_ascii_uppercase()), ..first.clone() }
            }
            _ => Designator::read(name)?,
        });
    }
    (all.len() > 1).then_some(all)
}

/// Splits words such as `8mfd/450V` and `470K-1/2W` where a unit is joined to
/// the next number, and joins `8 - 8` on a capacitor.
fn split_joined(words: &[Word], kind: PartKind) -> Vec<Word> {
    if matches!(kind, PartKind::Tube | PartKind::Diode | PartKind::Lamp | PartKind::Other) {
        return words.to_vec();
    }
    let mut out: Vec<Word> = Vec::with_capacity(words.len());
    let between = words.iter().any(|word| word.is("between"));
    let mut at = 0;
    while let Some(word) = words.get(at) {
        at += 1;
        if let Some((joined, used)) = in_pieces(&words[at - 1..], kind) {
            out.push(joined);
            at += used - 1;
        } else if kind == PartKind::Capacitor
            && (matches!(word.text.as_str(), "-" | "+" | "–" | "&") || word.is("and") && !between)
            && let (Some(before), Some(after)) = (out.last_mut(), words.get(at))
            && joins_numbers(before, after)
        {
            let gap = |end: Span, next: Span| " ".repeat(next.column - end.column - end.length);
            let (first, second) = (gap(before.span, word.span), gap(word.span, after.span));
            let sign = if word.text == "&" || word.is("and") { "+" } else { &word.text };
            before.text = format!("{}{first}{sign}{second}{}", before.text, after.text);
            before.span = before.span.to(after.span);
            before.comma = after.comma;
            at += 1;
        } else if let Some(rating) =
            at_rating(words, at - 1).filter(|_| kind == PartKind::Capacitor)
        {
            out.push(rating);
        } else {
            split_units(word, words.get(at), &mut out);
        }
    }
    out
}

/// `40 @ 450`: what stands bare behind the sign is volts.
fn at_rating(words: &[Word], at: usize) -> Option<Word> {
    let word = &words[at];
    let signed = at > 0 && words[at - 1].text == "@" && !words[at - 1].quoted;
    let bare = word.text.len() >= 2 && word.text.bytes().all(|b| b.is_ascii_digit());
    let unit = |next: &Word| {
        unit::read(&next.text).is_some() || unit::volt_word(&next.text).is_some() || next.is("c")
    };
    let followed = !word.comma && words.get(at + 1).is_some_and(unit);
    (signed && bare && !word.quoted && !followed)
        .then(|| Word { text: format!("{}V", word.text), ..word.clone() })
}

/// One amount that is written in several words, or with its unit said twice:
/// `47 000 ohms`, `2 x 8 mfd`, `8µF+8µF`.
fn in_pieces(words: &[Word], kind: PartKind) -> Option<(Word, usize)> {
    let (text, used) = match kind {
        PartKind::Resistor | PartKind::Potentiometer => thousands(words)?,
        PartKind::Capacitor => {
            times(words).or_else(|| thousands(words)).or_else(|| sum_of_alike(&words[0]))?
        }
        _ => return None,
    };
    let last = &words[used - 1];
    Some((Word { comma: last.comma, ..Word::new(text, words[0].span.to(last.span)) }, used))
}

/// Digits in groups of three parted by spaces. Only where nothing else can be
/// meant: the last group is `000`, or ohms or farads follow.
fn thousands(words: &[Word]) -> Option<(String, usize)> {
    let digits = |w: &Word| !w.quoted && w.text.bytes().all(|b| b.is_ascii_digit());
    let first = words.first().filter(|w| (1..=3).contains(&w.text.len()) && digits(w))?;
    if first.text.starts_with('0') || first.comma {
        return None;
    }
    let mut used = 1;
    let mut text = first.text.clone();
    while let Some(group) = words.get(used)
        && group.text.len() == 3
        && digits(group)
        && group.span.line == first.span.line
        && !words[used - 1].comma
    {
        text.push_str(&group.text);
        used += 1;
    }
    let value = |w: &Word| {
        unit::read(&w.text).is_some_and(|u| {
            matches!(u.measure, unit::Measure::Resistance | unit::Measure::Capacitance)
        })
    };
    let sure = words[used - 1].text == "000"
        || !words[used - 1].comma && words.get(used).is_some_and(value);
    (used > 1 && sure).then_some((text, used))
}

/// `2 x 8`, as it would stand in one word.
fn times(words: &[Word]) -> Option<(String, usize)> {
    let [first, cross, second, ..] = words else { return None };
    let one_digit = |w: &Word| w.text.len() == 1 && w.text.bytes().all(|b| b.is_ascii_digit());
    let number = |w: &Word| w.text.starts_with(|c: char| c.is_ascii_digit() || c == '.');
    if !matches!(cross.text.as_str(), "x" | "X" | "×") || first.comma || cross.comma {
        return None;
    }
    // `.1 x 3`: a value with a point is no count.
    if first.text.starts_with(['.', '0']) && number(first) && one_digit(second) {
        return Some((format!("{}x{}", second.text, first.text), 3));
    }
    let alike = one_digit(first) && number(second);
    alike.then(|| (format!("{}x{}", first.text, second.text), 3))
}

/// `8µF+8µF` as `8+8µF`: the unit is said once for all.
fn sum_of_alike(word: &Word) -> Option<(String, usize)> {
    let mut numbers = Vec::new();
    let mut unit = None;
    for piece in word.text.split('+') {
        let digits = piece.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))?;
        let (number, mark) = piece.split_at(digits);
        if number.is_empty() || unit.is_some_and(|unit| unit != mark) {
            return None;
        }
        unit = Some(mark);
        numbers.push(number);
    }
    let mark = unit.filter(|mark| unit::read(mark).is_some())?;
    (numbers.len() > 1 && !word.quoted).then(|| (format!("{}{mark}", numbers.join("+")), 1))
}

/// Whether two words on one line are plain numbers that a sign may join.
fn joins_numbers(before: &Word, after: &Word) -> bool {
    let plain =
        |w: &Word| !w.quoted && w.text.chars().all(|c| c.is_ascii_digit() || "./-+ ".contains(c));
    plain(before) && plain(after) && before.span.line == after.span.line
}

/// Splits one word wherever a unit in it is joined to a further number.
fn split_units(word: &Word, next: Option<&Word>, out: &mut Vec<Word>) {
    let unit_follows = !word.comma
        && next.is_some_and(|n| n.span.line == word.span.line && unit::read(&n.text).is_some());
    let mut rest = word.clone();
    let after_number = out.last().is_some_and(|w| {
        !w.quoted && !w.comma && w.span.line == word.span.line && is_plain_number(&w.text)
    });
    while let Some(at) = joint(&rest, after_number) {
        let chars: Vec<char> = rest.text.chars().collect();
        let head = Word::new(chars[..at].iter().collect(), rest.span.part(0, at));
        out.push(Word { comma: true, ..head });
        let tail: String = chars[at + 1..].iter().collect();
        // The number joined to a value is its rating: 8mfd/450, but 8mfd/450 V.
        let rating = !unit_follows && tail.len() >= 2 && tail.chars().all(|c| c.is_ascii_digit());
        rest = Word {
            text: if rating { format!("{tail}V") } else { tail },
            span: rest.span.part(at + 1, chars.len() - at - 1),
            ..rest
        };
    }
    out.push(rest);
}

/// Where a word that starts as a number joins a unit to a further number.
fn joint(word: &Word, after_number: bool) -> Option<usize> {
    let chars: Vec<char> = word.text.chars().collect();
    let number = |c: Option<&char>| c.is_some_and(|c| c.is_ascii_digit() || *c == '.');
    let opens = |c: &char| number(Some(c)) || ",½¼¾⅛±%".contains(*c);
    // `uF/350V` behind its number is a unit and the next number.
    let unit = || {
        let head: String = chars.iter().take_while(|c| !"/-@–".contains(**c)).collect();
        after_number && unit::read(&head).is_some()
    };
    if word.quoted || !chars.first().is_some_and(opens) && !unit() {
        return None;
    }
    // A unit may end in a point, a number that does is none: `1.-1`.
    let unit_ends = |i: usize| match chars[i] {
        '.' => i > 0 && chars[i - 1].is_alphabetic(),
        c => c.is_alphabetic() || c == '%',
    };
    let joins = |i: usize| match chars[i] {
        '/' | '-' | '@' | '–' => true,
        // `8µF+8µF`, but not `8µF+50-10%`.
        '+' => !chars[i..].contains(&'%'),
        _ => false,
    };
    let parts = |i: usize| unit_ends(i - 1) || chars[i] == '@' && chars[i - 1].is_ascii_digit();
    (1..chars.len()).find(|&i| joins(i) && parts(i) && number(chars.get(i + 1)))
}

/// Whether a word is digits, with points or not.
fn is_plain_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit() || c == '.')
        && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '/'))
}

/// The kind that a word of the line gives the part, before anything is read.
fn kind_in_words(words: &[Word]) -> Option<PartKind> {
    let places = place::of_several_words(words);
    let outside = |at: &usize| places.iter().all(|run| !run.contains(at));
    let words_outside = words.iter().enumerate().filter(|(i, _)| outside(i));
    words_outside.into_iter().find_map(|(i, w)| match phrase(words, i) {
        Some((Meaning::Kind(kind), _)) if !w.quoted => Some(kind),
        Some((Meaning::Role(Role::Tuning), _)) if !w.quoted => Some(PartKind::VariableCapacitor),
        _ => None,
    })
}

/// The longest phrase that starts at a word, and how many words it takes.
pub(super) fn phrase(words: &[Word], at: usize) -> Option<(Meaning, usize)> {
    let most = words[at].phrase.min(words.len() - at);
    (1..=most).rev().find_map(|n| {
        let run = &words[at..at + n];
        if run.iter().any(|w| w.quoted) || run[..n - 1].iter().any(|w| w.comma) {
            return None;
        }
        vocabulary::meaning(&amount::text_of(run)).map(|m| (m, n))
    })
}
