//! From the places on a sheet to nodes: what is tied to what.
//!
//! A pin may be written by its number or by its electrode; pins that one
//! electrode joins inside a tube, and places tied by wires, are one node.
//!
//! ```
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read("V2 6SQ7 6=pl\nR3 470K V2.pt to B2\nC7 .01 pl to chassis");
//! let wiring = Wiring::of(&sheet);
//! let lead = |part: usize| wiring.node(&sheet.parts[part].leads.as_ref().unwrap().from);
//! assert_eq!(lead(1), lead(2));
//! ```
//!
//! Limits: a switch or fuse is an element, not a tie. `?` is a place of its own
//! each time.

mod notes;
mod socket;

pub use socket::Socket;

use crate::notation::name::UNSAID;
use crate::notation::note::Note;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind, Place};
use socket::Pinned;
use std::collections::HashMap;

/// A node by its number in [`Wiring::nodes`].
pub type NodeIndex = usize;

/// A lead of a part that meets a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lead {
    /// The part, by its index on the sheet.
    pub part: usize,
    /// Which of its leads.
    pub end: End,
}

/// Which lead of a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// The first lead.
    From,
    /// The second lead.
    To,
    /// A terminal, by its name.
    Terminal(String),
    /// A pin of a tube.
    Pin(u8),
    /// The top cap of a tube.
    Cap,
}

/// Places tied together, and the leads that meet there.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Node {
    /// The name shown: the user's own, or the first pin or terminal.
    pub name: String,
    /// Every name the user gave it.
    pub names: Vec<String>,
    /// Leads that meet there.
    pub leads: Vec<Lead>,
}

/// The spot a place means.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Spot {
    Pin(usize, u8),
    Cap(usize),
    Terminal(String, String),
    Named(String),
}

/// All nodes of a sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wiring {
    /// The nodes.
    pub nodes: Vec<Node>,
    /// The tubes in their sockets.
    pub sockets: Vec<Socket>,
    /// What is doubtful or wrong in the places.
    pub notes: Vec<Note>,
    spots: HashMap<Spot, NodeIndex>,
    by_name: HashMap<String, usize>,
}

impl Wiring {
    /// Ties the places of a sheet.
    pub fn of(sheet: &Sheet) -> Self {
        Builder::new(sheet).run()
    }

    /// The node of a place; `None` where the sheet has no such place.
    pub fn node(&self, place: &Place) -> Option<NodeIndex> {
        let spot = spot(&self.sockets, &self.by_name, place).ok()?;
        self.spots.get(&spot).copied()
    }

    /// The node of a named point.
    pub fn named(&self, name: &str) -> Option<NodeIndex> {
        self.node(&Place::Named(name.to_owned()))
    }

    /// The node of a part's terminal.
    pub fn terminal(&self, part: &Part, terminal: &str) -> Option<NodeIndex> {
        self.node(&Place::Terminal {
            part: part.designator.to_string(),
            terminal: terminal.to_owned(),
        })
    }

    /// The nodes of a part's two leads.
    pub fn leads(&self, part: &Part) -> Option<(NodeIndex, NodeIndex)> {
        let leads = part.leads.as_ref()?;
        let said = |p: &Place| *p != Place::Named(UNSAID.to_owned());
        (said(&leads.from) && said(&leads.to))
            .then(|| Some((self.node(&leads.from)?, self.node(&leads.to)?)))?
    }

    /// Whether the sheet has a part of this name.
    pub fn has_part(&self, designator: &str) -> bool {
        self.by_name.contains_key(designator)
    }

    /// The socket of a part.
    pub fn socket(&self, part: usize) -> Option<&Socket> {
        self.sockets.iter().find(|s| s.part == part)
    }
}

/// The spot that a place means.
///
/// # Errors
/// The reason, where the place names a pin or electrode the tube has not.
fn spot(
    sockets: &[Socket],
    by_name: &HashMap<String, usize>,
    place: &Place,
) -> Result<Spot, Pinned> {
    match place {
        Place::Named(name) => Ok(Spot::Named(name.to_lowercase())),
        Place::Terminal { part, terminal } => {
            let socket =
                by_name.get(part).and_then(|index| sockets.iter().find(|s| s.part == *index));
            match socket {
                Some(socket) => match socket.pin(terminal) {
                    Pinned::Pin(pin) => Ok(Spot::Pin(socket.part, pin)),
                    Pinned::Cap => Ok(Spot::Cap(socket.part)),
                    other => Err(other),
                },
                None => Ok(Spot::Terminal(part.clone(), terminal.to_lowercase())),
            }
        }
    }
}

/// Joined sets.
#[derive(Default)]
struct Ties {
    parent: Vec<usize>,
}

impl Ties {
    fn add(&mut self) -> usize {
        self.parent.push(self.parent.len());
        self.parent.len() - 1
    }

    fn root(&mut self, mut id: usize) -> usize {
        while self.parent[id] != id {
            // Halving the path keeps later walks short.
            self.parent[id] = self.parent[self.parent[id]];
            id = self.parent[id];
        }
        id
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b)] = a.min(b);
    }
}

/// Ties places one after the other.
struct Builder<'a> {
    sheet: &'a Sheet,
    sockets: Vec<Socket>,
    by_name: HashMap<String, usize>,
    ids: HashMap<Spot, usize>,
    /// The spelling of each spot, and whether it is a name of the user's.
    spelled: Vec<(String, bool)>,
    ties: Ties,
    leads: Vec<(usize, Lead)>,
    notes: Vec<Note>,
}

impl<'a> Builder<'a> {
    fn new(sheet: &'a Sheet) -> Self {
        let mut by_name = HashMap::new();
        for (index, part) in sheet.parts.iter().enumerate() {
            by_name.entry(part.designator.to_string()).or_insert(index);
        }
        let mut notes = Vec::new();
        let sockets = sheet
            .parts
            .iter()
            .enumerate()
            .filter(|(_, p)| p.kind == PartKind::Tube)
            .map(|(index, _)| Socket::of(index, sheet, &mut notes))
            .collect();
        Self {
            sheet,
            sockets,
            by_name,
            ids: HashMap::new(),
            spelled: Vec::new(),
            ties: Ties::default(),
            leads: Vec::new(),
            notes,
        }
    }

    fn run(mut self) -> Wiring {
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
                self.ties.join(pair[0], pair[1]);
            }
        }
        let sheet = self.sheet;
        let mut wiring = self.gather();
        notes::add(&mut wiring, sheet);
        wiring
    }

    /// The number of a place's spot; a place that cannot be is noted.
    fn id(&mut self, place: &Place, line: usize) -> Option<usize> {
        let spot = match spot(&self.sockets, &self.by_name, place) {
            Ok(spot) => spot,
            Err(why) => {
                self.notes.push(notes::no_pin(line, place, &why));
                return None;
            }
        };
        let unsaid = spot == Spot::Named(UNSAID.to_owned());
        if !unsaid && let Some(id) = self.ids.get(&spot) {
            return Some(*id);
        }
        let id = self.ties.add();
        let (name, users) = match place {
            Place::Named(name) => (name.clone(), true),
            Place::Terminal { part, .. } => match &spot {
                Spot::Pin(_, pin) => (format!("{part}.{pin}"), false),
                Spot::Cap(_) => (format!("{part}.cap"), false),
                _ => (place.to_string(), false),
            },
        };
        self.spelled.push((name, users));
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
                self.lead(index, End::Terminal(terminal.clone()), &own(terminal));
            }
        }
        if self.by_name.get(&name) != Some(&index) {
            return;
        }
        for tie in &part.pins {
            let pin = self.id(&own(&tie.pin), part.line);
            let place = self.id(&tie.place, part.line);
            if let (Some(pin), Some(place)) = (pin, place) {
                self.ties.join(pin, place);
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
                self.ties.join(a, b);
            }
        }
        for pin in self.sockets[socket].live_pins() {
            if let Some(id) = self.ids.get(&Spot::Pin(part, pin)).copied() {
                self.leads.push((id, Lead { part, end: End::Pin(pin) }));
            }
        }
        if let Some(id) = self.ids.get(&Spot::Cap(part)).copied() {
            self.leads.push((id, Lead { part, end: End::Cap }));
        }
    }

    /// Numbers the nodes in the order their places first stand on the sheet.
    fn gather(mut self) -> Wiring {
        let mut nodes: Vec<Node> = Vec::new();
        let mut number: HashMap<usize, usize> = HashMap::new();
        let mut of_id = Vec::with_capacity(self.spelled.len());
        for id in 0..self.spelled.len() {
            let root = self.ties.root(id);
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
        for (id, lead) in self.leads {
            let leads = &mut nodes[of_id[id]].leads;
            if !leads.contains(&lead) {
                leads.push(lead);
            }
        }
        // A terminal of a part, such as a wiper, is a lead of that part.
        for (spot, id) in &self.ids {
            if let Spot::Terminal(name, terminal) = spot
                && let Some(part) = self.by_name.get(name)
            {
                let lead = Lead { part: *part, end: End::Terminal(terminal.clone()) };
                let leads = &mut nodes[of_id[*id]].leads;
                if !leads.contains(&lead) {
                    leads.push(lead);
                }
            }
        }
        let spots = self.ids.into_iter().map(|(spot, id)| (spot, of_id[id])).collect();
        let mut wiring = Wiring {
            nodes,
            sockets: self.sockets,
            notes: self.notes,
            spots,
            by_name: self.by_name,
        };
        for index in 0..wiring.sockets.len() {
            wiring.place_socket(index);
        }
        wiring
    }
}

impl Wiring {
    /// Tells a socket the nodes of its pins.
    fn place_socket(&mut self, index: usize) {
        let part = self.sockets[index].part;
        let pins = self.sockets[index].pin_count();
        let nodes = (1..=pins).map(|pin| self.spots.get(&Spot::Pin(part, pin)).copied()).collect();
        let cap = self.spots.get(&Spot::Cap(part)).copied();
        self.sockets[index].place(nodes, cap);
    }
}

/// The name shown of a node's names: the points every set has come first.
fn best_name(names: &[String]) -> Option<String> {
    let known = ["chassis", "B-", "line", "neutral", "B+", "antenna"];
    known.iter().find_map(|k| names.iter().find(|n| n == k)).or_else(|| names.first()).cloned()
}
