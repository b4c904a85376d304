//! The voltage a part must be rated for: the largest of the old mark, of what
//! the circuit puts on it at work, and of what it is charged to with no load;
//! the no-load peak of the set where its place is not known.
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
use super::text::{decimal_up, figure, input, volts};
use super::told::Told;
use super::types::{Basis, Input, Stress};
use crate::circuit::report::NoLoad;
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

/// The voltage that a part in this role must stand: the largest of its old mark,
/// of what every state puts on it with half the ripple, and of what it is
/// charged to with no load.
pub fn need(part: &Part, rule: &RoleRule, electrolytic: bool, context: &Context) -> Need {
    let circuit = super::stress::of(part, rule.role, context);
    let mut all = Covered::default();
    if let Some(mark) = old_mark(part) {
        let name = if part.rating_ac { "old mark, peak of its AC rating" } else { "old mark" };
        all.cover(name, Some(mark), Basis::Stated);
    }
    if let Some(found) = &circuit {
        let (name, volts) = solved(part, rule, found, context);
        all.cover(name, decimal_up(volts), Basis::Computed);
    }
    let charge = super::stress::no_load(part, rule.role, context);
    if let Some(charge) = charge {
        all.cover(no_load_name(charge), decimal_up(charge.volts), Basis::Computed);
        all.inputs.extend(if_it_opens(charge));
    }
    // A lead that no supply reaches on the sheet hangs on what is missing there.
    let solved = circuit.is_some() && (charge.is_some() || rule.role == Some(Role::Doubler));
    if let Some((name, volts)) = blanket(part, rule, electrolytic, solved, context) {
        all.cover(name, decimal_up(volts), Basis::Computed);
    }
    let known = circuit.is_some() && part.rating.is_some();
    let by_supply = matches!(rule.rating, RatingRule::NoLoad { .. });
    let least = least(part, rule, electrolytic);
    if least > 0 && !(known && by_supply) {
        all.cover("least for this role", Some(Decimal::from(least)), Basis::Assumed);
    }
    Need { volts: all.most, inputs: all.inputs }
}

/// Voltages to cover, and the largest of them.
#[derive(Default)]
struct Covered {
    inputs: Vec<Input>,
    most: Option<Decimal>,
}

impl Covered {
    fn cover(&mut self, name: impl Into<Cow<'static, str>>, value: Option<Decimal>, basis: Basis) {
        if let Some(value) = value {
            self.inputs.push(input(name, Told::Exact(value, "V"), basis));
            self.most = Some(self.most.map_or(value, |m| m.max(value)));
        }
    }
}

/// What the states of the circuit put on a part, with half the ripple.
fn solved(part: &Part, rule: &RoleRule, found: &Stress, context: &Context) -> (String, f64) {
    let times = times_bias(rule, found.volts);
    if times > 1.0 {
        return (format!("twice the computed bias ({})", found.state), found.volts * times);
    }
    let ripple = context
        .capacitor(part)
        .and_then(|c| c.ripple_pp_v)
        .filter(|_| rule.role != Some(Role::Doubler));
    match ripple {
        Some(ripple) => (
            format!(
                "computed stress ({}) with half the ripple of {} V",
                found.state,
                figure(ripple)
            ),
            found.volts + ripple / 2.0,
        ),
        None => (format!("computed stress ({})", found.state), found.volts),
    }
}

/// How the no-load voltage is named, with what counts as in its place.
fn no_load_name(charge: &NoLoad) -> String {
    let state = "no load at high line, tubes cold, bleeders open";
    match charge.held_by.as_slice() {
        [] => state.to_owned(),
        held => format!("{state}, {} in place", held.join(" and ")),
    }
}

/// What a part would see if what holds it down opened, which no rating covers.
fn if_it_opens(charge: &NoLoad) -> Option<Input> {
    let held = charge.held_by.join(" and ");
    let name = format!("if {held} opens, which the rating does not cover");
    (!charge.held_by.is_empty()).then(|| input(name, volts(charge.opened_v), Basis::Computed))
}

/// The no-load peak of the set, where it is a floor: the circuit does not tell
/// the part's place, or the peaks of a signal come on top.
fn blanket(
    part: &Part,
    rule: &RoleRule,
    electrolytic: bool,
    solved: bool,
    context: &Context,
) -> Option<(&'static str, f64)> {
    let supply = &context.supply;
    let peaks = matches!(rule.rating, RatingRule::TimesNoLoad { .. });
    if electrolytic && may_be_filter(part, context) {
        let name = "no-load peak of the set (its place is not known: it may be a filter)";
        return Some((name, supply.no_load_v?));
    }
    let volts = stress(rule, supply)? * higher_supply(part, rule, context);
    if !solved || peaks {
        return Some(("computed stress with no load at high line", volts));
    }
    let open = context.open_supply && !is_bypass(rule);
    open.then_some(("no-load peak of the set (not every supply of it is computed)", volts))
}

/// How much more another supply puts on a part than the one that the rules of
/// roles go by.
fn higher_supply(part: &Part, rule: &RoleRule, context: &Context) -> f64 {
    let own = || context.capacitor(part)?.no_load.as_ref();
    match (own(), context.supply.no_load_v) {
        (Some(own), Some(peak)) if rule.role != Some(Role::Doubler) && peak > 0.0 => {
            (own.volts / peak).max(1.0)
        }
        _ => 1.0,
    }
}

/// Whether an electrolytic without a known place may be a filter whatever its
/// mark, which may be that of another section.
fn may_be_filter(part: &Part, context: &Context) -> bool {
    let by_mark = part.rating.is_none() || context.has_doubtful_mark(part);
    part.role.is_none() && by_mark && context.is_unplaced(part)
}

/// Whether the role is to hold a bias.
const fn is_bypass(rule: &RoleRule) -> bool {
    matches!(rule.role, Some(Role::CathodeBypassAudio | Role::CathodeBypassRf | Role::BiasBypass))
}

/// What stands higher above its return is no bias. Source: common practice, no
/// source; output triodes reach 70 V.
const MOST_BIAS_VOLTS: f64 = 100.0;

/// How many times the computed stress a role wants: a bias doubles when its
/// tube fails. Source: common practice, no source.
fn times_bias(rule: &RoleRule, volts: f64) -> f64 {
    if is_bypass(rule) && volts <= MOST_BIAS_VOLTS { 2.0 } else { 1.0 }
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
            "what the circuit puts on it, at work and with no load"
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
        let part = Part { role: Some(role), ..capacitor("C1", value, mark) };
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
