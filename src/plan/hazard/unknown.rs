//! Supplies that could not be solved: what they feed counts as live and
//! charged.

use crate::circuit::report::UnsolvedSupply;
use crate::plan::context::Context;
use crate::plan::text::{input, volts, working};
use crate::plan::types::{Basis, Hazard, Severity, Working};
use crate::trade::source::Source;

const CREST: Source = Source::arithmetic(
    "√2 times the volts of the whole winding at the high line; nothing says that it is all",
);

/// A hazard for each of them.
pub fn hazards(context: &Context) -> Vec<Hazard> {
    let mut all: Vec<Hazard> = Vec::new();
    for (at, one) in context.circuit.unsolved.iter().enumerate() {
        let mut next = hazard(one, at, context);
        if all.iter().any(|before| before.id == next.id) {
            next.id = format!("{}-{}", next.id, at + 1);
        }
        all.push(next);
    }
    all
}

fn hazard(one: &UnsolvedSupply, at: usize, context: &Context) -> Hazard {
    let above = one.may_be_above_v.or(context.supply.no_load_v);
    let name = || one.rectifiers.first().or(one.transformer.as_ref());
    let fed = one.output.and_then(|node| context.wiring.nodes.get(node));
    let place = fed.map_or_else(|| "What it feeds".to_owned(), |node| node.name.clone());
    let figure = above.map_or_else(
        || "Nothing on the sheet tells how high it is.".to_owned(),
        |v| format!("It may be above {}.", volts(v)),
    );
    let id = match (at, name()) {
        (_, Some(key)) => format!("unknown-supply-{}", key.to_lowercase()),
        (at, None) => format!("unknown-supply-{}", at + 1),
    };
    let mut parts = one.rectifiers.clone();
    parts.extend(one.transformer.clone());
    Hazard {
        id,
        title: format!("Unknown supply voltage: {}", parts.join(", ")),
        severity: Severity::Danger,
        what_can_happen: format!(
            "{}. The voltage of this supply is not known, and no reading on this sheet tells it. \
             {place} may be live and stay charged. {figure} It may be of either sign.",
            one.message
        ),
        what_to_do: "Treat everything that this supply feeds as live and charged. Pull the plug \
                     and discharge every filter capacitor before you touch it. Complete the sheet \
                     before you apply power. Do not measure it by hand until its voltage is known."
            .to_owned(),
        parts,
        working: working_of(one),
    }
}

fn working_of(one: &UnsolvedSupply) -> Vec<Working> {
    let crest = one.may_be_above_v.map(|peak| {
        let inputs = vec![input(
            "winding, RMS at high line",
            volts(peak / std::f64::consts::SQRT_2),
            Basis::Computed,
        )];
        working("no-load peak", inputs, "√2 times the whole winding", volts(peak), CREST)
    });
    crest.into_iter().collect()
}
