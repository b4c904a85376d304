//! Kinds of parts by the letters of their designators, and their names.

use crate::trade::kind::PartKind;

/// The kind of part that the letters of a designator stand for.
///
/// ```
/// use firstglow::notation::kinds::kind_of;
/// use firstglow::trade::kind::PartKind;
/// assert_eq!(kind_of("C"), PartKind::Capacitor);
/// assert_eq!(kind_of("SR"), PartKind::DryRectifier);
/// ```
pub fn kind_of(letters: &str) -> PartKind {
    match letters {
        "C" | "CAP" => PartKind::Capacitor,
        "VC" | "CV" | "TC" | "CT" | "TR" | "G" => PartKind::VariableCapacitor,
        "R" | "RES" => PartKind::Resistor,
        "RV" | "VR" | "POT" | "VOL" => PartKind::Potentiometer,
        "L" | "CH" | "FC" | "RFC" | "K" => PartKind::Coil,
        "T" | "IFT" | "OT" | "PT" | "TX" => PartKind::Transformer,
        "V" | "VT" | "TU" => PartKind::Tube,
        "SR" | "MR" | "SE" | "REC" => PartKind::DryRectifier,
        "D" | "CR" | "X" => PartKind::Diode,
        "PL" | "DL" | "I" | "DS" | "LP" | "LA" => PartKind::Lamp,
        "F" | "FU" => PartKind::Fuse,
        "S" | "SW" => PartKind::Switch,
        "W" | "CORD" | "LC" => PartKind::Cord,
        "B" | "BT" | "BAT" => PartKind::Battery,
        "VB" | "VIB" => PartKind::Vibrator,
        "LS" | "SP" | "SPK" => PartKind::Speaker,
        "M" | "MT" => PartKind::Meter,
        "J" | "P" | "SO" | "TS" | "BP" => PartKind::Connector,
        "Y" | "XTAL" => PartKind::Crystal,
        _ => PartKind::Other,
    }
}

/// The kind in words.
pub const fn name_of(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Capacitor => "capacitor",
        PartKind::VariableCapacitor => "variable capacitor",
        PartKind::Resistor => "resistor",
        PartKind::Potentiometer => "control",
        PartKind::ResistanceCord => "resistance cord",
        PartKind::Coil => "coil",
        PartKind::Transformer => "transformer",
        PartKind::Tube => "tube",
        PartKind::DryRectifier => "dry rectifier",
        PartKind::Diode => "diode",
        PartKind::Lamp => "lamp",
        PartKind::Fuse => "fuse",
        PartKind::Switch => "switch",
        PartKind::Cord => "cord",
        PartKind::Battery => "battery",
        PartKind::Vibrator => "vibrator",
        PartKind::Speaker => "speaker",
        PartKind::Meter => "meter",
        PartKind::Connector => "connector",
        PartKind::Crystal => "crystal",
        PartKind::Other => "part",
    }
}
