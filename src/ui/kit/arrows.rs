//! The arrow keys, for screens that go from one thing to the next.

use crate::ui::leptos::ev;
use crate::ui::leptos::web_sys::Element;
use crate::ui::view::prelude::*;
use wasm_bindgen::JsCast;

/// Goes on with the right arrow and back with the left, wherever the keyboard
/// is but in a field, for as long as the screen is there.
pub fn arrows(go: impl Fn(isize) + 'static) {
    let listener = window_event_listener(ev::keydown, move |e| {
        let by = match e.key().as_str() {
            "ArrowRight" => 1,
            "ArrowLeft" => -1,
            _ => return,
        };
        let at = e.target().and_then(|t| t.dyn_into::<Element>().ok());
        let field =
            at.is_some_and(|t| matches!(t.tag_name().as_str(), "INPUT" | "SELECT" | "TEXTAREA"));
        if !(field || e.ctrl_key() || e.alt_key() || e.meta_key() || e.shift_key()) {
            e.prevent_default();
            go(by);
        }
    });
    on_cleanup(move || listener.remove());
}
