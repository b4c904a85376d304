//! The alternating current of what lies in the line of a transformerless set:
//! droppers, surge resistors, resistance cords.
//!
//! The heaters of a string set its current. What the rectifier draws comes on
//! top where it passes the same resistor.
//!
//! ```
//! use firstglow::plan::context::Context;
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read(
//!     "mains 117 V\nsupply series-string\nR1 180 line to h1\nV1 43 1=h1 6=h2\n\
//!      V2 25Z5 1=h2 6=h3\nV3 6D6 1=h3 6=h4\nV4 6C6 1=h4 6=neutral",
//! );
//! let context = Context::of(&sheet);
//! let load = context.in_line(&sheet.parts[0]).unwrap();
//! // I²·R by hand: 0.3 A in 180 Ω.
//! assert!((load.watts() - 16.2).abs() < 0.01);
//! ```
//!
//! Limits: heaters draw their rated current, as in a string that suits its
//! line. A string that is cut on the sheet, or whose heaters differ, tells
//! nothing.

use super::text::{figure, input, volts, working};
use super::told::Told;
use super::types::{Basis, Watts, Working};
use crate::circuit::model::{Model, View};
use crate::circuit::netlist::{Element, ElementId, Netlist, NodeId};
use crate::circuit::points::Points;
use crate::circuit::report::SupplyReport;
use crate::circuit::solver::{Options, solve};
use crate::circuit::state::Set;
use crate::circuit::supply::Topology;
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::source::Source;
use rustc_hash::FxHashMap;
use std::f64::consts::SQRT_2;

/// Effective over mean current of a half-wave rectifier's plate. Source: own
/// simulation, 117 V half wave, 22 Ω, 40 µF, 65 mA.
pub const FORM: f64 = 2.63;
/// The share of its heaters' current below which a resistor is not in the
/// string but beside it.
const IN_STRING: f64 = 0.05;
/// How far heaters of one string may differ.
const ALIKE: f64 = 0.05;

const HEAT: Source = Source::arithmetic(
    "I²·R; heaters of a string draw their rated current, and a half-wave rectifier draws 2.63 times \
     its direct current, in pulses near the crest (own simulation)",
);

/// The alternating current of a resistor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InLine {
    /// Its resistance, ohms.
    pub ohms: f64,
    /// Heater current through it, effective amperes.
    pub heater_a: f64,
    /// Direct current of the rectifier through it, amperes; negative where it
    /// flows against the heaters' pulses.
    pub direct_a: f64,
}

impl InLine {
    /// Effective amperes in all: both waves rise and fall together.
    pub fn amperes(&self) -> f64 {
        let drawn = FORM * self.direct_a;
        let both = 2.0 * SQRT_2 * self.heater_a * self.direct_a;
        (self.heater_a.powi(2) + drawn.powi(2) + both).max(0.0).sqrt()
    }

    /// Watts of heat at the nominal line.
    pub fn watts(&self) -> f64 {
        self.amperes().powi(2) * self.ohms
    }

    /// As watts of the plan; `high` is the high line over the nominal one.
    pub fn heat(&self, rated: Option<f64>, high: f64) -> Watts {
        let running = self.watts();
        // A heater's current rises less than its volts: the square is above it.
        let worst = running * high.max(1.0).powi(2);
        Watts { running, worst, state: "running, high line".into(), rated }
    }

    /// How the watts were reached.
    pub fn explain(&self, rated: Option<f64>) -> Working {
        let mut inputs = vec![input("resistor", Told::Ohms(self.ohms), Basis::Stated)];
        if self.heater_a > 0.0 {
            inputs.push(input("heater current", Told::Figure(self.heater_a, "A"), Basis::Computed));
        }
        if self.direct_a.abs() > 0.0 {
            let told = Told::Figure(self.direct_a.abs() * 1e3, "mA");
            inputs.push(input("direct current of the rectifier", told, Basis::Computed));
        }
        if let Some(rated) = rated {
            inputs.push(input("rated", Told::Figure(rated, "W"), Basis::Stated));
        }
        let amperes = self.amperes();
        let result = format!(
            "{} A, drops {}, {} W of heat",
            figure(amperes),
            volts(amperes * self.ohms),
            figure(self.watts())
        );
        working("watts", inputs, "I²·R of the effective current", result, HEAT)
    }
}

/// The current of every resistor on the line's side whose current is known, by
/// the part's key.
pub fn loads(
    sheet: &Sheet,
    wiring: &Wiring,
    points: &Points,
    set: &Set,
    supplies: &[SupplyReport],
) -> FxHashMap<String, InLine> {
    let mut found = FxHashMap::default();
    let on_line: Vec<usize> = (0..sheet.parts.len())
        .filter(|index| is_in_line(&sheet.parts[*index], wiring, points))
        .collect();
    if on_line.is_empty() {
        return found;
    }
    let Some(side) = Side::of(sheet, wiring) else { return found };
    let Some(string) = side.heater_amps(wiring) else { return found };
    let Some(drawn) = side.rectifier_amps(points, set, supplies) else { return found };
    for index in on_line {
        let part = &sheet.parts[index];
        let Some(element) = side.model.parts[index].first().copied() else { continue };
        let Some(ohms) = part.resistance.map(crate::trade::quantity::Resistance::to_f64) else {
            continue;
        };
        let Some(heater_a) = string.of(&side.model.net, element) else { continue };
        let Some(direct_a) = drawn.of(&side.model.net, element) else { continue };
        // Both by the direction of the heaters' current.
        let direct_a = if heater_a < 0.0 { -direct_a } else { direct_a };
        let load = InLine { ohms, heater_a: heater_a.abs(), direct_a };
        // What carries nothing is cut off on this sheet, not cold.
        if load.amperes() > 0.0 {
            found.insert(part.key.clone(), load);
        }
    }
    found
}

/// Whether alternating current of the line runs through a part: it joins two
/// points of the line's side.
pub fn is_in_line(part: &Part, wiring: &Wiring, points: &Points) -> bool {
    let kind = matches!(
        part.kind,
        PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord
    );
    let Some((a, b)) = wiring.leads(part).filter(|_| kind) else { return false };
    let (a, b) = (points.line(a), points.line(b));
    a.hot && (b.hot || b.low_contact) || b.hot && a.low_contact
}

/// The alternating side of a set without a power transformer.
struct Side {
    model: Model,
    ends: (NodeId, NodeId),
    volts: f64,
}

/// Amperes of every resistance by the volts of the nodes.
struct Amps {
    volts: Vec<f64>,
    times: f64,
    /// Below this a current is as it was solved, not in proportion.
    least: f64,
}

impl Amps {
    fn of(&self, net: &Netlist, element: ElementId) -> Option<f64> {
        let (Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms }) =
            *net.element(element)
        else {
            return None;
        };
        let amps = (self.volts[a.index()] - self.volts[b.index()]) / ohms;
        let amps = if amps.abs() >= self.least { amps * self.times } else { amps };
        (ohms > 0.0 && amps.is_finite()).then_some(if amps.abs() < 1e-6 { 0.0 } else { amps })
    }
}

impl Side {
    fn of(sheet: &Sheet, wiring: &Wiring) -> Option<Self> {
        let power = sheet.parts.iter().any(crate::circuit::model::is_power_transformer);
        let (line, neutral) = (wiring.named("line")?, wiring.named("neutral")?);
        if power {
            return None;
        }
        let model = Model::of(sheet, wiring, View::Alternating);
        let ends = (model.node(line), model.node(neutral));
        let volts = sheet.header.mains.map_or(117.0, crate::trade::quantity::Voltage::to_f64);
        (ends.0 != ends.1 && volts > 0.0).then_some(Self { model, ends, volts })
    }

    /// The currents that the line drives, in proportion to the rated current of
    /// the heaters; `None` where these differ.
    fn heater_amps(&self, wiring: &Wiring) -> Option<Amps> {
        let mut net = self.model.net.clone();
        net.source("line", self.ends.0, self.ends.1, self.volts).ok()?;
        let solution = solve(&net, &Options::default()).ok()?;
        let plain = Amps { volts: solution.all_volts().to_vec(), times: 1.0, least: 0.0 };
        let mut times: Vec<f64> = Vec::new();
        let mut least_amps = f64::INFINITY;
        for socket in &wiring.sockets {
            let Some(tube) = &socket.tube else { continue };
            let sections = self.model.parts[socket.part].iter();
            let solved = sections
                .filter_map(|e| plain.of(&net, *e))
                .fold(0.0, |most: f64, amps| most.max(amps.abs()));
            if tube.heater_amps > 0.0 && solved > IN_STRING * tube.heater_amps {
                times.push(tube.heater_amps / solved);
                least_amps = least_amps.min(solved);
            }
        }
        let (least, most) =
            times.iter().fold((f64::INFINITY, 0.0_f64), |(l, m), t| (l.min(*t), m.max(*t)));
        match times.len() {
            // No string is closed here: what flows beside it is as solved.
            0 => Some(Amps { least: f64::INFINITY, ..plain }),
            _ if most > least * (1.0 + ALIKE) => None,
            _ => Some(Amps {
                times: f64::midpoint(least, most),
                least: IN_STRING * least_amps,
                ..plain
            }),
        }
    }

    /// The rectifiers' direct current through every resistance; `None` where a
    /// rectifier on this side has none that is known.
    fn rectifier_amps(
        &self,
        points: &Points,
        set: &Set,
        supplies: &[SupplyReport],
    ) -> Option<Amps> {
        let mut net = self.model.net.clone();
        net.source("line", self.ends.0, self.ends.1, 0.0).ok()?;
        let mut told: Vec<NodeIndex> = Vec::new();
        for feed in &set.feeds {
            let report = supplies.iter().find(|s| s.output == feed.output)?;
            if feed.supply.topology != Topology::HalfWave {
                return None;
            }
            let plates: Vec<NodeIndex> =
                feed.devices.iter().map(|d| set.running.devices[*d].plate).collect();
            let plate = *plates.first()?;
            net.current("plate", self.model.node(plate), self.ends.1, report.ma * 1e-3).ok()?;
            told.extend(plates);
        }
        let known = |node: NodeIndex| {
            told.iter().any(|plate| self.model.node(*plate) == self.model.node(node))
        };
        let plates = set.running.devices.iter().filter(|device| {
            device.kind == crate::trade::tubes::UnitKind::Rectifier && points.line(device.plate).hot
        });
        if plates.into_iter().any(|device| !known(device.plate)) {
            return None;
        }
        let solution = solve(&net, &Options::default()).ok()?;
        Some(Amps { volts: solution.all_volts().to_vec(), times: 1.0, least: 0.0 })
    }
}
