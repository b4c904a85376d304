//! Tube bases: where the pins are.
//!
//! Purpose: the geometry a socket is drawn from, seen from below, and which
//! pins are neighbours.
//!
//! ```
//! use firstglow::trade::tubes::Base;
//!
//! assert_eq!(Base::Octal.pins(), 8);
//! assert!((Base::Octal.angle(1).unwrap() - 202.5).abs() < 1e-9);
//! assert_eq!(Base::Octal.neighbours(8), [7, 1]);
//! // The miniature base has a gap between its last pin and its first.
//! assert_eq!(Base::Miniature7.neighbours(7), [6]);
//! ```
//!
//! Limits: the angles of the old four- and five-pin bases are those of
//! drawings; the true four-pin figure is slightly off-square.

/// A base.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Base {
    /// Four pins, 1 and 4 large.
    Ux4,
    /// Five pins alike.
    Uy5,
    /// Six pins, 1 and 6 large.
    Six,
    /// Seven pins on the small circle, 1 and 7 large.
    Small7,
    /// Seven pins on the medium circle, 1 and 7 large.
    Medium7,
    /// Eight pins about a keyed post.
    Octal,
    /// Eight wires about a locking post.
    Loctal,
    /// Seven wires with a gap.
    Miniature7,
    /// Nine wires with a gap.
    Noval,
}

/// What tells the first pin from the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyKind {
    /// Two pins are thicker.
    LargePins,
    /// Two pins stand closer.
    ClosePins,
    /// A key on the post between the last pin and the first.
    Post,
    /// A gap between the last pin and the first.
    Gap,
}

impl Base {
    /// All bases.
    pub const ALL: [Self; 9] = [
        Self::Ux4,
        Self::Uy5,
        Self::Six,
        Self::Small7,
        Self::Medium7,
        Self::Octal,
        Self::Loctal,
        Self::Miniature7,
        Self::Noval,
    ];

    /// How many pins it has places for.
    pub const fn pins(self) -> u8 {
        match self {
            Self::Ux4 => 4,
            Self::Uy5 => 5,
            Self::Six => 6,
            Self::Small7 | Self::Medium7 | Self::Miniature7 => 7,
            Self::Octal | Self::Loctal => 8,
            Self::Noval => 9,
        }
    }

    /// Degrees clockwise from twelve o'clock, seen from below with the key at
    /// six; `None` for a pin that the base has not. Octal, miniature and noval
    /// angles are those of published outlines; the older from memory, the
    /// five-pin one least sure (many drawings show it evenly spaced).
    pub fn angle(self, pin: u8) -> Option<f64> {
        if pin == 0 || pin > self.pins() {
            return None;
        }
        let nth = f64::from(pin - 1);
        let degrees = match self {
            Self::Ux4 => 225.0 + 90.0 * nth,
            Self::Uy5 => 210.0 + 75.0 * nth,
            Self::Six => 210.0 + 60.0 * nth,
            Self::Small7 | Self::Medium7 => 180.0 + 360.0 / 7.0 * (nth + 0.5),
            Self::Octal | Self::Loctal => 202.5 + 45.0 * nth,
            Self::Miniature7 => 225.0 + 45.0 * nth,
            Self::Noval => 216.0 + 36.0 * nth,
        };
        Some(degrees % 360.0)
    }

    /// Millimetres across the circle of the pins: octal 17.45, miniature 9.53,
    /// noval 11.89 (published outlines); small and medium seven-pin 0.75 and
    /// 0.855 inch (from memory); the others from memory of outline drawings,
    /// for drawing alone.
    pub const fn circle_mm(self) -> f64 {
        match self {
            Self::Ux4 => 16.3,
            Self::Uy5 | Self::Small7 | Self::Six => 19.05,
            Self::Medium7 => 21.72,
            Self::Octal | Self::Loctal => 17.45,
            Self::Miniature7 => 9.53,
            Self::Noval => 11.89,
        }
    }

    /// What tells the first pin.
    pub const fn key(self) -> KeyKind {
        match self {
            Self::Ux4 | Self::Six | Self::Small7 | Self::Medium7 => KeyKind::LargePins,
            Self::Uy5 => KeyKind::ClosePins,
            Self::Octal | Self::Loctal => KeyKind::Post,
            Self::Miniature7 | Self::Noval => KeyKind::Gap,
        }
    }

    /// The pins beside one, where a lead may have strayed to: the lower and
    /// the higher, without the one across a gap.
    pub fn neighbours(self, pin: u8) -> Vec<u8> {
        let last = self.pins();
        if pin == 0 || pin > last {
            return Vec::new();
        }
        let round = self.key() != KeyKind::Gap;
        let before = if pin > 1 { Some(pin - 1) } else { round.then_some(last) };
        let after = if pin < last { Some(pin + 1) } else { round.then_some(1) };
        before.into_iter().chain(after).collect()
    }
}
