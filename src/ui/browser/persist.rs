//! Whether the browser keeps this page's data when its disk runs short.

use crate::ui::leptos::prelude::window;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// What the browser answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lasting {
    /// Not asked yet.
    #[default]
    Unasked,
    /// Asked, and the person or the browser has not answered yet.
    Asked,
    /// It keeps the data until the person clears it.
    Promised,
    /// It may clear the data when it needs room.
    NotPromised,
    /// It has no such promise to give.
    Unknown,
}

/// Asks the browser to keep this page's data, unless it does so already.
pub async fn ask() -> Lasting {
    for question in ["persisted", "persist"] {
        match answer(question).await {
            Some(true) => return Lasting::Promised,
            Some(false) => {}
            None => return Lasting::Unknown,
        }
    }
    Lasting::NotPromised
}

/// What it promised before, without asking it for more.
pub async fn standing() -> Lasting {
    match answer("persisted").await {
        Some(true) => Lasting::Promised,
        Some(false) => Lasting::Unasked,
        None => Lasting::Unknown,
    }
}

/// Calls a question of `navigator.storage`, absent on pages that were not
/// served securely.
async fn answer(question: &str) -> Option<bool> {
    let navigator: JsValue = window().navigator().into();
    let storage = js_sys::Reflect::get(&navigator, &"storage".into()).ok()?;
    let function = js_sys::Reflect::get(&storage, &question.into()).ok()?;
    let function = function.dyn_into::<js_sys::Function>().ok()?;
    let promise = function.call0(&storage).ok()?.dyn_into::<js_sys::Promise>().ok()?;
    JsFuture::from(promise).await.ok()?.as_bool()
}
