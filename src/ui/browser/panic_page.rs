//! The page that is left when the app has failed: it says so, offers what was
//! saved last, and a way to open the app again. It uses nothing of the app.

use super::files::address_of;
use super::shelf::{self, BrowserShelf};
use crate::store::keeper::KEY;
use crate::store::shelf::Shelf;
use crate::ui::leptos::prelude::{document, window};
use crate::ui::leptos::web_sys::{Element, Event};
use wasm_bindgen::JsValue;

/// Puts that page up at the first panic.
pub fn install() {
    std::panic::set_hook(Box::new(|info| {
        shelf::close();
        crate::ui::leptos::web_sys::console::error_1(&JsValue::from_str(&info.to_string()));
        // Nothing is left to report a second failure to.
        let _ = show(&info.to_string());
    }));
}

fn show(what: &str) -> Result<(), JsValue> {
    let body = document().body().ok_or(JsValue::NULL)?;
    let main = document().create_element("main")?;
    main.set_class_name("failure");
    main.set_attribute("data-screen", "failure")?;
    put(&main, "h1", "Firstglow has stopped")?;
    put(
        &main,
        "p",
        "Something in the app itself went wrong. What was saved before is still in this browser; \
         the last second of typing may be missing.",
    )?;
    if let Ok(Some(saved)) = BrowserShelf.get(KEY) {
        let link = put(&main, "a", "Download what was saved last")?;
        link.set_attribute("href", &address_of(&saved, "application/json")?)?;
        link.set_attribute("download", "firstglow-saved.json")?;
    }
    let here = window().location().href()?;
    let again = put(&main, "a", "Open Firstglow again")?;
    again.set_attribute("href", here.split('#').next().unwrap_or(&here))?;
    put(&main, "pre", what)?;
    body.replace_children_with_node_1(&main);
    // The page's own script looks for a later copy in the database.
    window().dispatch_event(&Event::new("firstglow-stopped")?)?;
    Ok(())
}

fn put(parent: &Element, tag: &str, text: &str) -> Result<Element, JsValue> {
    let element = document().create_element(tag)?;
    element.set_text_content(Some(text));
    parent.append_child(&element)?;
    Ok(element)
}
