//! Firstglow: from a parts list to a recap plan and a first power-up.
//!
//! Data flows one way: the sheet (text) is read into parts, the parts are
//! planned, the screens show the plan. Every module but `ui` is pure Rust: no
//! browser, no clock, no storage.

pub mod bench;
pub mod buying;
pub mod circuit;
mod float;
mod letters;
pub mod notation;
mod order;
pub mod plan;
pub mod sheet;
pub mod store;
pub mod trade;

pub mod ui;
