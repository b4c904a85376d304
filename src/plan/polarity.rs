//! Which lead of an electrolytic is positive, and how that is known.
//!
//! The sign of the computed voltage decides. Where nothing is computed, a name
//! that marks a negative rail decides, then the order in which the places were
//! typed. What contradicts is told, never turned in silence.
//!
//! ```
//! use firstglow::{plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("C5 50 mfd 100 V electrolytic chassis to bias"));
//! let new = plan.parts[0].replacement.as_ref().unwrap();
//! assert!(new.polarity.as_ref().unwrap().to_string().starts_with("positive to chassis"));
//! ```
//!
//! Limits: the direct voltage of the states that are computed; what a signal or
//! a fault does is not in it.

use super::context::Context;
use super::text::figure;
use crate::circuit::points::Traits;
use crate::circuit::report::Extreme;
use crate::letters::Letters;
use crate::sheet::part::{Make, Part, Place, Plus};
use crate::trade::role::Role;
use serde::{Serialize, Serializer};
use std::fmt;

/// Volts below which a computed voltage has no sign.
const SIGN_VOLTS: f64 = 0.5;
/// The part of the greatest voltage below which the other sign does not count.
const SIGN_PART: f64 = 0.02;
/// Volts the wrong way round that an electrolytic bears.
/// Source: common practice, no source; its oxide blocks about a volt backwards.
const BACKWARDS_VOLTS: f64 = 1.0;
/// Volts from which a computed sign stands against the order typed.
const SURE_VOLTS: f64 = 5.0;

/// One of two leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lead {
    /// The first place of the line.
    First,
    /// The second.
    Second,
}

impl Lead {
    const fn other(self) -> Self {
        match self {
            Self::First => Self::Second,
            Self::Second => Self::First,
        }
    }

    fn place(self, part: &Part) -> Option<&Place> {
        let leads = part.leads.as_ref()?;
        Some(match self {
            Self::First => &leads.from,
            Self::Second => &leads.to,
        })
    }
}

/// How it is known which lead is positive.
#[derive(Debug, Clone, PartialEq)]
pub enum Sign {
    /// By the computed voltage: volts, and in which state.
    Computed(Extreme),
    /// By its place in a doubler.
    Doubler,
    /// By a plus sign on the line.
    Plus,
    /// By the name of a negative rail.
    Rail(String),
    /// By the name of a supply point.
    SupplyPoint(String),
    /// By the order in which the places were typed.
    Order,
}

/// One lead as the positive one, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Which lead.
    pub lead: Lead,
    /// Where it goes.
    pub place: Place,
    /// How that is known.
    pub by: Sign,
}

/// Where the positive lead of a part goes.
#[derive(Debug, Clone, PartialEq)]
pub enum Polarity {
    /// It has none.
    NonPolarized,
    /// To this place; `against` says otherwise.
    Positive {
        /// The lead and why.
        told: Told,
        /// What the sheet says to the contrary.
        against: Option<Told>,
    },
    /// Nothing on the sheet tells it; the role's habit, where there is one.
    ByMark(Option<&'static str>),
    /// Two signs of equal weight.
    Contradiction {
        /// One.
        first: Told,
        /// The other.
        second: Told,
    },
}

impl Polarity {
    /// The positive lead, where it is decided.
    pub const fn positive(&self) -> Option<Lead> {
        match self {
            Self::Positive { told, .. } => Some(told.lead),
            _ => None,
        }
    }

    /// Two that contradict each other, if any do.
    pub const fn doubt(&self) -> Option<(&Told, &Told)> {
        match self {
            Self::Positive { told, against: Some(against) } => Some((told, against)),
            Self::Contradiction { first, second } => Some((first, second)),
            _ => None,
        }
    }

    /// Whether it must have no polarity.
    pub const fn is_non_polarized(&self) -> bool {
        matches!(self, Self::NonPolarized)
    }
}

/// The polarity of an electrolytic on the sheet.
pub fn of(
    part: &Part,
    role: Option<Role>,
    habit: Option<&'static str>,
    context: &Context,
) -> Polarity {
    if part.is_made(Make::NonPolarised) {
        return Polarity::NonPolarized;
    }
    let Evidence { computed, typed, rail, point } = Evidence::of(part, role, context);
    let against = |told: &Told| typed.clone().filter(|typed| typed.lead != told.lead);
    match (computed, rail) {
        (Some(Computed::Both(first, second)), _) => Polarity::Contradiction { first, second },
        (Some(Computed::One(told)), _) => match against(&told) {
            Some(typed) if !told.is_sure() => {
                Polarity::Contradiction { first: told, second: typed }
            }
            against => Polarity::Positive { told, against },
        },
        (None, Some(told)) => match against(&told) {
            Some(typed) if typed.by == Sign::Plus => {
                Polarity::Contradiction { first: typed, second: told }
            }
            against => Polarity::Positive { told, against },
        },
        (None, None) => match (typed, point) {
            (Some(typed), Some(point)) if typed.lead != point.lead => {
                Polarity::Contradiction { first: typed, second: point }
            }
            (Some(told), _) => Polarity::Positive { told, against: None },
            (None, _) => Polarity::ByMark(habit),
        },
    }
}

/// What tells the polarity.
struct Evidence {
    computed: Option<Computed>,
    typed: Option<Told>,
    /// By the name of a negative rail.
    rail: Option<Told>,
    /// By the name of a supply point.
    point: Option<Told>,
}

/// What the computed voltages show.
enum Computed {
    One(Told),
    Both(Told, Told),
}

impl Evidence {
    fn of(part: &Part, role: Option<Role>, context: &Context) -> Self {
        let told = |lead: Lead, by: Sign| Some(Told { lead, place: lead.place(part)?.clone(), by });
        let typed = match part.plus {
            Plus::Order => told(Lead::First, Sign::Order),
            Plus::First => told(Lead::First, Sign::Plus),
            Plus::Second => told(Lead::Second, Sign::Plus),
            Plus::Unsaid => None,
        };
        let rail = rail(part).and_then(|(lead, name)| told(lead, Sign::Rail(name)));
        let point =
            point(part, context).and_then(|(lead, name)| told(lead, Sign::SupplyPoint(name)));
        Self { computed: computed(part, role, context), typed, rail, point }
    }
}

impl Told {
    /// Whether it stands against the order typed.
    fn is_sure(&self) -> bool {
        match &self.by {
            Sign::Computed(extreme) => extreme.volts.abs() >= SURE_VOLTS,
            _ => true,
        }
    }
}

/// By the computed voltages of all states.
fn computed(part: &Part, role: Option<Role>, context: &Context) -> Option<Computed> {
    if let Some(lead) = super::doubler::positive(part, context) {
        let place = lead.place(part)?.clone();
        return Some(Computed::One(Told { lead, place, by: Sign::Doubler }));
    }
    if role == Some(Role::Doubler) || context.on_alternating(part) {
        return None;
    }
    let report = context.capacitor(part)?;
    let (most, least) = (report.most.as_ref()?, report.least.as_ref()?);
    let told = |extreme: &Extreme| {
        let lead = if extreme.volts > 0.0 { Lead::First } else { Lead::Second };
        let place = lead.place(part)?.clone();
        Some(Told { lead, place, by: Sign::Computed(extreme.clone()) })
    };
    let (greater, lesser) =
        if most.volts.abs() >= least.volts.abs() { (most, least) } else { (least, most) };
    let greatest = greater.volts.abs();
    if greatest < SIGN_VOLTS {
        return None;
    }
    let opposite = (greater.volts > 0.0) != (lesser.volts > 0.0);
    if opposite && lesser.volts.abs() > BACKWARDS_VOLTS.max(SIGN_PART * greatest) {
        return Some(Computed::Both(told(greater)?, told(lesser)?));
    }
    told(greater).map(Computed::One)
}

/// How far below others a place is by its name: a bias rail below the negative
/// of the supply, that below the chassis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Bias,
    Negative,
    Chassis,
    Other,
}

/// The lead opposite a negative rail, and the rail's name.
fn rail(part: &Part) -> Option<(Lead, String)> {
    let leads = part.leads.as_ref()?;
    let (first, second) = (rank(&leads.from), rank(&leads.to));
    let lower = if first < second { Lead::First } else { Lead::Second };
    let is_rail = first.min(second) <= Rank::Negative && first != second;
    is_rail.then(|| Some((lower.other(), lower.place(part)?.to_string())))?
}

fn rank(place: &Place) -> Rank {
    let Place::Named(name) = place else { return Rank::Other };
    let name = name.trim().upper().replace(['−', '–'], "-").replace(['_', '\''], "");
    match name.as_str() {
        "CHASSIS" | "FRAME" | "GND" | "GROUND" | "EARTH" | "GROUND TERMINAL" => Rank::Chassis,
        "B-" | "BMINUS" | "B-MINUS" | "HT-" | "HTMINUS" | "H.T.-" | "-B" | "-HT" | "COMMON" => {
            Rank::Negative
        }
        name if names_bias(name) => Rank::Bias,
        _ => Rank::Other,
    }
}

/// Whether a name, in upper case, marks a rail below the return: `BIAS`, `C-`,
/// `-C`, `-150`, `C MINUS`, `NEG`.
fn names_bias(name: &str) -> bool {
    // The bias of a cathode is above the return.
    let above = name.contains("CATH") || name.starts_with('K') || name.ends_with('+');
    let minus = (name.starts_with('-') || name.ends_with('-')) && name.len() > 1;
    let word = |word: &str| {
        name.strip_prefix(word).is_some_and(|rest| !rest.starts_with(char::is_alphabetic))
    };
    !above
        && (minus
            || name.contains("BIAS")
            || word("NEG")
            || name.starts_with("NEGATIVE")
            || word("MINUS")
            || name.ends_with("MINUS")
            || name.ends_with("-NEG"))
}

/// The lead at a supply point by its name, opposite a return.
fn point(part: &Part, context: &Context) -> Option<(Lead, String)> {
    let named = |place: &Place| {
        matches!(place, Place::Named(_)) && context.traits(place).has(Traits::ANY_B_PLUS)
    };
    let returns = |place: &Place| context.traits(place).has(Traits::RETURN);
    [Lead::First, Lead::Second].into_iter().find_map(|lead| {
        let (own, other) = (lead.place(part)?, lead.other().place(part)?);
        (named(own) && returns(other) && !returns(own)).then(|| (lead, own.to_string()))
    })
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.by {
            Sign::Computed(extreme) => {
                write!(f, "computed, {} V, {}", figure(extreme.volts.abs()), extreme.state)
            }
            Sign::Doubler => f.write_str("by its place in the voltage doubler"),
            Sign::Plus => f.write_str("by the plus sign on the sheet"),
            Sign::Rail(name) => write!(f, "{name} is the name of a negative rail"),
            Sign::SupplyPoint(name) => write!(f, "{name} is the name of a supply point"),
            Sign::Order => f.write_str("typed first"),
        }
    }
}

impl Told {
    /// Whether the old part's mark has to confirm it.
    const fn wants_look(&self) -> bool {
        !matches!(self.by, Sign::Computed(_) | Sign::Doubler)
    }
}

impl fmt::Display for Polarity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NonPolarized => f.write_str("either way round: non-polarized"),
            Self::Positive { told, against: None } => {
                write!(f, "positive to {} ({told})", told.place)?;
                if told.wants_look() {
                    f.write_str(": check the mark on the old part")
                } else {
                    Ok(())
                }
            }
            Self::Positive { told, against: Some(against) } => write!(
                f,
                "positive to {} ({told}); the sheet says {} ({against}): check the mark on the \
                 old part",
                told.place, against.place
            ),
            Self::ByMark(None) => {
                f.write_str("by the mark on the old part: the sheet does not tell")
            }
            Self::ByMark(Some(habit)) => {
                write!(f, "by the mark on the old part: the sheet does not tell (usually {habit})")
            }
            Self::Contradiction { first, second } => write!(
                f,
                "not decided: {} ({first}) against {} ({second}). Check the mark on the old part",
                first.place, second.place
            ),
        }
    }
}

/// As it is shown.
impl Serialize for Polarity {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests;
