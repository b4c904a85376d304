//! From the text of a sheet to its plan: what is worked out anew at every
//! keystroke.
//!
//! A package of its own, so that it is compiled for speed and everything else
//! for size. All of it is reached by `firstglow`, which is the package above.

pub mod circuit;
pub mod float;
pub mod letters;
pub mod notation;
pub mod order;
pub mod plan;
pub mod sheet;
pub mod trade;
