//! The one list of what stays charged with the plug out: hazard, chart, stop
//! sheet, power-up and paper all show it.
//!
//! ```
//! use firstglow::{plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("supply transformer 700 VCT\nC1 16 mfd 450 V electrolytic"));
//! let first = &plan.charged[0];
//! assert_eq!(first.key, "C1");
//! assert!(first.volts.unwrap() > 450.0 && first.fall.is_none());
//! ```
//!
//! Limits: what the sheet shows. A capacitor that is not listed is not shown to
//! be discharged: each is measured before a hand goes in.

use super::context::Context;
use super::text::seconds;
use super::types::PlannedPart;
use crate::circuit::points::is_large;
use crate::circuit::report::{FallOf, HeldIn};
use crate::order;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::limits::{SHOCK_V, energy};
use crate::trade::role::Role;
use crate::trade::role_rule::{RatingRule, rule};
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;
use std::f64::consts::SQRT_2;

/// How the volts of a charge are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChargeBasis {
    /// The circuit, tubes cold at the high line.
    Cold,
    /// The circuit, running at the high line.
    Running,
    /// The peak of the whole supply with no load, at the high line.
    NoLoad,
    /// The peak of the high line.
    Line,
    /// The mark on the old part.
    Mark,
    /// Nothing tells them.
    Unknown,
}

impl ChargeBasis {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cold => "tubes cold, high line",
            Self::Running => "running, high line",
            Self::NoLoad => "no-load peak of the supply, high line",
            Self::Line => "peak of the high line",
            Self::Mark => "its mark, for the supply is not known",
            Self::Unknown => "not known",
        }
    }
}

/// A capacitor that may hold a charge with the plug out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Charged {
    /// The key of the part.
    pub key: String,
    /// The most it may hold when the set is switched off, volts; `None` where
    /// nothing tells it.
    pub volts: Option<f64>,
    /// How that is known.
    pub basis: ChargeBasis,
    /// The most it may hold with a bleeder, field or divider open, volts, where
    /// that is more.
    pub opened_v: Option<f64>,
    /// Its capacitance, farads: the larger of old and new.
    pub farads: f64,
    /// What becomes of the charge; `None` where nothing tells it.
    pub fall: Option<FallOf>,
}

/// How much more an open resistor must leave to be told.
const OPENED_MORE: f64 = 1.02;
/// Below this, joules, a charge that the circuit does not tell is not listed.
/// Source: common practice, no source.
const LEAST_J: f64 = 0.01;

impl Charged {
    /// The most it may hold, an open resistor included, volts.
    pub fn most_v(&self) -> Option<f64> {
        self.volts.map(|volts| self.opened_v.map_or(volts.abs(), |opened| opened.max(volts.abs())))
    }

    /// Its most energy, joules; `None` where its volts are not known.
    pub fn joules(&self) -> Option<f64> {
        self.most_v().map(|volts| energy(self.farads, volts))
    }

    /// Whether its volts are known: a mark tells what it bears, not what it has.
    pub const fn is_known(&self) -> bool {
        self.volts.is_some() && !matches!(self.basis, ChargeBasis::Mark | ChargeBasis::Unknown)
    }

    /// Whether nothing on the sheet is known to discharge it.
    pub const fn stays(&self) -> bool {
        matches!(self.fall, None | Some(FallOf::Stays { .. }))
    }

    /// The most it may hold, in words.
    pub fn volts_words(&self) -> String {
        self.volts.map_or_else(
            || "volts not known".to_owned(),
            |v| match self.basis {
                ChargeBasis::Mark => format!("volts not known (its mark is {} V)", v.abs().round()),
                basis => {
                    let opened =
                        self.opened_v.map(|o| format!(", {} V if a resistor is open", o.round()));
                    let opened = opened.unwrap_or_default();
                    format!("{} V ({}{opened})", v.abs().round(), basis.words())
                }
            },
        )
    }

    /// What becomes of the charge, in words.
    pub fn fall_words(&self) -> String {
        match &self.fall {
            None => "how long it stays is not known".to_owned(),
            Some(FallOf::Below) => "below 50 V".to_owned(),
            Some(FallOf::Stays { volts: left }) => {
                format!("stays charged at about {} V: nothing discharges it", left.abs().round())
            }
            Some(FallOf::After { seconds: time, through: Some(part) }) => format!(
                "below 50 V after {} through {part}; if {part} is open it stays charged",
                seconds(*time)
            ),
            Some(FallOf::After { seconds: time, through: None }) => {
                format!("below 50 V after {}, if no part of its path is open", seconds(*time))
            }
        }
    }

    /// Both in one line, with its key.
    pub fn words(&self) -> String {
        format!("{}: {}; {}", self.key, self.volts_words(), self.fall_words())
    }
}

/// Every capacitor that may hold a charge worth naming: those that stay charged
/// first, then by how long they take.
pub fn charged(sheet: &Sheet, parts: &[PlannedPart], context: &Context) -> Vec<Charged> {
    let pairs = sheet.parts.iter().zip(parts);
    let mut all: Vec<Charged> =
        pairs.filter_map(|(part, planned)| find(part, planned, context)).collect();
    let rank = |charged: &Charged| match charged.fall {
        Some(FallOf::After { seconds, .. }) => seconds,
        _ => f64::INFINITY,
    };
    order::sort(&mut all, |charged| order::falling(rank(charged)));
    all
}

fn find(part: &Part, planned: &PlannedPart, context: &Context) -> Option<Charged> {
    if planned.kind != PartKind::Capacitor {
        return None;
    }
    let new = planned.replacement.as_ref().map_or(0.0, |r| r.picofarads);
    let farads = planned.old.picofarads.unwrap_or(0.0).max(new) * 1e-12;
    let solved = solved(planned, farads, context);
    let is_worth = |charged: &Charged| charged.fall != Some(FallOf::Below);
    if planned.stress.is_some() && solved.is_some() {
        return solved.filter(is_worth);
    }
    // Where the circuit is not relied on for a rating, what it tells still
    // counts, but never lowers the rule's figure.
    let by_rule = by_rule(part, planned, farads, context);
    let solved = solved.filter(is_worth);
    let volts = |charged: &Option<Charged>| charged.as_ref().map(|c| c.volts.unwrap_or(f64::MAX));
    if volts(&solved) > volts(&by_rule) { solved } else { by_rule }
}

/// By the circuit; `None` where it does not tell.
fn solved(planned: &PlannedPart, farads: f64, context: &Context) -> Option<Charged> {
    let found = context.circuit.capacitors.iter().find(|c| c.key == planned.key)?;
    let basis = match found.held_in? {
        HeldIn::Cold => ChargeBasis::Cold,
        HeldIn::Running => ChargeBasis::Running,
    };
    let (volts, fall) = (Some(found.held_v?), Some(found.fall.clone()?));
    let held = volts.map_or(0.0, f64::abs);
    let opened = planned.no_load.as_ref().map(|no_load| no_load.volts);
    let opened_v = opened.filter(|opened| *opened > held * OPENED_MORE);
    Some(Charged { key: planned.key.clone(), volts, basis, opened_v, farads, fall })
}

/// Where the circuit does not tell: the supply's peak where it may reach, the
/// mark where that is all that is known, and a filter of unknown volts.
fn by_rule(part: &Part, planned: &PlannedPart, farads: f64, context: &Context) -> Option<Charged> {
    let (volts, basis) = held(part, planned, context)?;
    let key = planned.key.clone();
    let charged = Charged { key, volts, basis, opened_v: None, farads, fall: None };
    let is_worth =
        volts.is_none_or(|v| v >= SHOCK_V) && charged.joules().is_none_or(|j| j >= LEAST_J);
    is_worth.then_some(charged)
}

fn held(
    part: &Part,
    planned: &PlannedPart,
    context: &Context,
) -> Option<(Option<f64>, ChargeBasis)> {
    let role = planned.role.map(|r| r.value);
    let mark = planned.old.rating.and_then(|v| v.volts().to_f64());
    let by_mark = |mark: Option<f64>| mark.map(|v| (Some(v), ChargeBasis::Mark));
    match rule(role).rating {
        RatingRule::Line => Some((Some(context.supply.high_v * SQRT_2), ChargeBasis::Line)),
        RatingRule::NoLoad { .. } | RatingRule::TimesNoLoad { .. } => {
            let supply = &context.supply;
            let unknown = || is_large(part).then_some((None, ChargeBasis::Unknown));
            if supply.has_unknown_supply {
                return unknown().or_else(|| by_mark(mark));
            }
            let peak = supply.highest_no_load_v.map(|v| (Some(v), ChargeBasis::NoLoad));
            peak.or_else(|| by_mark(mark)).or_else(unknown)
        }
        // Audio and radio bypasses charge to a bias, not to their mark.
        RatingRule::Fixed { .. } if role == Some(Role::Buffer) => None,
        RatingRule::Fixed { .. } => {
            let rated = planned.replacement.as_ref().map_or(0.0, |r| r.rating_v);
            let peak = context.supply.highest_no_load_v.filter(|peak| rated >= *peak);
            // It was planned as a filter may be, for its place is not known.
            let as_filter = peak.filter(|_| is_large(part) && planned.stress.is_none());
            let as_filter = as_filter.map(|v| (Some(v), ChargeBasis::NoLoad));
            as_filter.or_else(|| by_mark(mark.filter(|v| *v > 2.0 * SHOCK_V)))
        }
    }
}
