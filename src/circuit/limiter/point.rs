//! Line, lamp and set brought into agreement.

use super::drawn::{Behind, Drawn, Reservoir, draw};
use super::fault::{Effect, Fault};
use super::load::{Rectifies, SetLoad};
use crate::circuit::lamp::Lamp;
use crate::trade::heater;
use crate::trade::lamp::Glow;

/// How warm the heaters are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heat {
    /// As warm as their volts make them in the end.
    Settled,
    /// At this part of their rated power: 0 for just switched on.
    At(f64),
}

/// What lamp and set do at a line voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Effective volts of the line ahead of the lamp.
    pub line_v: f64,
    /// Effective volts across the lamp; 0 without one.
    pub lamp_v: f64,
    /// What the lamp shows; dark without one.
    pub glow: Glow,
    /// Effective volts at the set.
    pub set_v: f64,
    /// Effective amperes from the line.
    pub amps: f64,
    /// Watts into the set.
    pub set_w: f64,
    /// Volts of the heaters by their rated ones.
    pub heaters: f64,
    /// Watts of the heaters by their rated ones.
    pub heater_power: f64,
    /// Mean volts of B+ at the rectifier.
    pub b_plus: f64,
    /// Mean amperes from it.
    pub b_amps: f64,
    /// Ripple of B+, effective volts.
    pub ripple: f64,
}

/// Trials before the last one is taken as it is.
const TRIALS: usize = 120;
/// Parts of the line within which two trials count as one.
const AGREED: f64 = 1e-6;

/// A figure that is moved towards what it leads to, by less where it swings.
struct Moved {
    value: f64,
    last: f64,
    part: f64,
}

impl Moved {
    const fn from(value: f64) -> Self {
        Self { value, last: 0.0, part: 1.0 }
    }

    /// Moves; tells how far it would have gone.
    fn towards(&mut self, wanted: f64) -> f64 {
        let step = wanted - self.value;
        if step * self.last < 0.0 {
            self.part = (self.part * 0.6).max(0.05);
        }
        self.last = step;
        self.value += self.part * step;
        step.abs()
    }
}

impl SetLoad {
    /// The set at `line_v` volts, behind a lamp or without, with a fault or
    /// without.
    pub fn point(
        &self,
        lamp: Option<&Lamp>,
        line_v: f64,
        heat: Heat,
        fault: Option<&Fault>,
    ) -> Point {
        let effect = fault.map_or(&Effect::None, |fault| &fault.effect);
        let guess = if lamp.is_some() { 0.3 * line_v } else { 0.0 };
        let (mut lamp_v, mut set_v) = (Moved::from(guess), Moved::from(line_v - guess));
        let mut reservoir = Reservoir::default();
        let mut found =
            self.found(lamp, line_v, heat, effect, (guess, line_v - guess), &mut reservoir);
        for _ in 0..TRIALS {
            let missed = lamp_v.towards(found.lamp_v).max(set_v.towards(found.set_v));
            if missed <= AGREED * line_v {
                break;
            }
            found = self.found(
                lamp,
                line_v,
                heat,
                effect,
                (lamp_v.value.clamp(0.0, line_v), set_v.value.clamp(0.0, line_v * 1.05)),
                &mut reservoir,
            );
        }
        found
    }

    /// What follows from the lamp's resistance and the heaters' at the volts
    /// of the last trial.
    fn found(
        &self,
        lamp: Option<&Lamp>,
        line_v: f64,
        heat: Heat,
        effect: &Effect,
        (lamp_v, set_v): (f64, f64),
        reservoir: &mut Reservoir,
    ) -> Point {
        let line = set_v / self.mains_v;
        let hot = match heat {
            Heat::Settled => self.heaters.settled(line),
            Heat::At(power) => heater::hot_by_power(power),
        };
        let share = self.heaters.share(line, hot);
        let shunt = if let Effect::Shunt(siemens) = effect { *siemens } else { 0.0 };
        let square = self.mains_v * self.mains_v;
        let g = self.heaters.siemens(self.mains_v, hot) + self.core.watts / square + shunt;
        let b = self.core.amps / self.mains_v;
        let ohms = lamp.map_or(0.0, |lamp| lamp.ohms(lamp_v));
        // 1 + R (G - jB), seen from the rectifier.
        let (re, im) = (1.0 + ohms * g, ohms * b);
        let size = re * re + im * im;
        let behind = Behind {
            volts: line_v / size.sqrt(),
            ohms: ohms * re / size,
            rectifier: self.rectifier(line, share, heat),
            tubes: heater::emission(warmth(share, heat)),
        };
        let drawn = self.drawn(behind, effect, reservoir);
        let lost = behind.ohms * drawn.rms * drawn.rms;
        // Means of squares: of the volts left, and of the currents that meet.
        let left =
            behind.volts * behind.volts - 2.0 * behind.ohms * drawn.watts + behind.ohms * lost;
        let set_v = left.max(0.0).sqrt();
        let into = (drawn.watts - lost).max(0.0);
        let resistive = g * g * left.max(0.0) + 2.0 * g * into + drawn.rms * drawn.rms;
        let amps = resistive.max(0.0).sqrt().hypot(b * set_v);
        let lamp_v = (amps * ohms).min(line_v);
        Point {
            line_v,
            lamp_v,
            glow: lamp.map_or(Glow::Dark, |lamp| lamp.glow(lamp_v)),
            set_v,
            amps,
            set_w: g * set_v * set_v + into,
            heaters: share,
            heater_power: share * share / hot,
            b_plus: drawn.b_plus,
            b_amps: drawn.b_amps,
            ripple: drawn.ripple,
        }
    }

    fn drawn(&self, behind: Behind, effect: &Effect, reservoir: &mut Reservoir) -> Drawn {
        let warm = if let Effect::Circuit(curve) = effect { curve } else { &self.warm };
        self.fed.as_ref().map_or_else(Drawn::default, |fed| {
            draw(fed, [warm, &self.cold], behind, effect, reservoir)
        })
    }

    /// The part of its current that the rectifier gives.
    fn rectifier(&self, line: f64, share: f64, heat: Heat) -> f64 {
        match self.fed.as_ref().map(|fed| fed.rectifies) {
            None | Some(Rectifies::Dry) => 1.0,
            Some(Rectifies::Filament) => heater::emission(line),
            Some(Rectifies::Cathode) => heater::emission(warmth(share, heat)),
        }
    }
}

/// The settled volts that a heater's present warmth belongs to.
fn warmth(share: f64, heat: Heat) -> f64 {
    match heat {
        Heat::Settled => share,
        Heat::At(power) => heater::volts_of_power(power),
    }
}
