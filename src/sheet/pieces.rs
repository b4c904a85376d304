//! A text in pieces that read the same whatever stands around them, so that a
//! keystroke has only its own piece read again.
//!
//! A piece begins at a line that cannot continue another and goes on to the
//! next such line. What was read of it holds as long as its words and its place
//! are the same, and as long as the sheet reads a bare `M` the same way.
//!
//! Limits: a line that is put in or taken out moves all below it, which are
//! read again.

use super::scan::{Gathered, MOST_LINES, Scanned, bare_m, gather, read};
use crate::notation::amount::BareM;
use std::ops::Range;

/// The pieces of a text that was read.
#[derive(Debug, Default)]
pub struct Pieces {
    text: String,
    all: Vec<Piece>,
    bare_m: BareM,
}

#[derive(Debug)]
struct Piece {
    /// Its first line, from 1.
    first: usize,
    /// Where it stands in the text, in bytes.
    at: Range<usize>,
    /// How it says that a bare `M` is read.
    says: Option<BareM>,
    lines: Vec<Scanned>,
}

impl Pieces {
    /// Scans a text, as far as it is not the one before.
    pub fn scan(&mut self, text: &str) {
        let total = text.lines().count();
        let mut before = std::mem::take(&mut self.all).into_iter().peekable();
        let mut fresh: Vec<(usize, Vec<Gathered>)> = Vec::new();
        for (first, at) in cut(text) {
            let words = &text[at.clone()];
            while before.next_if(|old| old.first < first).is_some() {}
            let known = before.next_if(|old| {
                old.first == first && self.text[old.at.clone()] == *words && total <= MOST_LINES
            });
            if let Some(old) = known {
                self.all.push(Piece { at, ..old });
                continue;
            }
            let gathered = gather(words, first, total);
            let says = gathered.iter().find_map(bare_m);
            fresh.push((self.all.len(), gathered));
            self.all.push(Piece { first, at, says, lines: Vec::new() });
        }
        text.clone_into(&mut self.text);
        let bare_m = self.all.iter().find_map(|piece| piece.says).unwrap_or_default();
        if bare_m != self.bare_m {
            self.bare_m = bare_m;
            let again = |piece: &Piece| gather(&text[piece.at.clone()], piece.first, total);
            fresh = self.all.iter().map(again).enumerate().collect();
        }
        for (at, gathered) in fresh {
            self.all[at].lines = gathered.into_iter().map(|line| read(line, bare_m)).collect();
        }
    }

    /// The lines that were scanned.
    pub fn lines(&self) -> impl Iterator<Item = &Scanned> {
        self.all.iter().flat_map(|piece| &piece.lines)
    }

    /// The same, handed over.
    pub fn into_lines(self) -> impl Iterator<Item = Scanned> {
        self.all.into_iter().flat_map(|piece| piece.lines)
    }
}

/// The first line of each piece and where the piece stands, up to the one in
/// which the most lines are passed.
fn cut(text: &str) -> Vec<(usize, Range<usize>)> {
    let mut pieces: Vec<(usize, Range<usize>)> = Vec::new();
    let mut from = 0;
    for (index, line) in text.split_inclusive('\n').enumerate() {
        let end = from + line.len();
        let begins = !line.starts_with(char::is_whitespace) || line.trim().is_empty();
        match pieces.last_mut() {
            Some((_, last)) if !begins => last.end = end,
            _ if index > MOST_LINES => break,
            _ => pieces.push((index + 1, from..end)),
        }
        from = end;
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::super::{Reading, Sheet};

    #[test]
    fn a_text_that_is_read_again_and_again_reads_as_if_for_the_first_time() {
        let mut reading = Reading::default();
        for text in [
            "",
            "R1 470M\nC1 .05 400 V paper # by the switch",
            "R1 470M\nC1 .05 600 V paper # by the switch",
            // How `M` is read changes every line.
            "R1 470M\nC1 .05 600 V paper\nread M as mega",
            "read M as thousand\nR1 470M\nC1 .05 600 V paper",
            // A line that comes to continue another, and ceases to.
            "T1 power primary 1 to 2 117 V\n secondary 3 to 5 500 V CT\nR1 470M",
            "T1 power primary 1 to 2 117 V\nsecondary 3 to 5 500 V CT\nR1 470M",
            "  secondary 3 to 5 500 V CT\nR1 470M",
            "\n\n  # a remark\n  R1 470M\r\nR1 1K\r\n\n",
            "\n\n  # a remark\n  R1 470M\r\nR1 1K\r\n\nR1 \u{0}",
        ] {
            assert_eq!(reading.read(text), Sheet::read(text), "{text}");
            assert_eq!(reading.read(text), Sheet::read(text), "again: {text}");
        }
    }

    #[test]
    fn the_most_lines_hold_for_a_text_that_is_read_again() {
        let mut reading = Reading::default();
        let long = "R1 1K\n".repeat(super::MOST_LINES - 1);
        for end in ["R2 1K", "R2 1K\nR3 1K", "R2 1K\n more\n more", "R2 1K\nR3 1K\nR4 1K", "R2"] {
            let text = format!("{long}{end}");
            let (kept, once) = (reading.read(&text), Sheet::read(&text));
            assert_eq!(kept.notes.last(), once.notes.last(), "{end}");
            assert_eq!(kept.parts.len(), once.parts.len(), "{end}");
        }
    }
}
