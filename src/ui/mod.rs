//! The screens: they show the plan and compute nothing.
//!
//! What a screen shows is worked out in the `model` beside it, in plain Rust
//! that is tested off the browser; the components lay it out.

pub mod buy;
pub mod carry;
pub mod charts;
pub mod draw;
pub mod fit;
pub mod leads;
pub mod long;
pub mod meet;
pub mod parts;
pub mod power;
pub mod record;
pub mod route;
pub mod safe;
pub mod set;
pub mod stock;
pub mod take;
pub mod wiring;
pub mod words;

#[cfg(target_arch = "wasm32")]
mod app;
#[cfg(target_arch = "wasm32")]
mod browser;
#[cfg(target_arch = "wasm32")]
mod home;
#[cfg(target_arch = "wasm32")]
mod intake;
#[cfg(target_arch = "wasm32")]
mod kit;
#[cfg(target_arch = "wasm32")]
mod lag;
#[cfg(target_arch = "wasm32")]
mod leptos;
#[cfg(target_arch = "wasm32")]
mod open;
#[cfg(target_arch = "wasm32")]
mod out;
#[cfg(target_arch = "wasm32")]
mod photo_files;
#[cfg(target_arch = "wasm32")]
mod plan;
#[cfg(target_arch = "wasm32")]
mod saving;
#[cfg(target_arch = "wasm32")]
mod state;
#[cfg(target_arch = "wasm32")]
mod view;
#[cfg(target_arch = "wasm32")]
mod workshop;

/// Mounts the app on the page.
#[cfg(target_arch = "wasm32")]
pub fn start() {
    browser::panic_page::install();
    view::mount_to_body(app::root);
}
