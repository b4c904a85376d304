//! The circuit behind the parts: what volts and currents a set has.
//!
//! Purpose: electrical computation alone. Nodes and elements by number, laws
//! of tubes fitted from published operation, a DC solver, the supply on its
//! cycle average, discharge, the series lamp and the meter's loading. It knows
//! the trade's facts and nothing of text, replacement or screens.
//!
//! ```
//! use firstglow::circuit::netlist::{Netlist, NodeId};
//! use firstglow::circuit::solver::{Options, solve};
//!
//! // 250 V over 100 k and 150 k to ground.
//! let mut net = Netlist::new();
//! let (supply, tap) = (net.node("B+"), net.node("screen"));
//! net.source("V", supply, NodeId::GROUND, 250.0)?;
//! net.resistor("R1", supply, tap, 100e3)?;
//! net.resistor("R2", tap, NodeId::GROUND, 150e3)?;
//! let solution = solve(&net, &Options::default())?;
//! assert!((solution.volts(tap) - 150.0).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Limits: direct current and cycle averages; no signals, no frequency
//! response. Everything is `f64` in SI units; no clock, no randomness.

pub mod alternating;
pub mod beside;
pub mod charge;
pub mod discharge;
pub mod drift;
pub mod fault;
pub mod feed;
pub mod fit;
pub mod ladder;
pub mod lamp;
pub mod law;
pub mod limiter;
pub mod line_tie;
pub mod meter;
pub mod model;
pub mod netlist;
pub mod points;
pub mod report;
pub mod roles;
pub mod solver;
pub mod state;
pub mod supply;
pub mod union_find;
pub mod wiring;
