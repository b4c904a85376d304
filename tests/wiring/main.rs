//! The wiring check, held against faults that are put into whole sets.

mod build;
mod inject;
mod random;
mod table;
