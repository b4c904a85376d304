//! Stored energy: what the list of charged capacitors can do to a hand.

use crate::plan::charged::Charged;
use crate::plan::hands::MOST_BY_HAND_V;
use crate::plan::text::{figure, input, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Hazard, Input, Severity};
use crate::trade::source::Source;

/// From here up, joules, it is a danger, not a warning. Source: common practice,
/// no source.
const DANGER_J: f64 = 0.5;

const ENERGY: Source = Source::arithmetic("E = ½·C·V², charge left after switching off");

/// The hazard of stored energy.
pub fn hazard(charged: &[Charged]) -> Option<Hazard> {
    if charged.is_empty() {
        return None;
    }
    let highest = charged.iter().filter_map(Charged::most_v).fold(0.0, f64::max);
    let is_known = charged.iter().all(Charged::is_known);
    let joules: Option<f64> = charged.iter().map(Charged::joules).sum();
    let farads: f64 = charged.iter().map(|c| c.farads).sum();
    let inputs = vec![
        input("capacitance in all", Told::Figure(farads * 1e6, "µF"), Basis::Computed),
        highest_input(highest, is_known),
    ];
    let result =
        joules.map_or_else(|| "not known".to_owned(), |j| format!("{} J in all", figure(j)));
    let each = working("stored energy", inputs, "½·C·V² of each, added", result, ENERGY);
    let how_much = match joules {
        Some(j) if is_known => format!("{} J at up to {}", figure(j), volts(highest)),
        // A mark is what a part bears, not what is on it.
        Some(j) => format!(
            "a charge that is not known ({} J, at up to {}, if none has more than its mark or what \
             is computed)",
            figure(j),
            volts(highest)
        ),
        None => "a charge that is not known".to_owned(),
    };
    let is_danger = !is_known || joules.is_none_or(|j| j >= DANGER_J) || highest > MOST_BY_HAND_V;
    Some(Hazard {
        id: "stored-energy".to_owned(),
        title: "Charge that stays after the plug is pulled".to_owned(),
        severity: if is_danger { Severity::Danger } else { Severity::Warning },
        what_can_happen: format!(
            "The capacitors listed may hold {how_much} with the plug out, for hours where nothing \
             discharges them or a resistor is open. That can stop a heart, or make you jerk your \
             hand into something worse."
        ),
        what_to_do:
            "Discharge each across its own leads through the resistor of the last steps of \
                     the power-up, never with a screwdriver. Measure below 10 V before a hand goes \
                     in. Measure again after five minutes: some of the charge comes back."
                .to_owned(),
        parts: charged.iter().map(|c| c.key.clone()).collect(),
        working: vec![each],
    })
}

/// The highest voltage, or the most of those that are known.
fn highest_input(highest: f64, is_known: bool) -> Input {
    let told = match highest {
        v if is_known => volts(v),
        v if v > 0.0 => format!("not known, {} at least", volts(v)).into(),
        _ => "not known".into(),
    };
    input("highest voltage", told, if is_known { Basis::Computed } else { Basis::Assumed })
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{capacitor, series_string, transformer};
    use crate::plan::types::Severity;

    #[test]
    fn filters_are_listed_with_their_joules_and_bypasses_are_not() {
        let plan = plan(&transformer(
            "700",
            vec![
                capacitor("C1", "16", "450"),
                capacitor("C2", "25", "25"),
                capacitor("C3", "0.05", "400"),
            ],
        ));
        let hazard = plan.hazards.iter().find(|h| h.id == "stored-energy").unwrap();
        assert_eq!(hazard.severity, Severity::Danger);
        assert_eq!(hazard.parts, ["C1"]);
        // 16 µF at 529 V.
        assert_eq!(hazard.working[0].result, "2.24 J in all");
    }

    #[test]
    fn a_set_without_large_capacitors_has_no_such_hazard() {
        let plan = plan(&series_string(vec![capacitor("C3", "0.05", "400")]));
        assert!(plan.hazards.iter().all(|h| h.id != "stored-energy"));
    }
}
