//! Pictures in the browser's database, and what room there is for them.

use crate::ui::leptos::prelude::{document, window};
use crate::ui::leptos::web_sys;
use thiserror::Error;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, IdbDatabase, IdbRequest, IdbTransaction, IdbTransactionMode};

/// The database; local files share one origin, so its name is distinctive.
const DATABASE: &str = "firstglow-pictures";
const STORE: &str = "pictures";
/// The longer side of a picture that is kept, pixels.
const LONGEST: f64 = 1600.0;
/// How well a JPEG is kept, from 0 to 1.
const QUALITY: f64 = 0.85;

/// Why a picture was not kept or found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PictureError {
    /// No room.
    #[error("the browser's storage is full")]
    Full,
    /// No database.
    #[error("this browser keeps no pictures for the page")]
    Denied,
    /// Not a picture.
    #[error("it is no picture that this browser can read")]
    NoPicture,
}

/// A picture scaled down.
pub struct Scaled {
    /// Its bytes, a JPEG without what a camera writes beside the picture.
    pub blob: Blob,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// Scales a picture down and upright.
///
/// # Errors
/// [`PictureError::NoPicture`].
pub async fn scaled(file: &Blob) -> Result<Scaled, PictureError> {
    draw(file).await.map_err(|_| PictureError::NoPicture)
}

async fn draw(file: &Blob) -> Result<Scaled, JsValue> {
    let bitmap = JsFuture::from(window().create_image_bitmap_with_blob(file)?).await?;
    let bitmap: web_sys::ImageBitmap = bitmap.dyn_into()?;
    let (width, height) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
    let factor = (LONGEST / width.max(height).max(1.0)).min(1.0);
    let canvas: web_sys::HtmlCanvasElement = document().create_element("canvas")?.dyn_into()?;
    canvas.set_width(pixels(width * factor));
    canvas.set_height(pixels(height * factor));
    let pen = canvas.get_context("2d")?.ok_or(JsValue::NULL)?;
    let pen: web_sys::CanvasRenderingContext2d = pen.dyn_into()?;
    let (across, down) = (f64::from(canvas.width()), f64::from(canvas.height()));
    // A JPEG has no transparency: what shows through is white, as on paper.
    pen.set_fill_style_str("white");
    pen.fill_rect(0.0, 0.0, across, down);
    pen.draw_image_with_image_bitmap_and_dw_and_dh(&bitmap, 0.0, 0.0, across, down)?;
    bitmap.close();
    let made = js_sys::Promise::new(&mut |resolve, reject| {
        let quality = JsValue::from_f64(QUALITY);
        let begun = canvas.to_blob_with_type_and_encoder_options(&resolve, "image/jpeg", &quality);
        if let Err(error) = begun {
            let _ = reject.call1(&JsValue::NULL, &error);
        }
    });
    let blob: Blob = JsFuture::from(made).await?.dyn_into()?;
    Ok(Scaled { blob, width: canvas.width(), height: canvas.height() })
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most LONGEST
fn pixels(side: f64) -> u32 {
    side.round().max(1.0) as u32
}

/// The bytes of a picture.
///
/// # Errors
/// [`PictureError::NoPicture`] where the disk does not give them.
pub async fn bytes(blob: &Blob) -> Result<Vec<u8>, PictureError> {
    let buffer = JsFuture::from(blob.array_buffer()).await.map_err(|_| PictureError::NoPicture)?;
    Ok(js_sys::Uint8Array::new(&buffer).to_vec())
}

/// Keeps a picture; when this is through it lies on the disk.
///
/// # Errors
/// [`PictureError`]; then nothing was kept.
pub async fn put(id: &str, blob: &Blob) -> Result<(), PictureError> {
    let database = database().await?;
    let change = change(&database, IdbTransactionMode::Readwrite)?;
    let store = change.object_store(STORE).map_err(|_| PictureError::Denied)?;
    let asked = store.put_with_key(blob, &JsValue::from_str(id));
    let kept = match asked {
        Ok(_) => through(&change).await,
        Err(error) => Err(why(Some(error.unchecked_into()))),
    };
    database.close();
    kept
}

/// A picture, if it is kept.
///
/// # Errors
/// [`PictureError`].
pub async fn get(id: &str) -> Result<Option<Blob>, PictureError> {
    let database = database().await?;
    let change = change(&database, IdbTransactionMode::Readonly)?;
    let store = change.object_store(STORE).map_err(|_| PictureError::Denied)?;
    let asked = store.get(&JsValue::from_str(id)).map_err(|_| PictureError::Denied)?;
    let found = settled(&asked).await;
    database.close();
    Ok(found?.dyn_into().ok())
}

/// Drops a picture. One that is not there is no error.
pub async fn remove(id: &str) {
    let Ok(database) = database().await else { return };
    if let Ok(change) = change(&database, IdbTransactionMode::Readwrite)
        && let Ok(store) = change.object_store(STORE)
        && store.delete(&JsValue::from_str(id)).is_ok()
    {
        // What cannot be dropped stays: it is only room.
        let _ = through(&change).await;
    }
    database.close();
}

async fn database() -> Result<IdbDatabase, PictureError> {
    let factory = window().indexed_db().ok().flatten().ok_or(PictureError::Denied)?;
    let asked = factory.open_with_u32(DATABASE, 1).map_err(|_| PictureError::Denied)?;
    let fresh = asked.clone();
    let upgrade = Closure::once(move || {
        let made = fresh.result().map(JsCast::unchecked_into::<IdbDatabase>);
        made.and_then(|database| database.create_object_store(STORE)).map(drop)
    });
    asked.set_onupgradeneeded(Some(upgrade.as_ref().unchecked_ref()));
    Ok(settled(&asked).await?.unchecked_into())
}

fn change(
    database: &IdbDatabase,
    mode: IdbTransactionMode,
) -> Result<IdbTransaction, PictureError> {
    database.transaction_with_str_and_mode(STORE, mode).map_err(|_| PictureError::Denied)
}

/// Waits for what a request brings.
async fn settled(request: &IdbRequest) -> Result<JsValue, PictureError> {
    let done = js_sys::Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    match JsFuture::from(done).await {
        Ok(_) => request.result().map_err(|_| PictureError::Denied),
        Err(_) => Err(why(request.error().ok().flatten())),
    }
}

/// Waits until a change lies on the disk.
async fn through(change: &IdbTransaction) -> Result<(), PictureError> {
    let done = js_sys::Promise::new(&mut |resolve, reject| {
        change.set_oncomplete(Some(&resolve));
        change.set_onabort(Some(&reject));
    });
    JsFuture::from(done).await.map(drop).map_err(|_| why(change.error()))
}

fn why(error: Option<web_sys::DomException>) -> PictureError {
    match error.map(|e| e.name()).as_deref() {
        Some("QuotaExceededError") => PictureError::Full,
        _ => PictureError::Denied,
    }
}

/// What storage the page has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Storage {
    /// Bytes used by all that the page keeps.
    pub used: f64,
    /// Bytes that it may use.
    pub of: f64,
    /// Whether the browser keeps it until the user clears it.
    pub persistent: bool,
}

/// Asks what storage there is; `None` where the browser does not say.
pub async fn storage() -> Option<Storage> {
    let manager = window().navigator().storage();
    // Absent on pages that were not served securely.
    if JsValue::from(manager.clone()).is_undefined() {
        return None;
    }
    let estimate = JsFuture::from(manager.estimate().ok()?).await.ok()?;
    let number = |name: &str| {
        js_sys::Reflect::get(&estimate, &JsValue::from_str(name)).ok().and_then(|v| v.as_f64())
    };
    let persistent = JsFuture::from(manager.persisted().ok()?).await.ok()?.is_truthy();
    Some(Storage { used: number("usage")?, of: number("quota")?, persistent })
}

/// Asks the browser to keep the page's data; its answer.
pub async fn persist() -> Option<bool> {
    let manager = window().navigator().storage();
    if JsValue::from(manager.clone()).is_undefined() {
        return None;
    }
    Some(JsFuture::from(manager.persist().ok()?).await.ok()?.is_truthy())
}
