//! Parts: the sheet as text and as a table.

pub mod keys;
pub mod model;

#[cfg(target_arch = "wasm32")]
mod editor;
#[cfg(target_arch = "wasm32")]
mod notes;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
mod table;
#[cfg(target_arch = "wasm32")]
mod typing;
#[cfg(target_arch = "wasm32")]
pub use screen::PartsScreen;
#[cfg(target_arch = "wasm32")]
pub use table::Table;
