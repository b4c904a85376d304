//! The new capacitor: what it is made of, its value, rating and polarity.
//!
//! ```
//! use firstglow::plan::{context::Context, fit::{Old, fit}, types::{Basis, Finding}};
//! use firstglow::sheet::{Sheet, part::{Designator, Part, PartKind}};
//! use firstglow::trade::{dielectric::Dielectric, quantity::{Capacitance, Voltage}, role::Role};
//! let name = Designator { letters: "C".into(), number: 7, section: None };
//! let mut part = Part::new("C7", name, PartKind::Capacitor);
//! part.rating = Voltage::new(400.into()).ok();
//! let old = Old {
//!     value: Capacitance::from_microfarads("0.05".parse().unwrap()).unwrap(),
//!     dielectric: Some(Dielectric::Paper),
//!     role: Some(Finding { value: Role::Coupling, basis: Basis::Stated }),
//! };
//! let (new, _) = fit(&part, &old, &Context::of(&Sheet::default())).unwrap();
//! assert_eq!(new.text, "0.047 µF 630 V polypropylene film");
//! ```
//!
//! Limits: never a part that falls short; where nothing serves, a
//! [`Refusal`] says why.

use super::context::Context;
use super::pair::{self, Pair};
use super::peak;
use super::polarity;
use super::rating::{Need, need, rule_words, shown};
use super::refusal::Refusal;
use super::role::reaches_metal;
use super::safety;
use super::stress;
use super::text::working;
use super::told::Told;
use super::types::{Arrangement, Basis, Finding, Replacement, Working};
use super::value::{Chosen, Wish, choose};
use crate::sheet::part::{Make, Part};
use crate::trade::dielectric::Dielectric;
use crate::trade::quantity::{Capacitance, Voltage};
use crate::trade::ratings::{RATINGS_SOURCE, covering, sold};
use crate::trade::role::Role;
use crate::trade::role_rule::{Fit, RoleRule, rule};
use crate::trade::safety::SafetyClass;
use rust_decimal::Decimal;

/// The old part, as far as it bears on the new one.
#[derive(Debug, Clone, Copy)]
pub struct Old {
    /// Its value.
    pub value: Capacitance,
    /// What it is made of.
    pub dielectric: Option<Dielectric>,
    /// What it does.
    pub role: Option<Finding<Role>>,
}

/// The new part and how it was reached.
///
/// # Errors
/// A [`Refusal`] where no part that is sold serves.
pub fn fit(
    part: &Part,
    old: &Old,
    context: &Context,
) -> Result<(Replacement, Vec<Working>), Refusal> {
    match old.role {
        Some(role)
            if part.line_side_unsaid && role.value == Role::RectifierRf && unplaced(part) =>
        {
            Err(Refusal::LineSideUnsaid)
        }
        role if leaves_open(part, role.map(|r| r.value)) => Err(Refusal::PlacesUnread),
        Some(role) if is_on_line(role.value, part, context) => on_line(part, old, role, context),
        _ if part.line_side_unsaid => Err(Refusal::LineSideUnsaid),
        _ => off_line(part, old, context),
    }
}

/// Whether a part says nothing of where its leads go.
const fn unplaced(part: &Part) -> bool {
    part.leads.is_none()
}

/// Whether words on its places that were not read leave open what a part needs:
/// not at metal, which asks for the most, and not for a buffer.
pub fn leaves_open(part: &Part, role: Option<Role>) -> bool {
    part.places_unread && role.is_none_or(|r| !reaches_metal(r) && r != Role::Buffer)
}

/// Whether the place asks for a safety class.
pub fn is_on_line(role: Role, part: &Part, context: &Context) -> bool {
    role.is_line_place()
        || role == Role::RectifierRf
            && (context.on_mains(part) || context.supply.line_connected != Some(false))
}

/// Whether an electrolytic was there.
pub fn was_electrolytic(old: &Old) -> bool {
    old.dielectric.is_some_and(Dielectric::is_electrolytic)
}

/// A part with a safety class.
fn on_line(
    part: &Part,
    old: &Old,
    role: Finding<Role>,
    context: &Context,
) -> Result<(Replacement, Vec<Working>), Refusal> {
    if was_electrolytic(old) {
        return Err(Refusal::ElectrolyticOnLine);
    }
    let (choice, workings) = safety::choose(part, old.value, role, &context.supply)?;
    let dielectric = match choice.class {
        SafetyClass::X1 | SafetyClass::X2 => Dielectric::Polypropylene,
        SafetyClass::Y1 | SafetyClass::Y2 => Dielectric::Ceramic,
    };
    let text = format!("{} {} AC class {}", choice.value, choice.rating, choice.class.label());
    let replacement = Replacement {
        text,
        value: choice.value,
        picofarads: choice.value.to_f64(),
        dielectric,
        rating: choice.rating,
        rating_v: choice.rating.to_f64(),
        rating_ac: true,
        class: Some(choice.class),
        polarity: None,
        temperature_c: None,
        window: choice.window,
        arrangement: Arrangement::Single,
        outer_foil: None,
    };
    Ok((replacement, workings))
}

/// A part for direct voltage.
fn off_line(
    part: &Part,
    old: &Old,
    context: &Context,
) -> Result<(Replacement, Vec<Working>), Refusal> {
    let rule = rule(old.role.map(|r| r.value));
    let electrolytic = fits_electrolytic(rule, old);
    let limit = context.supply.first_limit.filter(|_| limited(old.role));
    let basis = old.role.map_or(Basis::Assumed, |r| r.basis);
    let wish = Wish { old: old.value, rule, basis, electrolytic, limit };
    let need = need(part, rule, electrolytic, context);
    let volts = need.volts.ok_or(Refusal::RatingUnknown)?;
    let mut chosen = choose(&wish)?;
    if rule.role == Some(Role::Reservoir) {
        chosen = peak::hold(part, chosen, context);
    }
    let paper = old.dielectric.is_some_and(Dielectric::is_paper);
    let dielectric = material(rule, electrolytic, paper, chosen.value, volts);
    let by_circuit = stress::of(part, rule.role, context).is_some();
    let rating_words = rule_words(rule, &context.supply, by_circuit);
    if let Some(sold) = covering(sold(dielectric), volts) {
        let rating = Voltage::new(sold)
            .map_err(|_| Refusal::NoRating { what: "part", need: volts.to_string() })?;
        let mut workings = chosen.working.clone();
        workings.push(rating_working(&need, rating_words, rating));
        return Ok((single(part, rule, &chosen, dielectric, rating, context), workings));
    }
    if !electrolytic {
        return Err(Refusal::NoRating { what: dielectric.label(), need: volts.to_string() });
    }
    let pair = pair::find(&wish, volts)?;
    let mut workings = chosen.working.clone();
    workings.extend(pair.working.clone());
    let result = format!("two in series, good for {}", pair.rating);
    workings.push(rating_working(&need, rating_words, result));
    Ok((in_series(part, rule, &chosen, pair, context), workings))
}

/// An electrolytic is fitted where one was, unless the place wants none.
fn fits_electrolytic(rule: &RoleRule, old: &Old) -> bool {
    let bypass = matches!(
        rule.role,
        None | Some(
            Role::Bypass
                | Role::ScreenBypass
                | Role::SupplyBypass
                | Role::CathodeBypassRf
                | Role::SparkPlate
        )
    );
    was_electrolytic(old) && (rule.fit == Fit::Electrolytic || bypass)
}

/// The rectifier's figure holds for the first filter, and for any filter
/// whose place is not known.
fn limited(role: Option<Finding<Role>>) -> bool {
    role.is_some_and(|r| match r.value {
        Role::Reservoir | Role::Doubler => true,
        Role::Smoothing => matches!(r.basis, Basis::Inferred | Basis::Assumed),
        _ => false,
    })
}

/// What to buy: mica below 1000 pF and in tuned places where no paper was
/// good enough, film above.
fn material(
    rule: &RoleRule,
    electrolytic: bool,
    paper: bool,
    value: Capacitance,
    volts: Decimal,
) -> Dielectric {
    let picofarads = value.picofarads();
    let small = picofarads < Decimal::from(1_000)
        || rule.fit == Fit::SilverMica && !paper && picofarads <= Decimal::from(10_000);
    // Mica ends at 1000 V; film begins at about 100 pF.
    let film = volts > Decimal::from(1_000) && picofarads >= Decimal::from(100);
    if electrolytic {
        Dielectric::Electrolytic
    } else if small && !film {
        Dielectric::SilverMica
    } else {
        Dielectric::Polypropylene
    }
}

fn rating_working(need: &Need, rule: String, result: impl Into<Told>) -> Working {
    let mut inputs = need.inputs.clone();
    if let Some(volts) = need.volts {
        inputs.push(super::text::input("to cover", shown(volts), Basis::Computed));
    }
    working("rating", inputs, rule, result, RATINGS_SOURCE)
}

fn single(
    part: &Part,
    rule: &RoleRule,
    chosen: &Chosen,
    dielectric: Dielectric,
    rating: Voltage,
    context: &Context,
) -> Replacement {
    let electrolytic = dielectric.is_electrolytic();
    let kind = match dielectric {
        Dielectric::Electrolytic if part.is_made(Make::NonPolarised) => {
            "non-polarised electrolytic 105 °C"
        }
        Dielectric::Electrolytic => "electrolytic 105 °C",
        Dielectric::SilverMica => "silver mica",
        _ => "polypropylene film",
    };
    let (text, arrangement) = match chosen.parallel {
        Some((first, second)) => (
            format!("{first} and {second} in parallel, {rating} {kind}"),
            Arrangement::TwoInParallel { first, second },
        ),
        None => (format!("{} {rating} {kind}", chosen.value), Arrangement::Single),
    };
    Replacement {
        text,
        value: chosen.value,
        picofarads: chosen.value.to_f64(),
        dielectric,
        rating,
        rating_v: rating.to_f64(),
        rating_ac: false,
        class: None,
        polarity: electrolytic.then(|| polarity::of(part, rule.role, rule.polarity, context)),
        temperature_c: electrolytic.then_some(105),
        window: chosen.window,
        arrangement,
        outer_foil: rule.outer_foil.filter(|_| dielectric.is_film()).map(str::to_owned),
    }
}

fn in_series(
    part: &Part,
    rule: &RoleRule,
    chosen: &Chosen,
    pair: Pair,
    context: &Context,
) -> Replacement {
    let mut made = single(part, rule, chosen, Dielectric::Electrolytic, pair.rating, context);
    made.text = format!("{} ({} in place) electrolytic 105 °C", pair.text, pair.value);
    made.value = pair.value;
    made.picofarads = pair.value.to_f64();
    made.arrangement = pair.arrangement;
    made
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::{capacitor, series_string, transformer};
    use crate::sheet::Sheet;

    fn fitted(sheet: &Sheet, part: &Part, role: Role, old: Dielectric) -> Result<String, Refusal> {
        let role = Some(Finding { value: role, basis: Basis::Stated });
        let old = Old { value: part.capacitance.unwrap(), dielectric: Some(old), role };
        fit(part, &old, &Context::of(sheet)).map(|(new, _)| new.text)
    }

    #[test]
    fn what_is_fitted_where() {
        use Dielectric::{Electrolytic, Mica, OilPaper, Paper};
        let live = series_string(vec![]);
        let console = transformer("700", vec![]);
        let amplifier = transformer("900", vec![]);
        for (sheet, value, mark, role, old, text) in [
            (&live, "40", "150", Role::Reservoir, Electrolytic, "47 µF 200 V electrolytic 105 °C"),
            (
                &console,
                "8",
                "450",
                Role::Smoothing,
                Electrolytic,
                "10 µF 550 V electrolytic 105 °C",
            ),
            (&console, "2", "600", Role::Smoothing, OilPaper, "2.2 µF 630 V polypropylene film"),
            (&live, "0.02", "400", Role::Coupling, Paper, "0.022 µF 630 V polypropylene film"),
            (&live, "0.00025", "500", Role::DiodeFilter, Mica, "240 pF 500 V silver mica"),
            (&live, "0.008", "1600", Role::Buffer, Paper, "0.0082 µF 1600 V polypropylene film"),
            (&live, "0.05", "400", Role::AcrossLine, Paper, "0.047 µF 250 V AC class X2"),
            (
                &amplifier,
                "16",
                "600",
                Role::Smoothing,
                Electrolytic,
                "two of 33 µF 450 V in series, 1 MΩ 1 W across each (16.5 µF in place) \
                 electrolytic 105 °C",
            ),
        ] {
            let found = fitted(sheet, &capacitor("C1", value, mark), role, old);
            assert_eq!(found.as_deref(), Ok(text), "{role:?} {value} {mark}");
        }
    }

    #[test]
    fn an_electrolytic_is_never_put_on_the_line() {
        let part = capacitor("C1", "20", "150");
        let refused =
            fitted(&series_string(vec![]), &part, Role::AcrossLine, Dielectric::Electrolytic);
        assert_eq!(refused, Err(Refusal::ElectrolyticOnLine));
    }
}
