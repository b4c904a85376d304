//! Names: designators of parts and places that leads go to.

use super::pin;
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

/// The name of a place that is not said yet.
pub const UNSAID: &str = "?";

/// The name that is the chassis in one set and B- in another.
pub const NAME_COMMON: &str = "common";

/// The shared points that have one spelling, whatever is written.
const NAMED: [(&[&str], &str); 10] = [
    (&["chassis", "grounded", "chas", "chass"], "chassis"),
    // The chassis, or in a set tied to the line the ground terminal: the
    // wiring of the whole sheet decides.
    (&["gnd", "ground", "earth", "grd", "gd"], "ground"),
    (&["b-", "b−", "b–"], "B-"),
    (&["b+"], "B+"),
    (&["line", "hot", "live", "l"], "line"),
    (&["neutral", "n"], "neutral"),
    (&["antenna", "ant", "aerial"], "antenna"),
    (&["groundpost", "gnd-post", "ground-terminal"], "ground terminal"),
    (&["a+"], "A+"),
    (&["a-", "a−"], "A-"),
];

/// Why a word is no place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoPlace {
    /// An electrode without its tube: `plate`.
    Electrode(String),
    /// A pin number without its part: `6`.
    Pin(String),
    /// A tube or transformer without its pin: `V2`.
    Part(Designator),
    /// No way of writing a place.
    Other,
}

impl Place {
    /// Reads `V2.6`, `V2-6`, `V2.g1`, `T1.3`, `chassis`, `B-` or any other
    /// name, written as one word; [`super::place`] reads places of several
    /// words. Names of the points every set has are spelled one way; other names
    /// keep the user's spelling.
    ///
    /// ```
    /// use firstglow::notation::name::Place;
    /// assert_eq!(Place::read("v2.G1").unwrap().to_string(), "V2.g1");
    /// assert_eq!(Place::read("GND").unwrap().to_string(), "ground");
    /// assert_eq!(Place::read("B2").unwrap().to_string(), "B2");
    /// assert!(Place::read("plate").is_none());
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        Self::parse(text).ok()
    }

    /// The same, with the reason where the word is no place.
    ///
    /// # Errors
    /// [`NoPlace`]: what the word is instead.
    pub fn parse(text: &str) -> Result<Self, NoPlace> {
        if let Some(place) = pin::read(text) {
            return place;
        }
        let lower = text.lower();
        // What joins places can be none itself.
        if matches!(lower.as_str(), "to" | "and" | "of" | "between" | "the") {
            return Err(NoPlace::Other);
        }
        if let Some(name) = known(&lower) {
            return Ok(Self::Named(name.to_owned()));
        }
        if text == UNSAID {
            return Ok(Self::Named(text.to_owned()));
        }
        if pin::is_electrode_word(&lower) {
            return Err(NoPlace::Electrode(lower));
        }
        if pin::is_bare_number(text) || matches!(lower.as_str(), "lug" | "term" | "terminal") {
            return Err(NoPlace::Pin(text.to_owned()));
        }
        let mut chars = text.chars();
        let first = chars.next().ok_or(NoPlace::Other)?;
        let fits = first.is_alphanumeric() || first == '_' || first == '+' || first == '-';
        let rest = chars.all(|c| c.is_alphanumeric() || "_+-−–'/.".contains(c));
        let word = text.chars().any(char::is_alphanumeric);
        let named = fits && rest && word && text.chars().count() <= 40 && !pin::is_cut(text);
        if named { Ok(Self::Named(text.to_owned())) } else { Err(NoPlace::Other) }
    }

    /// Whether the word can be nothing but a place: a pin, a terminal, or a
    /// point that every set has.
    pub fn is_sure(&self) -> bool {
        match self {
            Self::Terminal { .. } => true,
            Self::Named(name) => NAMED.iter().any(|(_, known)| known == name),
        }
    }
}

/// The spelling of a point that every set has; a point may end it: `gnd.`.
fn known(lower: &str) -> Option<&'static str> {
    let plain = lower.strip_suffix('.').filter(|t| t.len() > 1).unwrap_or(lower);
    NAMED.iter().find(|(all, _)| all.contains(&plain)).map(|(_, name)| *name)
}
