//! At the swap meet: what lies on the table, judged at once.

pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use screen::MeetScreen;
