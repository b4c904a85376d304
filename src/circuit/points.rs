//! What the nodes of a sheet are: line, chassis, B-, a plate, a grid, the
//! second point of the supply.
//!
//! What a node is follows from the names on it, from the electrodes and
//! windings that meet it, and from where the supplies lead.
//!
//! ```
//! use firstglow::circuit::points::{Points, Traits};
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read("wire B- to chassis");
//! let wiring = Wiring::of(&sheet);
//! let points = Points::of(&sheet, &wiring, &[]);
//! let chassis = wiring.named("chassis").unwrap();
//! assert!(points.traits(chassis).has(Traits::B_MINUS));
//! ```
//!
//! Limits: parts do not join nodes, except that fuses, switches and cords
//! carry the line on. A pin speaks where its tube's type is known; where it is
//! not, an electrode's name does.

use super::feed::Feed;
use super::model::is_power_transformer;
use super::wiring::{NodeIndex, Socket, Wiring};
use crate::letters::Letters;
use crate::sheet::part::{Part, PartKind, Place, Winding, WindingKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::tubes::{Class, UnitKind};

mod line;
mod links;
mod metal;
mod supply;
mod touch;

pub use line::{ChassisTie, LiveTouch, NodeLine};
pub use metal::{Metal, is_metal_place};
pub use supply::{LARGE_FARADS, is_large};

use super::line_tie::{has_own_windings, is_ac_name, is_line_name, is_tie};
use line::LineSide;

/// What joins two nodes, for the line.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Through {
    /// A closed contact, or a resistor of next to nothing.
    Contact,
    /// A lamp, a heater, a ballast, a resistance cord.
    Series,
    /// A coil or winding.
    Coil,
    /// A resistor of so many ohms.
    Resistor(f64),
}

/// Ways from each node.
type Links = Vec<Vec<(NodeIndex, Through)>>;

/// What a node is known to be; several at once where places are tied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Traits(u32);

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
    /// The plate of an output tube.
    pub const OUTPUT_PLATE: Self = Self(1 << 15);
    /// The control grid of an output tube.
    pub const OUTPUT_GRID: Self = Self(1 << 16);
    /// The oscillator grid of a converter.
    pub const OSCILLATOR_GRID: Self = Self(1 << 17);
    /// The plate of a small diode.
    pub const DIODE: Self = Self(1 << 18);
    /// The first point of a supply, by where its rectifier leads.
    pub const RESERVOIR: Self = Self(1 << 19);
    /// The point behind the first one's choke, field or resistor.
    pub const SMOOTHED: Self = Self(1 << 20);
    /// A point further on.
    pub const DECOUPLED: Self = Self(1 << 21);
    /// The battery lead of a vibrator set.
    pub const BATTERY: Self = Self(1 << 22);
    /// Any supply point.
    pub const ANY_B_PLUS: Self = Self(
        Self::B_PLUS.0
            | Self::FIRST_B_PLUS.0
            | Self::LATER_B_PLUS.0
            | Self::RECTIFIER_OUT.0
            | Self::PLACED_B_PLUS.0,
    );
    /// A supply point by where its rectifier leads.
    pub const PLACED_B_PLUS: Self = Self(Self::RESERVOIR.0 | Self::SMOOTHED.0 | Self::DECOUPLED.0);
    /// What circuits return to.
    pub const RETURN: Self = Self(Self::CHASSIS.0 | Self::B_MINUS.0 | Self::GROUND.0);

    /// Whether it has any of these.
    pub const fn has(self, any: Self) -> bool {
        self.0 & any.0 != 0
    }

    pub(super) const fn with(self, more: Self) -> Self {
        Self(self.0 | more.0)
    }
}

/// What the nodes of a sheet are.
#[derive(Debug, Clone, Default)]
pub struct Points {
    traits: Vec<Traits>,
    on_mains: Vec<bool>,
    tied: bool,
    line: LineSide,
}

impl Points {
    /// Reads the nodes of a sheet and where its supplies lead.
    pub fn of(sheet: &Sheet, wiring: &Wiring, feeds: &[Feed]) -> Self {
        let mut points =
            Self { traits: wiring.nodes.iter().map(named).collect(), ..Self::default() };
        for (node, part, terminal) in &wiring.strange {
            points.add(*node, strange_traits(part, terminal));
        }
        for socket in &wiring.sockets {
            points.socket(socket);
        }
        points.own_windings(sheet, wiring);
        points.windings(sheet, wiring);
        points.on_mains = on_mains(sheet, wiring, &points.traits);
        points.tied = wiring.is_on_line()
            || points.tied(Traits::CHASSIS, Traits::MAINS)
            || points.tied(Traits::B_MINUS, Traits::MAINS);
        if points.tied {
            for node in line::returns_to_line(&points.traits, &points.on_mains, feeds) {
                points.add(node, Traits::B_MINUS);
            }
        }
        supply::follow(&mut points, sheet, wiring, feeds);
        let line = |points: &Self| {
            LineSide::of(sheet, wiring, &points.traits, &points.on_mains, points.tied)
        };
        points.line = line(&points);
        if points.line.reaches_chassis && !points.tied {
            points.tied = true;
            points.line = line(&points);
        }
        points
    }

    /// Whether the set is tied to the line, as far as the sheet shows.
    pub const fn is_line_tied(&self) -> bool {
        self.tied
    }

    /// What a node is to the line and to hands.
    pub fn line(&self, node: NodeIndex) -> NodeLine {
        self.line.nodes[node]
    }

    /// How the chassis stands to the line.
    pub const fn chassis_tie(&self) -> ChassisTie {
        self.line.chassis
    }

    /// Contacts and metal that hands touch and that are on the line.
    pub fn live_touches(&self) -> &[LiveTouch] {
        &self.line.touches
    }

    /// The parts by which line and neutral are one, none where wires alone do
    /// it; `None` where they are apart.
    pub fn line_shorted(&self) -> Option<&[usize]> {
        self.line.shorted.as_deref()
    }

    /// What a place is by itself, before wires join it to others.
    pub fn typed(place: &Place) -> Traits {
        match place {
            Place::Named(name) => named_traits(name),
            Place::Terminal { .. } => Traits::default(),
        }
    }

    /// What a node is.
    pub fn traits(&self, node: NodeIndex) -> Traits {
        self.traits[node]
    }

    /// What the node of a place is; nothing where the sheet has no such place.
    pub fn at(&self, wiring: &Wiring, place: &Place) -> Traits {
        wiring.node(place).map_or(Traits::default(), |node| self.traits(node))
    }

    /// Whether a node is on the line, through fuses, switches and cords.
    pub fn on_mains(&self, node: NodeIndex) -> bool {
        self.on_mains[node]
    }

    /// Whether a node is both; the line also through fuses and switches.
    pub fn tied(&self, what: Traits, to: Traits) -> bool {
        self.traits.iter().zip(&self.on_mains).any(|(traits, mains)| {
            traits.has(what) && (traits.has(to) || to == Traits::MAINS && *mains)
        })
    }

    fn add(&mut self, node: NodeIndex, traits: Traits) {
        self.traits[node] = self.traits[node].with(traits);
    }

    fn take_away(&mut self, node: NodeIndex, traits: Traits) {
        self.traits[node].0 &= !traits.0;
    }

    /// The electrodes of a tube of a known type.
    fn socket(&mut self, socket: &Socket) {
        let Some(tube) = &socket.tube else { return };
        let output = matches!(tube.class, Class::PowerPentode | Class::PowerTriode);
        let mut add = |place: Option<NodeIndex>, traits: Traits| {
            if let Some(node) = place {
                self.add(node, traits);
            }
        };
        let of = |condition: bool, traits: Traits| if condition { traits } else { Traits(0) };
        for unit in tube.units() {
            let at = |place: Option<_>| place.and_then(|p| socket.at(p));
            let (plate, cathode) = (at(Some(unit.plate)), at(Some(unit.cathode)));
            match unit.kind {
                UnitKind::Rectifier => {
                    add(plate, Traits::RECTIFIER_IN);
                    add(cathode, Traits::RECTIFIER_OUT);
                }
                UnitKind::Diode => add(plate, Traits::DIODE),
                UnitKind::Target | UnitKind::Regulator => {}
                _ => {
                    add(plate, Traits::PLATE.with(of(output, Traits::OUTPUT_PLATE)));
                    add(at(unit.grid), Traits::GRID.with(of(output, Traits::OUTPUT_GRID)));
                    add(at(unit.screen), Traits::SCREEN);
                    add(cathode, Traits::CATHODE);
                }
            }
        }
        if tube.class == Class::Converter {
            let grid = tube.pins_of("g1").first().copied().or(tube.pins_of("gt").first().copied());
            add(grid.and_then(|pin| socket.node(pin)), Traits::OSCILLATOR_GRID);
        }
        let amplifies = |kind| !matches!(kind, UnitKind::Rectifier | UnitKind::Diode);
        if tube.units().iter().any(|unit| amplifies(unit.kind)) {
            // Both ends of a filament that is its own cathode.
            for pin in tube.pins_of("f") {
                add(socket.node(pin), Traits::CATHODE);
            }
        }
        if tube.class == Class::Rectifier {
            // Either end of a filament may be the one that is wired on.
            for pin in tube.pins_of("f") {
                add(socket.node(pin), Traits::RECTIFIER_OUT);
            }
        }
    }

    /// Where a transformer has its windings on the sheet, `ac1` is a point of
    /// its secondary, unless it leads to the primary.
    fn own_windings(&mut self, sheet: &Sheet, wiring: &Wiring) {
        if !has_own_windings(sheet) {
            return;
        }
        for (node, traits) in wiring.nodes.iter().zip(&mut self.traits) {
            let of_line = |name: &String| {
                let name = name.upper();
                is_line_name(&name) && !is_ac_name(&name)
            };
            if !node.names.iter().any(of_line) {
                *traits = Traits(traits.0 & !Traits::MAINS.0);
            }
        }
    }

    /// The windings of the power transformer.
    fn windings(&mut self, sheet: &Sheet, wiring: &Wiring) {
        let off_line =
            matches!(sheet.header.supply, Some(SupplyKind::Vibrator | SupplyKind::Battery));
        // The primary of a vibrator's transformer is fed from a battery.
        let chopped = |node: &NodeIndex| {
            let leads = wiring.nodes[*node].leads.iter();
            leads.take(64).any(|lead| sheet.parts[lead.part].kind == PartKind::Vibrator)
        };
        for part in sheet.parts.iter().filter(|p| is_power_transformer(p)) {
            for winding in &part.windings {
                let ends = [&winding.start, &winding.end].map(|t| wiring.terminal(part, t));
                let from_battery = off_line || ends.iter().flatten().any(chopped);
                if winding.kind == WindingKind::Heater {
                    self.filament_tap(part, winding, wiring);
                }
                let traits = match winding.kind {
                    WindingKind::Primary if from_battery => continue,
                    WindingKind::Primary => Traits::MAINS,
                    WindingKind::Secondary => Traits::RECTIFIER_IN,
                    _ => continue,
                };
                for node in ends {
                    // One end of a half-wave winding is the return itself.
                    if let Some(node) = node.filter(|n| !self.traits(*n).has(Traits::RETURN)) {
                        self.add(node, traits);
                    }
                }
            }
        }
    }
}

impl Points {
    /// The tap of a winding that heats filaments is a cathode as they are.
    fn filament_tap(&mut self, part: &Part, winding: &Winding, wiring: &Wiring) {
        let ends = [&winding.start, &winding.end].map(|t| wiring.terminal(part, t));
        let is_cathode = |node: &NodeIndex| self.traits(*node).has(Traits::CATHODE);
        let tap = winding.tap.as_ref().and_then(|tap| wiring.terminal(part, tap));
        if let Some(tap) = tap.filter(|_| ends.iter().flatten().any(is_cathode))
            && !self.traits(tap).has(Traits::RETURN)
        {
            self.add(tap, Traits::CATHODE);
        }
    }
}

/// The line, carried on by contacts and resistance cords.
fn on_mains(sheet: &Sheet, wiring: &Wiring, traits: &[Traits]) -> Vec<bool> {
    let mut links: Vec<Vec<NodeIndex>> = vec![Vec::new(); traits.len()];
    for part in &sheet.parts {
        let carries = is_tie(part) || part.kind == PartKind::ResistanceCord;
        if let (true, Some((a, b))) = (carries, wiring.leads(part)) {
            links[a].push(b);
            links[b].push(a);
        }
    }
    let mut on: Vec<bool> = traits.iter().map(|t| t.has(Traits::MAINS)).collect();
    let mut open: Vec<NodeIndex> = (0..on.len()).filter(|node| on[*node]).collect();
    while let Some(node) = open.pop() {
        for other in &links[node] {
            if !std::mem::replace(&mut on[*other], true) {
                open.push(*other);
            }
        }
    }
    on
}

/// What a node is by the names the user gave it.
fn named(node: &super::wiring::Node) -> Traits {
    node.names.iter().fold(Traits::default(), |all, name| all.with(named_traits(name)))
}

fn named_traits(name: &str) -> Traits {
    let name = name.trim().upper().replace(['−', '–'], "-");
    match name.as_str() {
        name if is_line_name(name) => Traits::MAINS,
        "CHASSIS" | "FRAME" => Traits::CHASSIS,
        "B-" | "BMINUS" | "B-MINUS" | "HT-" | "COMMON" => Traits::B_MINUS,
        "GND" | "GROUND" | "EARTH" | "GRD" | "GROUND TERMINAL" => Traits::GROUND,
        "ANT" | "ANTENNA" | "AERIAL" => Traits::ANTENNA,
        "AVC" | "AGC" | "DAVC" => Traits::AVC,
        "SCR" | "SCREEN" => Traits::SCREEN,
        "A+" | "BATTERY" | "BATT" => Traits::BATTERY,
        _ => supply_point(&name),
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

/// What an electrode is by its name alone.
fn strange_traits(part: &str, terminal: &str) -> Traits {
    if !part.upper().starts_with('V') {
        return Traits::default();
    }
    let electrode = terminal.trim_end_matches(|c: char| c.is_ascii_digit());
    match (electrode, terminal) {
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
            ("b−", Traits::B_MINUS),
            ("B1", Traits::FIRST_B_PLUS),
            ("B+2", Traits::LATER_B_PLUS),
            ("B+", Traits::B_PLUS),
            ("B", Traits::default()),
            ("BAND", Traits::default()),
            ("ANT", Traits::ANTENNA),
        ] {
            assert_eq!(named_traits(name), traits, "{name}");
        }
    }

    #[test]
    fn electrodes_speak_by_pin_where_the_type_is_known_and_by_name_elsewhere() {
        let sheet = Sheet::read(
            "V2 6SK7 4=gr 8=pl\nV3 XYZ p=out\nV4 35Z5GT 5=tap 8=up\nR1 1M V9.k to V2.g2",
        );
        let wiring = Wiring::of(&sheet);
        let points = Points::of(&sheet, &wiring, &[]);
        let at = |name: &str| points.traits(wiring.named(name).unwrap());
        assert_eq!(at("gr"), Traits::GRID);
        assert_eq!(at("pl"), Traits::PLATE);
        assert_eq!(at("out"), Traits::PLATE);
        assert_eq!(at("tap"), Traits::RECTIFIER_IN);
        assert_eq!(at("up"), Traits::RECTIFIER_OUT);
        let leads = wiring.leads(&sheet.parts[3]).unwrap();
        assert_eq!(points.traits(leads.0), Traits::CATHODE);
        assert_eq!(points.traits(leads.1), Traits::SCREEN);
    }
}
