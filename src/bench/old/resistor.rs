//! Resistors against their window, and what a drift does.

use super::{Around, Finding, Good, Limit, Slot, Typed, typed_input};
use crate::plan::check::band;
use crate::plan::resistor::ohms_text;
use crate::plan::text::{input, volts, working};
use crate::plan::types::{Basis, PlannedPart};
use crate::trade::source::Source;

const WINDOW: Source = Source::practice("a resistor outside its window is replaced");
const BESIDE: Source = Source::arithmetic(
    "1/R = 1/reading - 1/what the circuit has beside it; other paths can only lower a reading",
);

pub fn judge(planned: &PlannedPart, typed: &Typed, around: &Around) -> Option<Finding> {
    let found = typed.get(Slot::Resistance)?;
    let mark = planned.old.ohms?;
    let tolerance = planned.old.tolerance?.value;
    let (least, most) = band(mark, &tolerance);
    let shown = if found.value.is_infinite() { "OL".to_owned() } else { ohms_text(found.value) };
    let mut inputs = vec![
        typed_input("reading", found, &shown),
        input("mark", ohms_text(mark), Basis::Stated),
        input("window", format!("{} to {}", ohms_text(least), ohms_text(most)), Basis::Computed),
    ];
    let window = format!("{} to {}", ohms_text(least), ohms_text(most));
    let moves = moves(around);
    let Some(beside) = around.beside.and_then(|b| b.ohms) else {
        let is_open = found.value.is_infinite();
        let within = (least..=most).contains(&found.value);
        let good = if within { Good::Passes } else { Good::Fails };
        let sentence = match (is_open, within) {
            (true, _) => {
                let limit = typed.limit(Limit::Ohms).filter(|limit| *limit < mark);
                if let Some(limit) = limit {
                    inputs.push(input("highest resistance shown", ohms_text(limit), Basis::Stated));
                    let sentence = format!(
                        "OL on a meter that ends at {}: it cannot tell a part of {}.",
                        ohms_text(limit),
                        ohms_text(mark)
                    );
                    return Some(finding(Good::Doubtful, sentence, inputs, WINDOW));
                }
                format!("It is open; its mark is {}.{moves}", ohms_text(mark))
            }
            (false, true) => format!("{shown} is inside {window}."),
            (false, false) => format!("{shown} is outside {window}.{moves}"),
        };
        return Some(finding(good, sentence, inputs, WINDOW));
    };
    let together = |ohms: f64| 1.0 / (1.0 / ohms + 1.0 / beside);
    let (low, high) = (together(least), together(most));
    inputs.push(input("beside it in circuit", ohms_text(beside), Basis::Computed));
    let expected = format!("{} to {}", ohms_text(low), ohms_text(high));
    inputs.push(input("to be read in circuit", expected.clone(), Basis::Computed));
    // A few percent for the meter and for what is beside it.
    let (good, sentence) = if found.value > high * 1.05 {
        (
            Good::Fails,
            format!(
                "{shown} in circuit is above {expected}: other paths only lower a reading, so the \
                 part is high or open.{moves}"
            ),
        )
    } else if found.value < low * 0.95 {
        (
            Good::Doubtful,
            format!(
                "{shown} in circuit is below {expected}: it is low, or another path is. Lift one \
                 lead."
            ),
        )
    } else if beside < mark {
        (
            Good::Doubtful,
            format!(
                "{shown} in circuit agrees with {expected}, but the {} beside it hides a drift: \
                 lift one lead.",
                ohms_text(beside)
            ),
        )
    } else {
        (Good::Passes, format!("{shown} in circuit agrees with {expected}."))
    };
    Some(finding(good, sentence, inputs, BESIDE))
}

/// What its drift does to the nearest operating point.
fn moves(around: &Around) -> String {
    let told: Vec<String> = around
        .moved
        .iter()
        .take(2)
        .map(|m| format!("the {} from {} to {}", m.what, volts(m.before), volts(m.after)))
        .collect();
    if told.is_empty() {
        String::new()
    } else {
        format!(" By the circuit it takes {}.", told.join(" and "))
    }
}

fn finding(
    good: Good,
    sentence: String,
    inputs: Vec<crate::plan::types::Input>,
    source: Source,
) -> Finding {
    let rule = "the reading against the mark, less and plus its tolerance";
    let working = working("resistance", inputs, rule, sentence.clone(), source);
    Finding { good, sentence, working }
}
