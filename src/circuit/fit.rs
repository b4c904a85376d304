//! Constants of a tube's law from its published operation.
//!
//! Purpose: perveance, screen mu and offset such that the published point is
//! met with its published slope; and the error that is left at every point.
//!
//! ```
//! use firstglow::circuit::fit::{Method, fit};
//! use firstglow::trade::tubes::find;
//!
//! let tube = find("6V6GT").unwrap().tube;
//! let fit = fit(tube, &tube.units()[0])?;
//! assert_eq!(fit.method, Method::Slope);
//! // Fitted at 250 V; the published 180 V point follows within 5 %.
//! assert!(fit.points[1].plate.abs() < 0.05 && !fit.points[1].used);
//! # Ok::<(), firstglow::circuit::fit::FitError>(())
//! ```
//!
//! Limits: remote cutoff tubes are met near their published bias alone; at
//! bias that automatic volume control adds, a real one passes more than the
//! law says, whose cutoff is told by [`Fit::cutoff_volts`]. A converter is
//! taken at the mean of its oscillating state. A beam tube's screen takes less
//! as its plate rises above it: there the law tells up to twice the screen
//! current. Figures of oscillator anodes and
//! indicator targets are those of one point, taken as a diode.

use super::law::{Law, Pentode, Triode};
use crate::trade::tubes::{Drop, OperatingPoint, TubeType, Unit, UnitKind};

/// Offset in volts of a heated cathode where the published figures do not tell
/// it: about the median of the triodes fitted with their slopes (0.56 for
/// 12AT7, 0.63 for 12AX7, 0.69 for 6J5, 0.73 for 6SQ7; own arithmetic).
const HEATED_OFFSET: f64 = 0.6;
/// Onset of grid current, volts: heated cathodes, and filaments whose volts
/// are told from the negative end (from memory of grid-leak bias in each).
const HEATED_ONSET: f64 = -0.7;
const FILAMENT_ONSET: f64 = 0.0;
/// Knee of a pentode as a part of its published screen volts (from memory of
/// published plate families).
const KNEE_BY_SCREEN: f64 = 0.2;
/// Ohms of a gas rectifier above its constant drop (own choice).
const GAS_OHMS: f64 = 10.0;
/// Plate mu of a pentode whose plate resistance is not published.
const UNTOLD_MU: f64 = 1000.0;
/// How far a mean mu may lie from the published one (12AU7: 17 at 250 V, 19.5 at
/// 100 V, from memory of its data).
const MU_DRIFT: f64 = 0.2;
/// A held-out point beyond this error makes the fit take it in.
const GOOD: f64 = 0.10;

/// Where the constants come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// One point with its transconductance (and a pentode's usual offset).
    Slope,
    /// Two points (at two screen voltages for a pentode).
    TwoPoints,
    /// One point with its transconductance and a second point, by a mu between
    /// theirs: a triode's mu is not quite constant.
    MeanMu,
    /// One point and the published cutoff.
    Cutoff,
    /// One point, mu and the usual offset.
    UsualOffset,
    /// The published drop.
    Drop,
    /// No figure of its own: a small diode, alike in all types.
    Alike,
}

/// How a published point is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointError {
    /// The point.
    pub point: OperatingPoint,
    /// The law's plate current by the published one, less 1.
    pub plate: f64,
    /// The same of the screen current.
    pub screen: Option<f64>,
    /// Whether the constants were taken from it.
    pub used: bool,
}

/// A law with what vouches for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The law.
    pub law: Law,
    /// Where its constants come from.
    pub method: Method,
    /// All published points.
    pub points: Vec<PointError>,
}

impl Fit {
    /// The largest error of plate current at points that were not used;
    /// `None` when there was none.
    pub fn held_out_error(&self) -> Option<f64> {
        self.points
            .iter()
            .filter(|point| !point.used)
            .map(|point| point.plate.abs())
            .reduce(f64::max)
    }

    /// Grid volts at which the law ends the current at the first published
    /// plate and screen volts.
    pub fn cutoff_volts(&self) -> Option<f64> {
        let point = self.points.first()?.point;
        match self.law {
            Law::Triode(law) => Some(-law.offset - point.plate_volts / law.mu),
            Law::Pentode(law) => {
                let screen = point.screen_volts.unwrap_or(point.plate_volts);
                Some(-law.offset - screen / law.screen_mu - point.plate_volts / law.mu)
            }
            _ => None,
        }
    }

    fn worst(&self) -> f64 {
        self.points.iter().map(|point| point.plate.abs()).fold(0.0, f64::max)
    }
}

/// What a type lacks.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// No published point.
    #[error("{tube}: give a working point: plate volts, grid volts, plate mA")]
    NoPoint {
        /// The type.
        tube: String,
    },
    /// A triode without mu.
    #[error("{tube}: give mu, or gm and rp")]
    NoMu {
        /// The type.
        tube: String,
    },
    /// A pentode whose screen's part nothing tells.
    #[error("{tube}: give gm, a second point at another screen voltage, or the cutoff")]
    NoScreenMu {
        /// The type.
        tube: String,
    },
    /// A rectifier or regulator without its figures.
    #[error("{tube}: give the drop: volts at so many mA")]
    NoDrop {
        /// The type.
        tube: String,
    },
    /// Figures that no tube can have together.
    #[error("{tube}: the figures contradict each other; look at bias, mu and gm of the point")]
    Contradiction {
        /// The type.
        tube: String,
    },
}

/// Finds the law of one unit of a type.
///
/// # Errors
/// Names the type and the figure that is missing or impossible.
pub fn fit(tube: &TubeType, unit: &Unit) -> Result<Fit, FitError> {
    let name = || tube.name.clone().into_owned();
    let plain = |law, method| Ok(Fit { law, method, points: Vec::new() });
    let by_point = |figure: Option<(f64, f64)>| {
        let (volts, ma) = figure.ok_or_else(|| FitError::NoDrop { tube: name() })?;
        plain(Law::rectifier(volts, ma * 1e-3), Method::Drop)
    };
    match unit.kind {
        UnitKind::Triode => amplifier(tube, triode_ways),
        UnitKind::Pentode | UnitKind::Converter => amplifier(tube, pentode_ways),
        UnitKind::Diode => plain(Law::Detector { onset: onset(tube) }, Method::Alike),
        UnitKind::Target => by_point(tube.target),
        UnitKind::OscillatorAnode => by_point(tube.oscillator_anode),
        UnitKind::Rectifier => match tube.rectifier.map(|figures| figures.drop) {
            Some(Drop::Vacuum { volts, ma }) => {
                plain(Law::rectifier(volts, ma * 1e-3), Method::Drop)
            }
            Some(Drop::Gas { volts }) => {
                plain(Law::Threshold { volts, ohms: GAS_OHMS }, Method::Drop)
            }
            None => Err(FitError::NoDrop { tube: name() }),
        },
        UnitKind::Regulator => {
            let figures = tube.regulator.ok_or_else(|| FitError::NoDrop { tube: name() })?;
            let middle = 0.5e-3 * (figures.min_ma + figures.max_ma);
            let ohms = figures.ohms.max(1.0);
            plain(Law::Threshold { volts: figures.volts - middle * ohms, ohms }, Method::Drop)
        }
    }
}

/// A way to constants: the law, its name, and which points it used.
type Way = (Law, Method, Vec<usize>);

/// Takes the first way that meets all held-out points, else the best.
fn amplifier(
    tube: &TubeType,
    ways: fn(&TubeType) -> Result<Vec<Way>, FitError>,
) -> Result<Fit, FitError> {
    if tube.points.is_empty() {
        return Err(FitError::NoPoint { tube: tube.name.clone().into_owned() });
    }
    let fits: Vec<Fit> = ways(tube)?.into_iter().map(|way| judge(tube, way)).collect();
    let good = fits.iter().find(|fit| fit.worst() <= GOOD);
    let best = || fits.iter().min_by(|a, b| a.worst().total_cmp(&b.worst()));
    good.or_else(best)
        .cloned()
        .ok_or_else(|| FitError::Contradiction { tube: tube.name.clone().into_owned() })
}

fn judge(tube: &TubeType, (law, method, used): Way) -> Fit {
    let points = tube.points.iter().enumerate().map(|(at, point)| {
        let flow =
            law.flow([point.plate_volts, point.grid_volts, point.screen_volts.unwrap_or(0.0)]);
        PointError {
            point: *point,
            plate: flow.amps[0] * 1e3 / point.plate_ma - 1.0,
            screen: point.screen_ma.map(|ma| flow.amps[2] * 1e3 / ma - 1.0),
            used: used.contains(&at),
        }
    });
    Fit { law, method, points: points.collect() }
}

fn onset(tube: &TubeType) -> f64 {
    if tube.directly_heated() { FILAMENT_ONSET } else { HEATED_ONSET }
}

fn usual_offset(tube: &TubeType) -> f64 {
    if tube.directly_heated() { 0.0 } else { HEATED_OFFSET }
}

/// `V1.5` of a sum, the current's form; sums below zero pass nothing.
fn power(sum: f64) -> f64 {
    sum.max(0.0).powf(1.5)
}

fn sound(values: &[f64]) -> bool {
    values.iter().all(|value| value.is_finite() && *value > 0.0)
}

fn triode_ways(tube: &TubeType) -> Result<Vec<Way>, FitError> {
    let product = tube.gm_micromhos.zip(tube.rp_ohms).map(|(gm, rp)| gm * 1e-6 * rp);
    let mu = tube
        .mu
        .or(product)
        .ok_or_else(|| FitError::NoMu { tube: tube.name.clone().into_owned() })?;
    let first = tube.points[0];
    let bare = |point: &OperatingPoint, mu: f64| point.grid_volts + point.plate_volts / mu;
    let mut ways = Vec::new();
    let mut offer = |mu: f64, offset: f64, method, used: Vec<usize>| {
        let perveance = first.plate_ma * 1e-3 / power(bare(&first, mu) + offset);
        if sound(&[perveance, mu]) && offset.is_finite() {
            let law = Law::Triode(Triode { perveance, mu, offset, grid_onset: onset(tube) });
            ways.push((law, method, used));
        }
    };
    // I = G E^1.5 and gm = 1.5 G E^0.5 give E.
    let sum = tube.gm_micromhos.map(|gm| 1.5 * first.plate_ma * 1e3 / gm);
    if let Some(sum) = sum {
        offer(mu, sum - bare(&first, mu), Method::Slope, vec![0]);
    }
    for (at, other) in tube.points.iter().enumerate().skip(1) {
        let ratio = (other.plate_ma / first.plate_ma).powf(2.0 / 3.0);
        if (ratio - 1.0).abs() > 0.05 {
            let offset = (ratio * bare(&first, mu) - bare(other, mu)) / (1.0 - ratio);
            offer(mu, offset, Method::TwoPoints, vec![0, at]);
        }
        if let Some(sum) = sum {
            // Both sums are known, so their difference tells mu.
            let by_plate = sum - ratio * sum - (first.grid_volts - other.grid_volts);
            let own = (first.plate_volts - other.plate_volts) / by_plate;
            if (own / mu - 1.0).abs() <= MU_DRIFT {
                offer(own, sum - bare(&first, own), Method::MeanMu, vec![0, at]);
            }
        }
    }
    if sum.is_none() {
        offer(mu, usual_offset(tube), Method::UsualOffset, vec![0]);
    }
    Ok(ways)
}

fn pentode_ways(tube: &TubeType) -> Result<Vec<Way>, FitError> {
    let first = tube.points[0];
    let converter = tube.units().first().is_some_and(|unit| unit.kind == UnitKind::Converter);
    // A converter's published transconductance is that of conversion.
    let gm = tube.gm_micromhos.filter(|_| !converter).map(|gm| gm * 1e-6);
    let mu = gm.zip(tube.rp_ohms).map_or(UNTOLD_MU, |(gm, rp)| gm * rp);
    let mut ways = Vec::new();
    let mut offer = |sum: f64, screen_mu: f64, offset: f64, method, used: Vec<usize>| {
        ways.extend(pentode(tube, mu, sum, screen_mu, offset).map(|law| (law, method, used)));
    };
    let screen = first.screen_volts.unwrap_or(first.plate_volts);
    let offset = usual_offset(tube);
    if let Some(gm) = gm {
        let sum = 1.5 * first.plate_ma * 1e-3 / gm;
        let by_plate = first.plate_volts / mu;
        offer(
            sum,
            screen / (sum - first.grid_volts - offset - by_plate),
            offset,
            Method::Slope,
            vec![0],
        );
        for (at, other) in tube.points.iter().enumerate().skip(1) {
            let more = other.screen_volts.unwrap_or(screen) - screen;
            if more.abs() > 0.05 * screen {
                let other_sum = sum * (cathode_ma(other) / cathode_ma(&first)).powf(2.0 / 3.0);
                let rest = other_sum
                    - sum
                    - (other.grid_volts - first.grid_volts)
                    - (other.plate_volts - first.plate_volts) / mu;
                let by_screen = rest / more;
                let offset = sum - first.grid_volts - by_screen * screen - by_plate;
                offer(sum, 1.0 / by_screen, offset, Method::TwoPoints, vec![0, at]);
            }
        }
    }
    if let Some(cutoff) = tube.cutoff_volts.filter(|_| gm.is_none()) {
        // The sum is zero at cutoff, so it is what the bias lies above it.
        let screen_mu = screen / (-cutoff - offset - first.plate_volts / mu);
        offer(first.grid_volts - cutoff, screen_mu, offset, Method::Cutoff, vec![0]);
    }
    if gm.is_none() && tube.cutoff_volts.is_none() {
        return Err(FitError::NoScreenMu { tube: tube.name.clone().into_owned() });
    }
    Ok(ways)
}

/// The law whose sum at the first point is `sum`, if it can exist.
fn pentode(tube: &TubeType, mu: f64, sum: f64, screen_mu: f64, offset: f64) -> Option<Law> {
    let first = tube.points[0];
    let perveance = cathode_ma(&first) * 1e-3 / power(sum);
    let plate_share = first.plate_ma / cathode_ma(&first);
    let knee_volts = KNEE_BY_SCREEN * first.screen_volts.unwrap_or(first.plate_volts);
    let possible =
        sound(&[perveance, screen_mu, mu, plate_share, knee_volts]) && offset.is_finite();
    possible.then(|| {
        Law::Pentode(Pentode {
            perveance,
            screen_mu,
            mu,
            offset,
            plate_share,
            knee_volts,
            grid_onset: onset(tube),
        })
    })
}

fn cathode_ma(point: &OperatingPoint) -> f64 {
    point.plate_ma + point.screen_ma.unwrap_or(0.0)
}
