//! Bringing parts in from files and spreadsheets.
//!
//! A file is a sheet as it stands, or a table (tab, comma or semicolon
//! separated) with or without a row of headings. The words of every cell are
//! kept: those that belong nowhere become the remark.

use super::cells::leads_text;
use super::part::PartKind;
use super::scan::MOST_LINES;
use crate::letters::Letters;
use crate::notation::kinds::kind_of;
use crate::notation::name::Designator;
use crate::notation::vocabulary;
use std::fmt::Write;
use thiserror::Error;

/// The largest file that is read, in bytes.
pub const LARGEST_FILE: usize = 5_000_000;

/// Why a file cannot be brought in.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ImportError {
    /// It is larger than what is read.
    #[error(
        "{name} is {megabytes} MB; at most 5 MB is read. Take the parts list out of it and bring that in."
    )]
    TooLarge {
        /// The file's name.
        name: String,
        /// Its size, whole megabytes.
        megabytes: usize,
    },
    /// It is no text.
    #[error("{0} is no text file. Save the parts list as text or CSV and bring that in.")]
    NotText(String),
    /// It has nothing in it.
    #[error("{0} is empty.")]
    Empty(String),
    /// It has more lines than a sheet may have.
    #[error(
        "{name} has {lines} lines; a sheet may have {MOST_LINES}. Divide it and bring the parts in one by one."
    )]
    TooManyLines {
        /// The file's name.
        name: String,
        /// How many lines it has.
        lines: usize,
    },
}

/// What was brought in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imported {
    /// Lines of a sheet.
    pub text: String,
    /// Whether it was read as a table.
    pub table: bool,
    /// Whether that table had a row of headings.
    pub headings: bool,
    /// How many lines were brought in.
    pub lines: usize,
}

/// Reads a file.
///
/// # Errors
/// [`ImportError`] where it is too large, no text, or empty.
pub fn import(bytes: &[u8], name: &str) -> Result<Imported, ImportError> {
    if bytes.len() > LARGEST_FILE {
        let megabytes = bytes.len() / 1_000_000;
        return Err(ImportError::TooLarge { name: name.to_owned(), megabytes });
    }
    let text = decode(bytes).ok_or_else(|| ImportError::NotText(name.to_owned()))?;
    if text.trim().is_empty() {
        return Err(ImportError::Empty(name.to_owned()));
    }
    let lines = text.lines().count();
    if lines > MOST_LINES {
        return Err(ImportError::TooManyLines { name: name.to_owned(), lines });
    }
    let ending = name.rsplit('.').next().unwrap_or_default().lower();
    if matches!(ending.as_str(), "csv" | "tsv") || looks_like_table(&text) {
        return Ok(from_table(&text));
    }
    Ok(Imported { lines, text, table: false, headings: false })
}

/// Text from UTF-8, UTF-16 with its mark, or the older Western code page;
/// `None` for what has control characters no text has.
fn decode(bytes: &[u8]) -> Option<String> {
    let text = match bytes {
        [0xff, 0xfe, rest @ ..] => utf16(rest, u16::from_le_bytes)?,
        [0xfe, 0xff, rest @ ..] => utf16(rest, u16::from_be_bytes)?,
        [0xef, 0xbb, 0xbf, rest @ ..] => String::from_utf8(rest.to_vec()).ok()?,
        all => std::str::from_utf8(all)
            .map_or_else(|_| all.iter().map(|b| char::from(*b)).collect(), str::to_owned),
    };
    let binary = text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\u{c}'));
    (!binary).then(|| text.replace("\r\n", "\n").replace(['\r', '\u{c}'], "\n"))
}

/// Text from pairs of bytes.
fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Option<String> {
    let units: Vec<u16> = bytes.as_chunks::<2>().0.iter().map(|pair| unit(*pair)).collect();
    String::from_utf16(&units).ok()
}

/// The mark that parts the cells of a table.
fn separator(text: &str) -> Option<u8> {
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).take(50).collect();
    [b'\t', b';', b','].into_iter().find(|mark| {
        let with = lines.iter().filter(|l| l.bytes().any(|b| b == *mark)).count();
        with * 2 > lines.len()
    })
}

/// Whether a pasted text is a table: tabs in most lines, or a row of headings.
pub fn looks_like_table(text: &str) -> bool {
    let Some(mark) = separator(text) else { return false };
    let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
    let cells: Vec<&str> = first.split(char::from(mark)).collect();
    mark == b'\t' && !first.starts_with('\t') || headings(&cells).is_some()
}

/// What a column of a table holds.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Field {
    Designator,
    /// A value, with the unit its heading names.
    Value(Option<String>),
    Rating,
    Power,
    Tolerance,
    Words,
    Role,
    From,
    To,
    Area,
    Remark,
    Ignored,
}

/// The columns that a row of headings names; `None` where it names no part.
fn headings(cells: &[&str]) -> Option<Vec<Field>> {
    let fields: Vec<Field> = cells.iter().map(|c| heading(c)).collect();
    let known = fields.iter().filter(|f| **f != Field::Remark).count();
    (fields.contains(&Field::Designator) && known >= 2).then_some(fields)
}

/// What a heading names.
fn heading(cell: &str) -> Field {
    let text = cell.trim().trim_matches('"').lower();
    let (name, unit) = text.split_once('(').map_or((text.as_str(), None), |(n, u)| {
        (n.trim(), Some(u.trim_end_matches(')').trim().to_owned()))
    });
    match name.trim_end_matches(['.', ':']) {
        "part" | "designator" | "ref" | "ref des" | "refdes" | "reference" | "symbol" | "item"
        | "component" | "name" | "schematic" | "schematic no" | "part no" => Field::Designator,
        "value" | "val" | "capacitance" | "resistance" | "cap" | "type no" | "tube" => {
            Field::Value(unit)
        }
        "uf" | "µf" | "mfd" | "mf" | "pf" | "mmf" | "mmfd" | "nf" | "ohms" | "ohm" => {
            Field::Value(Some(name.to_owned()))
        }
        "rating" | "voltage" | "volts" | "v" | "wv" | "wvdc" | "working voltage" | "volt" => {
            Field::Rating
        }
        "power" | "watts" | "wattage" | "w" | "watt" => Field::Power,
        "tolerance" | "tol" | "tolerance %" | "%" => Field::Tolerance,
        "type" | "dielectric" | "kind" | "material" | "made of" | "class" | "construction" => {
            Field::Words
        }
        "role" | "function" | "use" | "purpose" => Field::Role,
        "from" => Field::From,
        "to" => Field::To,
        "area" | "location" | "place" => Field::Area,
        "qty" | "quantity" | "count" | "no" | "#" => Field::Ignored,
        _ => Field::Remark,
    }
}

/// Reads a table into lines of a sheet.
///
/// ```
/// use firstglow::sheet::import::from_table;
/// let got = from_table("Ref\tValue (uF)\tVolts\tType\nC7\t.05\t400\tpaper\n");
/// assert_eq!(got.text, "C7  .05 uf 400 V paper\n");
/// ```
pub fn from_table(text: &str) -> Imported {
    let mark = separator(text).unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(mark)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut fields: Option<Vec<Field>> = None;
    let mut out = String::new();
    let mut first = true;
    let mut lines = 0;
    for record in reader.records().map_while(Result::ok) {
        let cells: Vec<&str> = record.iter().map(str::trim).collect();
        if cells.iter().all(|c| c.is_empty()) {
            continue;
        }
        if std::mem::take(&mut first) {
            fields = headings(&cells);
            if fields.is_some() {
                continue;
            }
        }
        out.push_str(
            &fields.as_ref().map_or_else(|| plain_line(&cells), |f| named_line(&cells, f)),
        );
        out.push('\n');
        lines += 1;
    }
    Imported { text: out, table: true, headings: fields.is_some(), lines }
}

/// A row without headings: its cells one after the other.
fn plain_line(cells: &[&str]) -> String {
    let words: Vec<String> = cells.iter().filter(|c| !c.is_empty()).map(|c| flat(c)).collect();
    words.join(" ")
}

/// A cell on one line.
fn flat(cell: &str) -> String {
    cell.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A row with headings.
fn named_line(cells: &[&str], fields: &[Field]) -> String {
    let mut designator = String::new();
    let mut words: Vec<String> = Vec::new();
    let mut area = None;
    let (mut from, mut to) = (String::new(), String::new());
    let mut remarks: Vec<String> = Vec::new();
    for (i, cell) in cells.iter().enumerate().filter(|(_, c)| !c.is_empty()) {
        let cell = flat(cell);
        match fields.get(i).unwrap_or(&Field::Remark) {
            Field::Designator => designator = cell,
            Field::Value(unit) => words.push(with_unit(&cell, unit.as_deref().unwrap_or_default())),
            Field::Rating => words.push(with_unit(&cell, "V")),
            Field::Power => words.push(with_unit(&cell, "W")),
            Field::Tolerance => words.push(with_unit(&cell, "%")),
            Field::Words => words.push(cell),
            Field::Role if vocabulary::meaning(&cell).is_some() => words.push(cell),
            Field::Role | Field::Remark => remarks.push(cell),
            Field::From => from = cell,
            Field::To => to = cell,
            Field::Area => area = Some(cell.replace('"', "")),
            Field::Ignored => {}
        }
    }
    let mut line = designators(&designator);
    for words in words.iter().filter(|w| !w.is_empty()) {
        line.push_str(if line.contains("  ") { " " } else { "  " });
        line.push_str(words);
    }
    if let Some(area) = area {
        let _ = write!(line, "  in \"{area}\"");
    }
    if !from.is_empty() || !to.is_empty() {
        let kind = designator
            .split([' ', ','])
            .find_map(Designator::read)
            .map_or(PartKind::Other, |first| kind_of(&first.letters));
        let _ = write!(line, "  {}", leads_text(kind, &from, &to));
    }
    if !remarks.is_empty() {
        let _ = write!(line, "  # {}", remarks.join("; "));
    }
    line
}

/// Several designators in one cell, as a spreadsheet parts them.
fn designators(cell: &str) -> String {
    let names: Vec<&str> = cell.split([' ', ',']).filter(|n| !n.is_empty()).collect();
    if names.len() > 1 && names.iter().all(|n| Designator::read(n).is_some()) {
        names.join(", ")
    } else {
        cell.to_owned()
    }
}

/// A number without unit gets the one its heading names.
fn with_unit(cell: &str, unit: &str) -> String {
    let bare = !cell.is_empty()
        && cell.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-' | '±'));
    if bare && !unit.is_empty() { format!("{cell} {unit}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_recognised_and_units_come_from_them() {
        let got = from_table(
            "Ref Des,Qty,Value,Voltage,Type,Function,Notes\n\"C3, C4\",2,.05,400,paper,coupling,\"leaky, hot\"\nR1,1,470K,,1/2 W,first audio plate,\n",
        );
        assert!(got.headings);
        assert_eq!(
            got.text,
            "C3, C4  .05 400 V paper coupling  # leaky, hot\nR1  470K 1/2 W  # first audio plate\n"
        );
    }

    #[test]
    fn a_table_without_headings_keeps_its_cells_in_order() {
        let got = from_table("C1\t.05\t400 V\tpaper\nR1\t470K\n");
        assert!(!got.headings);
        assert_eq!(got.text, "C1 .05 400 V paper\nR1 470K\n");
    }

    #[test]
    fn a_sheet_is_not_taken_for_a_table() {
        assert!(!looks_like_table("mains 117 V, 35 W\nC1 .05, paper\nV1 12SK7, x\n"));
        assert!(looks_like_table("C1\t.05\nC2\t.1\n"));
        assert!(looks_like_table("part,value\nC2,.1\n"));
    }

    #[test]
    fn files_in_older_codes_are_read() {
        assert_eq!(import(b"C1 8 \xb5F\n", "a.txt").unwrap().text, "C1 8 µF\n");
        let wide: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("C1 8 µF".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        assert_eq!(import(&wide, "a.txt").unwrap().text, "C1 8 µF");
        assert_eq!(import(b"C1 8\r\nR1 1K\r\n", "a.txt").unwrap().text, "C1 8\nR1 1K\n");
    }

    #[test]
    fn what_cannot_be_read_says_why() {
        let message = |bytes: &[u8]| import(bytes, "set.bin").unwrap_err().to_string();
        assert_eq!(
            message(b"\x89PNG\x00\x01"),
            "set.bin is no text file. Save the parts list as text or CSV and bring that in."
        );
        assert_eq!(message(b" \n"), "set.bin is empty.");
        assert_eq!(
            message(&vec![b'a'; 6_000_000]),
            "set.bin is 6 MB; at most 5 MB is read. Take the parts list out of it and bring that in."
        );
        assert_eq!(
            message("C1\n".repeat(30_000).as_bytes()),
            "set.bin has 30000 lines; a sheet may have 20000. Divide it and bring the parts in one by one."
        );
    }
}
