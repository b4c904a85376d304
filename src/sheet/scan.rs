//! Cutting a sheet into its logical lines and reading each of them.
//!
//! A line that starts with white space continues the part or directive above.
//! Both the model ([`super::Sheet::read`]) and the table
//! ([`super::rows`]) are made from the same scan.

use super::pieces::Pieces;
use crate::letters::Letters;
use crate::notation::amount::BareM;
use crate::notation::directive::{self, Directive, KEYWORDS};
use crate::notation::item::Found;
use crate::notation::kinds::kind_of;
use crate::notation::line::{self, PartLine};
use crate::notation::name::Designator;
use crate::notation::problem::Problem;
use crate::notation::word::{self, LONGEST_LINE, Span, Word};
use crate::trade::kind::PartKind;
use std::ops::RangeInclusive;

/// The most lines of a sheet that are read.
pub const MOST_LINES: usize = 20_000;

/// What a logical line is.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// A part, or several alike.
    Part(PartLine),
    /// A directive, by its keyword; `None` where it could not be read.
    Directive(&'static str, Option<Directive>),
    /// A remark alone.
    Remark,
    /// Nothing.
    Blank,
    /// Words that could not be read as either.
    Unread,
}

/// A logical line: one line of text, or several where it is continued.
#[derive(Debug, Clone, PartialEq)]
pub struct Scanned {
    /// Its lines of text, from 1.
    pub lines: RangeInclusive<usize>,
    /// Its words.
    pub words: Vec<Word>,
    /// Its remarks, joined.
    pub remark: Option<String>,
    /// What it is.
    pub content: Content,
    /// Everything wrong or doubtful.
    pub found: Vec<Found>,
}

/// The words of a logical line before they are read.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    first: usize,
    last: usize,
    raw: String,
    words: Vec<Word>,
    remarks: Vec<String>,
    found: Vec<Found>,
}

/// Scans a whole sheet.
pub fn scan(text: &str) -> Vec<Scanned> {
    let mut pieces = Pieces::default();
    pieces.scan(text);
    pieces.into_lines().collect()
}

/// Puts the continued lines of a piece together: the piece begins at line
/// `start`, of `total` in the whole text.
pub(super) fn gather(piece: &str, start: usize, total: usize) -> Vec<Gathered> {
    let mut all: Vec<Gathered> = Vec::new();
    let mut open = false;
    for (i, raw) in piece.lines().enumerate() {
        let number = start + i;
        if number > MOST_LINES {
            let length = usize::from(!raw.is_empty());
            let span = Span { line: number, column: 1, length };
            all.push(Gathered {
                first: number,
                last: total,
                found: vec![Found::error(span, Problem::TooManyLines(MOST_LINES))],
                ..Gathered::default()
            });
            break;
        }
        let (cut, found) = cut(raw, number);
        let continues = cut.indented && !cut.words.is_empty();
        if continues
            && open
            && let Some(above) = all.last_mut()
        {
            above.last = number;
            above.words.extend(cut.words);
            above.remarks.extend(cut.remark);
            above.found.extend(found);
            continue;
        }
        open = !cut.words.is_empty();
        let mut line = Gathered {
            first: number,
            last: number,
            raw: without_remark(raw),
            words: cut.words,
            remarks: cut.remark.into_iter().collect(),
            found,
        };
        if continues && starts_nothing(&line.words) {
            let span = Span { line: number, column: 1, length: 1 };
            line.found.push(Found::error(span, Problem::NothingToContinue));
            line.words.clear();
        }
        all.push(line);
    }
    all
}

/// Whether an indented line can not stand by itself.
fn starts_nothing(words: &[Word]) -> bool {
    words.first().is_some_and(|w| {
        Designator::read(w.text.trim_end_matches(':')).is_none() && keyword(w).is_none()
    })
}

/// The words of a line of text, or the note that it is none.
fn cut(raw: &str, number: usize) -> (word::Cut, Vec<Found>) {
    let binary = raw.chars().any(|c| (c.is_control() && c != '\t') || c == '\u{fffd}');
    let span = Span { line: number, column: 1, length: 1 };
    if binary {
        return (word::Cut::default(), vec![Found::error(span, Problem::NotText)]);
    }
    let mut found = Vec::new();
    if raw.len() > LONGEST_LINE && raw.chars().count() > LONGEST_LINE {
        let span = Span { column: LONGEST_LINE, ..span };
        found.push(Found::error(span, Problem::LineTooLong(LONGEST_LINE)));
    }
    (word::cut(raw, number), found)
}

/// The line up to its remark.
fn without_remark(raw: &str) -> String {
    let mut before = ' ';
    let end = raw.char_indices().find(|(_, c)| {
        let opens = *c == '#' && before.is_whitespace();
        before = *c;
        opens
    });
    end.map_or(raw, |(i, _)| &raw[..i]).chars().take(LONGEST_LINE).collect()
}

/// The keyword a word is, if any.
fn keyword(word: &Word) -> Option<&'static str> {
    if word.quoted {
        return None;
    }
    let text = word.text.trim_end_matches(':');
    KEYWORDS.into_iter().find(|k| k.eq_ignore_ascii_case(text))
}

/// How the sheet says `M` is read, where this line says it.
pub(super) fn bare_m(line: &Gathered) -> Option<BareM> {
    keyword(line.words.first()?).filter(|k| *k == "read")?;
    match directive::read(&line.words, &line.raw).0 {
        Some(Directive::Read(m)) => Some(m),
        _ => None,
    }
}

/// Reads one logical line.
pub(super) fn read(line: Gathered, bare_m: BareM) -> Scanned {
    let Gathered { first, last, raw, words, remarks, mut found } = line;
    let content = match words.first() {
        None if remarks.is_empty() && found.is_empty() => Content::Blank,
        None if found.is_empty() => Content::Remark,
        None => Content::Unread,
        Some(head) => {
            if let Some(keyword) = keyword(head) {
                let (directive, more) = directive::read(&words, &raw);
                found.extend(more);
                Content::Directive(keyword, directive)
            } else if is_designator(head) {
                let mut part = line::read(&words, bare_m);
                found.append(&mut part.found);
                Content::Part(part)
            } else {
                found.push(Found::error(head.span, start_problem(&head.text)));
                Content::Unread
            }
        }
    };
    let remark = (!remarks.is_empty()).then(|| remarks.join(" "));
    Scanned { lines: first..=last, words, remark, content, found }
}

/// Whether a word opens a part's line.
fn is_designator(word: &Word) -> bool {
    let text = word.text.trim_end_matches(':');
    !word.quoted && (Designator::read(text).is_some() || line::range(text).is_some())
}

/// What to say of a line that starts with neither.
fn start_problem(text: &str) -> Problem {
    let shown: String = text.chars().take(40).collect();
    let letters = text.len() <= 3 && text.chars().all(|c| c.is_ascii_alphabetic());
    if letters && kind_of(&shown.upper()) != PartKind::Other {
        Problem::DesignatorNumber(shown.upper())
    } else {
        Problem::LineStart(shown)
    }
}
