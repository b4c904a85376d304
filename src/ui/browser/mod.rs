//! All that touches the browser itself: clock, address, files, storage.

pub mod files;
pub mod panic_page;
pub mod shelf;

use super::route::Route;
use crate::bench::stamp::Stamp;
use crate::ui::leptos::prelude::{document, window};
use crate::ui::leptos::web_sys;
use wasm_bindgen::JsCast;

/// Now.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a float to an integer saturates
pub fn now() -> Stamp {
    Stamp(js_sys::Date::now() as u64)
}

/// The minutes that local time runs ahead of UTC.
#[allow(clippy::cast_possible_truncation)] // a float to an integer saturates
pub fn ahead_minutes() -> i32 {
    -(js_sys::Date::new_0().get_timezone_offset() as i32)
}

/// The hash of the address.
pub fn hash() -> String {
    window().location().hash().unwrap_or_default()
}

/// Goes to another screen.
pub fn go(route: Route) {
    // A hash is always a legal address, so this cannot fail.
    let _ = window().location().set_hash(&route.hash());
}

/// Opens the print dialog.
pub fn print() {
    // Refused only in a sandboxed frame, where there is no paper either.
    let _ = window().print();
}

/// Moves the keyboard to an element.
pub fn focus(id: &str) {
    let found = document().get_element_by_id(id);
    if let Some(element) = found.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = element.focus();
    }
}

/// Sets an attribute on the root of the page, or takes it off.
pub fn mark(name: &str, value: Option<&str>) {
    if let Some(root) = document().document_element() {
        let _ = match value {
            Some(value) => root.set_attribute(name, value),
            None => root.remove_attribute(name),
        };
    }
}
