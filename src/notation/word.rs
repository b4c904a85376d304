//! Cutting text into words that know where they stand.

use super::vocabulary;
use crate::letters::Letters;

/// Where something stands: a line and a run of characters on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// The line, from 1.
    pub line: usize,
    /// The first character, from 1.
    pub column: usize,
    /// How many characters.
    pub length: usize,
}

impl Span {
    /// From the start of this span to the end of another on the same line;
    /// this span alone where they stand on two lines.
    #[must_use]
    pub fn to(self, end: Self) -> Self {
        if end.line != self.line || end.column < self.column {
            return self;
        }
        Self { length: end.column + end.length - self.column, ..self }
    }

    /// A run inside this span.
    #[must_use]
    pub const fn part(self, skip: usize, length: usize) -> Self {
        Self { line: self.line, column: self.column + skip, length }
    }
}

/// A word of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// Its characters.
    pub text: String,
    /// Where it stands.
    pub span: Span,
    /// Whether a comma or semicolon follows it.
    pub comma: bool,
    /// Whether it stood in quotation marks.
    pub quoted: bool,
    /// The most words of a phrase of the trade that starts with it; 0 for none.
    pub phrase: usize,
}

impl Word {
    /// A plain word.
    pub fn new(text: String, span: Span) -> Self {
        let phrase = vocabulary::longest_from(&text);
        Self { text, span, comma: false, quoted: false, phrase }
    }

    /// Lower case, for comparing.
    pub fn lower(&self) -> String {
        self.text.lower()
    }

    /// Whether it is this keyword, in any case.
    pub fn is(&self, keyword: &str) -> bool {
        !self.quoted && self.text.eq_ignore_ascii_case(keyword)
    }
}

/// The words of one line and its remark.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cut {
    /// Its words.
    pub words: Vec<Word>,
    /// What follows `#`, trimmed.
    pub remark: Option<String>,
    /// Whether the line starts with white space.
    pub indented: bool,
}

/// The longest line that is read; what follows is left unread.
pub const LONGEST_LINE: usize = 2000;

/// Cuts a line into words. `#` at the start or after white space opens a
/// remark; `"…"` holds words together; a comma splits words unless digits
/// stand on both its sides, or it opens a number.
pub fn cut(text: &str, line: usize) -> Cut {
    let chars: Vec<char> = text.chars().take(LONGEST_LINE).collect();
    let mut cut =
        Cut { indented: chars.first().is_some_and(|c| c.is_whitespace()), ..Cut::default() };
    let mut at = 0;
    while at < chars.len() {
        match chars[at] {
            c if c.is_whitespace() => at += 1,
            '#' => {
                let remark: String = chars[at + 1..].iter().collect();
                cut.remark = Some(remark.trim().to_owned()).filter(|r| !r.is_empty());
                break;
            }
            '"' | '“' => at = quoted(&chars, at, line, &mut cut.words),
            ',' | ';' if !opens_number(&chars, at) => {
                if let Some(last) = cut.words.last_mut() {
                    last.comma = true;
                }
                at += 1;
            }
            _ => at = plain(&chars, at, line, &mut cut.words),
        }
    }
    cut
}

/// Whether a decimal comma opens a number: `,05` after white space.
fn opens_number(chars: &[char], at: usize) -> bool {
    chars[at] == ','
        && at > 0
        && chars[at - 1].is_whitespace()
        && chars.get(at + 1).is_some_and(char::is_ascii_digit)
}

/// Takes a quoted run; returns where reading goes on.
fn quoted(chars: &[char], at: usize, line: usize, words: &mut Vec<Word>) -> usize {
    let end = chars[at + 1..]
        .iter()
        .position(|c| matches!(c, '"' | '”'))
        .map_or(chars.len(), |p| at + 1 + p);
    let after = (end + 1).min(chars.len());
    let span = Span { line, column: at + 1, length: after - at };
    let text = chars[at + 1..end].iter().collect();
    words.push(Word { text, span, comma: false, quoted: true, phrase: 0 });
    after
}

/// Takes a run up to white space or a splitting comma.
fn plain(chars: &[char], at: usize, line: usize, words: &mut Vec<Word>) -> usize {
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let mut end = at;
    while end < chars.len() && !chars[end].is_whitespace() && chars[end] != ';' {
        let inside = if end == at { digit(end + 1) } else { digit(end - 1) && digit(end + 1) };
        if chars[end] == ',' && !inside {
            break;
        }
        end += 1;
    }
    let span = Span { line, column: at + 1, length: end - at };
    words.push(Word::new(chars[at..end].iter().collect(), span));
    end
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &str) -> Vec<String> {
        cut(line, 1).words.into_iter().map(|w| w.text).collect()
    }

    #[test]
    fn commas_split_words_but_not_numbers() {
        assert_eq!(texts("0,05 B1,B2 to chassis"), ["0,05", "B1", "B2", "to", "chassis"]);
        assert_eq!(texts("47,000, 10%"), ["47,000", "10%"]);
    }

    #[test]
    fn a_remark_opens_after_white_space_only() {
        let cut = cut("C7 .05 # by the switch", 3);
        assert_eq!(cut.remark.as_deref(), Some("by the switch"));
        assert_eq!(cut.words.len(), 2);
        assert_eq!(cut.words[1].span, Span { line: 3, column: 4, length: 3 });
        assert_eq!(texts("C7 part#9"), ["C7", "part#9"]);
    }

    #[test]
    fn quotation_marks_hold_words_together_even_unclosed() {
        let cut = cut("C7 \"under the switch", 1);
        assert_eq!(cut.words[1].text, "under the switch");
        assert!(cut.words[1].quoted);
    }
}
