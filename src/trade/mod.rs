//! Facts of the trade, each with its source.

pub mod tubes;
