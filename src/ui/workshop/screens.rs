//! The screens of the workshop.

use crate::bench::progress::Stage;
use crate::ui::view::prelude::*;
use crate::ui::{buy, carry, fit, home, plan, power, record, safe, take};

/// What else is in the workshop, beside the screens of stages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extra {
    /// What another device sent.
    Take,
    /// The set, to another device.
    CarrySet,
    /// What the browser keeps, and the backups in it.
    Safekeeping,
    /// Buying lists that were carried here.
    Lists,
}

/// That.
pub fn extra(extra: Extra) -> AnyView {
    match extra {
        Extra::Take => view! { <take::TakeScreen/> },
        Extra::CarrySet => view! { <carry::CarrySet/> },
        Extra::Safekeeping => view! { <safe::Safekeeping/> },
        Extra::Lists => view! { <home::Lists/> },
    }
}

/// The screen of a stage; the set and its parts have theirs in the first piece.
pub fn screen(stage: Stage) -> AnyView {
    match stage {
        Stage::Set | Stage::Parts => ().into_any(),
        Stage::Plan => view! { <plan::PlanScreen/> },
        Stage::Buy => view! { <buy::BuyScreen/> },
        Stage::Fit => view! { <fit::FitScreen/> },
        Stage::Power => view! { <power::PowerScreen/> },
        Stage::Record => view! { <record::RecordScreen/> },
    }
}
