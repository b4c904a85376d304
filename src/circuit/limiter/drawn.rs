//! What the rectifier draws from a line behind a resistance.

use super::fault::Effect;
use super::load::{Curve, Fed};
use crate::circuit::law::Law;
use crate::circuit::supply::{ChokeInput, Load, Section, Steady, Supply, Topology};
use std::f64::consts::{PI, SQRT_2};

/// A line behind a resistance, and how warm the cathodes are.
#[derive(Debug, Clone, Copy)]
pub(super) struct Behind {
    /// Effective volts of the line as the rectifier's side sees it.
    pub volts: f64,
    /// Ohms before it, on the line's side.
    pub ohms: f64,
    /// The part of its current that the rectifier's cathode gives, 0 to 1.
    pub rectifier: f64,
    /// The same of all other tubes.
    pub tubes: f64,
}

/// What is drawn, referred to the line.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Drawn {
    /// Mean watts from the line behind the resistance.
    pub watts: f64,
    /// Effective amperes.
    pub rms: f64,
    /// Mean volts of B+.
    pub b_plus: f64,
    /// Mean amperes into B+.
    pub b_amps: f64,
    /// Ripple of B+, effective volts.
    pub ripple: f64,
}

/// The reservoir from one trial to the next.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Reservoir {
    /// Volts it was last found at.
    volts: f64,
    state: Option<[f64; 2]>,
}

impl Reservoir {
    /// Takes over what was found; what is drawn so, of it `b_amps` from B+.
    fn settle(&mut self, supply: &Supply, fed: &Fed, steady: &Steady, b_amps: f64) -> Drawn {
        self.volts = steady.volts;
        self.state = Some(steady.state);
        Drawn {
            watts: steady.source_watts,
            rms: line_rms(supply, steady) * fed.ratio,
            b_plus: steady.volts,
            b_amps,
            ripple: steady.ripple_rms,
        }
    }
}

/// Below this part of its current a rectifier counts as cold.
const COLD: f64 = 0.02;

/// Draws once; the reservoir moves towards its place by a Newton step.
pub(super) fn draw(
    fed: &Fed,
    curves: [&Curve; 2],
    behind: Behind,
    effect: &Effect,
    at: &mut Reservoir,
) -> Drawn {
    let mut supply = fed.supply;
    supply.peak_volts = behind.volts * fed.ratio * SQRT_2;
    supply.source_ohms += behind.ohms * fed.ratio * fed.ratio;
    if behind.rectifier < COLD || supply.peak_volts < 0.1 {
        if !matches!(effect, Effect::Alternating) {
            return Drawn::default();
        }
    } else if let Law::Vacuum { perveance } = &mut supply.law {
        *perveance *= behind.rectifier;
    }
    match effect {
        Effect::Alternating => alternating(&supply, fed, curves[0]),
        Effect::Shorted { supply: shorted, ratio } => {
            let mut shorted = *shorted;
            shorted.law = supply.law;
            shorted.peak_volts = behind.volts * ratio * SQRT_2;
            shorted.source_ohms += behind.ohms * ratio * ratio;
            let held = shorted.into_volts(0.0);
            let rms = held.rms_amps * ratio;
            Drawn { watts: held.watts, rms, b_amps: held.mean_amps, ..Drawn::default() }
        }
        _ => {
            let leak = if let Effect::Leak(siemens) = effect { *siemens } else { 0.0 };
            match fed.choke {
                Some(section) => choke((&supply, section), fed, curves, behind, at),
                None => reservoir(&supply, fed, curves, behind, leak, at),
            }
        }
    }
}

/// Amperes and slope of the circuit at volts of B+, tubes partly warm.
fn taken([warm, cold]: [&Curve; 2], tubes: f64, volts: f64) -> (f64, f64) {
    let (warm, cold) = (warm.at(volts), cold.at(volts));
    let mix = |warm: f64, cold: f64| cold + tubes * (warm - cold);
    (mix(warm.0, cold.0), mix(warm.1, cold.1))
}

fn reservoir(
    supply: &Supply,
    fed: &Fed,
    curves: [&Curve; 2],
    behind: Behind,
    leak: f64,
    at: &mut Reservoir,
) -> Drawn {
    let top = supply.no_load_volts();
    if at.volts <= 0.0 || at.volts > top {
        at.volts = 0.8 * top;
    }
    let (amps, slope) = taken(curves, behind.tubes, at.volts);
    let siemens = slope + leak;
    let load = Load { siemens, amps: amps - slope * at.volts };
    let Ok(steady) = supply.steady_near(load, at.state) else { return Drawn::default() };
    let b_amps = load.amps + siemens * steady.volts;
    at.settle(supply, fed, &steady, b_amps)
}

/// Behind an input choke, whether its current flows all the time or stops.
fn choke(
    (supply, section): (&Supply, Section),
    fed: &Fed,
    curves: [&Curve; 2],
    behind: Behind,
    at: &mut Reservoir,
) -> Drawn {
    let input = ChokeInput {
        topology: supply.topology,
        peak_volts: supply.peak_volts,
        hertz: supply.hertz,
        source_ohms: supply.source_ohms,
        law: supply.law,
        section,
    };
    let top = input.no_load_volts();
    if at.volts <= 0.0 || at.volts > top {
        at.volts = 0.6 * top;
    }
    let (amps, slope) = taken(curves, behind.tubes, at.volts);
    // The curve is told ahead of the choke, the load stands behind its ohms.
    let share = (1.0 - slope * section.ohms).max(0.1);
    let load = Load { siemens: slope / share, amps: (amps - slope * at.volts) / share };
    let Ok(found) = input.steady(load, at.state) else { return Drawn::default() };
    let steady = found.steady;
    let b_amps = load.amps + load.siemens * found.volts;
    at.settle(supply, fed, &steady, b_amps)
}

/// Halves of a tapped winding take turns; the line carries both.
fn line_rms(supply: &Supply, steady: &Steady) -> f64 {
    let halves = if supply.topology == Topology::FullWave { 2.0 } else { 1.0 };
    steady.source_rms_amps * f64::sqrt(halves)
}

/// A rectifier that is a wire puts its source on the filter capacitor, which
/// passes the alternating current that its capacitance lets through.
fn alternating(supply: &Supply, fed: &Fed, warm: &Curve) -> Drawn {
    let volts = supply.peak_volts / SQRT_2;
    let siemens = warm.at(volts).0 / volts.max(1e-6);
    let reactance = 2.0 * PI * supply.hertz * supply.farads[0];
    // 1/(G + jB) in series with the source's ohms.
    let square = siemens * siemens + reactance * reactance;
    let (re, im) = (supply.source_ohms + siemens / square, reactance / square);
    let impedance = re.hypot(im).max(1e-6);
    let amps = volts / impedance;
    Drawn { watts: amps * amps * re, rms: amps * fed.ratio, ..Drawn::default() }
}
