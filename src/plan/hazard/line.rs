//! Hazards of the line: live chassis, capacitors on the line, touch current,
//! fuse and cord.

use super::{Words, keys};
use crate::circuit::points::{ChassisTie, Traits};
use crate::plan::context::Context;
use crate::plan::role::reaches_metal;
use crate::plan::safety::Line;
use crate::plan::text::{figure, input, milliamperes, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Decision, Hazard, PlannedPart, Severity, Working};
use crate::sheet::part::PartKind;
use crate::sheet::{Cord, Sheet};
use crate::trade::limits::touch_current;
use crate::trade::limits::{FUSE_SOURCE, FUSE_TIMES, FUSES_A, TOUCH_FORMULA, TOUCH_TOLERANCE};
use crate::trade::role::Role;

const HOT_CHASSIS: Words = Words {
    id: "hot-chassis",
    title: "The set is tied to the line",
    severity: Severity::Danger,
    happens: "B- hangs on one wire of the plug: with the plug one way round, or with the switch \
              open in the wrong wire, it carries the full line, and the chassis with it where the \
              two are joined. A hand on it and another on anything earthed can kill.",
    todo: "Work behind an isolation transformer, one hand at a time, and treat the chassis as \
           live even switched off. Never connect it to earth. Before the set leaves the bench see \
           to knobs, screws and back, and follow the local code.",
};

const CHASSIS_UNKNOWN: Words = Words {
    id: "hot-chassis",
    title: "Whether the set is tied to the line is not known",
    severity: Severity::Danger,
    happens: "Without a power transformer the chassis may carry the full line.",
    todo: "Take it as live until an ohmmeter between each plug prong and the chassis, power off \
           and switch on, says otherwise. Then add a supply line to the sheet.",
};

const LINE_CAPACITOR: Words = Words {
    id: "line-capacitor",
    title: "Capacitors on the line",
    severity: Severity::Danger,
    happens: "A part across the line that shorts can burn; one from the line to metal that shorts \
              makes the metal live. Old paper does both.",
    todo: "Fit the class named and no other: X across the line, Y from the line to metal. Leave \
           none of the old ones in place, and keep them behind the fuse.",
};

const MISSING_FUSE: Words = Words {
    id: "missing-fuse",
    title: "No fuse on the sheet",
    severity: Severity::Warning,
    happens: "A shorted winding, rectifier or filter draws until something burns.",
    todo: "Add a slow fuse in the line wire, ahead of the switch, in an insulated holder.",
};

const TWO_WIRE: Words = Words {
    id: "two-wire-cord",
    title: "Two-wire cord",
    severity: Severity::Warning,
    happens: "No earth carries a fault away: a leak from the primary makes the metal live until \
              someone touches it.",
    todo: "Replace a brittle cord. On a transformer set whose chassis is not on the line, a cord \
           with earth may be fitted as the local code says; on any other set never join earth and \
           chassis, and use a polarised plug with switch and fuse in the hot wire.",
};

const EARTHED_LIVE: Words = Words {
    id: "earthed-cord",
    title: "Three-wire cord on a set tied to the line",
    severity: Severity::Danger,
    happens: "Joined to this chassis, earth shorts the line through it with the plug one way \
              round, and with it the other way one fault stands between the hand and the line.",
    todo: "Take the earth wire off B- and chassis before anything else.",
};

const LIVE_CONTACT: Words = Words {
    id: "live-contact",
    title: "Metal or a contact that hands touch is on the line",
    severity: Severity::Danger,
    happens: "",
    todo: "Plug nothing in and touch neither the contact nor what is plugged into it. Put a class \
           Y1 capacitor into every lead to it, no larger than the touch limit allows, or take the \
           contact out of use. Measure from it to both blades of the plug before power.",
};

const SHORTED: Words = Words {
    id: "line-shorted",
    title: "The line is shorted as drawn",
    severity: Severity::Danger,
    happens: "",
    todo: "Do not plug the set in. Unplugged, with its switch on, measure between the blades of \
           the plug, and compare the sheet with the set. Correct the sheet before you rely on any \
           figure of this plan.",
};

/// The hazards of the line; none for a set off the line but its own parts.
pub fn hazards(sheet: &Sheet, parts: &[PlannedPart], context: &Context) -> Vec<Hazard> {
    let mut found = Vec::new();
    let on_line = keys(parts, |p| {
        p.role.is_some_and(|r| r.value.is_line_place())
            || p.replacement.as_ref().is_some_and(|r| r.class.is_some())
    });
    found.extend(LINE_CAPACITOR.of(on_line));
    found.extend(touch(sheet, parts, context));
    found.extend(shorted(sheet, context));
    found.extend(live_contact(sheet, context));
    let live = context.supply.line_connected;
    if context.supply.off_line() {
        return found;
    }
    match live {
        Some(true) => found.push(hot_chassis(context)),
        Some(false) => {}
        None => found.push(CHASSIS_UNKNOWN.hazard(Vec::new(), Vec::new())),
    }
    let fused = sheet.header.fuse.is_some() || parts.iter().any(|p| p.kind == PartKind::Fuse);
    if !fused {
        found.push(MISSING_FUSE.hazard(Vec::new(), vec![fuse_working(context)]));
    }
    found.extend(cord(sheet, parts, live));
    found
}

fn hot_chassis(context: &Context) -> Hazard {
    let mut hazard = HOT_CHASSIS.hazard(Vec::new(), Vec::new());
    let points = &context.points;
    if context.supply.hot_chassis {
        "The chassis itself is on the line".clone_into(&mut hazard.title);
        if points.tied(Traits::CHASSIS, Traits::MAINS) {
            hazard.what_can_happen.push_str(
                " As drawn, a wire of the line goes to the chassis: with the plug one way round \
                 every screw of the set is at the full line, even switched off.",
            );
        }
    } else if points.chassis_tie() == ChassisTie::Assumed {
        "The chassis itself is on the line, assumed".clone_into(&mut hazard.title);
        hazard.what_can_happen.push_str(
            " The sheet shows no tie, but its supply comes back to the chassis: the chassis is \
             taken to be B-.",
        );
    }
    hazard
}

/// Line and neutral are one point on the sheet.
fn shorted(sheet: &Sheet, context: &Context) -> Option<Hazard> {
    let by = context.points.line_shorted()?;
    let keys: Vec<String> = by.iter().map(|index| sheet.parts[*index].key.clone()).collect();
    let through = if keys.is_empty() {
        "by its wires".to_owned()
    } else {
        format!("through {}", keys.join(", "))
    };
    let mut hazard = SHORTED.hazard(keys, Vec::new());
    hazard.what_can_happen = format!(
        "On this sheet line and neutral are one point, {through}. Wired so, plugging the set in \
         is a dead short: it can burn the cord and throw sparks."
    );
    Some(hazard)
}

/// Contacts and metal that stand on the line with no capacitor between.
fn live_contact(sheet: &Sheet, context: &Context) -> Option<Hazard> {
    let touches = context.points.live_touches();
    if touches.is_empty() {
        return None;
    }
    let mut keys: Vec<String> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    for touch in touches {
        let node = &context.wiring.nodes[touch.node].name;
        let key = touch.part.map(|index| sheet.parts[index].key.clone());
        names.push(key.as_ref().map_or_else(|| node.clone(), |key| format!("{key} at {node}")));
        keys.extend(key.filter(|key| !keys.contains(key)));
    }
    let mut hazard = LIVE_CONTACT.hazard(keys, Vec::new());
    hazard.what_can_happen = format!(
        "As drawn, nothing isolates {} from the line, B- or the supply of this set. Whoever \
         touches it may touch the full line.",
        names.join(", ")
    );
    Some(hazard)
}

fn cord(sheet: &Sheet, parts: &[PlannedPart], live: Option<bool>) -> Option<Hazard> {
    let cords = keys(parts, |p| p.kind == PartKind::Cord);
    match sheet.header.cord {
        Some(Cord::ThreeWire) if live == Some(true) => Some(EARTHED_LIVE.hazard(cords, Vec::new())),
        Some(Cord::ThreeWire) => None,
        Some(Cord::TwoWire) => Some(TWO_WIRE.hazard(cords, Vec::new())),
        None => {
            let mut hazard = TWO_WIRE.hazard(cords, Vec::new());
            "Two-wire cord, assumed".clone_into(&mut hazard.title);
            hazard.severity = Severity::Caution;
            Some(hazard)
        }
    }
}

/// The fuse that suits the set.
pub fn fuse_working(context: &Context) -> Working {
    let supply = &context.supply;
    let amperes = supply.watts.value / supply.mains_v.max(1.0);
    let (least, most) = (amperes * FUSE_TIMES.0, amperes * FUSE_TIMES.1);
    let inputs = vec![
        input("set", Told::Figure(supply.watts.value, "W"), supply.watts.basis),
        input("nameplate", volts(supply.mains_v), Basis::Computed),
    ];
    let sold = FUSES_A.iter().find(|a| **a >= least && **a <= most * 1.05);
    let result = sold.map_or_else(
        || format!("between {} and {} A, slow", figure(least), figure(most)),
        |a| format!("{a} A, slow ({} to {} A)", figure(least), figure(most)),
    );
    working("fuse", inputs, "1.5 to 2 times watts / volts", result, FUSE_SOURCE)
}

/// The current through a person from all line-to-metal parts together, as
/// they will be after the work.
fn touch(sheet: &Sheet, parts: &[PlannedPart], context: &Context) -> Option<Hazard> {
    let line = Line::of(&context.supply);
    let capacitors: Vec<&PlannedPart> = parts.iter().filter(|p| carries_touch(p)).collect();
    let picofarads: f64 = capacitors.iter().filter_map(|p| after(p)).sum();
    let resistors = bridging(sheet, parts, context);
    let siemens: f64 = resistors.iter().filter_map(|p| p.old.ohms).map(|r| 1.0 / r).sum();
    let ohms = (siemens > 0.0).then(|| 1.0 / siemens);
    let farads = picofarads * 1e-12 * (1.0 + TOUCH_TOLERANCE);
    let total = touch_current(line.volts, line.hertz, farads, ohms);
    if total <= line.limit {
        return None;
    }
    let mut inputs = vec![
        input("high line", volts(line.volts), Basis::Computed),
        input("frequency", format!("{} Hz", line.hertz), Basis::Computed),
        input("capacitance, +20 %", Told::Figure(farads * 1e6, "µF"), Basis::Computed),
        input("limit", milliamperes(line.limit), context.supply.touch.basis),
    ];
    if let Some(ohms) = ohms {
        inputs.push(input("resistors", Told::Figure(ohms, "Ω"), Basis::Placed));
    }
    let rule = "I = V·√(1/R² + (2π·f·C)²) over all parts from the line to metal";
    let of = working("touch current", inputs, rule, milliamperes(total), TOUCH_FORMULA);
    let keys = capacitors.iter().map(|p| p.key.clone());
    Some(Hazard {
        id: "touch-current".to_owned(),
        title: "Current through whoever touches the metal".to_owned(),
        severity: Severity::Danger,
        what_can_happen: format!(
            "Even with new parts as planned, up to {} may flow through a person to earth, over the \
             limit of {} planned for.",
            milliamperes(total),
            milliamperes(line.limit)
        ),
        what_to_do: "Their currents add: leave out what the set can do without, fit smaller ones, \
                     raise the resistor, or see that no metal can be touched."
            .to_owned(),
        parts: keys.chain(resistors.iter().map(|p| p.key.clone())).collect(),
        working: vec![of],
    })
}

/// Capacitors from the line to metal; the antenna's is metal of its own.
fn carries_touch(part: &PlannedPart) -> bool {
    part.role.is_some_and(|r| reaches_metal(r.value) && r.value != Role::AntennaIsolation)
}

/// What stands there after the work, picofarads.
fn after(part: &PlannedPart) -> Option<f64> {
    match (&part.replacement, part.decision) {
        (Some(new), _) => Some(new.picofarads),
        (None, Decision::Replace) => None,
        _ => part.old.picofarads,
    }
}

/// Resistors that stay between the line and metal.
fn bridging<'a>(
    sheet: &Sheet,
    parts: &'a [PlannedPart],
    context: &Context,
) -> Vec<&'a PlannedPart> {
    sheet
        .parts
        .iter()
        .zip(parts)
        .filter(|(old, new)| {
            old.kind == PartKind::Resistor
                && new.decision == Decision::Test
                && new.old.ohms.is_some_and(|r| r > 0.0)
                && context
                    .placed(old)
                    .is_some_and(|r| reaches_metal(r.role) && r.role != Role::AntennaIsolation)
        })
        .map(|(_, new)| new)
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{between, capacitor, resistor, series_string, transformer};
    use crate::sheet::Cord;
    use crate::trade::safety::SafetyClass;

    fn ids(sheet: &crate::sheet::Sheet) -> Vec<String> {
        plan(sheet).hazards.into_iter().map(|h| h.id).collect()
    }

    #[test]
    fn a_transformer_set_has_no_hot_chassis() {
        let told = ids(&transformer("700", vec![]));
        assert_eq!(told, ["missing-fuse", "two-wire-cord"]);
    }

    #[test]
    fn earth_on_a_live_chassis_is_a_danger() {
        let mut sheet = series_string(vec![]);
        sheet.header.cord = Some(Cord::ThreeWire);
        assert_eq!(ids(&sheet), ["hot-chassis", "earthed-cord", "missing-fuse"]);
    }

    #[test]
    fn line_parts_are_named_in_their_hazard() {
        let plan = plan(&series_string(vec![
            between(capacitor("C1", "0.05", "400"), "line", "B-"),
            capacitor("C2", "0.05", "400"),
        ]));
        let hazard = plan.hazards.iter().find(|h| h.id == "line-capacitor").unwrap();
        assert_eq!(hazard.parts, ["C1"]);
        assert_eq!(plan.parts[0].hazards, ["line-capacitor"]);
        assert!(plan.parts[1].hazards.is_empty());
    }

    #[test]
    fn capacitor_and_resistor_as_planned_stay_under_the_limit_and_two_do_not() {
        let one = vec![
            between(capacitor("C1", "0.2", "400"), "B-", "chassis"),
            between(resistor("R1", "470000"), "B-", "chassis"),
        ];
        assert!(!ids(&series_string(one.clone())).contains(&"touch-current".to_owned()));
        let mut two = one;
        let mut fitted = between(capacitor("C2", "0.0047", ""), "line", "chassis");
        fitted.class = Some(SafetyClass::Y2);
        two.push(fitted);
        assert!(ids(&series_string(two)).contains(&"touch-current".to_owned()));
    }
}
