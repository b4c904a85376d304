//! The greatest voltage of every capacitor and watts of every resistor.

use super::{CapacitorReport, Extreme, ResistorReport, States};
use crate::circuit::law::Law;
use crate::circuit::netlist::{Element, ElementId, Netlist, NodeId};
use crate::circuit::solver::{Options, Solver};
use crate::circuit::state::{Set, State};
use crate::circuit::wiring::NodeIndex;
use crate::notation::note::{Level, Note};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::tubes::UnitKind;
use std::borrow::Cow;

/// How many tubes go out one by one.
const MOST_ALONE: usize = 16;
/// In how many groups more of them go out.
const GROUPS: usize = 6;

/// The set with a tube out, or with several that stand far apart.
pub struct Without<'a> {
    /// The tubes, by their part's index.
    pub parts: Vec<usize>,
    /// The state.
    pub state: State<'a>,
}

/// The set with each tube but the rectifiers out in turn, at the high line.
///
/// The supply is taken as a source behind a resistance, by its cold and its
/// running state: between the two its line is straight enough for a stress. Of
/// more than sixteen tubes every sixth goes out together: B+ then rises more
/// than it would by one of them.
pub fn without_each<'a>(set: &Set<'a>, high: &State<'a>, cold: &State) -> Vec<Without<'a>> {
    let mut parts: Vec<usize> = set
        .running
        .devices
        .iter()
        .filter(|d| d.kind != UnitKind::Rectifier)
        .map(|d| d.part)
        .collect();
    parts.sort_unstable();
    parts.dedup();
    let Some(base) = load_line(set, high, cold) else { return Vec::new() };
    let Ok(mut solver) = Solver::new(&base) else { return Vec::new() };
    let start = solver.solve(&base, &Options::default(), Some(&high.solution)).ok();
    let groups = if parts.len() > MOST_ALONE { GROUPS } else { parts.len() };
    (0..groups)
        .filter_map(|first| {
            let out: Vec<usize> = parts.iter().copied().skip(first).step_by(groups).collect();
            let mut net = base.clone();
            for element in out.iter().flat_map(|part| &set.running.parts[*part]) {
                if matches!(net.element(*element), Element::Device { .. }) {
                    let _ = net.set_law(*element, Law::Off);
                }
            }
            let solution = solver.solve(&net, &Options::default(), start.as_ref()).ok()?;
            Some(Without { parts: out, state: high.with(net, solution) })
        })
        .collect()
}

/// The netlist at the high line with each supply as a source behind a
/// resistance.
fn load_line(set: &Set, high: &State, cold: &State) -> Option<Netlist> {
    let mut net = high.net.clone();
    for (loaded, free) in high.fed.iter().zip(&cold.fed) {
        let Some(element) = set.sources.get(loaded.feed).and_then(Option::as_ref) else { continue };
        let amps = (loaded.amps - free.amps).max(1e-6);
        let ohms = ((free.volts - loaded.volts) / amps).max(0.0);
        net.soften(*element, free.volts + ohms * free.amps, ohms).ok()?;
    }
    Some(net)
}

/// Every state with its name.
fn named<'a>(sheet: &Sheet, states: &'a States) -> Vec<(Cow<'static, str>, &'a State<'a>)> {
    let mut all = vec![
        ("cold, high line".into(), &states.cold),
        ("running, high line".into(), &states.high),
        ("running, nominal line".into(), &states.running),
    ];
    for without in &states.without {
        let name = match without.parts.as_slice() {
            [part] => format!("{} out", sheet.parts[*part].designator).into(),
            _ => "tubes out".into(),
        };
        all.push((name, &without.state));
    }
    all
}

/// Volts between two nodes in a state.
pub fn between((a, b): (NodeIndex, NodeIndex), state: &State) -> Option<f64> {
    Some(state.volts(a)? - state.volts(b)?)
}

/// Every fixed capacitor with two known places, and its nodes.
pub fn placed<'a>(
    sheet: &'a Sheet,
    set: &Set,
) -> impl Iterator<Item = (&'a Part, (NodeIndex, NodeIndex))> {
    let fixed = sheet.parts.iter().filter(|part| part.kind == PartKind::Capacitor);
    fixed.filter_map(|part| Some((part, set.wiring.leads(part)?)))
}

/// The stress of every capacitor with two known places.
pub fn capacitors(sheet: &Sheet, set: &Set, states: &States) -> Vec<CapacitorReport> {
    let named = named(sheet, states);
    let ripples = ripples(sheet, set, states);
    placed(sheet, set)
        .map(|(part, nodes)| {
            // A lead that floats while the tubes are cold may drift to anything.
            let known = between(nodes, &states.cold).is_some();
            let volts = || named.iter().filter_map(|(name, s)| Some((name, between(nodes, s)?)));
            let worst =
                volts().filter(|_| known).max_by(|(_, a), (_, b)| a.abs().total_cmp(&b.abs()));
            let extreme =
                |(name, volts): (&Cow<'static, str>, f64)| Extreme { volts, state: name.clone() };
            CapacitorReport {
                key: part.key.clone(),
                stress_v: worst.map(|(_, v)| v.abs()),
                stress_state: worst.map_or_else(Cow::default, |(name, _)| name.clone()),
                running_v: between(nodes, &states.running),
                held_v: None,
                held_in: None,
                most: volts().max_by(|(_, a), (_, b)| a.total_cmp(b)).map(extreme),
                least: volts().min_by(|(_, a), (_, b)| a.total_cmp(b)).map(extreme),
                ripple_pp_v: ripples.at(part, nodes, set),
                no_load: None,
                fall: None,
                required_insulation: None,
                leak_moves: None,
                leak_v_per_ua: None,
                leak_allowed_v: None,
            }
        })
        .collect()
}

/// The ripple of every supply at the high line.
struct Ripples<'a> {
    /// The node of each output, and volts peak to peak.
    outputs: Vec<(NodeId, f64)>,
    /// The capacitors behind a choke that a filter begins with.
    behind: Vec<(&'a str, f64)>,
}

fn ripples<'a>(sheet: &'a Sheet, set: &Set, states: &States) -> Ripples<'a> {
    let mut ripples = Ripples { outputs: Vec::new(), behind: Vec::new() };
    for fed in &states.high.fed {
        let feed = &set.feeds[fed.feed];
        let Some(volts) = fed.steady.map(|steady| steady.ripple_peak_to_peak) else { continue };
        match &feed.choke {
            Some(choke) => {
                let keys = choke.capacitors.iter().map(|part| sheet.parts[*part].key.as_str());
                ripples.behind.extend(keys.map(|key| (key, volts)));
            }
            None => ripples.outputs.push((set.running.node(feed.output), volts)),
        }
    }
    ripples
}

impl Ripples<'_> {
    /// The ripple across a capacitor with one lead at an output.
    fn at(&self, part: &Part, (a, b): (NodeIndex, NodeIndex), set: &Set) -> Option<f64> {
        let (a, b) = (set.running.node(a), set.running.node(b));
        let one = self.outputs.iter().filter(|(node, _)| (*node == a) != (*node == b));
        let behind = self.behind.iter().filter(|(key, _)| *key == part.key);
        let all = one.map(|(_, volts)| *volts).chain(behind.map(|(_, volts)| *volts));
        all.reduce(f64::max)
    }
}

/// Watts of every resistor, coil and control.
pub fn resistors(sheet: &Sheet, set: &Set, states: &States) -> Vec<ResistorReport> {
    let named = named(sheet, states);
    let mut all = Vec::new();
    for (index, part) in sheet.parts.iter().enumerate() {
        let resistive = matches!(
            part.kind,
            PartKind::Resistor
                | PartKind::Potentiometer
                | PartKind::ResistanceCord
                | PartKind::Coil
        );
        let known = set.running.parts[index].iter().all(|id| is_known(set, *id));
        if !resistive || set.running.parts[index].is_empty() || !known {
            continue;
        }
        let worst = named
            .iter()
            .map(|(name, state)| (name, watts(&set.running.parts[index], state)))
            .max_by(|(_, a), (_, b)| a.total_cmp(b));
        all.push(ResistorReport {
            key: part.key.clone(),
            watts: watts(&set.running.parts[index], &states.running),
            worst_watts: worst.map_or(0.0, |(_, w)| w),
            worst_state: worst.map_or_else(Cow::default, |(name, _)| name.clone()),
            rated_watts: part.power.map(crate::trade::quantity::Power::to_f64),
        });
    }
    all
}

/// Whether the volts at both ends of an element are known.
fn is_known(set: &Set, id: ElementId) -> bool {
    match *set.running.net.element(id) {
        Element::Resistor { a, b, .. } | Element::Coil { a, b, .. } => {
            set.running.is_known(a) && set.running.is_known(b)
        }
        _ => true,
    }
}

/// Watts in the elements of a part.
fn watts(elements: &[ElementId], state: &State) -> f64 {
    elements
        .iter()
        .map(|id| match *state.net.element(*id) {
            Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } if ohms > 0.0 => {
                state.solution.between(a, b).powi(2) / ohms
            }
            _ => 0.0,
        })
        .sum()
}

/// What the solution shows: tubes without a way for their cathode current,
/// resistors over their rating.
pub fn notes(sheet: &Sheet, set: &Set, states: &States) -> Vec<Note> {
    let mut notes = Vec::new();
    for (index, part) in sheet.parts.iter().enumerate() {
        let (Some(rated), PartKind::Resistor) = (part.power, part.kind) else { continue };
        if !set.running.parts[index].iter().all(|id| is_known(set, *id)) {
            continue;
        }
        let watts = watts(&set.running.parts[index], &states.running);
        if watts > rated.to_f64() * 1.05 {
            notes.push(note(
                part,
                Level::Warning,
                format!(
                    "{}: {watts:.2} W run in a part of {rated}; look at its value and places",
                    part.designator
                ),
            ));
        }
    }
    notes.extend(cathodes(sheet, set));
    notes
}

/// Tubes that are fed but whose cathode goes nowhere.
fn cathodes(sheet: &Sheet, set: &Set) -> Vec<Note> {
    let mut notes = Vec::new();
    for device in set.open_cathodes.iter().map(|index| &set.running.devices[*index]) {
        let part = &sheet.parts[device.part];
        notes.push(note(
            part,
            Level::Warning,
            format!(
                "{}: its cathode has no way to {}; a lead is missing",
                part.designator,
                set.running.reference.map_or("the chassis", |n| set.wiring.nodes[n].name.as_str())
            ),
        ));
    }
    notes
}

fn note(part: &Part, level: Level, message: String) -> Note {
    let length = part.designator.to_string().len();
    Note { line: part.line, column: 1, length, level, message, read: None, choices: Vec::new() }
}
