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

mod build;
mod notes;
mod socket;
mod spot;

pub use socket::{Pinned, Socket};

use crate::notation::name::UNSAID;
use crate::notation::note::Note;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, Place};
use spot::{Names, Spot, Spots};

/// A node by its number in [`Wiring::nodes`].
pub type NodeIndex = usize;

/// A lead of a part that meets a node.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Lead {
    /// The part, by its index on the sheet.
    pub part: usize,
    /// Which of its leads.
    pub end: End,
}

/// Which lead of a part.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
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

/// All nodes of a sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wiring {
    /// The nodes.
    pub nodes: Vec<Node>,
    /// The tubes in their sockets.
    pub sockets: Vec<Socket>,
    /// What is doubtful or wrong in the places.
    pub notes: Vec<Note>,
    /// Terminals of parts that are not on the sheet, and electrodes of tubes
    /// whose type is not known: node, part, terminal.
    pub strange: Vec<(NodeIndex, String, String)>,
    spots: Spots,
    parts: Names,
}

impl Wiring {
    /// Ties the places of a sheet.
    pub fn of(sheet: &Sheet) -> Self {
        build::Builder::new(sheet).run()
    }

    /// The node of a place; `None` where the sheet has no such place.
    pub fn node(&self, place: &Place) -> Option<NodeIndex> {
        self.spots.get(&self.parts.spot(&self.sockets, place).ok()?)
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
        let said = |p: &Place| !matches!(p, Place::Named(name) if name == UNSAID);
        (said(&leads.from) && said(&leads.to))
            .then(|| Some((self.node(&leads.from)?, self.node(&leads.to)?)))?
    }

    /// Whether the set is tied to the line, by its words and its wires.
    pub const fn is_on_line(&self) -> bool {
        self.parts.is_on_line()
    }

    /// Whether the sheet has a part of this name.
    pub fn has_part(&self, designator: &str) -> bool {
        self.parts.part(designator).is_some()
    }

    /// The first part of a name, by its index on the sheet.
    pub fn part(&self, designator: &str) -> Option<usize> {
        self.parts.part(designator)
    }

    /// The nodes of the terminals that are named of a part.
    pub fn terminals_of(&self, designator: &str) -> Vec<NodeIndex> {
        self.spots.terminals(designator)
    }

    /// The socket of a part.
    pub fn socket(&self, part: usize) -> Option<&Socket> {
        self.parts.socket(part).map(|at| &self.sockets[at])
    }
}

impl Wiring {
    /// Tells a socket the nodes of its pins.
    fn place_socket(&mut self, index: usize) {
        let part = self.sockets[index].part;
        let pins = self.sockets[index].pin_count();
        let nodes = (1..=pins).map(|pin| self.spots.get(&Spot::Pin(part, pin))).collect();
        let cap = self.spots.get(&Spot::Cap(part));
        self.sockets[index].place(nodes, cap);
    }
}
