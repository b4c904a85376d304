//! The most volts across every capacitor with no load: tubes cold, every
//! resistor that may open open.

use super::{CapacitorReport, Line, NoLoad, stress};
use crate::circuit::charge::{Charge, Charging, Paths};
use crate::circuit::netlist::Element;
use crate::circuit::state::{Set, State};
use crate::circuit::wiring::NodeIndex;
use crate::sheet::Sheet;
use crate::sheet::part::PartKind;
use crate::trade::tubes::UnitKind;
use rustc_hash::{FxHashMap, FxHashSet};

/// What stands higher above its return is no bias but an output: its resistor
/// is a bleeder. Source: common practice, no source; output triodes reach 70 V.
const MOST_BIAS_VOLTS: f64 = 100.0;

/// Fills in the no-load volts of capacitors in the order of [`stress::placed`].
pub fn fill(
    capacitors: &mut [CapacitorReport],
    (sheet, set, line): (&Sheet, &Set, Line),
    running: &State,
) {
    let paths = paths(sheet, set, line);
    let (cathodes, across) = (cathodes(set), across(set));
    for ((_, (a, b)), report) in stress::placed(sheet, set).zip(capacitors) {
        let (p, n) = (set.running.node(a), set.running.node(b));
        // A contact across it may be open: what it then sees is not known here.
        if p == n && a != b {
            continue;
        }
        let low = stress::between((a, b), running).is_none_or(|v| v.abs() <= MOST_BIAS_VOLTS);
        let is_cathode = |node: &usize| cathodes.contains(node) && !paths.is_return(*node);
        let cathode = [p.index(), n.index()].into_iter().find(is_cathode).filter(|_| low);
        let charge = paths.across(p.index(), n.index(), cathode);
        let keys = across.get(&pair(p.index(), n.index()));
        report.no_load = charge.map(|charge| no_load(charge, keys));
    }
}

/// Every supply at the high line, batteries, and what conducts with the tubes
/// cold.
fn paths(sheet: &Sheet, set: &Set, line: Line) -> Paths {
    let net = &set.running.net;
    let at = |node: NodeIndex| set.running.node(node).index();
    let mut charging = Charging::new(net.node_count());
    for (_, element) in net.elements() {
        if let Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } = *element {
            charging.resistor(a.index(), b.index(), ohms);
        }
    }
    for feed in &set.feeds {
        // No drop: a rectifier that passes nothing takes none.
        let peak = feed.open_rms * std::f64::consts::SQRT_2 * line.high;
        let whole = feed.supply.topology.multiple() * peak;
        charging.supply(at(feed.output), at(feed.back), whole);
        if let Some(held) = feed.held {
            charging.supply(at(held.plus), at(held.minus), whole / 2.0);
        }
    }
    for part in sheet.parts.iter().filter(|part| part.kind == PartKind::Battery) {
        if let (Some((plus, minus)), Some(volts)) = (set.wiring.leads(part), part.rating) {
            charging.supply(at(plus), at(minus), volts.to_f64());
        }
    }
    charging.find(set.running.reference.map(at))
}

/// Ohms from a filament to the tap of its winding, or of the resistor across
/// it. Source: common practice, no source.
const TAP_OHMS: f64 = 30.0;

/// The cathodes of tubes that amplify, by their node in the netlist, with the
/// taps of their filaments.
fn cathodes(set: &Set) -> FxHashSet<usize> {
    let amplify =
        |kind| !matches!(kind, UnitKind::Rectifier | UnitKind::Regulator | UnitKind::Diode);
    let devices = set.running.devices.iter().filter(|device| amplify(device.kind));
    let own: FxHashSet<usize> =
        devices.map(|device| set.running.node(device.cathode).index()).collect();
    let mut all = own.clone();
    for (_, element) in set.running.net.elements() {
        if let Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } = *element
            && ohms <= TAP_OHMS
        {
            for (from, to) in [(a.index(), b.index()), (b.index(), a.index())] {
                if own.contains(&from) {
                    all.insert(to);
                }
            }
        }
    }
    all
}

/// The keys of what conducts between each pair of nodes.
type Across<'a> = FxHashMap<(usize, usize), Vec<&'a str>>;

fn across<'a>(set: &'a Set) -> Across<'a> {
    let net = &set.running.net;
    let mut all: Across<'a> = FxHashMap::default();
    for (id, element) in net.elements() {
        if let Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } = *element {
            all.entry(pair(a.index(), b.index())).or_default().push(net.element_name(id));
        }
    }
    all
}

const fn pair(a: usize, b: usize) -> (usize, usize) {
    if a < b { (a, b) } else { (b, a) }
}

/// What is told of a charge.
fn no_load(charge: Charge, keys: Option<&Vec<&str>>) -> NoLoad {
    let keys = keys.filter(|_| charge.held_by.is_some());
    let held_by = keys.map_or_else(Vec::new, |keys| keys.iter().map(|k| (*k).to_owned()).collect());
    NoLoad { volts: charge.volts, held_by, opened_v: charge.opened }
}
