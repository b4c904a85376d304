//! Heaters and filaments as resistances.

use super::{Model, View};
use crate::circuit::wiring::{Socket, Wiring};
use crate::sheet::part::Part;
use crate::trade::heater::COLD;
use crate::trade::tubes::{Part as Electrode, TubeType};

/// The part of a rectifier's heater that its lamp tap cuts off: about 7.5 of
/// 35 V. Source: receiving-tube manuals, from memory.
const LAMP_TAP: f64 = 7.5 / 35.0;

/// Adds the heater of a tube, in its sections.
pub fn add(model: &mut Model, index: usize, part: &Part, wiring: &Wiring, view: View) {
    let Some(socket) = wiring.socket(index) else { return };
    let Some(tube) = &socket.tube else { return };
    if tube.heater_amps <= 0.0 || tube.heater_volts <= 0.0 {
        return;
    }
    let warm = tube.heater_volts / tube.heater_amps;
    let ohms = if view == View::Ohmmeter { warm * COLD } else { warm };
    for (a, b, share) in sections(tube) {
        if let (Some(a), Some(b)) = (node(socket, a), node(socket, b)) {
            let (a, b) = (model.node(a), model.node(b));
            model.resistance(index, &part.key, a, b, ohms * share);
        }
    }
}

fn node(socket: &Socket, pin: u8) -> Option<usize> {
    socket.node(pin)
}

/// Pairs of pins and the share of the heater between them.
fn sections(tube: &TubeType) -> Vec<(u8, u8, f64)> {
    let pins = |wanted: &[Electrode]| -> Vec<u8> {
        (1..)
            .zip(&tube.pins)
            .filter(|(_, pin)| pin.iter().any(|e| wanted.contains(&e.part)))
            .map(|(pin, _)| pin)
            .collect()
    };
    let ends = pins(&[
        Electrode::Heater,
        Electrode::Filament,
        Electrode::FilamentPlus,
        Electrode::FilamentMinus,
    ]);
    let (Some(first), Some(last)) = (ends.first(), ends.last()) else { return Vec::new() };
    if first == last {
        return Vec::new();
    }
    if let Some(tap) = pins(&[Electrode::HeaterTap]).first() {
        return vec![(*first, *tap, LAMP_TAP), (*tap, *last, 1.0 - LAMP_TAP)];
    }
    let middle = pins(&[Electrode::HeaterCentre, Electrode::FilamentCentre]);
    match middle.first() {
        Some(middle) => vec![(*first, *middle, 0.5), (*middle, *last, 0.5)],
        None => vec![(*first, *last, 1.0)],
    }
}
