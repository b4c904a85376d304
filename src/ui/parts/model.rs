//! What the editor shows beside each line: how it was read, and what the plan
//! makes of it.

use crate::notation::note::{Level, Note};
use crate::order;
use crate::plan::types::{Decision, Plan};
use crate::sheet::edit;
use crate::sheet::rows::{Column, Row, RowKind};
use std::collections::BTreeMap;
use std::ops::Range;

/// What is shown beside a line.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Readout {
    /// What to do with the part on it.
    pub decision: Option<Decision>,
    /// How the line was read, and what comes of it.
    pub text: String,
}

/// The readouts of some lines of a sheet, by line from 1.
pub fn readouts(plan: &Plan, wanted: Range<usize>) -> BTreeMap<usize, Readout> {
    let mut lines: BTreeMap<usize, Readout> = BTreeMap::new();
    for part in plan.parts.iter().filter(|part| wanted.contains(&part.line)) {
        let line = lines.entry(part.line).or_default();
        let value = part.old.value.clone().unwrap_or_else(|| part.old.text.clone());
        let new = part.replacement.as_ref().map(|new| new.text.as_str());
        let text = new.map_or_else(|| value.clone(), |new| format!("{value} → {new}"));
        if line.text.is_empty() {
            line.text = text;
        } else {
            line.text = format!("{}; {text}", line.text);
        }
        line.decision = line.decision.or(Some(part.decision));
    }
    lines
}

/// A line as the editor draws it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct LineView {
    /// Its number, from 1.
    pub number: usize,
    /// Its text, cut where notes begin and end.
    pub stretches: Vec<Stretch>,
    /// What is shown beside it.
    pub readout: Readout,
}

/// The lines from `first` (from 0) up to `last`, as the editor draws them.
pub fn line_views(text: &str, plan: &Plan, first: usize, last: usize) -> Vec<LineView> {
    let wanted = first + 1..last + 1;
    let mut beside = readouts(plan, wanted.clone());
    let near: Vec<&Note> = plan.notes.iter().filter(|n| wanted.contains(&n.line)).collect();
    let lines = text.split('\n').enumerate().skip(first).take(last.saturating_sub(first));
    lines
        .map(|(index, line)| {
            let number = index + 1;
            let notes: Vec<&Note> = near.iter().copied().filter(|n| n.line == number).collect();
            LineView {
                number,
                stretches: stretches(line, &notes),
                readout: beside.remove(&number).unwrap_or_default(),
            }
        })
        .collect()
}

/// A level as a name for `data-*` and styles.
pub const fn level_slug(level: Level) -> &'static str {
    match level {
        Level::Reading => "reading",
        Level::Warning => "warning",
        Level::Error => "error",
    }
}

/// A level in a word.
pub const fn level_word(level: Level) -> &'static str {
    match level {
        Level::Reading => "Read by habit",
        Level::Warning => "Check",
        Level::Error => "Not read",
    }
}

/// The letters of the last part on the sheet: those of the part likely added next.
pub fn last_letters(text: &str) -> String {
    let last = text.lines().rev().find_map(|line| {
        let word = line.split(char::is_whitespace).next()?;
        let letters: String = word.chars().take_while(char::is_ascii_alphabetic).collect();
        let numbered = word.chars().nth(letters.len()).is_some_and(|c| c.is_ascii_digit());
        (numbered && (1..=3).contains(&letters.len())).then_some(letters)
    });
    last.unwrap_or_else(|| "C".to_owned())
}

/// What is typed into a cell as it stands on the line: a bare number in the
/// column of ratings is in volts.
pub fn in_column(column: Column, typed: &str) -> String {
    let typed = typed.trim();
    let bare = !typed.is_empty() && typed.chars().all(|c| c.is_ascii_digit());
    if column == Column::Rating && bare { format!("{typed} V") } else { typed.to_owned() }
}

/// A row by the line it is on, and whether it is a part.
pub type Place = (usize, bool);

/// The row on a line (from 1). They stand in the order of their lines.
pub fn row_on(rows: &[Row], line: usize) -> Option<&Row> {
    let at = rows.partition_point(|row| row.line < line);
    rows.get(at).filter(|row| row.line == line)
}

/// A line (from 1) of a text as it stands.
pub fn text_of_line(text: &str, line: usize) -> &str {
    text.split('\n').nth(line - 1).unwrap_or("")
}

/// The id of a cell on the page.
pub fn cell_id(line: usize, column: Column) -> String {
    format!("cell-{line}-{}", column as usize)
}

/// The cell of an id.
pub fn cell_named(id: &str) -> Option<(usize, Column)> {
    let (line, column) = id.strip_prefix("cell-")?.split_once('-')?;
    let column = Column::ALL.get(column.parse::<usize>().ok()?)?;
    Some((line.parse().ok()?, *column))
}

/// The list that a column offers, by its id on the page.
pub const fn list_of(column: Column) -> Option<&'static str> {
    match column {
        Column::Dielectric => Some("dielectrics"),
        Column::Role => Some("roles"),
        _ => None,
    }
}

/// The width of the tools behind a row of the table, in rem.
pub const TOOLS: f64 = 9.0;

/// The width of each column of the table, in rem: as much as its widest cell
/// asks for within limits. Worked out from all rows, for those that are not
/// drawn count too: a column that changed while scrolling would be hard to read.
pub fn column_widths(rows: &[Row]) -> [f64; Column::ALL.len()] {
    // Of the fonts of cells and headings, and what is around the words.
    const CELL: f64 = 0.57;
    const HEADING: f64 = 0.58;
    const AROUND: f64 = 1.25;
    // The sign of a list to choose from.
    const SIGN: f64 = 1.5;
    Column::ALL.map(|column| {
        let cells = rows.iter().filter(|r| r.kind == RowKind::Part).map(|r| r.cell(column));
        let most = cells.map(|cell| cell.chars().count()).max().unwrap_or(0);
        let word = column.label().split(' ').map(|word| word.chars().count()).max().unwrap_or(0);
        let sign = if list_of(column).is_some() { SIGN } else { 0.0 };
        let rem = |count: usize, each: f64| f64::from(u16::try_from(count).unwrap_or(99)) * each;
        rem(most, CELL).max(rem(word, HEADING)).clamp(3.0, 16.75) + AROUND + sign
    })
}

/// The sheet with one of its lines (from 1) replaced.
pub fn with_line(text: &str, line: usize, new: &str) -> String {
    let new = new.replace(['\n', '\r'], " ");
    let lines = text.split('\n').enumerate();
    let lines: Vec<&str> =
        lines.map(|(index, old)| if index + 1 == line { new.as_str() } else { old }).collect();
    lines.join("\n")
}

/// The notes in the order in which they are worked off: what could not be read
/// first, then in the order of the sheet.
pub fn by_gravity(notes: &[Note]) -> Vec<&Note> {
    let mut notes: Vec<&Note> = notes.iter().collect();
    order::sort(&mut notes, |n| [usize::MAX - n.level as usize, n.line, n.column]);
    notes
}

/// The first notes in that order, each with the words of its line.
pub fn first_notes(text: &str, notes: &[Note], most: usize) -> Vec<(String, Note)> {
    let lines: Vec<&str> = text.split('\n').collect();
    let words = |n: &Note| lines.get(n.line.saturating_sub(1)).map_or("", |l| l.trim()).to_owned();
    by_gravity(notes).into_iter().take(most).map(|n| (words(n), n.clone())).collect()
}

/// The notes that one tap each would settle as they were read.
pub fn settled_as_read(notes: &[Note]) -> impl Iterator<Item = &Note> {
    notes.iter().filter(|n| n.level == Level::Reading && !n.choices.is_empty())
}

/// The sheet with every reading by habit written out as it was read. Worked
/// from the end, so that places further up stay where they are.
pub fn settle_all(text: &str, notes: &[Note]) -> String {
    let mut settled: Vec<&Note> = settled_as_read(notes).collect();
    order::sort(&mut settled, |n| [usize::MAX - n.line, usize::MAX - n.column, 0]);
    let first = settled.into_iter().filter_map(|n| n.choices.first());
    first.fold(text.to_owned(), |text, choice| edit::apply(&text, &choice.edit))
}

/// A stretch of a line, marked or not.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Stretch {
    /// Its characters.
    pub text: String,
    /// The gravest note on it, as [`level_slug`] has it.
    pub level: Option<&'static str>,
}

/// A line cut where notes begin and end.
pub fn stretches(line: &str, notes: &[&Note]) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    for (index, c) in line.chars().enumerate() {
        let column = index + 1;
        let on = |n: &&&Note| (n.column..n.column + n.length.max(1)).contains(&column);
        let level = notes.iter().filter(on).map(|n| n.level).max().map(level_slug);
        match found.last_mut() {
            Some(last) if last.level == level => last.text.push(c),
            _ => found.push(Stretch { text: c.to_string(), level }),
        }
    }
    found
}

/// The line (from 1) in which a position lies, counted in UTF-16 units as
/// browsers count.
pub fn line_at(text: &str, utf16_position: usize) -> usize {
    let mut units = 0;
    let mut line = 1;
    for c in text.chars() {
        if units >= utf16_position {
            break;
        }
        units += c.len_utf16();
        line += usize::from(c == '\n');
    }
    line
}

/// The position of a line and column (from 1) in UTF-16 units.
pub fn position_of(text: &str, line: usize, column: usize) -> usize {
    let mut lines = text.split('\n');
    let before: usize =
        lines.by_ref().take(line.saturating_sub(1)).map(|l| l.encode_utf16().count() + 1).sum();
    let within = lines.next().unwrap_or("");
    before + within.chars().take(column.saturating_sub(1)).map(char::len_utf16).sum::<usize>()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(column: usize, length: usize, level: Level) -> Note {
        Note { line: 1, column, length, level, message: String::new(), read: None, choices: vec![] }
    }

    #[test]
    fn a_line_is_cut_where_notes_begin_and_end() {
        let (a, b) = (note(4, 3, Level::Reading), note(6, 1, Level::Error));
        let cut: Vec<_> =
            stretches("C1 .05 µF", &[&a, &b]).into_iter().map(|s| (s.text, s.level)).collect();
        assert_eq!(
            cut,
            [
                ("C1 ".to_owned(), None),
                (".0".to_owned(), Some("reading")),
                ("5".to_owned(), Some("error")),
                (" µF".to_owned(), None),
            ]
        );
    }

    #[test]
    fn positions_count_as_browsers_do() {
        let text = "a😀b\ncµd";
        assert_eq!(position_of(text, 1, 3), 3);
        assert_eq!(position_of(text, 2, 3), 7);
        assert_eq!(line_at(text, 4), 1);
        assert_eq!(line_at(text, 5), 2);
        assert_eq!(position_of(text, 9, 9), 9);
    }

    #[test]
    fn a_new_part_is_likely_of_the_kind_of_the_last_one() {
        assert_eq!(last_letters("set A 5\nC7 .05\nR12A 470K\n# L99"), "R");
        assert_eq!(last_letters("mains 117 V"), "C");
        assert_eq!(last_letters("C7 .05\n   0.5 W"), "C");
    }

    #[test]
    fn one_line_is_replaced_and_cannot_become_two() {
        assert_eq!(with_line("a\nb\nc", 2, "x\ny"), "a\nx y\nc");
    }

    #[test]
    fn a_bare_number_among_the_ratings_is_in_volts() {
        assert_eq!(in_column(Column::Rating, " 600 "), "600 V");
        assert_eq!(in_column(Column::Rating, "600 V AC"), "600 V AC");
        assert_eq!(in_column(Column::Value, "600"), "600");
    }

    #[test]
    fn a_cell_is_found_by_its_id_and_nothing_else_is_one() {
        for column in Column::ALL {
            assert_eq!(cell_named(&cell_id(1_204, column)), Some((1_204, column)));
        }
        for other in ["", "cell-3", "cell-3-99", "cell-x-1", "sheet-text"] {
            assert_eq!(cell_named(other), None, "{other}");
        }
    }

    #[test]
    fn a_row_is_found_by_its_line() {
        let text = "set A\n\nC7 .05\n# remark";
        let rows = crate::sheet::rows::rows(text);
        assert_eq!(row_on(&rows, 3).map(|r| r.cell(Column::Value)), Some(".05"));
        assert!(row_on(&rows, 5).is_none());
        assert_eq!([text_of_line(text, 4), text_of_line(text, 9)], ["# remark", ""]);
    }

    #[test]
    fn a_column_is_as_wide_as_its_widest_cell_within_limits() {
        let text = "set A very long name that is no cell\nC7 .05 400 V\nR123456 1 # a remark \
                    that is longer than the widest column may be for any cell";
        let rows = crate::sheet::rows::rows(text);
        let width = |column: Column| column_widths(&rows)[column as usize];
        assert!((width(Column::Remark) - 18.0).abs() < 1e-9);
        assert!(width(Column::Designator) < 7.0);
        assert!(width(Column::Value) > 3.5 && width(Column::Value) < width(Column::Remark));
        let empty = column_widths(&[]);
        assert!(empty.iter().all(|width| (4.25..9.0).contains(width)), "{empty:?}");
    }

    #[test]
    fn all_readings_are_settled_in_one_go() {
        let text = "C7 .05 400 V paper\nC8 .1 .02";
        let notes = crate::sheet::Sheet::read(text).notes;
        let settled = settle_all(text, &notes);
        assert!(settled.starts_with("C7 .05 µF 400 V paper\nC8 .1 µF"), "{settled}");
        let left = crate::sheet::Sheet::read(&settled).notes;
        assert!(settled_as_read(&left).count() < settled_as_read(&notes).count());
    }

    #[test]
    fn the_gravest_notes_come_first() {
        let notes = [note(1, 1, Level::Reading), note(5, 1, Level::Error)];
        assert_eq!(by_gravity(&notes)[0].level, Level::Error);
    }
}
