//! The voltage a part must be rated for: the old mark, what the role asks, and
//! what the circuit puts on it; the no-load peak where the circuit is not known.
//!
//! ```
//! use firstglow::plan::{context::Context, rating::need};
//! use firstglow::sheet::{Sheet, part::{Designator, Part, PartKind}};
//! use firstglow::trade::{quantity::Voltage, role::Role, role_rule::rule};
//! let name = Designator { letters: "C".into(), number: 7, section: None };
//! let mut part = Part::new("C7", name, PartKind::Capacitor);
//! part.rating = Voltage::new(400.into()).ok();
//! let sheet = Sheet::default();
//! let context = Context::of(&sheet);
//! let need = need(&part, rule(Some(Role::Coupling)), false, &context);
//! assert_eq!(need.volts, Some(630.into()));
//! ```
//!
//! Limits: DC places; line places are rated by [`safety`](super::safety).

use super::context::Context;
use super::supply::Supply;
use super::text::{decimal_up, input, volts};
use super::told::Told;
use super::types::{Basis, Input};
use crate::sheet::Rectification;
use crate::sheet::part::Part;
use crate::trade::role::Role;
use crate::trade::role_rule::{RatingRule, RoleRule};
use rust_decimal::Decimal;
use std::borrow::Cow;
use std::f64::consts::SQRT_2;

/// What a rating must cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Volts DC; `None` where nothing tells it.
    pub volts: Option<Decimal>,
    /// What it came from.
    pub inputs: Vec<Input>,
}

/// An unmarked low-voltage electrolytic is fitted at this, volts.
const UNMARKED_BYPASS: i64 = 50;

/// The voltage that a part in this role must stand.
pub fn need(part: &Part, rule: &RoleRule, electrolytic: bool, context: &Context) -> Need {
    let supply = &context.supply;
    let circuit = super::stress::of(part, rule.role, context);
    let peaks = matches!(rule.rating, RatingRule::TimesNoLoad { .. });
    let mut inputs = Vec::new();
    let mut most: Option<Decimal> = None;
    let mut cover = |name: Cow<'static, str>, value: Decimal, basis: Basis| {
        inputs.push(input(name, Told::Exact(value, "V"), basis));
        most = Some(most.map_or(value, |m| m.max(value)));
    };
    if let Some(mark) = old_mark(part) {
        let name = if part.rating_ac { "old mark, crest of its AC rating" } else { "old mark" };
        cover(name.into(), mark, Basis::Stated);
    }
    if let Some(found) = &circuit
        && let Some(value) = decimal_up(found.volts * times_bias(rule))
    {
        let name = match times_bias(rule) {
            1.0 => format!("computed stress ({})", found.state),
            _ => format!("twice the computed bias ({})", found.state),
        };
        cover(name.into(), value, Basis::Computed);
    }
    // Peaks of the signal come on top of what the circuit says.
    if (circuit.is_none() || peaks)
        && let Some(value) = stress(rule, supply).and_then(decimal_up)
    {
        cover("computed stress with no load at high line".into(), value, Basis::Computed);
    }
    let known = circuit.is_some() && part.rating.is_some();
    let by_supply = matches!(rule.rating, RatingRule::NoLoad { .. });
    let least = least(part, rule, electrolytic);
    if least > 0 && !(known && by_supply) {
        cover("least for this role".into(), Decimal::from(least), Basis::Assumed);
    }
    Need { volts: most, inputs }
}

/// How many times the computed stress a role wants: a bias doubles when its
/// tube fails. Source: common practice, no source.
const fn times_bias(rule: &RoleRule) -> f64 {
    match rule.role {
        Some(Role::CathodeBypassAudio | Role::CathodeBypassRf | Role::BiasBypass) => 2.0,
        _ => 1.0,
    }
}

/// The old working voltage as DC.
pub fn old_mark(part: &Part) -> Option<Decimal> {
    let mark = part.rating?;
    if part.rating_ac { decimal_up(mark.to_f64() * SQRT_2) } else { Some(mark.volts()) }
}

/// The voltage the supply can put on a part in this role, volts.
pub fn stress(rule: &RoleRule, supply: &Supply) -> Option<f64> {
    let peak = supply.no_load_v?;
    let doubled = supply.rectification == Some(Rectification::Doubler);
    match rule.rating {
        // Each capacitor of a doubler charges to half of the whole.
        RatingRule::NoLoad { .. } if rule.role == Some(Role::Doubler) && doubled => {
            Some(peak / 2.0)
        }
        RatingRule::NoLoad { .. } => Some(peak),
        RatingRule::TimesNoLoad { tenths, .. } => Some(peak * f64::from(tenths) / 10.0),
        RatingRule::Fixed { .. } | RatingRule::Line => None,
    }
}

/// The least the role asks for; a filter electrolytic goes by mark and supply.
fn least(part: &Part, rule: &RoleRule, electrolytic: bool) -> i64 {
    match rule.rating {
        RatingRule::NoLoad { .. } if electrolytic => 0,
        RatingRule::Fixed { least } if electrolytic && part.rating.is_none() => {
            UNMARKED_BYPASS.max(least.into())
        }
        RatingRule::NoLoad { least }
        | RatingRule::TimesNoLoad { least, .. }
        | RatingRule::Fixed { least } => least.into(),
        RatingRule::Line => 0,
    }
}

/// The rule in words.
pub fn rule_words(rule: &RoleRule, supply: &Supply, by_circuit: bool) -> String {
    let reach = match rule.rating {
        RatingRule::NoLoad { .. } | RatingRule::Fixed { .. } if by_circuit => {
            "what the circuit puts on it"
        }
        RatingRule::NoLoad { .. } if supply.no_load_v.is_some() => {
            "the whole supply with tubes cold"
        }
        RatingRule::TimesNoLoad { .. } if supply.no_load_v.is_some() => {
            "a multiple of the supply with tubes cold, for the peaks there"
        }
        RatingRule::NoLoad { .. } | RatingRule::TimesNoLoad { .. } => {
            "the old mark alone, for the supply is not described"
        }
        RatingRule::Fixed { .. } | RatingRule::Line => "the least that this role asks",
    };
    format!("the least rating sold that covers the old mark and {reach}")
}

/// A voltage in a result.
pub fn shown(need: Decimal) -> Told {
    use rust_decimal::prelude::ToPrimitive;
    need.to_f64().map_or_else(|| need.to_string().into(), volts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::{capacitor, series_string, transformer};
    use crate::sheet::Sheet;
    use crate::trade::role_rule::rule;

    fn needed(sheet: &Sheet, role: Role, value: &str, mark: &str) -> Option<String> {
        let context = Context::of(sheet);
        let part = capacitor("C1", value, mark);
        let asked = rule(Some(role));
        let electrolytic = asked.fit == crate::trade::role_rule::Fit::Electrolytic;
        need(&part, asked, electrolytic, &context).volts.map(|v| v.to_string())
    }

    #[test]
    fn the_greatest_of_mark_role_and_supply_counts() {
        let ac_dc = series_string(vec![]);
        let console = transformer("700", vec![]);
        let bare = Sheet::default();
        for (sheet, role, mark, need) in [
            (&ac_dc, Role::Reservoir, "150", Some("176.8")),
            (&ac_dc, Role::Coupling, "400", Some("630")),
            (&console, Role::Reservoir, "450", Some("528.9")),
            (&console, Role::PlateBypass, "600", Some("1586.5")),
            (&bare, Role::Reservoir, "450", Some("450")),
            (&bare, Role::Reservoir, "", None),
            (&console, Role::CathodeBypassAudio, "25", Some("25")),
            (&console, Role::CathodeBypassAudio, "", Some("50")),
            (&bare, Role::Buffer, "2000", Some("2000")),
            (&bare, Role::Buffer, "", Some("1600")),
        ] {
            assert_eq!(needed(sheet, role, "10", mark).as_deref(), need, "{role:?} {mark}");
        }
    }

    #[test]
    fn an_alternating_mark_counts_at_its_crest() {
        let mut part = capacitor("C1", "2", "330");
        part.rating_ac = true;
        assert_eq!(old_mark(&part).unwrap().to_string(), "466.7");
    }
}
