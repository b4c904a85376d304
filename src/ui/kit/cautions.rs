//! The standing cautions.

use crate::ui::view::prelude::*;
use crate::ui::words;

/// The cautions that stand on every screen that leads to work, and on paper.
#[component]
pub fn Cautions() -> impl IntoView {
    view! {
        <aside class="cautions" aria-label="Cautions">
            <ul>{words::CAUTIONS.map(|caution| view! { <li>{caution}</li> }).collect_view()}</ul>
        </aside>
    }
}
