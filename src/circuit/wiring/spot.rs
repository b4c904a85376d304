//! The spot that a place means, and what is kept by spot.

use super::socket::{Pinned, Socket};
use crate::circuit::line_tie::is_on_line;
use crate::letters::Letters;
use crate::notation::name::UNSAID;
use crate::sheet::Sheet;
use crate::sheet::part::Place;
use crate::trade::tubes::spelled;
use rustc_hash::{FxBuildHasher, FxHashMap};
use std::borrow::Cow;

/// The spot a place means; names and terminals in lower case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Spot<'a> {
    Pin(usize, u8),
    Cap(usize),
    Terminal(&'a str, Cow<'a, str>),
    Named(Cow<'a, str>),
}

impl Spot<'_> {
    /// Whether it is a place of its own each time.
    pub fn is_unsaid(&self) -> bool {
        matches!(self, Spot::Named(name) if name == UNSAID)
    }
}

/// A number for each spot.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Spots {
    pins: FxHashMap<(usize, u8), usize>,
    caps: FxHashMap<usize, usize>,
    terminals: FxHashMap<String, FxHashMap<String, usize>>,
    names: FxHashMap<String, usize>,
}

impl Spots {
    pub fn get(&self, spot: &Spot) -> Option<usize> {
        match spot {
            Spot::Pin(part, pin) => self.pins.get(&(*part, *pin)),
            Spot::Cap(part) => self.caps.get(part),
            Spot::Terminal(part, terminal) => self.terminals.get(*part)?.get(terminal.as_ref()),
            Spot::Named(name) => self.names.get(name.as_ref()),
        }
        .copied()
    }

    pub fn insert(&mut self, spot: Spot, number: usize) {
        match spot {
            Spot::Pin(part, pin) => self.pins.insert((part, pin), number),
            Spot::Cap(part) => self.caps.insert(part, number),
            Spot::Terminal(part, terminal) => self
                .terminals
                .entry(part.to_owned())
                .or_default()
                .insert(terminal.into_owned(), number),
            Spot::Named(name) => self.names.insert(name.into_owned(), number),
        };
    }

    /// The numbers of a part's terminals.
    pub fn terminals(&self, part: &str) -> Vec<usize> {
        self.terminals.get(part).map_or_else(Vec::new, |all| all.values().copied().collect())
    }

    /// Puts other numbers in place of all.
    pub fn renumber(&mut self, by: &[usize]) {
        let terminals = self.terminals.values_mut().flat_map(FxHashMap::values_mut);
        let all = self.pins.values_mut().chain(self.caps.values_mut());
        for number in all.chain(self.names.values_mut()).chain(terminals) {
            *number = by[*number];
        }
    }
}

/// The parts of a sheet by name, and their sockets.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Names {
    parts: FxHashMap<String, usize>,
    /// The socket of each part, by its index.
    sockets: Vec<Option<usize>>,
    /// Whether the ground terminal is a place of its own: in a set tied to the
    /// line it must never be the chassis.
    ground_apart: bool,
}

impl Names {
    pub fn of(sheet: &Sheet, sockets: &[Socket]) -> Self {
        let mut parts = FxHashMap::with_capacity_and_hasher(sheet.parts.len(), FxBuildHasher);
        for (index, part) in sheet.parts.iter().enumerate() {
            parts.entry(part.designator.to_string()).or_insert(index);
        }
        let mut of_part = vec![None; sheet.parts.len()];
        for (at, socket) in sockets.iter().enumerate() {
            of_part[socket.part] = Some(at);
        }
        Self { parts, sockets: of_part, ground_apart: is_on_line(sheet) }
    }

    /// Whether the set is tied to the line.
    pub const fn is_on_line(&self) -> bool {
        self.ground_apart
    }

    /// The first part of a name.
    pub fn part(&self, name: &str) -> Option<usize> {
        self.parts.get(name).copied()
    }

    /// The socket of a part.
    pub fn socket(&self, part: usize) -> Option<usize> {
        self.sockets.get(part).copied().flatten()
    }

    /// The point that a name means, in lower case: ground and common are the
    /// chassis of a set apart from the line.
    pub fn named<'a>(&self, name: &'a str) -> Cow<'a, str> {
        let lower = lower(name);
        match (lower.as_ref(), self.ground_apart) {
            ("gnd" | "ground" | "earth", true) => Cow::Borrowed("ground terminal"),
            ("gnd" | "ground" | "earth" | "common", false) => Cow::Borrowed("chassis"),
            _ => lower,
        }
    }

    /// The spot that a place means.
    ///
    /// # Errors
    /// The reason, where the place names a pin or electrode the tube has not.
    pub fn spot<'a>(&self, sockets: &[Socket], place: &'a Place) -> Result<Spot<'a>, Pinned> {
        match place {
            Place::Named(name) => Ok(Spot::Named(self.named(name))),
            Place::Terminal { part, terminal } => {
                let socket = self.part(part).and_then(|index| self.socket(index));
                match socket.map(|at| &sockets[at]) {
                    Some(socket) => match socket.pin(terminal) {
                        Pinned::Pin(pin) => Ok(Spot::Pin(socket.part, pin)),
                        Pinned::Cap => Ok(Spot::Cap(socket.part)),
                        // The name itself says what it is, if not where.
                        Pinned::NoElectrode(_) if socket.tube.is_none() => {
                            Ok(Spot::Terminal(part, lower(spelled(terminal))))
                        }
                        other => Err(other),
                    },
                    None => Ok(Spot::Terminal(part, lower(terminal))),
                }
            }
        }
    }
}

/// Lower case; what is so already is not copied.
fn lower(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|b| b.is_ascii() && !b.is_ascii_uppercase()) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.lower())
    }
}
