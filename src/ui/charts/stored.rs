//! What the capacitors hold after switching off, and for how long.

use super::figures::volts;
use crate::circuit::report::FallOf;
use crate::order;
use crate::plan::types::Plan;
use crate::ui::draw::Drawing;
use crate::ui::draw::fall::{self, Fall, Falls, time, together};

/// Volts below which a capacitor counts as discharged on the way.
const LIMIT: f64 = 50.0;
/// The most names at a curve.
const NAMES: usize = 3;

/// One capacitor that starts above the limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// Its key.
    pub key: String,
    /// The volts it starts with.
    pub start: String,
    /// When it is below the limit, and through what.
    pub falls: String,
    /// Whether nothing discharges it.
    pub stays: bool,
}

/// The capacitors that start above the limit, those that stay charged first.
pub fn list(plan: &Plan) -> Vec<Held> {
    let Some(curve) = &plan.circuit.discharge.curve else { return Vec::new() };
    let mut all: Vec<Held> = curve
        .keys
        .iter()
        .zip(&curve.volts)
        .filter_map(|(key, held)| {
            let fall = of(plan, key)?;
            Some(Held {
                key: key.clone(),
                start: volts(held.first().copied().unwrap_or_default()),
                falls: words(fall),
                stays: matches!(fall, FallOf::Stays { .. }),
            })
        })
        .collect();
    order::sort(&mut all, |held| [usize::from(!held.stays), 0, 0]);
    all
}

/// A fall in words.
pub fn words(fall: &FallOf) -> String {
    match fall {
        FallOf::Below => "never holds as much as 50 V".to_owned(),
        FallOf::After { seconds, through: Some(part) } => {
            format!("below 50 V after {}, through {part}", time(*seconds))
        }
        FallOf::After { seconds, through: None } => {
            format!("below 50 V after {}, through several parts", time(*seconds))
        }
        FallOf::Stays { volts: v } => {
            format!("stays charged at about {}: nothing discharges it", volts(v.abs()))
        }
    }
}

fn of<'a>(plan: &'a Plan, key: &str) -> Option<&'a FallOf> {
    plan.parts.iter().find(|part| part.key == key)?.discharge.as_ref()
}

/// The curves, for a page so wide.
pub fn drawing(plan: &Plan, width: f64) -> Option<Drawing> {
    let curve = plan.circuit.discharge.curve.as_ref()?;
    let curves = together(&curve.seconds, &curve.volts).into_iter().map(|group| {
        let falls = group.iter().filter_map(|at| of(plan, &curve.keys[*at]));
        let (mut last, mut stays) = (0.0_f64, false);
        for fall in falls {
            match fall {
                FallOf::After { seconds, .. } => last = last.max(*seconds),
                FallOf::Stays { .. } => stays = true,
                FallOf::Below => {}
            }
        }
        let names: Vec<&str> =
            group.iter().take(NAMES).map(|at| curve.keys[*at].as_str()).collect();
        let more = group.len().saturating_sub(NAMES);
        let more = if more > 0 { format!(" +{more}") } else { String::new() };
        let when = if stays { "stays charged".to_owned() } else { time(last) };
        let label = format!("{}{more}: {when}", names.join(" "));
        Fall { label, stays, volts: group.iter().map(|at| curve.volts[*at].clone()).collect() }
    });
    let curves: Vec<Fall> = curves.collect();
    let told = list(plan).into_iter().map(|h| format!("{} from {}, {}", h.key, h.start, h.falls));
    let words = format!(
        "Voltage over time after switching off, with the 50 V line. {}.",
        told.collect::<Vec<_>>().join("; ")
    );
    Some(fall::draw(&Falls { seconds: curve.seconds.clone(), curves, limit: LIMIT, words }, width))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::Sheet;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::support::assert_readable;

    #[test]
    fn the_curves_of_the_example_sets_are_readable_on_desk_and_phone() {
        for example in &EXAMPLES {
            let plan = plan(&Sheet::read(example.text));
            for width in [350.0, 900.0] {
                let drawing = drawing(&plan, width).unwrap();
                assert_readable(&drawing, &format!("{} at {width}", example.id));
                assert!(drawing.labels.iter().any(|l| l.text == "50 V"));
            }
        }
    }

    #[test]
    fn what_nothing_discharges_is_told_first_and_in_words() {
        let held = list(&plan(&Sheet::read(EXAMPLES[0].text)));
        assert!(held[0].stays && held[0].falls.contains("nothing discharges it"), "{held:?}");
    }
}
