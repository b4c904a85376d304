//! Facts of the trade, each with its source.
