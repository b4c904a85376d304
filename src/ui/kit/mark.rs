//! Small marks: decisions drawn in the line types of a drawing, how a thing is
//! known, how a reading stands.

use crate::bench::reading::{ReadingError, Verdict};
use crate::plan::types::{Basis, Decision};
use crate::ui::kit::dynamic::{piece, text};
use crate::ui::view::prelude::*;
use crate::ui::words;

/// A decision, in words and a line type.
#[component]
pub fn DecisionMark(
    /// The decision.
    decision: Decision,
) -> impl IntoView {
    let class = format!("decision decision--{}", words::decision_slug(decision));
    view! { <span class=class>{words::decision(decision)}</span> }
}

/// How something is known, unless the sheet itself says it.
#[component]
pub fn BasisMark(
    /// How.
    basis: Basis,
) -> impl IntoView {
    let class = if words::to_be_checked(basis) { "basis basis--check" } else { "basis" };
    (basis != Basis::Stated).then(|| view! { <span class=class>{words::basis(basis)}</span> })
}

/// How a reading stands, announced when it changes.
#[component]
pub fn VerdictMark(
    /// The verdict on what was typed.
    #[prop(into)]
    verdict: Signal<Result<Option<Verdict>, ReadingError>>,
) -> impl IntoView {
    let words = move || match *verdict.read() {
        Ok(Some(Verdict::Within)) => ("verdict verdict--within", "✓ within"),
        Ok(Some(Verdict::Below)) => ("verdict verdict--out", "▼ too low"),
        Ok(Some(Verdict::Above)) => ("verdict verdict--out", "▲ too high"),
        Ok(Some(Verdict::Unproven)) => ("verdict verdict--out", "? not settled"),
        Ok(Some(Verdict::Unjudged)) => ("verdict", "noted"),
        Ok(None) | Err(_) => ("verdict", ""),
    };
    view! {
        <span class=text(move || words().0) role="status" data-verdict=text(move || words().1)>
            {piece(move || words().1)}
        </span>
    }
}
