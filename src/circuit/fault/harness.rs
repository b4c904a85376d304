//! The set as it is wired: every pin, lug and named point a point of its own,
//! joined by the ties that the sheet tells.
//!
//! Where [`Wiring`] knows nodes, an ohmmeter that looks for a wire left off
//! needs the places apart. The sheet is read once more with all its ties and
//! closed contacts taken out, which leaves each place alone; the ties come back
//! as links of a wire's resistance.

use crate::circuit::model::{Model, View, is_contact, reference};
use crate::circuit::netlist::{Element, NodeId};
use crate::circuit::report::resistance::tolerance;
use crate::circuit::union_find::UnionFind;
use crate::circuit::wiring::{End, NodeIndex, Wiring};
use crate::notation::name::UNSAID;
use crate::sheet::part::{Part, PartKind, Place};
use crate::sheet::{Sheet, Wire};

/// A point of the harness, by its number.
pub type PointIndex = usize;

/// Siemens of a tie: a few hundredths of an ohm, less than an ohmmeter tells.
pub const TIE: f64 = 50.0;

/// What a tie is on the chassis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TieOf {
    /// A tube's pin, by the part's index and the number; 0 is the cap.
    Pin(usize, u8),
    /// A terminal of a part that is no tube, or a place on a `wire` line.
    Wire,
    /// A closed contact, by the part's index.
    Contact(usize),
}

/// Two places joined by a wire or a contact.
#[derive(Debug, Clone, PartialEq)]
pub struct Tie {
    /// One end; a pin, where it is one's.
    pub a: PointIndex,
    /// The other.
    pub b: PointIndex,
    /// What it is.
    pub of: TieOf,
    /// The places as they are written.
    pub places: (Place, Place),
}

/// A resistance of a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// The part, by its index.
    pub part: usize,
    /// One end.
    pub a: PointIndex,
    /// The other.
    pub b: PointIndex,
    /// Its conductance.
    pub siemens: f64,
    /// Parts of one by which it may be off.
    pub tolerance: f64,
}

/// A capacitor or a dry rectifier, through which no direct current passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// The part, by its index.
    pub part: usize,
    /// One end.
    pub a: PointIndex,
    /// The other.
    pub b: PointIndex,
}

/// All of it.
#[derive(Debug, Clone)]
pub struct Harness {
    /// How many points there are.
    pub len: usize,
    /// What readings are told against.
    pub ground: PointIndex,
    /// Wires and contacts.
    pub ties: Vec<Tie>,
    /// Resistances.
    pub links: Vec<Link>,
    /// Capacitors and dry rectifiers.
    pub gaps: Vec<Gap>,
    /// A point of the same node for each point, the same for all of them.
    pub node: Vec<PointIndex>,
    /// The tube pins at each point: part and number, 0 for the cap.
    pub pins: Vec<Vec<(usize, u8)>>,
    /// Whether a point is a lug: a pin, a cap, a terminal.
    pub is_lug: Vec<bool>,
    /// The name of each point's node as the sheet's wiring has it.
    names: Vec<Option<NodeIndex>>,
    fine: Wiring,
    ids: Vec<NodeId>,
}

impl Harness {
    /// The harness of a sheet; `None` where it names no chassis and no B-.
    pub fn of(sheet: &Sheet, wiring: &Wiring) -> Option<Self> {
        let ground = wiring.nodes[reference(wiring)?].names.clone();
        let (apart, told) = apart(sheet, wiring);
        let fine = Wiring::of(&apart);
        let model = Model::of(&apart, &fine, View::Ohmmeter);
        let point = |place: &Place| fine.node(place).map(|n| model.node(n).index());
        let ground = ground.iter().find_map(|n| fine.named(n)).map(|n| model.node(n).index())?;
        let ties: Vec<Tie> = told
            .into_iter()
            .filter_map(|(places, of)| {
                let (a, b) = (point(&places.0)?, point(&places.1)?);
                (a != b).then_some(Tie { a, b, of, places })
            })
            .collect();
        let len = model.net.node_count();
        let mut harness = Self {
            len,
            ground,
            links: links(&apart, &model),
            gaps: gaps(&apart, &fine, &model),
            node: joined(len, ties.iter().map(|t| (t.a, t.b))),
            ties,
            pins: vec![Vec::new(); len],
            is_lug: vec![false; len],
            names: vec![None; len],
            ids: model.nodes.clone(),
            fine,
        };
        harness.name(sheet, wiring);
        Some(harness)
    }

    /// The point of a place.
    pub fn point(&self, place: &Place) -> Option<PointIndex> {
        self.fine.node(place).map(|n| self.ids[n].index())
    }

    /// The point of a tube's pin, 0 being its cap; `None` where nothing is said
    /// of it.
    pub fn pin(&self, part: usize, pin: u8) -> Option<PointIndex> {
        let socket = self.fine.socket(part)?;
        let node = if pin == 0 { socket.cap() } else { socket.node(pin) };
        node.map(|n| self.ids[n].index())
    }

    /// The points of a part's two leads.
    pub fn leads(&self, part: &Part) -> Option<(PointIndex, PointIndex)> {
        self.fine.leads(part).map(|(a, b)| (self.ids[a].index(), self.ids[b].index()))
    }

    /// The node of the sheet's wiring that a point belongs to.
    pub fn node_of(&self, point: PointIndex) -> Option<NodeIndex> {
        self.names[point]
    }

    /// Whether two points are one node in a sound set.
    pub fn alike(&self, a: PointIndex, b: PointIndex) -> bool {
        self.node[a] == self.node[b]
    }

    /// The resistances of a part.
    pub fn links_of(&self, part: usize) -> &[Link] {
        // They stand in the order of the parts.
        let first = self.links.partition_point(|l| l.part < part);
        let last = self.links.partition_point(|l| l.part <= part);
        &self.links[first..last]
    }

    /// What of a part lets no direct current pass.
    pub fn gap_of(&self, part: usize) -> Option<&Gap> {
        let found = self.gaps.binary_search_by_key(&part, |gap| gap.part);
        found.ok().map(|at| &self.gaps[at])
    }

    fn name(&mut self, sheet: &Sheet, wiring: &Wiring) {
        for (node, found) in self.fine.nodes.iter().enumerate() {
            let point = self.ids[node].index();
            for lead in &found.leads {
                match &lead.end {
                    End::Pin(pin) => self.pins[point].push((lead.part, *pin)),
                    End::Cap => self.pins[point].push((lead.part, 0)),
                    End::Terminal(_) => {}
                    End::From | End::To => continue,
                }
                self.is_lug[point] = true;
            }
            for name in &found.names {
                self.names[point] = self.names[point].or_else(|| wiring.named(name));
            }
        }
        for tie in &self.ties {
            for (point, place) in [(tie.a, &tie.places.0), (tie.b, &tie.places.1)] {
                self.names[point] = self.names[point].or_else(|| wiring.node(place));
                self.is_lug[point] |= matches!(place, Place::Terminal { .. });
            }
        }
        for part in &sheet.parts {
            let own = |t: &String| Place::Terminal {
                part: part.designator.to_string(),
                terminal: t.clone(),
            };
            let terminals = part.windings.iter().flat_map(|w| {
                [Some(&w.start), w.tap.as_ref(), Some(&w.end)].into_iter().flatten().map(own)
            });
            let leads = part.leads.iter().flat_map(|l| [l.from.clone(), l.to.clone()]);
            for place in terminals.chain(leads) {
                if let Some(point) = self.point(&place) {
                    self.names[point] = self.names[point].or_else(|| wiring.node(&place));
                }
            }
        }
    }
}

type Told = Vec<((Place, Place), TieOf)>;

/// The sheet with every place alone, and the ties that were taken out.
fn apart(sheet: &Sheet, wiring: &Wiring) -> (Sheet, Told) {
    let mut apart = sheet.clone();
    let mut told: Told = Vec::new();
    for (index, part) in apart.parts.iter_mut().enumerate() {
        let name = part.designator.to_string();
        let ties = std::mem::take(&mut part.pins);
        if wiring.part(&name) != Some(index) {
            continue;
        }
        for tie in ties {
            let own = Place::Terminal { part: name.clone(), terminal: tie.pin.clone() };
            let of = pin_of(wiring, index, &tie.pin);
            told.push(((own, tie.place), of.map_or(TieOf::Wire, |pin| TieOf::Pin(index, pin))));
        }
        if is_contact(part.kind)
            && let Some(leads) = part.leads.take()
        {
            told.push(((leads.from, leads.to), TieOf::Contact(index)));
        }
    }
    for wire in &sheet.wires {
        for pair in wire.places.windows(2) {
            let pin = |place: &Place| match place {
                Place::Terminal { part, terminal } => {
                    let index = wiring.part(part)?;
                    Some(TieOf::Pin(index, pin_of(wiring, index, terminal)?))
                }
                Place::Named(_) => None,
            };
            let (a, b) = (pair[0].clone(), pair[1].clone());
            told.push(match (pin(&a), pin(&b)) {
                (Some(of), _) => ((a, b), of),
                (None, Some(of)) => ((b, a), of),
                (None, None) => ((a, b), TieOf::Wire),
            });
        }
    }
    told.retain(|((a, b), _)| [a, b].iter().all(|p| **p != Place::Named(UNSAID.to_owned())));
    // A wire of one place joins nothing, and gives the place its point.
    let places = told.iter().flat_map(|((a, b), _)| [a.clone(), b.clone()]);
    apart.wires = places.map(|place| Wire { line: 1, places: vec![place] }).collect();
    (apart, told)
}

/// The pin that a terminal's name means on a tube, 0 for its cap.
fn pin_of(wiring: &Wiring, part: usize, terminal: &str) -> Option<u8> {
    wiring.socket(part)?.pin_number(terminal)
}

fn links(sheet: &Sheet, model: &Model) -> Vec<Link> {
    let mut links = Vec::new();
    for (part, elements) in model.parts.iter().enumerate() {
        let tolerance = tolerance(&sheet.parts[part]);
        for element in elements {
            if let Element::Resistor { a, b, ohms } = *model.net.element(*element) {
                let siemens = if ohms > 0.0 { (1.0 / ohms).min(TIE) } else { TIE };
                links.push(Link { part, a: a.index(), b: b.index(), siemens, tolerance });
            }
        }
    }
    links
}

fn gaps(sheet: &Sheet, fine: &Wiring, model: &Model) -> Vec<Gap> {
    let parts = sheet.parts.iter().enumerate();
    let blocks = |kind: PartKind| {
        matches!(kind, PartKind::Capacitor | PartKind::DryRectifier | PartKind::Diode)
    };
    parts
        .filter(|(_, p)| blocks(p.kind))
        .filter_map(|(part, p)| {
            let (a, b) = fine.leads(p)?;
            let (a, b) = (model.node(a).index(), model.node(b).index());
            (a != b).then_some(Gap { part, a, b })
        })
        .collect()
}

/// The least member of the set each of `0..count` belongs to.
pub fn joined(
    count: usize,
    pairs: impl Iterator<Item = (PointIndex, PointIndex)>,
) -> Vec<PointIndex> {
    let mut sets = UnionFind::new(count);
    for (a, b) in pairs {
        sets.union(a, b);
    }
    sets.into_roots()
}
