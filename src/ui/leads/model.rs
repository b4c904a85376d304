//! Where each lead of a part goes: in words, on the base of the tube it goes
//! to, among the lugs it goes to.

use crate::bench::set::{LeadRecord, PartRecord};
use crate::circuit::wiring::{End, NodeIndex, Wiring};
use crate::order;
use crate::plan::polarity::{Lead, Polarity};
use crate::plan::types::{Decision, Plan, PlannedPart};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind, WindingKind};
use crate::ui::draw::Drawing;
use crate::ui::draw::base::{self, PinLabel};
use crate::ui::fit::model::{order as order_of_work, short, task};

/// The most bases drawn for one lead; a rail has more pins than help.
const MOST_BASES: usize = 3;
/// A node that more pins and lugs meet is told by its name alone.
const MOST_LUGS: usize = 12;

/// The card of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Its key.
    pub key: String,
    /// The old part as the sheet has it.
    pub old: String,
    /// What to do with it.
    pub decision: Decision,
    /// The new part, or what is measured.
    pub task: String,
    /// The area it sits in.
    pub area: Option<String>,
    /// Its leads.
    pub leads: Vec<LeadCard>,
    /// What is missing on the sheet, where no place is known.
    pub missing: Option<String>,
}

/// One lead.
#[derive(Debug, Clone, PartialEq)]
pub struct LeadCard {
    /// Its name in the record: `1`, `2`, or the terminal's.
    pub id: String,
    /// What it is called: `First lead`, `Positive lead`, `Lug 3`.
    pub name: String,
    /// Where it goes, in words.
    pub places: Vec<String>,
    /// The bases it may be soldered to, its pin marked.
    pub bases: Vec<Drawing>,
    /// The lugs of parts that are no tubes, in rows.
    pub strips: Vec<Strip>,
}

/// The lugs of a part, numbered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strip {
    /// What they belong to: `T3, IF 455 kc`.
    pub title: String,
    /// The lugs.
    pub lugs: Vec<Lug>,
}

/// One lug.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lug {
    /// Its number or name.
    pub number: String,
    /// What leads there: `primary, start`.
    pub what: String,
    /// The point it is wired to.
    pub point: String,
    /// Whether the lead goes here.
    pub is_here: bool,
}

/// What may be noted of a lead, in the order it is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Lifted off its lug.
    Lifted,
    /// The old part's is out.
    Out,
    /// The new part's is in.
    In,
}

impl Mark {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Lifted, Self::Out, Self::In];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lifted => "lifted",
            Self::Out => "out",
            Self::In => "in",
        }
    }

    /// What to do, before it is done.
    pub const fn ask(self) -> &'static str {
        match self {
            Self::Lifted => "lift",
            Self::Out => "take out",
            Self::In => "put in",
        }
    }

    /// Where it is kept.
    pub const fn of(self, record: &mut LeadRecord) -> &mut Option<crate::bench::stamp::Stamp> {
        match self {
            Self::Lifted => &mut record.lifted_at,
            Self::Out => &mut record.out_at,
            Self::In => &mut record.in_at,
        }
    }
}

/// The keys of the cards, in the order of work; parts that need none come last,
/// in the order of the sheet.
pub fn keys(sheet: &Sheet, plan: &Plan) -> Vec<String> {
    let batches = order_of_work(sheet, plan).batches;
    let mut keys: Vec<String> = batches.into_iter().flat_map(|b| b.keys).collect();
    let rest: Vec<String> =
        plan.parts.iter().map(|p| p.key.clone()).filter(|k| !keys.contains(k)).collect();
    keys.extend(rest);
    keys
}

/// The key so many cards on, and the first or last at the ends.
pub fn step(keys: &[String], from: &str, by: isize) -> Option<String> {
    let at = keys.iter().position(|k| k == from).unwrap_or(0);
    let last = keys.len().checked_sub(1)?;
    keys.get(at.saturating_add_signed(by).min(last)).cloned()
}

/// How many leads of a part are in, and how many it has.
pub fn done(card: &Card, record: &PartRecord) -> (usize, usize) {
    let is_in = |lead: &&LeadCard| record.leads.get(&lead.id).is_some_and(|r| r.in_at.is_some());
    (card.leads.iter().filter(is_in).count(), card.leads.len())
}

/// The card of a part.
pub fn card(sheet: &Sheet, wiring: &Wiring, plan: &Plan, key: &str) -> Option<Card> {
    let at = sheet.parts.iter().position(|p| p.key == key)?;
    let planned = plan.parts.iter().find(|p| p.key == key)?;
    let part = &sheet.parts[at];
    let maker = Maker { sheet, wiring, at };
    let leads: Vec<LeadCard> =
        maker.ends().into_iter().map(|(end, node)| maker.lead(planned, &end, node)).collect();
    let missing = leads.is_empty().then(|| {
        format!(
            "The sheet does not say where {} goes. Write it on its line under Parts: {} … V2.6 to B2.",
            part.designator, part.designator
        )
    });
    Some(Card {
        key: key.to_owned(),
        old: planned.old.text.clone(),
        decision: planned.decision,
        task: match planned.replacement {
            Some(_) => task(planned),
            None => short(&task(planned)).to_owned(),
        },
        area: planned.area.clone(),
        leads,
        missing,
    })
}

/// Where both leads of a part go, in words; none where the sheet does not say.
pub fn two_leads(sheet: &Sheet, wiring: &Wiring, key: &str) -> Option<[Vec<String>; 2]> {
    let at = sheet.parts.iter().position(|p| p.key == key)?;
    let maker = Maker { sheet, wiring, at };
    let ends = maker.ends();
    let of = |wanted: &End| {
        let (end, node) = ends.iter().find(|(end, _)| end == wanted)?;
        Some(maker.places(end, *node))
    };
    Some([of(&End::From)?, of(&End::To)?])
}

/// Pins of tubes, by part and number.
type Pins = Vec<(usize, u8)>;
/// Lugs of other parts, by part and name.
type Lugs = Vec<(usize, String)>;

/// Whether so many pins and lugs meet at a node that no one of them tells the
/// place.
const fn is_rail(pins: &Pins, lugs: &Lugs) -> bool {
    pins.len() + lugs.len() > MOST_LUGS
}

struct Maker<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    at: usize,
}

impl Maker<'_> {
    /// The part's own leads with their nodes.
    fn ends(&self) -> Vec<(End, NodeIndex)> {
        let mut ends: Vec<(End, NodeIndex)> = Vec::new();
        for (node, found) in self.wiring.nodes.iter().enumerate() {
            let own = found.leads.iter().filter(|lead| lead.part == self.at);
            ends.extend(own.map(|lead| (lead.end.clone(), node)));
        }
        order::sort(&mut ends, |(end, _)| match end {
            End::From => [0, 0, 0],
            End::To => [1, 0, 0],
            End::Terminal(name) => [2, name.parse().unwrap_or(usize::MAX), 0],
            End::Pin(pin) => [3, usize::from(*pin), 0],
            End::Cap => [4, 0, 0],
        });
        ends
    }

    fn lead(&self, planned: &PlannedPart, end: &End, node: NodeIndex) -> LeadCard {
        let polarity = planned.replacement.as_ref().and_then(|r| r.polarity.as_ref());
        let positive = polarity.and_then(Polarity::positive);
        let sign = |lead: Lead| match positive {
            Some(plus) if plus == lead => "Positive lead (+)".to_owned(),
            _ => "Negative lead (−)".to_owned(),
        };
        let (id, name) = match end {
            End::From if positive.is_some() => ("1".to_owned(), sign(Lead::First)),
            End::To if positive.is_some() => ("2".to_owned(), sign(Lead::Second)),
            End::From => ("1".to_owned(), "First lead".to_owned()),
            End::To => ("2".to_owned(), "Second lead".to_owned()),
            End::Terminal(t) => (t.clone(), format!("Lug {t}")),
            End::Pin(pin) => (pin.to_string(), format!("Pin {pin}")),
            End::Cap => ("cap".to_owned(), "Cap".to_owned()),
        };
        let key = &self.sheet.parts[self.at].key;
        let (pins, lugs) = self.met(node);
        let many = is_rail(&pins, &lugs);
        let bases = if many { Vec::new() } else { self.bases(key, &pins) };
        let strips = if many { Vec::new() } else { self.strips(&lugs) };
        LeadCard { id, name, places: self.places(end, node), bases, strips }
    }

    /// Where a lead goes: the pins and lugs it may be soldered to, and the
    /// point they are tied to.
    fn places(&self, end: &End, node: NodeIndex) -> Vec<String> {
        let (pins, lugs) = self.met(node);
        let mut places: Vec<String> = Vec::new();
        let own_pins = matches!(end, End::Pin(_) | End::Cap);
        if !is_rail(&pins, &lugs) && !own_pins {
            places.extend(pins.iter().map(|(part, pin)| self.pin_words(*part, *pin)));
            let lug = |(part, lug): &(usize, String)| {
                format!("{} lug {lug}", self.sheet.parts[*part].designator)
            };
            places.extend(lugs.iter().map(lug));
        }
        // A node that is named for a pin or a lug has just been told.
        if places.is_empty() || !self.wiring.nodes[node].name.contains('.') {
            places.push(self.point_words(node, places.is_empty()));
        }
        places
    }

    /// Pins and lugs of other parts at a node.
    fn met(&self, node: NodeIndex) -> (Pins, Lugs) {
        let (mut pins, mut lugs) = (Vec::new(), Vec::new());
        for lead in self.wiring.nodes[node].leads.iter().filter(|l| l.part != self.at) {
            match &lead.end {
                End::Pin(pin) => pins.push((lead.part, *pin)),
                End::Cap => pins.push((lead.part, 0)),
                End::Terminal(t) => lugs.push((lead.part, t.clone())),
                End::From | End::To => {}
            }
        }
        (pins, lugs)
    }

    /// `V2 pin 6, plate of 6SQ7`.
    fn pin_words(&self, part: usize, pin: u8) -> String {
        let tube = &self.sheet.parts[part];
        let electrode = self.electrode(part, pin).map(|e| format!(", {e}")).unwrap_or_default();
        let of = tube.tube.as_deref().map(|t| format!(" of {t}")).unwrap_or_default();
        let pin = if pin == 0 { "top cap".to_owned() } else { format!("pin {pin}") };
        format!("{} {pin}{electrode}{of}", tube.designator)
    }

    fn electrode(&self, part: usize, pin: u8) -> Option<String> {
        let socket = self.wiring.socket(part)?;
        if pin == 0 { socket.cap_name() } else { socket.electrode_name(pin) }
    }

    /// The point by its name, and which parts meet there where nothing else
    /// tells it.
    fn point_words(&self, node: NodeIndex, alone: bool) -> String {
        let found = &self.wiring.nodes[node];
        if !alone {
            return format!("the point {}", found.name);
        }
        let mut others: Vec<String> = found
            .leads
            .iter()
            .filter(|l| l.part != self.at)
            .map(|l| self.sheet.parts[l.part].key.clone())
            .collect();
        others.dedup();
        let more = others.len().saturating_sub(MOST_LUGS);
        others.truncate(MOST_LUGS);
        let others = match (others.as_slice(), more) {
            ([], _) => "nothing else meets it".to_owned(),
            ([one], 0) => format!("where {one} meets it"),
            (some, 0) => format!("where {} meet it", some.join(", ")),
            (some, more) => format!("where {} and {more} more meet it", some.join(", ")),
        };
        format!("{}, {others}", found.name)
    }

    /// A base for each tube, the pins of the lead marked, its neighbours named.
    fn bases(&self, key: &str, pins: &[(usize, u8)]) -> Vec<Drawing> {
        let mut tubes: Vec<usize> = pins.iter().map(|(part, _)| *part).collect();
        tubes.dedup();
        let draw = |part: usize| {
            let socket = self.wiring.socket(part)?;
            let tube = socket.tube.as_ref()?;
            let cap = tube.cap.is_some().then_some(0);
            let labels: Vec<PinLabel> = (1..=tube.base.pins())
                .chain(cap)
                .map(|pin| {
                    let node = if pin == 0 { socket.cap() } else { socket.node(pin) };
                    PinLabel {
                        pin,
                        electrode: self.electrode(part, pin).unwrap_or_default(),
                        figure: node.map(|n| self.short(part, n)).filter(|n| !n.is_empty()),
                        part: pins.contains(&(part, pin)).then(|| key.to_owned()),
                    }
                })
                .collect();
            let name = format!("{}, {}", self.sheet.parts[part].key, tube.name);
            Some(base::draw(tube.base, &name, &labels))
        };
        tubes.into_iter().filter_map(draw).take(MOST_BASES).collect()
    }

    /// The name of a node, unless it is only that of the pin itself.
    fn short(&self, part: usize, node: NodeIndex) -> String {
        let name = &self.wiring.nodes[node].name;
        let own = format!("{}.", self.sheet.parts[part].designator);
        if name.starts_with(&own) { String::new() } else { name.clone() }
    }

    /// The lugs of each part that the lead may go to.
    fn strips(&self, lugs: &[(usize, String)]) -> Vec<Strip> {
        let mut parts: Vec<usize> = lugs.iter().map(|(part, _)| *part).collect();
        parts.dedup();
        parts.into_iter().map(|part| self.strip(part, lugs)).collect()
    }

    fn strip(&self, part: usize, here: &[(usize, String)]) -> Strip {
        let own = &self.sheet.parts[part];
        let mut all: Vec<Lug> = Vec::new();
        for (node, found) in self.wiring.nodes.iter().enumerate() {
            for lead in found.leads.iter().filter(|l| l.part == part) {
                if let End::Terminal(number) = &lead.end
                    && all.iter().all(|lug| lug.number != *number)
                {
                    all.push(Lug {
                        number: number.clone(),
                        what: lug_words(own, number),
                        point: self.short(part, node),
                        is_here: here.iter().any(|(p, n)| *p == part && n == number),
                    });
                }
            }
        }
        order::sort(&mut all, |lug| [lug.number.parse().unwrap_or(usize::MAX), 0, 0]);
        Strip { title: titled(own), lugs: all }
    }
}

/// What a lug of a part is.
fn lug_words(part: &Part, lug: &str) -> String {
    for winding in &part.windings {
        let is = |end: &str| end.eq_ignore_ascii_case(lug);
        let place = if is(&winding.start) {
            "start"
        } else if is(&winding.end) {
            "end"
        } else if winding.tap.as_deref().is_some_and(is) {
            "tap"
        } else {
            continue;
        };
        let kind = match winding.kind {
            WindingKind::Primary => "primary",
            WindingKind::Secondary => "secondary",
            WindingKind::Heater => "heater winding",
            WindingKind::RectifierHeater => "rectifier's heater winding",
        };
        return format!("{kind}, {place}");
    }
    match part.kind {
        PartKind::Potentiometer => "wiper".to_owned(),
        PartKind::Switch => "contact".to_owned(),
        _ => String::new(),
    }
}

/// `T3, IF transformer`, in the sheet's own words where it has some.
fn titled(part: &Part) -> String {
    let what = match part.kind {
        PartKind::Transformer => "transformer",
        PartKind::Switch => "switch",
        PartKind::Potentiometer => "control",
        PartKind::Coil => "coil",
        _ => "",
    };
    let remark = part.remark.as_deref().unwrap_or(what);
    if remark.is_empty() { part.key.clone() } else { format!("{}, {remark}", part.key) }
}

#[cfg(test)]
mod tests;
