//! A tube in its socket: which pin is which electrode, and where it goes.

use super::NodeIndex;
use crate::notation::note::{Choice, Edit, Level, Note};
use crate::sheet::Sheet;
use crate::sheet::part::Part;
use crate::trade::tubes::{self, Electrode, MOST_PINS, Match, Part as Electrodes, TubeType, joins};

pub use crate::trade::tubes::Pinned;

/// A tube of the sheet and its type.
#[derive(Debug, Clone, PartialEq)]
pub struct Socket {
    /// The part, by its index on the sheet.
    pub part: usize,
    /// Its type, where it is known.
    pub tube: Option<TubeType>,
    nodes: Vec<Option<NodeIndex>>,
    cap: Option<NodeIndex>,
}

impl Socket {
    /// Looks up the type of a tube; a type that is not known is noted, with the
    /// nearest ones that are.
    pub(super) fn of(index: usize, sheet: &Sheet, notes: &mut Vec<Note>) -> Self {
        let part = &sheet.parts[index];
        let found = part.tube.as_deref().and_then(|name| sheet.tube_type(name));
        if let Some(name) = &part.tube {
            match &found {
                None => notes.push(unknown(part, name)),
                Some((tube, Match::Suffix)) => {
                    notes.push(by_suffix(part, name, &tube.name));
                }
                Some(_) => {}
            }
        }
        let tube = found.map(|(tube, _)| tube.clone());
        Self { part: index, tube, nodes: Vec::new(), cap: None }
    }

    pub(super) fn place(&mut self, nodes: Vec<Option<NodeIndex>>, cap: Option<NodeIndex>) {
        self.nodes = nodes;
        self.cap = cap;
    }

    /// How many pins the base has.
    pub fn pin_count(&self) -> u8 {
        self.tube.as_ref().map_or(MOST_PINS, |t| t.base.pins())
    }

    /// The node of a pin; `None` where the sheet says nothing of it.
    pub fn node(&self, pin: u8) -> Option<NodeIndex> {
        self.nodes.get(usize::from(pin).checked_sub(1)?).copied().flatten()
    }

    /// The node of the top cap.
    pub const fn cap(&self) -> Option<NodeIndex> {
        self.cap
    }

    /// The node of a pin or cap.
    pub fn at(&self, place: tubes::Place) -> Option<NodeIndex> {
        match place {
            tubes::Place::Pin(pin) => self.node(pin),
            tubes::Place::Cap => self.cap,
        }
    }

    /// What a terminal's name means on this tube.
    pub fn pin(&self, terminal: &str) -> Pinned {
        tubes::pin_of(self.tube.as_ref(), terminal)
    }

    /// The number of the pin that a terminal's name means, 0 for the cap.
    pub fn pin_number(&self, terminal: &str) -> Option<u8> {
        match self.pin(terminal) {
            Pinned::Pin(pin) => Some(pin),
            Pinned::Cap => Some(0),
            _ => None,
        }
    }

    /// Pairs of pins that one electrode joins inside the tube.
    pub(super) fn joined(&self) -> Vec<(u8, u8)> {
        let Some(tube) = &self.tube else { return Vec::new() };
        let mut pairs = Vec::new();
        let pins: Vec<(u8, &Vec<Electrode>)> = (1..).zip(&tube.pins).collect();
        for (at, (first, electrodes)) in pins.iter().enumerate() {
            let other = pins[at + 1..]
                .iter()
                .find(|(_, others)| electrodes.iter().any(|e| joins(e.part) && others.contains(e)));
            if let Some((other, _)) = other {
                pairs.push((*first, *other));
            }
        }
        pairs
    }

    /// The pins that lead to an electrode.
    pub(super) fn live_pins(&self) -> Vec<u8> {
        match &self.tube {
            None => (1..=MOST_PINS).collect(),
            Some(tube) => {
                (1..).zip(&tube.pins).filter(|(_, e)| is_live(e)).map(|(pin, _)| pin).collect()
            }
        }
    }

    /// Whether a pin leads to nothing inside.
    pub fn is_empty_pin(&self, pin: u8) -> bool {
        self.tube.as_ref().is_some_and(|t| {
            t.pins.get(usize::from(pin) - 1).is_none_or(|electrodes| !is_live(electrodes))
        })
    }

    /// The electrode of the top cap in words.
    pub fn cap_name(&self) -> Option<String> {
        let electrodes = self.tube.as_ref()?.cap.as_ref()?;
        Some(electrodes.iter().map(|e| electrode_word(*e)).collect::<Vec<_>>().join(" and "))
    }

    /// The electrode of a pin in words: `plate`, `control grid`.
    pub fn electrode_name(&self, pin: u8) -> Option<String> {
        let electrodes = self.tube.as_ref()?.pins.get(usize::from(pin).checked_sub(1)?)?;
        Some(electrodes.iter().map(|e| electrode_word(*e)).collect::<Vec<_>>().join(" and "))
    }
}

/// Whether a pin leads to something.
fn is_live(electrodes: &[Electrode]) -> bool {
    electrodes.iter().any(|e| !matches!(e.part, Electrodes::NotConnected | Electrodes::Internal))
}

/// An electrode in words.
fn electrode_word(electrode: Electrode) -> String {
    let name = match electrode.part {
        Electrodes::Plate => "plate",
        Electrodes::Grid(n) => return grid_word(n, electrode),
        Electrodes::Cathode => "cathode",
        Electrodes::DiodePlate => "diode plate",
        Electrodes::Heater => "heater",
        Electrodes::HeaterTap => "heater tap",
        Electrodes::HeaterCentre => "heater center",
        Electrodes::Filament => "filament",
        Electrodes::FilamentPlus => "filament +",
        Electrodes::FilamentMinus => "filament -",
        Electrodes::FilamentCentre => "filament center",
        Electrodes::Shield => "shell",
        Electrodes::Target => "target",
        Electrodes::Jumper => "jumper",
        Electrodes::NotConnected => "not connected",
        Electrodes::Internal => "do not use",
    };
    with_section(name, electrode)
}

fn grid_word(number: u8, electrode: Electrode) -> String {
    let name = match number {
        1 => "grid".to_owned(),
        n => format!("grid {n}"),
    };
    with_section(&name, electrode)
}

fn with_section(name: &str, electrode: Electrode) -> String {
    match electrode.section {
        tubes::Section::Common => name.to_owned(),
        tubes::Section::A => format!("{name} A"),
        tubes::Section::B => format!("{name} B"),
        tubes::Section::Triode => format!("triode {name}"),
    }
}

/// A note at the type of a tube.
fn at_type(part: &Part, level: Level, message: String) -> Note {
    let (line, column, length) =
        part.tube_span.map_or((part.line, 1, 1), |s| (s.line, s.column, s.length));
    Note { line, column, length, level, message, read: None, choices: Vec::new() }
}

fn unknown(part: &Part, name: &str) -> Note {
    let near = tubes::nearest(name, 3);
    let message = format!(
        "{}: the tube type '{name}' is not in the table; its pins and currents are left out",
        part.designator
    );
    let mut note = at_type(part, Level::Warning, message);
    if let Some(span) = part.tube_span {
        note.choices = near
            .iter()
            .map(|tube| Choice {
                label: format!("it is a {}", tube.name),
                edit: Edit::Replace {
                    line: span.line,
                    column: span.column,
                    length: span.length,
                    text: tube.name.to_string(),
                },
            })
            .collect();
    }
    note
}

fn by_suffix(part: &Part, name: &str, taken: &str) -> Note {
    let message = format!("{}: '{name}' is taken to be alike to the {taken}", part.designator);
    let mut note = at_type(part, Level::Reading, message);
    note.read = Some(taken.to_owned());
    note
}
