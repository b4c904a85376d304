//! The place of one part: what meets its nodes, what it must stand there, and
//! the pins it goes to.

use super::figures::{NOT_KNOWN, PointFigure, ohms, volts};
use super::stored;
use super::supply::value;
use super::tubes::{TubeChart, chart};
use crate::circuit::wiring::{End, Lead, NodeIndex, Wiring};
use crate::order;
use crate::plan::types::Plan;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
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
    plan: &Plan,
    key: &str,
) -> Result<Neighbourhood, String> {
    let found = sheet.parts.iter().position(|p| p.key == key);
    let at = found.ok_or_else(|| format!("{key} is not on the sheet."))?;
    let view = View { sheet, wiring, plan, at };
    let part = &sheet.parts[at];
    let ends = view.ends();
    if ends.is_empty() {
        return Err(how_to_connect(part));
    }
    let most = if ends.len() > 2 { MOST_OF_MANY } else { MOST };
    let named = ends.len() > 2;
    let blocks = ends.iter().map(|(end, node)| view.block(end, *node, most, named)).collect();
    Ok(Neighbourhood {
        name: key.to_owned(),
        value: value(part),
        symbol: Symbol::planned(part, plan),
        blocks,
    })
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
pub fn bases(sheet: &Sheet, wiring: &Wiring, plan: &Plan, key: &str) -> Vec<TubeChart> {
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
        tubes.iter().filter_map(|(at, marks)| chart(sheet, plan, &sheet.parts[*at].key, marks));
    charts.take(MOST_BASES).collect()
}

/// Points that every part of a set may meet say little of one.
fn is_common(wiring: &Wiring, node: NodeIndex) -> bool {
    ["chassis", "B-", "line", "neutral"].contains(&wiring.nodes[node].name.as_str())
}

/// What a part must stand in its place, in short; the plan has the workings.
pub fn facts(plan: &Plan, key: &str) -> Vec<(&'static str, String)> {
    let Some(part) = plan.parts.iter().find(|p| p.key == key) else { return Vec::new() };
    let stress = part.stress.as_ref().map(|s| format!("{}, {}", volts(s.volts), s.state));
    let insulation = part
        .required_insulation
        .as_ref()
        .map(|i| format!("at least {}; a leak moves first the {}", ohms(i.ohms), i.moves));
    let watts = part.watts.as_ref().map(|w| {
        let of = w.rated.map(|r| format!(" of {r} W rated")).unwrap_or_default();
        format!("{} W{of}, {}", small(w.worst), w.state)
    });
    [
        ("Greatest direct voltage", stress),
        ("Insulation it needs here", insulation),
        ("After switching off", stored::of_part(plan, part)),
        ("Dissipation at most", watts),
    ]
    .into_iter()
    .filter_map(|(name, value)| Some((name, value?)))
    .collect()
}

fn small(watts: f64) -> String {
    if watts < 0.01 { "under 0.01".to_owned() } else { format!("{watts:.2}") }
}

struct View<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    plan: &'a Plan,
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
        order::sort(&mut others, |lead| {
            [usize::from(!matches!(lead.end, End::Pin(_) | End::Cap)), lead.part, 0]
        });
        let met = others.iter().take(most).map(|lead| self.met(lead, node)).collect();
        let standing = self.plan.circuit.nodes.get(node).map(|n| PointFigure::of(n, self.plan));
        Block {
            terminal: named.then(|| self.terminal(end)),
            name: found.name.clone(),
            figure: standing.map_or_else(|| NOT_KNOWN.to_owned(), |s| s.short()),
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
                (Symbol::planned(part, self.plan), key.clone(), detail)
            }
        };
        Met { symbol, turned: lead.end == End::To, name, detail }
    }

    /// Where a winding's terminal leads on to.
    fn winding(&self, part: &Part, terminal: &str, node: NodeIndex) -> String {
        let is = |t: &str| t.eq_ignore_ascii_case(terminal);
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
    use crate::plan::plan;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::near::{narrow, wide};
    use crate::ui::draw::support::assert_readable;

    #[test]
    fn every_part_of_the_example_sets_has_a_readable_place() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            let (wiring, plan) = (Wiring::of(&sheet), plan(&sheet));
            for part in &sheet.parts {
                match neighbourhood(&sheet, &wiring, &plan, &part.key) {
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
        let (wiring, plan) = (Wiring::of(&sheet), plan(&sheet));
        let near = neighbourhood(&sheet, &wiring, &plan, "C17").unwrap();
        let first = &near.blocks[0].met[0];
        assert_eq!((first.name.as_str(), first.detail.as_str()), ("V3 pin 6", "triode plate"));
        let second = &near.blocks[1].met[0];
        assert_eq!((second.name.as_str(), second.detail.as_str()), ("V4 pin 5", "grid"));
        let bases = bases(&sheet, &wiring, &plan, "C17");
        let marked: Vec<&str> = bases.iter().map(|b| b.key.as_str()).collect();
        assert_eq!(marked, ["V3", "V4"]);
        assert!(bases[0].drawing.words.contains("pin 6 triode plate, 30 V, C17 goes here"));
    }

    #[test]
    fn a_part_without_places_says_how_to_give_them() {
        let sheet = Sheet::read("C7 .05 400 V paper");
        let (wiring, plan) = (Wiring::of(&sheet), plan(&sheet));
        let words = neighbourhood(&sheet, &wiring, &plan, "C7").unwrap_err();
        assert_eq!(words, "C7 has no places yet. Say on its line where its leads go: V2.6 to B2.");
    }

    #[test]
    fn what_a_part_must_stand_is_told_in_short() {
        let plan = plan(&Sheet::read(EXAMPLES[0].text));
        let told = facts(&plan, "C17");
        assert_eq!(told[0], ("Greatest direct voltage", "177 V, cold, high line".to_owned()));
        assert!(told[1].1.starts_with("at least 142 MΩ"), "{told:?}");
        assert!(facts(&plan, "R8")[0].1.contains("W of 0.5 W rated"));
        assert!(facts(&plan, "nobody").is_empty());
    }
}
