//! Fit: check off each part as it goes in.

pub mod model;
pub mod old;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
mod steps;
#[cfg(target_arch = "wasm32")]
pub use screen::FitScreen;
