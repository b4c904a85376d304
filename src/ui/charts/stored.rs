//! What the capacitors hold after switching off, and for how long.

use crate::circuit::report::{Curve, FallOf};
use crate::plan::charged::Charged;
use crate::plan::types::{Plan, PlannedPart};
use crate::ui::draw::Drawing;
use crate::ui::draw::fall::{self, Fall, Falls, time, together};
use std::borrow::Cow;

/// Volts below which a capacitor counts as discharged on the way.
const LIMIT: f64 = 50.0;
/// The most names at a curve.
const NAMES: usize = 3;

/// One capacitor that may hold a charge.
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

/// The capacitors of the plan's list, in its order.
pub fn list(plan: &Plan) -> Vec<Held> {
    let of = |charged: &Charged| Held {
        key: charged.key.clone(),
        start: charged.volts_words(),
        falls: charged.fall_words(),
        stays: charged.stays(),
    };
    plan.charged.iter().map(of).collect()
}

/// What to say where the list is empty: nothing known is never nothing there.
pub fn none_listed(plan: &Plan) -> &'static str {
    if plan.circuit.discharge.is_known {
        "No capacitor of this sheet is computed to hold 50 V or more. Only capacitors with two \
         places and a value are followed: measure each filter capacitor all the same."
    } else {
        "Not known. Treat every filter capacitor as charged until a meter on it reads below 10 V."
    }
}

/// What a part holds after switching off, in words.
pub fn of_part(plan: &Plan, part: &PlannedPart) -> Option<String> {
    let listed = plan.charged.iter().find(|c| c.key == part.key);
    match (listed, &part.discharge) {
        (Some(charged), _) => Some(format!("{}; {}", charged.volts_words(), charged.fall_words())),
        (None, Some(FallOf::Below)) => Some("never holds as much as 50 V".to_owned()),
        (None, Some(_)) => {
            Some(format!("too little charge to be listed, or below 50 V at once; {MEASURE}"))
        }
        (None, None) => None,
    }
}

/// Where nothing falls the course ends in milliseconds: it is drawn over an
/// hour, or a flat line would look like a moment.
fn over_an_hour<'a>(curve: &'a Curve, plan: &Plan) -> Cow<'a, Curve> {
    let stays = |key: &String| matches!(of(plan, key), Some(FallOf::Stays { .. }));
    if !curve.keys.iter().all(stays) {
        return Cow::Borrowed(curve);
    }
    let last = curve.seconds.last().copied().unwrap_or_default().max(HOUR);
    let mut longer = curve.clone();
    longer.seconds.push(last);
    for volts in &mut longer.volts {
        volts.extend(volts.last().copied());
    }
    Cow::Owned(longer)
}

const HOUR: f64 = 3600.0;
const MEASURE: &str = "measure before a hand goes in";

fn of<'a>(plan: &'a Plan, key: &str) -> Option<&'a FallOf> {
    plan.charged.iter().find(|charged| charged.key == key)?.fall.as_ref()
}

/// The curves, for a page so wide.
pub fn drawing(plan: &Plan, width: f64) -> Option<Drawing> {
    let curve = over_an_hour(plan.circuit.discharge.curve.as_ref()?, plan);
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
    let told = plan.charged.iter().map(Charged::words);
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
