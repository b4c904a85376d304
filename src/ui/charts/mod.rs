//! What the circuit says, as charts: every tube's pins, the supply, the
//! discharge, and the place of each part.
//!
//! The models beside the components turn a report into rows, words and
//! drawings, off the browser; the components lay them out.

pub mod figures;
pub mod lamp;
pub mod place;
pub mod stored;
pub mod supply;
pub mod tubes;

#[cfg(target_arch = "wasm32")]
mod screen;

#[cfg(target_arch = "wasm32")]
pub use screen::{Assumed, Fitting, PartPlace, SupplyView, Trouble, VoltagesView};
