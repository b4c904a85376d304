//! What the circuit lets expect at the meters of a power-up.
//!
//! Limits: cathodes warm, tubes as published, parts at their marks. A cold or
//! weak rectifier gives less, cold tubes let B+ rise towards the crest.

use super::reading;
use crate::circuit::report::{AtMeter, NodeReport, SupplyReport, TubeReport};
use crate::plan::charged::Charged;
use crate::plan::context::Context;
use crate::plan::hands::Probe;
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Reading, Working};
use crate::trade::limits::DISCHARGED_V;
use crate::trade::source::Source;
use rustc_hash::FxHashSet;

const CIRCUIT: Source =
    Source::arithmetic("the circuit of this sheet, solved at that part of its line");

/// Parts of one by which B+ may fall short of the expected while all is well.
/// Source: common practice, no source.
const SHORT: f64 = 0.2;

/// The supply that B+ is measured at: the positive one that gives most power.
/// None is told where a supply is not known: it may be that one.
pub fn main_supply(context: &Context) -> Option<&SupplyReport> {
    if context.supply.has_unknown_supply {
        return None;
    }
    let positive = context.circuit.supplies.iter().filter(|supply| !supply.negative);
    positive.max_by(|a, b| (a.volts * a.ma).total_cmp(&(b.volts * b.ma)))
}

/// B+ to expect at a part of the nominal line, all warm.
pub fn b_plus(line: f64, context: &Context) -> Option<f64> {
    main_supply(context)?.volts_at(line).filter(|v| *v > 0.0)
}

/// The least B+ that is well at a part of the nominal line.
pub fn least_b_plus(line: f64, context: &Context) -> Option<f64> {
    b_plus(line, context).map(|v| v * (1.0 - SHORT))
}

/// How an expected B+ was reached.
pub fn b_plus_working(line: f64, expected: f64, context: &Context) -> Option<Working> {
    let supply = main_supply(context)?;
    let inputs = vec![
        input("line", format!("{} % of the nameplate", figure(line * 100.0)), Basis::Computed),
        input("B+ at the nameplate", volts(supply.volts), Basis::Computed),
        input("taken there", Told::Figure(supply.ma, "mA"), Basis::Computed),
    ];
    let rule = "rectifier, filter and tubes brought into agreement at that line, all warm; a \
                rectifier that is not yet warm, or is weak, gives less";
    Some(working("B+ expected", inputs, rule, volts(expected), CIRCUIT))
}

/// Ohms from B+ to its negative with their band, in kilohms; `None` where
/// nothing but capacitors joins them.
pub fn b_plus_ohms(context: &Context) -> Option<(f64, f64, f64)> {
    let node = context.circuit.nodes.get(main_supply(context)?.output)?;
    let (ohms, band) = (node.ohms?, node.band_ohms?);
    (ohms > 0.0).then_some((ohms / 1e3, band.least / 1e3, band.most / 1e3))
}

/// Whether the circuit shows B+ with no way to discharge.
pub fn nothing_bleeds(context: &Context) -> bool {
    main_supply(context)
        .and_then(|s| context.circuit.nodes.get(s.output))
        .is_some_and(|node| node.ohms.is_none())
}

/// Volts to check at the full line: supply points, plates, screens, cathodes,
/// each node once.
///
/// A node with an alternating voltage is none of them, nor is one that no meter
/// belongs on.
pub fn voltages(context: &Context) -> Vec<Reading> {
    let circuit = &context.circuit;
    let high = context.supply.high_part();
    let mut seen = FxHashSet::default();
    let mut all = Vec::new();
    // Words are made for what is told alone.
    let mut add = |index: usize, words: &dyn Fn() -> (String, String)| {
        let node = &circuit.nodes[index];
        let probe = Probe::at(node, high);
        if is_worth(node) && probe != Probe::Never && seen.insert(index) {
            let (band, (id, mut what)) = (node.band_v, words());
            if let Some(care) = probe.words() {
                what = format!("{what}: {care}");
            }
            all.push(reading(&id, &what, "V", band.map(|b| b.least), band.map(|b| b.most)));
        }
    };
    for supply in &circuit.supplies {
        let name = &circuit.nodes[supply.fed()].name;
        add(supply.fed(), &|| (name.clone(), format!("{name}, at the rectifier")));
    }
    for (index, node) in circuit.nodes.iter().enumerate() {
        let traits = context.points.traits(index);
        if traits.has(crate::circuit::points::Traits::PLACED_B_PLUS) {
            add(index, &|| (node.name.clone(), format!("{}, supply point", node.name)));
        }
    }
    // What tells most first; at last every other pin that carries something.
    for electrode in ["plate", "grid 2", "cathode", ""] {
        for tube in &circuit.tubes {
            pins(tube, electrode, &mut add);
        }
    }
    all
}

/// The pins of a tube that tell whether it works.
fn pins(
    tube: &TubeReport,
    electrode: &str,
    add: &mut impl FnMut(usize, &dyn Fn() -> (String, String)),
) {
    for pin in &tube.pins {
        let telling = pin.electrode.contains(electrode) && !pin.electrode.contains("diode");
        if let (true, Some(node)) = (telling, pin.node) {
            add(node, &|| {
                let place = if pin.pin == 0 { "cap".to_owned() } else { pin.pin.to_string() };
                let what = format!("{} {}, {} (pin {place})", tube.key, tube.tube, pin.electrode);
                (format!("{}.{place}", tube.key), what)
            });
        }
    }
}

/// A node at the reference, or next to it, tells nothing.
fn is_worth(node: &NodeReport) -> bool {
    node.meter == AtMeter::Direct && node.running_v.is_some_and(|v| v.abs() >= 0.5)
}

/// A reading for every capacitor that may hold a charge.
pub fn charged_capacitors(charged: &[Charged]) -> Vec<Reading> {
    let of = |charged: &Charged| {
        let id = format!("left-{}", charged.key);
        reading(&id, &charged.words(), "V", None, Some(DISCHARGED_V))
    };
    charged.iter().map(of).collect()
}

/// The expected ohms in words.
pub fn ohms_words(kilohms: f64) -> String {
    ohms_text(kilohms * 1e3)
}
