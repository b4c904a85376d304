//! Pins and terminals that are written as one word, and what a hyphen means.
//!
//! What stands on both sides of a hyphen decides:
//!
//! | before it | after it | it is |
//! |---|---|---|
//! | a tube `V2` | a pin or an electrode | that pin: `V2-6`, `V2-g2`, `V2-plate` |
//! | a transformer `T1` | a number or a name | that terminal: `T1-3` |
//! | a switch, jack, coil, control, speaker | a number | that terminal: `S1-3` |
//! | a tube | one of the letters `a` to `e` | no place: a section or an electrode |
//! | letters | nothing | a name: `B-`, `C-`, `HT-` |
//! | nothing | letters | a name: `-C` |
//! | letters | letters | one name: `gnd-post` |
//! | a part | a part | one name, where the two meet: `R3-C7` |
//! | a number | a number | values, ratings or a range: `8-8`, `105-125` |
//! | a place and a space | a space and a place | the two leads: `V2.8 - gnd` |
//! | a designator that opens its line | a number or a letter | that designator: `C-7`, `C1-A` |
//!
//! A stroke, `#` and `:` between a part and a number mean the same as the
//! hyphen, and so does `p` after a tube: `V2/6`, `V2#6`, `V2:6`, `V2p6`.
//!
//! ```
//! use firstglow::notation::name::Place;
//! let read = |text: &str| Place::read(text).map(|p| p.to_string());
//! for text in ["V2-6", "V2/6", "v2p6", "V2#6", "V2:6", "V2.6", "V2pin6"] {
//!     assert_eq!(read(text).as_deref(), Some("V2.6"), "{text}");
//! }
//! for (text, place) in [
//!     ("V2-g2", "V2.g2"), ("V2-plate", "V2.plate"), ("T1-3", "T1.3"), ("S1-3", "S1.3"),
//!     ("B-", "B-"), ("C-", "C-"), ("HT-", "HT-"), ("-C", "-C"), ("A-", "A-"),
//!     ("gnd-post", "ground terminal"), ("R3-C7", "R3-C7"), ("B1-2", "B1-2"),
//! ] {
//!     assert_eq!(read(text).as_deref(), Some(place), "{text}");
//! }
//! for text in ["V2-A", "V2", "V2-", "V2.", "V.6", ".6", "6", "-6", "plate", "T1"] {
//!     assert_eq!(read(text), None, "{text}");
//! }
//! ```

use super::kinds::kind_of;
use super::name::{Designator, NoPlace, Place};
use crate::letters::Letters;
use crate::trade::kind::PartKind;
use crate::trade::tubes::{parse_pin, spelled};

/// Electrodes that are no point by themselves, as they are written in full.
/// Short forms (`pl`, `scr`, `k1`) may be names.
const ELECTRODE_WORDS: [&str; 22] = [
    "plate",
    "plates",
    "anode",
    "grid",
    "grids",
    "cathode",
    "cathodes",
    "screen",
    "screens",
    "suppressor",
    "heater",
    "heaters",
    "filament",
    "filaments",
    "pin",
    "pins",
    "cap",
    "topcap",
    "top-cap",
    "control-grid",
    "screen-grid",
    "suppressor-grid",
];

/// Whether a word names an electrode, or a pin, of no tube in particular.
pub fn is_electrode_word(lower: &str) -> bool {
    ELECTRODE_WORDS.contains(&lower)
}

/// Whether a word is a number and nothing else, with a sign or a point or not.
pub fn is_bare_number(text: &str) -> bool {
    let text = text.trim_start_matches(['-', '+', '−', '#']);
    text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',')
        && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
}

/// Whether a word is a pin that lost its part's number or itself: `V.6`, `V2.`,
/// `V` alone.
pub(super) fn is_cut(text: &str) -> bool {
    if matches!(text, "V" | "T" | "v" | "t") {
        return true;
    }
    let Some((before, after)) = text.split_once('.') else { return false };
    let letters = !before.is_empty() && before.chars().all(|c| c.is_ascii_alphabetic());
    let pin = !after.is_empty()
        && (after.chars().all(|c| c.is_ascii_digit()) || parse_pin(after).is_some());
    Designator::read(before).is_some() || letters && pin
}

/// Reads a part with its terminal, or a part alone; `None` for any other word.
pub(super) fn read(text: &str) -> Option<Result<Place, NoPlace>> {
    if let Some((part, terminal)) = text.split_once('.')
        && let Some(part) = Designator::read(part)
        && is_terminal(terminal)
    {
        return Some(Ok(at(&part, terminal)));
    }
    let (part, joint, terminal) = split(text)?;
    let kind = kind_of(&part.letters);
    let numbered = (1..=3).contains(&terminal.len())
        && terminal.bytes().all(|b| b.is_ascii_digit())
        && has_numbers(kind, &part.letters);
    match kind {
        _ if joint == Joint::None && matches!(kind, PartKind::Tube | PartKind::Transformer) => {
            Some(Err(NoPlace::Part(part)))
        }
        _ if joint == Joint::None => None,
        _ if numbered => Some(Ok(at(&part, terminal))),
        _ if joint == Joint::Letter => None,
        PartKind::Tube if is_electrode(terminal) && !is_section(terminal) => {
            Some(Ok(at(&part, terminal)))
        }
        PartKind::Transformer if is_terminal(terminal) && !is_section(terminal) => {
            Some(Ok(at(&part, terminal)))
        }
        PartKind::Tube | PartKind::Transformer => Some(Err(match Designator::read(text) {
            Some(part) if is_section(terminal) => NoPlace::Part(part),
            _ => NoPlace::Other,
        })),
        _ => None,
    }
}

/// What stands between a part and its terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Joint {
    None,
    Sign,
    /// `p` or `pin`.
    Letter,
}

/// `V2-6` as the part, what joins and the rest.
fn split(text: &str) -> Option<(Designator, Joint, &str)> {
    if let Some(part) = Designator::read(text).filter(|_| !text.contains(['-', '.'])) {
        return Some((part, Joint::None, ""));
    }
    if let Some(at) = text.find(['-', '/', '#', ':', '–', '−']) {
        let part = Designator::read(&text[..at])?;
        let sign = text[at..].chars().next().map_or(1, char::len_utf8);
        return Some((part, Joint::Sign, &text[at + sign..]));
    }
    let lower = text.lower();
    let at = lower.find("pin").filter(|at| *at > 1).or_else(|| lower.rfind('p'))?;
    let skip = if lower[at..].starts_with("pin") { 3 } else { 1 };
    let part = Designator::read(text.get(..at)?)?;
    let rest = text.get(at + skip..)?;
    let digits = !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit());
    (digits && kind_of(&part.letters) == PartKind::Tube).then_some((part, Joint::Letter, rest))
}

/// The terminal of a part.
pub(super) fn at(part: &Designator, terminal: &str) -> Place {
    Place::Terminal { part: part.to_string(), terminal: terminal.to_ascii_lowercase() }
}

/// Whether a word can be the terminal of a place: a pin number, a lug or an
/// electrode such as `g1` or `f+`.
fn is_terminal(text: &str) -> bool {
    (1..=12).contains(&text.len())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '_'))
}

/// Whether parts of this kind have numbered terminals that a hyphen may open.
/// `B1`, `K1` and `P1` are names of points more often than parts.
pub(super) fn has_numbers(kind: PartKind, letters: &str) -> bool {
    let sort = matches!(
        kind,
        PartKind::Tube
            | PartKind::Transformer
            | PartKind::Switch
            | PartKind::Connector
            | PartKind::Coil
            | PartKind::Potentiometer
            | PartKind::Vibrator
            | PartKind::Speaker
    );
    sort && !matches!(letters, "K" | "P")
}

/// Whether a word names an electrode as a table or a person spells it.
pub fn is_electrode(text: &str) -> bool {
    let lower = text.lower();
    matches!(lower.as_str(), "cap" | "tc" | "top")
        || !matches!(lower.as_str(), "nc" | "ic" | "jmp") && parse_pin(spelled(&lower)).is_some()
}

/// Whether a letter may be the section of a part.
fn is_section(terminal: &str) -> bool {
    matches!(terminal, "a" | "b" | "c" | "d" | "e" | "A" | "B" | "C" | "D" | "E")
}
