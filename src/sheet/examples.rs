//! Three invented sets to open and try, which are also fixtures of the tests.
//!
//! No maker built any of them and no published schematic was followed. They
//! are fully connected, so that everything computed from a sheet can be
//! computed from these. Conventions they keep, beside those of the grammar:
//! the wiper of a control is its terminal 2, between its two places; a dry
//! rectifier conducts from its first place to its second; a switch with two
//! places is closed, one with terminals is wired as it is drawn.
//!
//! ```
//! use firstglow::sheet::Sheet;
//! use firstglow::sheet::examples::EXAMPLES;
//! let sheet = Sheet::read(EXAMPLES[0].text);
//! assert_eq!(sheet.header.name.as_deref(), Some("Kitchen table set, five tubes, 1947"));
//! ```

/// What is told of such a set before it is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// A short name that stays the same.
    pub id: &'static str,
    /// The name that is shown.
    pub title: &'static str,
    /// What it shows, in one sentence.
    pub about: &'static str,
}

/// The three sets, without their sheets: those are as long as all else that
/// the first screen says.
pub const TOLD: [Told; 3] = [
    Told {
        id: "table-set",
        title: "Kitchen table set",
        about: "Five tubes with their heaters in series across the line, 1947: a chassis that floats, paper capacitors on the line, and one can with three sections.",
    },
    Told {
        id: "console",
        title: "Floor console",
        about: "Nine tubes with a power transformer, 1940: push-pull output, the speaker field as filter choke, output bias from the negative lead, and M for thousand.",
    },
    Told {
        id: "bench-instrument",
        title: "Bench bridge",
        about: "A capacitor and resistor bridge with a leakage test, 1951: a selenium rectifier, a regulator tube, oil-filled capacitors, switch decks, and no fuse.",
    },
];

/// A set to open and try.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Example {
    /// A short name that stays the same.
    pub id: &'static str,
    /// The sheet.
    pub text: &'static str,
}

/// The three sets.
pub const EXAMPLES: [Example; 3] = [
    Example { id: TOLD[0].id, text: include_str!("examples/table-set.txt") },
    Example { id: TOLD[1].id, text: include_str!("examples/console.txt") },
    Example { id: TOLD[2].id, text: include_str!("examples/bench-instrument.txt") },
];

/// The sheet of an example.
pub fn sheet_of(id: &str) -> Option<&'static str> {
    EXAMPLES.iter().find(|example| example.id == id).map(|example| example.text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::name::Place;
    use crate::notation::note::Level;
    use crate::sheet::Sheet;
    use crate::sheet::part::{Make, PartKind};
    use crate::trade::dielectric::Dielectric;
    use std::collections::HashMap;

    fn sheet(id: &str) -> Sheet {
        Sheet::read(EXAMPLES.iter().find(|e| e.id == id).unwrap().text)
    }

    fn count(sheet: &Sheet, kind: PartKind) -> usize {
        sheet.parts.iter().filter(|p| p.kind == kind).count()
    }

    /// Every place that the sheet names, and how often.
    fn places(sheet: &Sheet) -> HashMap<String, usize> {
        let leads = sheet.parts.iter().filter_map(|p| p.leads.as_ref());
        let pins = sheet.parts.iter().flat_map(|p| &p.pins).map(|p| &p.place);
        let wires = sheet.wires.iter().flat_map(|w| &w.places);
        let mut all = HashMap::new();
        for place in leads.flat_map(|l| [&l.from, &l.to]).chain(pins).chain(wires) {
            *all.entry(place.to_string()).or_insert(0) += 1;
        }
        all
    }

    #[test]
    fn every_example_reads_with_nothing_worse_than_a_habit() {
        for example in &EXAMPLES {
            for note in &Sheet::read(example.text).notes {
                assert_eq!(note.level, Level::Reading, "{}: {note:?}", example.id);
            }
        }
    }

    #[test]
    fn every_example_has_the_parts_it_says() {
        use PartKind::{Capacitor, Potentiometer, Resistor, Transformer, Tube, VariableCapacitor};
        let kinds = [Tube, Transformer, Capacitor, VariableCapacitor, Resistor, Potentiometer];
        for (id, total, counts) in [
            ("table-set", 50, [5, 5, 16, 8, 10, 1]),
            ("console", 85, [9, 7, 25, 10, 23, 2]),
            ("bench-instrument", 112, [7, 3, 39, 2, 41, 6]),
        ] {
            let sheet = sheet(id);
            assert_eq!(sheet.parts.len(), total, "{id}");
            assert_eq!(kinds.map(|k| count(&sheet, k)), counts, "{id}");
        }
    }

    #[test]
    fn every_part_that_carries_current_is_connected() {
        for example in &EXAMPLES {
            for part in &Sheet::read(example.text).parts {
                let connected = part.leads.is_some()
                    || !part.pins.is_empty()
                    || matches!(
                        part.kind,
                        PartKind::Transformer | PartKind::Switch | PartKind::Cord
                    );
                assert!(connected, "{}: {}", example.id, part.key);
                if part.kind == PartKind::Transformer {
                    assert!(!part.windings.is_empty(), "{}: {}", example.id, part.key);
                }
            }
        }
    }

    #[test]
    fn no_named_place_of_an_example_stands_alone() {
        for example in &EXAMPLES {
            for (place, uses) in places(&Sheet::read(example.text)) {
                let outside = place.contains('.') || ["line", "neutral"].contains(&place.as_str());
                assert!(uses > 1 || outside, "{}: {place}", example.id);
            }
        }
    }

    #[test]
    fn every_terminal_of_an_example_belongs_to_one_of_its_parts() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            let all =
                sheet.parts.iter().flat_map(|p| p.leads.iter().flat_map(|l| [&l.from, &l.to]));
            let pins = sheet.parts.iter().flat_map(|p| &p.pins).map(|p| &p.place);
            for place in all.chain(pins).chain(sheet.wires.iter().flat_map(|w| &w.places)) {
                if let Place::Terminal { part, .. } = place {
                    let known = sheet.parts.iter().any(|p| p.designator.to_string() == *part);
                    assert!(known, "{}: {place}", example.id);
                }
            }
        }
    }

    #[test]
    fn every_area_lists_parts_that_are_there() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            assert!(sheet.areas.len() >= 4, "{}", example.id);
            for name in sheet.areas.iter().flat_map(|a| &a.parts) {
                let known = sheet.parts.iter().any(|p| {
                    p.designator.to_string() == *name || p.designator.unit().to_string() == *name
                });
                assert!(known, "{}: {name}", example.id);
            }
        }
    }

    #[test]
    fn the_series_string_runs_from_line_to_b_minus_once_through_every_heater() {
        // Heater pins by the tube manuals, from memory.
        let sheet = sheet("table-set");
        let tied = |pin: (&str, &str), place: &str| {
            let part = sheet.parts.iter().find(|p| p.key == pin.0).unwrap();
            part.pins.iter().any(|t| t.pin == pin.1 && t.place.to_string() == place)
        };
        assert!(tied(("V5", "2"), "line"));
        for (out, back) in [
            (("V5", "7"), ("V4", "2")),
            (("V4", "7"), ("V2", "7")),
            (("V2", "2"), ("V1", "2")),
            (("V1", "7"), ("V3", "8")),
        ] {
            assert!(tied(out, &format!("{}.{}", back.0, back.1)), "{out:?}");
            assert!(tied(back, &format!("{}.{}", out.0, out.1)), "{back:?}");
        }
        assert!(tied(("V3", "7"), "B-"));
    }

    #[test]
    fn the_instrument_has_its_selenium_its_regulator_and_no_fuse() {
        let sheet = sheet("bench-instrument");
        assert!(sheet.parts.iter().any(|p| p.is_made(Make::Selenium)));
        assert!(sheet.parts.iter().any(|p| p.tube.as_deref() == Some("0D3")));
        let oil = sheet.parts.iter().filter(|p| p.dielectric == Some(Dielectric::OilPaper));
        assert_eq!(oil.count(), 5);
        assert_eq!(count(&sheet, PartKind::Fuse), 0);
        assert_eq!(sheet.header.fuse, None);
    }

    #[test]
    fn m_is_thousand_on_the_console_and_nothing_is_noted_for_it() {
        let sheet = sheet("console");
        let plate = sheet.parts.iter().find(|p| p.key == "R14").unwrap();
        assert_eq!(plate.resistance.unwrap().to_string(), "250 kΩ");
        assert!(sheet.notes.iter().all(|n| !n.message.contains("thousand or million")));
    }
}
