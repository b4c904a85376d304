//! The wiring check before power: an ohmmeter round each base, and what the
//! readings that are out of their band come from.

pub mod finding;
pub mod model;
mod rows;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::{WiringChart, WiringView};

#[cfg(test)]
mod tests;
