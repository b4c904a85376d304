//! The cursor that walks the words of one line and takes item after item.

use super::amount::{self, Around, BareM};
use super::directive;
use super::item::{Found, Item, Placed};
use super::leads;
use super::line::phrase;
use super::place::{self, Beside, is_to};
use super::problem::Problem;
use super::unit::VoltMark;
use super::vocabulary::{self, Meaning};
use super::winding;
use super::word::{Span, Word};
use crate::letters::Letters;
use crate::trade::kind::PartKind;
use crate::trade::quantity::Tolerance;
use rust_decimal::Decimal;

/// Walks the words of one line.
pub(super) struct Reader {
    words: Vec<Word>,
    kind: PartKind,
    leads: Vec<leads::Leads>,
    at: usize,
    bare_m: BareM,
    items: Vec<Placed>,
    found: Vec<Found>,
    free: Vec<String>,
}

impl Reader {
    /// A reader at the first word after the designators.
    pub(super) fn new(words: Vec<Word>, kind: PartKind, bare_m: BareM) -> Self {
        let leads = if kind == PartKind::Transformer {
            Vec::new()
        } else {
            leads::find(&words, beside(kind))
        };
        Self {
            words,
            kind,
            leads,
            at: 0,
            bare_m,
            items: Vec::new(),
            found: Vec::new(),
            free: Vec::new(),
        }
    }

    /// Reads to the end of the line.
    pub(super) fn run(mut self) -> (Vec<Placed>, Vec<Found>) {
        if self.kind == PartKind::Tube {
            self.tube_type();
        }
        while self.at < self.words.len() {
            self.step();
        }
        if !self.free.is_empty() {
            let text = self.free.join(" ");
            let span = self.words.last().map_or(Span { line: 1, column: 1, length: 0 }, |w| w.span);
            self.items.push(Placed { span, item: Item::Remark(text) });
        }
        (self.items, self.found)
    }

    /// Reads the item at the cursor and moves past it.
    fn step(&mut self) {
        if self.take_dash()
            || self.take_quoted()
            || self.take_leads()
            || self.take_winding()
            || self.take_pin()
            || self.take_area()
            || self.take_loose_place()
            || self.take_class_or_phrase()
            || self.take_halves()
            || self.take_amount()
        {
            return;
        }
        self.take_unknown();
    }

    fn push(&mut self, span: Span, item: Item) {
        self.items.push(Placed { span, item });
    }

    fn tube_type(&mut self) {
        let word = self.words.first().filter(|w| {
            !w.quoted && !w.text.contains('=') && w.text.chars().any(|c| c.is_ascii_digit())
        });
        let Some(word) = word else { return };
        // `6V6-GT` and `6V6 GT` are one type.
        let (mut span, mut text) = (word.span, word.text.upper().replace('-', ""));
        self.at = 1;
        if let Some(bulb) = self.words.get(1).filter(|w| !word.comma && is_bulb(w)) {
            text.push_str(&bulb.text.upper());
            span = span.to(bulb.span);
            self.at = 2;
        }
        self.push(span, Item::Tube(text));
    }

    /// A dash alone only parts what stands beside it.
    fn take_dash(&mut self) -> bool {
        let dash = matches!(self.words[self.at].text.as_str(), "-" | "–" | "—" | "/" | ":" | "=");
        self.at += usize::from(dash);
        dash
    }

    fn take_quoted(&mut self) -> bool {
        let word = &self.words[self.at];
        if !word.quoted {
            return false;
        }
        let (span, text) = (word.span, word.text.trim().to_owned());
        if !text.is_empty() {
            self.push(span, Item::Remark(text));
        }
        self.at += 1;
        true
    }

    fn take_leads(&mut self) -> bool {
        let Some(leads) = self.leads.iter().find(|l| l.words.contains(&self.at)) else {
            return self.take_stray_to();
        };
        let span = self.words[leads.words.start].span.to(self.words[leads.words.end - 1].span);
        let (end, read) = (leads.words.end, leads.read.clone());
        self.at = end;
        match read {
            Ok((from, to)) => self.push(span, Item::Leads(from, to)),
            Err(found) => {
                self.push(span, Item::UnreadPlaces);
                self.found.push(*found);
            }
        }
        true
    }

    /// On a transformer, places that no winding is said for.
    fn take_stray_to(&mut self) -> bool {
        if self.kind != PartKind::Transformer {
            return false;
        }
        let first = self.at;
        let words = &self.words;
        let is_to = |i: usize| words.get(i).is_some_and(is_to);
        let end = |at: usize| place::after(words, at, Beside::Description).map(|p| p.words.end);
        let to = if is_to(first) { Some(first) } else { end(first).filter(|at| is_to(*at)) };
        let Some(to) = to else { return false };
        self.at = end(to + 1).unwrap_or(to + 1);
        let run = &self.words[first..self.at];
        let span = run[0].span.to(run[run.len() - 1].span);
        self.found.push(Found::error(span, Problem::NoWinding(amount::text_of(run))));
        true
    }

    fn take_winding(&mut self) -> bool {
        if self.kind != PartKind::Transformer {
            return false;
        }
        let Some(taken) = winding::take(&self.words, self.at, self.around()) else {
            return false;
        };
        self.at = taken.next;
        self.items.extend(taken.items);
        self.found.extend(taken.found);
        true
    }

    fn take_pin(&mut self) -> bool {
        let word = &self.words[self.at];
        if !word.text.contains('=') {
            return false;
        }
        let span = word.span;
        match leads::pin(&word.text) {
            Ok((pin, place)) => self.push(span, Item::Pin(pin, place)),
            Err(problem) => {
                // What is asked of a place is asked at the place.
                let pin = word.text.chars().take_while(|c| *c != '=').count();
                let span = match problem {
                    Problem::PinTie(_) => span,
                    _ => span.part(pin + 1, span.length.saturating_sub(pin + 1)),
                };
                self.found.push(Found::error(span, problem));
            }
        }
        self.at += 1;
        true
    }

    fn take_area(&mut self) -> bool {
        let word = &self.words[self.at];
        if !(word.is("in") || word.is("area")) {
            return false;
        }
        let (span, keyword) = (word.span, word.text.clone());
        match self.words.get(self.at + 1) {
            Some(name)
                if !name.text.trim().is_empty()
                    && self.leads.iter().all(|l| !l.words.contains(&(self.at + 1))) =>
            {
                let (end, text) = (name.span, name.text.trim().to_owned());
                self.push(span.to(end), Item::Area(text));
                self.at += 2;
            }
            _ => {
                self.found.push(Found::error(span, Problem::AreaName(keyword)));
                self.at += 1;
            }
        }
        true
    }

    /// A place of several words that no `to` joins to another: of `V3 grid` alone
    /// the grid is no role.
    fn take_loose_place(&mut self) -> bool {
        let words = &self.words;
        let Some(found) =
            place::starting(words, self.at).filter(|p| p.words.len() > 1 && has_value(self.kind))
        else {
            return false;
        };
        let span = words[self.at].span.to(words[found.words.end - 1].span);
        let lone = Found::error(span, Problem::LeadsIncomplete);
        if self.leads_unsaid() {
            self.push(span, Item::UnreadPlaces);
        }
        self.found.push(found.place.err().map_or(lone, |fault| *fault));
        self.at = found.words.end;
        true
    }

    fn take_class_or_phrase(&mut self) -> bool {
        let Some((meaning, used)) = phrase(&self.words, self.at) else { return false };
        // `10 can` and the like: a number is never a phrase of one word.
        let last = self.words[self.at + used - 1].span;
        let span = self.words[self.at].span.to(last);
        let item = match meaning {
            // Only a capacitor that meets the line is a hazard of its own.
            Meaning::Line if self.kind != PartKind::Capacitor && used == 1 => return false,
            Meaning::Line if self.kind != PartKind::Capacitor => None,
            Meaning::Line => {
                let text = amount::text_of(&self.words[self.at..self.at + used]);
                Some(Item::LineSide(text))
            }
            Meaning::Dielectric(d) => Some(Item::Dielectric(d)),
            Meaning::Role(r) => Some(Item::Role(r)),
            Meaning::Make(m) => Some(Item::Make(m)),
            Meaning::Class(c) => Some(Item::Class(c)),
            Meaning::Kind(k) => Some(Item::Kind(k)),
            Meaning::GuaranteedMinimum => Some(Item::Tolerance(Tolerance {
                below: Decimal::ZERO,
                above: Decimal::ONE_HUNDRED,
            })),
            Meaning::Nothing => None,
        };
        if let Some(item) = item {
            self.push(span, item);
        }
        self.at += used;
        true
    }

    /// `325-0-325 V` on a transformer: its high-voltage winding, from end to end.
    fn take_halves(&mut self) -> bool {
        if self.kind != PartKind::Transformer {
            return false;
        }
        let Some((whole, used)) = directive::tapped(&self.words[self.at..]) else { return false };
        let span = self.words[self.at].span.to(self.words[self.at + used - 1].span);
        self.push(span, Item::Volts(vec![whole], VoltMark::CentreTapped));
        self.at += used;
        true
    }

    fn take_amount(&mut self) -> bool {
        let around = self.around();
        let next = self.leads.iter().map(|l| l.words.start).find(|start| *start > self.at);
        let end = next.unwrap_or(self.words.len());
        let Some(taken) = amount::take(&self.words[self.at..end], around) else { return false };
        let used = taken.words.clamp(1, end - self.at);
        let unread = taken.found.iter().find(|f| f.leaves_value_open()).map(|f| f.span);
        self.items.extend(taken.items);
        if let Some(span) = unread {
            let text = amount::text_of(&self.words[self.at..self.at + used]);
            self.push(span, Item::Unread(text));
        }
        self.found.extend(taken.found);
        self.at += used;
        true
    }

    fn around(&self) -> Around {
        let has_value = self.items.iter().any(|p| {
            matches!(p.item, Item::Capacitance(_) | Item::BareCapacitance(..) | Item::Resistance(_))
        });
        let rated = self
            .items
            .iter()
            .any(|p| matches!(p.item, Item::Volts(_, mark) if mark != VoltMark::Surge));
        Around { kind: self.kind, bare_m: self.bare_m, has_value, rated }
    }

    /// Whether the line has no pair of places that could be read.
    fn leads_unsaid(&self) -> bool {
        self.leads.iter().all(|leads| leads.read.is_err())
    }

    /// Words that mean nothing: free on parts that carry type names, a fault on
    /// parts that have values.
    fn take_unknown(&mut self) {
        let word = &self.words[self.at];
        self.at += 1;
        if !has_value(self.kind) {
            self.free.push(word.text.clone());
            return;
        }
        // A unit without its number: the number before it may have lost it.
        if !word.quoted && amount::is_mark(&word.text) {
            let number = |p: &&mut Placed| is_amount(&p.item);
            if let Some(last) = self.items.iter_mut().rev().find(number) {
                last.item = Item::Unread(word.text.clone());
            }
        }
        if !word.quoted && self.leads_unsaid() && names_line_or_metal(&word.text) {
            self.items.push(Placed { span: word.span, item: Item::UnreadPlaces });
        }
        let found = match vocabulary::nearest(&word.text).filter(|near| !word.is(near)) {
            Some(near) => {
                Found::error(word.span, Problem::Misspelt(word.text.clone(), near.to_owned()))
                    .or(format!("write {near}"), near)
            }
            None => Found::error(word.span, Problem::Word(word.text.clone())),
        };
        self.found.push(found);
    }
}

/// Whether a word that was not read speaks of the line or of metal that hands
/// touch: `line/chassis`, `antenna-lead`.
fn names_line_or_metal(text: &str) -> bool {
    let lower = text.lower();
    if lower.starts_with("b-") || lower.starts_with("b−") || lower.starts_with("ht-") {
        return true;
    }
    lower.split(|c: char| !c.is_alphanumeric()).any(|word| {
        matches!(
            word,
            "line"
                | "mains"
                | "neutral"
                | "hot"
                | "chassis"
                | "frame"
                | "cabinet"
                | "panel"
                | "ground"
                | "gnd"
                | "earth"
                | "antenna"
                | "aerial"
                | "ant"
                | "jack"
        )
    })
}

/// Whether an item is a number that a unit may follow.
const fn is_amount(item: &Item) -> bool {
    matches!(item, Item::BareCapacitance(..) | Item::Tolerance(_))
        || matches!(item, Item::Capacitance(_) | Item::Resistance(_) | Item::Inductance(_))
        || matches!(item, Item::Volts(..) | Item::Power(_) | Item::Current(_) | Item::Frequency(_))
}

/// What a word of no meaning is beside a place on such a part.
const fn beside(kind: PartKind) -> Beside {
    if has_value(kind) { Beside::Fault } else { Beside::Description }
}

/// Whether nothing but values, places and words of the trade stands on the line
/// of such a part.
const fn has_value(kind: PartKind) -> bool {
    matches!(
        kind,
        PartKind::Capacitor
            | PartKind::VariableCapacitor
            | PartKind::Resistor
            | PartKind::Potentiometer
            | PartKind::Coil
            | PartKind::Tube
    )
}

/// Whether a word after a tube type says its bulb, as in `6V6 GT`.
fn is_bulb(word: &Word) -> bool {
    let bulbs = ["G", "GT", "GA", "GB", "GC", "GTA", "GTB", "GTY", "GY", "GX", "GT/G"];
    bulbs.iter().any(|b| word.is(b))
}
