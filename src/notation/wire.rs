//! The `wire` line: places tied together.

use super::amount;
use super::directive::empty;
use super::item::Found;
use super::name::Place;
use super::place::{self, is_to};
use super::problem::Problem;
use super::word::Word;

/// Reads `wire A to B to C`. Places stand apart by `to`, `and`, a dash or a
/// comma; pins, and points that every set has, need none. One that is not read
/// leaves the whole wire out.
pub(super) fn read(head: &Word, rest: &[Word], found: &mut Vec<Found>) -> Option<Vec<Place>> {
    let joins = |w: &Word| is_to(w) || w.is("and") || matches!(w.text.as_str(), "&" | "-" | "–");
    let mut places = Vec::new();
    let (mut at, mut apart, mut run_on) = (0, true, false);
    while let Some(word) = rest.get(at) {
        if joins(word) {
            (at, apart) = (at + 1, true);
            continue;
        }
        let Some(phrase) = place::starting(rest, at) else {
            found.push(Found::error(word.span, Problem::Place(word.text.clone())));
            return None;
        };
        at = phrase.words.end;
        match phrase.place {
            Ok(place) => {
                let both = place.is_sure() && places.last().is_none_or(Place::is_sure);
                run_on |= !apart && !both;
                places.push(place);
            }
            Err(fault) => found.push(*fault),
        }
        apart = rest[at - 1].comma;
    }
    if !found.is_empty() {
        return None;
    }
    if run_on {
        let span = rest[0].span.to(rest[rest.len() - 1].span);
        found.push(Found::error(span, Problem::PlacePhrase(amount::text_of(rest))));
        return None;
    }
    if places.len() < 2 {
        empty(head, found, "wire", "two places, as in wire V2.8 to chassis");
        return None;
    }
    Some(places)
}
