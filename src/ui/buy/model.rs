//! The buying list: what the plan's groups ask for, as rows, text and CSV.

use crate::bench::Bench;
use crate::bench::progress::to_buy;
use crate::bench::set::SetId;
use crate::bench::stock::Place;
use crate::buying::need::of_plan;
use crate::plan::types::Plan;
use crate::ui::words::count;
use std::fmt::Write as _;

/// A group of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// The stable name of the group.
    pub id: String,
    /// `Polypropylene film, 630 V`.
    pub title: String,
    /// The safety class its parts must carry.
    pub class: Option<&'static str>,
    /// Its lines.
    pub lines: Vec<Line>,
    /// `7 pieces, 0.5 µF in all`.
    pub total: String,
}

/// A line of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// How many.
    pub pieces: usize,
    /// Of what value.
    pub value: String,
    /// For which parts, in words.
    pub parts: String,
    /// The keys of those parts.
    pub keys: Vec<String>,
}

/// The list of a plan.
pub fn sections(plan: &Plan) -> Vec<Section> {
    to_buy(plan)
        .map(|group| Section {
            id: group.id.clone(),
            title: group.title.clone(),
            class: group.class.map(crate::trade::safety::SafetyClass::label),
            lines: group
                .lines
                .iter()
                .map(|line| Line {
                    pieces: line.count,
                    value: line.value.clone(),
                    parts: line.parts.join(", "),
                    keys: line.parts.clone(),
                })
                .collect(),
            total: match group.total {
                Some(total) => format!("{}, {total} in all", count(group.count, "piece", "pieces")),
                None => count(group.count, "piece", "pieces"),
            },
        })
        .collect()
}

/// The keys of parts of a set that are fitted, or have pieces reserved for all
/// that they need.
pub fn had(bench: &Bench, set: SetId, plan: &Plan) -> Vec<String> {
    let needs = of_plan(plan, 0).wanted;
    let fitted = |key: &str| {
        let record = bench.set(set).and_then(|s| s.parts.get(key));
        record.is_some_and(|r| r.done_at.is_some())
    };
    let covered = |key: &str| {
        let mut own = needs.iter().filter(|n| n.part == key).peekable();
        own.peek().is_some()
            && own.all(|n| bench.covered(&Place { set, part: key.to_owned(), nth: n.nth }))
    };
    let keys = to_buy(plan).flat_map(|g| &g.lines).flat_map(|l| &l.parts);
    keys.filter(|key| fitted(key) || covered(key)).cloned().collect()
}

/// How many pieces in all.
pub fn pieces(sections: &[Section]) -> usize {
    sections.iter().flat_map(|s| &s.lines).map(|l| l.pieces).sum()
}

/// The list as text to paste.
pub fn as_text(name: &str, sections: &[Section]) -> String {
    let mut text = format!("Buying list: {name}\n");
    for section in sections {
        // Writing to a String does not fail.
        let _ = write!(text, "\n{} ({})\n", section.title, section.total);
        for line in &section.lines {
            let _ = writeln!(text, "  {} x {}  for {}", line.pieces, line.value, line.parts);
        }
    }
    text
}

/// The list as CSV, with a header row.
pub fn as_csv(sections: &[Section]) -> String {
    let mut text = "Group,Class,Value,Pieces,For\r\n".to_owned();
    for section in sections {
        for line in &section.lines {
            let row = [
                &section.title,
                section.class.unwrap_or(""),
                &line.value,
                &line.pieces.to_string(),
                &line.parts,
            ]
            .map(cell)
            .join(",");
            text.push_str(&row);
            text.push_str("\r\n");
        }
    }
    text
}

/// A cell, quoted where needed; a cell that a spreadsheet would take for a
/// formula is led by an apostrophe.
pub fn cell(text: &str) -> String {
    let text = if text.starts_with(['=', '+', '-', '@', '\t']) {
        format!("'{text}")
    } else {
        text.to_owned()
    };
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::types::{Decision, Group, GroupLine};

    fn group(decision: Decision, title: &str) -> Group {
        Group {
            id: title.into(),
            title: title.into(),
            decision,
            dielectric: None,
            rating: None,
            class: None,
            lines: vec![GroupLine {
                value: "0.047 µF".into(),
                count: 2,
                parts: vec!["C7".into(), "C8".into()],
            }],
            count: 2,
            total: None,
        }
    }

    #[test]
    fn only_what_is_replaced_is_bought() {
        let groups = vec![group(Decision::Keep, "Mica"), group(Decision::Replace, "Film, 630 V")];
        let list = sections(&Plan { groups, ..Plan::default() });
        assert_eq!(list.len(), 1);
        assert_eq!(pieces(&list), 2);
        assert_eq!(
            as_text("A", &list),
            "Buying list: A\n\nFilm, 630 V (2 pieces)\n  2 x 0.047 µF  for C7, C8\n"
        );
        assert_eq!(
            as_csv(&list),
            "Group,Class,Value,Pieces,For\r\n\"Film, 630 V\",,0.047 µF,2,\"C7, C8\"\r\n"
        );
    }

    #[test]
    fn what_is_reserved_or_fitted_is_marked_as_had() {
        use crate::bench::stamp::Stamp;
        let text = "C7 .05 400 V paper coupling\nC8 .1 400 V paper coupling\nC9 .1 400 V paper avc";
        let plan = crate::plan::plan(&crate::sheet::Sheet::read(text));
        let mut bench = Bench::default();
        let set = bench.add(text, Stamp(0));
        bench.bought(".047 630V film", 1, &[(Place { set, part: "C7".into(), nth: 0 }, 1)]);
        bench.set_mut(set).unwrap().part_mut("C8").done_at = Some(Stamp(1));
        let mut had = had(&bench, set, &plan);
        had.sort();
        assert_eq!(had, ["C7", "C8"]);
    }

    #[test]
    fn a_cell_is_never_taken_for_a_formula() {
        assert_eq!(cell("=1+1"), "'=1+1");
        assert_eq!(cell("a\"b"), "\"a\"\"b\"");
    }
}
