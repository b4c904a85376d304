//! Power up: the steps in their order, the holds, the readings, and the way out.

#[cfg(target_arch = "wasm32")]
mod lamp;
pub mod model;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
mod step;
#[cfg(target_arch = "wasm32")]
mod stop;

#[cfg(target_arch = "wasm32")]
pub use screen::PowerScreen;
