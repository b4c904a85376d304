//! The `area` line: what is opened as one, and what that takes.
//!
//! ```text
//! area bottom cover: off: four screws
//! area band switch: C7 C8 R3 after bottom cover, shield
//!      off: two knobs, white wire to lug 3
//!      mark: pointer on its cord, switch shaft against the chassis
//!      readjust: dial pointer, oscillator trimmer at 1400 kc
//! ```
//! The parts come first. `after` names the areas that must be open before;
//! `off:` what is taken off, `mark:` what is marked before it is loosened,
//! `readjust:` what must be set again afterwards. Each is a list, parted by
//! commas. A name that has a comma in it stands in quotation marks after
//! `after`. Lines of the same name add to one area.

use super::directive::{empty, tail, tail_after};
use super::item::Found;
use super::name::Designator;
use super::problem::Problem;
use super::word::{Span, Word, cut};

/// What an `area` line says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AreaLine {
    /// Where its keyword stands.
    pub span: Span,
    /// Its name.
    pub name: String,
    /// The designators in it.
    pub parts: Vec<(String, Span)>,
    /// The areas that must be open before.
    pub after: Vec<(String, Span)>,
    /// What is taken off.
    pub off: Vec<String>,
    /// What is marked before it is loosened.
    pub mark: Vec<String>,
    /// What must be set again afterwards.
    pub readjust: Vec<String>,
}

/// What an area line needs, for notes.
const NEEDS: &str = "a name and its parts, as in area under switch: C7 R3";

/// The clauses that follow the parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Clause {
    Parts,
    After,
    Off,
    Mark,
    Readjust,
}

impl Clause {
    /// The clause that a word opens. A bare `after` opens one only behind the
    /// parts: in a list of things it is a word like any other.
    fn opened(word: &Word, now: Self) -> Option<Self> {
        if word.quoted {
            return None;
        }
        Some(match word.lower().as_str() {
            "after" if matches!(now, Self::Parts | Self::After) => Self::After,
            "after:" => Self::After,
            "off:" => Self::Off,
            "mark:" => Self::Mark,
            "readjust:" => Self::Readjust,
            _ => return None,
        })
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Parts => "area",
            Self::After => "after",
            Self::Off => "off:",
            Self::Mark => "mark:",
            Self::Readjust => "readjust:",
        }
    }
}

/// Reads the words of an area line; `raw` is its first line of text without
/// its remark.
pub fn read(head: &Word, rest: &[Word], raw: &str, found: &mut Vec<Found>) -> Option<AreaLine> {
    if rest.is_empty() {
        empty(head, found, "area", NEEDS);
        return None;
    }
    let after = tail(raw, head.span.column + head.span.length);
    let Some((name, _)) = after.split_once(':') else {
        found.push(Found::error(head.span, Problem::AreaColon));
        return None;
    };
    let name = name.trim().trim_matches(['"', '“', '”']).trim().to_owned();
    if name.is_empty() {
        empty(head, found, "area", NEEDS);
        return None;
    }
    let mut area = AreaLine {
        span: head.span,
        name,
        parts: Vec::new(),
        after: Vec::new(),
        off: Vec::new(),
        mark: Vec::new(),
        readjust: Vec::new(),
    };
    let mut clause = Clause::Parts;
    let mut opened = head.span;
    let mut list: Vec<Word> = Vec::new();
    for word in words(head, rest, raw) {
        if let Some(next) = Clause::opened(&word, clause) {
            area.close(clause, opened, &mut list, found);
            (clause, opened) = (next, word.span);
        } else if clause == Clause::Parts {
            area.part(&word, found);
        } else {
            list.push(word);
        }
    }
    area.close(clause, opened, &mut list, found);
    Some(area)
}

/// The words behind the colon, with those of continued lines.
fn words(head: &Word, rest: &[Word], raw: &str) -> Vec<Word> {
    let colon = raw.chars().position(|c| c == ':').map_or(0, |at| at + 1);
    let mut words = cut(&tail_after(raw, colon), head.span.line).words;
    for word in &mut words {
        word.span.column += colon;
    }
    words.extend(rest.iter().filter(|word| word.span.line > head.span.line).cloned());
    words
}

impl AreaLine {
    fn part(&mut self, word: &Word, found: &mut Vec<Found>) {
        if let Some(designator) = Designator::read(&word.text) {
            self.parts.push((designator.to_string(), word.span));
        } else if let Some(range) = super::line::range(&word.text) {
            self.parts.extend(range.iter().map(|d| (d.to_string(), word.span)));
        } else {
            found.push(Found::error(word.span, Problem::AreaPart(word.text.clone())));
        }
    }

    /// Ends a clause: its words become the things of its list.
    fn close(&mut self, clause: Clause, at: Span, list: &mut Vec<Word>, found: &mut Vec<Found>) {
        let things = things(&std::mem::take(list));
        if things.is_empty() && clause != Clause::Parts {
            found.push(Found::error(at, Problem::AreaClause(clause.word())));
        }
        let texts = things.iter().map(|(text, _)| text.clone());
        match clause {
            Clause::Parts => {}
            Clause::After => self.after.extend(things),
            Clause::Off => self.off.extend(texts),
            Clause::Mark => self.mark.extend(texts),
            Clause::Readjust => self.readjust.extend(texts),
        }
    }
}

/// Words as a list parted by commas.
fn things(words: &[Word]) -> Vec<(String, Span)> {
    let mut all: Vec<(String, Span)> = Vec::new();
    let mut goes_on = false;
    for word in words {
        match all.last_mut().filter(|_| goes_on) {
            Some((text, span)) => {
                text.push(' ');
                text.push_str(&word.text);
                *span = span.to(word.span);
            }
            None => all.push((word.text.clone(), word.span)),
        }
        goes_on = !word.comma;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(text: &str) -> (Option<AreaLine>, Vec<String>) {
        // As a sheet gathers a continued line.
        let mut words = Vec::new();
        for (at, line) in text.lines().enumerate() {
            words.extend(cut(line, at + 1).words);
        }
        let mut found = Vec::new();
        let raw = text.lines().next().unwrap_or("");
        let area = read(&words[0], &words[1..], raw, &mut found);
        let notes = found.iter().map(|f| format!("{}: {}", f.span.column, f.problem)).collect();
        (area, notes)
    }

    #[test]
    fn every_clause_is_a_list_and_may_stand_on_lines_of_its_own() {
        let (area, notes) = area(
            "area band switch: C7 C8-C9 after bottom cover, \"shield, left\"\n off: two knobs, \
             white wire to lug 3\n mark: pointer at the stop\n readjust: pointer after warm-up",
        );
        let area = area.unwrap();
        let names = |all: &[(String, Span)]| -> Vec<String> {
            all.iter().map(|(name, _)| name.clone()).collect()
        };
        assert_eq!(area.name, "band switch");
        assert_eq!(names(&area.parts), ["C7", "C8", "C9"]);
        assert_eq!(names(&area.after), ["bottom cover", "shield, left"]);
        assert_eq!(area.off, ["two knobs", "white wire to lug 3"]);
        assert_eq!(area.mark, ["pointer at the stop"]);
        assert_eq!(area.readjust, ["pointer after warm-up"]);
        assert!(notes.is_empty(), "{notes:?}");
    }

    #[test]
    fn a_cover_is_an_area_without_parts() {
        let (area, notes) = area("area bottom cover: off: four screws");
        let area = area.unwrap();
        assert!(area.parts.is_empty() && notes.is_empty(), "{notes:?}");
        assert_eq!(area.off, ["four screws"]);
    }

    #[test]
    fn what_is_wrong_is_told_at_its_place() {
        assert_eq!(
            area("area").1,
            ["1: 'area' needs more after it: a name and its parts, as in area under switch: C7 R3"]
        );
        assert_eq!(
            area("area switch C7").1,
            ["1: expected 'area NAME: C7 R3'; the ':' after the name is missing"]
        );
        assert_eq!(
            area("area switch: C7 off:").1,
            ["17: 'off:' needs what it is about after it, parted by commas"]
        );
        assert_eq!(
            area("area switch: screws").1,
            [
                "14: 'screws' is no designator; expected names of parts such as C7, or after, off:, mark:, readjust:"
            ]
        );
    }
}
