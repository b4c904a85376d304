//! How a voltage may be measured: the one rule for hands and probes.
//!
//! ```
//! use firstglow::plan::hands::Probe;
//! assert_eq!(Probe::of(Some(-380.0)), Probe::ByHand);
//! assert_eq!(Probe::of(Some(620.0)), Probe::ClippedOn);
//! assert_eq!(Probe::of(Some(-1400.0)), Probe::HighVoltage);
//! assert_eq!(Probe::of(None), Probe::Never);
//! ```
//!
//! Limits: what is marked on the meter and its leads is not on the sheet; no
//! measurement is ever advised above it.

use super::charged::Charged;
use super::context::Context;
use crate::circuit::report::{AtMeter, NodeReport};
use crate::trade::limits::SHOCK_V;
use serde::Serialize;
use std::f64::consts::SQRT_2;

/// Volts above which no probe is held in the hand. Source: common practice, no
/// source.
pub const MOST_BY_HAND_V: f64 = 500.0;
/// Volts above which only a high-voltage probe is used: what meters and leads of
/// category II are marked for at most. Source: common practice, no source.
pub const MOST_WITHOUT_PROBE_V: f64 = 1000.0;

/// How a point may be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Probe {
    /// With probes in one hand, within the mark of meter and leads.
    ByHand,
    /// With clips put on while the set is unplugged and discharged.
    ClippedOn,
    /// With a high-voltage probe alone, put on in the same way.
    HighVoltage,
    /// Not at all: what stands there is not known.
    Never,
}

impl Probe {
    /// The way for a point that may have so many volts, of either sign; `None`
    /// where they are not known.
    pub fn of(volts: Option<f64>) -> Self {
        match volts.map(f64::abs) {
            None => Self::Never,
            Some(volts) if volts > MOST_WITHOUT_PROBE_V => Self::HighVoltage,
            Some(volts) if volts > MOST_BY_HAND_V => Self::ClippedOn,
            Some(_) => Self::ByHand,
        }
    }

    /// The way for a node, by the highest volts it has in any state. `high` is
    /// the high line by the nominal one.
    pub fn at(node: &NodeReport, high: f64) -> Self {
        match node.meter {
            AtMeter::Unknown => Self::Never,
            AtMeter::Alternating { rms_v } => Self::of(Some(rms_v * SQRT_2 * high)),
            AtMeter::Reference | AtMeter::Direct => {
                let states = [node.cold_v, node.low_v, node.running_v, node.high_v];
                let highest = states.into_iter().flatten().map(f64::abs).fold(0.0, f64::max);
                Self::of(Some(highest))
            }
        }
    }

    /// What to do, in words; nothing where hands may hold the probes.
    pub const fn words(self) -> Option<&'static str> {
        match self {
            Self::ByHand => None,
            Self::ClippedOn => Some("clip on with the set unplugged, hands off under power"),
            Self::HighVoltage => Some("high-voltage probe only, put on with the set unplugged"),
            Self::Never => Some("do not probe: treat it as live"),
        }
    }
}

/// The highest voltage there can be in a set: what meter, leads, probes and the
/// discharge resistor must bear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Highest {
    /// Volts, of either sign; where [`Self::is_known`] is false the most that
    /// the sheet tells, which may be passed.
    pub volts: f64,
    /// Whether every supply of the set is known.
    pub is_known: bool,
}

impl Highest {
    /// Of a set, over all supplies with no load at the high line, the peak of
    /// the line, every point and every charge.
    pub fn of(charged: &[Charged], context: &Context) -> Self {
        let supply = &context.supply;
        let of_nodes = context.circuit.nodes.iter().flat_map(|n| [n.cold_v, n.high_v]).flatten();
        let volts = of_nodes
            .chain(supply.highest_no_load_v)
            .chain(charged.iter().filter_map(|c| c.volts))
            .map(f64::abs)
            .fold(SHOCK_V.max(supply.high_v * SQRT_2), f64::max);
        let is_fed = supply.highest_no_load_v.is_some()
            || supply.off_line() && context.circuit.trouble.is_none();
        let is_known =
            is_fed && !supply.has_unknown_supply && charged.iter().all(|c| c.volts.is_some());
        Self { volts, is_known }
    }
}
