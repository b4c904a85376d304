//! The place of one part: what meets its nodes, what it must stand there, and
//! the pins it goes to.

use super::figures::{ohms, volts};
use super::stored;
use super::supply::value;
use super::tubes::{TubeChart, chart};
use crate::circuit::report::{CapacitorReport, Report, ResistorReport};
use crate::circuit::wiring::{End, Lead, NodeIndex, Wiring};
use crate::plan::types::{Basis, Input, Working};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::source::Source;
use crate::ui::draw::near::{Block, Met};
use crate::ui::draw::symbol::Symbol;
use std::collections::BTreeMap;

pub use crate::ui::draw::near::Neighbourhood;

/// The most neighbours drawn at a node of a part with two leads.
const MOST: usize = 12;
/// The same for a part with more terminals.
const MOST_OF_MANY: usize = 4;
/// The most bases drawn beside a part.
const MOST_BASES: usize = 2;

/// What a part is joined to; in words what is missing where it is not.
///
/// # Errors
/// What to write on the sheet.
pub fn neighbourhood(
    sheet: &Sheet,
    wiring: &Wiring,
    report: &Report,
    key: &str,
) -> Result<Neighbourhood, String> {
    let found = sheet.parts.iter().position(|p| p.key == key);
    let at = found.ok_or_else(|| format!("{key} is not on the sheet."))?;
    let view = View { sheet, wiring, report, at };
    let part = &sheet.parts[at];
    let ends = view.ends();
    if ends.is_empty() {
        return Err(how_to_connect(part));
    }
    let most = if ends.len() > 2 { MOST_OF_MANY } else { MOST };
    let named = ends.len() > 2;
    let blocks = ends.iter().map(|(end, node)| view.block(end, *node, most, named)).collect();
    Ok(Neighbourhood { name: key.to_owned(), value: value(part), symbol: Symbol::of(part), blocks })
}

/// What to write so that a part has a place.
fn how_to_connect(part: &Part) -> String {
    let name = &part.designator;
    match part.kind {
        PartKind::Tube => format!("{name} has no pins yet. Give them on its line: 6=B2 8=pl."),
        PartKind::Transformer => {
            format!("{name} has no windings yet. Give them on its line: primary 1 to 2.")
        }
        _ => format!("{name} has no places yet. Say on its line where its leads go: V2.6 to B2."),
    }
}

/// The bases of the tubes whose pins a part goes to, its pins marked.
pub fn bases(sheet: &Sheet, wiring: &Wiring, report: &Report, key: &str) -> Vec<TubeChart> {
    let Some(part) = sheet.parts.iter().find(|p| p.key == key) else { return Vec::new() };
    let Some((a, b)) = wiring.leads(part) else { return Vec::new() };
    let mut tubes: BTreeMap<usize, BTreeMap<u8, String>> = BTreeMap::new();
    for node in [a, b].into_iter().filter(|n| !is_common(wiring, *n)) {
        for lead in &wiring.nodes[node].leads {
            let pin = match lead.end {
                End::Pin(pin) => pin,
                End::Cap => 0,
                _ => continue,
            };
            tubes.entry(lead.part).or_default().insert(pin, key.to_owned());
        }
    }
    let charts =
        tubes.iter().filter_map(|(at, marks)| chart(sheet, report, &sheet.parts[*at].key, marks));
    charts.take(MOST_BASES).collect()
}

/// Points that every part of a set may meet say little of one.
fn is_common(wiring: &Wiring, node: NodeIndex) -> bool {
    ["chassis", "B-", "line", "neutral"].contains(&wiring.nodes[node].name.as_str())
}

/// What a part must stand in its place, each with its working.
pub fn workings(report: &Report, key: &str) -> Vec<Working> {
    let capacitor = report.capacitors.iter().find(|c| c.key == key);
    let resistor = report.resistors.iter().find(|r| r.key == key);
    let mut all = Vec::new();
    if let Some(found) = capacitor {
        all.extend(stress(found));
        all.extend(insulation(found));
        all.extend(discharge(found));
    }
    all.extend(resistor.map(watts));
    all
}

fn input(name: &str, value: String) -> Input {
    Input { name: name.to_owned(), value, basis: Basis::Computed }
}

fn stress(found: &CapacitorReport) -> Option<Working> {
    let most = found.stress_v?;
    let mut inputs = vec![input("greatest in", found.stress_state.clone())];
    inputs.extend(found.running_v.map(|v| input("running", volts(v))));
    Some(Working {
        of: "stress".to_owned(),
        inputs,
        rule: "The greatest direct voltage of all states: cold at the high line, running at every line, each tube out in turn.".to_owned(),
        result: volts(most),
        source: Source::arithmetic("the voltages of this sheet, solved"),
    })
}

fn insulation(found: &CapacitorReport) -> Option<Working> {
    let required = found.required_insulation?;
    let point = found.leak_moves.as_ref()?;
    let (per_ua, allowed) = (found.leak_v_per_ua?, found.leak_allowed_v?);
    Some(Working {
        of: "required insulation".to_owned(),
        inputs: vec![
            input("a leak moves first the", point.clone()),
            input("by, each µA", format!("{per_ua:.3} V")),
            input("which may move", volts(allowed.max(0.05))),
        ],
        rule: "The voltage across it, divided by the leakage current that moves that point as far as it may.".to_owned(),
        result: format!("at least {}", ohms(required)),
        source: Source::arithmetic("the sensitivities of this sheet, solved; how far a point may move is common practice"),
    })
}

fn discharge(found: &CapacitorReport) -> Option<Working> {
    let fall = found.fall.as_ref()?;
    Some(Working {
        of: "after switching off".to_owned(),
        inputs: Vec::new(),
        rule: "All capacitors with the resistors that join them, tubes not conducting: the longest case.".to_owned(),
        result: stored::words(fall),
        source: Source::arithmetic("the discharge of this sheet, followed in time"),
    })
}

fn watts(found: &ResistorReport) -> Working {
    let of = found.rated_watts.map(|w| format!(" of {w} W rated")).unwrap_or_default();
    Working {
        of: "dissipation".to_owned(),
        inputs: vec![
            input("running", format!("{} W", small(found.watts))),
            input("greatest in", found.worst_state.clone()),
        ],
        rule: "The voltage across it squared, divided by its resistance.".to_owned(),
        result: format!("{} W{of}", small(found.worst_watts)),
        source: Source::arithmetic("the voltages of this sheet, solved"),
    }
}

fn small(watts: f64) -> String {
    if watts < 0.01 { "under 0.01".to_owned() } else { format!("{watts:.2}") }
}

struct View<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    report: &'a Report,
    at: usize,
}

impl View<'_> {
    /// The part's own ends, each with its node.
    fn ends(&self) -> Vec<(End, NodeIndex)> {
        let mut ends: Vec<(End, NodeIndex)> = Vec::new();
        for (node, found) in self.wiring.nodes.iter().enumerate() {
            let own = found.leads.iter().filter(|lead| lead.part == self.at);
            ends.extend(own.map(|lead| (lead.end.clone(), node)));
        }
        let rank = |end: &End| match end {
            End::From => (0, String::new()),
            End::To => (1, String::new()),
            End::Terminal(name) => (2, format!("{name:0>4}")),
            End::Pin(pin) => (3, format!("{pin:0>4}")),
            End::Cap => (4, String::new()),
        };
        ends.sort_by_key(|(end, _)| rank(end));
        ends
    }

    fn block(&self, end: &End, node: NodeIndex, most: usize, named: bool) -> Block {
        let found = &self.wiring.nodes[node];
        let mut others: Vec<&Lead> = found.leads.iter().filter(|l| l.part != self.at).collect();
        // Tubes first: their pins are where a meter goes.
        others.sort_by_key(|l| (!matches!(l.end, End::Pin(_) | End::Cap), l.part));
        let met = others.iter().take(most).map(|lead| self.met(lead, node)).collect();
        let running = self.report.nodes.get(node).and_then(|n| n.running_v);
        Block {
            terminal: named.then(|| self.terminal(end)),
            name: found.name.clone(),
            figure: running.map_or_else(|| "voltage not known".to_owned(), volts),
            met,
            more: others.len().saturating_sub(most),
        }
    }

    fn terminal(&self, end: &End) -> String {
        match end {
            End::From => "first lead".to_owned(),
            End::To => "second lead".to_owned(),
            End::Terminal(name) => format!("terminal {name}"),
            End::Pin(pin) => match self.electrode(self.at, Some(*pin)) {
                Some(electrode) => format!("pin {pin}, {electrode}"),
                None => format!("pin {pin}"),
            },
            End::Cap => "top cap".to_owned(),
        }
    }

    fn electrode(&self, part: usize, pin: Option<u8>) -> Option<String> {
        let socket = self.wiring.socket(part)?;
        match pin {
            Some(pin) => socket.electrode_name(pin),
            None => socket.cap_name(),
        }
    }

    fn met(&self, lead: &Lead, node: NodeIndex) -> Met {
        let part = &self.sheet.parts[lead.part];
        let key = &part.key;
        let (symbol, name, detail) = match &lead.end {
            End::Pin(pin) => {
                let electrode = self.electrode(lead.part, Some(*pin));
                let kind = part.tube.clone().unwrap_or_default();
                let what = electrode.unwrap_or(kind);
                (Symbol::Tube, format!("{key} pin {pin}"), what)
            }
            End::Cap => {
                let what = self.electrode(lead.part, None).unwrap_or_default();
                (Symbol::Tube, format!("{key} top cap"), what)
            }
            End::Terminal(terminal) => {
                let symbol = match part.kind {
                    PartKind::Transformer => Symbol::IronCoil,
                    _ => Symbol::Terminal,
                };
                (symbol, format!("{key}.{terminal}"), self.winding(part, terminal, node))
            }
            End::From | End::To => {
                let far = self.wiring.leads(part).map(|(a, b)| if a == node { b } else { a });
                let far = far.map(|n| format!("to {}", self.wiring.nodes[n].name));
                let detail = [value(part), far.unwrap_or_default()].join(" ").trim().to_owned();
                (Symbol::of(part), key.clone(), detail)
            }
        };
        Met { symbol, turned: lead.end == End::To, name, detail }
    }

    /// Where a winding's terminal leads on to.
    fn winding(&self, part: &Part, terminal: &str, node: NodeIndex) -> String {
        let is = |t: &str| t == terminal;
        let own = part
            .windings
            .iter()
            .find(|w| is(&w.start) || is(&w.end) || w.tap.as_deref().is_some_and(is));
        let Some(winding) = own else {
            return match part.kind {
                PartKind::Potentiometer => "wiper".to_owned(),
                PartKind::Switch => "contact".to_owned(),
                _ => part.remark.clone().unwrap_or_else(|| "terminal".to_owned()),
            };
        };
        let far = if is(&winding.start) { &winding.end } else { &winding.start };
        let far = self.wiring.terminal(part, far).filter(|n| *n != node);
        let far = far.map(|n| format!(" to {}", self.wiring.nodes[n].name));
        format!("winding{}", far.unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::report::report;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::near::{narrow, wide};
    use crate::ui::draw::support::assert_readable;

    #[test]
    fn every_part_of_the_example_sets_has_a_readable_place() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            let (wiring, report) = (Wiring::of(&sheet), report(&sheet));
            for part in &sheet.parts {
                match neighbourhood(&sheet, &wiring, &report, &part.key) {
                    Ok(near) => {
                        for drawing in [wide(&near), narrow(&near)] {
                            assert_readable(&drawing, &format!("{} {}", example.id, part.key));
                        }
                        assert!(narrow(&near).view().width < 350.0, "{} {}", example.id, part.key);
                    }
                    Err(words) => assert!(words.contains(&part.key), "{words}"),
                }
            }
        }
    }

    #[test]
    fn a_coupling_capacitor_is_shown_between_plate_and_grid() {
        let sheet = Sheet::read(EXAMPLES[0].text);
        let (wiring, report) = (Wiring::of(&sheet), report(&sheet));
        let near = neighbourhood(&sheet, &wiring, &report, "C17").unwrap();
        let first = &near.blocks[0].met[0];
        assert_eq!((first.name.as_str(), first.detail.as_str()), ("V3 pin 6", "triode plate"));
        let second = &near.blocks[1].met[0];
        assert_eq!((second.name.as_str(), second.detail.as_str()), ("V4 pin 5", "grid"));
        let bases = bases(&sheet, &wiring, &report, "C17");
        let marked: Vec<&str> = bases.iter().map(|b| b.key.as_str()).collect();
        assert_eq!(marked, ["V3", "V4"]);
        assert!(bases[0].drawing.words.contains("pin 6 triode plate, 30 V, C17 goes here"));
    }

    #[test]
    fn a_part_without_places_says_how_to_give_them() {
        let sheet = Sheet::read("C7 .05 400 V paper");
        let (wiring, report) = (Wiring::of(&sheet), report(&sheet));
        let words = neighbourhood(&sheet, &wiring, &report, "C7").unwrap_err();
        assert_eq!(words, "C7 has no places yet. Say on its line where its leads go: V2.6 to B2.");
    }

    #[test]
    fn stress_and_insulation_come_with_their_working() {
        let report = report(&Sheet::read(EXAMPLES[0].text));
        let told: Vec<String> = workings(&report, "C17")
            .into_iter()
            .map(|w| format!("{}: {}", w.of, w.result))
            .collect();
        assert_eq!(told[0], "stress: 177 V");
        assert_eq!(told[1], "required insulation: at least 142 MΩ");
        assert!(workings(&report, "R8")[0].result.contains("W of 0.5 W rated"));
    }
}
