//! Faults in words: what is wrong, and what to look at.

use super::{Fault, Harness, How, PointIndex, Port, Table};
use crate::circuit::wiring::Wiring;
use crate::sheet::Sheet;
use crate::sheet::part::{PartKind, Place};

impl Table {
    /// What a fault is, in one sentence without its stop.
    pub fn says(&self, sheet: &Sheet, wiring: &Wiring, fault: &Fault) -> String {
        let part = &sheet.parts[fault.part];
        let key = &part.key;
        let between = |ports: &Option<Port>| match ports {
            None => String::new(),
            Some((a, b)) => {
                let name = |p: PointIndex| self.harness.name_of(wiring, p);
                format!(" between {} and {}", name(*a), name(*b))
            }
        };
        match &fault.how {
            How::Open(_) if super::super::model::is_contact(part.kind) => {
                format!("{key} does not make contact")
            }
            How::Open(ports) if part.kind == PartKind::Tube => {
                format!("{key}: heater open{}", between(ports))
            }
            How::Open(ports) => format!("{key} open{}", between(ports)),
            How::Short(ports) => format!("{key} shorted{}", between(ports)),
            How::Wiper(_) => format!("{key}: the wiper does not touch its track"),
            How::Up => format!("{key} has risen past its tolerance"),
            How::Down => format!("{key} has fallen below its tolerance"),
            How::Leaky => format!("{key} leaks"),
            How::Lead { end, tube, pin, on } => {
                let tube = &sheet.parts[*tube].key;
                let lead = if *end == 0 { "first" } else { "second" };
                format!(
                    "{key}: its {lead} lead is on {} of {tube} instead of {}",
                    pin_word(*on),
                    pin_word(*pin)
                )
            }
            How::Tap { tap, end } => {
                format!("{key}: what belongs on tap {tap} is on end {end} of the winding")
            }
            How::Swapped { with } => {
                format!("{key} and {}: leads exchanged", sheet.parts[*with].key)
            }
            How::WireOff { tie } => {
                let (a, b) = &self.harness.ties[*tie].places;
                format!("the wire from {} to {} is missing", place_word(a), place_word(b))
            }
            How::WireOn { tie, on } => {
                let (a, b) = &self.harness.ties[*tie].places;
                let far = place_word(b);
                format!("the wire from {far} to {} is on {} instead", place_word(a), pin_word(*on))
            }
        }
    }

    /// What to look at first, in one sentence.
    pub fn look(&self, sheet: &Sheet, fault: &Fault) -> String {
        let part = &sheet.parts[fault.part];
        let key = &part.key;
        match &fault.how {
            How::Open(_) if super::super::model::is_contact(part.kind) => {
                format!("Work {key} a few times and measure across it.")
            }
            How::Open(_) if part.kind == PartKind::Tube => {
                format!("Pull {key} and measure between its heater pins.")
            }
            How::Open(_) => format!("Look at both joints of {key}, then measure across it."),
            How::Short(_) => format!(
                "Look for solder, a clipped lead or bare wires at {key}; lift one lead and measure it."
            ),
            How::Wiper(_) => format!("Turn {key} from end to end with the meter on its wiper."),
            How::Up | How::Down => format!("Lift one lead of {key} and measure it alone."),
            How::Leaky => format!("Lift one lead of {key} and measure its insulation."),
            How::Lead { pin, on, .. } => format!(
                "Count the pins from the key: the lead of {key} belongs on {}, not on {}.",
                pin_word(*pin),
                pin_word(*on)
            ),
            How::Tap { tap, end } => format!(
                "Compare lugs {tap} and {end} of {key} with the winding: the tap reads half to each end."
            ),
            How::Swapped { .. } => {
                format!("Compare the marks at the lugs of {key} with the sheet; no ohmmeter tells.")
            }
            How::WireOff { tie } | How::WireOn { tie, .. } => {
                let (a, b) = &self.harness.ties[*tie].places;
                format!("Follow the wire from {} to {}.", place_word(a), place_word(b))
            }
        }
    }
}

impl Harness {
    /// What a point is called: the name of its node, or its first pin.
    pub fn name_of(&self, wiring: &Wiring, point: PointIndex) -> String {
        let node = self.node_of(point).and_then(|n| wiring.nodes.get(n));
        node.map_or_else(|| "an unnamed point".to_owned(), |n| n.name.clone())
    }
}

/// `pin 6`, or `the cap`.
pub fn pin_word(pin: u8) -> String {
    if pin == 0 { "the cap".to_owned() } else { format!("pin {pin}") }
}

/// `V2 pin 6`, `T1 lug 3`, `B2`.
pub fn place_word(place: &Place) -> String {
    match place {
        Place::Named(name) => name.clone(),
        Place::Terminal { part, terminal } if part.starts_with('V') => {
            match terminal.parse::<u8>() {
                Ok(pin) => format!("{part} pin {pin}"),
                Err(_) => format!("{part} {terminal}"),
            }
        }
        Place::Terminal { part, terminal } => format!("{part} lug {terminal}"),
    }
}
