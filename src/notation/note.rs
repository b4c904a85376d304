//! Notes on the text: where, what was read, what else it could be, what to do.

use serde::Serialize;

/// How much a note matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// A reading by habit that is worth a look.
    Reading,
    /// Something that makes the plan weaker.
    Warning,
    /// Something that could not be read, or must not be.
    Error,
}

/// A change of the text that settles a note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Edit {
    /// Replaces `length` characters from `line`, `column` (both from 1).
    Replace {
        /// The line, from 1.
        line: usize,
        /// The column of the first character, from 1.
        column: usize,
        /// How many characters go.
        length: usize,
        /// What comes instead.
        text: String,
    },
    /// Puts a whole new line before `line` (from 1).
    InsertLine {
        /// The line, from 1, that the new one is put before.
        line: usize,
        /// The new line, without its line break.
        text: String,
    },
}

/// Another way to read the same mark, applied by one tap.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Choice {
    /// What the tap does, in words.
    pub label: String,
    /// The change of the text.
    pub edit: Edit,
}

/// A note on one place of the text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// The line, from 1.
    pub line: usize,
    /// The column of the first character concerned, from 1.
    pub column: usize,
    /// How many characters are concerned.
    pub length: usize,
    /// How much it matters.
    pub level: Level,
    /// What, where, what to do, in one or two sentences.
    pub message: String,
    /// What the mark was read as, where it was read.
    pub read: Option<String>,
    /// What else it could be; each is applied by one tap.
    pub choices: Vec<Choice>,
}
