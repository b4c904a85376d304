//! Which points no figure may be given of: those that a supply feeds, or sways,
//! that is not solved, and those that nothing feeds.

use crate::circuit::feed::{Reach, Unsolved};
use crate::circuit::model::Model;
use crate::circuit::netlist::{Element, ElementId, NodeId};
use crate::circuit::wiring::NodeIndex;
use crate::trade::tubes::UnitKind;
use rustc_hash::FxHashSet;

/// The nodes of the netlist that what is unsolved can sway; `supplies` are the
/// sources that stand for supplies.
///
/// Direct current carries it: through resistors, coils and supplies, and
/// through tubes, of which a grid sways all and nothing sways a grid. The
/// reference holds, and so does what batteries tie to it.
pub fn swayed(model: &Model, supplies: &[Option<ElementId>], unsolved: &[Unsolved]) -> Vec<bool> {
    let count = model.net.node_count();
    let mut from: Vec<NodeId> = Vec::new();
    for one in unsolved {
        match &one.reach {
            Reach::Points(points) => from.extend(points.iter().map(|node| model.node(*node))),
            Reach::Everything => {
                let mut all = vec![true; count];
                all[NodeId::GROUND.index()] = false;
                return all;
            }
        }
    }
    let mut swayed = vec![false; count];
    if from.is_empty() {
        return swayed;
    }
    let is_supply = |id: ElementId| supplies.contains(&Some(id));
    let held = held(model, is_supply);
    let mut links: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (_, element) in model.net.elements() {
        let mut both = |a: NodeId, b: NodeId| {
            links[a.index()].push(b.index());
            links[b.index()].push(a.index());
        };
        match *element {
            Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => both(a, b),
            Element::VoltageSource { plus, minus, .. } => both(plus, minus),
            Element::Device { plate, grid, screen, cathode, law } => {
                both(plate, cathode);
                if law.electrodes() > 2 {
                    both(screen, cathode);
                    both(screen, plate);
                }
                if law.electrodes() > 1 {
                    links[grid.index()].extend([plate.index(), cathode.index()]);
                }
            }
            _ => {}
        }
    }
    let mut open: Vec<usize> = from.iter().map(|node| node.index()).collect();
    while let Some(node) = open.pop() {
        if held[node] || std::mem::replace(&mut swayed[node], true) {
            continue;
        }
        open.extend(links[node].iter().copied().filter(|next| !swayed[*next]));
    }
    swayed
}

/// The reference and what batteries alone tie to it.
fn held(model: &Model, is_supply: impl Fn(ElementId) -> bool) -> Vec<bool> {
    let mut held = vec![false; model.net.node_count()];
    held[NodeId::GROUND.index()] = true;
    loop {
        let mut more = false;
        for (id, element) in model.net.elements() {
            if let Element::VoltageSource { plus, minus, .. } = *element
                && !is_supply(id)
                && held[plus.index()] != held[minus.index()]
            {
                (held[plus.index()], held[minus.index()], more) = (true, true, true);
            }
        }
        if !more {
            return held;
        }
    }
}

/// A plate or screen that nothing feeds, and its tube by its part's index.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unfed {
    /// The tube.
    pub part: usize,
    /// The electrode's point.
    pub node: NodeIndex,
    /// Whether it is the screen.
    pub is_screen: bool,
}

/// The nodes that resistors, coils and windings join to each node.
fn conducting(model: &Model) -> Vec<Vec<usize>> {
    let mut links: Vec<Vec<usize>> = vec![Vec::new(); model.net.node_count()];
    for (_, element) in model.net.elements() {
        if let Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } = *element {
            links[a.index()].push(b.index());
            links[b.index()].push(a.index());
        }
    }
    links
}

/// Both ends of every source.
fn sources(model: &Model) -> impl Iterator<Item = (usize, usize)> + '_ {
    model.net.elements().filter_map(|(_, element)| match *element {
        Element::VoltageSource { plus, minus, .. } => Some((plus.index(), minus.index())),
        _ => None,
    })
}

const fn amplifies(kind: UnitKind) -> bool {
    matches!(kind, UnitKind::Triode | UnitKind::Pentode | UnitKind::Converter)
}

/// The plates and screens of amplifying tubes to which no resistor, coil or
/// winding leads from a supply or a battery: what feeds them is not drawn. What
/// meets them through such parts is added to `unknown`.
pub fn unfed(model: &Model, unknown: &mut [bool]) -> Vec<Unfed> {
    let count = model.net.node_count();
    let links = conducting(model);
    let mut fed = vec![false; count];
    for (plus, minus) in sources(model) {
        fed[plus] = true;
        fed[minus] = true;
    }
    // A tube whose plate is fed feeds what hangs on its cathode.
    let mut ways = links.clone();
    for device in model.devices.iter().filter(|device| device.element.is_some()) {
        let [plate, cathode] = [device.plate, device.cathode].map(|node| model.node(node).index());
        ways[plate].push(cathode);
    }
    // Ground feeds nothing, and leads on to nothing.
    fed[NodeId::GROUND.index()] = false;
    let mut open: Vec<usize> = (0..count).filter(|node| fed[*node]).collect();
    while let Some(node) = open.pop() {
        for next in &ways[node] {
            if *next != NodeId::GROUND.index() && !std::mem::replace(&mut fed[*next], true) {
                open.push(*next);
            }
        }
    }
    let mut all = Vec::new();
    let mut seen = FxHashSet::default();
    for device in &model.devices {
        if !amplifies(device.kind) || device.element.is_none() {
            continue;
        }
        let screen = device.screen.map(|node| (node, true));
        for (node, is_screen) in std::iter::once((device.plate, false)).chain(screen) {
            let at = model.node(node);
            let tied = at == model.node(device.cathode)
                || device.grid.is_some_and(|grid| model.node(grid) == at);
            if at == NodeId::GROUND || tied || fed[at.index()] {
                continue;
            }
            if seen.insert((device.part, at)) {
                all.push(Unfed { part: device.part, node, is_screen });
            }
            let mut open = vec![at.index()];
            while let Some(node) = open.pop() {
                let ground = node == NodeId::GROUND.index();
                if !ground && !std::mem::replace(&mut unknown[node], true) {
                    open.extend(&links[node]);
                }
            }
        }
    }
    all
}

/// The amplifying tubes from whose cathode no part leads to the reference: a
/// lead is not drawn. Their cathodes, and what parts join to them, are added to
/// `unknown`.
///
/// Current goes on through resistors, coils, supplies and other tubes, from
/// plate to cathode.
pub fn open_cathodes(model: &Model, unknown: &mut [bool]) -> Vec<usize> {
    let count = model.net.node_count();
    let mut links = conducting(model);
    for (plus, minus) in sources(model) {
        links[plus].push(minus);
        links[minus].push(plus);
    }
    let parts = links.clone();
    for device in &model.devices {
        let [plate, cathode] = [device.plate, device.cathode].map(|node| model.node(node).index());
        links[cathode].push(plate);
    }
    let mut back = vec![false; count];
    let mut open = vec![NodeId::GROUND.index()];
    while let Some(node) = open.pop() {
        if !std::mem::replace(&mut back[node], true) {
            open.extend(links[node].iter().copied().filter(|next| !back[*next]));
        }
    }
    let mut all = Vec::new();
    for (index, device) in model.devices.iter().enumerate() {
        let cathode = model.node(device.cathode).index();
        // Where nothing of the tube leads to the reference, all of it floats.
        let plate = model.node(device.plate).index();
        if !amplifies(device.kind) || back[cathode] || !back[plate] || unknown[cathode] {
            continue;
        }
        all.push(index);
        let mut open = vec![cathode];
        while let Some(node) = open.pop() {
            if !back[node] && !std::mem::replace(&mut unknown[node], true) {
                open.extend(&parts[node]);
            }
        }
    }
    all
}
