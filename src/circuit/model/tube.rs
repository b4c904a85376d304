//! Tube units and dry rectifiers as devices.

use super::Model;
use crate::circuit::fit::{self, Fit};
use crate::circuit::law::{Law, SILICON};
use crate::circuit::netlist::{ElementId, NodeId, Terminals};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::part::{Make, Part};
use crate::trade::tubes::{TubeType, Unit, UnitKind};

/// What conducts in one direction, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Device {
    /// The part, by its index on the sheet.
    pub part: usize,
    /// What the unit is.
    pub kind: UnitKind,
    /// Node of plate or anode.
    pub plate: NodeIndex,
    /// Node of the control grid.
    pub grid: Option<NodeIndex>,
    /// Node of the screen.
    pub screen: Option<NodeIndex>,
    /// Node of the cathode.
    pub cathode: NodeIndex,
    /// Its law and how well it meets the published points.
    pub fit: Fit,
    /// Its element; none where it is part of a supply.
    pub element: Option<ElementId>,
}

/// The law of a unit, warm.
pub fn fitted(tube: &TubeType, unit: &Unit) -> Option<Fit> {
    fit::fit(tube, unit).ok()
}

/// Volts of a selenium stack at its rated current. Source: about 1 V a cell,
/// 5 to 6 cells on a 117 V line; common practice, no source.
const SELENIUM_VOLTS: f64 = 6.0;
/// Amperes of a selenium stack whose rating is not on the sheet.
const SELENIUM_AMPS: f64 = 0.1;

/// Adds the units of a tube.
pub fn add(model: &mut Model, index: usize, part: &Part, wiring: &Wiring) {
    let Some(socket) = wiring.socket(index) else { return };
    let Some(tube) = &socket.tube else { return };
    for unit in tube.units() {
        let (Some(plate), Some(cathode)) = (socket.at(unit.plate), socket.at(unit.cathode)) else {
            continue;
        };
        let Some(fit) = fitted(tube, &unit) else { continue };
        let at = |place: Option<_>| place.and_then(|p| socket.at(p));
        let device = Device {
            part: index,
            kind: unit.kind,
            plate,
            grid: at(unit.grid),
            screen: at(unit.screen),
            cathode,
            fit,
            element: None,
        };
        push(model, device, part);
    }
}

/// Adds a selenium, copper-oxide or silicon rectifier: from its first lead, the
/// anode, to its second.
pub fn add_dry(model: &mut Model, index: usize, part: &Part, wiring: &Wiring) {
    let Some((plate, cathode)) = wiring.leads(part) else { return };
    let silicon = part.is_made(Make::Silicon)
        || part.kind == crate::sheet::part::PartKind::Diode && !part.is_made(Make::Selenium);
    let law = if silicon {
        SILICON
    } else {
        let amps = part.current.map_or(SELENIUM_AMPS, crate::trade::quantity::Current::to_f64);
        Law::selenium(SELENIUM_VOLTS, amps)
    };
    let fit = Fit { law, method: fit::Method::Alike, points: Vec::new() };
    let (grid, screen) = (None, None);
    let kind = UnitKind::Rectifier;
    push(
        model,
        Device { part: index, kind, plate, grid, screen, cathode, fit, element: None },
        part,
    );
}

/// Adds a device; a rectifier is part of its supply. A regulator is added by the
/// state that knows whether it is lit.
fn push(model: &mut Model, mut device: Device, part: &Part) {
    let rectifies = device.kind == UnitKind::Rectifier;
    let conducts = !rectifies && device.kind != UnitKind::Regulator;
    if conducts && device.plate != device.cathode {
        let node = |n: Option<NodeIndex>| n.map_or(NodeId::GROUND, |n| model.nodes[n]);
        let at = Terminals {
            plate: model.nodes[device.plate],
            grid: device.grid.map_or(model.nodes[device.cathode], |n| model.nodes[n]),
            screen: node(device.screen),
            cathode: model.nodes[device.cathode],
        };
        device.element = model.net.device(&part.key, at, device.fit.law).ok();
        model.keep(device.part, device.element);
    }
    model.devices.push(device);
}
