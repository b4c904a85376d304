//! A tube's units: which pins make a diode, a triode, a pentode.
//!
//! Purpose: from electrodes by pin to what conducts between which pins.
//!
//! ```
//! use firstglow::trade::tubes::{Place, UnitKind, find};
//!
//! let units = find("6SQ7").unwrap().tube.units();
//! assert_eq!(units.len(), 3);
//! assert_eq!(units[0].kind, UnitKind::Triode);
//! assert_eq!(units[0].plate, Place::Pin(6));
//! assert_eq!(units[0].grid, Some(Place::Pin(2)));
//! ```
//!
//! Limits: an electrode on several pins is told by the first of them. In a
//! converter the unit's grid is the signal grid; its oscillator grid is told
//! by [`TubeType::pins_of`].

use super::{Class, Electrode, Part, Pin, Section, TubeType};

/// A pin or the top cap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A pin, from 1.
    Pin(u8),
    /// The top cap.
    Cap,
}

/// What a unit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitKind {
    /// A power rectifier's plate.
    Rectifier,
    /// A small diode.
    Diode,
    /// A triode.
    Triode,
    /// A pentode, beam tube or tetrode.
    Pentode,
    /// A converter's signal part.
    Converter,
    /// A converter's oscillator anode, taken as a diode.
    OscillatorAnode,
    /// An indicator's target.
    Target,
    /// A glow regulator.
    Regulator,
}

/// What conducts between which places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unit {
    /// What it is.
    pub kind: UnitKind,
    /// Plate, anode or target.
    pub plate: Place,
    /// Control grid; the signal grid in a converter.
    pub grid: Option<Place>,
    /// Screen.
    pub screen: Option<Place>,
    /// Cathode, or the filament end that stands for it.
    pub cathode: Place,
}

impl TubeType {
    /// All units that the pins make, amplifying ones first. Empty when the
    /// pins make none, as a user's entry may.
    pub fn units(&self) -> Vec<Unit> {
        let mut units = Vec::new();
        for section in [Section::Common, Section::A, Section::B, Section::Triode] {
            if let (Some(plate), Some(cathode)) =
                (self.place(Part::Plate, section), self.cathode(section))
            {
                units.push(self.amplifier(section, plate, cathode));
            }
        }
        for section in [Section::Common, Section::A, Section::B] {
            if let (Some(plate), Some(cathode)) =
                (self.place(Part::DiodePlate, section), self.cathode(section))
            {
                units.push(Unit {
                    kind: UnitKind::Diode,
                    plate,
                    grid: None,
                    screen: None,
                    cathode,
                });
            }
        }
        if let (Some(plate), Some(cathode)) =
            (self.place(Part::Target, Section::Common), self.cathode(Section::Common))
        {
            units.push(Unit { kind: UnitKind::Target, plate, grid: None, screen: None, cathode });
        }
        if let (Class::Converter, Some(cathode)) = (self.class, self.cathode(Section::Common)) {
            let anode =
                self.place(Part::Grid(2), Section::Common).filter(|place| self.joined(*place) == 1);
            if let Some(plate) = anode {
                units.push(Unit {
                    kind: UnitKind::OscillatorAnode,
                    plate,
                    grid: None,
                    screen: None,
                    cathode,
                });
            }
        }
        units
    }

    fn amplifier(&self, section: Section, plate: Place, cathode: Place) -> Unit {
        let at = |part| self.place(part, Section::Common);
        let grid = self.place(Part::Grid(1), section);
        let (kind, grid, screen) = match self.class {
            Class::Rectifier => (UnitKind::Rectifier, None, None),
            Class::Regulator => (UnitKind::Regulator, None, None),
            Class::DualDiode => (UnitKind::Diode, None, None),
            // A triode-hexode's triode gives the oscillator its anode.
            Class::Converter if section == Section::Triode => {
                (UnitKind::OscillatorAnode, None, None)
            }
            Class::Converter => {
                let screen = at(Part::Grid(4)).filter(|place| self.joined(*place) > 1);
                // Screens g2 and g4 leave g3 for the signal; g3 and g5 leave g4.
                match screen {
                    Some(_) => (UnitKind::Converter, at(Part::Grid(3)), screen),
                    None => (UnitKind::Converter, at(Part::Grid(4)), at(Part::Grid(3))),
                }
            }
            _ if section == Section::Common && at(Part::Grid(2)).is_some() => {
                (UnitKind::Pentode, grid, at(Part::Grid(2)))
            }
            _ if grid.is_some() => (UnitKind::Triode, grid, None),
            _ => (UnitKind::Diode, None, None),
        };
        Unit { kind, plate, grid, screen, cathode }
    }

    /// Where an electrode is, pins before the cap.
    fn place(&self, part: Part, section: Section) -> Option<Place> {
        let wanted = Electrode { part, section };
        let pin = (1..)
            .zip(&self.pins)
            .find(|(_, pin)| pin.contains(&wanted))
            .map(|(number, _)| Place::Pin(number));
        let cap = self.cap.as_ref().filter(|cap| cap.contains(&wanted)).map(|_| Place::Cap);
        pin.or(cap)
    }

    /// How many electrodes a place joins.
    fn joined(&self, place: Place) -> usize {
        match place {
            Place::Pin(number) => self.pins.get(usize::from(number) - 1).map_or(0, Pin::len),
            Place::Cap => self.cap.as_ref().map_or(0, Pin::len),
        }
    }

    /// The section's own cathode, the common one, or the filament's negative,
    /// last or only end (B+ is taken from the last by usual wiring).
    fn cathode(&self, section: Section) -> Option<Place> {
        let own = self.place(Part::Cathode, section);
        let common = || self.place(Part::Cathode, Section::Common);
        let minus = || self.place(Part::FilamentMinus, Section::Common);
        let filament = || {
            let ends = (1..)
                .zip(&self.pins)
                .filter(|(_, pin)| pin.iter().any(|end| end.part == Part::Filament));
            ends.last().map(|(number, _)| Place::Pin(number))
        };
        own.or_else(common).or_else(minus).or_else(filament)
    }
}
