//! Switching off: discharge, verify, verify again.

use super::{expected, reading, step};
use crate::plan::context::Context;
use crate::plan::hazard::stored::{Store, stores};
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, milliamperes, seconds, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Phase, PlannedPart, PowerStep, Working};
use crate::trade::limits::{
    ABSORPTION, ABSORPTION_SOURCE, DISCHARGE_SOURCE, DISCHARGED_V, SHOCK_V, X_DISCHARGE_F,
    discharge_seconds,
};
use rust_decimal::{Decimal, prelude::ToPrimitive};
use std::fmt::Write;

const PHASE: Phase = Phase::SwitchOff;

/// Discharge resistors on a bench, ohms.
const OHMS: [f64; 8] = [1e3, 2.2e3, 4.7e3, 10e3, 22e3, 47e3, 100e3, 220e3];
/// The most current at the first touch, amperes.
const FIRST_A: f64 = 0.25;
/// Wirewound ratings, watts; each takes half a second of its watts at a blow.
const WATTS: [f64; 5] = [5.0, 10.0, 25.0, 50.0, 100.0];

/// How to discharge a set.
struct Discharge {
    farads: f64,
    volts: f64,
    ohms: f64,
    watts: Option<f64>,
    seconds: f64,
}

/// The steps after switching off.
pub fn steps(parts: &[PlannedPart], context: &Context) -> Vec<PowerStep> {
    let stores = stores(parts, context);
    let discharge = Discharge::of(&stores, context);
    let mut steps = vec![unplug(parts, context), discharge_step(&discharge, context)];
    steps.push(verify());
    steps.push(recheck(&discharge));
    steps
}

impl Discharge {
    /// All capacitors at once, at the highest voltage: never less than any one of them.
    fn of(stores: &[Store], context: &Context) -> Self {
        let found: f64 = stores.iter().map(|s| s.farads).sum();
        let farads = if found > 0.0 { found } else { 20e-6 };
        let highest = stores.iter().map(|s| s.volts).fold(0.0, f64::max);
        let volts = highest.max(context.supply.no_load_v.unwrap_or(0.0)).max(SHOCK_V);
        let ohms = OHMS.into_iter().find(|r| volts / r <= FIRST_A).unwrap_or(OHMS[7]);
        let joules = 0.5 * farads * volts * volts;
        let watts = WATTS.into_iter().find(|w| w * 0.5 >= joules);
        let seconds = discharge_seconds(ohms, farads, volts, DISCHARGED_V);
        Self { farads, volts, ohms, watts, seconds }
    }

    fn resistor(&self) -> String {
        let watts =
            self.watts.map_or_else(|| "over 100 W".to_owned(), |w| format!("{} W", figure(w)));
        format!("{} {watts}", ohms_text(self.ohms))
    }

    fn working(&self) -> Working {
        let amperes = self.volts / self.ohms;
        let inputs = vec![
            input("capacitance", Told::Figure(self.farads * 1e6, "µF"), Basis::Computed),
            input("voltage", volts(self.volts), Basis::Computed),
            input("to", volts(DISCHARGED_V), Basis::Assumed),
        ];
        let rule = "R so that the first current stays below 0.25 A; watts so that the energy \
                    ½·C·V² is under half a second of them; t = R·C·ln(V/10 V)";
        let result = format!(
            "{}, {} to 10 V, {} and {} W at first",
            self.resistor(),
            seconds(self.seconds),
            milliamperes(amperes),
            figure(amperes * self.volts)
        );
        working("discharge", inputs, rule, result, DISCHARGE_SOURCE)
    }
}

fn unplug(parts: &[PlannedPart], context: &Context) -> PowerStep {
    let large_x = parts.iter().any(|p| {
        p.replacement
            .as_ref()
            .is_some_and(|r| r.class.is_some() && r.picofarads * 1e-12 > X_DISCHARGE_F)
    });
    let extra = if large_x {
        " Keep fingers off its prongs: the capacitor across the line may still be charged."
    } else {
        ""
    };
    // The first words of the way out: the same here, on paper and under Stop now.
    let title = if context.supply.off_line() {
        "Take the supply lead off the set"
    } else {
        "Pull the plug out of the wall"
    };
    step(
        "unplug",
        PHASE,
        title,
        format!("The switch on the set is not enough. Keep hands off the chassis.{extra}"),
    )
}

fn discharge_step(discharge: &Discharge, context: &Context) -> PowerStep {
    let chassis = match context.supply.line_connected {
        Some(false) => "",
        _ => " The chassis is not B- here: go by the capacitors' own leads.",
    };
    let care = if discharge.watts.is_none() {
        " This is more energy than a bench resistor takes at once: in several touches, and only by \
         someone used to it."
    } else {
        ""
    };
    let hold = hold_seconds(discharge.seconds);
    let mut made = step(
        "discharge",
        PHASE,
        "Discharge the filters",
        format!(
            "With {} on an insulated handle bridge each filter capacitor across its own leads, {} \
             each time. Never with a screwdriver.{chassis}{care}",
            discharge.resistor(),
            seconds(f64::from(hold))
        ),
    )
    .holding(hold);
    made.readings = expected::slow_capacitors(context);
    let mut expect = String::new();
    if !made.readings.is_empty() {
        expect.push_str(
            "Those listed stay above 50 V by themselves for as long as told, or for good; tubes \
             are taken as cold, which is the longest case.",
        );
    }
    let quick = expected::quick_capacitors(context);
    if !quick.is_empty() {
        let _ = write!(
            expect,
            "{}Above 50 V at first and below it within half a second, where nothing is open: {}.",
            if expect.is_empty() { "" } else { " " },
            quick.join(", ")
        );
    }
    made.expect = Some(expect).filter(|text| !text.is_empty());
    made.working.push(discharge.working());
    made
}

/// Twice the computed time and at least ten seconds, at most an hour.
fn hold_seconds(computed: f64) -> u32 {
    let wanted = (computed * 2.0).ceil().clamp(10.0, 3600.0);
    Decimal::try_from(wanted).ok().and_then(|d| d.to_u32()).unwrap_or(3600)
}

fn verify() -> PowerStep {
    step(
        "verify",
        PHASE,
        "Measure every filter",
        "Measure DC across each filter capacitor: first below 50 V, then below 10 V before a hand \
         goes in. Try the meter on a known voltage before and after.",
    )
    .stopping_if("any reads above 10 V: discharge again, and find why")
    .reading(reading("left", "Highest voltage left", "V", None, Some(DISCHARGED_V)))
}

fn recheck(discharge: &Discharge) -> PowerStep {
    let back = discharge.volts * ABSORPTION;
    let mut made = step(
        "recheck",
        PHASE,
        "Measure again",
        "Wait, then measure once more: electrolytics come back by themselves. Leave a clip lead \
         with the resistor across the largest one while you work.",
    )
    .expecting(format!("Below 10 V; an old electrolytic may come back to {}.", volts(back)))
    .stopping_if("above 10 V: discharge again")
    .holding(300)
    .reading(reading("back", "Highest voltage after waiting", "V", None, Some(DISCHARGED_V)));
    let inputs = vec![input("voltage before", volts(discharge.volts), Basis::Computed)];
    let rule = "up to 15 % of the voltage before";
    made.working.push(working("comes back", inputs, rule, volts(back), ABSORPTION_SOURCE));
    made
}
