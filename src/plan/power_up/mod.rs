//! The first power-up of this set, in order: before power, set-up, stages of
//! line voltage, full line, switching off.
//!
//! ```
//! use firstglow::{plan::{plan, types::Phase}, sheet::Sheet};
//! let steps = plan(&Sheet::default()).power_up;
//! assert_eq!(steps.first().unwrap().phase, Phase::BeforePower);
//! assert_eq!(steps.last().unwrap().phase, Phase::SwitchOff);
//! ```
//!
//! Limits: hold times and limits are practice. Where the circuit is known, B+
//! at a stage and the voltages at full line are those of the circuit with their
//! bands; the most told of B+ is what can be there without load.

mod before;
mod expected;
mod off;
mod reform;
mod running;
mod set_up;
mod stages;

use super::charged::Charged;
use super::context::Context;
use super::hands::Probe;
use super::text::figure;
use super::types::{Phase, PlannedPart, PowerStep, Reading, StopKind};
use crate::sheet::Sheet;

/// The steps for a set.
pub fn power_up(
    sheet: &Sheet,
    parts: &[PlannedPart],
    charged: &[Charged],
    context: &Context,
) -> Vec<PowerStep> {
    let mut steps = before::steps(sheet, parts, context);
    steps.extend(set_up::steps(sheet, charged, context));
    steps.extend(stages::steps(context));
    steps.extend(running::steps(context));
    steps.extend(off::steps(parts, charged, context));
    steps
}

/// A step with nothing yet but what to do.
fn step(id: &str, phase: Phase, title: &str, action: impl Into<String>) -> PowerStep {
    PowerStep {
        id: id.to_owned(),
        phase,
        title: title.to_owned(),
        action: action.into(),
        expect: None,
        stop_if: None,
        hold_seconds: None,
        line_v: None,
        readings: Vec::new(),
        working: Vec::new(),
        stop: StopKind::default(),
    }
}

impl PowerStep {
    fn expecting(mut self, text: impl Into<String>) -> Self {
        self.expect = Some(text.into());
        self
    }

    fn stopping_if(mut self, text: impl Into<String>) -> Self {
        self.stop_if = Some(text.into());
        self
    }

    const fn holding(mut self, seconds: u32) -> Self {
        self.hold_seconds = Some(seconds);
        self
    }

    fn reading(mut self, reading: Reading) -> Self {
        self.readings.push(reading);
        self
    }

    /// No reason passes it: it is done, or the sheet changes.
    const fn never_passed(mut self) -> Self {
        self.stop = StopKind::CureOnly;
        self
    }
}

/// A reading to note, with its bounds where there are any.
fn reading(id: &str, what: &str, unit: &str, least: Option<f64>, most: Option<f64>) -> Reading {
    Reading {
        id: id.to_owned(),
        what: what.to_owned(),
        unit: unit.to_owned(),
        least: least.map(figure),
        most: most.map(figure),
        stop: StopKind::default(),
        needed: least.is_some() || most.is_some(),
        cure_below: None,
    }
}

/// B+ at the first filter, with how its meter is put on.
fn b_plus_reading(least: Option<f64>, most: Option<f64>, context: &Context) -> Reading {
    // What is not known is clipped on, as the meters of the set-up are.
    let supply = &context.supply;
    let is_unknown = supply.has_unknown_supply || supply.no_load_v.is_none() && !supply.off_line();
    let known = stages::no_load_v(context).and_then(|volts| Probe::of(Some(volts)).words());
    let care = if is_unknown { Probe::ClippedOn.words() } else { known };
    let what = match care {
        Some(care) => format!("B+ at the first filter: {care}"),
        None => "B+ at the first filter".to_owned(),
    };
    reading("b-plus", &what, "V", least, most)
}

/// Where B+ is measured against.
fn negative(context: &Context) -> &'static str {
    match context.supply.line_connected {
        Some(false) => "chassis (or B-, where they differ)",
        _ => "B- (not the chassis)",
    }
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{capacitor, part, series_string, transformer, volt};
    use crate::plan::types::PowerStep;
    use crate::sheet::part::{Make, PartKind};
    use crate::sheet::{Sheet, SupplyKind};
    use rustc_hash::FxHashSet;

    fn tube(name: &str, kind: &str) -> crate::sheet::part::Part {
        let mut made = part(name, PartKind::Tube);
        made.tube = Some(kind.into());
        made
    }

    fn steps(sheet: &Sheet) -> Vec<PowerStep> {
        plan(sheet).power_up
    }

    fn ids(sheet: &Sheet) -> Vec<String> {
        steps(sheet).into_iter().map(|s| s.id).collect()
    }

    fn find(sheet: &Sheet, id: &str) -> PowerStep {
        steps(sheet).into_iter().find(|s| s.id == id).unwrap()
    }

    #[test]
    fn phases_are_in_order_and_ids_unique_for_every_kind() {
        for supply in [
            None,
            Some(SupplyKind::Transformer),
            Some(SupplyKind::SeriesString),
            Some(SupplyKind::Vibrator),
            Some(SupplyKind::Battery),
        ] {
            let mut sheet = Sheet::default();
            sheet.header.supply = supply;
            let steps = steps(&sheet);
            assert!(steps.windows(2).all(|w| w[0].phase <= w[1].phase), "{supply:?}");
            let unique: FxHashSet<_> = steps.iter().map(|s| &s.id).collect();
            assert_eq!(unique.len(), steps.len(), "{supply:?}");
        }
    }

    #[test]
    fn isolation_is_asked_for_where_the_set_is_tied_to_the_line() {
        assert!(ids(&series_string(vec![])).contains(&"isolation".to_owned()));
        assert!(!ids(&transformer("700", vec![])).contains(&"isolation".to_owned()));
        assert!(ids(&Sheet::default()).contains(&"isolation".to_owned()));
    }

    #[test]
    fn a_filament_rectifier_gives_nothing_at_low_line() {
        let sheet = transformer("700", vec![tube("V5", "5Y3GT")]);
        let low = find(&sheet, "stage-1");
        assert_eq!(low.line_v, Some(29.0));
        assert!(low.expect.unwrap().contains("No B+"));
    }

    #[test]
    fn selenium_conducts_from_the_first_volt() {
        let mut stack = part("SR1", PartKind::DryRectifier);
        stack.makes.push(Make::Selenium);
        let low = find(&series_string(vec![stack]), "stage-1");
        assert!(low.expect.unwrap().contains("at once"));
        assert_eq!(low.hold_seconds, Some(300));
        // 15 % of 117 V: 18 V, times √2.
        assert_eq!(low.readings[1].most.as_deref(), Some("25.5"));
    }

    #[test]
    fn the_lamp_fits_the_watts() {
        let mut sheet = series_string(vec![]);
        sheet.header.power = crate::trade::quantity::Power::new(40.into()).ok();
        let lamp = find(&sheet, "series-lamp");
        assert!(lamp.action.contains("40 W"), "{}", lamp.action);
        assert_eq!(lamp.working[0].result, "about 69 V at the set, 48 V across the lamp");
    }

    #[test]
    fn tubes_are_listed_by_socket() {
        let sheet = series_string(vec![tube("V1", "12SA7"), tube("V2", "12SK7")]);
        assert!(find(&sheet, "tubes").action.contains("V1 12SA7, V2 12SK7"));
    }

    #[test]
    fn the_discharge_is_computed_from_the_capacitors() {
        let mut sheet = series_string(vec![capacitor("C1", "47", "450")]);
        sheet.header.mains = Some(volt("230"));
        let step = find(&sheet, "discharge");
        assert_eq!(
            step.working[0].result,
            "2.2 kΩ 10 W, 0.37 s to 10 V, 163 mA and 58.2 W at first"
        );
    }
}
