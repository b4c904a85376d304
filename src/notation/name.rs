//! Names: designators of parts and places that leads go to.

use crate::letters::Letters;
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

impl Designator {
    /// Reads `C7`, `c7`, `C-7`, `C.7`, `C1A`, `C1-A`; `None` for anything else.
    ///
    /// ```
    /// use firstglow::notation::name::Designator;
    /// assert_eq!(Designator::read("c1-a").unwrap().to_string(), "C1A");
    /// assert!(Designator::read("paper").is_none());
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let letters_end = text.find(|c: char| !c.is_ascii_alphabetic())?;
        let (letters, rest) = text.split_at(letters_end);
        if letters.is_empty() || letters.len() > 5 {
            return None;
        }
        let rest = rest.strip_prefix(['-', '.']).unwrap_or(rest);
        let digits_end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
        let (digits, tail) = rest.split_at(digits_end);
        if digits.len() > 6 {
            return None;
        }
        let number = digits.parse().ok()?;
        let tail = tail.strip_prefix('-').unwrap_or(tail);
        let mut chars = tail.chars();
        let section = match (chars.next(), chars.next()) {
            (None, _) => None,
            (Some(c), None) if c.is_ascii_alphabetic() => Some(c.to_ascii_uppercase()),
            _ => return None,
        };
        Some(Self { letters: letters.to_ascii_uppercase(), number, section })
    }

    /// The same part's section `index` (0 is A), where letters reach.
    pub fn section(&self, index: usize) -> Option<Self> {
        let letter = u8::try_from(index).ok().filter(|i| *i < 26).map(|i| char::from(b'A' + i))?;
        Some(Self { section: Some(letter), ..self.clone() })
    }

    /// The can or unit it belongs to: `C1` for `C1A`.
    #[must_use]
    pub fn unit(&self) -> Self {
        Self { section: None, ..self.clone() }
    }
}

/// Whether a word can be the terminal of a place: a pin number, a lug or an
/// electrode such as `g1` or `f+`.
fn is_terminal(text: &str) -> bool {
    (1..=12).contains(&text.len())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '_'))
}

/// The name of a place that is not said yet.
pub const UNSAID: &str = "?";

/// The shared points that have one spelling, whatever is written.
const NAMED: [(&[&str], &str); 10] = [
    (&["chassis", "grounded"], "chassis"),
    // The chassis, or in a set tied to the line the ground terminal: the
    // wiring of the whole sheet decides.
    (&["gnd", "ground", "earth", "grd"], "ground"),
    (&["b-", "b−", "b–"], "B-"),
    (&["b+"], "B+"),
    (&["line", "hot", "live", "l"], "line"),
    (&["neutral", "n"], "neutral"),
    (&["antenna", "ant", "aerial"], "antenna"),
    (&["groundpost", "gnd-post", "ground-terminal"], "ground terminal"),
    (&["a+"], "A+"),
    (&["a-", "a−"], "A-"),
];

impl Place {
    /// Reads `V2.6`, `V2.g1`, `T1.3`, `chassis`, `B-` or any other name.
    /// Names of the points every set has are spelled one way; other names keep
    /// the user's spelling.
    ///
    /// ```
    /// use firstglow::notation::name::Place;
    /// assert_eq!(Place::read("v2.G1").unwrap().to_string(), "V2.g1");
    /// assert_eq!(Place::read("GND").unwrap().to_string(), "ground");
    /// assert_eq!(Place::read("B2").unwrap().to_string(), "B2");
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        if let Some((part, terminal)) = text.split_once('.')
            && let Some(part) = Designator::read(part)
            && is_terminal(terminal)
        {
            return Some(Self::Terminal {
                part: part.to_string(),
                terminal: terminal.to_ascii_lowercase(),
            });
        }
        let lower = text.lower();
        // It joins two places, so it can be none itself.
        if lower == "to" {
            return None;
        }
        if let Some((_, name)) = NAMED.iter().find(|(all, _)| all.contains(&lower.as_str())) {
            return Some(Self::Named((*name).to_owned()));
        }
        if text == UNSAID {
            return Some(Self::Named(text.to_owned()));
        }
        let mut chars = text.chars();
        let first = chars.next()?;
        let fits = first.is_alphanumeric() || first == '_' || first == '+' || first == '-';
        let rest = chars.all(|c| c.is_alphanumeric() || "_+-−–'/.".contains(c));
        (fits && rest && text.chars().count() <= 40).then(|| Self::Named(text.to_owned()))
    }
}
