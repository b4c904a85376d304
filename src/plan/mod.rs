//! From a sheet to its plan: what to replace and by what, what can hurt, what
//! to buy, in what order to power up.
//!
//! Pure functions: the same sheet gives the same plan.
//!
//! ```
//! use firstglow::{plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::default());
//! assert!(plan.parts.is_empty());
//! assert!(!plan.power_up.is_empty());
//! ```
//!
//! Limits: no circuit is solved here; stress is the no-load peak of the supply
//! as the sheet describes it. A part's replacement follows from its own line,
//! from the places it is wired to, and from the supply: never from its
//! neighbours.

pub mod dielectric;
pub mod places;
pub mod refusal;
pub mod role;
pub mod supply;
#[cfg(test)]
pub(crate) mod support;
pub mod text;
pub mod types;
pub mod value;
