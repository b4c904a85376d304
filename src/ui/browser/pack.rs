//! Compressing and unpacking, as the browser does it.

use crate::ui::leptos::prelude::window;
use crate::ui::leptos::web_sys;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{ReadableStreamDefaultReader, ReadableWritablePair};

/// Why bytes were not unpacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unpacking {
    /// This browser cannot.
    Unable,
    /// They are not what was packed.
    Damaged,
    /// They unpack to more than is allowed.
    TooLarge,
}

/// A stream of the browser's that compresses or unpacks (RFC 1951), where it
/// has one.
fn stream(class: &str) -> Option<ReadableWritablePair> {
    let class = js_sys::Reflect::get(&window(), &class.into()).ok()?;
    let class = class.dyn_into::<js_sys::Function>().ok()?;
    let stream = js_sys::Reflect::construct(&class, &js_sys::Array::of1(&"deflate-raw".into()));
    Some(stream.ok()?.unchecked_into())
}

/// The bytes compressed, or `None` where the browser cannot.
pub async fn compress(bytes: &[u8]) -> Option<Vec<u8>> {
    through(bytes, &stream("CompressionStream")?, usize::MAX).await.ok()
}

/// Compressed bytes unpacked, up to `most` of them.
///
/// # Errors
/// [`Unpacking`]; no more than `most` bytes are ever held.
pub async fn unpack(bytes: &[u8], most: usize) -> Result<Vec<u8>, Unpacking> {
    let stream = stream("DecompressionStream").ok_or(Unpacking::Unable)?;
    through(bytes, &stream, most).await
}

async fn through(
    bytes: &[u8],
    stream: &ReadableWritablePair,
    most: usize,
) -> Result<Vec<u8>, Unpacking> {
    let damaged = |_: JsValue| Unpacking::Damaged;
    let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
    let blob = web_sys::Blob::new_with_u8_array_sequence(&parts).map_err(damaged)?;
    let out = blob.stream().pipe_through(stream);
    let reader: ReadableStreamDefaultReader = out.get_reader().unchecked_into();
    let mut all = Vec::new();
    loop {
        let step = JsFuture::from(reader.read()).await.map_err(damaged)?;
        let value = js_sys::Reflect::get(&step, &"value".into()).map_err(damaged)?;
        let Ok(chunk) = value.dyn_into::<js_sys::Uint8Array>() else { return Ok(all) };
        if all.len() + chunk.length() as usize > most {
            // What still streams is no longer wanted.
            drop(reader.cancel());
            return Err(Unpacking::TooLarge);
        }
        all.extend(chunk.to_vec());
    }
}
