//! Metal that hands touch: by the name of a place, or as a contact of a jack.

use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::letters::Letters;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind, Place};

/// Metal that hands touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Metal {
    /// The antenna terminal.
    Antenna,
    /// The ground terminal.
    Ground,
    /// Cabinet, shaft, or a contact of a jack.
    Other,
    /// The chassis.
    Chassis,
}

/// Every node that a part's leads, pins and terminals meet, once each.
pub fn nodes_of(part: &Part, wiring: &Wiring) -> Vec<NodeIndex> {
    let leads = wiring.leads(part).into_iter().flat_map(|(a, b)| [a, b]);
    let pins = part.pins.iter().filter_map(|tie| wiring.node(&tie.place));
    let mut nodes: Vec<NodeIndex> = Vec::new();
    for node in leads.chain(pins).chain(wiring.terminals_of(&part.designator.to_string())) {
        if !nodes.contains(&node) {
            nodes.push(node);
        }
    }
    nodes
}

/// The contacts that hands touch: part and node.
pub fn contacts(sheet: &Sheet, wiring: &Wiring) -> Vec<(usize, NodeIndex)> {
    let parts = sheet.parts.iter().enumerate().filter(|(_, part)| is_contact_part(part));
    parts
        .flat_map(|(index, part)| nodes_of(part, wiring).into_iter().map(move |node| (index, node)))
        .collect()
}

/// What the contacts of a part are by its words.
pub fn contact_metal(part: &Part) -> Metal {
    let words = words(part);
    let says = |all: &[&str]| words.iter().any(|w| all.contains(&w.as_str()));
    if says(&["antenna", "aerial"]) {
        Metal::Antenna
    } else if says(&["ground", "earth", "gnd"]) {
        Metal::Ground
    } else {
        Metal::Other
    }
}

/// Whether hands touch the contacts of a part: a jack, plug or terminal by its
/// letter, or by its words where its letter says nothing.
pub fn is_contact_part(part: &Part) -> bool {
    let by_words = matches!(
        part.kind,
        PartKind::Other | PartKind::Speaker | PartKind::Meter | PartKind::Crystal
    );
    let words = words(part);
    // A motor stands inside.
    let by_words = by_words && !words.iter().any(|w| w == "motor");
    part.kind == PartKind::Connector
        || by_words
            && words.iter().any(|word| {
                matches!(
                    word.as_str(),
                    "jack"
                        | "terminal"
                        | "terminals"
                        | "post"
                        | "posts"
                        | "binding"
                        | "antenna"
                        | "aerial"
                        | "ground"
                        | "earth"
                        | "phono"
                        | "phones"
                        | "phone"
                        | "headphone"
                        | "headphones"
                        | "earphone"
                        | "earphones"
                        | "remote"
                        | "pickup"
                        | "record"
                        | "mike"
                        | "mic"
                        | "microphone"
                        | "external"
                        | "extension"
                )
            })
}

/// The words of a part's line in small letters.
pub fn words(part: &Part) -> Vec<String> {
    let all = format!("{} {}", part.mark, part.remark.as_deref().unwrap_or_default()).lower();
    all.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

/// The metal that a name means: `cabinet`, `panel-2`, `spk_frame`, `phono`.
pub fn metal_name(name: &str) -> Option<Metal> {
    let lower = name.lower();
    if lower == "e" {
        return Some(Metal::Ground);
    }
    lower
        .split(|c: char| !c.is_alphabetic())
        .filter_map(|word| match spelled(word) {
            "ant" | "antenna" | "aerial" | "antpost" | "antjack" => Some(Metal::Antenna),
            "gnd" | "ground" | "earth" | "grd" | "gndpost" | "groundpost" => Some(Metal::Ground),
            "cab" | "shafts" | "knobs" | "metal" | "housing" | "bezel" | "escutcheon"
            | "handle" | "grille" | "bracket" | "screw" | "screws" | "cover" | "phono"
            | "phone" | "phones" | "headphone" | "headphones" | "earphone" | "earphones"
            | "pickup" | "mike" | "mic" | "microphone" | "remote" => Some(Metal::Other),
            "chassis" | "frame" => Some(Metal::Chassis),
            _ => {
                ["chassis", "frame", "cabinet", "case", "panel", "shaft", "knob", "shield", "jack"]
                    .iter()
                    .any(|end| word.ends_with(end))
                    .then_some(Metal::Other)
            }
        })
        .min()
}

/// A word of metal as it is spelled, where it is often misspelled or German.
fn spelled(word: &str) -> &str {
    match word {
        "antena" | "anntena" | "antanna" | "arial" | "antenne" => "antenna",
        "groud" | "gound" | "grnd" | "eart" | "erde" | "pe" => "ground",
        "chasis" | "chassi" | "chas" | "chass" | "chasses" | "chassy" | "chasiss" | "cabnet"
        | "cabinit" => "cab",
        _ => word,
    }
}

/// Whether a place by itself, before wires join it to others, is metal that
/// hands touch.
pub fn is_metal_place(place: &Place, sheet: &Sheet) -> bool {
    let on_contact = |part: &Part| {
        part.pins.iter().any(|tie| tie.place == *place)
            || part.leads.as_ref().is_some_and(|l| l.from == *place || l.to == *place)
            || matches!(place, Place::Terminal { part: name, .. } if *name == part.designator.to_string())
    };
    matches!(place, Place::Named(name) if metal_name(name).is_some())
        || sheet.parts.iter().any(|part| is_contact_part(part) && on_contact(part))
}
