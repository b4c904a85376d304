//! Where a figure comes from, and how sure it is.

use serde::Serialize;

/// The standing of a fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Read in a standard, handbook or data sheet.
    Published,
    /// Recalled from a named publication that was not reopened.
    FromMemory,
    /// Common practice of the trade, no source.
    CommonPractice,
    /// Arithmetic on figures that carry their own source.
    OwnArithmetic,
    /// Said by the user on the sheet.
    Sheet,
}

impl Standing {
    /// The standing in words, as screens and paper show it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice, no source",
            Self::OwnArithmetic => "own arithmetic",
            Self::Sheet => "from the sheet",
        }
    }
}

/// The source of a figure or rule: what it is and how sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Source {
    /// The name of the publication, or a short statement of the practice.
    pub text: &'static str,
    /// How sure it is.
    pub standing: Standing,
}

impl Source {
    /// A published source.
    pub const fn published(text: &'static str) -> Self {
        Self { text, standing: Standing::Published }
    }

    /// A publication recalled from memory.
    pub const fn from_memory(text: &'static str) -> Self {
        Self { text, standing: Standing::FromMemory }
    }

    /// Common practice, no source.
    pub const fn practice(text: &'static str) -> Self {
        Self { text, standing: Standing::CommonPractice }
    }

    /// Arithmetic of our own.
    pub const fn arithmetic(text: &'static str) -> Self {
        Self { text, standing: Standing::OwnArithmetic }
    }

    /// The sheet itself.
    pub const fn sheet() -> Self {
        Self { text: "as entered on the sheet", standing: Standing::Sheet }
    }
}
