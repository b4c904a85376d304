//! Where leads go: `A to B`, `A, B to C`, `between A and B`, `A - B`, and the
//! ties of pins.

use super::amount::text_of;
use super::item::Found;
use super::name::Place;
use super::note::Level;
use super::place::{self, Beside, Phrase, Read, can_be_listed, is_to};
use super::problem::Problem;
use super::word::Word;
use std::ops::Range;

/// A run of words that says where leads go, or fails to.
#[derive(Debug, Clone, PartialEq)]
pub struct Leads {
    /// The words of the run: they say nothing else.
    pub words: Range<usize>,
    /// One first place for each section and the common one, or what is wrong.
    pub read: Result<(Vec<Place>, Place), Box<Found>>,
}

/// Every run of a line, in the order of its words. The first that has words on
/// both sides counts; a fault in it leaves the part without leads.
pub fn find(words: &[Word], sort: Beside) -> Vec<Leads> {
    let mut all: Vec<Leads> = Vec::new();
    let mut counted = false;
    let mut at = 0;
    while at < words.len() {
        let floor = all.last().map_or(0, |l| l.words.end);
        let found = if words[at].is("between") {
            between(words, at, sort)
        } else if is_to(&words[at]) && !is_line_to_line(words, at) {
            Some(joined(words, floor, at, sort))
        } else {
            None
        };
        let Some((mut leads, whole)) = found else {
            at += 1;
            continue;
        };
        if whole && counted {
            let text = text_of(&words[leads.words.clone()]);
            leads.read = Err(Box::new(fault(
                words,
                &leads.words,
                Problem::Second(text, "pair of places"),
                Level::Warning,
            )));
        }
        counted |= whole;
        at = leads.words.end.max(at + 1);
        all.push(leads);
    }
    if all.is_empty() {
        all.extend(unjoined(words, sort));
    }
    all
}

/// `line to line` says what a part is, not where it goes.
fn is_line_to_line(words: &[Word], to: usize) -> bool {
    let line = |at: Option<usize>| at.and_then(|at| words.get(at)).is_some_and(|w| w.is("line"));
    line(to.checked_sub(1)) && line(Some(to + 1))
}

fn fault(words: &[Word], run: &Range<usize>, problem: Problem, level: Level) -> Found {
    let span = words[run.start].span.to(words[run.end - 1].span);
    Found { level, ..Found::error(span, problem) }
}

/// The run around a `to`, and whether a place stands on each side.
fn joined(words: &[Word], floor: usize, to: usize, sort: Beside) -> (Leads, bool) {
    let first = place::before(words, floor, to, sort);
    let last = place::after(words, to + 1, sort);
    let start = first.as_ref().map_or(to, |p| p.words.start);
    let end = last.as_ref().map_or(to + 1, |p| p.words.end);
    let (Some(first), Some(last)) = (first, last) else {
        let run = start..end;
        let read = Err(Box::new(fault(words, &run, Problem::LeadsIncomplete, Level::Error)));
        return (Leads { words: run, read }, false);
    };
    let (start, mut from) = listed(words, floor, first, sort);
    from.reverse();
    let from: Result<Vec<Place>, _> = from.into_iter().collect();
    let read = from.and_then(|from| Ok((from, last.place?)));
    (Leads { words: start..end, read }, true)
}

/// The places of a list before `to`, the last one first, and where it starts.
fn listed(words: &[Word], floor: usize, last: Phrase, sort: Beside) -> (usize, Vec<Read>) {
    let (mut start, mut all) = (last.words.start, vec![last.place]);
    while start > floor && words[start - 1].comma {
        let Some(found) = place::before(words, floor, start, sort) else { break };
        let sure = found.words.len() > 1 || can_be_listed(words, start - 1);
        if !sure {
            break;
        }
        start = found.words.start;
        all.push(found.place);
    }
    (start, all)
}

/// `between A and B`.
fn between(words: &[Word], at: usize, sort: Beside) -> Option<(Leads, bool)> {
    let first = place::after(words, at + 1, sort)?;
    let joint = first.words.end;
    let joins = |w: &Word| is_to(w) || w.is("and") || w.text == "&";
    let last =
        words.get(joint).filter(|w| joins(w)).and_then(|_| place::after(words, joint + 1, sort));
    let Some(last) = last else {
        let run = at..joint.max(at + 1);
        let read = Err(Box::new(fault(words, &run, Problem::LeadsIncomplete, Level::Error)));
        return Some((Leads { words: run, read }, false));
    };
    let words = at..last.words.end;
    let read = first.place.and_then(|from| Ok((vec![from], last.place?)));
    Some((Leads { words, read }, true))
}

/// Two places without `to`, where the line has none: `V2.8 - gnd`, `V2.8, gnd`,
/// `V2.8 gnd`. One of them must be a pin or terminal, or a point of every set.
fn unjoined(words: &[Word], sort: Beside) -> Option<Leads> {
    let sure = |phrase: &Phrase| phrase.place.as_ref().is_ok_and(Place::is_sure);
    let pin = |phrase: &Phrase| matches!(phrase.place, Ok(Place::Terminal { .. }));
    let unlike = |at: usize| super::line::phrase(words, at).is_none();
    (1..words.len()).find_map(|at| {
        let dash = matches!(words[at].text.as_str(), "-" | "–" | "—") && !words[at].quoted;
        if dash {
            let first = place::before(words, 0, at, sort)?;
            let last = place::after(words, at + 1, sort)?;
            let both = (sure(&first) || sure(&last))
                && can_be_listed(words, first.words.end - 1).max(sure(&first))
                && (sure(&last) || unlike(last.words.start));
            return both.then(|| pair(first, last));
        }
        let last = place::after(words, at, sort).filter(sure)?;
        let first = before_plainly(words, at).filter(sure)?;
        (pin(&first) || pin(&last)).then(|| pair(first, last))
    })
}

/// The place that ends right before word `end`, whatever else stands beside it.
fn before_plainly(words: &[Word], end: usize) -> Option<Phrase> {
    let mut apart = words[..end].to_vec();
    if let Some(last) = apart.last_mut() {
        last.comma = false;
    }
    place::before(&apart, 0, end, Beside::Description)
}

fn pair(first: Phrase, last: Phrase) -> Leads {
    let words = first.words.start..last.words.end;
    Leads { words, read: first.place.and_then(|from| Ok((vec![from], last.place?))) }
}

/// Reads `6=scr`, `g2=B2`.
///
/// # Errors
/// What is wrong with it.
pub fn pin(text: &str) -> Result<(String, Place), Problem> {
    let wrong = || Problem::PinTie(text.to_owned());
    let (pin, place) = text.split_once('=').ok_or_else(wrong)?;
    let fits = (1..=15).contains(&pin.len())
        && pin.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-'));
    if !fits {
        return Err(wrong());
    }
    let place = Place::parse(place).map_err(|why| match why {
        super::name::NoPlace::Other => wrong(),
        why => place::problem(place, why),
    })?;
    Ok((pin.to_ascii_lowercase(), place))
}
