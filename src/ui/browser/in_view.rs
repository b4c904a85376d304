//! What is in view of the page, and when that changes.

use crate::ui::leptos::prelude::{StoredValue, WithValue, document, on_cleanup, window};
use crate::ui::power::dock::{InView, Place, place};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

const EVENTS: [&str; 2] = ["resize", "scroll"];

/// Where the dock stands now. A browser that does not tell what is in view has
/// it at the lower edge.
pub fn dock() -> Option<Place> {
    let seen = window().visual_viewport()?;
    let height = f64::from(document().document_element()?.client_height());
    let seen = InView {
        left: seen.offset_left(),
        top: seen.offset_top(),
        width: seen.width(),
        height: seen.height(),
    };
    Some(place(height, seen))
}

/// Does something whenever what is in view changes, for as long as its owner
/// is on the page.
pub fn on_change(act: impl Fn() + 'static) {
    let Some(seen) = window().visual_viewport() else { return };
    let heard = Closure::<dyn Fn()>::new(act);
    let function: &js_sys::Function = heard.as_ref().unchecked_ref();
    for event in EVENTS {
        // Refused only where the name is not a name.
        let _ = seen.add_event_listener_with_callback(event, function);
    }
    let kept = StoredValue::new_local((seen, heard));
    on_cleanup(move || {
        kept.try_with_value(|(seen, heard)| {
            let function: &js_sys::Function = heard.as_ref().unchecked_ref();
            for event in EVENTS {
                let _ = seen.remove_event_listener_with_callback(event, function);
            }
        });
    });
}
