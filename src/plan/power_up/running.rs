//! At the full line: voltages, coupling capacitors, touchable metal.

use super::stages::{b_plus_working, most_b_plus};
use super::{expected, reading, step};
use crate::plan::context::Context;
use crate::plan::text::{input, milliamperes, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Phase, PowerStep, Working};
use crate::trade::limits::{HOT_CHECK_SOURCE, HOT_CHECK_V, hot_check_ohms};

const PHASE: Phase = Phase::FullLine;

/// The steps at full voltage.
pub fn steps(context: &Context) -> Vec<PowerStep> {
    let mut steps = vec![full(context)];
    steps.extend(voltages(context));
    steps.push(coupling());
    if !context.supply.off_line() {
        steps.push(hot_check(context));
    }
    steps
}

fn full(context: &Context) -> PowerStep {
    let supply = &context.supply;
    let line_v = supply.mains_v;
    let most = most_b_plus(line_v, context);
    let on_line = !supply.off_line();
    let action = if on_line {
        format!(
            "Raise the line to {}, first through the larger lamp, then without lamp.",
            volts(line_v)
        )
    } else {
        "Run at full battery voltage.".to_owned()
    };
    let mut made = step("full-line", PHASE, "Full voltage", action)
        .expecting(
            "Sound, low hum, B+ and the other voltages within 20 % of the sheet's chart, \
             nothing hot but the tubes.",
        )
        .stopping_if(
            "a plate glows red, B+ sags or climbs, hum grows, a resistor smokes, a can gets warm",
        )
        .holding(600);
    if on_line {
        made.line_v = Some(line_v);
        made = made.reading(reading(
            "line",
            "Line at the set",
            "V",
            Some(line_v * 0.95),
            Some(line_v * 1.05),
        ));
    }
    let expected = expected::b_plus(1.0, context);
    let least = expected::least_b_plus(1.0, context);
    made = made.reading(reading("b-plus", "B+ at the first filter", "V", least, most));
    made.working.extend(expected.and_then(|v| expected::b_plus_working(1.0, v, context)));
    made.working.extend(most.map(|m| b_plus_working(line_v, m, context)));
    made
}

/// The voltages of this set, each with its band.
fn voltages(context: &Context) -> Option<PowerStep> {
    let readings = expected::voltages(context);
    if readings.is_empty() {
        return None;
    }
    let to = context.circuit.reference.clone().unwrap_or_else(|| "chassis".to_owned());
    let mut made = step(
        "voltages",
        PHASE,
        "Voltages of the set",
        format!(
            "No signal, controls at their middle: measure each point to {to}, one hand, clip \
             first. Note the line while you do."
        ),
    )
    .expecting(
        "Each inside its band, which follows from the tolerances of parts, tubes and line and \
         from the meter's own load.",
    )
    .stopping_if("a plate is far below its band and its tube glows red, or a grid is positive");
    made.readings = readings;
    Some(made)
}

fn coupling() -> PowerStep {
    step(
        "coupling",
        PHASE,
        "Coupling capacitors",
        "Measure DC across each output grid leak with a 10 MΩ meter, no signal.",
    )
    .expecting("The bias alone: with cathode bias 0 to +0.1 V.")
    .stopping_if("more positive: the coupling capacitor leaks or the output tube is gassy")
    .reading(reading("grid", "Output grid", "V", None, Some(0.1)))
}

/// Current to earth from what can be touched, the classic network.
fn hot_check(context: &Context) -> PowerStep {
    let working = hot_check_working(context);
    let most = hot_check_limit(context);
    let mut made = step(
        "hot-check",
        PHASE,
        "Metal that can be touched",
        "Cabinet closed, set straight on the line without the isolation transformer: measure AC \
         across 1.5 kΩ with 0.15 µF in parallel, from each screw, shaft and bare metal to a known \
         earth. Turn the plug round and do it again. One hand, insulated probes; leave it to a \
         licensed technician if you have never done it.",
    )
    .expecting(format!("At most {} everywhere, both ways of the plug.", volts(most)))
    .stopping_if("more: do not use the set until the path is found")
    .reading(reading("metal", "Highest reading", "V", None, Some(most)));
    made.working.push(working);
    made
}

/// The classic limit, or the touch limit entered if that is stricter.
fn hot_check_limit(context: &Context) -> f64 {
    let supply = &context.supply;
    (supply.touch.value * hot_check_ohms(supply.hertz)).clamp(0.0, HOT_CHECK_V)
}

fn hot_check_working(context: &Context) -> Working {
    let supply = &context.supply;
    let inputs = vec![
        input("touch limit", milliamperes(supply.touch.value), supply.touch.basis),
        input("frequency", format!("{} Hz", supply.hertz), Basis::Computed),
        input("network", Told::Figure(hot_check_ohms(supply.hertz), "Ω"), Basis::Computed),
    ];
    let rule = "limit times the network's impedance, never above 0.75 V";
    let result = volts(hot_check_limit(context));
    working("hot check", inputs, rule, result, HOT_CHECK_SOURCE)
}
