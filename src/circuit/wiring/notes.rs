//! What is doubtful or wrong in the places of a sheet.

use super::{End, Node, Socket, Wiring, socket::Pinned};
use crate::notation::note::{Level, Note};
use crate::order;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, Place};
use crate::trade::tubes::Unit;
use rustc_hash::FxHashSet;

/// A note on the line of a part or wire.
fn at_line(line: usize, length: usize, level: Level, message: String) -> Note {
    Note { line: line.max(1), column: 1, length, level, message, read: None, choices: Vec::new() }
}

fn at_part(part: &Part, level: Level, message: String) -> Note {
    at_line(part.line, part.designator.to_string().len(), level, message)
}

/// A place that names a pin or electrode the tube has not.
pub fn no_pin(line: usize, place: &Place, why: &Pinned) -> Note {
    let message = match why {
        Pinned::NoPin(pin) => format!("{place}: this base has no pin {pin}"),
        Pinned::Several(pins) => {
            let pins: Vec<String> = pins.iter().map(ToString::to_string).collect();
            format!("{place}: pins {} carry it; write the number", pins.join(" and "))
        }
        _ => format!("{place}: this tube has no such electrode; write the pin's number"),
    };
    at_line(line, 1, Level::Error, message)
}

/// Adds the notes that need all nodes.
pub fn add(wiring: &mut Wiring, sheet: &Sheet) {
    let mut notes = std::mem::take(&mut wiring.notes);
    for part in &sheet.parts {
        notes.extend(shorted(wiring, part));
    }
    let mut strangers: FxHashSet<(&String, usize)> = FxHashSet::default();
    for node in &wiring.nodes {
        notes.extend(alone(node, sheet));
    }
    for (part, line) in terminals(sheet) {
        if !wiring.has_part(part) && strangers.insert((part, line)) {
            let message =
                format!("no part {part} stands on this sheet; write its line, or mend the name");
            notes.push(at_line(line, 1, Level::Warning, message));
        }
    }
    for socket in &wiring.sockets {
        notes.extend(empty_pins(wiring, socket, sheet));
        notes.extend(no_cathode(socket, sheet));
    }
    notes.extend(two_names(wiring, sheet));
    order::sort(&mut notes, |n| [n.line, n.column, 0]);
    wiring.notes = notes;
}

/// Every terminal that leads and wires name: the part, and the line.
fn terminals(sheet: &Sheet) -> Vec<(&String, usize)> {
    let leads = sheet.parts.iter().flat_map(|p| {
        let ends = p.leads.iter().flat_map(|l| [&l.from, &l.to]);
        ends.chain(p.pins.iter().map(|t| &t.place)).map(|place| (place, p.line))
    });
    let wires = sheet.wires.iter().flat_map(|w| w.places.iter().map(|p| (p, w.line)));
    leads
        .chain(wires)
        .filter_map(|(place, line)| match place {
            Place::Terminal { part, .. } => Some((part, line)),
            Place::Named(_) => None,
        })
        .collect()
}

/// A part whose leads meet.
fn shorted(wiring: &Wiring, part: &Part) -> Option<Note> {
    let (a, b) = wiring.leads(part)?;
    (a == b).then(|| {
        let name = &wiring.nodes[a].name;
        let message = format!("{}: both leads are at {name}; one place is wrong", part.designator);
        at_part(part, Level::Error, message)
    })
}

/// Points that one lead alone may meet.
const ALONE_ALLOWED: [&str; 6] = ["line", "neutral", "antenna", "ground terminal", "?", "chassis"];

/// A lead that meets nothing else.
fn alone(node: &Node, sheet: &Sheet) -> Option<Note> {
    let [lead] = node.leads.as_slice() else { return None };
    let named = node.names.iter().any(|n| ALONE_ALLOWED.contains(&n.as_str()));
    let part = &sheet.parts[lead.part];
    let end = matches!(lead.end, End::From | End::To);
    if named || !end {
        return None;
    }
    let message = format!(
        "{}: nothing else is at {}; look for a slip in the name",
        part.designator, node.name
    );
    Some(at_part(part, Level::Warning, message))
}

/// Pins that lead to nothing inside, used as tie points.
fn empty_pins(wiring: &Wiring, socket: &Socket, sheet: &Sheet) -> Vec<Note> {
    let part = &sheet.parts[socket.part];
    (1..=socket.pin_count())
        .filter(|pin| socket.is_empty_pin(*pin))
        .filter_map(|pin| {
            let node = &wiring.nodes[socket.node(pin)?];
            let tie = node.leads.iter().any(|l| matches!(l.end, End::From | End::To));
            tie.then(|| {
                let message = format!(
                    "{}: pin {pin} leads to nothing in the tube; read as a tie point",
                    part.designator
                );
                at_part(part, Level::Reading, message)
            })
        })
        .collect()
}

/// A tube whose plate and grid lead somewhere but whose cathode does not.
fn no_cathode(socket: &Socket, sheet: &Sheet) -> Option<Note> {
    let part = &sheet.parts[socket.part];
    let tube = socket.tube.as_ref()?;
    let lacks = |unit: &Unit| {
        let grid = unit.grid.and_then(|grid| socket.at(grid));
        grid.is_some() && socket.at(unit.plate).is_some() && socket.at(unit.cathode).is_none()
    };
    tube.units().iter().any(lacks).then(|| {
        let message = format!(
            "{}: its cathode has no place on the sheet; its currents are left out",
            part.designator
        );
        at_part(part, Level::Warning, message)
    })
}

/// Wires that give one node two names of the user's.
fn two_names(wiring: &Wiring, sheet: &Sheet) -> Vec<Note> {
    let mut seen = vec![false; wiring.nodes.len()];
    let mut notes = Vec::new();
    for wire in &sheet.wires {
        let Some(node) = wire.places.iter().find_map(|p| wiring.node(p)) else { continue };
        let names = &wiring.nodes[node].names;
        if names.len() > 1 && !std::mem::replace(&mut seen[node], true) {
            let message = format!("one node has the names {}", names.join(" and "));
            notes.push(at_line(wire.line, 4, Level::Reading, message));
        }
    }
    notes
}
