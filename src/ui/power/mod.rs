//! Power up: the steps in their order, the holds, the readings, and the way out.

pub mod dock;
#[cfg(target_arch = "wasm32")]
mod lamp;
pub mod model;
#[cfg(target_arch = "wasm32")]
mod reason;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
mod step;
#[cfg(target_arch = "wasm32")]
mod stop;
#[cfg(target_arch = "wasm32")]
mod stopped;
pub mod told;

#[cfg(target_arch = "wasm32")]
pub use screen::PowerScreen;
