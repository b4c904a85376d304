//! Switching off: discharge, verify, verify again.

use super::{expected, reading, step};
use crate::plan::charged::Charged;
use crate::plan::context::Context;
use crate::plan::hands::{Highest, Probe};
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, milliamperes, seconds, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Phase, PlannedPart, PowerStep, Working};
use crate::trade::limits::{
    ABSORPTION, ABSORPTION_SOURCE, DISCHARGE_SOURCE, DISCHARGED_V, X_DISCHARGE_F, discharge_seconds,
};
use rust_decimal::{Decimal, prelude::ToPrimitive};

const PHASE: Phase = Phase::SwitchOff;

/// Discharge resistors on a bench, ohms.
const OHMS: [f64; 8] = [1e3, 2.2e3, 4.7e3, 10e3, 22e3, 47e3, 100e3, 220e3];
/// The most current at the first touch, amperes.
const FIRST_A: f64 = 0.25;
/// Wirewound ratings, watts; each takes half a second of its watts at a blow.
const WATTS: [f64; 5] = [5.0, 10.0, 25.0, 50.0, 100.0];

/// Volts that one resistor of this size stands across it. Source: common
/// practice, no source.
const BODY_V: f64 = 500.0;

/// How to discharge a set.
struct Discharge {
    farads: f64,
    highest: Highest,
    /// Ohms in all.
    ohms: f64,
    /// How many equal resistors in series make them up.
    bodies: f64,
    /// Watts of each.
    watts: Option<f64>,
    seconds: f64,
}

/// The steps after switching off.
pub fn steps(parts: &[PlannedPart], charged: &[Charged], context: &Context) -> Vec<PowerStep> {
    let discharge = Discharge::of(charged, context);
    vec![
        unplug(parts, context),
        discharge_step(&discharge, charged, context),
        verify(&discharge),
        recheck(&discharge),
    ]
}

impl Discharge {
    /// All capacitors at once, at the highest voltage: never less than any one of them.
    fn of(charged: &[Charged], context: &Context) -> Self {
        let found: f64 = charged.iter().map(|c| c.farads).sum();
        let farads = if found > 0.0 { found } else { 20e-6 };
        let highest = Highest::of(charged, context);
        let volts = highest.volts;
        let bodies = (volts / BODY_V).ceil().max(1.0);
        let each = OHMS.into_iter().find(|r| volts / (r * bodies) <= FIRST_A).unwrap_or(OHMS[7]);
        let ohms = each * bodies;
        let joules = 0.5 * farads * volts * volts / bodies;
        let watts = WATTS.into_iter().find(|w| w * 0.5 >= joules);
        let seconds = discharge_seconds(ohms, farads, volts, DISCHARGED_V);
        Self { farads, highest, ohms, bodies, watts, seconds }
    }

    fn resistor(&self) -> String {
        let watts =
            self.watts.map_or_else(|| "over 100 W".to_owned(), |w| format!("{} W", figure(w)));
        let one = format!("{} {watts}", ohms_text(self.ohms / self.bodies));
        if self.bodies > 1.0 { format!("{} of {one} in series", figure(self.bodies)) } else { one }
    }

    fn working(&self) -> Working {
        let volts_there = self.highest.volts;
        let amperes = volts_there / self.ohms;
        let inputs = vec![
            input("capacitance", Told::Figure(self.farads * 1e6, "µF"), Basis::Computed),
            input("voltage", volts(volts_there), Basis::Computed),
            input("to", volts(DISCHARGED_V), Basis::Assumed),
        ];
        let rule = "R so that the first current stays below 0.25 A; watts so that the energy \
                    ½·C·V² is under half a second of them; at most 500 V across each resistor; t = \
                    R·C·ln(V/10 V)";
        let result = format!(
            "{}, {} to 10 V, {} and {} W at first",
            self.resistor(),
            seconds(self.seconds),
            milliamperes(amperes),
            figure(amperes * volts_there)
        );
        working("discharge", inputs, rule, result, DISCHARGE_SOURCE)
    }

    /// What hands and tools need beyond the usual, by the highest voltage.
    fn care(&self) -> String {
        let Highest { volts: top, is_known } = self.highest;
        if !is_known {
            return " The highest voltage of this set is not known. Treat it as above 1000 V: use a \
                    discharge stick and a high-voltage probe rated far above what you expect, with \
                    a second person present, or leave it to someone trained."
                .to_owned();
        }
        match Probe::of(Some(top)) {
            Probe::ByHand => String::new(),
            Probe::ClippedOn => format!(
                " There may be {}: use a stick whose insulation is rated above that, and keep the \
                 other hand away.",
                volts(top)
            ),
            Probe::HighVoltage | Probe::Never => format!(
                " There may be {}: use a discharge stick rated above that and someone used to high \
                 voltage, with a second person present.",
                volts(top)
            ),
        }
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

fn discharge_step(discharge: &Discharge, charged: &[Charged], context: &Context) -> PowerStep {
    let chassis = match context.supply.line_connected {
        Some(false) => "",
        _ => " The chassis is not B- here: go by the capacitors' own leads.",
    };
    let energy = if discharge.watts.is_none() {
        " This is more energy than a bench resistor takes at once: in several touches, and only by \
         someone used to it."
    } else {
        ""
    };
    let hold = hold_seconds(discharge.seconds);
    let resistor = if discharge.highest.is_known {
        discharge.resistor()
    } else {
        "a discharge resistor rated for the voltage".to_owned()
    };
    let care = discharge.care();
    let mut made = step(
        "discharge",
        PHASE,
        "Discharge the filters",
        format!(
            "Hold {resistor} on an insulated handle across the leads of each filter capacitor, {} \
             each time. Never use a screwdriver.{chassis}{care}{energy}",
            seconds(f64::from(hold))
        ),
    )
    .holding(hold);
    made.readings = expected::charged_capacitors(charged);
    made.expect = Some(if made.readings.is_empty() {
        "No capacitor of the sheet is known to hold 50 V. That is no proof: measure each filter \
         capacitor all the same."
            .to_owned()
    } else {
        "The capacitors listed may hold a charge for as long as given, or for good. Tubes are \
         taken as cold, which is the longest case."
            .to_owned()
    });
    if discharge.highest.is_known {
        made.working.push(discharge.working());
    }
    made
}

/// Twice the computed time and at least ten seconds, at most an hour.
fn hold_seconds(computed: f64) -> u32 {
    let wanted = (computed * 2.0).ceil().clamp(10.0, 3600.0);
    Decimal::try_from(wanted).ok().and_then(|d| d.to_u32()).unwrap_or(3600)
}

fn verify(discharge: &Discharge) -> PowerStep {
    let probes = match Probe::of(
        Some(discharge.highest.volts).filter(|_| discharge.highest.is_known),
    ) {
        Probe::ByHand | Probe::ClippedOn => {
            "Meter and leads are marked above the highest voltage of the set."
        }
        Probe::HighVoltage | Probe::Never => {
            "Begin with a high-voltage probe; take a hand meter only once that reads below 50 V."
        }
    };
    step(
        "verify",
        PHASE,
        "Measure every filter",
        format!(
            "After discharging, measure DC across each filter capacitor: first below 50 V, then \
             below 10 V before a hand goes in. {probes} Try the meter on a known voltage before and \
             after."
        ),
    )
    .stopping_if("any reads above 10 V: discharge again, and find why")
    .reading(reading("left", "Highest voltage left", "V", None, Some(DISCHARGED_V)))
}

fn recheck(discharge: &Discharge) -> PowerStep {
    let highest = discharge.highest;
    let back = highest.volts * ABSORPTION;
    let come_back = if highest.is_known {
        format!("an old electrolytic may come back to {}", volts(back))
    } else {
        "an old electrolytic may come back to a seventh of what it held".to_owned()
    };
    let mut made = step(
        "recheck",
        PHASE,
        "Measure again",
        "Wait, then measure once more: electrolytics come back by themselves. Leave a clip lead \
         with the resistor across the largest one while you work.",
    )
    .expecting(format!("Below 10 V; {come_back}."))
    .stopping_if("above 10 V: discharge again")
    .holding(300)
    .reading(reading("back", "Highest voltage after waiting", "V", None, Some(DISCHARGED_V)));
    if highest.is_known {
        let inputs = vec![input("voltage before", volts(highest.volts), Basis::Computed)];
        let rule = "up to 15 % of the voltage before";
        made.working.push(working("comes back", inputs, rule, volts(back), ABSORPTION_SOURCE));
    }
    made
}
