//! Stock: what lies in the drawers, and what it is reserved for.

pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::StockScreen;
