//! What could injure someone or spoil a set, kind by kind: sheets of our own,
//! each with what must hold, and properties over random sheets.
//!
//! Beside each check against the outside stands its source.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

#[path = "../support/chance.rs"]
mod chance;
#[path = "../support/mod.rs"]
mod support;

mod buffers;
mod charged;
mod classes;
mod half_typed;
mod line_resistors;
mod polarity;
mod ratings;
mod readings;
mod supplies;
mod turned;
mod typed;
mod unplaced;
mod unread;
