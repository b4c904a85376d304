//! Which pin the name of a terminal means on a tube.
//!
//! ```
//! use firstglow::trade::tubes::{Pinned, find, pin_of};
//!
//! let dual = find("6SN7GT").unwrap().tube;
//! assert_eq!(pin_of(Some(dual), "cathode"), Pinned::Several(vec![3, 6]));
//! assert_eq!(pin_of(Some(dual), "kb"), Pinned::Pin(3));
//! assert_eq!(pin_of(Some(find("6SQ7").unwrap().tube), "plate"), Pinned::Pin(6));
//! assert_eq!(pin_of(Some(dual), "9"), Pinned::NoPin(9));
//! ```

use super::{Electrode, Part, TubeType, parse_pin};

/// What a terminal of a tube turned out to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pinned {
    /// A pin.
    Pin(u8),
    /// The top cap.
    Cap,
    /// The base has no such pin.
    NoPin(u8),
    /// The type has no such electrode.
    NoElectrode(String),
    /// Several pins carry it and are not joined inside.
    Several(Vec<u8>),
}

/// The most pins a tube of unknown type may have.
pub const MOST_PINS: u8 = 12;

/// What a terminal's name means on a tube; without its type only the numbers of
/// pins are known.
pub fn pin_of(tube: Option<&TubeType>, terminal: &str) -> Pinned {
    if let Ok(pin) = terminal.parse::<u8>() {
        let most = tube.map_or(MOST_PINS, |t| t.base.pins());
        return if (1..=most).contains(&pin) { Pinned::Pin(pin) } else { Pinned::NoPin(pin) };
    }
    let none = || Pinned::NoElectrode(terminal.to_owned());
    let Some(tube) = tube else { return none() };
    if matches!(terminal, "cap" | "tc" | "top") && tube.cap.is_some() {
        return Pinned::Cap;
    }
    let name = spelled(terminal);
    let wanted = parse_pin(name).unwrap_or_default();
    let on_cap = tube.cap.as_ref().is_some_and(|cap| wanted.iter().all(|e| cap.contains(e)));
    match tube.pins_of(name).as_slice() {
        [] if on_cap && !wanted.is_empty() => Pinned::Cap,
        [] => of_any_section(tube, &wanted).unwrap_or_else(none),
        [pin] => Pinned::Pin(*pin),
        [pin, ..] if wanted.iter().any(|e| joins(e.part)) => Pinned::Pin(*pin),
        several => Pinned::Several(several.to_vec()),
    }
}

/// The pins of an electrode whose section was not said: `plate` of a tube with
/// two plates, or with one that belongs to its triode.
fn of_any_section(tube: &TubeType, wanted: &[Electrode]) -> Option<Pinned> {
    let [one] = wanted else { return None };
    if one.section != super::Section::Common {
        return None;
    }
    let alike = |electrodes: &[Electrode]| electrodes.iter().any(|e| e.part == one.part);
    let pins: Vec<u8> =
        (1..).zip(&tube.pins).filter(|(_, pin)| alike(pin)).map(|(number, _)| number).collect();
    let on_cap = tube.cap.as_deref().is_some_and(alike);
    match pins.as_slice() {
        [] if on_cap => Some(Pinned::Cap),
        [] => None,
        [pin] if !on_cap => Some(Pinned::Pin(*pin)),
        several => Some(Pinned::Several(several.to_vec())),
    }
}

/// Electrodes by the names that people write, as the table spells them.
pub fn spelled(terminal: &str) -> &str {
    match terminal {
        "plate" | "a" | "anode" => "p",
        "cathode" | "cath" => "k",
        "grid" | "cg" | "control-grid" => "g1",
        "screen" | "sg" | "scr" | "screen-grid" => "g2",
        "suppressor" | "sup" | "suppressor-grid" => "g3",
        "heater" => "h",
        "fil" | "filament" => "f",
        "shell" | "shield" => "sh",
        "diode" | "diode-plate" => "d",
        other => other,
    }
}

/// Whether pins that carry this electrode are one node.
pub const fn joins(part: Part) -> bool {
    !matches!(
        part,
        Part::Heater | Part::Filament | Part::NotConnected | Part::Internal | Part::Shield
    )
}
