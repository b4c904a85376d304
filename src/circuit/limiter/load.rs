//! The set as a load on the line.

use crate::circuit::model::is_power_transformer;
use crate::circuit::netlist::Netlist;
use crate::circuit::state::choke::input as choke_input;
use crate::circuit::state::{Set, StateError, Tubes};
use crate::circuit::supply::{Section, Supply};
use crate::sheet::part::{Part, PartKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::heater;
use crate::trade::quantity::{Current, Power, Voltage};
use crate::trade::rectifier;

/// Why there is no load to compute.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoLoad {
    /// The set does not run from the line.
    #[error("the set does not run from the line, so that no lamp can stand in series with it")]
    OffLine,
    /// Direct-current mains: the supply is computed on its cycle.
    #[error("the mains is direct current, which is not computed here")]
    DirectCurrent,
    /// The circuit has no answer.
    #[error(transparent)]
    State(#[from] StateError),
}

/// Amperes taken at rising volts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Curve {
    /// Volts and amperes, rising, beginning at zero volts.
    pub points: Vec<(f64, f64)>,
}

impl Curve {
    /// Amperes and their slope, siemens, between the points; straight beyond.
    pub fn at(&self, volts: f64) -> (f64, f64) {
        let mut pairs = self.points.windows(2);
        let last = self.points.len().saturating_sub(2);
        let pair = pairs
            .find(|pair| volts <= pair[1].0)
            .or_else(|| self.points.get(last..).filter(|pair| pair.len() == 2));
        let Some([(v0, i0), (v1, i1)]) = pair else { return (0.0, 0.0) };
        let slope = (i1 - i0) / (v1 - v0).max(1e-9);
        ((i0 + slope * (volts - v0)).max(0.0), slope.max(0.0))
    }
}

/// All heaters of the set, referred to the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heaters {
    /// Watts of heaters and dial lamps at the nominal line.
    pub watts: f64,
    /// Parts of one of the nominal line that a resistor in their series takes.
    pub ballast: f64,
    /// Volts of the heaters at the nominal line, as they are told: 6.3, or the
    /// sum of a string.
    pub volts: f64,
}

/// What the iron of a transformer takes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Core {
    /// Watts of loss at the nominal line.
    pub watts: f64,
    /// Amperes of magnetising current there, a quarter cycle behind.
    pub amps: f64,
}

/// When the rectifier conducts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rectifies {
    /// From the first volt: silicon, selenium.
    Dry,
    /// When its filament is warm, within seconds.
    Filament,
    /// When its cathode is warm.
    Cathode,
}

/// The rectifier and what feeds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fed {
    /// The supply at the nominal line.
    pub supply: Supply,
    /// Effective volts of its source by those of the line.
    pub ratio: f64,
    /// The choke that its filter begins with, and the capacitor after it.
    pub choke: Option<Section>,
    /// When it conducts.
    pub rectifies: Rectifies,
    /// Whether it stands on a winding of its own.
    pub transformer: bool,
}

/// The set as a load on the line.
#[derive(Debug, Clone, PartialEq)]
pub struct SetLoad {
    /// Volts of the nominal line.
    pub mains_v: f64,
    /// The heaters.
    pub heaters: Heaters,
    /// The iron.
    pub core: Core,
    /// The supply of B+.
    pub fed: Option<Fed>,
    /// Amperes from B+ by its volts with every tube warm.
    pub warm: Curve,
    /// The same with every tube cold.
    pub cold: Curve,
    /// The supply's index among the feeds of the set.
    pub feed: usize,
    /// What was taken for want of a figure.
    pub assumed: Vec<String>,
}

/// Core loss by the set's watts. Common practice, no source.
const CORE_LOSS: f64 = 0.06;
/// Magnetising current by the set's nominal current. Common practice, no
/// source: receivers' transformers take a fifth to a third of it unloaded.
const MAGNETISING: f64 = 0.25;
/// Parts of the volts without load at which the circuit is computed.
const STEPS: [f64; 12] = [0.03, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.15];

impl SetLoad {
    /// The load of a set.
    ///
    /// # Errors
    /// [`NoLoad`]: what keeps it from being computed.
    pub fn of(sheet: &Sheet, set: &Set) -> Result<Self, NoLoad> {
        let kind = sheet.header.supply;
        if matches!(kind, Some(SupplyKind::Battery | SupplyKind::Vibrator)) {
            return Err(NoLoad::OffLine);
        }
        if sheet.header.frequency.is_some_and(|f| f.to_f64() <= 0.0) {
            return Err(NoLoad::DirectCurrent);
        }
        let mains_v = sheet.header.mains.map(Voltage::to_f64).filter(|v| *v > 0.0).unwrap_or(117.0);
        let transformer =
            sheet.parts.iter().any(is_power_transformer) || kind == Some(SupplyKind::Transformer);
        let mut assumed = Vec::new();
        let heaters =
            if transformer { on_a_winding(sheet, set) } else { in_a_string(sheet, set, mains_v) };
        let feed = (0..set.feeds.len())
            .max_by(|a, b| top(set, *a).total_cmp(&top(set, *b)))
            .ok_or(NoLoad::State(StateError::NoSupply))?;
        let fed = fed(sheet, set, feed, mains_v, transformer);
        let warm = curve(set, feed, Tubes::Warm, |_| {})?;
        let cold = curve(set, feed, Tubes::Cold, |_| {})?;
        if set.feeds.len() > 1 {
            assumed.push("The supply of the highest volts counts; the others are left out.".into());
        }
        let mut load = Self {
            mains_v,
            heaters,
            core: Core::default(),
            fed: Some(fed),
            warm,
            cold,
            feed,
            assumed,
        };
        if transformer {
            let watts = load.watts(sheet);
            load.core = Core { watts: CORE_LOSS * watts, amps: MAGNETISING * watts / load.mains_v };
            load.assumed.push(format!(
                "{:.0} W of core loss and {:.0} mA of magnetising current taken for the \
                 transformer.",
                load.core.watts,
                load.core.amps * 1e3
            ));
        }
        Ok(load)
    }

    /// The nameplate's watts, or those that the circuit and the heaters take.
    fn watts(&self, sheet: &Sheet) -> f64 {
        let said = sheet.header.power.map(Power::to_f64).filter(|w| *w > 0.0);
        said.unwrap_or_else(|| self.point(None, self.mains_v, super::Heat::Settled, None).set_w)
    }
}

/// Volts of a feed without load.
fn top(set: &Set, feed: usize) -> f64 {
    set.feeds[feed].supply.no_load_volts()
}

/// What the circuit takes from B+ by its volts.
pub(super) fn curve(
    set: &Set,
    feed: usize,
    tubes: Tubes,
    change: impl Fn(&mut Netlist),
) -> Result<Curve, StateError> {
    let volts = STEPS.map(|step| step * top(set, feed));
    let (_, taken) = set.taken(feed, tubes, &volts, change)?;
    let mut points = vec![(0.0, 0.0)];
    points.extend(taken.iter().map(|taken| (taken.volts, taken.amps.max(0.0))));
    Ok(Curve { points })
}

fn fed(sheet: &Sheet, set: &Set, feed: usize, mains_v: f64, transformer: bool) -> Fed {
    let found = &set.feeds[feed];
    let part = found.devices.first().map(|d| &sheet.parts[set.running.devices[*d].part]);
    let tube = part.and_then(|p| p.tube.as_deref());
    let rectifies = match tube {
        None => Rectifies::Dry,
        Some(name) if rectifier::find(name).is_some_and(|t| t.directly_heated) => {
            Rectifies::Filament
        }
        Some(_) => Rectifies::Cathode,
    };
    Fed {
        supply: found.supply,
        ratio: found.source_rms / mains_v,
        choke: found.choke.as_ref().map(|choke| choke_input(&found.supply, choke).section),
        rectifies,
        transformer,
    }
}

/// Heaters and dial lamps on the windings of a transformer.
fn on_a_winding(sheet: &Sheet, set: &Set) -> Heaters {
    let tubes = set.wiring.sockets.iter().filter_map(|s| s.tube.as_ref());
    let lamps = sheet.parts.iter().filter(|p| p.kind == PartKind::Lamp).map(lamp_watts);
    let watts = tubes.clone().map(|t| t.heater_volts * t.heater_amps).sum::<f64>();
    let least = tubes.map(|t| t.heater_volts).filter(|v| *v > 5.5).fold(f64::INFINITY, f64::min);
    let volts = if least.is_finite() { least } else { 6.3 };
    Heaters { watts: watts + lamps.sum::<f64>(), ballast: 0.0, volts }
}

/// Heaters in series on the line; what they do not take a resistor does.
fn in_a_string(sheet: &Sheet, set: &Set, mains_v: f64) -> Heaters {
    let tubes = set.wiring.sockets.iter().filter_map(|s| s.tube.as_ref());
    let (mut sum, mut amps) = (0.0, 0.0_f64);
    for tube in tubes.filter(|t| t.heater_amps > 0.0) {
        sum += tube.heater_volts;
        amps = amps.max(tube.heater_amps);
    }
    let dropped = (mains_v - sum) / mains_v;
    let resistor = |p: &Part| {
        p.kind == PartKind::ResistanceCord
            || p.kind == PartKind::Resistor && p.power.is_some_and(|w| w.to_f64() >= 8.0)
    };
    if dropped > 0.1 && sheet.parts.iter().any(resistor) {
        return Heaters { watts: mains_v * amps, ballast: dropped, volts: sum };
    }
    // A string that sums to more or less than the line runs at its own current.
    let at_line = if sum > 0.0 { amps * (mains_v / sum).powf(heater::EXPONENT) } else { 0.0 };
    Heaters { watts: mains_v * at_line, ballast: 0.0, volts: mains_v.min(sum.max(1.0)) }
}

fn lamp_watts(part: &Part) -> f64 {
    let volts = part.rating.map(Voltage::to_f64);
    match (volts, part.current.map(Current::to_f64), part.power.map(Power::to_f64)) {
        (_, _, Some(watts)) => watts,
        (Some(volts), Some(amps), _) => volts * amps,
        _ => 0.0,
    }
}

impl Heaters {
    /// Siemens on the line with the heaters at `hot` of their rated resistance.
    pub fn siemens(&self, mains_v: f64, hot: f64) -> f64 {
        let nominal = self.watts / (mains_v * mains_v);
        nominal / (self.ballast + (1.0 - self.ballast) * hot)
    }

    /// Their volts by the rated ones, at `line` of the nominal line.
    pub fn share(&self, line: f64, hot: f64) -> f64 {
        line * hot / (self.ballast + (1.0 - self.ballast) * hot)
    }

    /// Their settled resistance by the rated one, at `line` of the nominal.
    pub fn settled(&self, line: f64) -> f64 {
        let mut hot = heater::hot_by_volts(line);
        // Each round takes more than half of what is left.
        for _ in 0..if self.ballast > 0.0 { 24 } else { 0 } {
            hot = heater::hot_by_volts(self.share(line, hot));
        }
        hot
    }
}
