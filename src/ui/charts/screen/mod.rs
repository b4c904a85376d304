//! The charts on the page.

mod notes;
mod place;
mod supply;
mod tube;
mod voltages;

pub use notes::{Assumed, Trouble};
pub use place::PartPlace;
pub use supply::SupplyView;
pub use voltages::VoltagesView;

use crate::ui::draw::{Drawing, Picture};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// The width of a drawing on a desk and on paper, and on a phone.
const WIDTHS: (f64, f64) = (1150.0, 350.0);

/// A drawing that is laid out twice, for a wide page and for a narrow one; the
/// style sheet shows the one that fits.
#[component]
pub fn Fitting(
    /// Lays it out for a width.
    #[prop(into)]
    drawing: Callback<f64, Option<Drawing>>,
) -> impl IntoView {
    let at = move |width: f64| Memo::new(move |_| drawing.run(width).map(Arc::new));
    let (wide, narrow) = (at(WIDTHS.0), at(WIDTHS.1));
    view! {
        <div class="fitting fitting--wide"><Picture drawing=wide/></div>
        <div class="fitting fitting--narrow"><Picture drawing=narrow/></div>
    }
}
