//! From a sheet to a netlist: what its parts are electrically.
//!
//! One sheet gives several netlists, one for each way the set is looked at
//! ([`View`]): running on direct current, the alternating side that feeds the
//! rectifiers, and the ohmmeter's.
//!
//! Limits: switches, fuses and cords are closed. Coils and windings whose
//! resistance is not on the sheet get a usual one, which is listed as assumed.
//! A control's wiper stands in its middle.

mod elements;
mod heater;
mod tube;

pub use elements::is_power_transformer;
pub(super) use elements::winding_usual;
pub use tube::{Device, cathode_of, fitted, is_silicon};

use super::netlist::{ElementId, Netlist, NodeId};
use super::union_find::UnionFind;
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::tubes::Class;

/// How the set is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// Direct current with every tube warm; windings are resistances.
    Running,
    /// Unpowered, by an ohmmeter: tubes do not conduct, heaters are cold.
    Ohmmeter,
    /// The alternating side alone: heaters, lamps, resistors; heaters are warm.
    Alternating,
}

/// Something taken for want of a figure on the sheet.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Assumption {
    /// The line of the part, from 1.
    pub line: usize,
    /// What was taken, in one sentence.
    pub text: String,
}

/// The netlist of a sheet in one view.
#[derive(Debug, Clone)]
pub struct Model {
    /// Nodes and elements.
    pub net: Netlist,
    /// The netlist's node of each node of the wiring.
    pub nodes: Vec<NodeId>,
    /// The elements of each part of the sheet.
    pub parts: Vec<Vec<ElementId>>,
    /// Tube units and dry rectifiers.
    pub devices: Vec<Device>,
    /// What was taken for want of a figure.
    pub assumed: Vec<Assumption>,
    /// The node that voltages and resistances are told against.
    pub reference: Option<NodeIndex>,
    /// The nodes of the netlist whose direct voltage is not known, whatever a
    /// solution says; empty where all are.
    pub unknown: Vec<bool>,
    /// Whether a supply of the set is not solved: then no volts at all, where
    /// the solution says so, may be those of a supply that is missing.
    pub lacks_supply: bool,
}

impl Model {
    /// Builds the netlist of a sheet.
    pub fn of(sheet: &Sheet, wiring: &Wiring, view: View) -> Self {
        let reference = reference(wiring);
        let (net, nodes) = number(sheet, wiring, reference, view);
        let mut model = Self {
            net,
            nodes,
            parts: vec![Vec::new(); sheet.parts.len()],
            devices: Vec::new(),
            assumed: Vec::new(),
            reference,
            unknown: Vec::new(),
            lacks_supply: false,
        };
        for (index, part) in sheet.parts.iter().enumerate() {
            model.add(index, part, wiring, view);
        }
        model
    }

    /// The netlist's node of a node of the wiring.
    pub fn node(&self, node: NodeIndex) -> NodeId {
        self.nodes[node]
    }

    /// Whether the direct voltage of a node of the netlist is known.
    pub fn is_known(&self, node: NodeId) -> bool {
        !self.unknown.get(node.index()).copied().unwrap_or(false)
    }

    /// Notes what was taken for want of a figure.
    fn assume(&mut self, part: &Part, text: String) {
        self.assumed.push(Assumption { line: part.line, text });
    }
}

/// What voltages are told against: of B- and chassis the one that more leads
/// meet, as a schematic would draw it.
pub fn reference(wiring: &Wiring) -> Option<NodeIndex> {
    let at = |name: &str| wiring.named(name);
    let leads = |node: &NodeIndex| wiring.nodes[*node].leads.len();
    // Of equals the last counts: B-.
    [at("chassis"), at("B-")].into_iter().flatten().max_by_key(leads).or_else(|| at("A-"))
}

/// Whether a part is a closed contact.
pub const fn is_contact(kind: PartKind) -> bool {
    matches!(kind, PartKind::Switch | PartKind::Fuse | PartKind::Cord)
}

/// Numbers the nodes: those that closed contacts join are one, so is a
/// rectifier's filament with its winding but for the ohmmeter, and the reference
/// is ground.
fn number(
    sheet: &Sheet,
    wiring: &Wiring,
    reference: Option<NodeIndex>,
    view: View,
) -> (Netlist, Vec<NodeId>) {
    let mut sets = UnionFind::new(wiring.nodes.len());
    if view != View::Ohmmeter {
        filaments(sheet, wiring, &mut sets);
    }
    for part in sheet.parts.iter().filter(|p| is_contact(p.kind)) {
        if let Some((a, b)) = wiring.leads(part) {
            sets.union(a, b);
        }
    }
    let ground = reference.map(|node| sets.find(node));
    let mut net = Netlist::new();
    let mut of_root: Vec<Option<NodeId>> = vec![None; wiring.nodes.len()];
    let nodes = (0..wiring.nodes.len())
        .map(|node| {
            let at = sets.find(node);
            *of_root[at].get_or_insert_with(|| {
                if ground == Some(at) { NodeId::GROUND } else { net.node(&wiring.nodes[node].name) }
            })
        })
        .collect();
    (net, nodes)
}

/// Makes the filament of every rectifier one point with the winding that heats
/// it: B+ may be on either pin or on the winding's tap.
fn filaments(sheet: &Sheet, wiring: &Wiring, sets: &mut UnionFind) {
    let mut join = |nodes: &[NodeIndex]| {
        for pair in nodes.windows(2) {
            sets.union(pair[0], pair[1]);
        }
    };
    for socket in &wiring.sockets {
        let Some(tube) = socket.tube.as_ref().filter(|t| t.class == Class::Rectifier) else {
            continue;
        };
        let ends = tube::filament(socket, tube);
        join(&ends);
        for part in sheet.parts.iter().filter(|p| is_power_transformer(p)) {
            for winding in &part.windings {
                if !winding.lights() {
                    continue;
                }
                let names = [Some(&winding.start), winding.tap.as_ref(), Some(&winding.end)];
                let points: Vec<NodeIndex> =
                    names.into_iter().flatten().filter_map(|t| wiring.terminal(part, t)).collect();
                if let Some(end) = points.iter().find_map(|p| ends.iter().find(|e| *e == p)) {
                    join(&[&[*end], points.as_slice()].concat());
                }
            }
        }
    }
}
