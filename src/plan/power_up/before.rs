//! Before power: look, compare, measure with the plug out.

use super::{expected, negative, reading, reform, step};
use crate::plan::context::Context;
use crate::plan::hazard::line_fuse_working;
use crate::plan::text::figure;
use crate::plan::types::{Decision, Phase, PlannedPart, PowerStep, Reading, StopKind};
use crate::sheet::part::{PartKind, WindingKind};
use crate::sheet::{Sheet, SupplyKind};

const PHASE: Phase = Phase::BeforePower;

/// The steps with the plug out.
pub fn steps(sheet: &Sheet, parts: &[PlannedPart], context: &Context) -> Vec<PowerStep> {
    let mut steps = vec![look(), fitted(parts), tubes(sheet)];
    if !context.supply.off_line() {
        steps.push(cord_and_fuse(sheet, context));
        steps.push(plug_ohms(sheet, context));
        steps.extend(plug_to_metal(context));
    }
    steps.push(b_plus_ohms(context));
    steps.extend(reform::steps(parts));
    steps.push(load(sheet));
    steps
}

fn look() -> PowerStep {
    step(
        "look",
        PHASE,
        "Look it over",
        "Plug out. Look for burnt resistors, crumbled rubber on wires, solder splashes, wires that \
         touch, anything loose. Check that every new part is where the old one was.",
    )
    .stopping_if("bare wires can touch: sleeve or replace them first")
}

fn fitted(parts: &[PlannedPart]) -> PowerStep {
    let replaced = parts
        .iter()
        .filter(|p| matches!(p.decision, Decision::Replace | Decision::Substitute))
        .count();
    let polarised = parts
        .iter()
        .filter(|p| p.replacement.as_ref().is_some_and(|r| r.polarity.is_some()))
        .count();
    step(
        "fitted",
        PHASE,
        "Compare the work with the plan",
        format!(
            "{replaced} parts are planned to be new. Go through them one by one: value, rating, \
             place. Check the polarity of {polarised} electrolytics twice."
        ),
    )
    .stopping_if("any part of class X or Y on the plan is not fitted")
}

fn tubes(sheet: &Sheet) -> PowerStep {
    let listed: Vec<String> = sheet
        .parts
        .iter()
        .filter(|p| p.kind == PartKind::Tube)
        .map(|p| format!("{} {}", p.designator, p.tube.as_deref().unwrap_or("(type not told)")))
        .collect();
    let action = if listed.is_empty() {
        "Compare each tube with the chart in the set: the right type in each socket.".to_owned()
    } else {
        format!("The right tube in each socket: {}.", listed.join(", "))
    };
    step("tubes", PHASE, "Tubes in their sockets", action)
        .stopping_if("a type differs from the sheet and is not a known substitute")
}

fn cord_and_fuse(sheet: &Sheet, context: &Context) -> PowerStep {
    let working = line_fuse_working(context);
    let fitted = sheet.header.fuse.map_or_else(
        || "The sheet names no fuse: add one in the line wire.".to_owned(),
        |fuse| format!("The sheet names a fuse of {fuse}: compare it."),
    );
    let mut made = step(
        "cord-fuse",
        PHASE,
        "Cord and fuse",
        format!(
            "Bend the cord along its whole length; look into the plug. Fuse: {}. {fitted} Follow \
             the local code.",
            working.result
        ),
    )
    .stopping_if("the cord is cracked, or the fuse is larger than told");
    made.working.push(working);
    made
}

/// Ohms at the plug that no set has: a short. A cold heater string has some
/// twenty and more. Common practice, no source.
const SHORTED_STRING: f64 = 5.0;
/// The same of any other set. Large primaries come down to this; a sheet that
/// says less of its own is believed. Common practice, no source.
const SHORTED: f64 = 1.0;

/// Below this the plug reads as shorted, ohms.
fn shorted(sheet: &Sheet, kind: Option<SupplyKind>) -> f64 {
    if kind == Some(SupplyKind::SeriesString) {
        return SHORTED_STRING;
    }
    let windings = sheet.parts.iter().flat_map(|part| &part.windings);
    let primaries = windings.filter(|winding| winding.kind == WindingKind::Primary);
    let ohms = primaries.filter_map(|winding| Some(winding.resistance?.to_f64()));
    let ohms = ohms.filter(|ohms| *ohms > 0.0);
    // Half of it: windings may run in parallel.
    ohms.fold(SHORTED, |least, ohms| least.min(ohms / 2.0))
}

fn plug_ohms(sheet: &Sheet, context: &Context) -> PowerStep {
    let kind = context.supply.kind.map(|k| k.value);
    let (least, most, expect) = match kind {
        Some(SupplyKind::Transformer) => {
            (Some(3.0), Some(30.0), "The primary: 3 to 30 Ω, less on a large set.")
        }
        Some(SupplyKind::SeriesString) => (
            Some(20.0),
            Some(300.0),
            "The cold heater string: about 100 to 200 Ω at 150 mA, half of that at 300 mA.",
        ),
        _ => (Some(3.0), Some(300.0), "A primary or a cold heater string; never a short."),
    };
    let asked = Reading {
        cure_below: Some(figure(shorted(sheet, kind))),
        ..reading("plug", "Prong to prong", "Ω", least, most)
    };
    step(
        "plug-ohms",
        PHASE,
        "Resistance at the plug",
        "Switch on, plug out: measure from prong to prong.",
    )
    .expecting(expect)
    .stopping_if("open: fuse, cord, switch or a heater; near zero: a short")
    .reading(asked)
    .never_passed()
}

fn plug_to_metal(context: &Context) -> Option<PowerStep> {
    if context.supply.hot_chassis {
        return None;
    }
    let live = context.supply.line_connected != Some(false);
    let (expect, least) = if live {
        ("Only the resistor from B- to chassis, where there is one.", 0.2)
    } else {
        ("Over 2 MΩ both ways.", 2.0)
    };
    let made = step(
        "plug-to-metal",
        PHASE,
        "Plug to metal",
        "Switch on, plug out: measure from each prong to the chassis and to every screw and shaft \
         a hand can reach.",
    )
    .expecting(expect)
    .stopping_if("lower: find the leak before any power")
    .reading(Reading {
        stop: StopKind::CureOnly,
        ..reading("metal", "Prong to metal, the lower of both", "MΩ", Some(least), None)
    });
    Some(made.never_passed())
}

fn b_plus_ohms(context: &Context) -> PowerStep {
    let to = negative(context);
    let (expect, stop, least, most) = ohms_of_b_plus(context);
    step(
        "b-plus-ohms",
        PHASE,
        "Resistance of B+",
        format!(
            "Measure from the first filter capacitor's positive to {to}, red lead on B+. Wait until \
             the reading stands."
        ),
    )
    .expecting(expect)
    .stopping_if(stop)
    .reading(reading("b-plus", "B+ resistance, standing", "kΩ", least, most))
}

/// What B+ should read, when to stop, and the bounds in kilohms.
fn ohms_of_b_plus(context: &Context) -> (String, String, Option<f64>, Option<f64>) {
    let short = "below 1 kΩ: a short; from 1 to 10 kΩ: find the cause first";
    if let Some((ohms, least, most)) = expected::b_plus_ohms(context) {
        let told = expected::ohms_words(ohms);
        let expect = format!(
            "It starts low and climbs as the capacitors charge, to about {told}: what the \
             resistors of the sheet leave. New electrolytics may hold it lower for a minute."
        );
        let stop = format!("it stands below {}: find the leak first", expected::ohms_words(least));
        return (expect, stop, Some(least), Some(most));
    }
    if expected::nothing_bleeds(context) {
        let expect = "It starts low and climbs without end as the capacitors charge: on this sheet \
                      nothing bleeds B+.";
        return (expect.to_owned(), short.to_owned(), Some(30.0), None);
    }
    let expect = "It starts low and climbs as the capacitors charge, usually past 30 kΩ; 10 to 30 \
                  kΩ only where a bleeder or divider on the sheet explains it.";
    (expect.to_owned(), short.to_owned(), Some(30.0), None)
}

fn load(sheet: &Sheet) -> PowerStep {
    let field = sheet.parts.iter().any(|p| p.is_made(crate::sheet::part::Make::FieldCoil));
    let extra = if field {
        " Its field coil is part of the supply: without it there is no B+, or too much."
    } else {
        ""
    };
    step(
        "load",
        PHASE,
        "Speaker connected",
        format!(
            "Connect the speaker, or a resistor in its place: never run the output without load.{extra}"
        ),
    )
}
