//! The browser's storage as a shelf.

use crate::store::shelf::{Shelf, ShelfError};
use crate::ui::leptos::prelude::window;
use crate::ui::leptos::web_sys;
use gloo_storage::{LocalStorage, Storage};
use std::cell::Cell;
use wasm_bindgen::{JsCast, JsValue};

thread_local! {
    static IS_CLOSED: Cell<bool> = const { Cell::new(false) };
}

/// Nothing is written from now on: the app has failed, and what it holds is
/// not to be trusted.
pub fn close() {
    IS_CLOSED.set(true);
}

/// Whether nothing is written any more.
pub fn is_closed() -> bool {
    IS_CLOSED.get()
}

/// The storage of this page, looked up at every use: a browser may take it away.
#[derive(Debug, Clone, Copy)]
pub struct BrowserShelf;

impl BrowserShelf {
    /// gloo throws where there is no storage, so it is asked for first.
    fn storage() -> Result<web_sys::Storage, ShelfError> {
        match window().local_storage() {
            Ok(Some(_)) => Ok(LocalStorage::raw()),
            Ok(None) => Err(ShelfError::Absent),
            Err(_) => Err(ShelfError::Denied),
        }
    }
}

impl Shelf for BrowserShelf {
    fn get(&self, key: &str) -> Result<Option<String>, ShelfError> {
        Self::storage()?.get_item(key).map_err(|_| ShelfError::Denied)
    }

    fn set(&self, key: &str, text: &str) -> Result<(), ShelfError> {
        if is_closed() {
            return Err(ShelfError::Denied);
        }
        Self::storage()?.set_item(key, text).map_err(|error| why(&error))
    }

    fn remove(&self, key: &str) -> Result<(), ShelfError> {
        if is_closed() {
            return Err(ShelfError::Denied);
        }
        Self::storage()?.remove_item(key).map_err(|_| ShelfError::Denied)
    }

    fn keys(&self) -> Result<Vec<String>, ShelfError> {
        let storage = Self::storage()?;
        let count = storage.length().map_err(|_| ShelfError::Denied)?;
        Ok((0..count).filter_map(|at| storage.key(at).ok().flatten()).collect())
    }
}

fn why(error: &JsValue) -> ShelfError {
    let name = error.dyn_ref::<web_sys::DomException>().map(web_sys::DomException::name);
    match name.as_deref() {
        Some("SecurityError") => ShelfError::Denied,
        _ => ShelfError::Full,
    }
}
