//! Safekeeping: what the browser keeps, the backups inside it, the file outside.

pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::{Reminder, Safekeeping, go_on_from, newest_backup, save_everything};
