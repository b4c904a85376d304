//! What joins the nodes of a sheet, as far as it carries the line.

use super::metal::{nodes_of, words};
use super::{Links, Through};
use crate::circuit::line_tie::is_tie;
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::tubes::Part as Electrode;

/// Ways between nodes, by node.
pub fn links(sheet: &Sheet, wiring: &Wiring, count: usize) -> Links {
    let mut links: Links = vec![Vec::new(); count];
    let mut join = |a: NodeIndex, b: NodeIndex, through: Through| {
        if a != b {
            links[a].push((b, through));
            links[b].push((a, through));
        }
    };
    let mut chain = |nodes: &[NodeIndex], through: Through| {
        for pair in nodes.windows(2) {
            join(pair[0], pair[1], through);
        }
    };
    for (index, part) in sheet.parts.iter().enumerate() {
        let ohms = part.resistance.map(crate::trade::quantity::Resistance::to_f64);
        let through = match part.kind {
            PartKind::Tube => {
                chain(&heater_nodes(index, part, wiring), Through::Series);
                continue;
            }
            PartKind::Transformer => {
                for winding in &part.windings {
                    let at = |t: &String| wiring.terminal(part, t);
                    let ends = [Some(&winding.start), winding.tap.as_ref(), Some(&winding.end)];
                    let nodes: Vec<_> = ends.into_iter().flatten().filter_map(at).collect();
                    chain(&nodes, Through::Coil);
                }
                continue;
            }
            _ if is_tie(part) => Through::Contact,
            PartKind::ResistanceCord | PartKind::Lamp | PartKind::Other => Through::Series,
            PartKind::Coil | PartKind::Speaker | PartKind::Meter | PartKind::Battery => {
                Through::Coil
            }
            // What is not known may be little.
            PartKind::Resistor | PartKind::Potentiometer => {
                Through::Resistor(ohms.unwrap_or_default())
            }
            _ => continue,
        };
        let nodes = nodes_of(part, wiring);
        chain(&nodes, through);
        // A contact named by its number may be that of either lead.
        if let Some(leads) = &part.leads
            && let Some(from) = wiring.node(&leads.from)
        {
            for node in nodes {
                chain(&[from, node], through);
            }
        }
    }
    links
}

/// The pins of a tube's heater; of a ballast all pins.
fn heater_nodes(index: usize, part: &Part, wiring: &Wiring) -> Vec<NodeIndex> {
    let Some(socket) = wiring.socket(index) else { return Vec::new() };
    let Some(tube) = &socket.tube else {
        let pins = 1..=socket.pin_count();
        return if is_ballast(part) {
            pins.filter_map(|pin| socket.node(pin)).collect()
        } else {
            Vec::new()
        };
    };
    let heater = |part| {
        matches!(
            part,
            Electrode::Heater
                | Electrode::HeaterTap
                | Electrode::HeaterCentre
                | Electrode::Filament
                | Electrode::FilamentPlus
                | Electrode::FilamentMinus
                | Electrode::FilamentCentre
        )
    };
    (1_u8..)
        .zip(&tube.pins)
        .filter(|(_, electrodes)| electrodes.iter().any(|e| heater(e.part)))
        .filter_map(|(pin, _)| socket.node(pin))
        .collect()
}

/// `K55B`, `BL42D`: letter for the lamp, volts dropped, letter for the circuit.
/// Source: the type code of ballast tubes, from memory.
fn is_ballast(part: &Part) -> bool {
    let said = words(part).iter().any(|w| w == "ballast");
    let Some(name) = part.tube.as_deref() else { return said };
    let name = name.strip_prefix('B').unwrap_or(name);
    let rest = name.strip_prefix(['K', 'L', 'M']).unwrap_or("");
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    said || digits >= 2 && rest.len() <= digits + 2
}
