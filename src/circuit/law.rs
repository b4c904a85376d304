//! How a tube or a diode passes current: one formula with its slopes.
//!
//! Purpose: give Newton's method the currents of a device and their exact
//! derivatives, smooth (C1) everywhere, so that a bad first guess still leads
//! home.
//!
//! ```
//! use firstglow::circuit::law::{Law, Triode};
//!
//! // A medium-mu triode: mu 20, 9 mA at 250 V and -8 V.
//! let law = Law::Triode(Triode { perveance: 0.761e-3, mu: 20.0, offset: 0.69, grid_onset: -0.7 });
//! let flow = law.flow([250.0, -8.0, 0.0]);
//! assert!((flow.amps[0] - 9.0e-3).abs() < 0.1e-3);
//! ```
//!
//! The law of tubes: `I = G (Vg1 + V0 + Vg2/mu2 + Vp/mu)^1.5`, the three-halves
//! power law (Child, Langmuir; any handbook of tubes). `V0` gathers contact
//! potential and initial velocity; without it the law cannot meet a published
//! current and a published slope together.
//!
//! Limits: a pentode's share between plate and screen is fixed above the knee
//! and falls off below it; secondary emission of tetrodes (the dip), emission
//! limits and the foot of a remote cutoff grid are not modelled. Below cutoff
//! the current of a real tube fades more slowly than here.

/// Half-width of the rounding at cutoff, in grid volts. Own choice: wide
/// enough for Newton, narrow enough to pass under 1 µA through 1 mA/V^1.5 at
/// 0.2 V below cutoff.
const CUTOFF_ROUNDING: f64 = 0.05;

/// Plate or screen volts over which an electrode comes to take its share; below
/// zero it takes nothing. Own choice: far under any working voltage.
const PICKUP_VOLTS: f64 = 5.0;

/// Grid current at its onset voltage, and volts per e-fold. With an onset of
/// -0.7 V a 10 MΩ leak settles at -0.7 V, 1 MΩ at -0.5 V: the usual range of
/// grid-leak bias (from memory of tube handbooks; e-fold is kT/e of an oxide
/// cathode near 1100 K).
const GRID_ONSET_AMPS: f64 = 70e-9;
const GRID_EFOLD_VOLTS: f64 = 0.1;
/// E-folds above onset at which grid current goes on in a straight line.
const GRID_EFOLDS: f64 = 7.0;

/// The leak from every electrode to its cathode, siemens: far below any socket's, and
/// equal to what circuit simulators add. It keeps a node met by a cut-off tube
/// alone defined.
pub const LEAK_SIEMENS: f64 = 1e-12;

/// Currents into up to three electrodes and their slopes.
///
/// The electrodes are plate, control grid, screen, in this order; all voltages
/// are taken against the cathode, out of which the sum of the currents flows.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flow {
    /// Amperes into plate, grid and screen.
    pub amps: [f64; 3],
    /// `slope[i][j]`: siemens, current into electrode `i` by voltage `j`.
    pub slope: [[f64; 3]; 3],
}

/// A triode unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triode {
    /// `G` in A/V^1.5, above zero.
    pub perveance: f64,
    /// Amplification factor, above zero.
    pub mu: f64,
    /// `V0` in volts.
    pub offset: f64,
    /// Grid volts at which 70 nA of grid current flow: about -0.7 for heated
    /// cathodes, 0 for battery filaments.
    pub grid_onset: f64,
}

/// A pentode, beam tube, tetrode or converter unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pentode {
    /// `G` of the cathode current in A/V^1.5, above zero.
    pub perveance: f64,
    /// Grid-to-screen amplification factor.
    pub screen_mu: f64,
    /// Grid-to-plate amplification factor: gm times rp.
    pub mu: f64,
    /// `V0` in volts.
    pub offset: f64,
    /// The part of the cathode current that the plate takes above the knee.
    pub plate_share: f64,
    /// Plate volts of the knee.
    pub knee_volts: f64,
    /// As for a triode.
    pub grid_onset: f64,
}

/// A device's law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Law {
    /// A vacuum rectifier: `I = k V^1.5`, k in A/V^1.5.
    Vacuum {
        /// `k` in A/V^1.5.
        perveance: f64,
    },
    /// Nothing up to a threshold, then a straight line: silicon, selenium, gas
    /// rectifiers, and a regulator tube that is lit.
    Threshold {
        /// Volts at which the line begins.
        volts: f64,
        /// Ohms of the line.
        ohms: f64,
    },
    /// A small detector diode: current from about -0.7 V on.
    Detector {
        /// Volts at which 70 nA flow.
        onset: f64,
    },
    /// A triode unit.
    Triode(Triode),
    /// A pentode unit.
    Pentode(Pentode),
    /// Does not conduct: a cold tube, or a regulator that is not lit.
    Off,
}

/// Volts and ohms of a silicon rectifier: 0.7 V at 0.1 A to 1 V at 1 A (from
/// memory of 1 A rectifiers' data).
pub const SILICON: Law = Law::Threshold { volts: 0.67, ohms: 0.3 };

impl Law {
    /// A selenium stack with a drop of `volts` at its rated `amps`; half of the
    /// drop is taken as threshold, half as resistance (common practice, no
    /// source).
    pub fn selenium(volts: f64, amps: f64) -> Self {
        Self::Threshold { volts: 0.5 * volts, ohms: 0.5 * volts / amps }
    }

    /// A vacuum rectifier with a published drop of `volts` at `amps`.
    pub fn rectifier(volts: f64, amps: f64) -> Self {
        Self::Vacuum { perveance: amps / volts.powf(1.5) }
    }

    /// Volts across a diode that passes `amps` in the forward direction; zero
    /// for laws with more electrodes or none.
    pub fn drop_volts(&self, amps: f64) -> f64 {
        match *self {
            Self::Vacuum { perveance } => (amps.max(0.0) / perveance).powf(2.0 / 3.0),
            Self::Threshold { volts, ohms } => volts + amps.max(0.0) * ohms,
            _ => 0.0,
        }
    }

    /// How many electrodes beside the cathode the law drives: 1, 2 or 3.
    pub const fn electrodes(&self) -> usize {
        match self {
            Self::Triode(_) => 2,
            Self::Pentode(_) => 3,
            _ => 1,
        }
    }

    /// Currents and slopes at the voltages of plate, grid and screen against
    /// the cathode. Unused voltages are ignored.
    pub fn flow(&self, volts: [f64; 3]) -> Flow {
        let [plate, grid, screen] = volts;
        let mut flow = match *self {
            Self::Vacuum { perveance } => diode(three_halves(plate, perveance)),
            Self::Threshold { volts, ohms } => {
                let (ramp, slope) = ramp(plate - volts, rounding(volts));
                diode((ramp / ohms, slope / ohms))
            }
            Self::Detector { onset } => diode(onset_current(plate, onset)),
            Self::Triode(law) => law.flow(plate, grid),
            Self::Pentode(law) => law.flow(plate, grid, screen),
            Self::Off => Flow::default(),
        };
        for (electrode, volts) in volts.into_iter().enumerate().take(self.electrodes()) {
            flow.amps[electrode] += LEAK_SIEMENS * volts;
            flow.slope[electrode][electrode] += LEAK_SIEMENS;
        }
        flow
    }
}

impl Triode {
    fn flow(&self, plate: f64, grid: f64) -> Flow {
        let (drive, by_sum) = rounded_three_halves(grid + self.offset + plate / self.mu);
        let (share, share_slope) = step(plate / PICKUP_VOLTS);
        let g = self.perveance;
        let (grid_amps, grid_slope) = onset_current(grid, self.grid_onset);
        let mut flow = Flow::default();
        flow.amps[0] = g * drive * share;
        flow.slope[0][0] = g * (by_sum / self.mu * share + drive * share_slope / PICKUP_VOLTS);
        flow.slope[0][1] = g * by_sum * share;
        flow.amps[1] = grid_amps;
        flow.slope[1][1] = grid_slope;
        flow
    }
}

impl Pentode {
    fn flow(&self, plate: f64, grid: f64, screen: f64) -> Flow {
        let sum = grid + self.offset + screen / self.screen_mu + plate / self.mu;
        let (drive, by_sum) = rounded_three_halves(sum);
        let (knee, knee_slope) = knee(plate / self.knee_volts);
        let (pickup, pickup_slope) = step(screen / PICKUP_VOLTS);
        let g = self.perveance;
        let share = self.plate_share * knee;
        let share_slope = self.plate_share * knee_slope / self.knee_volts;
        let by = [by_sum / self.mu, by_sum, by_sum / self.screen_mu];
        let (grid_amps, grid_slope) = onset_current(grid, self.grid_onset);
        let amps = [g * drive * share, grid_amps, g * drive * (1.0 - share) * pickup];
        let mut flow = Flow { amps, ..Flow::default() };
        for (j, by) in by.iter().enumerate() {
            flow.slope[0][j] = g * by * share;
            flow.slope[2][j] = g * by * (1.0 - share) * pickup;
        }
        flow.slope[0][0] += g * drive * share_slope;
        flow.slope[2][0] -= g * drive * share_slope * pickup;
        flow.slope[2][2] += g * drive * (1.0 - share) * pickup_slope / PICKUP_VOLTS;
        flow.slope[1][1] = grid_slope;
        flow
    }
}

/// A plate current with its slope as a one-electrode flow.
fn diode((amps, slope): (f64, f64)) -> Flow {
    let mut flow = Flow::default();
    flow.amps[0] = amps;
    flow.slope[0][0] = slope;
    flow
}

/// `k v^1.5` above zero, nothing below, with its slope.
pub(crate) fn three_halves(volts: f64, perveance: f64) -> (f64, f64) {
    let root = volts.max(0.0).sqrt();
    (perveance * volts.max(0.0) * root, 1.5 * perveance * root)
}

/// The rounded positive part of `sum`, to the power 1.5, and its slope.
fn rounded_three_halves(sum: f64) -> (f64, f64) {
    let length = (sum * sum + CUTOFF_ROUNDING * CUTOFF_ROUNDING).sqrt();
    // The plain difference would cancel far below cutoff.
    let positive = if sum > 0.0 {
        0.5 * (sum + length)
    } else {
        0.5 * CUTOFF_ROUNDING * CUTOFF_ROUNDING / (length - sum)
    };
    let root = positive.sqrt();
    (positive * root, 1.5 * root * positive / length)
}

/// Volts over which a threshold's foot is rounded. Own choice: a fifth of it,
/// narrow beside any drop that is told.
pub(crate) fn rounding(threshold: f64) -> f64 {
    (0.2 * threshold.abs()).clamp(1e-3, 0.1)
}

/// A straight line from zero on, rounded by a parabola over `width`.
pub(crate) fn ramp(x: f64, width: f64) -> (f64, f64) {
    if x <= 0.0 {
        (0.0, 0.0)
    } else if x < width {
        (0.5 * x * x / width, x / width)
    } else {
        (x - 0.5 * width, 1.0)
    }
}

/// A step from 0 at 0 to 1 at 1, without corners.
fn step(x: f64) -> (f64, f64) {
    let x = x.clamp(0.0, 1.0);
    (x * x * (3.0 - 2.0 * x), 6.0 * x * (1.0 - x))
}

/// The share of the plate below the knee: parabola to 1 at 1, rounded at 0.
fn knee(x: f64) -> (f64, f64) {
    const ROUNDING: f64 = 0.04;
    let (x, inner) = ramp(x, ROUNDING);
    let rest = (1.0 - x).max(0.0);
    (1.0 - rest * rest, 2.0 * rest * inner)
}

/// Current of a small electrode in the retarding field, straight from
/// [`GRID_EFOLDS`] above its onset on.
fn onset_current(volts: f64, onset: f64) -> (f64, f64) {
    let folds = (volts - onset) / GRID_EFOLD_VOLTS;
    let amps = GRID_ONSET_AMPS * folds.min(GRID_EFOLDS).exp();
    let beyond = (folds - GRID_EFOLDS).max(0.0);
    (amps * (1.0 + beyond), amps / GRID_EFOLD_VOLTS)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laws() -> Vec<Law> {
        vec![
            Law::rectifier(50.0, 0.125),
            SILICON,
            Law::selenium(8.0, 0.065),
            Law::Detector { onset: -0.7 },
            Law::Triode(Triode { perveance: 1e-3, mu: 100.0, offset: 0.6, grid_onset: -0.7 }),
            Law::Pentode(Pentode {
                perveance: 0.7e-3,
                screen_mu: 9.0,
                mu: 200.0,
                offset: 0.6,
                plate_share: 0.9,
                knee_volts: 50.0,
                grid_onset: -0.7,
            }),
            Law::Off,
        ]
    }

    #[test]
    fn slopes_equal_differences_everywhere() {
        // Not zero itself: a rectifier's slope rises there as a root does.
        let steps = [-40.0, -3.0, -0.71, -0.3, 0.01, 0.053, 0.62, 1.9, 7.0, 49.0, 120.0, 300.0];
        for law in laws() {
            for plate in steps {
                for grid in [-60.0, -8.0, -2.6, -0.65, 0.3] {
                    for screen in [-5.0, 0.7, 3.0, 100.0] {
                        check_slopes(&law, [plate, grid, screen]);
                    }
                }
            }
        }
    }

    fn check_slopes(law: &Law, volts: [f64; 3]) {
        let flow = law.flow(volts);
        for j in 0..law.electrodes() {
            let h = 1e-6;
            let (mut up, mut down) = (volts, volts);
            up[j] += h;
            down[j] -= h;
            let (up, down) = (law.flow(up), law.flow(down));
            for i in 0..law.electrodes() {
                let difference = (up.amps[i] - down.amps[i]) / (2.0 * h);
                let error = (difference - flow.slope[i][j]).abs();
                let scale = flow.slope[i][j].abs() + flow.amps[i].abs() + 1e-9;
                assert!(error < 1e-4 * scale, "{law:?} at {volts:?}: {i} by {j}: {error}");
            }
        }
    }

    #[test]
    fn nothing_flows_against_the_plate() {
        for law in laws() {
            let amps = law.flow([-100.0, 1.0, 100.0]).amps[0];
            assert!(amps.abs() <= 1.001e-10, "{law:?}: {amps}");
        }
    }

    #[test]
    fn a_grid_leak_settles_between_half_a_volt_and_one() {
        let law = Law::Triode(Triode { perveance: 1e-3, mu: 100.0, offset: 0.6, grid_onset: -0.7 });
        for ohms in [1e6, 2.2e6, 10e6] {
            let (mut low, mut high) = (-2.0, 0.0);
            for _ in 0..60 {
                let volts = 0.5 * (low + high);
                let current = law.flow([100.0, volts, 0.0]).amps[1];
                if current * ohms > -volts {
                    high = volts;
                } else {
                    low = volts;
                }
            }
            assert!((-1.0..=-0.45).contains(&low), "{ohms}: {low}");
        }
    }
}
