//! Changes of the text: what a note's tap does, and whole lines moved about.
//!
//! Pure functions from text to text. A line is named by the number (from 1) of
//! the first line of its part; a continued part moves as one.

use super::scan::{Content, scan};
use crate::notation::name::Designator;
use crate::notation::note::Edit;
use std::ops::RangeInclusive;

/// Applies the change of a note. A change whose place is no longer there leaves
/// the text as it is.
///
/// ```
/// use firstglow::sheet::{Sheet, edit};
/// let text = "C7 .05 paper";
/// let note = &Sheet::read(text).notes[0];
/// assert_eq!(edit::apply(text, &note.choices[0].edit), "C7 .05 µF paper");
/// ```
pub fn apply(text: &str, edit: &Edit) -> String {
    match edit {
        Edit::Replace { line, column, length, text: new } => {
            replace(text, *line, *column, *length, new)
        }
        Edit::InsertLine { line, text: new } => {
            let mut lines = lines_of(text);
            let at = (line - 1).min(lines.len());
            // What stood first continued nothing; it shall not continue the new one.
            if let (0, Some(first)) = (at, lines.first_mut()) {
                *first = first.trim_start();
            }
            lines.insert(at, new);
            lines.join("\n")
        }
    }
}

/// The lines of a text; a last line break makes a last, empty line.
fn lines_of(text: &str) -> Vec<&str> {
    text.split('\n').map(|l| l.strip_suffix('\r').unwrap_or(l)).collect()
}

/// Replaces a run of characters of one line.
pub(super) fn replace(text: &str, line: usize, column: usize, length: usize, new: &str) -> String {
    let mut lines: Vec<String> = lines_of(text).into_iter().map(str::to_owned).collect();
    if let Some(old) = lines.get_mut(line - 1) {
        let chars: Vec<char> = old.chars().collect();
        let start = (column - 1).min(chars.len());
        let end = (start + length).min(chars.len());
        let before: String = chars[..start].iter().collect();
        let after: String = chars[end..].iter().collect();
        *old = format!("{before}{new}{after}");
    }
    lines.join("\n")
}

/// The lines of text that the logical line starting at (or holding) `line` has.
fn extent(text: &str, line: usize) -> Option<RangeInclusive<usize>> {
    scan(text).into_iter().map(|s| s.lines).find(|l| l.contains(&line))
}

/// Puts a new line after the logical line at `line`, or at the end.
pub fn insert_after(text: &str, line: Option<usize>, new: &str) -> String {
    let mut lines = lines_of(text);
    let at = line.and_then(|l| extent(text, l)).map_or_else(
        || if lines.last() == Some(&"") { lines.len() - 1 } else { lines.len() },
        |lines| *lines.end(),
    );
    lines.insert(at.min(lines.len()), new);
    lines.join("\n")
}

/// Takes the logical line at `line` away.
pub fn remove(text: &str, line: usize) -> String {
    let Some(gone) = extent(text, line) else { return text.to_owned() };
    let kept: Vec<&str> = lines_of(text)
        .into_iter()
        .enumerate()
        .filter(|(i, _)| !gone.contains(&(i + 1)))
        .map(|(_, l)| l)
        .collect();
    kept.join("\n")
}

/// Puts a copy of the logical line at `line` after it; a part gets the next
/// free number of its letters.
pub fn duplicate(text: &str, line: usize) -> String {
    let scanned = scan(text);
    let Some(source) = scanned.iter().find(|s| s.lines.contains(&line)) else {
        return text.to_owned();
    };
    let lines = lines_of(text);
    let mut copy = lines[source.lines.start() - 1..*source.lines.end()].join("\n");
    if let Content::Part(part) = &source.content
        && let Some((designator, span)) = part.designators.first()
    {
        let last = part.designators.last().map_or(*span, |(_, s)| *s);
        let whole = span.to(last);
        let fresh = next_free(&scanned_names(&scanned), &designator.letters);
        copy = replace(&copy, 1, whole.column, whole.length, &fresh.to_string());
    }
    insert_after(text, Some(*source.lines.start()), &copy)
}

/// Every designator of the sheet.
fn scanned_names(scanned: &[super::scan::Scanned]) -> Vec<Designator> {
    let parts = scanned.iter().filter_map(|s| match &s.content {
        Content::Part(part) => Some(part.designators.iter().map(|(d, _)| d.clone())),
        _ => None,
    });
    parts.flatten().collect()
}

/// The designator after the highest of its letters.
fn next_free(names: &[Designator], letters: &str) -> Designator {
    let highest = names.iter().filter(|d| d.letters == letters).map(|d| d.number).max();
    let number = highest.unwrap_or(0).saturating_add(1);
    Designator { letters: letters.to_owned(), number, section: None }
}

/// The next free designator of these letters on the sheet.
pub fn fresh_designator(text: &str, letters: &str) -> Designator {
    next_free(&scanned_names(&scan(text)), letters)
}

/// Moves the logical line at `line` one place up or down; gives the text and
/// the line where it now starts.
pub fn move_row(text: &str, line: usize, up: bool) -> (String, usize) {
    let scanned = scan(text);
    let Some(at) = scanned.iter().position(|s| s.lines.contains(&line)) else {
        return (text.to_owned(), line);
    };
    let other = if up { at.checked_sub(1) } else { Some(at + 1).filter(|i| *i < scanned.len()) };
    let Some(other) = other else { return (text.to_owned(), line) };
    let (first, second) = (at.min(other), at.max(other));
    let (a, b) = (&scanned[first].lines, &scanned[second].lines);
    let lines = lines_of(text);
    let block = |l: &RangeInclusive<usize>| lines[l.start() - 1..*l.end()].to_vec();
    let mut out: Vec<&str> = lines[..a.start() - 1].to_vec();
    out.extend(block(b));
    out.extend(block(a));
    out.extend(&lines[*b.end()..]);
    let start = if up { *a.start() } else { a.start() + b.end() + 1 - b.start() };
    (out.join("\n"), start)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_first_line_that_stands_in_does_not_continue_one_put_before_it() {
        let put = Edit::InsertLine { line: 1, text: "read M as million".to_owned() };
        assert_eq!(apply("  R1 470M\n  1/2 W", &put), "read M as million\nR1 470M\n  1/2 W");
    }

    const TEXT: &str = "set Radio\nC1 .05\nT1 power primary 1 to 2\n   secondary 3 to 4\nR1 470K\n";

    #[test]
    fn a_continued_part_moves_as_one() {
        let (moved, line) = move_row(TEXT, 3, true);
        assert_eq!(
            moved,
            "set Radio\nT1 power primary 1 to 2\n   secondary 3 to 4\nC1 .05\nR1 470K\n"
        );
        assert_eq!(line, 2);
        let (back, line) = move_row(&moved, line, false);
        assert_eq!((back.as_str(), line), (TEXT, 3));
    }

    #[test]
    fn moving_past_the_ends_changes_nothing() {
        assert_eq!(move_row(TEXT, 1, true), (TEXT.to_owned(), 1));
        assert_eq!(move_row("C1 1", 1, false), ("C1 1".to_owned(), 1));
    }

    #[test]
    fn a_copy_gets_the_next_free_number() {
        assert_eq!(duplicate("C1 .05\nC7 .1", 1), "C1 .05\nC8 .05\nC7 .1");
        assert_eq!(duplicate("C1A 8 mfd", 1), "C1A 8 mfd\nC2 8 mfd");
    }

    #[test]
    fn lines_are_put_in_and_taken_out_whole() {
        assert_eq!(remove(TEXT, 4), "set Radio\nC1 .05\nR1 470K\n");
        assert_eq!(insert_after("C1 .05\n", None, "C2 .1"), "C1 .05\nC2 .1\n");
        assert_eq!(insert_after("C1 .05\nR1 1K", Some(1), "C2 .1"), "C1 .05\nC2 .1\nR1 1K");
        assert_eq!(insert_after("", None, "C1 .05"), "C1 .05\n");
    }

    #[test]
    fn a_change_outside_the_text_is_harmless() {
        let edit = Edit::Replace { line: 9, column: 4, length: 2, text: "x".to_owned() };
        assert_eq!(apply("C1 .05", &edit), "C1 .05");
    }
}
