//! The silicon rectifier that takes the place of a dry one, by the inverse
//! volts of that rectifier itself.
//!
//! Limits: without connections on the sheet the supply's words stand in, as for
//! the whole supply on one rectifier.

use crate::plan::context::Context;
use crate::plan::text::{input, volts, working};
use crate::plan::types::{Basis, Working};
use crate::sheet::Rectification;
use crate::sheet::part::Part;
use crate::trade::source::Source;

/// Inverse volts of single silicon rectifiers that are commonly sold. Source:
/// common practice, no source.
const SOLD: [u32; 4] = [1000, 1600, 2000, 3000];
/// Rated inverse volts by those that are seen: the line's surges come on top.
/// Source: common practice, no source.
const MARGIN: f64 = 1.5;

const CHOICE: Source = Source::practice(
    "a silicon rectifier is rated for half again its peak inverse volts without load at high line",
);

/// What is to be fitted.
#[derive(Debug, Clone, PartialEq)]
pub enum Silicon {
    /// A rectifier that is sold, by its rated inverse volts.
    Sold {
        /// Its rating.
        rated: u32,
        /// The inverse volts it sees.
        inverse: f64,
        /// How these are known.
        basis: Basis,
    },
    /// No single rectifier that is sold stands these inverse volts.
    NothingSold {
        /// The inverse volts.
        inverse: f64,
        /// How these are known.
        basis: Basis,
    },
    /// The inverse volts are not known: why not.
    Unknown {
        /// What is missing.
        why: String,
    },
}

/// Chooses by the rectifier's own inverse volts.
pub fn choose(part: &Part, context: &Context) -> Silicon {
    let own = context.circuit.rectifiers.iter().find(|r| r.key == part.key);
    let (inverse, basis) = match own.and_then(|r| r.inverse_v) {
        Some(inverse) => (inverse, Basis::Computed),
        None => match by_words(part, context) {
            Some(inverse) => (inverse, Basis::Assumed),
            None => return Silicon::Unknown { why: why(part, context) },
        },
    };
    let rated = SOLD.into_iter().find(|rated| f64::from(*rated) >= MARGIN * inverse);
    match rated {
        Some(rated) => Silicon::Sold { rated, inverse, basis },
        None => Silicon::NothingSold { inverse, basis },
    }
}

/// A rectifier without connections is taken to be that of the whole supply.
fn by_words(part: &Part, context: &Context) -> Option<f64> {
    if part.leads.is_some() || context.supply.has_unknown_supply {
        return None;
    }
    let peak = context.supply.no_load_v?;
    let doubled = context.supply.rectification == Some(Rectification::Doubler);
    Some(if doubled { peak } else { 2.0 * peak })
}

fn why(part: &Part, context: &Context) -> String {
    let unsolved = context.circuit.unsolved.iter().find(|one| one.rectifiers.contains(&part.key));
    match unsolved {
        Some(one) => one.message.clone(),
        None if part.leads.is_none() => {
            format!("{}: its leads are not on the sheet", part.designator)
        }
        None => format!("{}: no supply is found that it belongs to", part.designator),
    }
}

impl Silicon {
    /// What is to be fitted, in the middle of a sentence.
    pub fn words(&self, current: &str) -> String {
        match self {
            Self::Sold { rated, .. } => {
                format!("Fit a silicon diode of {rated} V and at least {current}")
            }
            Self::NothingSold { inverse, .. } => format!(
                "No diode is named: it sees {} the wrong way round, and no single silicon diode \
                 that is commonly sold stands that with a margin. If you fit several in series, \
                 share the voltage by equal resistors across each",
                volts(*inverse)
            ),
            Self::Unknown { why } => {
                format!("No diode is named, because its peak inverse voltage is not known ({why})")
            }
        }
    }

    /// How it was chosen.
    pub fn working(&self) -> Option<Working> {
        let (inverse, basis, result) = match self {
            Self::Sold { rated, inverse, basis } => (*inverse, *basis, format!("{rated} V")),
            Self::NothingSold { inverse, basis } => (*inverse, *basis, "none".to_owned()),
            Self::Unknown { .. } => return None,
        };
        let inputs = vec![
            input("peak inverse, no load, high line", volts(inverse), basis),
            input("margin", "1.5 times", Basis::Assumed),
        ];
        let rule = "the least rating sold that covers the rectifier's own peak inverse voltage \
                    with the margin";
        Some(working("inverse rating", inputs, rule, result, CHOICE))
    }
}
