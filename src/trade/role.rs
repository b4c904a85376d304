//! What a capacitor does in its circuit.
//!
//! The role sets the window of values, the kind of part and the rating that a
//! replacement must have.

use serde::Serialize;

/// The role of a capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// The first filter capacitor after the rectifier.
    Reservoir,
    /// A later filter capacitor, after a choke, field coil or resistor.
    Smoothing,
    /// Decouples a fed supply point.
    Decoupling,
    /// One of the two capacitors of a voltage doubler.
    Doubler,
    /// Bypasses a bias resistor in the negative supply leg; its positive goes to chassis.
    BiasBypass,
    /// Bypasses a screen grid.
    ScreenBypass,
    /// Bypasses a supply point at radio frequency.
    SupplyBypass,
    /// Bypasses the cathode of an audio stage.
    CathodeBypassAudio,
    /// Bypasses the cathode of a radio-frequency stage.
    CathodeBypassRf,
    /// A bypass whose place is not said.
    Bypass,
    /// Couples a plate to the next grid.
    Coupling,
    /// Couples a source without plate voltage to a grid.
    GridCoupling,
    /// Filters the automatic volume control.
    Avc,
    /// Filters a diode load at radio frequency.
    DiodeFilter,
    /// Shapes the tone.
    Tone,
    /// Compensates a volume control.
    VolumeCompensation,
    /// From the output plate to supply, cathode or chassis.
    PlateBypass,
    /// Across the line.
    AcrossLine,
    /// From the line to the chassis.
    LineToChassis,
    /// From the line-tied negative supply to a floating chassis.
    BMinusToChassis,
    /// Isolates the antenna from a set tied to the line.
    AntennaIsolation,
    /// Isolates the ground terminal from a set tied to the line.
    GroundIsolation,
    /// Isolates a contact, a cabinet or other metal that hands touch from a set
    /// tied to the line.
    TouchIsolation,
    /// Across the secondary of a vibrator transformer.
    Buffer,
    /// Filters the battery lead of a vibrator set.
    SparkPlate,
    /// From rectifier plate or line, suppressing modulated hum.
    RectifierRf,
    /// Across the contacts or winding of a motor.
    MotorSuppressor,
    /// Fixed part of a tuned circuit or trap.
    Tuned,
    /// Fixed padder of an oscillator.
    Padder,
    /// Oscillator grid or oscillator coupling.
    OscillatorGrid,
    /// Variable: a tuning gang, trimmer or adjustable padder.
    Tuning,
}

impl Role {
    /// Every role, in the order shown.
    pub const ALL: [Self; 31] = [
        Self::Reservoir,
        Self::Smoothing,
        Self::Decoupling,
        Self::Doubler,
        Self::BiasBypass,
        Self::ScreenBypass,
        Self::SupplyBypass,
        Self::CathodeBypassAudio,
        Self::CathodeBypassRf,
        Self::Bypass,
        Self::Coupling,
        Self::GridCoupling,
        Self::Avc,
        Self::DiodeFilter,
        Self::Tone,
        Self::VolumeCompensation,
        Self::PlateBypass,
        Self::AcrossLine,
        Self::LineToChassis,
        Self::BMinusToChassis,
        Self::AntennaIsolation,
        Self::GroundIsolation,
        Self::TouchIsolation,
        Self::Buffer,
        Self::SparkPlate,
        Self::RectifierRf,
        Self::MotorSuppressor,
        Self::Tuned,
        Self::Padder,
        Self::OscillatorGrid,
        Self::Tuning,
    ];

    /// The name that screens show and that a sheet line may carry.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Reservoir => "first filter",
            Self::Smoothing => "smoothing",
            Self::Decoupling => "decoupling",
            Self::Doubler => "doubler",
            Self::BiasBypass => "bias bypass",
            Self::ScreenBypass => "screen bypass",
            Self::SupplyBypass => "supply bypass",
            Self::CathodeBypassAudio => "cathode bypass",
            Self::CathodeBypassRf => "RF cathode bypass",
            Self::Bypass => "bypass",
            Self::Coupling => "coupling",
            Self::GridCoupling => "grid coupling",
            Self::Avc => "AVC filter",
            Self::DiodeFilter => "diode filter",
            Self::Tone => "tone",
            Self::VolumeCompensation => "volume compensation",
            Self::PlateBypass => "plate bypass",
            Self::AcrossLine => "across the line",
            Self::LineToChassis => "line-to-chassis",
            Self::BMinusToChassis => "floating chassis",
            Self::AntennaIsolation => "antenna isolation",
            Self::GroundIsolation => "ground isolation",
            Self::TouchIsolation => "touch isolation",
            Self::Buffer => "buffer",
            Self::SparkPlate => "spark plate",
            Self::RectifierRf => "rectifier RF bypass",
            Self::MotorSuppressor => "motor suppressor",
            Self::Tuned => "tuned circuit",
            Self::Padder => "padder",
            Self::OscillatorGrid => "oscillator grid",
            Self::Tuning => "tuning",
        }
    }

    /// Whether a failure there puts the line on metal that a hand may reach,
    /// or across itself.
    pub const fn is_line_place(self) -> bool {
        matches!(
            self,
            Self::AcrossLine
                | Self::LineToChassis
                | Self::BMinusToChassis
                | Self::AntennaIsolation
                | Self::GroundIsolation
                | Self::TouchIsolation
                | Self::MotorSuppressor
        )
    }
}
