//! Leads: a card for each part, with the place of each of its leads.

pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::LeadsView;
