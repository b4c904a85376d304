//! From scanned lines to the model.

use super::part::{Leads, Part, PinTie, Winding};
use super::pieces::Pieces;
use super::scan::{Content, Scanned};
use super::{Header, Sheet, Wire, areas, check};
use crate::notation::area::AreaLine;
use crate::notation::directive::{Directive, Mains, Supply};
use crate::notation::item::{Found, Item};
use crate::notation::line::PartLine;
use crate::notation::name::{Designator, Place};
use crate::notation::problem::Problem;
use crate::notation::unit::VoltMark;
use crate::notation::word::Span;
use crate::order;
use crate::trade::quantity::{Capacitance, Voltage};
use std::borrow::Cow;
use std::collections::HashMap;

impl Sheet {
    /// Reads a whole sheet. Never fails: what could not be read has a note.
    ///
    /// ```
    /// use firstglow::sheet::Sheet;
    /// let sheet = Sheet::read("C7  .05 400 V paper  V2.6 to V3.5");
    /// assert_eq!(sheet.parts[0].capacitance.unwrap().to_string(), "0.05 µF");
    /// assert_eq!(sheet.notes[0].message, "'.05' has no unit; read as 0.05 µF by the trade's habit");
    /// ```
    pub fn read(text: &str) -> Self {
        Reading::default().read(text)
    }
}

/// Reads one text after another, of which each is much like the one before:
/// lines that stand as they stood are not read again.
///
/// ```
/// use firstglow::sheet::{Reading, Sheet};
/// let mut reading = Reading::default();
/// for text in ["C7 .0", "C7 .05", "C7 .05 4", "C7 .05 400 V"] {
///     assert_eq!(reading.read(text), Sheet::read(text));
/// }
/// ```
#[derive(Debug, Default)]
pub struct Reading {
    pieces: Pieces,
}

impl Reading {
    /// What [`Sheet::read`] gives.
    pub fn read(&mut self, text: &str) -> Sheet {
        self.pieces.scan(text);
        let mut builder = Builder::default();
        for line in self.pieces.lines() {
            builder.line(line);
        }
        let lines: Vec<&Scanned> = self.pieces.lines().collect();
        builder.finish(|line| {
            let at = lines.partition_point(|s| *s.lines.end() < line);
            lines.get(at).copied()
        })
    }
}

/// Builds the model line after line.
#[derive(Default)]
struct Builder {
    sheet: Sheet,
    found: Vec<Found>,
    /// First line and count of each name.
    names: HashMap<Designator, (usize, usize)>,
    /// The area lines.
    areas: Vec<(usize, AreaLine)>,
    /// The directives that were given.
    given: Vec<&'static str>,
}

impl Builder {
    fn line(&mut self, line: &Scanned) {
        self.found.extend(line.found.iter().cloned());
        match &line.content {
            Content::Part(part) => self.part(part, line),
            Content::Directive(keyword, Some(directive)) => {
                self.directive(keyword, directive, line);
            }
            _ => {}
        }
    }

    fn finish<'a>(mut self, lines: impl Fn(usize) -> Option<&'a Scanned>) -> Sheet {
        self.found.extend(areas::join(&mut self.sheet, &self.areas));
        self.found.extend(check::settle(&mut self.sheet, lines));
        check::offer_tubes(&self.sheet, &mut self.found);
        order::sort(&mut self.found, |f| [f.span.line, f.span.column, 0]);
        self.sheet.notes = self.found.into_iter().map(Found::note).collect();
        self.sheet
    }

    fn directive(&mut self, keyword: &'static str, directive: &Directive, line: &Scanned) {
        let number = *line.lines.start();
        let once = !matches!(keyword, "wire" | "area" | "type");
        if once && self.given.contains(&keyword) {
            let span =
                line.words.first().map_or(Span { line: number, column: 1, length: 1 }, |w| w.span);
            self.found.push(Found::warning(span, Problem::SecondDirective(keyword)));
            return;
        }
        self.given.push(keyword);
        match directive {
            Directive::Set(name) => self.sheet.header.name = Some(name.clone()),
            Directive::Mains(mains) => put_mains(&mut self.sheet.header, mains, number),
            Directive::Supply(supply) => put_supply(&mut self.sheet.header, supply, number),
            Directive::Meter(ohms) => self.sheet.header.meter_ohms = Some(*ohms),
            Directive::Type(tube) => self.sheet.types.push((**tube).clone()),
            Directive::Read(bare_m) => self.sheet.header.bare_m = *bare_m,
            Directive::Wire(places) => {
                self.sheet.wires.push(Wire { line: number, places: places.clone() });
            }
            Directive::Area(area) => self.areas.push((number, (**area).clone())),
        }
    }

    /// One line gives one part for each designator and each section.
    fn part(&mut self, read: &PartLine, line: &Scanned) {
        let sections = sections(read);
        let many = read.designators.len() > 1;
        let left_out = self.check_counts(read, sections);
        let sections = if left_out.contains(&Count::Values) { 1 } else { sections };
        let read = &without(read, &left_out);
        for (index, (designator, span)) in read.designators.iter().enumerate() {
            if sections > 1 && !many {
                let whole = designator.unit();
                for section in 0..sections {
                    let name = whole.section(section).unwrap_or_else(|| whole.clone());
                    self.push(name, *span, section, read, line);
                }
            } else {
                self.push(designator.clone(), *span, index, read, line);
            }
        }
    }

    /// Notes values, ratings and places that match neither one nor every section:
    /// they are left out.
    fn check_counts(&mut self, read: &PartLine, sections: usize) -> Vec<Count> {
        let parts = read.designators.len();
        let values = sections;
        let sections = sections.max(parts);
        let mut left_out = Vec::new();
        for placed in &read.items {
            let (count, problem) = match &placed.item {
                Item::Capacitance(all) if parts > 1 && values > 1 && values != parts => {
                    (Count::Values, Problem::ValueCount(all.len(), parts))
                }
                Item::Volts(all, _) if all.len() != 1 && all.len() != sections => {
                    let shown = all.iter().map(|v| v.volts().to_string()).collect::<Vec<_>>();
                    (Count::Ratings, Problem::RatingCount(shown.join("-"), all.len(), sections))
                }
                Item::Leads(from, _) if from.len() != 1 && from.len() != sections => {
                    (Count::Leads, Problem::LeadCount(from.len(), sections))
                }
                _ => continue,
            };
            left_out.push(count);
            self.found.push(Found::error(placed.span, problem));
        }
        left_out
    }

    fn push(
        &mut self,
        designator: Designator,
        span: Span,
        index: usize,
        read: &PartLine,
        line: &Scanned,
    ) {
        let number = *line.lines.start();
        let (first, count) = self.names.entry(designator.clone()).or_insert((number, 0));
        *count += 1;
        let key = if *count == 1 {
            designator.to_string()
        } else {
            let problem = Problem::Duplicate(designator.to_string(), *first);
            self.found.push(Found::error(span, problem));
            format!("{designator}/{count}")
        };
        let mut part = Part::new(key, designator, read.kind);
        part.line = number;
        part.mark = mark(read, line);
        part.remark.clone_from(&line.remark);
        part.plus = read.plus;
        for placed in &read.items {
            put(&mut part, &placed.item, index);
            if matches!(placed.item, Item::Tube(_)) {
                part.tube_span = Some(placed.span);
            }
        }
        self.sheet.parts.push(part);
    }
}

/// What does not match the sections of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Count {
    Values,
    Ratings,
    Leads,
}

/// The line without what does not match its sections; a rating whose value is
/// left out goes too.
fn without<'a>(read: &'a PartLine, left_out: &[Count]) -> Cow<'a, PartLine> {
    if left_out.is_empty() {
        return Cow::Borrowed(read);
    }
    let mut line = read.clone();
    line.items.retain(|placed| match &placed.item {
        Item::Capacitance(_) => !left_out.contains(&Count::Values),
        Item::Volts(..) => left_out.iter().all(|count| *count == Count::Leads),
        _ => true,
    });
    if left_out.contains(&Count::Leads) {
        for placed in line.items.iter_mut().filter(|p| matches!(p.item, Item::Leads(..))) {
            placed.item = Item::UnreadPlaces;
        }
    }
    Cow::Owned(line)
}

fn put_mains(header: &mut Header, mains: &Mains, line: usize) {
    header.mains = mains.volts;
    header.high_line = mains.high;
    header.frequency = mains.frequency;
    header.power = mains.power;
    header.fuse = mains.fuse;
    header.touch_limit = mains.touch;
    header.cord = mains.cord;
    header.mains_line = Some(line);
}

fn put_supply(header: &mut Header, supply: &Supply, line: usize) {
    header.supply = supply.kind;
    header.rectification = supply.rectification;
    header.secondary = supply.secondary;
    header.centre_tapped = supply.centre_tapped;
    header.supply_line = Some(line);
}

/// How many sections a line gives.
fn sections(read: &PartLine) -> usize {
    let values = read.items.iter().find_map(|p| match &p.item {
        Item::Capacitance(all) => Some(all.len()),
        _ => None,
    });
    values.unwrap_or(1).max(1)
}

/// The words of the line without designators, leads and pins.
fn mark(read: &PartLine, line: &Scanned) -> String {
    let apart: Vec<Span> = read
        .items
        .iter()
        .filter(|p| matches!(p.item, Item::Leads(..) | Item::Pin(..)))
        .map(|p| p.span)
        .chain(read.designators.iter().map(|(_, s)| *s))
        .collect();
    let inside = |word: Span| {
        apart.iter().any(|s| {
            s.line == word.line && s.column <= word.column && word.column < s.column + s.length
        })
    };
    let words: Vec<&str> =
        line.words.iter().filter(|w| !inside(w.span)).map(|w| w.text.as_str()).collect();
    words.join(" ").chars().take(200).collect()
}

/// The one of several that belongs to a section, or the only one.
fn of_section<T: Copy>(all: &[T], index: usize) -> Option<T> {
    all.get(index).or_else(|| all.first()).copied()
}

/// Puts what an item says into the part.
fn put(part: &mut Part, item: &Item, index: usize) {
    match item {
        Item::Capacitance(all) => part.capacitance = of_section::<Capacitance>(all, index),
        Item::Resistance(r) => part.resistance = Some(*r),
        Item::Inductance(l) => part.inductance = Some(*l),
        Item::Current(a) => part.current = Some(*a),
        Item::Power(p) => part.power = Some(*p),
        Item::Volts(all, VoltMark::Surge) => part.surge = of_section::<Voltage>(all, index),
        Item::Volts(all, mark) => {
            part.rating = of_section::<Voltage>(all, index);
            part.rating_ac = matches!(mark, VoltMark::Alternating | VoltMark::CentreTapped);
        }
        Item::Tolerance(t) => part.tolerance = Some(*t),
        Item::Class(c) => part.class = Some(*c),
        Item::Dielectric(d) => part.dielectric = Some(*d),
        Item::Role(r) => part.role = Some(*r),
        Item::Make(m) => part.makes.push(*m),
        Item::LineSide(_) => part.line_side_unsaid = true,
        Item::UnreadPlaces => part.places_unread = true,
        Item::Kind(_) | Item::Frequency(_) | Item::BareCapacitance(..) | Item::Unread(_) => {}
        Item::Area(name) => part.area = Some(name.clone()),
        Item::Leads(from, to) => part.leads = leads(from, to, index),
        Item::Pin(pin, place) => {
            part.pins.push(PinTie { pin: pin.clone(), place: place.clone() });
        }
        Item::Winding(w) => {
            let own = |end: &String| own_terminal(&part.designator, end);
            let winding = Winding {
                kind: w.kind,
                start: own(&w.start),
                end: own(&w.end),
                tap: w.tap.as_ref().map(own),
                volts: w.volts,
                resistance: w.resistance,
            };
            part.windings.push(winding);
        }
        Item::Tube(name) => part.tube = Some(name.clone()),
        Item::Remark(text) => {
            let joined =
                part.remark.take().map_or_else(|| text.clone(), |r| format!("{text}; {r}"));
            part.remark = Some(joined);
        }
    }
}

/// `T1.3` on the line of T1 is its terminal 3.
fn own_terminal(designator: &Designator, end: &str) -> String {
    let own = end.split_once('.').filter(|(part, _)| *part == designator.to_string());
    own.map_or_else(|| end.to_owned(), |(_, terminal)| terminal.to_owned())
}

/// The leads of one section.
fn leads(from: &[Place], to: &Place, index: usize) -> Option<Leads> {
    let from = from.get(index).or_else(|| from.first())?.clone();
    Some(Leads { from, to: to.clone() })
}
