//! The sheet as a table: the same lines, cut into the user's own words.
//!
//! A cell shows what the user wrote, not what was read from it, and setting a
//! cell changes those words in the text and nothing else.
//!
//! ```
//! use firstglow::sheet::cells::set_cell;
//! use firstglow::sheet::rows::{Column, rows};
//! let text = "C7 .05 paper V2.6 to V3.5  # under switch";
//! assert_eq!(rows(text)[0].cell(Column::Value), ".05");
//! assert_eq!(
//!     set_cell(text, 1, Column::Rating, "400 V"),
//!     "C7 .05 400 V paper V2.6 to V3.5  # under switch"
//! );
//! ```

use super::part::PartKind;
use super::scan::{Content, Scanned, scan};
use crate::notation::item::Item;
use crate::notation::line::PartLine;
use crate::notation::word::{Span, Word};
use crate::order;
use std::ops::RangeInclusive;

/// A column of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Column {
    /// The designator, or the keyword of a directive.
    Designator,
    /// Capacitance, resistance, tube type.
    Value,
    /// Working voltage.
    Rating,
    /// Tolerance, power, class, make, and what else a part carries.
    Detail,
    /// Dielectric.
    Dielectric,
    /// Role.
    Role,
    /// Pins and windings, and words that were not understood.
    Other,
    /// Area of the chassis.
    Area,
    /// First place.
    From,
    /// Second place.
    To,
    /// The remark after `#`.
    Remark,
}

impl Column {
    /// Every column, in the order of the table and of a line.
    pub const ALL: [Self; 11] = [
        Self::Designator,
        Self::Value,
        Self::Rating,
        Self::Detail,
        Self::Dielectric,
        Self::Role,
        Self::Other,
        Self::Area,
        Self::From,
        Self::To,
        Self::Remark,
    ];

    /// Its heading.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Designator => "Part",
            Self::Value => "Value",
            Self::Rating => "Rating",
            Self::Detail => "Tolerance, power",
            Self::Dielectric => "Made of",
            Self::Role => "Role",
            Self::Other => "Pins, windings, other",
            Self::Area => "Area",
            Self::From => "From",
            Self::To => "To",
            Self::Remark => "Remark",
        }
    }
}

/// What a row of the table is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowKind {
    /// A part.
    Part,
    /// A directive: `set`, `mains`, `supply`, `read`.
    Directive,
    /// A wire.
    Wire,
    /// An area.
    Area,
    /// A remark alone.
    Remark,
    /// An empty line.
    Blank,
    /// A line that could not be read.
    Unread,
}

/// A row of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The line (from 1) it starts on.
    pub line: usize,
    /// Its lines of text.
    pub lines: RangeInclusive<usize>,
    /// What it is.
    pub kind: RowKind,
    /// What kind of part, for parts.
    pub part: Option<PartKind>,
    /// Its cells, in the order of [`Column::ALL`].
    cells: [String; Column::ALL.len()],
}

impl Row {
    /// The user's words in a column.
    pub fn cell(&self, column: Column) -> &str {
        &self.cells[column as usize]
    }
}

/// The rows of a sheet.
pub fn rows(text: &str) -> Vec<Row> {
    let lines: Vec<&str> = text.lines().collect();
    scan(text).iter().map(|s| row(s, &lines)).collect()
}

/// One row.
fn row(scanned: &Scanned, lines: &[&str]) -> Row {
    let mut cells: [String; Column::ALL.len()] = Default::default();
    let kind = match &scanned.content {
        Content::Part(part) => {
            part_cells(part, scanned, lines, &mut cells);
            RowKind::Part
        }
        Content::Directive(keyword, _) => {
            (*keyword).clone_into(&mut cells[Column::Designator as usize]);
            cells[Column::Other as usize] = after_keyword(scanned, lines);
            match *keyword {
                "wire" => RowKind::Wire,
                "area" => RowKind::Area,
                _ => RowKind::Directive,
            }
        }
        Content::Remark => RowKind::Remark,
        Content::Blank => RowKind::Blank,
        Content::Unread => {
            cells[Column::Other as usize] = join(&scanned.words, lines);
            RowKind::Unread
        }
    };
    cells[Column::Remark as usize] = scanned.remark.clone().unwrap_or_default();
    let part = match &scanned.content {
        Content::Part(part) => Some(part.kind),
        _ => None,
    };
    Row { line: *scanned.lines.start(), lines: scanned.lines.clone(), kind, part, cells }
}

/// The characters that a span covers.
pub(super) fn slice(lines: &[&str], span: Span) -> String {
    let line = lines.get(span.line - 1).copied().unwrap_or_default();
    line.chars().skip(span.column - 1).take(span.length).collect()
}

/// Words with what stands between them, line by line.
fn join(words: &[Word], lines: &[&str]) -> String {
    words.iter().map(|w| slice(lines, w.span)).collect::<Vec<_>>().join(" ")
}

/// The words of a directive after its keyword.
fn after_keyword(scanned: &Scanned, lines: &[&str]) -> String {
    let rest = &scanned.words[1.min(scanned.words.len())..];
    match (rest.first(), rest.last()) {
        (Some(first), Some(last)) if first.span.line == last.span.line => {
            slice(lines, first.span.to(last.span))
        }
        _ => join(rest, lines),
    }
}

/// The column an item belongs to. Leads are two columns.
const fn column_of(item: &Item) -> Column {
    match item {
        Item::Capacitance(_) | Item::BareCapacitance(..) | Item::Resistance(_) | Item::Tube(_) => {
            Column::Value
        }
        Item::Volts(..) => Column::Rating,
        Item::Dielectric(_) => Column::Dielectric,
        Item::Role(_) | Item::LineSide(_) => Column::Role,
        Item::Area(_) => Column::Area,
        Item::Leads(..) => Column::From,
        Item::Pin(..) | Item::Winding(_) | Item::Remark(_) | Item::UnreadPlaces => Column::Other,
        _ => Column::Detail,
    }
}

/// Where the words of each column stand, in the order of the text.
pub(super) fn placed(part: &PartLine, scanned: &Scanned) -> Vec<(Column, Span)> {
    let mut all: Vec<(Column, Span)> =
        part.designators.iter().map(|(_, s)| (Column::Designator, *s)).collect();
    all.extend(
        part.items
            .iter()
            .filter(|p| !matches!(&p.item, Item::Remark(_)))
            .map(|p| (column_of(&p.item), p.span)),
    );
    let covered = |word: Span| {
        all.iter().any(|(_, s)| {
            s.line == word.line
                && s.column < word.column + word.length
                && word.column < s.column + s.length
        })
    };
    let rest: Vec<(Column, Span)> = scanned
        .words
        .iter()
        .filter(|w| !covered(w.span) && scanned.words[0].span != w.span)
        .map(|w| (Column::Other, w.span))
        .collect();
    all.extend(rest);
    order::sort(&mut all, |(_, s)| [s.line, s.column, 0]);
    all.dedup_by_key(|(_, s)| *s);
    all
}

/// Fills the cells of a part.
fn part_cells(
    part: &PartLine,
    scanned: &Scanned,
    lines: &[&str],
    cells: &mut [String; Column::ALL.len()],
) {
    for (column, span) in placed(part, scanned) {
        let text = slice(lines, span);
        let text = match column {
            Column::From => {
                let (from, to) = split_leads(&text);
                push(&mut cells[Column::To as usize], to);
                from.to_owned()
            }
            Column::Area => area_name(&text).to_owned(),
            _ => text,
        };
        push(&mut cells[column as usize], &text);
    }
}

/// Adds words to a cell.
fn push(cell: &mut String, text: &str) {
    if !cell.is_empty() && !text.is_empty() {
        cell.push(' ');
    }
    cell.push_str(text);
}

/// The two sides of `A to B` and of `between A and B`.
pub(super) fn split_leads(text: &str) -> (&str, &str) {
    const JOINTS: [&str; 6] = [" to ", " TO ", " To ", " → ", " -> ", " => "];
    const OTHERS: [&str; 9] = [" and ", " AND ", " And ", " & ", " - ", " – ", " — ", ", ", " "];
    let at = |joints: &[&str], text: &'_ str| {
        joints.iter().find_map(|j| text.find(j).map(|at| (at, at + j.len())))
    };
    let (opening, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let plain = if opening.eq_ignore_ascii_case("between") { rest } else { text };
    at(&JOINTS, plain)
        .or_else(|| at(&OTHERS, plain))
        .map_or((text, ""), |(a, b)| (plain[..a].trim(), plain[b..].trim()))
}

/// The name in `in "under switch"`.
fn area_name(text: &str) -> &str {
    let name = text.split_once(char::is_whitespace).map_or("", |(_, n)| n);
    name.trim().trim_matches(['"', '“', '”'])
}

#[cfg(test)]
mod tests {
    use super::super::cells::set_cell;
    use super::*;

    #[test]
    fn cells_show_the_users_own_words() {
        let row = &rows("C1A, C1B 40-20/150 elect can in \"under switch\" B1, B2 to B- # old")[0];
        let cells: Vec<&str> = Column::ALL.iter().map(|c| row.cell(*c)).collect();
        assert_eq!(
            cells,
            [
                "C1A C1B",
                "40-20",
                "150",
                "",
                "elect",
                "",
                "can",
                "under switch",
                "B1, B2",
                "B-",
                "old"
            ]
        );
    }

    #[test]
    fn words_that_were_not_understood_stand_in_a_cell() {
        let text = "C7 .05 bluish papre";
        assert_eq!(rows(text)[0].cell(Column::Other), "bluish papre");
        assert_eq!(set_cell(text, 1, Column::Other, "paper"), "C7 .05 paper");
    }

    #[test]
    fn directives_remarks_and_unread_lines_are_rows_too() {
        let text = "mains 117 V 60 Hz, 35 W\n\n# note\nfoo bar\nwire V1.1 to chassis";
        let kinds: Vec<RowKind> = rows(text).iter().map(|r| r.kind).collect();
        assert_eq!(
            kinds,
            [RowKind::Directive, RowKind::Blank, RowKind::Remark, RowKind::Unread, RowKind::Wire]
        );
        assert_eq!(rows(text)[0].cell(Column::Other), "117 V 60 Hz, 35 W");
        let set = set_cell(text, 1, Column::Other, "230 V");
        assert!(set.starts_with("mains 230 V\n"), "{set}");
        let set = set_cell(text, 4, Column::Designator, "C1");
        assert!(set.contains("\nC1 foo bar\n"), "{set}");
        let set = set_cell(text, 2, Column::Designator, "C2");
        assert!(set.contains("\nC2\n"), "{set}");
    }
}
