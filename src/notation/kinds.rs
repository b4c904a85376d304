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

/// The greatest value that tuning gangs, trimmers and padders are made in,
/// picofarads. Common practice, no source.
pub const VARIABLE_PF: u32 = 3_000;

/// The same for one that bears a working voltage, picofarads.
pub const VARIABLE_RATED_PF: u32 = 1_000;

/// The kind of a part by its letters, its value and its words. A word names a
/// construction that letters and value allow, and no more: a capacitor stays
/// one, and a plain resistor becomes at most a control.
///
/// ```
/// use firstglow::notation::kinds::{Value, refined};
/// use firstglow::trade::kind::PartKind;
/// let small = Value { fits_variable: true, ..Value::default() };
/// let (c, variable) = (PartKind::Capacitor, Some(PartKind::VariableCapacitor));
/// assert_eq!(refined(c, variable, small), PartKind::VariableCapacitor);
/// assert_eq!(refined(c, variable, Value::default()), PartKind::Capacitor);
/// assert_eq!(refined(c, Some(PartKind::Cord), small), PartKind::Capacitor);
/// ```
pub const fn refined(letters: PartKind, words: Option<PartKind>, value: Value) -> PartKind {
    use PartKind as K;
    match (letters, words) {
        (K::Capacitor | K::VariableCapacitor, _) if !value.fits_variable => K::Capacitor,
        (K::Capacitor, Some(K::VariableCapacitor)) => K::VariableCapacitor,
        (K::Resistor, Some(K::Potentiometer | K::VariableCapacitor)) => K::Potentiometer,
        (K::Resistor | K::Cord, Some(K::ResistanceCord)) => K::ResistanceCord,
        (K::Other, Some(kind)) => kind,
        // `P1 500K volume control`: a letter that others use for plugs.
        (K::Connector | K::Lamp | K::Battery, Some(K::Potentiometer)) if value.resistance => {
            K::Potentiometer
        }
        _ => letters,
    }
}

/// What a line's values say of the kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Value {
    /// Value and dielectric are those of a variable capacitor, or not given.
    pub fits_variable: bool,
    /// There is a resistance.
    pub resistance: bool,
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
