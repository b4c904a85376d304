//! Whether a part on offer may serve a need, and why not.
//!
//! ```
//! use firstglow::{buying::{need, serve, ware}, plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("mains 117 V\nC1 .05 mfd 400 V paper across line"));
//! let need = &need::of_plan(&plan, 0).wanted[0].wanted;
//! let film = ware::read_line(".047 630V film", 1).ware;
//! let why = serve::check(&film, need).unwrap_err();
//! assert!(why[0].to_string().starts_with("it carries no safety class"));
//! ```
//!
//! Limits: what the dielectrics stand in for is common practice, no source;
//! what the classes stand in for is IEC 60384-14, from memory.

use super::need::Wanted;
use super::ware::Ware;
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::PartKind;
use crate::trade::quantity::{Power, Voltage};
use thiserror::Error;

/// Why a part does not serve.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Unfit {
    /// Another kind of part.
    #[error("it is not a {0}")]
    Kind(&'static str),
    /// No class where one is asked for.
    #[error(
        "it carries no safety class, and the place asks for {0}: nothing without the mark stands there"
    )]
    NoClass(&'static str),
    /// A class that does not stand in for the one asked for.
    #[error("class {0} does not stand in for class {1}")]
    Class(&'static str, &'static str),
    /// Its value is not told.
    #[error("its value is not told")]
    NoValue,
    /// Its value lies outside.
    #[error("{0} lies outside {1}")]
    Value(String, String),
    /// Its rating is not told.
    #[error("its rating is not told, and {0} is needed")]
    NoRating(Voltage),
    /// Its rating is too low.
    #[error("{0} is below {1}")]
    Rating(Voltage, Voltage),
    /// Its rating is of the other sort.
    #[error("its rating is alternating; what it bears direct is not told")]
    DirectNotTold,
    /// Its rating is of the other sort.
    #[error("its rating is not told as alternating")]
    AlternatingNotTold,
    /// Its power is not told.
    #[error("its power is not told, and {0} is needed")]
    NoPower(Power),
    /// Its power is too low.
    #[error("{0} is below {1}")]
    Power(Power, Power),
    /// Its dielectric is not told.
    #[error("what it is made of is not told, and {0} is needed")]
    NoDielectric(&'static str),
    /// It is made of what does not serve.
    #[error("{0} does not stand in for {1}")]
    Dielectric(&'static str, &'static str),
    /// It has a polarity where none may be.
    #[error("it has a polarity, and the place asks for none")]
    Polarised,
}

/// Whether a part may serve.
///
/// # Errors
/// Every reason why not, what matters most first.
pub fn check(ware: &Ware, wanted: &Wanted) -> Result<(), Vec<Unfit>> {
    if ware.kind != wanted.kind {
        let kind = if wanted.kind == PartKind::Resistor { "resistor" } else { "capacitor" };
        return Err(vec![Unfit::Kind(kind)]);
    }
    let mut why = Vec::new();
    why.extend(class(ware, wanted));
    why.extend(value(ware, wanted));
    why.extend(rating(ware, wanted));
    why.extend(power(ware, wanted));
    why.extend(dielectric(ware, wanted));
    if why.is_empty() { Ok(()) } else { Err(why) }
}

/// The same without the reasons: for many offers against many needs.
pub fn serves(ware: &Ware, wanted: &Wanted) -> bool {
    let inside = |value| value >= wanted.window.0 && value <= wanted.window.1;
    ware.kind == wanted.kind
        && ware.value().is_some_and(inside)
        && class(ware, wanted).is_none()
        && rating(ware, wanted).is_none()
        && power(ware, wanted).is_none()
        && dielectric(ware, wanted).is_none()
}

fn class(ware: &Ware, wanted: &Wanted) -> Option<Unfit> {
    let needed = wanted.class?;
    match ware.class {
        None => Some(Unfit::NoClass(needed.label())),
        Some(class) => {
            (!class.serves(needed)).then_some(Unfit::Class(class.label(), needed.label()))
        }
    }
}

fn value(ware: &Ware, wanted: &Wanted) -> Option<Unfit> {
    let Some(value) = ware.value() else { return Some(Unfit::NoValue) };
    let inside = value >= wanted.window.0 && value <= wanted.window.1;
    (!inside).then(|| Unfit::Value(wanted.shown(value), wanted.window_text()))
}

fn rating(ware: &Ware, wanted: &Wanted) -> Option<Unfit> {
    let needed = wanted.rating?;
    match (ware.rating, ware.alternating, wanted.alternating) {
        (None, ..) => Some(Unfit::NoRating(needed)),
        (_, true, false) => Some(Unfit::DirectNotTold),
        (_, false, true) => Some(Unfit::AlternatingNotTold),
        (Some(rating), ..) => (rating < needed).then_some(Unfit::Rating(rating, needed)),
    }
}

fn power(ware: &Ware, wanted: &Wanted) -> Option<Unfit> {
    let needed = wanted.power?;
    match ware.power {
        None => Some(Unfit::NoPower(needed)),
        Some(power) => (power < needed).then_some(Unfit::Power(power, needed)),
    }
}

fn dielectric(ware: &Ware, wanted: &Wanted) -> Option<Unfit> {
    let needed = wanted.dielectric?;
    // A class part is chosen by its class: what it is made of is its maker's matter.
    if wanted.class.is_some() {
        return None;
    }
    let Some(made_of) = ware.dielectric else {
        if ware.non_polarised && needed == Dielectric::Electrolytic {
            return None;
        }
        return Some(Unfit::NoDielectric(label(needed)));
    };
    if !stands_in(made_of, ware.stable, needed) {
        return Some(Unfit::Dielectric(made_of.label(), label(needed)));
    }
    let polar = made_of.is_electrolytic() && !ware.non_polarised;
    (wanted.non_polarised && polar).then_some(Unfit::Polarised)
}

/// The plan names film by the best of its kind.
const fn label(needed: Dielectric) -> &'static str {
    match needed {
        Dielectric::Polypropylene => "film",
        other => other.label(),
    }
}

/// Whether one dielectric serves where the plan has another. Paper and wet
/// electrolytics never do. Source: common practice, no source.
const fn stands_in(made_of: Dielectric, stable: bool, needed: Dielectric) -> bool {
    use Dielectric as D;
    match needed {
        // Silver mica and glass are better still, where they come that large.
        D::Polypropylene => matches!(
            made_of,
            D::Polypropylene
                | D::Polyester
                | D::Film
                | D::Polystyrene
                | D::SilverMica
                | D::Mica
                | D::Glass
        ),
        D::SilverMica => match made_of {
            D::SilverMica | D::Mica | D::Glass | D::Polystyrene | D::Polypropylene => true,
            D::Ceramic => stable,
            _ => false,
        },
        D::Electrolytic => {
            matches!(made_of, D::Electrolytic | D::Film | D::Polyester | D::Polypropylene)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::buying::need::of_plan;
    use crate::buying::ware::read_line;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    fn wanted(line: &str) -> Wanted {
        let text = format!("mains 117 V 60 Hz\nsupply series-string\n{line}");
        of_plan(&plan(&Sheet::read(&text)), 0).wanted.remove(0).wanted
    }

    fn said(part: &str, ware: &str) -> String {
        let (ware, wanted) = (read_line(ware, 1).ware, wanted(part));
        assert_eq!(serves(&ware, &wanted), check(&ware, &wanted).is_ok());
        match check(&ware, &wanted) {
            Ok(()) => "serves".to_owned(),
            Err(why) => why.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
        }
    }

    #[test]
    fn what_serves_and_what_does_not() {
        const COUPLING: &str = "C1 .05 mfd 400 V paper coupling";
        const FILTER: &str = "C1 40 mfd 150 V electrolytic 1st filter";
        const LINE: &str = "C1 .05 mfd 400 V paper across line";
        const METAL: &str = "C1 .005 mfd 400 V paper line to chassis";
        for (part, ware, words) in [
            (COUPLING, ".047 630V film", "serves"),
            (COUPLING, ".047 1000V polyester", "serves"),
            (COUPLING, ".047 400V film", "400 V is below 630 V"),
            (COUPLING, ".1 630V film", "0.1 µF lies outside 0.04 to 0.0625 µF"),
            (COUPLING, ".047 630V", "what it is made of is not told, and film is needed"),
            (COUPLING, ".047 630V ceramic", "ceramic does not stand in for film"),
            (
                COUPLING,
                ".05 600 wax paper NOS",
                "600 V is below 630 V; paper does not stand in for film",
            ),
            (COUPLING, ".047 film", "its rating is not told, and 630 V is needed"),
            (
                COUPLING,
                ".047 275VAC X2 film",
                "its rating is alternating; what it bears direct is not told",
            ),
            (COUPLING, "47K 1W", "it is not a capacitor"),
            (FILTER, "47 250V electrolytic", "serves"),
            (FILTER, "47 mfd 250V film", "serves"),
            (FILTER, "47 160V electrolytic", "160 V is below 200 V"),
            (
                FILTER,
                "47 250V wet electrolytic",
                "wet electrolytic does not stand in for electrolytic",
            ),
            (LINE, ".047 275VAC X2", "serves"),
            (LINE, ".047 250VAC Y2", "serves"),
            (METAL, ".0047 250VAC Y1", "serves"),
            (METAL, ".0047 250VAC Y2", "class Y2 does not stand in for class Y1"),
            (METAL, ".0047 275VAC X2", "class X2 does not stand in for class Y1"),
        ] {
            assert_eq!(said(part, ware), words, "{part} by {ware}");
        }
    }

    #[test]
    fn a_line_place_is_never_met_by_a_part_without_the_class() {
        for place in ["across line", "line to chassis", "antenna", "b- to chassis"] {
            let need = wanted(&format!("C1 .005 mfd 400 V paper {place}"));
            assert!(need.class.is_some(), "{place}");
            for ware in
                [".005 1000V film", ".0047 2000V ceramic", ".0047 600VAC film", ".0047 6000V mica"]
            {
                let why = check(&read_line(ware, 1).ware, &need).unwrap_err();
                assert!(matches!(why[0], Unfit::NoClass(_)), "{place} by {ware}: {why:?}");
            }
        }
    }
}
