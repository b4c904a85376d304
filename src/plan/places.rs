//! What the places on a sheet are: line, chassis, B-, a plate, a grid.
//!
//! Places tied by a wire or by a tube's pin are one node. What a node is
//! follows from the names and electrodes on it.
//!
//! ```
//! use firstglow::plan::places::{Places, Traits};
//! use firstglow::sheet::{Sheet, Wire, part::Place};
//! let named = |n: &str| Place::Named(n.to_owned());
//! let wire = Wire { line: 1, places: vec![named("B-"), named("chassis")] };
//! let sheet = Sheet { wires: vec![wire], ..Sheet::default() };
//! let places = Places::of(&sheet);
//! assert!(places.traits(&named("chassis")).has(Traits::B_MINUS));
//! ```
//!
//! Limits: parts do not join nodes, except that fuses, switches and cords
//! carry the line on. Numbered pins speak only where the tube is a rectifier
//! known here or the pin is tied to a named place.

use crate::sheet::Sheet;
use crate::sheet::part::{Make, Part, PartKind, Place, WindingKind};
use crate::trade::rectifier::{self, RectifierTube};
use std::collections::{HashMap, HashSet};

/// What a node is known to be; several at once where places are tied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Traits(u16);

impl Traits {
    /// Line or neutral, or a primary terminal of the power transformer.
    pub const MAINS: Self = Self(1);
    /// The chassis.
    pub const CHASSIS: Self = Self(1 << 1);
    /// The negative of the supply.
    pub const B_MINUS: Self = Self(1 << 2);
    /// The ground terminal.
    pub const GROUND: Self = Self(1 << 3);
    /// The antenna terminal.
    pub const ANTENNA: Self = Self(1 << 4);
    /// A supply point, number not said.
    pub const B_PLUS: Self = Self(1 << 5);
    /// The first supply point by its number.
    pub const FIRST_B_PLUS: Self = Self(1 << 6);
    /// A later supply point by its number.
    pub const LATER_B_PLUS: Self = Self(1 << 7);
    /// The output of the rectifier.
    pub const RECTIFIER_OUT: Self = Self(1 << 8);
    /// A plate of the rectifier or an end of the high-voltage winding.
    pub const RECTIFIER_IN: Self = Self(1 << 9);
    /// The plate of another tube.
    pub const PLATE: Self = Self(1 << 10);
    /// A control grid.
    pub const GRID: Self = Self(1 << 11);
    /// A screen grid.
    pub const SCREEN: Self = Self(1 << 12);
    /// A cathode.
    pub const CATHODE: Self = Self(1 << 13);
    /// The automatic volume control line.
    pub const AVC: Self = Self(1 << 14);
    /// Any supply point.
    pub const ANY_B_PLUS: Self =
        Self(Self::B_PLUS.0 | Self::FIRST_B_PLUS.0 | Self::LATER_B_PLUS.0 | Self::RECTIFIER_OUT.0);
    /// What circuits return to.
    pub const RETURN: Self = Self(Self::CHASSIS.0 | Self::B_MINUS.0 | Self::GROUND.0);

    /// Whether it has any of these.
    pub const fn has(self, any: Self) -> bool {
        self.0 & any.0 != 0
    }

    const fn with(self, more: Self) -> Self {
        Self(self.0 | more.0)
    }
}

/// The nodes of a sheet.
#[derive(Debug, Clone, Default)]
pub struct Places {
    ids: HashMap<String, usize>,
    ties: Ties,
    traits: Vec<Traits>,
    mains_ties: Ties,
    on_mains: Vec<bool>,
}

impl Places {
    /// Reads the places of a sheet.
    pub fn of(sheet: &Sheet) -> Self {
        let mut places = Self::default();
        let rectifiers = rectifiers_by_name(sheet);
        for wire in &sheet.wires {
            places.tie_all(&wire.places, &rectifiers);
        }
        let mut seen = HashSet::new();
        for part in &sheet.parts {
            places.add_part(part, seen.insert(part.designator.to_string()), &rectifiers);
        }
        places.gather_traits();
        places.spread_mains(sheet);
        places
    }

    /// The node of a place, if the sheet has it.
    pub fn node(&self, place: &Place) -> Option<usize> {
        self.ids.get(&spelled(place)).map(|id| self.ties.root(*id))
    }

    /// What the node of a place is.
    pub fn traits(&self, place: &Place) -> Traits {
        self.node(place).map_or(Traits::default(), |root| self.traits[root])
    }

    /// Whether a place is on the line, through fuses, switches and cords.
    pub fn on_mains(&self, place: &Place) -> bool {
        self.ids.get(&spelled(place)).is_some_and(|id| self.on_mains[self.mains_ties.root(*id)])
    }

    /// Whether any chassis place is on the line or on B-; whether any B- place
    /// is on the line.
    pub fn tied(&self, what: Traits, to: Traits) -> bool {
        (0..self.traits.len()).any(|id| {
            let traits = self.traits[self.ties.root(id)];
            let mains = to == Traits::MAINS && self.on_mains[self.mains_ties.root(id)];
            traits.has(what) && (traits.has(to) || mains)
        })
    }

    fn add_part(&mut self, part: &Part, first: bool, known: &Rectifiers) {
        if let Some(leads) = &part.leads {
            self.id(&leads.from, known);
            self.id(&leads.to, known);
        }
        if !first {
            return;
        }
        let name = part.designator.to_string();
        let mut tied = HashSet::new();
        for tie in &part.pins {
            // A pin goes to one place; a second claim is not believed.
            if tied.insert(tie.pin.as_str()) {
                let pin = Place::Terminal { part: name.clone(), terminal: tie.pin.clone() };
                self.tie_all(&[pin, tie.place.clone()], known);
            }
        }
        if is_power_transformer(part) {
            for winding in &part.windings {
                let traits = match winding.kind {
                    WindingKind::Primary => Traits::MAINS,
                    WindingKind::Secondary => Traits::RECTIFIER_IN,
                    _ => continue,
                };
                for terminal in [&winding.start, &winding.end] {
                    let end = Place::Terminal { part: name.clone(), terminal: terminal.clone() };
                    let id = self.id(&end, known);
                    self.traits[id] = self.traits[id].with(traits);
                }
            }
        }
    }

    fn tie_all(&mut self, tied: &[Place], known: &Rectifiers) {
        let mut ids = tied.iter().map(|p| self.id(p, known)).collect::<Vec<_>>().into_iter();
        if let Some(first) = ids.next() {
            ids.for_each(|other| self.ties.join(first, other));
        }
    }

    fn id(&mut self, place: &Place, known: &Rectifiers) -> usize {
        let spelled = spelled(place);
        if let Some(id) = self.ids.get(&spelled) {
            return *id;
        }
        let id = self.ties.add();
        self.traits.push(match place {
            Place::Named(_) => named_traits(&spelled),
            Place::Terminal { part, terminal } => {
                terminal_traits(&part.to_uppercase(), terminal, known)
            }
        });
        self.ids.insert(spelled, id);
        id
    }

    fn gather_traits(&mut self) {
        for id in 0..self.traits.len() {
            let root = self.ties.root(id);
            self.traits[root] = self.traits[root].with(self.traits[id]);
        }
    }

    fn spread_mains(&mut self, sheet: &Sheet) {
        self.mains_ties = self.ties.clone();
        for part in &sheet.parts {
            let carries = matches!(
                part.kind,
                PartKind::Fuse | PartKind::Switch | PartKind::Cord | PartKind::ResistanceCord
            );
            if let (true, Some(leads)) = (carries, &part.leads)
                && let (Some(a), Some(b)) = (self.node(&leads.from), self.node(&leads.to))
            {
                self.mains_ties.join(a, b);
            }
        }
        self.on_mains = vec![false; self.traits.len()];
        for id in 0..self.traits.len() {
            if self.traits[id].has(Traits::MAINS) {
                let root = self.mains_ties.root(id);
                self.on_mains[root] = true;
            }
        }
    }
}

/// Whether a part is the power transformer.
pub fn is_power_transformer(part: &Part) -> bool {
    let heater = |k| matches!(k, WindingKind::Heater | WindingKind::RectifierHeater);
    part.kind == PartKind::Transformer
        && (part.is_made(Make::PowerTransformer) || part.windings.iter().any(|w| heater(w.kind)))
}

/// Joined sets of numbers.
#[derive(Debug, Clone, Default)]
struct Ties {
    parent: Vec<usize>,
    size: Vec<usize>,
}

impl Ties {
    fn add(&mut self) -> usize {
        self.parent.push(self.parent.len());
        self.size.push(1);
        self.parent.len() - 1
    }

    /// Short walks: the smaller set always hangs under the larger.
    fn root(&self, mut id: usize) -> usize {
        while self.parent[id] != id {
            id = self.parent[id];
        }
        id
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        if a == b {
            return;
        }
        let (large, small) = if self.size[a] < self.size[b] { (b, a) } else { (a, b) };
        self.parent[small] = large;
        self.size[large] += self.size[small];
    }
}

type Rectifiers = HashMap<String, &'static RectifierTube>;

/// The first tube of each designator that is a rectifier known here.
fn rectifiers_by_name(sheet: &Sheet) -> Rectifiers {
    let mut found = HashMap::new();
    for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Tube) {
        if let Some(tube) = part.tube.as_deref().and_then(rectifier::find) {
            found.entry(part.designator.to_string().to_uppercase()).or_insert(tube);
        }
    }
    found
}

/// One spelling for every way to write a place.
fn spelled(place: &Place) -> String {
    place.to_string().trim().to_uppercase().replace(['−', '–'], "-")
}

fn named_traits(name: &str) -> Traits {
    match name {
        "LINE" | "LINE1" | "LINE2" | "HOT" | "LIVE" | "MAINS" | "NEUTRAL" | "NEUT" | "L" | "N"
        | "AC" | "AC1" | "AC2" => Traits::MAINS,
        "CHASSIS" | "FRAME" => Traits::CHASSIS,
        "B-" | "BMINUS" | "B-MINUS" | "HT-" | "COMMON" => Traits::B_MINUS,
        "GND" | "GROUND" | "EARTH" => Traits::GROUND,
        "ANT" | "ANTENNA" | "AERIAL" => Traits::ANTENNA,
        "AVC" | "AGC" | "DAVC" => Traits::AVC,
        "SCR" | "SCREEN" => Traits::SCREEN,
        _ => supply_point(name),
    }
}

/// `B+`, `B1`, `B+2`, `HT`.
fn supply_point(name: &str) -> Traits {
    let Some(rest) = ["B+", "HT+", "HT", "B"].iter().find_map(|p| name.strip_prefix(p)) else {
        return Traits::default();
    };
    match (rest, rest.parse::<u32>()) {
        ("", _) if name != "B" => Traits::B_PLUS,
        (_, Ok(0 | 1)) => Traits::FIRST_B_PLUS,
        (_, Ok(_)) => Traits::LATER_B_PLUS,
        _ => Traits::default(),
    }
}

fn terminal_traits(part: &str, terminal: &str, known: &Rectifiers) -> Traits {
    let terminal = terminal.to_lowercase();
    let electrode = terminal.trim_end_matches(|c: char| c.is_ascii_digit());
    if let Some(tube) = known.get(part) {
        let out = tube.output_pins.contains(&terminal.as_str())
            || matches!(electrode, "k" | "cathode" | "f" | "fil" | "filament");
        return match electrode {
            _ if out => Traits::RECTIFIER_OUT,
            "p" | "a" | "plate" | "anode" => Traits::RECTIFIER_IN,
            _ => Traits::default(),
        };
    }
    if !part.starts_with('V') {
        return Traits::default();
    }
    match (electrode, terminal.as_str()) {
        (_, "g2" | "s" | "sg" | "scr" | "screen") => Traits::SCREEN,
        (_, "g" | "g1" | "grid") => Traits::GRID,
        ("p" | "a" | "plate" | "anode", _) => Traits::PLATE,
        ("k" | "cathode", _) => Traits::CATHODE,
        _ => Traits::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_known_in_every_case_and_spelling() {
        for (name, traits) in [
            ("LINE", Traits::MAINS),
            ("B-", Traits::B_MINUS),
            ("B1", Traits::FIRST_B_PLUS),
            ("B+2", Traits::LATER_B_PLUS),
            ("B+", Traits::B_PLUS),
            ("B", Traits::default()),
            ("BAND", Traits::default()),
            ("ANT", Traits::ANTENNA),
        ] {
            assert_eq!(named_traits(name), traits, "{name}");
        }
        assert_eq!(spelled(&Place::Named("b−".into())), "B-");
    }

    #[test]
    fn electrodes_speak_for_themselves() {
        let mut known = Rectifiers::new();
        known.insert("V5".into(), rectifier::find("35Z5GT").unwrap());
        for (part, terminal, traits) in [
            ("V5", "8", Traits::RECTIFIER_OUT),
            ("V5", "p", Traits::RECTIFIER_IN),
            ("V2", "g1", Traits::GRID),
            ("V2", "g2", Traits::SCREEN),
            ("V2", "p", Traits::PLATE),
            ("V2", "8", Traits::default()),
            ("T1", "p", Traits::default()),
        ] {
            assert_eq!(terminal_traits(part, terminal, &known), traits, "{part}.{terminal}");
        }
    }
}
