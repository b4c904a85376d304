//! Parts with leads as elements.

use super::{Model, View, heater, tube};
use crate::circuit::netlist::{ElementId, NodeId};
use crate::circuit::wiring::Wiring;
use crate::sheet::part::{Make, Part, PartKind, Winding, WindingKind};

/// Ohms taken for parts whose resistance is not on the sheet.
/// Source: common practice, no source; typical of receivers of the time.
mod usual {
    /// A filter choke.
    pub const CHOKE: f64 = 300.0;
    /// A speaker's field coil.
    pub const FIELD: f64 = 1000.0;
    /// A radio-frequency coil or winding.
    pub const RF: f64 = 10.0;
    /// The primary of an output transformer.
    pub const OUTPUT_PRIMARY: f64 = 250.0;
    /// Its secondary.
    pub const OUTPUT_SECONDARY: f64 = 0.5;
    /// The primary of a power transformer.
    pub const POWER_PRIMARY: f64 = 8.0;
    /// Ohms a volt of a high-voltage winding, end to end: 700 V has 350 Ω.
    pub const HIGH_VOLTAGE: f64 = 0.5;
    /// A heater winding.
    pub const HEATER_WINDING: f64 = 0.1;
    /// A voice coil.
    pub const VOICE: f64 = 3.2;
    /// A meter's movement.
    pub const METER: f64 = 50.0;
    /// A dial lamp, 6.3 V 0.15 A, lit.
    pub const LAMP: f64 = 42.0;
}

/// A cold lamp's resistance by its lit one. Source: tungsten, 1:10 to 1:15;
/// published encyclopaedia and handbook values.
const LAMP_COLD: f64 = 1.0 / 12.0;

impl Model {
    /// Adds one part.
    pub(super) fn add(&mut self, index: usize, part: &Part, wiring: &Wiring, view: View) {
        match part.kind {
            PartKind::Capacitor => self.capacitor(index, part, wiring),
            PartKind::Resistor | PartKind::ResistanceCord => {
                let ohms = part.resistance.map(crate::trade::quantity::Resistance::to_f64);
                self.two_leads(index, part, wiring, ohms);
            }
            PartKind::Potentiometer => self.control(index, part, wiring),
            PartKind::Coil => {
                let usual = coil_usual(part);
                let ohms = self.known_or(
                    part,
                    part.resistance.map(crate::trade::quantity::Resistance::to_f64),
                    usual,
                );
                self.two_leads(index, part, wiring, Some(ohms));
            }
            PartKind::Transformer => self.transformer(index, part, wiring, view),
            PartKind::Lamp => self.lamp(index, part, wiring, view),
            PartKind::Speaker => {
                let known = part.resistance.map(crate::trade::quantity::Resistance::to_f64);
                let ohms = self.known_or(part, known, usual::VOICE);
                self.two_leads(index, part, wiring, Some(ohms));
            }
            PartKind::Meter => {
                let known = part.resistance.map(crate::trade::quantity::Resistance::to_f64);
                let ohms = self.known_or(part, known, usual::METER);
                self.two_leads(index, part, wiring, Some(ohms));
            }
            PartKind::Battery if view == View::Running => self.battery(index, part, wiring),
            PartKind::Tube => {
                heater::add(self, index, part, wiring, view);
                if view == View::Running {
                    tube::add(self, index, part, wiring);
                }
            }
            PartKind::DryRectifier | PartKind::Diode if view == View::Running => {
                tube::add_dry(self, index, part, wiring);
            }
            _ => {}
        }
    }

    /// Keeps an element under its part.
    pub(super) fn keep(&mut self, index: usize, element: Option<ElementId>) {
        self.parts[index].extend(element);
    }

    /// The known ohms, or usual ones, which are noted.
    fn known_or(&mut self, part: &Part, known: Option<f64>, usual: f64) -> f64 {
        known.unwrap_or_else(|| {
            self.assume(part, format!("{}: {usual} Ω taken for its resistance", part.designator));
            usual
        })
    }

    fn two_leads(&mut self, index: usize, part: &Part, wiring: &Wiring, ohms: Option<f64>) {
        if let (Some((a, b)), Some(ohms)) = (wiring.leads(part), ohms) {
            let (a, b) = (self.node(a), self.node(b));
            self.resistance(index, &part.key, a, b, ohms);
        }
    }

    /// A resistance between two nodes, unless they are one.
    pub(super) fn resistance(&mut self, index: usize, name: &str, a: NodeId, b: NodeId, ohms: f64) {
        if a != b {
            let element = self.net.resistor(name, a, b, ohms).ok();
            self.keep(index, element);
        }
    }

    fn capacitor(&mut self, index: usize, part: &Part, wiring: &Wiring) {
        if let (Some((a, b)), Some(value)) = (wiring.leads(part), part.capacitance) {
            let (a, b) = (self.node(a), self.node(b));
            if a != b {
                let element = self.net.capacitor(&part.key, a, b, value.farads()).ok();
                self.keep(index, element);
            }
        }
    }

    /// A control: its wiper in the middle, where the sheet uses it.
    fn control(&mut self, index: usize, part: &Part, wiring: &Wiring) {
        let (Some((a, b)), Some(ohms)) = (wiring.leads(part), part.resistance) else { return };
        let ohms = ohms.to_f64();
        let wiper = ["2", "w", "wiper", "arm"].iter().find_map(|t| wiring.terminal(part, t));
        let (a, b) = (self.node(a), self.node(b));
        match wiper {
            Some(wiper) => {
                let wiper = self.node(wiper);
                self.resistance(index, &part.key, a, wiper, ohms / 2.0);
                self.resistance(index, &part.key, wiper, b, ohms / 2.0);
            }
            None => self.resistance(index, &part.key, a, b, ohms),
        }
    }

    fn lamp(&mut self, index: usize, part: &Part, wiring: &Wiring, view: View) {
        let volts = part.rating.map(crate::trade::quantity::Voltage::to_f64);
        let lit = match (volts, part.current, part.power) {
            (Some(v), Some(a), _) if a.to_f64() > 0.0 => Some(v / a.to_f64()),
            (Some(v), None, Some(w)) if w.to_f64() > 0.0 => Some(v * v / w.to_f64()),
            _ => part.resistance.map(crate::trade::quantity::Resistance::to_f64),
        };
        let lit = self.known_or(part, lit, usual::LAMP);
        let ohms = if view == View::Ohmmeter { lit * LAMP_COLD } else { lit };
        self.two_leads(index, part, wiring, Some(ohms));
    }

    fn battery(&mut self, index: usize, part: &Part, wiring: &Wiring) {
        if let (Some((a, b)), Some(volts)) = (wiring.leads(part), part.rating) {
            let (a, b) = (self.node(a), self.node(b));
            if a != b {
                let element = self.net.source(&part.key, a, b, volts.to_f64()).ok();
                self.keep(index, element);
            }
        }
    }

    fn transformer(&mut self, index: usize, part: &Part, wiring: &Wiring, view: View) {
        // The alternating side takes its windings as sources.
        if view == View::Alternating && is_power_transformer(part) {
            return;
        }
        for winding in &part.windings {
            let known = winding.resistance.map(crate::trade::quantity::Resistance::to_f64);
            let ohms = self.known_or(part, known, winding_usual(part, winding));
            let node = |t: &str| wiring.terminal(part, t).map(|n| self.nodes[n]);
            let (Some(start), Some(end)) = (node(&winding.start), node(&winding.end)) else {
                continue;
            };
            match winding.tap.as_deref().and_then(node) {
                Some(tap) => {
                    self.resistance(index, &part.key, start, tap, ohms / 2.0);
                    self.resistance(index, &part.key, tap, end, ohms / 2.0);
                }
                None => self.resistance(index, &part.key, start, end, ohms),
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

/// The usual resistance of a coil.
fn coil_usual(part: &Part) -> f64 {
    let large = part.inductance.is_some_and(|l| l.to_f64() >= 0.5);
    if part.is_made(Make::FieldCoil) {
        usual::FIELD
    } else if part.is_made(Make::FilterChoke) || large {
        usual::CHOKE
    } else {
        usual::RF
    }
}

/// The usual resistance of a winding, end to end.
pub(in crate::circuit) fn winding_usual(part: &Part, winding: &Winding) -> f64 {
    let volts = winding.volts.map_or(0.0, crate::trade::quantity::Voltage::to_f64);
    match winding.kind {
        _ if is_power_transformer(part) && winding.lights() => usual::HEATER_WINDING,
        WindingKind::Heater | WindingKind::RectifierHeater => usual::HEATER_WINDING,
        WindingKind::Primary if is_power_transformer(part) => usual::POWER_PRIMARY,
        WindingKind::Secondary if volts >= 30.0 => volts * usual::HIGH_VOLTAGE,
        WindingKind::Primary if part.is_made(Make::OutputTransformer) => usual::OUTPUT_PRIMARY,
        WindingKind::Secondary if part.is_made(Make::OutputTransformer) => usual::OUTPUT_SECONDARY,
        _ => usual::RF,
    }
}
