//! From a sheet to its plan: what to replace and by what, what can hurt, what
//! to buy, in what order to power up.
//!
//! Pure functions: the same sheet gives the same plan.

pub mod types;
