//! Pictures in the browser's database, and what room there is for them.

use super::database::{self, DatabaseError, Mode, change, settled, through};
use crate::ui::leptos::prelude::{document, window};
use crate::ui::leptos::web_sys;
use thiserror::Error;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Blob;

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

impl From<DatabaseError> for PictureError {
    fn from(error: DatabaseError) -> Self {
        match error {
            DatabaseError::Full => Self::Full,
            DatabaseError::Denied => Self::Denied,
        }
    }
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
    let database = database::open(DATABASE, STORE).await?;
    let (change, store) = change(&database, STORE, Mode::Write)?;
    let asked = store.put_with_key(blob, &JsValue::from_str(id));
    let kept = match asked {
        Ok(_) => through(&change).await,
        Err(error) => Err(database::why(error.dyn_into().ok())),
    };
    database.close();
    Ok(kept?)
}

/// A picture, if it is kept.
///
/// # Errors
/// [`PictureError`].
pub async fn get(id: &str) -> Result<Option<Blob>, PictureError> {
    let database = database::open(DATABASE, STORE).await?;
    let (_, store) = change(&database, STORE, Mode::Read)?;
    let asked = store.get(&JsValue::from_str(id)).map_err(|_| PictureError::Denied)?;
    let found = settled(&asked).await;
    database.close();
    Ok(found?.dyn_into().ok())
}

/// Drops a picture. One that is not there is no error.
pub async fn remove(id: &str) {
    let Ok(database) = database::open(DATABASE, STORE).await else { return };
    if let Ok((change, store)) = change(&database, STORE, Mode::Write)
        && store.delete(&JsValue::from_str(id)).is_ok()
    {
        // What cannot be dropped stays: it is only room.
        let _ = through(&change).await;
    }
    database.close();
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
