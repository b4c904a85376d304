//! Names: designators of parts and places that leads go to.

use serde::{Serialize, Serializer};
use std::fmt;

/// A part's name on the schematic: letters, number, section letter.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Designator {
    /// The letters, upper case: `C`, `R`, `V`.
    pub letters: String,
    /// The number.
    pub number: u32,
    /// The section of a multi-section part: `A` of `C1A`.
    pub section: Option<char>,
}

impl fmt::Display for Designator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letters, self.number)?;
        self.section.map_or(Ok(()), |s| write!(f, "{s}"))
    }
}

impl Serialize for Designator {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

/// A place a lead goes to.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A pin or electrode of a tube, or a terminal of another part: `V2.6`,
    /// `V2.g1`, `T1.3`.
    Terminal {
        /// The part, as its designator prints.
        part: String,
        /// The pin number, terminal or electrode, lower case.
        terminal: String,
    },
    /// A named point: `B1`, `chassis`, `B-`, `line`.
    Named(String),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Terminal { part, terminal } => write!(f, "{part}.{terminal}"),
            Self::Named(name) => f.write_str(name),
        }
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}
