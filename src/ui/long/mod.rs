//! Long lists: only the rows in view are on the page.
//!
//! Plan, table, checklists and every other list that can have a thousand rows
//! take theirs from `LongRows`. Paper has all of them.

pub mod find;
pub mod heights;

#[cfg(target_arch = "wasm32")]
mod go_to;
#[cfg(target_arch = "wasm32")]
mod opened;
#[cfg(target_arch = "wasm32")]
mod rows;

#[cfg(target_arch = "wasm32")]
pub use go_to::GoTo;
#[cfg(target_arch = "wasm32")]
pub use opened::Opened;
#[cfg(target_arch = "wasm32")]
pub use rows::{Gap, LongRows};
