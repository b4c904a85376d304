//! The browser's databases: a store of values under names each.

use crate::ui::leptos::prelude::window;
use crate::ui::leptos::web_sys;
use thiserror::Error;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{IdbDatabase, IdbObjectStore, IdbRequest, IdbTransaction};

/// Why a database did not do as asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum DatabaseError {
    /// No room.
    #[error("its storage is full")]
    Full,
    /// No database, or it may not be used.
    #[error("it gives this page no database")]
    Denied,
}

/// What a change may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Look.
    Read,
    /// Write.
    Write,
}

/// The one store of a database; it is made where it is not there. Local files
/// may share one origin, so names of databases are distinctive.
///
/// # Errors
/// [`DatabaseError`].
pub async fn open(name: &str, store: &'static str) -> Result<IdbDatabase, DatabaseError> {
    let factory = window().indexed_db().ok().flatten().ok_or(DatabaseError::Denied)?;
    let asked = factory.open_with_u32(name, 1).map_err(|_| DatabaseError::Denied)?;
    let fresh = asked.clone();
    let upgrade = Closure::once(move || {
        let made = fresh.result().map(JsCast::unchecked_into::<IdbDatabase>);
        made.and_then(|database| database.create_object_store(store)).map(drop)
    });
    asked.set_onupgradeneeded(Some(upgrade.as_ref().unchecked_ref()));
    Ok(settled(&asked).await?.unchecked_into())
}

/// A change of a store, which lies on the disk when it is through.
///
/// # Errors
/// [`DatabaseError`] where the database was closed meanwhile.
pub fn change(
    database: &IdbDatabase,
    store: &str,
    mode: Mode,
) -> Result<(IdbTransaction, IdbObjectStore), DatabaseError> {
    let change = begin(database, store, mode).map_err(|_| DatabaseError::Denied)?;
    let store = change.object_store(store).map_err(|_| DatabaseError::Denied)?;
    Ok((change, store))
}

/// By hand: the library does not know of durability yet (Indexed Database 3.0,
/// W3C, `IDBTransactionOptions`). A browser that does not either passes it over.
fn begin(database: &IdbDatabase, store: &str, mode: Mode) -> Result<IdbTransaction, JsValue> {
    let how = js_sys::Object::new();
    js_sys::Reflect::set(&how, &"durability".into(), &"strict".into())?;
    let begin = js_sys::Reflect::get(database, &"transaction".into())?;
    let begin: js_sys::Function = begin.dyn_into()?;
    let mode = match mode {
        Mode::Read => "readonly",
        Mode::Write => "readwrite",
    };
    begin.call3(database, &store.into(), &mode.into(), &how)?.dyn_into()
}

/// Waits for what a request brings.
///
/// # Errors
/// [`DatabaseError`].
pub async fn settled(request: &IdbRequest) -> Result<JsValue, DatabaseError> {
    let done = js_sys::Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    match JsFuture::from(done).await {
        Ok(_) => request.result().map_err(|_| DatabaseError::Denied),
        Err(_) => Err(why(request.error().ok().flatten())),
    }
}

/// Waits until a change lies on the disk.
///
/// # Errors
/// [`DatabaseError`]; then nothing was changed.
pub async fn through(change: &IdbTransaction) -> Result<(), DatabaseError> {
    let done = js_sys::Promise::new(&mut |resolve, reject| {
        change.set_oncomplete(Some(&resolve));
        change.set_onabort(Some(&reject));
    });
    JsFuture::from(done).await.map(drop).map_err(|_| why(change.error()))
}

/// What the browser threw, in its kinds.
pub fn why(error: Option<web_sys::DomException>) -> DatabaseError {
    match error.map(|e| e.name()).as_deref() {
        Some("QuotaExceededError") => DatabaseError::Full,
        _ => DatabaseError::Denied,
    }
}
