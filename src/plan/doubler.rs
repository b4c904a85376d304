//! What the plan says of a capacitor of a doubler, where the wiring shows one.
//!
//! ```
//! use firstglow::plan::{context::Context, doubler};
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read(
//!     "mains 117 V 60 Hz\nsupply series-string\nwire neutral to B-\n\
//!      C1 40 uF 150 V electrolytic mid to line\nD1 silicon B- to mid\nD2 silicon mid to B1\n\
//!      C2 40 uF 350 V electrolytic B1 to B-\nR1 5K 20 W B1 to B-",
//! );
//! let context = Context::of(&sheet);
//! // √2 × 125 V at the high line.
//! assert!((doubler::stress(&sheet.parts[0], &context).unwrap().volts - 176.8).abs() < 0.1);
//! ```
//!
//! Limits: the settled cycle at the nominal line; stress without load at the
//! high line.

use super::context::Context;
use super::polarity::Lead;
use super::text::{figure, input, volts, working};
use super::types::{Basis, Stress, Working};
use crate::circuit::report::{DutyReport, SupplyReport};
use crate::sheet::part::Part;
use crate::trade::source::Source;

const DUTY: Source = Source::arithmetic(
    "the supply of this sheet on its cycle average; ripple current is the charge that goes in and \
     out of the capacitor",
);

/// Volts below which the sign of a running voltage says nothing.
const SIGN_VOLTS: f64 = 1.0;

/// The duty of a part, and its supply.
fn duty<'c>(part: &Part, context: &'c Context) -> Option<(&'c SupplyReport, &'c DutyReport)> {
    context.circuit.supplies.iter().find_map(|supply| {
        let own = supply.doubled.iter().find(|duty| duty.key == part.key)?;
        Some((supply, own))
    })
}

/// The greatest direct voltage on it.
pub fn stress(part: &Part, context: &Context) -> Option<Stress> {
    let (_, duty) = duty(part, context)?;
    Some(Stress { volts: duty.no_load_v, state: "no load, high line".into() })
}

/// The lead that its positive end goes to.
pub fn positive(part: &Part, context: &Context) -> Option<Lead> {
    duty(part, context)?;
    let running = context.capacitor(part)?.running_v?;
    (running.abs() > SIGN_VOLTS).then_some(if running > 0.0 { Lead::First } else { Lead::Second })
}

/// How its duty comes about.
pub fn explain(part: &Part, context: &Context) -> Option<Working> {
    let (supply, duty) = duty(part, context)?;
    let inputs = vec![
        input("place in the doubler", duty.place.clone(), Basis::Placed),
        input(
            "source",
            format!("{} AC behind {} Ω", volts(supply.source_rms_v), figure(supply.source_ohms)),
            Basis::Computed,
        ),
        input("taken", format!("{} mA", figure(supply.ma)), Basis::Computed),
        input(
            "volts within a cycle",
            format!("{} to {}", volts(duty.least_v), volts(duty.most_v)),
            Basis::Computed,
        ),
        input("ripple current", format!("{} mA", figure(duty.ripple_ma)), Basis::Computed),
        input("no load, high line", volts(duty.no_load_v), Basis::Computed),
    ];
    let result = format!("{}, {} mA of ripple", volts(duty.volts), figure(duty.ripple_ma));
    Some(working("doubler duty", inputs, rule(&duty.place), result, DUTY))
}

fn rule(place: &str) -> &'static str {
    match place {
        "series" => {
            "charged to the crest on one half of the cycle, in series with the source on the \
             other: all that the set takes goes in and out of it once a cycle. Both leads ride on \
             the source, so neither lead nor can may touch the chassis. If the rectifier that \
             charges it opens or stays cold, the other one charges it the wrong way round, to the \
             crest: check that rectifier before power"
        }
        "output" => "filled once a cycle to both crests; without load it holds twice the crest",
        _ => {
            "each is charged to the crest on its own half of the cycle; the set takes its current \
             from both in series"
        }
    }
}
