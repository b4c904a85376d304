//! Take in: what another device sent, read from a link, codes or a file, and
//! merged with what is here.

#[cfg(target_arch = "wasm32")]
mod merge;
pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::TakeScreen;
