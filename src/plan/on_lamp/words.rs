//! Lamps and faults in words.

use crate::circuit::limiter::{Fault, FaultKind};
use crate::plan::resistor::ohms_text;
use crate::plan::text::figure;
use crate::trade::lamp::Lamps;

/// `60 W 120 V`, `two of 200 W 120 V in parallel`.
pub fn lamp_name(lamps: Lamps) -> String {
    let one = format!("{} W {} V", lamps.watts, figure(lamps.rated_v));
    match lamps.count {
        1 => one,
        2 => format!("two of {one} in parallel"),
        3 => format!("three of {one} in parallel"),
        count => format!("{count} of {one} in parallel"),
    }
}

/// Two figures: a leak is taken, not measured.
fn about(ohms: f64) -> String {
    let scale = 10.0_f64.powf(ohms.abs().max(1e-9).log10().floor() - 1.0);
    ohms_text((ohms / scale).round() * scale)
}

/// What is wrong, in a few words.
pub fn fault_title(fault: &Fault) -> String {
    let parts = &fault.parts;
    match (fault.kind, fault.ohms) {
        (FaultKind::FilterShorted, _) => format!("First filter {parts} shorted"),
        (FaultKind::FilterLeaky, Some(ohms)) => {
            format!("First filter {parts} leaks, {}", about(ohms))
        }
        (FaultKind::FilterLeaky, None) => format!("First filter {parts} leaks"),
        (FaultKind::RectifierShorted, _) => format!("Rectifier {parts} shorted"),
        (FaultKind::HalfGrounded, _) => "Half of the high-voltage winding on ground".to_owned(),
        (FaultKind::NoBias, Some(ohms)) => {
            format!("{parts} leaks, {}: no bias", about(ohms))
        }
        (FaultKind::NoBias, None) => format!("{parts} leaks: no bias"),
    }
}

/// Where to look first, plug out and discharged.
pub fn fault_look(fault: &Fault) -> String {
    let parts = &fault.parts;
    match fault.kind {
        FaultKind::FilterShorted => format!(
            "Ohms across {parts}: near zero? Lift its positive lead and measure both sides again; \
             then look for a solder bridge at the rectifier's socket and the can's lugs."
        ),
        FaultKind::FilterLeaky => format!(
            "{parts}: warm to the hand? Polarity right? Lift its positive lead and measure its \
             leakage at its rated volts."
        ),
        FaultKind::RectifierShorted => format!(
            "{parts}: plate to cathode with the part out, both ways. A shorted rectifier puts \
             alternating current on the filter: replace that capacitor too."
        ),
        FaultKind::HalfGrounded => {
            "Ohms from each end of the winding to its tap: equal? Then each end to ground: a bare \
             lead, a socket burnt through, an end fitted where the tap belongs."
                .to_owned()
        }
        FaultKind::NoBias => format!(
            "Volts on the output grid against its cathode: {parts} is out if they are not \
             negative. Lift it and look again; then a gassy output tube."
        ),
    }
}
