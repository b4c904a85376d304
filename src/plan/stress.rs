//! What the circuit says of a part, as far as it may be relied on.
//!
//! ```
//! use firstglow::plan::{context::Context, stress};
//! use firstglow::sheet::Sheet;
//! use firstglow::trade::role::Role;
//! let sheet = Sheet::read("BT1 battery 90 V B1 to chassis\nR1 1K B1 to B2\nC1 .1 B2 to chassis");
//! let context = Context::of(&sheet);
//! let found = stress::of(&sheet.parts[2], Some(Role::Bypass), &context).unwrap();
//! assert!((found.volts - 90.0).abs() < 0.01);
//! ```
//!
//! Limits: direct voltage alone; the ripple is the caller's to add. Where the supply's alternating voltage reaches
//! a lead, where the sheet does not show how a point is fed, and in a vibrator's
//! buffer, nothing is told and the blanket rules hold.

use super::context::Context;
use super::text::{figure, input, volts, working};
use super::told::Told;
use super::types::{Basis, Insulation, Stress, Watts, Working};
use crate::circuit::points::Traits;
use crate::circuit::report::NoLoad;
use crate::sheet::part::Part;
use crate::trade::role::Role;
use crate::trade::role_rule::{RatingRule, rule};
use crate::trade::source::Source;

const CIRCUIT: Source = Source::arithmetic(
    "the circuit of this sheet, solved with every tube cold at the high line, running, and with \
     each tube out",
);
const LEAK: Source = Source::arithmetic(
    "the circuit of this sheet, with a leak in the part's place; how far a point may move is \
     common practice",
);

/// Ohms below which a capacitor that is no electrolytic is bad wherever it
/// stands. Source: common practice, no source.
const LEAST_OHMS: f64 = 10e6;

/// The part of the no-load peak below which a capacitor at a plate or screen
/// counts as not fed on the sheet: what it hangs on is missing.
const FED: f64 = 0.02;

/// The greatest direct voltage a capacitor sees, where the circuit tells it.
pub fn of(part: &Part, role: Option<Role>, context: &Context) -> Option<Stress> {
    if role == Some(Role::Doubler) {
        return super::doubler::stress(part, context);
    }
    let found = context.capacitor(part)?;
    let volts = found.stress_v?;
    if is_beyond(part, role, context) || !is_fed(part, role, volts, context) {
        return None;
    }
    Some(Stress { volts, state: found.stress_state.clone() })
}

/// What a capacitor is charged to with no load, where the circuit tells it.
pub fn no_load<'c>(part: &Part, role: Option<Role>, context: &'c Context) -> Option<&'c NoLoad> {
    if role == Some(Role::Doubler) || is_beyond(part, role, context) {
        return None;
    }
    context.capacitor(part)?.no_load.as_ref()
}

/// Whether alternating voltage adds to what the circuit says of direct voltage.
fn is_beyond(part: &Part, role: Option<Role>, context: &Context) -> bool {
    role.is_some_and(|r| r.is_line_place() || matches!(r, Role::Buffer | Role::RectifierRf))
        || context.on_alternating(part)
}

/// Whether the sheet shows what feeds the part's place.
fn is_fed(part: &Part, role: Option<Role>, volts: f64, context: &Context) -> bool {
    let points =
        || part.leads.iter().flat_map(|l| [context.traits(&l.from), context.traits(&l.to)]);
    match role {
        // A supply point by its name alone may lack its supply.
        Some(Role::Reservoir | Role::Smoothing | Role::Decoupling | Role::SupplyBypass) => {
            context.feeds.is_empty()
                || points().any(|t| t.has(Traits::PLACED_B_PLUS))
                || is_live(volts, context)
        }
        Some(Role::Coupling | Role::ScreenBypass | Role::PlateBypass | Role::Tone) => {
            is_live(volts, context)
        }
        _ => true,
    }
}

/// Whether the computed volts show that something feeds a place.
fn is_live(volts: f64, context: &Context) -> bool {
    context.supply.no_load_v.is_none_or(|peak| volts >= FED * peak)
}

/// The working that names the stress.
pub fn explain(part: &Part, found: &Stress, context: &Context) -> Working {
    let mut inputs = vec![input("state", found.state.clone(), Basis::Computed)];
    if let Some(running) = context.capacitor(part).and_then(|c| c.running_v) {
        inputs.push(input("running", volts(running.abs()), Basis::Computed));
    }
    let rule = "the greatest direct voltage across its two places in any state of the set";
    working("stress", inputs, rule, volts(found.volts), CIRCUIT)
}

/// The insulation that a capacitor must have in its place.
pub fn insulation(part: &Part, context: &Context) -> Option<Insulation> {
    let found = context.capacitor(part)?;
    let electrolytic = super::dielectric::of(part).is_some_and(|d| d.value.is_electrolytic());
    let least = if electrolytic { 0.0 } else { LEAST_OHMS };
    Some(Insulation {
        ohms: found.required_insulation?.max(least),
        moves: found.leak_moves.clone()?,
        allowed_v: found.leak_allowed_v?,
    })
}

/// How that insulation was reached.
pub fn explain_insulation(part: &Part, found: &Insulation, context: &Context) -> Option<Working> {
    let of_part = context.capacitor(part)?;
    let per_microampere = of_part.leak_v_per_ua?;
    let inputs = vec![
        input("volts across it, running", volts(of_part.running_v?.abs()), Basis::Computed),
        input(
            "a microampere of leak moves",
            format!("the {} by {}", found.moves, volts(per_microampere)),
            Basis::Computed,
        ),
        input("it may move", volts(found.allowed_v), Basis::Assumed),
    ];
    let rule = "volts across it by the leak that moves the point as far as it may; 10 MΩ at least, \
                for less is a bad part anywhere";
    let result = Told::OhmsAtLeast(found.ohms);
    Some(working("insulation", inputs, rule, result, LEAK))
}

/// The watts of a resistor at work.
pub fn watts(part: &Part, context: &Context) -> Option<Watts> {
    let found = context.resistor(part)?;
    Some(Watts {
        running: found.watts,
        worst: found.worst_watts,
        state: found.worst_state.clone(),
        rated: found.rated_watts,
    })
}

/// How they were reached.
pub fn explain_watts(found: &Watts) -> Working {
    let mut inputs = vec![
        input("running", Told::Figure(found.running, "W"), Basis::Computed),
        input("at most", Told::Remarked(found.worst, "W", found.state.clone()), Basis::Computed),
    ];
    if let Some(rated) = found.rated {
        inputs.push(input("rated", Told::Figure(rated, "W"), Basis::Stated));
    }
    let result = match found.rated {
        Some(rated) if found.running > rated => "more than it is rated for".to_owned(),
        Some(rated) => format!("{} % of its rating", figure(100.0 * found.running / rated)),
        None => "no rating on the sheet".to_owned(),
    };
    working("watts", inputs, "V²/R in every state", result, CIRCUIT)
}

/// The direct voltage that a role's place may see: by the circuit, else by the
/// blanket rule of the role.
pub fn or_blanket(part: &Part, role: Option<Role>, context: &Context) -> Option<f64> {
    let rule = rule(role);
    let blanket = super::rating::stress(rule, &context.supply);
    let most = match of(part, role, context) {
        // Peaks of the signal come on top there.
        Some(found) if !matches!(rule.rating, RatingRule::TimesNoLoad { .. }) => Some(found.volts),
        _ => blanket,
    };
    let no_load = no_load(part, role, context).map(|charge| charge.volts);
    most.into_iter().chain(no_load).reduce(f64::max)
}
