//! Carry: a set, or its buying list alone, to another device without a network.

pub mod code;
pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::{CarryList, CarrySet};
