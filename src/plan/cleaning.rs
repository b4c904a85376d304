//! Cleaning and mechanics, as steps on the parts that the sheet names.
//!
//! ```
//! use firstglow::{plan::cleaning::cleaning, sheet::Sheet};
//! let steps = cleaning(&Sheet::read("R6 500K volume control vol to B-\nC7 .05 mfd 200 V paper"));
//! assert_eq!(steps[0].part, "R6");
//! assert!(steps[0].what.contains("thirty times"));
//! ```
//!
//! Limits: habits of the trade; what stands on a sheet does not tell what is
//! dirty.

use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind, Place};
use crate::trade::source::Source;
use rustc_hash::FxHashMap;

/// Where all of it comes from.
pub const CLEANING_SOURCE: Source =
    Source::practice("how sets of the time are cleaned and their mechanics kept");

/// A step of cleaning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clean {
    /// A stable name, under which it is kept that it was done.
    pub id: String,
    /// What it belongs to: `Switches and controls`.
    pub group: &'static str,
    /// The designator of the part.
    pub part: String,
    /// What to do.
    pub what: String,
}

const CONTACTS: &str = "Switches and controls";
const DRIVES: &str = "Tuning, bearings and drives";
const SOCKETS: &str = "Sockets and jacks";
const WIRES: &str = "Wires and cords";
const REST: &str = "Speakers and meters";

/// The groups, in the order shown.
pub const GROUPS: [&str; 5] = [WIRES, CONTACTS, SOCKETS, DRIVES, REST];

/// Every step, in the order of the sheet within its group.
pub fn cleaning(sheet: &Sheet) -> Vec<Clean> {
    let mut steps: Vec<Clean> = Vec::new();
    let mut told: FxHashMap<String, usize> = FxHashMap::default();
    for part in &sheet.parts {
        let name = part.designator.unit().to_string();
        for (group, slug, what) in of(sheet, part) {
            let id = format!("clean/{name}/{slug}");
            // A gang is cleaned once, not for each of its sections.
            if told.insert(id.clone(), steps.len()).is_none() {
                steps.push(Clean { id, group, part: name.clone(), what });
            }
        }
    }
    let place = |group: &str| GROUPS.iter().position(|g| *g == group).unwrap_or(0);
    crate::order::sort(&mut steps, |step| [place(step.group), 0, 0]);
    steps
}

type Told = (&'static str, &'static str, String);

fn of(sheet: &Sheet, part: &Part) -> Vec<Told> {
    let said =
        |word: &str| part.mark.contains(word) || part.remark.iter().any(|r| r.contains(word));
    match part.kind {
        PartKind::Switch => switch(sheet, part),
        PartKind::Potentiometer => control(),
        PartKind::VariableCapacitor if said("gang") => gang(),
        PartKind::VariableCapacitor => vec![(
            DRIVES,
            "trimmer",
            "Brush the dust out and leave its screw as it stands until the repair is done and the \
             set plays; count the turns of any that must be moved."
                .to_owned(),
        )],
        PartKind::Tube => vec![(
            SOCKETS,
            "socket",
            "Socket: each contact with a brush or pick and a drop of cleaner, then closed so that \
             it grips; pins cleaned without bending them. Look between plate and heater contacts \
             for a burnt track: a carbonised socket is replaced."
                .to_owned(),
        )],
        PartKind::Connector => vec![(
            SOCKETS,
            "contacts",
            "Clean and tighten its contacts; look for a broken or loose terminal.".to_owned(),
        )],
        PartKind::Lamp => vec![(
            SOCKETS,
            "lamp",
            "Clean the lamp's socket; look for cracked leads that touch metal.".to_owned(),
        )],
        PartKind::Cord | PartKind::ResistanceCord => cord(part),
        PartKind::Speaker => vec![(
            REST,
            "cone",
            "Soft dry brush only; no cleaner or damp on cone, spider or labels. Feel for a rub by \
             moving the cone straight in and out."
                .to_owned(),
        )],
        PartKind::Meter => vec![(
            REST,
            "meter",
            "Leave its shunts and series resistors as they are; no solvent near its face. Check \
             it against a known current before it is trusted."
                .to_owned(),
        )],
        _ => Vec::new(),
    }
}

fn switch(sheet: &Sheet, part: &Part) -> Vec<Told> {
    let contacts = contacts(sheet, part);
    let which = match contacts.as_slice() {
        [] => "each contact".to_owned(),
        some => format!("contacts {}, each", some.join(", ")),
    };
    vec![
        (
            CONTACTS,
            "contacts",
            format!(
                "Cleaner on {which} by swab or as a drop from a needle, never flooded: the wafer \
                 soaks it up and leaks. Try it first where plastic or dial glass is near. No \
                 abrasive on plating."
            ),
        ),
        (
            CONTACTS,
            "work",
            "Work it twenty to thirty times, then a trace of protectant.".to_owned(),
        ),
        (
            CONTACTS,
            "detent",
            "Detent and shaft: a little grease on the ball and its plate, none on contacts."
                .to_owned(),
        ),
    ]
}

fn control() -> Vec<Told> {
    vec![
        (
            CONTACTS,
            "track",
            "Cleaner onto the track, the wiper's ring and the rivets of its terminals, then turn \
             it from end to end thirty times. No oil on the track, and no cleaner left on the \
             wafer."
                .to_owned(),
        ),
        (
            CONTACTS,
            "sweep",
            "Meter from wiper to one end while it is turned slowly: no jumps, no dead spot."
                .to_owned(),
        ),
    ]
}

fn gang() -> Vec<Told> {
    vec![
        (
            DRIVES,
            "plates",
            "Blow out the plates and use a soft brush; no oil, no bending. Mark it fully meshed \
             before anything on its shaft is loosened."
                .to_owned(),
        ),
        (
            DRIVES,
            "fingers",
            "Grounding fingers and rotor contacts bright, and kept free of grease: a poor rotor \
             ground squeals or goes dead at the low end."
                .to_owned(),
        ),
        (
            DRIVES,
            "bearings",
            "Old grease out of the ball bearings, a little new grease on the balls alone."
                .to_owned(),
        ),
        (
            DRIVES,
            "drive",
            "Dial cord or drive: sketch its course before it comes off; pulleys run free, the \
             cord does not slip or fray. Dial lettering: dry soft brush only, no ammonia or \
             alcohol."
                .to_owned(),
        ),
    ]
}

fn cord(part: &Part) -> Vec<Told> {
    let mut told = vec![(
        WIRES,
        "cord",
        "Bend it along its whole length, at the plug and where it enters: frayed cloth, cracked \
         or hardened rubber means a new cord, with a strain relief."
            .to_owned(),
    )];
    if part.kind == PartKind::Cord {
        told.push((
            WIRES,
            "perished",
            "Then every wire inside, above all the rubber ones at lamps, transformer and \
             rectifier: insulation that crumbles, shrinks or sticks is replaced lead by lead, in \
             its old course."
                .to_owned(),
        ));
    }
    told
}

/// The terminals of a part that the sheet names, numbers first.
fn contacts(sheet: &Sheet, part: &Part) -> Vec<String> {
    let own = part.designator.to_string();
    let leads = sheet.parts.iter().filter_map(|p| p.leads.as_ref());
    let pins = sheet.parts.iter().flat_map(|p| &p.pins).map(|p| &p.place);
    let wires = sheet.wires.iter().flat_map(|w| &w.places);
    let places = leads.flat_map(|l| [&l.from, &l.to]).chain(pins).chain(wires);
    let mut names: Vec<String> = Vec::new();
    for place in places {
        if let Place::Terminal { part, terminal } = place
            && *part == own
            && !names.contains(terminal)
        {
            names.push(terminal.clone());
        }
    }
    crate::order::sort(&mut names, |name| {
        [name.parse::<usize>().unwrap_or(usize::MAX / 2), name.len(), 0]
    });
    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::examples::EXAMPLES;

    #[test]
    fn a_switch_is_cleaned_by_the_contacts_that_the_sheet_names() {
        let sheet = Sheet::read(
            "S2 \"range switch\"\nR1 10 S2.1 to a\nR2 100 S2.10 to a\n\
             R3 100 S2.2 to a\nwire S2.p to b",
        );
        let steps = cleaning(&sheet);
        assert!(steps[0].what.contains("contacts 1, 2, 10, p, each"), "{}", steps[0].what);
    }

    #[test]
    fn a_gang_is_cleaned_once_and_its_fingers_stay_free_of_grease() {
        let sheet = Sheet::read("C1A, C1B 365 mmf gang a, b to chassis");
        let steps = cleaning(&sheet);
        assert_eq!(steps.len(), 4);
        assert!(steps.iter().any(|s| s.what.contains("kept free of grease")));
    }

    #[test]
    fn every_example_has_steps_of_every_kind_it_has_parts_for_under_names_of_their_own() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            let steps = cleaning(&sheet);
            let mut ids: Vec<_> = steps.iter().map(|s| &s.id).collect();
            ids.sort();
            ids.dedup();
            assert_eq!(ids.len(), steps.len(), "{}", example.id);
            for group in [CONTACTS, SOCKETS, WIRES] {
                assert!(steps.iter().any(|s| s.group == group), "{}: {group}", example.id);
            }
            // In the order of the groups.
            let places: Vec<_> =
                steps.iter().map(|s| GROUPS.iter().position(|g| *g == s.group)).collect();
            assert!(places.is_sorted());
        }
    }

    #[test]
    fn nothing_is_told_of_parts_that_are_not_named() {
        assert!(cleaning(&Sheet::read("R1 1K a to b\nC1 .1 mfd 200 V a to b")).is_empty());
    }
}
