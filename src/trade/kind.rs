//! What kinds of parts a set is made of, and how they are made.

use serde::Serialize;

/// What kind of thing a part is, by its designator and the words on its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartKind {
    /// A fixed capacitor.
    Capacitor,
    /// A tuning gang, trimmer or adjustable padder.
    VariableCapacitor,
    /// A fixed resistor.
    Resistor,
    /// A control.
    Potentiometer,
    /// A line cord that is itself a resistor.
    ResistanceCord,
    /// A coil, choke or field coil.
    Coil,
    /// A transformer of any kind.
    Transformer,
    /// A tube.
    Tube,
    /// A selenium or copper-oxide rectifier.
    DryRectifier,
    /// A silicon or germanium diode.
    Diode,
    /// A lamp.
    Lamp,
    /// A fuse.
    Fuse,
    /// A switch.
    Switch,
    /// A line cord or cable.
    Cord,
    /// A battery.
    Battery,
    /// A vibrator.
    Vibrator,
    /// A speaker or headphones.
    Speaker,
    /// A meter.
    Meter,
    /// A plug, jack, socket or terminal.
    Connector,
    /// A crystal.
    Crystal,
    /// Anything else.
    Other,
}

/// Words that say more of how a part is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Make {
    /// Carbon composition resistor.
    CarbonComposition,
    /// Carbon or metal film resistor.
    FilmResistor,
    /// Wirewound resistor.
    Wirewound,
    /// A field coil of a speaker.
    FieldCoil,
    /// A filter choke.
    FilterChoke,
    /// Selenium rectifier.
    Selenium,
    /// Copper-oxide rectifier.
    CopperOxide,
    /// Silicon diode.
    Silicon,
    /// Power transformer.
    PowerTransformer,
    /// Output transformer.
    OutputTransformer,
    /// Intermediate-frequency transformer.
    IfTransformer,
    /// Asbestos in or on the part.
    Asbestos,
    /// A part already fitted new.
    New,
    /// Non-polarised.
    NonPolarised,
}

impl Make {
    /// The word that a sheet line carries for it.
    pub const fn label(self) -> &'static str {
        match self {
            Self::CarbonComposition => "carbon",
            Self::FilmResistor => "carbon film",
            Self::Wirewound => "wirewound",
            Self::FieldCoil => "field coil",
            Self::FilterChoke => "choke",
            Self::Selenium => "selenium",
            Self::CopperOxide => "copper oxide",
            Self::Silicon => "silicon",
            Self::PowerTransformer => "power",
            Self::OutputTransformer => "output",
            Self::IfTransformer => "if",
            Self::Asbestos => "asbestos",
            Self::New => "new",
            Self::NonPolarised => "non polarised",
        }
    }
}

/// What a winding is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WindingKind {
    /// The primary.
    Primary,
    /// A secondary.
    Secondary,
    /// A heater winding.
    Heater,
    /// The rectifier's own heater winding.
    RectifierHeater,
}

/// How the set is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SupplyKind {
    /// A power transformer.
    Transformer,
    /// Heaters in series across the line, no transformer.
    SeriesString,
    /// A vibrator from a low-voltage battery.
    Vibrator,
    /// Dry batteries.
    Battery,
}

/// How the rectifier works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rectification {
    /// One pulse a cycle.
    HalfWave,
    /// Two pulses a cycle from a tapped winding.
    FullWave,
    /// Two pulses a cycle from a whole winding.
    Bridge,
    /// A voltage doubler.
    Doubler,
}

/// How the set meets the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cord {
    /// Two wires, no protective earth.
    TwoWire,
    /// Two wires and protective earth.
    ThreeWire,
}
