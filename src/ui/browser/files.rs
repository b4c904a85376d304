//! Files out and in, and the clipboard.

use crate::ui::leptos::prelude::{document, window};
use crate::ui::leptos::web_sys;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// A file larger than this is not read at all.
pub const MAX_FILE_BYTES: f64 = 64.0 * 1024.0 * 1024.0;

/// An address under which the browser holds `text` as a file.
///
/// # Errors
/// What the browser threw.
pub fn address_of(text: &str, mime: &str) -> Result<String, JsValue> {
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(mime);
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let blob = web_sys::Blob::new_with_str_sequence_and_options(&parts, &options)?;
    web_sys::Url::create_object_url_with_blob(&blob)
}

/// Hands the user a file. Says whether the browser took it.
pub fn download(name: &str, mime: &str, text: &str) -> bool {
    address_of(text, mime).and_then(|address| click_through(name, &address)).is_ok()
}

/// The same with a file that is made already.
pub fn hand_over(name: &str, blob: &web_sys::Blob) -> bool {
    let address = web_sys::Url::create_object_url_with_blob(blob);
    address.and_then(|address| click_through(name, &address)).is_ok()
}

fn click_through(name: &str, address: &str) -> Result<(), JsValue> {
    let link: web_sys::HtmlAnchorElement = document().create_element("a")?.unchecked_into();
    link.set_href(address);
    link.set_download(name);
    link.click();
    web_sys::Url::revoke_object_url(address)
}

/// Puts text on the clipboard. Says whether the browser let it.
pub async fn copy(text: String) -> bool {
    let clipboard = window().navigator().clipboard();
    // Absent on pages that were not served securely.
    if JsValue::from(clipboard.clone()).is_undefined() {
        return false;
    }
    JsFuture::from(clipboard.write_text(&text)).await.is_ok()
}

/// The bytes of a file, or `None` where it cannot be read.
pub async fn bytes(file: &web_sys::File) -> Option<Vec<u8>> {
    let buffer = JsFuture::from(file.array_buffer()).await.ok()?;
    Some(js_sys::Uint8Array::new(&buffer).to_vec())
}

/// Hands a file to the system's share sheet. `None` where there is none, or
/// none for files; else whether it was passed on.
pub async fn share(name: &str, text: &str) -> Option<bool> {
    let navigator = window().navigator();
    let missing = |name: &str| !js_sys::Reflect::has(&navigator, &name.into()).unwrap_or(false);
    if missing("share") || missing("canShare") {
        return None;
    }
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    // Plain text: few systems share a file of any other kind.
    let options = web_sys::FilePropertyBag::new();
    options.set_type("text/plain");
    let file = web_sys::File::new_with_str_sequence_and_options(&parts, name, &options).ok()?;
    let what = web_sys::ShareData::new();
    what.set_files(&js_sys::Array::of1(&file));
    if !navigator.can_share_with_data(&what) {
        return None;
    }
    Some(JsFuture::from(navigator.share_with_data(&what)).await.is_ok())
}
