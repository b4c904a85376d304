//! The words that screens and paper share.

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
    fn capital_raises_the_first_letter_only() {
        assert_eq!(capital("oil paper"), "Oil paper");
        assert_eq!(capital(""), "");
    }

    #[test]
    fn no_caution_calls_a_set_safe() {
        assert!(CAUTIONS.iter().all(|c| !c.to_lowercase().contains("safe")));
    }
}
