//! Buy: the list of what to order, and the basket of who has it for how much.

pub mod basket;
pub mod export;
pub mod model;
pub mod question;

#[cfg(target_arch = "wasm32")]
pub mod ask;
#[cfg(target_arch = "wasm32")]
mod basket_screen;
#[cfg(target_arch = "wasm32")]
mod prices;
#[cfg(target_arch = "wasm32")]
mod screen;
#[cfg(target_arch = "wasm32")]
pub use basket_screen::BasketView;
#[cfg(target_arch = "wasm32")]
pub use screen::BuyScreen;
