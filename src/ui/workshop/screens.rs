//! The screens of the workshop.

use crate::bench::progress::Stage;
use crate::ui::route::Route;
use crate::ui::view::prelude::*;
use crate::ui::{buy, carry, fit, home, meet, parts, plan, power, record, safe, stock, take};

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
    /// The parts as a table.
    Table,
}

/// That.
pub fn extra(extra: Extra) -> AnyView {
    match extra {
        Extra::Take => view! { <take::TakeScreen/> },
        Extra::CarrySet => view! { <carry::CarrySet/> },
        Extra::Safekeeping => view! { <safe::Safekeeping/> },
        Extra::Table => view! { <parts::Table/> },
        Extra::Lists => view! { <home::Lists/> },
    }
}

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
