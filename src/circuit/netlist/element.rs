//! What lies between nodes, and which values it may have.
//!
//! Purpose: the kinds of elements, and the checks that name the element whose
//! value no part can have.
//!
//! Example: see [`super::Netlist`].
//!
//! Limits: values are checked one by one; whether a circuit makes sense is the
//! solver's to say.

use super::NodeId;
use crate::circuit::law::Law;

/// What lies between nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Element {
    /// A resistor.
    Resistor {
        /// One end.
        a: NodeId,
        /// The other.
        b: NodeId,
        /// Ohms, zero or more.
        ohms: f64,
    },
    /// A coil or winding by its resistance.
    Coil {
        /// One end.
        a: NodeId,
        /// The other.
        b: NodeId,
        /// Ohms, zero or more.
        ohms: f64,
    },
    /// A capacitor, open at DC.
    Capacitor {
        /// One end; the positive one of a polarised part.
        a: NodeId,
        /// The other.
        b: NodeId,
        /// Farads, above zero.
        farads: f64,
    },
    /// A source of fixed voltage.
    VoltageSource {
        /// The end that is higher by `volts`.
        plus: NodeId,
        /// The other.
        minus: NodeId,
        /// Volts, of either sign.
        volts: f64,
    },
    /// A source of fixed current.
    CurrentSource {
        /// Where the current is taken from.
        from: NodeId,
        /// Where it is led to.
        to: NodeId,
        /// Amperes, of either sign.
        amps: f64,
    },
    /// A tube unit or diode.
    Device {
        /// Plate or anode.
        plate: NodeId,
        /// Control grid; ignored by laws without one.
        grid: NodeId,
        /// Screen; ignored by laws without one.
        screen: NodeId,
        /// Cathode, or filament end.
        cathode: NodeId,
        /// How it conducts.
        law: Law,
    },
}

/// The nodes of a device; those it has not are left at ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terminals {
    /// Plate or anode.
    pub plate: NodeId,
    /// Control grid.
    pub grid: NodeId,
    /// Screen.
    pub screen: NodeId,
    /// Cathode.
    pub cathode: NodeId,
}

impl Terminals {
    /// A diode's two.
    pub const fn diode(plate: NodeId, cathode: NodeId) -> Self {
        Self { plate, grid: NodeId::GROUND, screen: NodeId::GROUND, cathode }
    }

    /// A triode's three.
    pub const fn triode(plate: NodeId, grid: NodeId, cathode: NodeId) -> Self {
        Self { plate, grid, screen: NodeId::GROUND, cathode }
    }
}

/// What is wrong with an element, by its name.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetlistError {
    /// A resistance below zero or not a number.
    #[error("{element}: the resistance must be zero or more, not {ohms} ohms")]
    Resistance {
        /// The element.
        element: String,
        /// What it was given.
        ohms: f64,
    },
    /// A capacitance of zero, below zero, or not a number.
    #[error("{element}: the capacitance must be above zero, not {farads} F")]
    Capacitance {
        /// The element.
        element: String,
        /// What it was given.
        farads: f64,
    },
    /// A source whose value is not a finite number.
    #[error("{element}: the source needs a finite value, not {value}")]
    Source {
        /// The element.
        element: String,
        /// What it was given.
        value: f64,
    },
    /// A law with a constant that is not a finite number above zero.
    #[error("{element}: the law's constants must be finite, and above zero where they divide")]
    Law {
        /// The element.
        element: String,
    },
}

pub(super) fn check_ohms(name: &str, ohms: f64) -> Result<(), NetlistError> {
    if ohms >= 0.0 && ohms.is_finite() {
        Ok(())
    } else {
        Err(NetlistError::Resistance { element: name.to_owned(), ohms })
    }
}

pub(super) fn check_source(name: &str, value: f64) -> Result<(), NetlistError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(NetlistError::Source { element: name.to_owned(), value })
    }
}

pub(super) fn usable(law: &Law) -> bool {
    let above_zero = |values: &[f64]| values.iter().all(|value| *value > 0.0 && value.is_finite());
    match law {
        Law::Vacuum { perveance } => above_zero(&[*perveance]),
        Law::Threshold { volts, ohms } => volts.is_finite() && above_zero(&[*ohms]),
        Law::Detector { onset } => onset.is_finite(),
        Law::Triode(law) => {
            above_zero(&[law.perveance, law.mu])
                && law.offset.is_finite()
                && law.grid_onset.is_finite()
        }
        Law::Pentode(law) => {
            above_zero(&[law.perveance, law.mu, law.screen_mu, law.plate_share, law.knee_volts])
                && law.offset.is_finite()
                && law.grid_onset.is_finite()
        }
        Law::Off => true,
    }
}
