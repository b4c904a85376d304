//! The value to fit: a preferred number inside the window of the role.
//!
//! ```
//! use firstglow::plan::{types::Basis, value::{Wish, choose}};
//! use firstglow::trade::{quantity::Capacitance, role::Role, role_rule::rule};
//! let old = Capacitance::from_microfarads("0.05".parse().unwrap()).unwrap();
//! let wish = Wish { old, rule: rule(Some(Role::Coupling)), basis: Basis::Stated,
//!     electrolytic: false, limit: None };
//! assert_eq!(choose(&wish).unwrap().value.to_string(), "0.047 µF");
//! ```
//!
//! Limits: the window is for the marked value; the tolerance of the new part
//! comes on top, as it did of the old.

use super::refusal::Refusal;
use super::text::{input, working};
use super::told::Told;
use super::types::{Basis, Working};
use crate::trade::quantity::Capacitance;
use crate::trade::rectifier::{LIMITS_SOURCE, RectifierTube};
use crate::trade::role::Role;
use crate::trade::role_rule::{Fit, RoleRule};
use crate::trade::series::{E6, E12, E24, ELECTROLYTIC_HABIT, HABIT_SOURCE, SERIES_SOURCE, Series};
use rust_decimal::Decimal;

/// What a value is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// The old value.
    pub old: Capacitance,
    /// The rule of its role.
    pub rule: &'static RoleRule,
    /// How the role is known.
    pub basis: Basis,
    /// Whether an electrolytic will be fitted.
    pub electrolytic: bool,
    /// The typical first capacitor of the rectifier, microfarads, where it may apply.
    pub limit: Option<(Decimal, &'static RectifierTube)>,
}

/// A value found.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The value in place.
    pub value: Capacitance,
    /// The two that make it up, where one does not.
    pub parallel: Option<(Capacitance, Capacitance)>,
    /// The window it lies in.
    pub window: (Capacitance, Capacitance),
    /// How it was reached.
    pub working: Vec<Working>,
}

/// The preferred value nearest the old one inside the window.
///
/// # Errors
/// [`Refusal::NoValue`] where neither one preferred value nor two in parallel
/// lie inside the window.
pub fn choose(wish: &Wish) -> Result<Chosen, Refusal> {
    let (least, most) = window(wish);
    let old = wish.old.picofarads();
    let mut notes = limit_working(wish, most);
    let habit = wish.electrolytic.then(|| by_habit(old, least, most)).flatten();
    let single = habit.or_else(|| {
        series_for(wish).iter().find_map(|s| Some((s.nearest(old, least, most)?, s.name())))
    });
    let refusal =
        || Refusal::NoValue { least: shown(least).to_string(), most: shown(most).to_string() };
    if let Some((value, from)) = single {
        let value = Capacitance::new(value).map_err(|_| refusal())?;
        let source = if from == HABIT { HABIT_SOURCE } else { SERIES_SOURCE };
        let mut main = explain(wish, least, most, value.into(), from);
        main.source = source;
        notes.insert(0, main);
        return Ok(Chosen {
            value,
            parallel: None,
            window: (shown(least), shown(most)),
            working: notes,
        });
    }
    let (first, second) = two_in_parallel(wish, least, most).ok_or_else(refusal)?;
    let sum = first.picofarads().checked_add(second.picofarads()).ok_or_else(refusal)?;
    let value = Capacitance::new(sum).map_err(|_| refusal())?;
    let result = format!("{first} and {second} in parallel, {value}");
    notes.insert(0, explain(wish, least, most, result.into(), "two E24"));
    Ok(Chosen {
        value,
        parallel: Some((first, second)),
        window: (shown(least), shown(most)),
        working: notes,
    })
}

/// The window in picofarads: the role's, cut at the rectifier's figure.
pub fn window(wish: &Wish) -> (Decimal, Decimal) {
    let old = wish.old.picofarads();
    let least = percent(old, 100_i64.saturating_sub(wish.rule.below.into()));
    let mut most = percent(old, 100 + i64::from(wish.rule.above));
    if let Some(limit) = limit_picofarads(wish) {
        most = most.min(old.max(limit));
    }
    (least.max(Decimal::new(1, 2)), most.min(Decimal::from(1_000_000_000_000_i64)))
}

const HABIT: &str = "the value usually fitted";

fn percent(value: Decimal, percent: i64) -> Decimal {
    value.checked_mul(Decimal::new(percent, 2)).unwrap_or(value)
}

fn limit_picofarads(wish: &Wish) -> Option<Decimal> {
    wish.limit.and_then(|(limit, _)| limit.checked_mul(Decimal::from(1_000_000)))
}

/// A bound of the window as a capacitance; bounds are kept inside its range.
fn shown(picofarads: Decimal) -> Capacitance {
    let least = Decimal::new(1, 2);
    let most = Decimal::from(1_000_000_000_000_i64);
    Capacitance::new(picofarads.clamp(least, most)).expect("clamped into the range of capacitances")
}

/// The series tried in turn: what is stocked widely first.
fn series_for(wish: &Wish) -> &'static [Series] {
    match (wish.rule.fit, wish.rule.role) {
        _ if wish.electrolytic => &[E6, E12, E24],
        (_, Some(Role::Buffer)) | (Fit::SilverMica, _) => &[E24],
        _ => &[E12, E24],
    }
}

fn by_habit(old: Decimal, least: Decimal, most: Decimal) -> Option<(Decimal, &'static str)> {
    let million = Decimal::from(1_000_000);
    let row = ELECTROLYTIC_HABIT
        .iter()
        .find(|(value, _)| Decimal::from(*value).checked_mul(million) == Some(old))?;
    row.1
        .iter()
        .filter_map(|text| Decimal::from_str_exact(text).ok()?.checked_mul(million))
        .find(|v| *v >= least && *v <= most)
        .map(|v| (v.normalize(), HABIT))
}

/// Two E24 values whose sum comes nearest the old one inside the window.
fn two_in_parallel(
    wish: &Wish,
    least: Decimal,
    most: Decimal,
) -> Option<(Capacitance, Capacitance)> {
    let old = wish.old.picofarads();
    let half = old.checked_div(Decimal::TWO)?;
    let mut best: Option<(Decimal, Decimal, Decimal)> = None;
    for first in E24.around(old).filter(|v| *v >= half && *v < most) {
        let left = |bound: Decimal| bound.checked_sub(first).map(|d| d.max(Decimal::ONE));
        let (Some(rest), Some(low), Some(high)) = (left(old), left(least), left(most)) else {
            continue;
        };
        let Some(second) = E24.nearest(rest, low, high) else { continue };
        let Some(far) = first.checked_add(second)?.checked_sub(old).map(|d| d.abs()) else {
            continue;
        };
        let fits = first.checked_add(second).is_some_and(|sum| sum >= least && sum <= most);
        if fits && best.is_none_or(|(near, ..)| far < near) {
            best = Some((far, first, second));
        }
    }
    let (_, first, second) = best?;
    Some((Capacitance::new(first).ok()?, Capacitance::new(second).ok()?))
}

fn explain(wish: &Wish, least: Decimal, most: Decimal, result: Told, from: &str) -> Working {
    let mut inputs = vec![input("old value", wish.old, Basis::Stated)];
    let role = wish.rule.role.map_or("not known", Role::label);
    inputs.push(input("role", role, wish.basis));
    let window = Told::Between(shown(least), shown(most));
    inputs.push(input("window", window, Basis::Computed));
    let how = format!(
        "{} inside -{} to +{} % of the old value ({})",
        if from == HABIT { HABIT.to_owned() } else { format!("nearest value of {from}") },
        wish.rule.below,
        wish.rule.above,
        wish.rule.source.text,
    );
    working("value", inputs, how, result, SERIES_SOURCE)
}

/// The rectifier's figure, where it cuts the window.
fn limit_working(wish: &Wish, most: Decimal) -> Vec<Working> {
    let Some((limit, tube)) = wish.limit else { return Vec::new() };
    let inputs = vec![
        input("rectifier", tube.names[0], Basis::Stated),
        input("first capacitor in its typical operation", format!("{limit} µF"), Basis::Stated),
        input("old value", wish.old, Basis::Stated),
    ];
    let rule = "a first filter capacitor never exceeds the larger of the old value and the \
                published typical one; that figure is no absolute limit, the tube's limits are its \
                peak current and the least supply impedance";
    let result = format!("at most {}", shown(most));
    vec![working("first filter limit", inputs, rule, result, LIMITS_SOURCE)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::rectifier::find;
    use crate::trade::role_rule::rule;

    fn chosen(role: Role, microfarads: &str, limit: Option<&str>) -> Result<String, Refusal> {
        let asked = rule(Some(role));
        let limit = limit.and_then(find).map(|t| (t.typical_first_uf.parse().unwrap(), t));
        let electrolytic = asked.fit == Fit::Electrolytic;
        let old = Capacitance::from_microfarads(microfarads.parse().unwrap()).unwrap();
        choose(&Wish { old, rule: asked, basis: Basis::Stated, electrolytic, limit })
            .map(|c| c.parallel.map_or(c.value.to_string(), |(a, b)| format!("{a} with {b}")))
    }

    #[test]
    fn values_by_role() {
        for (role, old, limit, new) in [
            (Role::Coupling, "0.05", None, "0.047 µF"),
            (Role::Coupling, "0.02", None, "0.022 µF"),
            (Role::Coupling, "0.006", None, "0.0056 µF"),
            (Role::ScreenBypass, "0.25", None, "0.27 µF"),
            (Role::Reservoir, "8", Some("80"), "10 µF"),
            (Role::Reservoir, "16", Some("80"), "15 µF"),
            (Role::Reservoir, "20", Some("5Y3GT"), "18 µF"),
            (Role::Reservoir, "40", Some("35Z5GT"), "39 µF"),
            (Role::Reservoir, "40", None, "47 µF"),
            (Role::Reservoir, "12", Some("80"), "12 µF"),
            (Role::Smoothing, "12", None, "15 µF"),
            (Role::CathodeBypassAudio, "25", None, "22 µF"),
            (Role::Tuned, "0.0005", None, "510 pF"),
            (Role::Tuned, "0.00025", None, "130 pF with 120 pF"),
            (Role::Buffer, "0.008", None, "0.0082 µF"),
            (Role::Buffer, "0.005", None, "0.0051 µF"),
        ] {
            assert_eq!(chosen(role, old, limit).as_deref(), Ok(new), "{role:?} {old}");
        }
    }

    #[test]
    fn a_tuned_value_that_nothing_fits_is_refused_with_its_window() {
        let refused = chosen(Role::Tuned, "0.00000137", None).unwrap_err();
        assert!(matches!(refused, Refusal::NoValue { .. }), "{refused}");
    }

    #[test]
    fn twenty_two_is_refused_after_an_80_with_eight() {
        let wish = Wish {
            old: Capacitance::from_microfarads("8".parse().unwrap()).unwrap(),
            rule: rule(Some(Role::Reservoir)),
            basis: Basis::Stated,
            electrolytic: true,
            limit: find("80").map(|t| (Decimal::TEN, t)),
        };
        assert_eq!(window(&wish).1, Decimal::from(10_000_000));
    }
}
