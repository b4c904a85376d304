//! Tube units and dry rectifiers as devices.

use super::Model;
use crate::circuit::fit::{self, Fit};
use crate::circuit::law::{Law, SILICON};
use crate::circuit::netlist::{ElementId, NodeId, Terminals};
use crate::circuit::wiring::{NodeIndex, Socket, Wiring};
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::tubes::{Electrode as Which, Part as Electrode, TubeType, Unit, UnitKind};

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

/// Where a rectifier gives its current out: its cathode, or an end of its
/// filament that has a place.
pub fn cathode_of(socket: &Socket, tube: &TubeType) -> Option<NodeIndex> {
    let units = tube.units();
    let own = units.iter().find_map(|unit| socket.at(unit.cathode));
    own.or_else(|| filament(socket, tube).into_iter().next())
}

/// The nodes of a filament that is its own cathode, or of a heater that the
/// tube ties to its cathode.
pub(super) fn filament(socket: &Socket, tube: &TubeType) -> Vec<NodeIndex> {
    let has = |pin: &[Which], part: Electrode| pin.iter().any(|e| e.part == part);
    let tied = |pin: &Vec<Which>| has(pin, Electrode::Heater) && has(pin, Electrode::Cathode);
    let heater = tube.pins.iter().any(tied);
    let ends = (1..).zip(&tube.pins).filter(|(_, pin)| {
        [
            Electrode::Filament,
            Electrode::FilamentPlus,
            Electrode::FilamentMinus,
            Electrode::FilamentCentre,
        ]
        .iter()
        .any(|part| has(pin, *part))
            || heater && has(pin, Electrode::Heater)
    });
    ends.filter_map(|(pin, _)| socket.node(pin)).collect()
}

/// Whether a dry rectifier or diode is silicon, by its make or its words.
pub fn is_silicon(part: &Part) -> bool {
    let dry = matches!(part.kind, PartKind::DryRectifier | PartKind::Diode);
    if !dry || part.is_made(Make::Selenium) || part.is_made(Make::CopperOxide) {
        return false;
    }
    part.is_made(Make::Silicon) || part.kind == PartKind::Diode || says_silicon(&part.mark)
}

/// `diode`, `1N4007`, `rectifier bridge of silicon`.
fn says_silicon(words: &str) -> bool {
    words.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| {
        let word = word.to_ascii_lowercase();
        let number = word
            .strip_prefix("1n")
            .is_some_and(|n| n.len() >= 3 && n.chars().take(3).all(|c| c.is_ascii_digit()));
        number || matches!(word.as_str(), "silicon" | "si" | "diode" | "diodes")
    })
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
        let cathode = socket.at(unit.cathode).or_else(|| {
            (unit.kind == UnitKind::Rectifier).then(|| cathode_of(socket, tube)).flatten()
        });
        let (Some(plate), Some(cathode)) = (socket.at(unit.plate), cathode) else {
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
    let law = if is_silicon(part) {
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
