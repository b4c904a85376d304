//! Set-up: isolation, series lamp, meters.

use super::{negative, step};
use crate::plan::charged::Charged;
use crate::plan::context::Context;
use crate::plan::hands::{Highest, MOST_WITHOUT_PROBE_V};
use crate::plan::text::{figure, input, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Phase, PowerStep, Working};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::lamp::{LAW_SOURCE, Lamps, SIZE_SOURCE, nearest, set_volts};
use crate::trade::quantity::Voltage;

const PHASE: Phase = Phase::SetUp;

/// The steps that set the bench up.
pub fn steps(sheet: &Sheet, charged: &[Charged], context: &Context) -> Vec<PowerStep> {
    if context.supply.off_line() {
        return vec![bench_supply(sheet, context), meters(charged, context)];
    }
    let mut steps = Vec::new();
    steps.extend(isolation(context));
    steps.push(series_lamp(context));
    steps.push(variable_line(context));
    steps.push(meters(charged, context));
    steps
}

fn isolation(context: &Context) -> Option<PowerStep> {
    let live = context.supply.line_connected;
    if live == Some(false) {
        return None;
    }
    let rated = (context.supply.watts.value * 1.5).max(50.0);
    let why = if live.is_none() {
        "The supply is not told, so take it as tied to the line. "
    } else {
        ""
    };
    let action = format!(
        "{why}Feed the set through an isolation transformer of at least {} VA: B- is on the line. \
         Do not earth its secondary, and feed nothing else from it. A variable transformer or a \
         series lamp does not isolate.",
        figure(rated)
    );
    let made = step("isolation", PHASE, "Isolation transformer", action).stopping_if(
        "there is none: leave the set unpowered. Behind one, a ground-fault switch no longer helps, \
         and two points touched at once still kill.",
    );
    Some(made.never_passed())
}

fn series_lamp(context: &Context) -> PowerStep {
    let supply = &context.supply;
    let rated_v = if supply.mains_v < 150.0 { 120.0 } else { 230.0 };
    let first = nearest(supply.watts.value, rated_v);
    let second = nearest(supply.watts.value * 2.0, rated_v);
    let mut made = step(
        "series-lamp",
        PHASE,
        "Series lamp",
        format!(
            "Put {} in series with the line; for the later stages have {} at hand. Tungsten or \
             halogen only.",
            lamp_text(first),
            lamp_text(second)
        ),
    )
    .expecting(
        "A flash or a brighter glow while heaters warm, for up to half a minute, then dimmer.",
    )
    .stopping_if("the lamp stays half bright or brighter after 30 s");
    made.working = vec![
        lamp_working("first lamp", first, context),
        lamp_working("second lamp", second, context),
        size_working(context),
    ];
    made
}

fn lamp_text(lamps: Lamps) -> String {
    let kind = format!("{} W {} V lamp", lamps.watts, figure(lamps.rated_v));
    if lamps.count == 1 {
        format!("a {kind}")
    } else {
        format!("{} of a {kind} in parallel", lamps.count)
    }
}

fn lamp_working(of: &'static str, lamps: Lamps, context: &Context) -> Working {
    let supply = &context.supply;
    let at_set = set_volts(lamps, supply.watts.value, supply.mains_v, supply.mains_v);
    let inputs = vec![
        input("set", Told::Figure(supply.watts.value, "W"), supply.watts.basis),
        input("line", volts(supply.mains_v), Basis::Computed),
        input("lamp", Told::Figure(lamps.total_w(), "W"), Basis::Computed),
    ];
    let rule = "lamp current follows V^0.55; the set taken as V²/W, so warm and without fault";
    let result = format!(
        "about {} at the set, {} across the lamp",
        volts(at_set),
        volts(supply.mains_v - at_set)
    );
    working(of, inputs, rule, result, LAW_SOURCE)
}

fn size_working(context: &Context) -> Working {
    let watts = context.supply.watts;
    let inputs = vec![input("set", Told::Figure(watts.value, "W"), watts.basis)];
    let result = format!("{} and {} W", figure(watts.value), figure(watts.value * 2.0));
    let rule = "about the set's watts first, then about twice, the nearest lamp sold";
    working("lamp size", inputs, rule, result, SIZE_SOURCE)
}

fn variable_line(context: &Context) -> PowerStep {
    let string = context.supply.kind.is_some_and(|k| k.value == SupplyKind::SeriesString);
    let extra = if string {
        " A series string shares low voltage unevenly: do not dwell below 80 %."
    } else {
        ""
    };
    step(
        "variable-line",
        PHASE,
        "Variable transformer",
        format!(
            "Set it to zero, lamp after it, the set last. Without one, go from the lamp straight to \
             the highest stage, and watch it as if it were the first.{extra}"
        ),
    )
}

fn meters(charged: &[Charged], context: &Context) -> PowerStep {
    let to = negative(context);
    let line = if context.supply.off_line() { "the supply" } else { "the line at the set's plug" };
    let highest = Highest::of(charged, context);
    let working = meter_working(highest, context);
    let mut made = step(
        "meters",
        PHASE,
        "Meters on clips",
        format!(
            "With the set unplugged and discharged, clip one meter from the first filter's positive \
             to {to}, DC, range above the highest B+, and another across {line}. {}. Leads whole, \
             probes shrouded. Hold no probe above 500 V, use none above the mark on your meter and \
             leads, and above 1000 V only a high-voltage probe. Hands off while it is on; what must \
             be touched is touched with one hand, the other in a pocket, no rings, dry floor.",
            working.result
        ),
    )
    .stopping_if("a lead is cracked, or a meter's mark is below what it is to measure");
    made.working.push(working);
    made
}

/// What is marked on the meter and its leads: by the highest voltage of the
/// whole set, never by its first supply alone.
fn meter_working(highest: Highest, context: &Context) -> Working {
    let off_line = context.supply.off_line();
    let category = if off_line { "" } else { "CAT II " };
    let marks = [300.0, 600.0, MOST_WITHOUT_PROBE_V];
    // On the line a surge comes on top, which the category stands for.
    let mark = marks.into_iter().find(|mark| *mark >= highest.volts);
    let result = match mark {
        _ if !highest.is_known => format!(
            "Meter and leads marked {category}1000 V, and a high-voltage probe: the highest voltage \
             of this set is not known, so no point is measured by hand until it is"
        ),
        None => format!(
            "Meter and leads marked {category}1000 V for points well below that, a high-voltage \
             probe rated above {} for the rest, and a second person present",
            volts(highest.volts)
        ),
        Some(mark) => format!("Meter and leads marked {category}{} V or more", figure(mark)),
    };
    let told = if highest.is_known {
        volts(highest.volts)
    } else {
        format!("not known, {} at least", volts(highest.volts)).into()
    };
    let inputs = vec![input("highest voltage", told, Basis::Computed)];
    let rule = "category II for what is plugged into an outlet; the mark at or above the highest \
                voltage of all supplies with no load at the high line; above 1000 V a high-voltage \
                probe";
    let source = crate::trade::source::Source::from_memory("IEC 61010-031, measurement categories");
    working("meter", inputs, rule, result, source)
}

fn bench_supply(sheet: &Sheet, context: &Context) -> PowerStep {
    let battery = sheet.header.mains.map(Voltage::to_f64).filter(|v| *v > 0.0);
    let watts = context.supply.watts;
    let action = battery.map_or_else(
        || {
            "Use a supply of the battery voltage with a current limit, set a little above what the \
             set should draw, and a fuse in its lead. Check its polarity twice."
                .to_owned()
        },
        |v| {
            format!(
                "Use a supply of {} with its current limit at {} A, 1.5 times what {} W draw, and a \
                 fuse in its lead. Check its polarity twice.",
                volts(v),
                figure(watts.value * 1.5 / v),
                figure(watts.value)
            )
        },
    );
    step("bench-supply", PHASE, "Supply in place of the battery", action)
        .stopping_if("a B battery lead could meet a filament lead: filaments burn at once")
}
