//! What every part is planned against: nodes, supply, what the circuit says of
//! the part, and what bridges what.
//!
//! ```
//! use firstglow::{plan::context::Context, sheet::Sheet};
//! let context = Context::of(&Sheet::default());
//! assert!(!context.supply.described());
//! ```
//!
//! Limits: resistors that bridge a capacitor are told in its working and
//! judged themselves; they change its replacement by its stress alone.

use super::string::{self, InLine};
use super::supply::Supply;
use crate::circuit::feed::Feed;
use crate::circuit::points::{Points, Traits};
use crate::circuit::report::{CapacitorReport, Line, Report, ResistorReport, report_of};
use crate::circuit::roles::{Placed, Roles, Ties};
use crate::circuit::state::Set;
use crate::circuit::wiring::Wiring;
use crate::notation::note::{Level, Note};
use crate::sheet::part::{Make, Part, PartKind, Place};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::tubes::UnitKind;
use rustc_hash::{FxHashMap, FxHashSet};

/// The surroundings of a part.
#[derive(Debug, Clone)]
pub struct Context {
    /// The nodes of the sheet.
    pub wiring: Wiring,
    /// What they are.
    pub points: Points,
    /// The supply.
    pub supply: Supply,
    /// What the circuit says.
    pub circuit: Report,
    /// Where its current comes from.
    pub feeds: Vec<Feed>,
    placed: FxHashMap<String, Placed>,
    capacitors: FxHashMap<String, usize>,
    resistors: FxHashMap<String, usize>,
    bridges: FxHashMap<(usize, usize), f64>,
    in_line: FxHashMap<String, InLine>,
    /// Whether a rectifier of the set feeds nothing that could be computed.
    pub open_supply: bool,
    /// Parts whose mark may belong to another section.
    doubtful: FxHashSet<String>,
}

impl Context {
    /// Reads the surroundings once for all parts.
    pub fn of(sheet: &Sheet) -> Self {
        let wiring = Wiring::of(sheet);
        let set = Set::of(sheet, &wiring);
        let points = Points::of(sheet, &wiring, &set.feeds);
        let mut supply = Supply::of(sheet, &points, &set.feeds);
        let placed = placed(sheet, &wiring, &points, &set.feeds, &supply);
        let circuit = report_of(sheet, &set);
        let in_line = string::loads(sheet, &wiring, &points, &set, &circuit.supplies);
        let open_supply = open_supply(sheet, &set);
        let feeds = set.feeds;
        supply.take_in(&feeds, &circuit, Line::of(sheet).high);
        let index = |keys: Vec<&String>| {
            keys.into_iter().enumerate().map(|(at, key)| (key.clone(), at)).collect()
        };
        let capacitors = index(circuit.capacitors.iter().map(|c| &c.key).collect());
        let resistors = index(circuit.resistors.iter().map(|r| &r.key).collect());
        Self {
            in_line,
            placed,
            capacitors,
            resistors,
            bridges: bridges(sheet, &wiring),
            open_supply,
            doubtful: doubtful(sheet),
            wiring,
            points,
            supply,
            circuit,
            feeds,
        }
    }

    /// Whether nothing on the sheet tells where the part is.
    pub fn is_unplaced(&self, part: &Part) -> bool {
        let known = |c: &CapacitorReport| c.stress_v.is_some();
        self.placed(part).is_none() && !self.capacitor(part).is_some_and(known)
    }

    /// Whether a part's rating may be that of another section of its line.
    pub fn has_doubtful_mark(&self, part: &Part) -> bool {
        self.doubtful.contains(&part.key)
    }

    /// What the node of a place is.
    pub fn traits(&self, place: &Place) -> Traits {
        self.points.at(&self.wiring, place)
    }

    /// The role that a part's places give it.
    pub fn placed(&self, part: &Part) -> Option<&Placed> {
        self.placed.get(&part.key)
    }

    /// What the circuit says of a capacitor.
    pub fn capacitor(&self, part: &Part) -> Option<&CapacitorReport> {
        self.capacitors.get(&part.key).map(|at| &self.circuit.capacitors[*at])
    }

    /// What the circuit says of a resistor.
    pub fn resistor(&self, part: &Part) -> Option<&ResistorReport> {
        self.resistors.get(&part.key).map(|at| &self.circuit.resistors[*at])
    }

    /// The alternating current of a resistor on the line's side, where known.
    pub fn in_line(&self, part: &Part) -> Option<&InLine> {
        self.in_line.get(&part.key)
    }

    /// Whether alternating current of the line runs through a resistor, known
    /// or not.
    pub fn is_in_line(&self, part: &Part) -> bool {
        string::is_in_line(part, &self.wiring, &self.points)
    }

    /// The resistance across a part's leads, ohms.
    pub fn bridge_ohms(&self, part: &Part) -> Option<f64> {
        self.bridges.get(&nodes(part, &self.wiring)?).map(|siemens| 1.0 / siemens)
    }

    /// Whether a lead of the part is on the line itself.
    pub fn on_mains(&self, part: &Part) -> bool {
        self.either(part, |points, node| points.on_mains(node) || points.line(node).hot)
    }

    /// Whether alternating voltage of the supply reaches a lead of the part: it
    /// adds to what the circuit says of direct voltage.
    pub fn on_alternating(&self, part: &Part) -> bool {
        self.either(part, |points, node| {
            let traits = points.traits(node);
            let line = points.on_mains(node) || points.line(node).hot;
            let reached = line || traits.has(Traits::RECTIFIER_IN);
            // What everything is told against has none, nor has what a supply
            // comes back to, though it be a wire of the line.
            let returns = self.feeds.iter().any(|feed| feed.common() == node);
            reached && !returns && !traits.has(Traits::RETURN)
        })
    }

    fn either(&self, part: &Part, is: impl Fn(&Points, usize) -> bool) -> bool {
        part.leads.as_ref().is_some_and(|leads| {
            [&leads.from, &leads.to]
                .into_iter()
                .filter_map(|place| self.wiring.node(place))
                .any(|node| is(&self.points, node))
        })
    }
}

/// The role of every part whose places give it one.
fn placed(
    sheet: &Sheet,
    wiring: &Wiring,
    points: &Points,
    feeds: &[Feed],
    supply: &Supply,
) -> FxHashMap<String, Placed> {
    let ties = Ties {
        live: supply.line_connected,
        hot_chassis: supply.hot_chassis,
        vibrator: supply.kind.is_some_and(|k| k.value == SupplyKind::Vibrator),
    };
    let roles = Roles::of(sheet, wiring, points, feeds, ties);
    let capacitive = |p: &&Part| {
        matches!(
            p.kind,
            PartKind::Capacitor
                | PartKind::VariableCapacitor
                | PartKind::Resistor
                | PartKind::Potentiometer
        )
    };
    let found = sheet.parts.iter().filter(capacitive).filter_map(|part| {
        let role = match part.kind {
            PartKind::Resistor | PartKind::Potentiometer => roles.find_bridge(part),
            _ => roles.find(part, is_polarised(part)),
        };
        Some((part.key.clone(), role?))
    });
    found.collect()
}

/// Whether a rectifier of the set is part of no supply that was found.
fn open_supply(sheet: &Sheet, set: &Set) -> bool {
    let fed: FxHashSet<usize> = set.feeds.iter().flat_map(|f| f.devices.iter().copied()).collect();
    set.running.devices.iter().enumerate().any(|(at, device)| {
        let part = &sheet.parts[device.part];
        // A crystal detects; it feeds nothing.
        let power = part.kind != PartKind::Diode || part.is_made(Make::Silicon);
        device.kind == UnitKind::Rectifier && power && !fed.contains(&at)
    })
}

/// Parts whose mark is not surely their own: sections of one line that all have
/// the same one, and parts of a line that was not wholly read.
fn doubtful(sheet: &Sheet) -> FxHashSet<String> {
    let mut lines: FxHashMap<usize, Vec<&Part>> = FxHashMap::default();
    for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Capacitor) {
        lines.entry(part.line).or_default().push(part);
    }
    let unread: FxHashSet<usize> =
        sheet.notes.iter().filter(|n| n.level != Level::Reading).map(|n| n.line).collect();
    let doubtful = |line: &usize, parts: &[&Part]| {
        let alike = parts.windows(2).all(|two| two[0].rating == two[1].rating);
        unread.contains(line) || parts.len() > 1 && alike
    };
    lines
        .iter()
        .filter(|(line, parts)| doubtful(line, parts))
        .flat_map(|(_, parts)| parts.iter().map(|p| p.key.clone()))
        .collect()
}

/// Whether a capacitor is an electrolytic, as stated or by habit.
fn is_polarised(part: &Part) -> bool {
    super::dielectric::of(part).is_some_and(|d| d.value.is_electrolytic())
}

/// Siemens of the resistors across every pair of nodes.
fn bridges(sheet: &Sheet, wiring: &Wiring) -> FxHashMap<(usize, usize), f64> {
    let mut bridges = FxHashMap::default();
    for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Resistor) {
        let siemens = part.resistance.map(|r| 1.0 / r.to_f64()).filter(|g| g.is_finite());
        if let (Some(nodes), Some(siemens)) = (nodes(part, wiring), siemens) {
            *bridges.entry(nodes).or_insert(0.0) += siemens;
        }
    }
    bridges
}

/// Both nodes of a part, the lower first.
fn nodes(part: &Part, wiring: &Wiring) -> Option<(usize, usize)> {
    let (a, b) = wiring.leads(part)?;
    Some((a.min(b), a.max(b)))
}

/// A note of the plan on a part's line.
pub fn note(part: &Part, level: Level, message: String) -> Note {
    let length = part.designator.to_string().chars().count();
    Note { line: part.line, column: 1, length, level, message, read: None, choices: Vec::new() }
}
