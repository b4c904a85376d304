//! The supply as the sheet describes it: mains, high line, no-load peak,
//! rectifier, and whether the set is tied to the line.
//!
//! ```
//! use firstglow::circuit::{points::Points, wiring::Wiring};
//! use firstglow::plan::supply::Supply;
//! use firstglow::sheet::{Header, Sheet, SupplyKind};
//! let header = Header { supply: Some(SupplyKind::SeriesString), ..Header::default() };
//! let sheet = Sheet { header, ..Sheet::default() };
//! let points = Points::of(&sheet, &Wiring::of(&sheet), &[]);
//! let supply = Supply::of(&sheet, &points, &[]);
//! assert_eq!(supply.line_connected, Some(true));
//! assert!((supply.no_load_v.unwrap() - 176.8).abs() < 0.1); // √2 × 125 V
//! ```
//!
//! Limits: no winding resistance, no load. Without a described supply the
//! peak is not known and ratings follow the old marks.

mod at_work;
pub mod silicon;
mod winding;

pub use at_work::workings;

use super::text::{input, volts, working};
use super::types::{Basis, Finding, Input, SupplyFinding};
use crate::circuit::feed::Feed;
use crate::circuit::model::{is_power_transformer, is_silicon};
use crate::circuit::points::{ChassisTie, Points, Traits};
use crate::circuit::report::Report;
use crate::sheet::part::{Make, Part, PartKind};
use crate::sheet::{Cord, Rectification, Sheet, SupplyKind};
use crate::trade::limits::TOUCH_LIMIT_A;
use crate::trade::quantity::{Current, Frequency, Power, Voltage};
use crate::trade::rectifier::{self, RectifierTube};
use crate::trade::source::Source;
use rust_decimal::Decimal;
use std::f64::consts::SQRT_2;
use winding::{Winding, winding};

/// The rectifier that starts the supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rectifier {
    /// A tube known here.
    Tube(&'static RectifierTube),
    /// Selenium or copper oxide, to become silicon.
    Dry,
    /// Silicon.
    Silicon,
}

/// What is planned on.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// Nameplate volts; zero off the line.
    pub mains_v: f64,
    /// Highest line volts; zero off the line.
    pub high_v: f64,
    /// Frequency for touch currents, hertz.
    pub hertz: f64,
    /// The kind and how it is known.
    pub kind: Option<Finding<SupplyKind>>,
    /// The rectifier.
    pub rectifier: Option<Rectifier>,
    /// The least typical first capacitor of the rectifier tubes, microfarads.
    pub first_limit: Option<(Decimal, &'static RectifierTube)>,
    /// Peak of the whole supply with no load at high line, volts.
    pub no_load_v: Option<f64>,
    /// The highest volts of the whole set with no load at high line, over all
    /// its supplies of either sign: what meters, probes and discharge tools
    /// must bear. Where [`Self::has_unknown_supply`], no more than the least
    /// that is known: it may be higher.
    pub highest_no_load_v: Option<f64>,
    /// Whether a supply of the set could not be solved: its volts are unknown
    /// and may be above every figure.
    pub has_unknown_supply: bool,
    /// Effective volts a rectifier plate at high line.
    pub plate_v: Option<f64>,
    /// How the rectifier works.
    pub rectification: Option<Rectification>,
    /// Whether chassis or B- is tied to the line.
    pub line_connected: Option<bool>,
    /// Whether the chassis itself is wired to the line or to a line-tied B-.
    pub hot_chassis: bool,
    /// The touch current planned for, amperes, and how it is known.
    pub touch: Finding<f64>,
    /// Nameplate watts, or the habit for the kind.
    pub watts: Finding<f64>,
    /// Whether the wall is met by two wires; assumed where not said.
    pub cord: Option<Cord>,
    /// What screens and paper show.
    pub finding: SupplyFinding,
}

const HIGH_LINE_US: Source =
    Source::practice("lines nominally 105 to 125 V are planned for up to 125 V");
const HIGH_LINE_TEN: Source =
    Source::from_memory("EN 50160, supply voltage within 10 % of nominal");
const NO_LOAD: Source = Source::arithmetic(
    "a capacitor-input supply without load charges to the crest, √2 times effective",
);

impl Supply {
    /// Reads the supply of a sheet, whose wiring shows `feeds`.
    pub fn of(sheet: &Sheet, points: &Points, feeds: &[Feed]) -> Self {
        let mut finding = SupplyFinding::default();
        let tube = rectifier_tubes(sheet).next();
        let kind = kind(sheet, tube.map(|(_, t)| t), &mut finding);
        let off_line = off_the_line(kind);
        let (mains_v, high_v) = mains(sheet, off_line, &mut finding);
        let hertz = frequency(sheet, mains_v, off_line, &mut finding);
        let rectifier = rectifier(sheet, &mut finding);
        let line_connected = line_connected(points, kind);
        let mut supply = Self {
            mains_v,
            high_v,
            hertz,
            kind,
            rectifier,
            first_limit: first_limit(sheet),
            no_load_v: None,
            highest_no_load_v: None,
            has_unknown_supply: false,
            plate_v: None,
            rectification: rectification(sheet, feeds, &mut finding),
            line_connected,
            hot_chassis: line_connected == Some(true)
                && points.tied(Traits::CHASSIS, Traits::B_MINUS)
                || points.tied(Traits::CHASSIS, Traits::MAINS)
                || points.chassis_tie() == ChassisTie::Proven,
            touch: touch_limit(sheet),
            watts: watts(sheet, kind),
            cord: sheet.header.cord,
            finding,
        };
        supply.find_no_load(sheet, tube.map(|(_, t)| t));
        supply.publish();
        supply
    }

    /// Takes in what the circuit says of all supplies: the highest of the set,
    /// and whether one is unknown. What is unknown counts with the volts that
    /// it may reach.
    pub fn take_in(&mut self, feeds: &[Feed], circuit: &Report, line_high: f64) {
        let of_feeds = feeds.iter().map(|feed| {
            let peak = feed.open_rms * SQRT_2 * line_high;
            peak * feed.supply.topology.multiple()
        });
        let unknown = circuit.unsolved.iter().filter_map(|one| one.may_be_above_v);
        self.highest_no_load_v = of_feeds.chain(unknown).chain(self.no_load_v).reduce(f64::max);
        self.has_unknown_supply = !circuit.unsolved.is_empty();
        self.publish();
    }

    /// The high line by the nominal one; 1 off the line.
    pub fn high_part(&self) -> f64 {
        let part = self.high_v / self.mains_v;
        if part.is_finite() { part.max(1.0) } else { 1.0 }
    }

    /// Whether the set runs without the line.
    pub fn off_line(&self) -> bool {
        off_the_line(self.kind)
    }

    /// Whether anything of the supply was said or found.
    pub fn described(&self) -> bool {
        self.kind.is_some()
    }

    fn find_no_load(&mut self, sheet: &Sheet, tube: Option<&'static RectifierTube>) {
        let doubled = self.rectification == Some(Rectification::Doubler);
        let times = if doubled { 2.0 } else { 1.0 };
        let (plate_v, mut inputs) = match self.kind.map(|k| k.value) {
            Some(SupplyKind::SeriesString) => {
                (self.high_v, vec![input("high line", volts(self.high_v), self.high_basis(sheet))])
            }
            Some(SupplyKind::Transformer | SupplyKind::Vibrator) => {
                let Some(winding) = winding(sheet) else { return };
                self.through_winding(&winding, tube, sheet)
            }
            _ => return,
        };
        if doubled {
            let stated = sheet.header.rectification == Some(Rectification::Doubler);
            let basis = if stated { Basis::Stated } else { Basis::Placed };
            inputs.push(input("doubler", "2 times", basis));
        }
        let peak = SQRT_2 * plate_v * times;
        self.plate_v = Some(plate_v);
        self.no_load_v = Some(peak);
        let rule = "√2 times the volts at the rectifier plate; tubes cold, no drop anywhere";
        self.finding.working.push(working("no-load peak", inputs, rule, volts(peak), NO_LOAD));
    }

    /// Volts at a rectifier plate from a winding, and the inputs told.
    fn through_winding(
        &mut self,
        winding: &Winding,
        tube: Option<&'static RectifierTube>,
        sheet: &Sheet,
    ) -> (f64, Vec<Input>) {
        let stated = self.rectification;
        let halves = match stated {
            Some(Rectification::FullWave) => true,
            Some(_) => false,
            None => winding.tapped,
        };
        if stated.is_none() && !winding.tapped && tube.is_none_or(|t| t.full_wave) {
            self.finding.assumed.push(
                "The high-voltage winding is not said to be tapped: its whole voltage is taken to \
                 reach the rectifier."
                    .to_owned(),
            );
        }
        let plate = if halves { winding.whole_v / 2.0 } else { winding.whole_v };
        let mut inputs = vec![input("volts a plate", volts(plate), Basis::Stated)];
        let nominal = winding.primary_v.unwrap_or(self.mains_v);
        let ratio = if nominal > 0.0 && self.high_v > 0.0 { self.high_v / nominal } else { 1.0 };
        if self.high_v > 0.0 {
            inputs.push(input("high line", volts(self.high_v), self.high_basis(sheet)));
            inputs.push(input("line the winding is given for", volts(nominal), Basis::Stated));
        }
        // A line below the winding's own nominal is no reason to plan for less.
        (plate * ratio.max(1.0), inputs)
    }

    fn high_basis(&self, sheet: &Sheet) -> Basis {
        let stated = sheet.header.high_line.is_some_and(|v| v.to_f64() >= self.mains_v);
        if stated { Basis::Stated } else { Basis::Assumed }
    }

    fn publish(&mut self) {
        self.finding.mains_v = self.mains_v;
        self.finding.high_line_v = self.high_v;
        self.finding.frequency_hz = self.hertz;
        self.finding.no_load_peak_v = self.no_load_v;
        self.finding.highest_no_load_v = self.highest_no_load_v;
        self.finding.has_unknown_supply = self.has_unknown_supply;
        self.finding.line_connected = self.line_connected;
    }
}

fn off_the_line(kind: Option<Finding<SupplyKind>>) -> bool {
    kind.is_some_and(|k| matches!(k.value, SupplyKind::Battery | SupplyKind::Vibrator))
}

/// The kind as stated, or by the transformer or the rectifier found.
fn kind(
    sheet: &Sheet,
    tube: Option<&'static RectifierTube>,
    finding: &mut SupplyFinding,
) -> Option<Finding<SupplyKind>> {
    if let Some(value) = sheet.header.supply {
        return Some(Finding { value, basis: Basis::Stated });
    }
    if sheet.header.secondary.is_some() || sheet.parts.iter().any(is_power_transformer) {
        return Some(Finding { value: SupplyKind::Transformer, basis: Basis::Inferred });
    }
    let cord = sheet.parts.iter().any(|p| p.kind == PartKind::ResistanceCord);
    if cord || tube.is_some_and(|t| t.line_operated) {
        let why = if cord { "a resistance line cord" } else { "a rectifier tube for the line" };
        finding.assumed.push(format!(
            "No supply line on the sheet: taken as a transformerless series-string set, for it has \
             {why}."
        ));
        return Some(Finding { value: SupplyKind::SeriesString, basis: Basis::Inferred });
    }
    None
}

/// How the rectifier works: as stated, or a doubler by the wiring.
fn rectification(
    sheet: &Sheet,
    feeds: &[Feed],
    finding: &mut SupplyFinding,
) -> Option<Rectification> {
    let stated = sheet.header.rectification;
    let wired = !feeds.is_empty() && feeds.iter().all(|f| f.supply.topology.is_doubler());
    if !wired {
        return stated;
    }
    if stated.is_some_and(|stated| stated != Rectification::Doubler) {
        finding.assumed.push(
            "The rectifiers are wired as a voltage doubler, whatever the supply line says: taken \
             as one."
                .to_owned(),
        );
    }
    Some(Rectification::Doubler)
}

/// Nameplate and highest line.
fn mains(sheet: &Sheet, off_line: bool, finding: &mut SupplyFinding) -> (f64, f64) {
    if off_line {
        finding.assumed.push("The set is not fed from the line.".to_owned());
        return (0.0, 0.0);
    }
    let stated = sheet.header.mains.map(Voltage::to_f64).filter(|v| *v > 0.0);
    let mains = stated.unwrap_or(117.0);
    let mut inputs = vec![input(
        "nameplate",
        volts(mains),
        if stated.is_some() { Basis::Stated } else { Basis::Assumed },
    )];
    if stated.is_none() {
        finding.assumed.push("Mains not told: 117 V assumed.".to_owned());
    }
    let entered = sheet.header.high_line.map(Voltage::to_f64).filter(|v| *v >= mains);
    let (high, rule, source) = match entered {
        Some(high) => {
            inputs.push(input("high line", volts(high), Basis::Stated));
            (high, "the highest line entered", Source::sheet())
        }
        None if (105.0..=125.0).contains(&mains) => {
            (125.0, "125 V for nameplates of 105 to 125 V", HIGH_LINE_US)
        }
        None => (mains * 1.1, "10 % above the nameplate", HIGH_LINE_TEN),
    };
    if entered.is_none() {
        finding.assumed.push(format!("High line of {} assumed.", volts(high)));
    }
    finding.working.push(working("high line", inputs, rule, volts(high), source));
    (mains, high)
}

fn frequency(sheet: &Sheet, mains_v: f64, off_line: bool, finding: &mut SupplyFinding) -> f64 {
    let habit = if mains_v >= 200.0 { 50.0 } else { 60.0 };
    match sheet.header.frequency.map(Frequency::to_f64) {
        Some(hertz) if hertz > 0.0 => hertz,
        Some(_) => {
            finding.assumed.push(format!(
                "DC mains: touch currents are reckoned at {habit} Hz, for the plug also fits AC."
            ));
            habit
        }
        None => {
            if !off_line {
                finding.assumed.push(format!("Frequency not told: {habit} Hz assumed."));
            }
            habit
        }
    }
}

/// Every known rectifier tube, in the order of the sheet.
fn rectifier_tubes(sheet: &Sheet) -> impl Iterator<Item = (&Part, &'static RectifierTube)> {
    sheet
        .parts
        .iter()
        .filter(|p| p.kind == PartKind::Tube)
        .filter_map(|p| Some((p, rectifier::find(p.tube.as_deref()?)?)))
}

fn rectifier(sheet: &Sheet, finding: &mut SupplyFinding) -> Option<Rectifier> {
    if let Some((part, tube)) = rectifier_tubes(sheet).next() {
        let name = part.tube.as_deref().unwrap_or(tube.names[0]);
        finding.rectifier = Some(format!("{} {name}", part.designator));
        return Some(Rectifier::Tube(tube));
    }
    let dry = |p: &&Part| {
        p.kind == PartKind::DryRectifier && !p.is_made(Make::CopperOxide) && !is_silicon(p)
    };
    if let Some(part) = sheet.parts.iter().find(dry) {
        finding.rectifier = Some(format!("{} selenium", part.designator));
        return Some(Rectifier::Dry);
    }
    let silicon =
        |p: &&Part| is_silicon(p) && (p.kind == PartKind::DryRectifier || p.is_made(Make::Silicon));
    let part = sheet.parts.iter().find(silicon)?;
    finding.rectifier = Some(format!("{} silicon", part.designator));
    Some(Rectifier::Silicon)
}

/// The smallest typical first capacitor among the rectifier tubes.
fn first_limit(sheet: &Sheet) -> Option<(Decimal, &'static RectifierTube)> {
    rectifier_tubes(sheet)
        .filter_map(|(_, tube)| Some((Decimal::from_str_exact(tube.typical_first_uf).ok()?, tube)))
        .min_by_key(|(limit, _)| *limit)
}

fn line_connected(points: &Points, kind: Option<Finding<SupplyKind>>) -> Option<bool> {
    match kind.map(|k| k.value) {
        _ if points.is_line_tied() => Some(true),
        Some(SupplyKind::SeriesString) => Some(true),
        Some(_) => Some(false),
        None => None,
    }
}

fn touch_limit(sheet: &Sheet) -> Finding<f64> {
    match sheet.header.touch_limit.map(Current::to_f64).filter(|i| *i > 0.0) {
        Some(value) => Finding { value, basis: Basis::Stated },
        None => Finding { value: TOUCH_LIMIT_A, basis: Basis::Assumed },
    }
}

fn watts(sheet: &Sheet, kind: Option<Finding<SupplyKind>>) -> Finding<f64> {
    if let Some(value) = sheet.header.power.map(Power::to_f64).filter(|p| *p > 0.0) {
        return Finding { value, basis: Basis::Stated };
    }
    let value = match kind.map(|k| k.value) {
        Some(SupplyKind::SeriesString) => 35.0,
        Some(SupplyKind::Vibrator) => 40.0,
        Some(SupplyKind::Battery) => 5.0,
        _ => 75.0,
    };
    Finding { value, basis: Basis::Assumed }
}

#[cfg(test)]
mod tests;
