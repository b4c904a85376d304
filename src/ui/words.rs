//! The words that screens and paper share.

use crate::bench::fitting::PartState;
use crate::letters::upper;
use crate::plan::types::{Basis, Decision, Phase, Severity};
use std::iter;

/// A decision as a verb.
pub const fn decision(decision: Decision) -> &'static str {
    match decision {
        Decision::Replace => "Replace",
        Decision::Substitute => "Substitute",
        Decision::Test => "Test",
        Decision::Clean => "Clean",
        Decision::Keep => "Keep",
    }
}

/// Every decision, in the order shown.
pub const DECISIONS: [Decision; 5] =
    [Decision::Replace, Decision::Substitute, Decision::Test, Decision::Clean, Decision::Keep];

/// A decision as a name for `data-*` and styles.
pub const fn decision_slug(decision: Decision) -> &'static str {
    match decision {
        Decision::Replace => "replace",
        Decision::Substitute => "substitute",
        Decision::Test => "test",
        Decision::Clean => "clean",
        Decision::Keep => "keep",
    }
}

/// The work on a part, before it is done: `Fit C20A`.
pub fn ask(decision: Decision, key: &str) -> String {
    let verb = match decision {
        Decision::Replace | Decision::Substitute => "Fit",
        Decision::Test => "Test",
        Decision::Clean => "Clean",
        Decision::Keep => "Inspect",
    };
    format!("{verb} {key}")
}

/// The same once it is ticked, with the day: `C20A fitted, Nov 29, 2026`. What
/// measures out of its limits is said to.
pub fn ticked(decision: Decision, key: &str, state: PartState, day: &str) -> String {
    let done = match decision {
        Decision::Replace | Decision::Substitute => "fitted",
        Decision::Test => "tested",
        Decision::Clean => "cleaned",
        Decision::Keep => "inspected",
    };
    let but = match state {
        PartState::Failing => ": out of its limits, not good",
        PartState::Unclear => ": what it measures cannot be judged",
        PartState::Open | PartState::Done => "",
    };
    format!("{key} {done}, {day}{but}")
}

/// What is said once the work on a part is done.
pub const fn done(decision: Decision) -> &'static str {
    match decision {
        Decision::Replace | Decision::Substitute => "Fitted",
        Decision::Test => "Tested, stays",
        Decision::Clean => "Cleaned",
        Decision::Keep => "Looked at",
    }
}

/// How bad a hazard is.
pub const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "Danger",
        Severity::Warning => "Warning",
        Severity::Caution => "Caution",
    }
}

/// The same for `data-*` and styles.
pub const fn severity_slug(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "danger",
        Severity::Warning => "warning",
        Severity::Caution => "caution",
    }
}

/// How something is known.
pub const fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Stated => "stated",
        Basis::Placed => "by its leads",
        Basis::Inferred => "inferred",
        Basis::Assumed => "assumed",
        Basis::Computed => "computed",
    }
}

/// Whether something known that way is to be checked.
pub const fn to_be_checked(basis: Basis) -> bool {
    matches!(basis, Basis::Inferred | Basis::Assumed)
}

/// A phase of the power-up.
pub const fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::BeforePower => "Before power, unplugged",
        Phase::SetUp => "Set up",
        Phase::Stages => "Raise the line in stages",
        Phase::FullLine => "At full line",
        Phase::SwitchOff => "Switch off and discharge",
    }
}

/// `1 part`, `2 parts`.
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A word with its first letter raised.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| iter::once(upper(c)).chain(chars).collect())
}

/// The standing cautions, on every screen and sheet of paper that leads to work.
pub const CAUTIONS: [&str; 3] = [
    "Tube sets hold voltages that kill, also unplugged. Discharge, then measure, before hands go in.",
    "What is shown here follows from what was typed. It does not replace your own judgment at the bench.",
    "Local electrical codes and licensed practice come first. If you are not sure, stop and ask someone who is.",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_told_in_plain_english() {
        assert_eq!(count(1, "part", "parts"), "1 part");
        assert_eq!(count(0, "part", "parts"), "0 parts");
    }

    #[test]
    fn a_box_that_is_not_ticked_asks_and_one_that_is_tells() {
        for (decision, before, after) in [
            (Decision::Replace, "Fit C7", "C7 fitted, Nov 29, 2026"),
            (Decision::Substitute, "Fit C7", "C7 fitted, Nov 29, 2026"),
            (Decision::Test, "Test C7", "C7 tested, Nov 29, 2026"),
            (Decision::Clean, "Clean C7", "C7 cleaned, Nov 29, 2026"),
            (Decision::Keep, "Inspect C7", "C7 inspected, Nov 29, 2026"),
        ] {
            assert_eq!(ask(decision, "C7"), before);
            assert_eq!(ticked(decision, "C7", PartState::Done, "Nov 29, 2026"), after);
            let failing = ticked(decision, "C7", PartState::Failing, "Nov 29, 2026");
            assert!(failing.ends_with("not good"), "{failing}");
        }
    }

    #[test]
    fn capital_raises_the_first_letter_only() {
        assert_eq!(capital("oil paper"), "Oil paper");
        assert_eq!(capital(""), "");
    }

    #[test]
    fn no_caution_calls_a_set_safe() {
        assert!(CAUTIONS.iter().all(|c| !c.to_lowercase().contains("safe")));
    }
}
