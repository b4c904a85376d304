//! Hazards: told by words and by shape, never by colour alone.

use super::working::Workings;
use crate::plan::types::{Hazard, Plan, PlannedPart, Severity};
use crate::ui::fit::model::hazards_of;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::view::prelude::*;
use crate::ui::words;
use std::sync::Arc;

/// The shape of a severity: a filled octagon, a filled triangle, an outlined diamond.
#[component]
pub fn HazardShape(
    /// How bad it is.
    severity: Severity,
) -> impl IntoView {
    let path = match severity {
        Severity::Danger => "M7 1h10l6 6v10l-6 6H7l-6-6V7z",
        Severity::Warning => "M12 1.5 23.5 22.5H.5z",
        Severity::Caution => "M12 1.5 22.5 12 12 22.5 1.5 12z",
    };
    let class = format!("hazard-shape hazard-shape--{}", words::severity_slug(severity));
    view! {
        <svg class=class viewBox="0 0 24 24" aria-hidden="true">
            <path class="hazard-shape__body" d=path/>
            <path class="hazard-shape__mark" d="M12 8v6M12 17v1.6"/>
        </svg>
    }
}

/// All hazards of a plan, worst first.
#[component]
pub fn HazardList(
    /// The plan.
    plan: Memo<Arc<Plan>>,
    /// Whether only the titles show until one is opened.
    #[prop(optional)]
    brief: bool,
) -> impl IntoView {
    let hazards = Memo::new(move |_| plan.read().hazards.clone());
    let id = if brief { "hazards-brief" } else { "hazards" };
    view! {
        <section class="hazards" aria-labelledby=id hidden=flag(move || hazards.read().is_empty())>
            <h3 class="hazards__title" id=id>
                {piece(move || words::count(hazards.read().len(), "hazard", "hazards"))}
                " on this set"
            </h3>
            <ul class="hazards__list">
                {piece(move || hazards.get().into_iter().map(|h| one(h, brief)).collect_view())}
            </ul>
        </section>
    }
}

fn one(hazard: Hazard, brief: bool) -> AnyView {
    let class = format!("hazard hazard--{}", words::severity_slug(hazard.severity));
    let parts = hazard.parts.join(", ");
    let head = view! {
        <HazardShape severity=hazard.severity/>
        <span class="hazard__words">
            <b class="hazard__severity">{words::severity(hazard.severity)}</b>
            " "
            <b>{hazard.title}</b>
            " "
            {(!parts.is_empty()).then(|| view! { <span class="hazard__parts">{parts}</span> })}
        </span>
    };
    let body = view! {
        <p><b>"Can happen: "</b>{hazard.what_can_happen}</p>
        <p><b>"Do: "</b>{hazard.what_to_do}</p>
    };
    if brief {
        return view! {
            <li class=class data-hazard=hazard.id>
                <details class="hazard__fold">
                    <summary class="hazard__head">{head}</summary>
                    <div class="hazard__body">{body}</div>
                </details>
            </li>
        }
        .into_any();
    }
    let working = (!hazard.working.is_empty()).then(|| {
        view! {
            <details class="fold">
                <summary>"Working and source"</summary>
                <Workings workings=hazard.working/>
            </details>
        }
    });
    view! {
        <li class=class data-hazard=hazard.id>
            <p class="hazard__head">{head}</p>
            <div class="hazard__body">{body}{working}</div>
        </li>
    }
    .into_any()
}

/// The hazards by their titles alone, for screens where the parts need the
/// room; the plan tells the rest.
#[component]
pub fn HazardStrip(
    /// The plan.
    plan: Memo<Arc<Plan>>,
) -> impl IntoView {
    let hazards = Memo::new(move |_| plan.read().hazards.clone());
    let marks = move || hazards.get().into_iter().map(mark).collect_view();
    view! {
        <section
            class="hazard-strip"
            aria-label="Hazards of this set"
            hidden=flag(move || hazards.read().is_empty())
        >
            <ul class="hazard-strip__list">{piece(marks)}</ul>
        </section>
    }
}

fn mark(hazard: Hazard) -> AnyView {
    view! {
        <li class="hazard-mark" data-hazard=hazard.id>
            <HazardShape severity=hazard.severity/>
            <b>{words::severity(hazard.severity)}</b>
            " "
            {hazard.title}
        </li>
    }
    .into_any()
}

/// The hazards of one part, as small marks with words.
pub fn hazard_marks(plan: &Plan, part: &PlannedPart) -> impl IntoView + use<> {
    hazards_of(plan, part)
        .map(|hazard| {
            view! {
                <span class="hazard-mark">
                    <HazardShape severity=hazard.severity/>
                    {hazard.title.clone()}
                </span>
            }
        })
        .collect_view()
}
