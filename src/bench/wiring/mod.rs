//! The wiring check before power: readings with an ohmmeter, held against what
//! a sound set reads, and the faults that explain those that are not.
//!
//! ```
//! use firstglow::bench::wiring::{Taken, Value, check};
//! use firstglow::circuit::fault::{Kind, Spot, Table};
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//!
//! let sheet = Sheet::read("V1 6J5 3=pl 5=gr 8=k\nR1 1K k to chassis\nR2 470K gr to chassis");
//! let table = Table::of(&sheet, &Wiring::of(&sheet)).unwrap();
//! let cathode = table.probes.iter().position(|p| p.place == Spot::Pin(0, 8)).unwrap();
//! let found = check(&table, &[Taken { probe: cathode, value: Value::Ohms(2200.0) }]);
//! let first = &table.faults[found.candidates[0].faults[0]];
//! assert_eq!((first.part, first.kind()), (1, Kind::Drifted));
//! ```
//!
//! Limits: one fault at a time. Where none explains every reading it is said
//! which readings are left; two faults at once are found one after the other.

pub mod meter;
mod next;
mod rank;

pub use meter::{Ohmmeter, band};
pub use next::Next;
pub use rank::{Candidate, Check, Taken, Value, check, check_with};
