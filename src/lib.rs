//! Firstglow: from a parts list to a recap plan and a first power-up.
//!
//! Data flows one way: the sheet (text) is read into parts, the parts are
//! planned, the screens show the plan. Every module but `ui` is pure Rust: no
//! browser, no clock, no storage. What leads from the sheet to the plan is the
//! package in `src`, `firstglow-plan`.

pub mod bench;
pub mod buying;
pub mod store;
pub mod ui;

pub use firstglow_plan::{circuit, float, letters, notation, order, plan, sheet, trade};
