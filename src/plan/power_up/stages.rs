//! Stages of line voltage, with hold times that fit the rectifier.

use super::{b_plus_reading, expected, reading, step};
use crate::plan::context::Context;
use crate::plan::supply::Rectifier;
use crate::plan::text::{figure, input, volts, working};
use crate::plan::types::{Basis, Phase, PowerStep, Working};
use crate::sheet::SupplyKind;
use crate::trade::rectifier::WARM_UP_SOURCE;
use crate::trade::source::Source;
use std::fmt::Write;

const PHASE: Phase = Phase::Stages;

/// A stage: percent of the nameplate, seconds to hold, what to expect.
type Stage = (u8, u32, &'static str);

const FILAMENT: [Stage; 5] = [
    (
        25,
        60,
        "No B+: the rectifier is a filament type and far too cold to conduct. Lamp dim or dark.",
    ),
    (50, 120, "Still little or no B+; pilot lamp orange."),
    (65, 300, "The rectifier begins to conduct: B+ comes, slowly, then with a jump."),
    (80, 600, "B+ rises with the line, sound or hum may start, nothing gets hot but the tubes."),
    (90, 600, "Voltages steady, output plate dark, hum low."),
];

const CATHODE: [Stage; 5] = [
    (25, 60, "No B+ yet: the rectifier's cathode is cold. Lamp dim or dark."),
    (50, 180, "Little B+, and only after the cathode has warmed."),
    (65, 300, "B+ comes up gently as rectifier and set warm together."),
    (80, 600, "B+ rises with the line, sound or hum may start, nothing gets hot but the tubes."),
    (90, 600, "Voltages steady, output plate dark, hum low."),
];

const DRY: [Stage; 5] = [
    (15, 300, "B+ at once, at the crest of the line: nothing loads it while the tubes are cold."),
    (30, 300, "B+ follows the line at once. A can that warms or hisses is bad or reversed."),
    (50, 300, "B+ still near the crest; tubes begin to glow."),
    (70, 300, "B+ sags a little as the tubes start to draw."),
    (85, 600, "B+ steady below the crest, sound or hum, nothing gets hot but the tubes."),
];

const UNKNOWN: [Stage; 5] = [
    (15, 300, "The rectifier is not told: B+ may come at once, or not at all before two thirds."),
    (30, 300, "As before. With a tube rectifier still nothing."),
    (50, 300, "Pilot lamp orange; a tube rectifier is about to conduct."),
    (70, 300, "B+ is there with every kind of rectifier."),
    (85, 600, "B+ steady, sound or hum, nothing gets hot but the tubes."),
];

const STOP: &str = "the lamp brightens or stays bright, B+ falls or passes the figure, a plate \
                    turns red, anything smokes, smells, hisses, or a can gets warm";

/// Percent of the nameplate from which a warmed tube rectifier gives what the
/// circuit says. Source: common practice, no source.
const WARM_PERCENT: u8 = 80;
/// Percent from which too little B+ is a reason to look.
const HELD_PERCENT: u8 = 80;

/// Whether the rectifier conducts from the first volt.
fn dry(context: &Context) -> bool {
    matches!(context.supply.rectifier, Some(Rectifier::Dry | Rectifier::Silicon))
}

/// The stages of a set.
pub fn steps(context: &Context) -> Vec<PowerStep> {
    if context.supply.off_line() {
        return off_line(context);
    }
    let mut steps = Vec::new();
    let kind = context.supply.kind.map(|k| k.value);
    if kind == Some(SupplyKind::Transformer) {
        steps.push(transformer_alone(context));
    }
    let rows = match context.supply.rectifier {
        Some(Rectifier::Tube(tube)) if tube.directly_heated => &FILAMENT,
        Some(Rectifier::Tube(_)) => &CATHODE,
        Some(Rectifier::Dry | Rectifier::Silicon) => &DRY,
        None => &UNKNOWN,
    };
    let string = kind == Some(SupplyKind::SeriesString);
    for (number, row) in rows.iter().enumerate() {
        steps.push(stage(number + 1, *row, string, context));
    }
    steps
}

fn transformer_alone(context: &Context) -> PowerStep {
    let mut made = step(
        "transformer-alone",
        PHASE,
        "The transformer by itself",
        "All tubes out, pilot lamps too. Bring the line up to the nameplate through the lamp.",
    )
    .expecting("Lamp dark, or a dull red at most; heater windings a little high; no warmth.")
    .stopping_if("the lamp glows: a shorted turn, winding or rectifier socket")
    .holding(300)
    .reading(reading("line", "Line at the set", "V", None, None));
    made.line_v = Some(context.supply.mains_v.round());
    made
}

fn stage(number: usize, row: Stage, string: bool, context: &Context) -> PowerStep {
    let (percent, hold, expect) = row;
    let supply = &context.supply;
    let line_v = (supply.mains_v * f64::from(percent) / 100.0).round();
    let most = most_b_plus(line_v, context);
    let mut expect = expect.to_owned();
    if string && percent <= 50 {
        expect.push_str(" Heaters of the string glow unevenly, the pilot may flash.");
    }
    let part = f64::from(percent) / 100.0;
    // Below, cathodes are too cold for what the circuit says of warm ones.
    let warm = percent >= WARM_PERCENT || dry(context);
    let expected = expected::b_plus(part, context).filter(|_| warm);
    if let Some(volts_there) = expected {
        let _ = write!(expect, " B+ comes to about {} once all is warm.", volts(volts_there));
    }
    let least = expected::least_b_plus(part, context).filter(|_| warm && percent >= HELD_PERCENT);
    let mut made = step(
        &format!("stage-{number}"),
        PHASE,
        &format!("{} at the set", volts(line_v)),
        format!("Raise the line to {}, {percent} % of the nameplate, and hold.", volts(line_v)),
    )
    .expecting(expect)
    .stopping_if(STOP)
    .holding(hold)
    .reading(reading("line", "Line at the set", "V", Some(line_v * 0.95), Some(line_v * 1.05)))
    .reading(b_plus_reading(least, most, context));
    made.line_v = Some(line_v);
    made.working.push(hold_working(hold, context));
    made.working.extend(expected.and_then(|v| expected::b_plus_working(part, v, context)));
    made.working.extend(most.map(|m| b_plus_working(line_v, m, context)));
    made
}

/// The most that B+ can be at a line voltage, without load.
pub fn most_b_plus(line_v: f64, context: &Context) -> Option<f64> {
    let supply = &context.supply;
    let peak = no_load_v(context).filter(|_| supply.high_v > 0.0)?;
    Some(peak * line_v / supply.high_v)
}

/// The most that B+ can be without load at the high line: of the main supply
/// where it is solved, else by the sheet's words; `None` where a supply is not
/// known.
pub fn no_load_v(context: &Context) -> Option<f64> {
    if context.supply.has_unknown_supply {
        return None;
    }
    expected::main_supply(context).map(|main| main.no_load_v).or(context.supply.no_load_v)
}

/// How that figure was reached.
pub fn b_plus_working(line_v: f64, most: f64, context: &Context) -> Working {
    let inputs = vec![
        input("line", volts(line_v), Basis::Computed),
        input("high line", volts(context.supply.high_v), Basis::Computed),
    ]
    .into_iter()
    .chain(
        no_load_v(context).map(|v| input("no-load peak at high line", volts(v), Basis::Computed)),
    )
    .collect();
    let rule = "the no-load peak in proportion to the line; a loaded set shows less";
    let source = Source::arithmetic("a transformer and a rectifier follow the line in proportion");
    working("B+ at most", inputs, rule, volts(most), source)
}

fn hold_working(hold: u32, context: &Context) -> Working {
    let (kind, warm_up) = match context.supply.rectifier {
        Some(Rectifier::Tube(tube)) => {
            let kind = if tube.directly_heated { "filament" } else { "cathode" };
            (format!("{}, {kind} type", tube.names[0]), format!("{} s", tube.warm_up_s))
        }
        Some(Rectifier::Dry) => ("selenium, to be silicon".to_owned(), "none".to_owned()),
        Some(Rectifier::Silicon) => ("silicon".to_owned(), "none".to_owned()),
        None => ("not told".to_owned(), "not known".to_owned()),
    };
    let inputs = vec![
        input("rectifier", kind, Basis::Stated),
        input("warm-up at full voltage", warm_up, Basis::Assumed),
    ];
    let rule = "short where nothing conducts yet, for cathodes should not idle underheated; long \
                where B+ stands and new filters settle";
    let result = format!("{} min", figure(f64::from(hold) / 60.0));
    working("hold", inputs, rule, result, WARM_UP_SOURCE)
}

fn off_line(context: &Context) -> Vec<PowerStep> {
    let vibrator = context.supply.kind.is_some_and(|k| k.value == SupplyKind::Vibrator);
    let heaters = step(
        "heaters",
        PHASE,
        "Heaters alone",
        if vibrator {
            "Vibrator out. Full battery voltage: every heater or filament glows."
        } else {
            "B supply off. A supply on: filaments of battery tubes glow a dull red or not visibly."
        },
    )
    .expecting("Current as the tubes add up to, steady.")
    .stopping_if("the current limit acts")
    .holding(60)
    .reading(reading("current", "Supply current", "A", None, None));
    let plate = step(
        "b-supply",
        PHASE,
        if vibrator { "Vibrator in" } else { "B supply" },
        if vibrator {
            "Buffer replaced? Then vibrator in, full battery voltage: it hums at once and evenly."
        } else {
            "Bring the B supply up in four steps of a quarter, a minute each, current limit low."
        },
    )
    .expecting("B+ within seconds of the tubes warming.")
    .stopping_if(STOP)
    .holding(300)
    .reading(b_plus_reading(None, no_load_v(context), context))
    .reading(reading("current", "Supply current", "A", None, None));
    vec![heaters, plate]
}
