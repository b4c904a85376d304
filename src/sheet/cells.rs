//! Setting one cell of the table: its words change in the text, nothing else.

use super::edit::replace;
use super::part::PartKind;
use super::rows::{Column, placed, slice, split_leads};
use super::scan::{Content, Scanned, scan};
use crate::notation::line::PartLine;
use crate::notation::word::Span;

/// Sets a cell of the row that starts at `line`; other text stays as it is. An
/// unknown line changes nothing.
pub fn set_cell(text: &str, line: usize, column: Column, value: &str) -> String {
    let scanned = scan(text);
    let Some(row) = scanned.iter().find(|s| *s.lines.start() == line) else {
        return text.to_owned();
    };
    let value = one_line(value);
    if column == Column::Remark {
        return set_remark(text, row, &value);
    }
    match &row.content {
        Content::Part(part) => set_part_cell(text, part, row, column, &value),
        Content::Directive(..) | Content::Unread => set_words(text, row, column, &value),
        Content::Remark | Content::Blank => set_empty(text, row, column, &value),
    }
}

/// A cell holds no line break, and no mark that would open a remark.
fn one_line(value: &str) -> String {
    let flat: String = value.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    flat.trim().to_owned()
}

fn set_part_cell(
    text: &str,
    part: &PartLine,
    row: &Scanned,
    column: Column,
    value: &str,
) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let all = placed(part, row);
    let slot = if column == Column::To { Column::From } else { column };
    let spans: Vec<Span> = all.iter().filter(|(c, _)| *c == slot).map(|(_, s)| *s).collect();
    let old = spans.first().map(|s| slice(&lines, *s)).unwrap_or_default();
    let new = match column {
        Column::From => leads_text(part.kind, value, split_leads(&old).1),
        Column::To => leads_text(part.kind, split_leads(&old).0, value),
        Column::Area => area_text(value),
        _ => value.to_owned(),
    };
    if let Some((first, others)) = spans.split_first() {
        let mut out = text.to_owned();
        for span in others.iter().rev() {
            out = replace_or_close(&out, *span, "");
        }
        return replace_or_close(&out, *first, &new);
    }
    if new.is_empty() {
        return text.to_owned();
    }
    let before =
        all.iter().filter(|(c, _)| *c < slot).map(|(_, s)| *s).max_by_key(|s| (s.line, s.column));
    let at = before.or_else(|| part.designators.last().map(|(_, s)| *s));
    let Some(at) = at else { return text.to_owned() };
    replace(text, at.line, at.column + at.length, 0, &format!(" {new}"))
}

/// Both places, `?` for the one that is not said. The columns of a table say
/// nothing of polarity: only a plus sign in a cell does.
pub(super) fn leads_text(kind: PartKind, from: &str, to: &str) -> String {
    let said = |place: &str| match place.trim() {
        "" => crate::notation::name::UNSAID.to_owned(),
        place => place.to_owned(),
    };
    let (from, to) = (said(from), said(to));
    let plus = |place: &str| place.split_whitespace().any(|word| matches!(word, "+" | "(+)"));
    match (from.as_str(), to.as_str()) {
        ("?", "?") => String::new(),
        (from, to) if kind == PartKind::Capacitor && !plus(from) && !plus(to) => {
            format!("between {from} and {to}")
        }
        (from, to) => format!("{from} to {to}"),
    }
}

/// An area as it is written.
fn area_text(name: &str) -> String {
    match name.replace(['"', '“', '”'], "").trim() {
        "" => String::new(),
        name => format!("in \"{name}\""),
    }
}

/// Replaces a span; where nothing comes instead, one space beside it goes too.
fn replace_or_close(text: &str, span: Span, new: &str) -> String {
    if !new.is_empty() {
        return replace(text, span.line, span.column, span.length, new);
    }
    let before = text
        .lines()
        .nth(span.line - 1)
        .and_then(|l| l.chars().nth(span.column.checked_sub(2)?))
        .is_some_and(|c| c == ' ');
    let wider = usize::from(before);
    replace(text, span.line, span.column - wider, span.length + wider, "")
}

/// Sets the words of a directive or an unread line.
fn set_words(text: &str, row: &Scanned, column: Column, value: &str) -> String {
    let (Some(first), Some(last)) = (row.words.first(), row.words.last()) else {
        return text.to_owned();
    };
    let unread = matches!(row.content, Content::Unread);
    match column {
        Column::Designator if unread => {
            replace(text, first.span.line, first.span.column, 0, &format!("{value} "))
        }
        Column::Designator => {
            replace(text, first.span.line, first.span.column, first.span.length, value)
        }
        Column::Other if unread && first.span.line == last.span.line => {
            let span = first.span.to(last.span);
            replace(text, span.line, span.column, span.length, value)
        }
        Column::Other if first.span.line == last.span.line => {
            let start = first.span.column + first.span.length;
            let length = last.span.column + last.span.length - start;
            replace(text, first.span.line, start, length, &format!(" {value}"))
        }
        _ => text.to_owned(),
    }
}

/// Writes into an empty line or before a remark.
fn set_empty(text: &str, row: &Scanned, column: Column, value: &str) -> String {
    if value.is_empty() || column != Column::Designator {
        return text.to_owned();
    }
    let space = if row.remark.is_some() { "  " } else { "" };
    replace(text, *row.lines.start(), 1, 0, &format!("{value}{space}"))
}

/// Sets the remark: the one of the last line that has one, or a new one at the
/// end of the last line.
fn set_remark(text: &str, row: &Scanned, value: &str) -> String {
    let mut out = text.to_owned();
    for line in row.lines.clone() {
        let raw = out.lines().nth(line - 1).unwrap_or_default();
        let mut before = ' ';
        let mark = raw.chars().position(|c| {
            let opens = c == '#' && before.is_whitespace();
            before = c;
            opens
        });
        if let Some(at) = mark {
            let kept = raw.chars().take(at).collect::<String>();
            let trimmed = kept.trim_end().chars().count();
            out = replace(&out, line, trimmed + 1, raw.chars().count() - trimmed, "");
        }
    }
    if value.is_empty() {
        return out;
    }
    let line = *row.lines.end();
    let length = out.lines().nth(line - 1).map_or(0, |l| l.chars().count());
    let space = if length == 0 { "" } else { "  " };
    replace(&out, line, length + 1, 0, &format!("{space}# {value}"))
}

#[cfg(test)]
mod tests {
    use super::super::rows::rows;
    use super::*;

    #[test]
    fn setting_a_cell_changes_its_words_and_nothing_else() {
        let text = "set X\nC7  .05   paper   V2.6 to V3.5  # near V2\nR1 470K";
        for (column, value, expected) in [
            (Column::Designator, "C8", "C8  .05   paper   V2.6 to V3.5  # near V2"),
            (Column::Value, ".1 mfd", "C7  .1 mfd   paper   V2.6 to V3.5  # near V2"),
            (Column::Rating, "600 V", "C7  .05 600 V   paper   V2.6 to V3.5  # near V2"),
            (Column::Detail, "±10 %", "C7  .05 ±10 %   paper   V2.6 to V3.5  # near V2"),
            (Column::Dielectric, "mica", "C7  .05   mica   V2.6 to V3.5  # near V2"),
            (Column::Dielectric, "", "C7  .05     V2.6 to V3.5  # near V2"),
            (Column::Role, "coupling", "C7  .05   paper coupling   V2.6 to V3.5  # near V2"),
            (Column::From, "B1", "C7  .05   paper   between B1 and V3.5  # near V2"),
            (Column::To, "", "C7  .05   paper   between V2.6 and ?  # near V2"),
            (Column::Area, "top", "C7  .05   paper in \"top\"   V2.6 to V3.5  # near V2"),
            (Column::Remark, "new", "C7  .05   paper   V2.6 to V3.5  # new"),
            (Column::Remark, "", "C7  .05   paper   V2.6 to V3.5"),
        ] {
            let out = set_cell(text, 2, column, value);
            assert_eq!(out.lines().nth(1), Some(expected), "{column:?}");
            assert_eq!(out.lines().next(), Some("set X"));
            assert_eq!(out.lines().nth(2), Some("R1 470K"));
        }
    }

    #[test]
    fn a_cell_that_is_set_shows_what_was_set() {
        let mut text = "C7".to_owned();
        for (column, value) in [
            (Column::Value, ".05 mfd"),
            (Column::Rating, "400 V"),
            (Column::Detail, "±20 %"),
            (Column::Dielectric, "paper"),
            (Column::Role, "coupling"),
            (Column::Area, "under switch"),
            (Column::From, "V2.6"),
            (Column::To, "V3.5"),
            (Column::Remark, "leaky"),
        ] {
            text = set_cell(&text, 1, column, value);
            assert_eq!(rows(&text)[0].cell(column), value, "{text}");
        }
        assert_eq!(
            text,
            "C7 .05 mfd 400 V ±20 % paper coupling in \"under switch\" between V2.6 and V3.5  # leaky"
        );
    }
}
