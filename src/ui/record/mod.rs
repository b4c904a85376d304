//! Record: the paper that stays with the set.

pub mod bench_rows;
pub mod model;
pub mod paper;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
mod sheets;
pub mod stop_rows;

#[cfg(target_arch = "wasm32")]
pub use screen::RecordScreen;
