//! What takes longer than a moment says first that it is being worked out.

use crate::ui::kit::dynamic::piece;
use crate::ui::leptos::prelude::set_timeout;
use crate::ui::view::prelude::*;
use std::time::Duration;

/// Shows a screen. Where it is slow to make, the page first says that it is
/// working, and only when that is painted the screen is made.
pub fn patiently<V: IntoView>(is_slow: bool, view: impl Fn() -> V + 'static) -> AnyView {
    let ready = RwSignal::new(!is_slow);
    if is_slow {
        request_animation_frame(move || {
            set_timeout(move || ready.set(true), Duration::ZERO);
        });
    }
    let working = || {
        view! {
            <p class="sheet__empty" role="status" data-working="">
                "A long sheet: working this out…"
            </p>
        }
    };
    piece(move || if ready.get() { view().into_any() } else { working() })
}
