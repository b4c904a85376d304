//! What can be wrong on a line of prices or stock, worded once.

use crate::notation::note::{Level, Note};
use crate::notation::word::Span;
use thiserror::Error;

/// A fault of a line, beside those of the notation.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub(super) enum ListProblem {
    /// A line without a value.
    #[error("no value was read on this line; expected a part such as '.047 630V film'")]
    NoValue,
    /// A price that is none.
    #[error("'{0}' is no price; expected one such as .85, or 10 for 3.00")]
    Price(String),
    /// A word that needs a number after it.
    #[error("'{0}' needs a number after it, as in {0} {1}")]
    Number(&'static str, &'static str),
    /// An offer without a price.
    #[error("no price was read on this line; expected one such as .85, or 10 for 3.00")]
    NoPrice,
    /// A seller without a name.
    #[error("'seller' needs a name after it, as in seller Hall, postage 4.50")]
    SellerName,
    /// More lines than are read.
    #[error("this list has more than {0} lines; the rest was left unread")]
    TooLong(usize),
}

impl ListProblem {
    /// The note at a place.
    pub(super) fn note(&self, span: Span) -> Note {
        let level = match self {
            Self::NoPrice => Level::Warning,
            _ => Level::Error,
        };
        Note {
            line: span.line,
            column: span.column,
            length: span.length,
            level,
            message: self.to_string(),
            read: None,
            choices: Vec::new(),
        }
    }
}
