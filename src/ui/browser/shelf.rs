//! The browser's storage as a shelf.

use crate::store::shelf::{Shelf, ShelfError};
use crate::ui::leptos::prelude::window;
use crate::ui::leptos::web_sys;
use gloo_storage::{LocalStorage, Storage};
use wasm_bindgen::{JsCast, JsValue};

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
        Self::storage()?.set_item(key, text).map_err(|error| why(&error))
    }

    fn remove(&self, key: &str) -> Result<(), ShelfError> {
        Self::storage()?.remove_item(key).map_err(|_| ShelfError::Denied)
    }
}

fn why(error: &JsValue) -> ShelfError {
    let name = error.dyn_ref::<web_sys::DomException>().map(web_sys::DomException::name);
    match name.as_deref() {
        Some("SecurityError") => ShelfError::Denied,
        _ => ShelfError::Full,
    }
}
