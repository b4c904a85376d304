//! At the full line: voltages, coupling capacitors, touchable metal.

use super::stages::{b_plus_working, most_b_plus};
use super::{b_plus_reading, expected, reading, step};
use crate::plan::context::Context;
use crate::plan::text::{figure, input, milliamperes, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Phase, PowerStep, Reading, Working};
use crate::trade::limits::{HOT_CHECK_SOURCE, HOT_CHECK_V, hot_check_ohms};
use crate::trade::source::Source;

const PHASE: Phase = Phase::FullLine;

/// Times the computed ripple that is still well. Common practice, no source.
const RIPPLE_TIMES: f64 = 1.5;
/// Warmest outside of a transformer, °C. Common practice, no source: class A
/// winding insulation stands 105 °C inside.
const TRANSFORMER_C: f64 = 75.0;
/// Warmest can of an electrolytic, °C. Common practice, no source.
const CAN_C: f64 = 50.0;
const RIPPLE: Source = Source::arithmetic("the supply's steady state over one cycle, mean square");

/// The steps at full voltage.
pub fn steps(context: &Context) -> Vec<PowerStep> {
    let mut steps = vec![full(context)];
    steps.extend(voltages(context));
    steps.push(coupling());
    steps.push(hour(context));
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
    made = made.reading(b_plus_reading(least, most, context));
    if let Some((reading, working)) = ripple(context) {
        made.readings.push(reading);
        made.working.push(working);
    }
    made.working.extend(expected.and_then(|v| expected::b_plus_working(1.0, v, context)));
    made.working.extend(most.map(|m| b_plus_working(line_v, m, context)));
    made
}

/// Ripple at the first filter, effective volts: the least and the most that
/// is well.
fn ripple(context: &Context) -> Option<(Reading, Working)> {
    let supply = expected::main_supply(context)?;
    let (rms, hertz) = (supply.ripple_rms_v?, supply.ripple_hz?);
    if rms <= 0.0 {
        return None;
    }
    let most = rms * RIPPLE_TIMES;
    let first = supply.choke.as_ref().map_or(&supply.reservoir, |choke| &choke.capacitors);
    let inputs = vec![
        input("taken", format!("{} mA", figure(supply.ma)), Basis::Computed),
        input("first filter", first.join(", "), Basis::Stated),
        input("ripple", format!("{} at {} Hz", volts(rms), figure(hertz)), Basis::Computed),
    ];
    let rule = "the computed ripple, half as much again for a capacitor at the low end of its \
                tolerance and a set that takes more; more ripple is more hum: a weak first filter, \
                or one half of a full-wave rectifier that does not work";
    let made = reading("ripple", "Ripple at the first filter, AC", "V", None, Some(most));
    Some((made, working("ripple", inputs, rule, format!("at most {}", volts(most)), RIPPLE)))
}

/// After an hour: the same again, and what has got warm.
fn hour(context: &Context) -> PowerStep {
    let mut made = step(
        "hour",
        PHASE,
        "After an hour",
        "Leave it playing for an hour, in sight, with the meters on. Then the same readings again, \
         and by hand with the plug out and discharged, or by a thermometer: transformer, filter \
         cans, wirewound resistors.",
    )
    .expecting(
        "B+ within 5 % of what it was, hum unchanged, transformer too warm to hold for long at \
         most, cans no warmer than the chassis about them.",
    )
    .stopping_if(
        "B+ has drifted by a tenth, a can is warmer than its surroundings, the transformer smells",
    )
    .holding(3600);
    if !context.supply.off_line() {
        made = made.reading(reading("line", "Line at the set", "V", None, None));
        made = made.reading(reading("current", "Current from the line", "A", None, None));
    }
    let least = expected::least_b_plus(1.0, context);
    made = made.reading(b_plus_reading(least, None, context));
    if let Some((reading, working)) = ripple(context) {
        made.readings.push(reading);
        made.working.push(working);
    }
    made.reading(reading("transformer", "Transformer", "°C", None, Some(TRANSFORMER_C)))
        .reading(reading("can", "Hottest filter can", "°C", None, Some(CAN_C)))
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
