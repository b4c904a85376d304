//! Photos of the set, bound to its parts and areas, with marks.

#[cfg(target_arch = "wasm32")]
mod card;
pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::PhotosView;
