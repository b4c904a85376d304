//! The screens of the workshop.

use crate::bench::progress::Stage;
use crate::ui::route::Route;
use crate::ui::view::prelude::*;
use crate::ui::{buy, fit, meet, plan, power, record, stock};

/// The screen of an address; the bench, the set and its parts have theirs in
/// the first piece.
pub fn screen(route: Route) -> AnyView {
    match route {
        Route::Stock => return view! { <stock::StockScreen/> },
        Route::SwapMeet => return view! { <meet::MeetScreen/> },
        _ => {}
    }
    match route.stage() {
        None | Some(Stage::Set | Stage::Parts) => ().into_any(),
        Some(Stage::Plan) => view! { <plan::PlanScreen/> },
        Some(Stage::Buy) => view! { <buy::BuyScreen/> },
        Some(Stage::Fit) => view! { <fit::FitScreen/> },
        Some(Stage::Power) => view! { <power::PowerScreen/> },
        Some(Stage::Record) => view! { <record::RecordScreen/> },
    }
}
