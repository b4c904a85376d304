//! Ties the places of a sheet one after the other.

use super::notes;
use super::socket::Socket;
use super::spot::{Names, Spot, Spots};
use super::{End, Lead, Node, Wiring};
use crate::circuit::union_find::UnionFind;
use crate::letters::Letters;
use crate::notation::note::Note;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind, Place, winding_place};
use rustc_hash::{FxHashMap, FxHashSet};

/// Ties places one after the other.
pub(super) struct Builder<'a> {
    sheet: &'a Sheet,
    sockets: Vec<Socket>,
    parts: Names,
    ids: Spots,
    /// The spelling of each spot, and whether it is a name of the user's.
    spelled: Vec<(String, bool)>,
    ties: UnionFind,
    leads: Vec<(usize, Lead)>,
    /// Terminals of parts that are no tubes: part, terminal, number.
    terminals: Vec<(usize, String, usize)>,
    /// Terminals of parts that are not on the sheet, and electrodes of tubes
    /// whose type is not known: number, part, terminal.
    strange: Vec<(usize, String, String)>,
    notes: Vec<Note>,
}

impl<'a> Builder<'a> {
    pub fn new(sheet: &'a Sheet) -> Self {
        let mut notes = Vec::new();
        let sockets: Vec<Socket> = sheet
            .parts
            .iter()
            .enumerate()
            .filter(|(_, p)| p.kind == PartKind::Tube)
            .map(|(index, _)| Socket::of(index, sheet, &mut notes))
            .collect();
        Self {
            sheet,
            parts: Names::of(sheet, &sockets),
            sockets,
            ids: Spots::default(),
            spelled: Vec::new(),
            ties: UnionFind::default(),
            leads: Vec::new(),
            terminals: Vec::new(),
            strange: Vec::new(),
            notes,
        }
    }

    pub fn run(mut self) -> Wiring {
        for (index, part) in self.sheet.parts.iter().enumerate() {
            self.part(index, part);
        }
        for socket in 0..self.sockets.len() {
            self.inside(socket);
        }
        for wire in &self.sheet.wires {
            let ids: Vec<usize> =
                wire.places.iter().filter_map(|p| self.id(p, wire.line)).collect();
            for pair in ids.windows(2) {
                self.ties.union(pair[0], pair[1]);
            }
        }
        let sheet = self.sheet;
        let mut wiring = self.gather();
        notes::add(&mut wiring, sheet);
        wiring
    }

    /// The number of a place's spot; a place that cannot be is noted.
    fn id(&mut self, place: &Place, line: usize) -> Option<usize> {
        let spot = match self.parts.spot(&self.sockets, place) {
            Ok(spot) => spot,
            Err(why) => {
                self.notes.push(notes::no_pin(line, place, &why));
                return None;
            }
        };
        let unsaid = spot.is_unsaid();
        if !unsaid && let Some(id) = self.ids.get(&spot) {
            return Some(id);
        }
        let id = self.ties.add();
        let (name, users) = match place {
            Place::Named(name) => {
                let point = self.parts.named(name);
                let same = point.eq_ignore_ascii_case(name);
                (if same { name.clone() } else { point.into_owned() }, true)
            }
            Place::Terminal { part, .. } => match &spot {
                Spot::Pin(_, pin) => (format!("{part}.{pin}"), false),
                Spot::Cap(_) => (format!("{part}.cap"), false),
                _ => (place.to_string(), false),
            },
        };
        self.spelled.push((name, users));
        if let Spot::Terminal(name, terminal) = &spot {
            match self.parts.part(name) {
                Some(part) if self.parts.socket(part).is_none() => {
                    self.terminals.push((part, terminal.to_string(), id));
                }
                _ => self.strange.push((id, (*name).to_owned(), terminal.to_string())),
            }
        }
        if !unsaid {
            self.ids.insert(spot, id);
        }
        Some(id)
    }

    fn lead(&mut self, part: usize, end: End, place: &Place) -> Option<usize> {
        let id = self.id(place, self.sheet.parts[part].line)?;
        self.leads.push((id, Lead { part, end }));
        Some(id)
    }

    fn part(&mut self, index: usize, part: &Part) {
        if let Some(leads) = &part.leads {
            self.lead(index, End::From, &leads.from);
            self.lead(index, End::To, &leads.to);
        }
        let name = part.designator.to_string();
        let own =
            |terminal: &str| Place::Terminal { part: name.clone(), terminal: terminal.to_owned() };
        for winding in &part.windings {
            for terminal in [Some(&winding.start), winding.tap.as_ref(), Some(&winding.end)]
                .into_iter()
                .flatten()
            {
                let lug = self.lead(index, End::Terminal(terminal.lower()), &own(terminal));
                // A name in a winding is a place like any other.
                let place = winding_place(terminal).and_then(|p| self.id(&p, part.line));
                if let (Some(lug), Some(place)) = (lug, place) {
                    self.ties.union(lug, place);
                }
            }
        }
        if self.parts.part(&name) != Some(index) {
            return;
        }
        for tie in &part.pins {
            let pin = self.id(&own(&tie.pin), part.line);
            let place = self.id(&tie.place, part.line);
            if let (Some(pin), Some(place)) = (pin, place) {
                self.ties.union(pin, place);
                if part.kind != PartKind::Tube {
                    let end = End::Terminal(tie.pin.clone());
                    self.leads.push((place, Lead { part: index, end }));
                }
            }
        }
    }

    /// Ties the pins that one electrode joins inside, and lets every pin that
    /// leads somewhere meet its node.
    fn inside(&mut self, socket: usize) {
        let part = self.sockets[socket].part;
        let name = self.sheet.parts[part].designator.to_string();
        for (first, other) in self.sockets[socket].joined() {
            let place = |pin: u8| Place::Terminal { part: name.clone(), terminal: pin.to_string() };
            let (a, b) = (self.id(&place(first), 0), self.id(&place(other), 0));
            if let (Some(a), Some(b)) = (a, b) {
                self.ties.union(a, b);
            }
        }
        for pin in self.sockets[socket].live_pins() {
            if let Some(id) = self.ids.get(&Spot::Pin(part, pin)) {
                self.leads.push((id, Lead { part, end: End::Pin(pin) }));
            }
        }
        if let Some(id) = self.ids.get(&Spot::Cap(part)) {
            self.leads.push((id, Lead { part, end: End::Cap }));
        }
    }

    /// Numbers the nodes in the order their places first stand on the sheet.
    fn gather(mut self) -> Wiring {
        let mut nodes: Vec<Node> = Vec::new();
        let mut number: FxHashMap<usize, usize> = FxHashMap::default();
        let mut of_id = Vec::with_capacity(self.spelled.len());
        for id in 0..self.spelled.len() {
            let root = self.ties.find(id);
            let node = *number.entry(root).or_insert_with(|| {
                nodes.push(Node::default());
                nodes.len() - 1
            });
            of_id.push(node);
            let (name, users) = &self.spelled[id];
            if *users && !nodes[node].names.contains(name) {
                nodes[node].names.push(name.clone());
            }
            if nodes[node].name.is_empty() {
                nodes[node].name.clone_from(name);
            }
        }
        for node in &mut nodes {
            if let Some(name) = best_name(&node.names) {
                node.name = name;
            }
        }
        // A terminal of a part, such as a wiper, is a lead of that part; it may
        // be told twice.
        let mut told = FxHashSet::default();
        let terminals = self
            .terminals
            .into_iter()
            .map(|(part, terminal, id)| (id, Lead { part, end: End::Terminal(terminal) }));
        for (id, lead) in self.leads.into_iter().chain(terminals) {
            let node = of_id[id];
            let again = matches!(lead.end, End::Terminal(_)) && !told.insert((node, lead.clone()));
            if !again {
                nodes[node].leads.push(lead);
            }
        }
        self.ids.renumber(&of_id);
        let mut wiring = Wiring {
            nodes,
            sockets: self.sockets,
            notes: self.notes,
            strange: self
                .strange
                .into_iter()
                .map(|(id, part, end)| (of_id[id], part, end))
                .collect(),
            spots: self.ids,
            parts: self.parts,
        };
        for index in 0..wiring.sockets.len() {
            wiring.place_socket(index);
        }
        wiring
    }
}

/// The name shown of a node's names: the points every set has come first.
fn best_name(names: &[String]) -> Option<String> {
    let known = ["chassis", "B-", "line", "neutral", "B+", "antenna"];
    known.iter().find_map(|k| names.iter().find(|n| n == k)).or_else(|| names.first()).cloned()
}
