//! Whether the page is on its way to paper.

use crate::ui::leptos::ev;
use crate::ui::view::prelude::*;

/// Whether it is, for as long as the screen that asks is there.
pub fn printing() -> RwSignal<bool> {
    let printing = RwSignal::new(false);
    let before = window_event_listener(ev::beforeprint, move |_| printing.set(true));
    let after = window_event_listener(ev::afterprint, move |_| printing.set(false));
    on_cleanup(move || {
        before.remove();
        after.remove();
    });
    printing
}
