//! Safety classes of capacitors for the line, as IEC 60384-14 defines them.

use serde::Serialize;

/// A class of interference-suppression capacitor, IEC 60384-14.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
pub enum SafetyClass {
    /// Across the line, high pulse.
    X1,
    /// Across the line, general.
    X2,
    /// From the line to metal, bridging double or reinforced insulation.
    Y1,
    /// From the line to metal, bridging basic or supplementary insulation.
    Y2,
}

impl SafetyClass {
    /// Every class.
    pub const ALL: [Self; 4] = [Self::X1, Self::X2, Self::Y1, Self::Y2];

    /// The class as it is marked.
    pub const fn label(self) -> &'static str {
        match self {
            Self::X1 => "X1",
            Self::X2 => "X2",
            Self::Y1 => "Y1",
            Self::Y2 => "Y2",
        }
    }

    /// Whether a part of this class may stand where `needed` is asked for:
    /// Y1 serves as Y2 and X2, Y2 as X2, X1 as X2; an X class never as Y.
    /// Source: IEC 60384-14, from memory.
    pub const fn serves(self, needed: Self) -> bool {
        match needed {
            Self::X1 => matches!(self, Self::X1 | Self::Y1),
            Self::X2 => true,
            Self::Y1 => matches!(self, Self::Y1),
            Self::Y2 => matches!(self, Self::Y1 | Self::Y2),
        }
    }
}
