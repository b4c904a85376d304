//! Fit: check off each part as it goes in.

#[cfg(target_arch = "wasm32")]
mod cans;
#[cfg(target_arch = "wasm32")]
mod clean;
pub mod model;
pub mod old;
pub mod photos;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
mod steps;
#[cfg(target_arch = "wasm32")]
pub use screen::FitScreen;
