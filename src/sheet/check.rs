//! What needs the whole sheet: pins and electrodes by the types of the tubes,
//! what `common` is, which tube a bare electrode can belong to.
//!
//! A connection with one end that cannot be is left out whole, with a fault
//! where it stands.

use super::part::{Part, PartKind, PinTie, Place};
use super::scan::Scanned;
use super::{Sheet, SupplyKind};
use crate::notation::item::Found;
use crate::notation::name::NAME_COMMON;
use crate::notation::pin::is_electrode;
use crate::notation::place::starting;
use crate::notation::problem::Problem;
use crate::notation::word::{Span, Word};
use crate::trade::kind::{Make, WindingKind};
use crate::trade::tubes::{Pinned, TubeType, pin_of};
use rustc_hash::FxHashMap;

/// Leaves out what cannot be, and tells it. `lines` finds a line of the sheet.
pub fn settle<'a>(sheet: &mut Sheet, lines: impl Fn(usize) -> Option<&'a Scanned>) -> Vec<Found> {
    let faults = Tubes::of(sheet).faults(sheet);
    let found = faults.iter().map(|fault| fault.found(lines(fault.line))).collect();
    for fault in &faults {
        fault.leave_out(sheet);
    }
    sheet.wires.retain(|w| !w.places.is_empty());
    found
}

/// The tubes of a sheet by name, with their types.
struct Tubes {
    types: FxHashMap<String, Option<TubeType>>,
    /// What `common` is; `None` where it can be two things.
    common: Option<&'static str>,
}

/// Where a fault stands.
#[derive(Debug, Clone, PartialEq)]
enum At {
    Leads(usize),
    Pin(usize, PinTie),
    Winding(usize, String),
    Wire(usize),
}

/// A place that cannot be.
struct Fault {
    at: At,
    line: usize,
    place: Place,
    why: Why,
}

enum Why {
    Pinned(Pinned),
    Common,
    /// `common` is the chassis here: nothing is wrong.
    Chassis,
}

impl Tubes {
    fn of(sheet: &Sheet) -> Self {
        let mut types = FxHashMap::default();
        for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Tube) {
            types.entry(part.designator.to_string()).or_insert_with(|| {
                part.tube.as_deref().and_then(|name| sheet.tube_type(name)).map(|t| t.0.clone())
            });
        }
        let isolated = match sheet.header.supply {
            Some(kind) => kind != SupplyKind::SeriesString,
            None => sheet.parts.iter().any(|p| {
                p.is_made(Make::PowerTransformer)
                    || p.windings.iter().any(|w| w.kind == WindingKind::Primary)
                        && p.windings.len() > 1
            }),
        };
        Self { types, common: isolated.then_some("chassis") }
    }

    /// What is wrong with a place, if anything is.
    fn why(&self, place: &Place) -> Option<Why> {
        match place {
            Place::Named(name) if name.eq_ignore_ascii_case(NAME_COMMON) => {
                Some(self.common.map_or(Why::Common, |_| Why::Chassis))
            }
            Place::Named(_) => None,
            Place::Terminal { part, terminal } => {
                let tube = self.types.get(part)?.as_ref();
                match pin_of(tube, terminal) {
                    Pinned::Pin(_) | Pinned::Cap => None,
                    Pinned::NoElectrode(_) if tube.is_none() && is_electrode(terminal) => None,
                    wrong => Some(Why::Pinned(wrong)),
                }
            }
        }
    }

    fn faults(&self, sheet: &Sheet) -> Vec<Fault> {
        let mut all = Vec::new();
        let mut add = |at: At, line: usize, place: &Place| {
            if let Some(why) = self.why(place) {
                all.push(Fault { at, line, place: place.clone(), why });
            }
        };
        for (index, part) in sheet.parts.iter().enumerate() {
            for place in part.leads.iter().flat_map(|l| [&l.from, &l.to]) {
                add(At::Leads(index), part.line, place);
            }
            for tie in &part.pins {
                let at = || At::Pin(index, tie.clone());
                add(at(), part.line, &tie.place);
                if part.kind == PartKind::Tube {
                    let own = part.designator.to_string();
                    add(at(), part.line, &Place::Terminal { part: own, terminal: tie.pin.clone() });
                }
            }
            for end in ends(part) {
                if let Some(place) = super::part::winding_place(end) {
                    add(At::Winding(index, end.clone()), part.line, &place);
                }
            }
        }
        for (index, wire) in sheet.wires.iter().enumerate() {
            for place in &wire.places {
                add(At::Wire(index), wire.line, place);
            }
        }
        all
    }
}

/// The ends and taps of a part's windings.
fn ends(part: &Part) -> impl Iterator<Item = &String> {
    part.windings.iter().flat_map(|w| [Some(&w.start), w.tap.as_ref(), Some(&w.end)]).flatten()
}

impl Fault {
    fn found(&self, line: Option<&Scanned>) -> Found {
        let start = Span { line: self.line, column: 1, length: 1 };
        let span = line.and_then(|l| locate(l, &self.place, &self.at)).unwrap_or(start);
        let shown = self.place.to_string();
        let found = |problem| Found::error(span, problem);
        match &self.why {
            Why::Chassis => Found::reading(span, "chassis", Problem::CommonRead(shown)),
            Why::Common => ["chassis", "B-"]
                .into_iter()
                .fold(found(Problem::Common(shown)), |f, name| f.or(format!("it is {name}"), name)),
            Why::Pinned(Pinned::Several(pins)) => {
                let all: Vec<String> = pins.iter().map(ToString::to_string).collect();
                let mut out = found(Problem::SeveralPins(shown, all.join(" and ")));
                for pin in all.iter().filter(|_| span != start) {
                    out = out.or(format!("it is pin {pin}"), self.with_pin(pin));
                }
                out
            }
            Why::Pinned(Pinned::NoPin(pin)) => found(Problem::NoPin(shown, *pin)),
            Why::Pinned(_) => found(Problem::NoElectrode(shown)),
        }
    }

    /// The words for a pin in place of those that are wrong.
    fn with_pin(&self, pin: &str) -> String {
        match (&self.place, &self.at) {
            (Place::Terminal { terminal, .. }, At::Pin(_, tie)) if tie.pin == *terminal => {
                pin.to_owned()
            }
            (Place::Terminal { part, .. }, _) => format!("{part}.{pin}"),
            (Place::Named(name), _) => name.clone(),
        }
    }

    fn leave_out(&self, sheet: &mut Sheet) {
        if matches!(self.why, Why::Chassis) {
            return self.be_chassis(sheet);
        }
        match &self.at {
            At::Leads(part) => {
                sheet.parts[*part].leads = None;
                sheet.parts[*part].places_unread = true;
            }
            At::Pin(part, tie) => sheet.parts[*part].pins.retain(|t| t != tie),
            At::Winding(part, end) => {
                let windings = &mut sheet.parts[*part].windings;
                windings.retain(|w| w.start != *end && w.end != *end);
                for winding in windings.iter_mut().filter(|w| w.tap.as_ref() == Some(end)) {
                    winding.tap = None;
                }
            }
            // The other faults know it by its number, so it goes when all are told.
            At::Wire(index) => sheet.wires[*index].places.clear(),
        }
    }

    fn be_chassis(&self, sheet: &mut Sheet) {
        let set = |place: &mut Place| {
            if *place == self.place {
                *place = Place::Named("chassis".to_owned());
            }
        };
        match &self.at {
            At::Leads(part) => {
                if let Some(leads) = &mut sheet.parts[*part].leads {
                    set(&mut leads.from);
                    set(&mut leads.to);
                }
            }
            At::Pin(part, _) => sheet.parts[*part].pins.iter_mut().for_each(|t| set(&mut t.place)),
            At::Winding(part, end) => {
                for winding in &mut sheet.parts[*part].windings {
                    let all =
                        [Some(&mut winding.start), winding.tap.as_mut(), Some(&mut winding.end)];
                    for name in all.into_iter().flatten().filter(|name| *name == end) {
                        "chassis".clone_into(name);
                    }
                }
            }
            At::Wire(index) => sheet.wires[*index].places.iter_mut().for_each(set),
        }
    }
}

/// The words of a line that name a place.
fn locate(line: &Scanned, place: &Place, at: &At) -> Option<Span> {
    let words = &line.words;
    if let At::Pin(_, tie) = at {
        return words.iter().find_map(|w| in_tie(w, place, tie));
    }
    (0..words.len()).find_map(|at| {
        let phrase = starting(words, at)?;
        let span = || words[at].span.to(words[phrase.words.end - 1].span);
        (phrase.place.as_ref() == Ok(place)).then(span)
    })
}

/// The side of `6=scr` that is a place.
fn in_tie(word: &Word, place: &Place, tie: &PinTie) -> Option<Span> {
    let (pin, rest) = word.text.split_once('=')?;
    if !pin.eq_ignore_ascii_case(&tie.pin) {
        return None;
    }
    let length = pin.chars().count();
    if tie.place == *place && Place::read(rest).as_ref() == Some(place) {
        return Some(word.span.part(length + 1, rest.chars().count()));
    }
    Some(word.span.part(0, length))
}

/// The most tubes of which a bare electrode is offered.
const MOST_OFFERED: usize = 6;

/// Adds to the faults of bare electrodes and pins the tubes of the sheet that
/// have them.
pub fn offer_tubes(sheet: &Sheet, found: &mut [Found]) {
    let named = |f: &Found| match &f.problem {
        Problem::BareElectrode(text) => Some(text.to_ascii_lowercase()),
        Problem::BarePin(text) => text.split_whitespace().last().map(str::to_owned),
        _ => None,
    };
    for fault in found.iter_mut() {
        let Some(terminal) = named(fault) else { continue };
        let has = |part: &Part| {
            let tube = part.tube.as_deref().and_then(|name| sheet.tube_type(name)).map(|t| t.0);
            matches!(pin_of(tube, &terminal), Pinned::Pin(_) | Pinned::Cap | Pinned::Several(_))
        };
        let tubes = sheet.parts.iter().filter(|p| p.kind == PartKind::Tube && has(p));
        let places: Vec<String> = tubes.map(|p| format!("{}.{terminal}", p.designator)).collect();
        if places.len() > MOST_OFFERED {
            continue;
        }
        for place in places {
            *fault = fault.clone().or(format!("it is {place}"), place);
        }
    }
}
