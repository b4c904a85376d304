//! Every single fault that the wiring of a set may have.
//!
//! How likely each kind is, before any reading, is common practice, no source:
//! work just done at the bench goes wrong by a wire or a lead more often than a
//! sound part does, and a carbon resistor drifts upwards.

use super::harness::{Harness, PointIndex, TIE, TieOf};
use super::network::Change;
use super::probe::{is_control, is_electrolytic};
use super::{Fault, How, Kind};
use crate::circuit::wiring::Wiring;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind, Place};
use crate::trade::dielectric::Dielectric;

/// Ohms through which a leaky capacitor is tried; a reading tells which fits.
const LEAKS: [f64; 3] = [30e3, 100e3, 400e3];
/// Of a drifted part, besides what is just beyond its tolerance.
const RISEN: [f64; 2] = [2.0, 4.0];
const FALLEN: [f64; 2] = [0.5, 0.25];
/// A part just beyond its tolerance has drifted by so many times of it.
const BEYOND: f64 = 1.75;
/// A node with more pins is a rail: a lead to it may end anywhere.
const MOST_PINS: usize = 4;

/// All faults of a set.
pub fn faults(sheet: &Sheet, wiring: &Wiring, harness: &Harness) -> Vec<Fault> {
    let mut lugs = vec![0; harness.len];
    for point in (0..harness.len).filter(|p| harness.is_lug[*p]) {
        lugs[harness.node[point]] += 1;
    }
    let mut pins = harness.pins.clone();
    for tie in &harness.ties {
        if let TieOf::Pin(part, pin) = tie.of
            && harness.pins[tie.b].is_empty()
        {
            pins[tie.b].push((part, pin));
        }
    }
    let mut list = List { sheet, wiring, harness, lugs, pins, faults: Vec::new() };
    for (index, part) in sheet.parts.iter().enumerate() {
        list.resistances(index, part);
        list.gap(index, part);
        list.leads(index, part);
        list.taps(index, part);
    }
    list.cans();
    list.ties();
    list.faults
}

struct List<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    harness: &'a Harness,
    /// How many lugs each node has.
    lugs: Vec<usize>,
    /// The pins that a lead at each point may be soldered to.
    pins: Vec<Vec<(usize, u8)>>,
    faults: Vec<Fault>,
}

impl List<'_> {
    fn push(&mut self, part: usize, how: How, prior: f64, variants: Vec<Vec<Change>>) {
        self.faults.push(Fault { part, how, prior, variants });
    }

    /// Open, short, drifted.
    fn resistances(&mut self, index: usize, part: &Part) {
        let links = self.harness.links_of(index);
        let several = links.len() > 1;
        let wears = matches!(
            part.kind,
            PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord
        );
        let (open, short) = match part.kind {
            PartKind::Resistor => (0.5, 0.3),
            PartKind::Potentiometer => (0.4, 0.1),
            PartKind::Transformer | PartKind::Coil => (0.3, 0.1),
            _ => (0.25, 0.05),
        };
        for link in links {
            let ends = several.then_some((link.a, link.b));
            let without = Change::without(link.a, link.b, link.siemens);
            self.push(index, How::Open(ends), open, vec![vec![without]]);
            let joined = Change { a: link.a, b: link.b, siemens: TIE };
            self.push(index, How::Short(ends), short, vec![vec![joined]]);
        }
        if let [one, other] = links
            && is_control(part)
        {
            // The wiper stands off its track, whose halves are in series still.
            let whole = one.siemens * other.siemens / (one.siemens + other.siemens);
            let ends = ends_of(one.a, one.b, other.a, other.b);
            if let Some((a, b, wiper)) = ends {
                let mut changes: Vec<Change> =
                    links.iter().map(|l| Change::without(l.a, l.b, l.siemens)).collect();
                changes.push(Change { a, b, siemens: whole });
                self.push(index, How::Wiper(wiper), 0.3, vec![changes]);
            }
        }
        if !wears || links.is_empty() {
            return;
        }
        let tolerance = links[0].tolerance;
        let drifted = |factor: f64| -> Vec<Change> {
            let by = |l: &super::harness::Link| Change {
                a: l.a,
                b: l.b,
                siemens: l.siemens / factor - l.siemens,
            };
            links.iter().map(by).collect()
        };
        let edge = BEYOND * tolerance;
        let up = [1.0 + edge].into_iter().chain(RISEN).map(drifted).collect();
        let down = [1.0 / (1.0 + edge)].into_iter().chain(FALLEN).map(drifted).collect();
        self.push(index, How::Up, 0.6, up);
        self.push(index, How::Down, 0.15, down);
    }

    /// Capacitors: open, short, leaky.
    fn gap(&mut self, index: usize, part: &Part) {
        if part.kind != PartKind::Capacitor {
            return;
        }
        let Some(gap) = self.harness.gap_of(index) else { return };
        let across = |siemens: f64| vec![Change { a: gap.a, b: gap.b, siemens }];
        let old = matches!(part.dielectric, Some(Dielectric::Paper)) || is_electrolytic(part);
        self.push(index, How::Open(None), 0.2, vec![Vec::new()]);
        self.push(index, How::Short(None), 0.3, vec![across(TIE)]);
        let leaks = LEAKS.into_iter().map(|ohms| across(1.0 / ohms)).collect();
        self.push(index, How::Leaky, if old { 0.6 } else { 0.15 }, leaks);
    }

    /// A lead on the pin beside the one it belongs on.
    fn leads(&mut self, index: usize, part: &Part) {
        let Some((from, to)) = self.harness.leads(part) else { return };
        for (end, point) in [(0, from), (1, to)] {
            let mut told: Vec<PointIndex> = Vec::new();
            for (socket, pin) in self.pins_at(point) {
                for beside in self.beside(socket, pin) {
                    let target = self.harness.pin(socket, beside);
                    if target.is_some_and(|t| self.harness.alike(t, point)) {
                        continue;
                    }
                    // An empty pin takes the lead off, like any other.
                    let key = target.map_or(usize::MAX, |t| self.harness.node[t]);
                    if told.contains(&key) {
                        continue;
                    }
                    told.push(key);
                    let changes = self.moved(index, point, target);
                    let how = How::Lead { end, tube: socket, pin, on: beside };
                    self.push(index, how, 0.3, vec![changes]);
                }
            }
        }
    }

    /// The pins a lead at a point may be soldered to.
    fn pins_at(&self, point: PointIndex) -> Vec<(usize, u8)> {
        let (own, pins) = (&self.harness.pins[point], &self.pins[point]);
        let rail = own.is_empty() && pins.len() > MOST_PINS;
        if rail || own.is_empty() && self.harness.alike(point, self.harness.ground) {
            return Vec::new();
        }
        pins.clone()
    }

    /// The pins beside one.
    fn beside(&self, socket: usize, pin: u8) -> Vec<u8> {
        let tube = self.wiring.socket(socket).and_then(|s| s.tube.as_ref());
        tube.map(|t| t.base.neighbours(pin)).unwrap_or_default()
    }

    /// A part's lead taken from a point to another, or to none.
    fn moved(&self, part: usize, from: PointIndex, to: Option<PointIndex>) -> Vec<Change> {
        let links = self.harness.links_of(part);
        links
            .iter()
            .filter(|l| l.a == from || l.b == from)
            .flat_map(|l| {
                let far = if l.a == from { l.b } else { l.a };
                let on = to.filter(|t| *t != far);
                let on = on.map(|t| Change { a: t, b: far, siemens: l.siemens });
                [Some(Change::without(l.a, l.b, l.siemens)), on].into_iter().flatten()
            })
            .collect()
    }

    /// What belongs on a winding's tap sits on one of its ends.
    fn taps(&mut self, index: usize, part: &Part) {
        let place = |terminal: &String| Place::Terminal {
            part: part.designator.to_string(),
            terminal: terminal.clone(),
        };
        for winding in &part.windings {
            let Some(tap) = winding.tap.as_ref().and_then(|t| self.harness.point(&place(t))) else {
                continue;
            };
            for end in [&winding.start, &winding.end] {
                let Some(on) = self.harness.point(&place(end)) else { continue };
                let changes: Vec<Change> = (self.harness.ties.iter())
                    .filter(|t| t.a == tap || t.b == tap)
                    .flat_map(|t| {
                        let far = if t.a == tap { t.b } else { t.a };
                        [Change::without(t.a, t.b, TIE), Change { a: far, b: on, siemens: TIE }]
                    })
                    .collect();
                if !changes.is_empty() && !self.harness.alike(tap, on) {
                    let how =
                        How::Tap { tap: winding.tap.clone().unwrap_or_default(), end: end.clone() };
                    self.push(index, how, 0.4, vec![changes]);
                }
            }
        }
    }

    /// Sections of a can whose leads are exchanged: nothing that an ohmmeter
    /// sees.
    fn cans(&mut self) {
        let parts = &self.sheet.parts;
        for (index, part) in parts.iter().enumerate() {
            let own = |p: &Part| {
                p.kind == PartKind::Capacitor
                    && p.designator.section.is_some()
                    && is_electrolytic(p)
            };
            if !own(part) {
                continue;
            }
            let later = parts.iter().enumerate().skip(index + 1);
            for (other, _) in
                later.filter(|(_, p)| own(p) && p.designator.unit() == part.designator.unit())
            {
                self.faults.push(Fault {
                    part: index,
                    how: How::Swapped { with: other },
                    prior: 0.3,
                    variants: vec![Vec::new()],
                });
            }
        }
    }

    /// Wires left off, wires on the pin beside theirs, contacts that stay open.
    fn ties(&mut self) {
        let harness = self.harness;
        for (at, tie) in harness.ties.iter().enumerate() {
            let without = Change::without(tie.a, tie.b, TIE);
            match tie.of {
                TieOf::Contact(part) => {
                    self.push(part, How::Open(None), 0.3, vec![vec![without]]);
                }
                TieOf::Wire if self.is_wire(at) => {
                    let part = self.part_at(at);
                    self.push(part, How::WireOff { tie: at }, 0.5, vec![vec![without]]);
                }
                TieOf::Pin(part, pin) if self.is_wire(at) => {
                    self.push(part, How::WireOff { tie: at }, 0.5, vec![vec![without]]);
                    for beside in self.beside(part, pin) {
                        let Some(on) = harness.pin(part, beside) else { continue };
                        if harness.alike(on, tie.b) {
                            continue;
                        }
                        let moved = Change { a: on, b: tie.b, siemens: TIE };
                        let how = How::WireOn { tie: at, on: beside };
                        self.push(part, how, 0.4, vec![vec![without, moved]]);
                    }
                }
                _ => {}
            }
        }
    }

    /// Whether a tie is a wire, not just the name of the lug that parts are
    /// soldered to.
    fn is_wire(&self, tie: usize) -> bool {
        let node = self.harness.node[self.harness.ties[tie].a];
        node == self.harness.node[self.harness.ground] || self.lugs[node] > 1
    }

    /// The part whose terminal a wire goes to.
    fn part_at(&self, tie: usize) -> usize {
        let (a, b) = &self.harness.ties[tie].places;
        let of = |place: &Place| match place {
            Place::Terminal { part, .. } => self.wiring.part(part),
            Place::Named(_) => None,
        };
        of(a).or_else(|| of(b)).unwrap_or(0)
    }
}

/// The outer ends of two halves that share one point, and that point.
fn ends_of(a: usize, b: usize, c: usize, d: usize) -> Option<(usize, usize, usize)> {
    [(a, b, c, d), (a, b, d, c), (b, a, c, d), (b, a, d, c)]
        .into_iter()
        .find(|(_, shared, other, _)| shared == other)
        .map(|(one, shared, _, end)| (one, end, shared))
}

impl How {
    /// Its kind.
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Open(_) | Self::Wiper(_) => Kind::Open,
            Self::Short(_) => Kind::Short,
            Self::Up | Self::Down => Kind::Drifted,
            Self::Leaky => Kind::Leaky,
            Self::Lead { .. } | Self::WireOn { .. } => Kind::Neighbour,
            Self::Tap { .. } => Kind::Tap,
            Self::Swapped { .. } => Kind::Swapped,
            Self::WireOff { .. } => Kind::WireOff,
        }
    }
}
