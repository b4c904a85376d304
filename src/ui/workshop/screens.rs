//! The screens of the workshop.

use crate::bench::progress::Stage;
use crate::ui::view::prelude::*;
use crate::ui::{buy, fit, plan, power, record};

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
