//! Old parts: readings on them, and what they say.

pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::OldPartsView;
