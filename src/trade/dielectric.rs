//! What a capacitor is made of.

use serde::Serialize;

/// The dielectric of a capacitor, old or new.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dielectric {
    /// Waxed or tarred paper.
    Paper,
    /// Paper in a moulded plastic case.
    MouldedPaper,
    /// Paper in oil, sealed in metal.
    OilPaper,
    /// Metallised paper.
    MetallisedPaper,
    /// Electrolytic, kind not said.
    Electrolytic,
    /// Electrolytic with liquid electrolyte.
    WetElectrolytic,
    /// Solid tantalum.
    Tantalum,
    /// Mica, foil and clamp or moulded.
    Mica,
    /// Silvered mica.
    SilverMica,
    /// Ceramic.
    Ceramic,
    /// Plastic film, kind not said.
    Film,
    /// Polyester film.
    Polyester,
    /// Polypropylene film.
    Polypropylene,
    /// Polystyrene film.
    Polystyrene,
    /// Glass.
    Glass,
    /// Air: tuning gangs and air trimmers.
    Air,
}

impl Dielectric {
    /// Every dielectric, in the order shown.
    pub const ALL: [Self; 16] = [
        Self::Paper,
        Self::MouldedPaper,
        Self::OilPaper,
        Self::MetallisedPaper,
        Self::Electrolytic,
        Self::WetElectrolytic,
        Self::Tantalum,
        Self::Mica,
        Self::SilverMica,
        Self::Ceramic,
        Self::Film,
        Self::Polyester,
        Self::Polypropylene,
        Self::Polystyrene,
        Self::Glass,
        Self::Air,
    ];

    /// The name that screens show and that a sheet line may carry.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Paper => "paper",
            Self::MouldedPaper => "moulded paper",
            Self::OilPaper => "oil paper",
            Self::MetallisedPaper => "metallised paper",
            Self::Electrolytic => "electrolytic",
            Self::WetElectrolytic => "wet electrolytic",
            Self::Tantalum => "tantalum",
            Self::Mica => "mica",
            Self::SilverMica => "silver mica",
            Self::Ceramic => "ceramic",
            Self::Film => "film",
            Self::Polyester => "polyester",
            Self::Polypropylene => "polypropylene",
            Self::Polystyrene => "polystyrene",
            Self::Glass => "glass",
            Self::Air => "air",
        }
    }

    /// Whether it is paper of any kind.
    pub const fn is_paper(self) -> bool {
        matches!(self, Self::Paper | Self::MouldedPaper | Self::OilPaper | Self::MetallisedPaper)
    }

    /// Whether it has a polarity.
    pub const fn is_electrolytic(self) -> bool {
        matches!(self, Self::Electrolytic | Self::WetElectrolytic | Self::Tantalum)
    }

    /// Whether it is plastic film of any kind.
    pub const fn is_film(self) -> bool {
        matches!(self, Self::Film | Self::Polyester | Self::Polypropylene | Self::Polystyrene)
    }
}
