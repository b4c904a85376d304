//! What a plan needs bought: for each new part, what may serve in its place.
//!
//! ```
//! use firstglow::{buying::need, plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("C7 .05 400 V paper coupling\nC8 .05 400 V paper coupling"));
//! let needs = need::of_plan(&plan, 0);
//! assert_eq!(needs.wanted[0].wanted.text(), "0.04 to 0.0625 µF, 630 V or more, film");
//! ```
//!
//! Limits: what the plan names no part for (a dry rectifier's substitute, a
//! resistance cord) is told beside the needs, not among them.

use crate::plan::types::{Arrangement, Decision, Plan, PlannedPart, Replacement};
use crate::trade::dielectric::Dielectric;
use crate::trade::kind::PartKind;
use crate::trade::quantity::{Capacitance, Power, Resistance, Voltage};
use crate::trade::safety::SafetyClass;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// What a part must be to serve.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// Capacitor or resistor.
    pub kind: PartKind,
    /// The value to fit, picofarads or ohms.
    pub value: Decimal,
    /// The least and the greatest value that serve, in the same.
    pub window: (Decimal, Decimal),
    /// The least rated voltage.
    pub rating: Option<Voltage>,
    /// Whether that is alternating.
    pub alternating: bool,
    /// The least rated power (resistors).
    pub power: Option<Power>,
    /// What the plan has it made of (capacitors).
    pub dielectric: Option<Dielectric>,
    /// The safety class of its place; nothing without one serves there.
    pub class: Option<SafetyClass>,
    /// Whether it must have no polarity.
    pub non_polarised: bool,
}

/// One need: some pieces alike for one part of one set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// Which of the sets asked about.
    pub set: usize,
    /// The key of the part on its sheet.
    pub part: String,
    /// Which of the needs of that part, from 0.
    pub nth: usize,
    /// How many pieces, all of one line.
    pub pieces: u32,
    /// What may serve.
    pub wanted: Wanted,
}

/// The needs of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Needs {
    /// What can be bought by value and rating.
    pub wanted: Vec<Need>,
    /// The keys of parts that are replaced by what the plan only describes.
    pub by_hand: Vec<String>,
}

/// The needs of a plan, in the order of its parts.
pub fn of_plan(plan: &Plan, set: usize) -> Needs {
    let mut needs = Needs::default();
    let replaced = plan
        .parts
        .iter()
        .filter(|p| matches!(p.decision, Decision::Replace | Decision::Substitute));
    for part in replaced {
        match &part.replacement {
            Some(new) => of_part(&mut needs.wanted, part, new, set),
            None => needs.by_hand.push(part.key.clone()),
        }
    }
    needs
}

fn of_part(needs: &mut Vec<Need>, part: &PlannedPart, new: &Replacement, set: usize) {
    let before = needs.len();
    let mut push = |pieces: u32, wanted: Wanted| {
        let nth = needs.len() - before;
        needs.push(Need { set, part: part.key.clone(), nth, pieces, wanted });
    };
    let (least, most) = (new.window.0.picofarads(), new.window.1.picofarads());
    match &new.arrangement {
        Arrangement::Single => push(1, capacitor(new, new.value, (least, most), new.rating)),
        Arrangement::TwoInSeries { each, each_rating, balance, balance_power } => {
            // Two equal ones in series are worth half of one.
            let window = (double(least), double(most));
            push(2, capacitor(new, *each, window, *each_rating));
            push(2, balancing(*balance, *balance_power));
        }
        Arrangement::TwoInParallel { first, second } => {
            // Each may take half of what the sum may be off.
            let sum = sum(*first, *second);
            for each in [*first, *second] {
                let value = each.picofarads();
                let window = (shifted(value, least, sum), shifted(value, most, sum));
                push(1, capacitor(new, each, window, new.rating));
            }
        }
    }
}

fn capacitor(
    new: &Replacement,
    value: Capacitance,
    window: (Decimal, Decimal),
    rating: Voltage,
) -> Wanted {
    Wanted {
        kind: PartKind::Capacitor,
        value: value.picofarads(),
        window,
        rating: Some(rating),
        alternating: new.rating_ac,
        power: None,
        dielectric: Some(new.dielectric),
        class: new.class,
        non_polarised: new.is_non_polarised(),
    }
}

/// How far a balancing resistor may lie from its value, percent: the two of a
/// pair come from one line, so they are alike. Source: common practice, no
/// source.
const BALANCE_PERCENT: i64 = 20;

fn balancing(value: Resistance, power: Power) -> Wanted {
    let ohms = value.ohms();
    let part = |percent: i64| ohms.checked_mul(Decimal::new(percent, 2)).unwrap_or(ohms);
    Wanted {
        kind: PartKind::Resistor,
        value: ohms,
        window: (part(100 - BALANCE_PERCENT), part(100 + BALANCE_PERCENT)),
        rating: None,
        alternating: false,
        power: Some(power),
        dielectric: None,
        class: None,
        non_polarised: false,
    }
}

fn double(value: Decimal) -> Decimal {
    value.checked_mul(Decimal::TWO).unwrap_or(value)
}

fn sum(first: Capacitance, second: Capacitance) -> Decimal {
    first.picofarads().checked_add(second.picofarads()).unwrap_or(Decimal::MAX)
}

/// A value moved by half of the way from the sum to a bound.
fn shifted(value: Decimal, bound: Decimal, sum: Decimal) -> Decimal {
    let half = bound.checked_sub(sum).and_then(|d| d.checked_div(Decimal::TWO));
    half.and_then(|half| value.checked_add(half)).unwrap_or(value).max(Decimal::ZERO)
}

impl Wanted {
    /// In one line: `0.04 to 0.0625 µF, 630 V or more, film`.
    pub fn text(&self) -> String {
        let mut words = vec![self.window_text()];
        if let Some(rating) = self.rating {
            let ac = if self.alternating { " AC" } else { "" };
            words.push(format!("{rating}{ac} or more"));
        }
        words.extend(self.power.map(|power| format!("{power} or more")));
        words.push(self.sort_text());
        words.join(", ")
    }

    /// `0.04 to 0.0625 µF`.
    pub fn window_text(&self) -> String {
        let (least, most) = (self.shown(self.window.0), self.shown(self.window.1));
        if least == most {
            return least;
        }
        // The unit stands once where both bounds have it.
        match (least.split_once(' '), most.split_once(' ')) {
            (Some((number, unit)), Some((_, other))) if unit == other => {
                format!("{number} to {most}")
            }
            _ => format!("{least} to {most}"),
        }
    }

    /// What sort of part it is: `film`, `class X2`, `resistor`.
    pub fn sort_text(&self) -> String {
        match (self.class, self.dielectric) {
            (Some(class), _) => format!("marked class {}", class.label()),
            (None, Some(Dielectric::Polypropylene)) => "film".to_owned(),
            (None, Some(_)) if self.non_polarised => "non-polarised".to_owned(),
            (None, Some(dielectric)) => dielectric.label().to_owned(),
            (None, None) => "resistor".to_owned(),
        }
    }

    /// How far a value lies from the one to fit: the larger over the smaller.
    pub fn far(&self, value: Decimal) -> f64 {
        let ratio = value.checked_div(self.value).and_then(|r| r.to_f64()).unwrap_or(f64::INFINITY);
        if ratio < 1.0 { 1.0 / ratio } else { ratio }
    }

    /// A value with its unit, at most four figures long.
    pub fn shown(&self, value: Decimal) -> String {
        let round = value.round_sf(4).unwrap_or(value).normalize();
        match self.kind {
            PartKind::Resistor => Resistance::new(round).map(|r| r.to_string()),
            _ => Capacitance::new(round.max(Decimal::new(1, 2))).map(|c| c.to_string()),
        }
        .unwrap_or_else(|_| round.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    fn needs(text: &str) -> Vec<(String, u32, String)> {
        let needs = of_plan(&plan(&Sheet::read(text)), 0);
        needs.wanted.into_iter().map(|n| (n.part, n.pieces, n.wanted.text())).collect()
    }

    #[test]
    fn needs_say_what_may_serve() {
        let text = "mains 117 V 60 Hz\nsupply series-string\n\
                    C1 40 mfd 150 V electrolytic 1st filter\n\
                    C2 .05 mfd 400 V paper across line\n\
                    C3 250 mmf 500 V mica\nR1 470K";
        let found = needs(text);
        assert_eq!(found[0].2, "36 to 50 µF, 200 V or more, electrolytic");
        assert_eq!(found[1].2, "0.025 to 0.0625 µF, 250 V AC or more, marked class X2");
        assert_eq!(found.len(), 2, "what stays is not bought: {found:?}");
    }

    #[test]
    fn a_series_pair_needs_two_alike_and_their_resistors() {
        let text = "mains 117 V\nsupply transformer full-wave 900 V CT\n\
                    C1 16 mfd 600 V electrolytic 2nd filter";
        let found = needs(text);
        assert_eq!(found.iter().map(|n| n.1).collect::<Vec<_>>(), [2, 2]);
        assert!(found[0].2.ends_with("450 V or more, electrolytic"), "{found:?}");
        assert_eq!(found[1].2, "800 kΩ to 1.2 MΩ, 1 W or more, resistor");
    }
}
