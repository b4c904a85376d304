//! All that touches the browser itself: clock, address, files, storage.

pub mod camera;
pub mod database;
pub mod disk;
pub mod files;
pub mod in_view;
pub mod pack;
pub mod panic_page;
pub mod persist;
pub mod pictures;
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

/// A name for this page that no other page has; later ones sort after earlier ones.
pub fn page_name() -> String {
    format!("{:013}-{}", now().0, js_sys::Math::random())
}

/// The minutes that local time runs ahead of UTC.
#[allow(clippy::cast_possible_truncation)] // a float to an integer saturates
pub fn ahead_minutes() -> i32 {
    -(js_sys::Date::new_0().get_timezone_offset() as i32)
}

/// Does some work and tells the milliseconds it took, which are also left where
/// the browser's own tools look: the last measure of that name (User Timing,
/// W3C).
pub fn timed<T>(name: &str, work: impl FnOnce() -> T) -> (T, f64) {
    let Some(clock) = window().performance() else { return (work(), 0.0) };
    let start = clock.now();
    // A clock that refuses costs a figure, nothing else.
    let _ = clock.mark(name);
    let done = work();
    clock.clear_measures_with_measure_name(name);
    let _ = clock.measure_with_start_mark(name, name);
    clock.clear_marks_with_mark_name(name);
    (done, clock.now() - start)
}

/// The hash of the address.
pub fn hash() -> String {
    window().location().hash().unwrap_or_default()
}

/// The address of the app, without what stands behind its `#`.
pub fn page_address() -> String {
    let here = window().location().href().unwrap_or_default();
    here.split('#').next().unwrap_or_default().to_owned()
}

/// Goes to another screen.
pub fn go(route: Route) {
    // A hash is always a legal address, so this cannot fail.
    let _ = window().location().set_hash(&route.hash());
}

/// Goes to another screen in the place of this one: going back skips it.
pub fn replace(route: Route) {
    // A hash is always a legal address, so this cannot fail.
    let _ = window().location().replace(&route.hash());
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

/// What an attribute on the root of the page says; the page's own scripts set
/// some before the app runs.
pub fn marked(name: &str) -> Option<String> {
    document().document_element()?.get_attribute(name)
}

/// Has the page's own scripts fetch all of the app again. Should something
/// stand in the way, they send [`NOT_FETCHED`].
pub fn fetch_again() {
    if let Ok(ask) = web_sys::Event::new("firstglow-fetch-again") {
        // Where nobody listens nothing is fetched, which is seen.
        let _ = window().dispatch_event(&ask);
    }
}

/// The event that says why the app was not fetched again.
pub const NOT_FETCHED: &str = "firstglow-not-fetched";

/// The words that such an event brings.
pub fn told(event: &web_sys::Event) -> Option<String> {
    let detail = js_sys::Reflect::get(event, &"detail".into()).ok()?;
    detail.as_string().filter(|words| !words.is_empty())
}

/// Brings an element into view, below its top, and moves the keyboard there.
pub fn show(selector: &str) {
    let found = document().query_selector(selector).ok().flatten();
    if let Some(element) = found.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        element.scroll_into_view();
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
