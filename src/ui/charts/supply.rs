//! The supply as cells of a drawing, as rows of a table, and in words.

use super::figures::{PointFigure, milliamperes, ohms, volts};
use crate::circuit::ladder::{Ladder, Source, heater_string, ladders};
use crate::circuit::model::is_silicon;
use crate::circuit::report::{AtMeter, ChokeReport, DutyReport, Line, NodeReport, SupplyReport};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::plan::text::figure;
use crate::plan::types::Plan;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::quantity::Voltage;
use crate::trade::tubes::Class;
use crate::ui::draw::Drawing;
use crate::ui::draw::supply::{Cell, Chain, Item, draw};
use crate::ui::draw::symbol::Symbol;
use crate::ui::words::capital;

/// The most parts drawn from one point downwards.
const MOST_SHUNTS: usize = 3;

/// A point of the supply in a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointRow {
    /// Its name, and what it is fed through.
    pub name: String,
    /// Volts running, with the band.
    pub running: String,
    /// Volts cold at the high line.
    pub cold: String,
}

/// A figure held against its limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What it is.
    pub name: String,
    /// The figure, and its limit where one is published.
    pub value: String,
    /// Whether it is past the limit.
    pub over: bool,
}

/// One supply.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyChart {
    /// What it is: `full-wave supply of B0 by V8`.
    pub title: String,
    /// Its points.
    pub points: Vec<PointRow>,
    /// Its figures.
    pub facts: Vec<Fact>,
    chains: Vec<Chain>,
    words: String,
}

impl SupplyChart {
    /// Drawn for a page so wide.
    pub fn drawing(&self, width: f64) -> Drawing {
        draw(&self.chains, width, self.words.clone())
    }
}

/// Every supply of a set.
pub fn charts(sheet: &Sheet, wiring: &Wiring, plan: &Plan) -> Vec<SupplyChart> {
    let high = Line::of(sheet).high * sheet.header.mains.map_or(117.0, Voltage::to_f64);
    let view = View { sheet, wiring, plan, high };
    ladders(sheet, wiring, &plan.supply.supplies).iter().map(|ladder| view.chart(ladder)).collect()
}

struct View<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    plan: &'a Plan,
    high: f64,
}

impl View<'_> {
    fn chart(&self, ladder: &Ladder) -> SupplyChart {
        let supply = &self.plan.supply.supplies[ladder.supply];
        let mut chains = self.main(ladder, supply);
        chains.extend(self.negative(ladder));
        if ladder.supply == 0 {
            chains.extend(self.string());
        }
        let points = self.points(ladder);
        let facts = facts(supply);
        let title = format!(
            "{} supply of {} by {}",
            supply.topology,
            self.name(supply.fed()),
            supply.rectifiers.join(", ")
        );
        let words = words(&title, &chains, &facts);
        SupplyChart { title: capital(&title), points, facts, chains, words }
    }

    /// Line, source, rectifier and the first way through the points; then a
    /// chain for each branch.
    fn main(&self, ladder: &Ladder, supply: &SupplyReport) -> Vec<Chain> {
        let mut main = vec![Cell::Plug { volts: self.mains() }];
        for at in 0..ladder.line.len().max(ladder.neutral.len()) {
            let item = |list: &[usize]| list.get(at).map(|part| self.item(*part, ""));
            main.push(Cell::Pair { line: item(&ladder.line), neutral: item(&ladder.neutral) });
        }
        let both = supply.topology == "full-wave";
        if let Source::Winding { part, winding } = ladder.source {
            let whole = &self.sheet.parts[part].windings[winding];
            let value = whole.volts.map_or_else(
                || "secondary".to_owned(),
                |v| {
                    let v = v.to_f64();
                    if both { format!("{0}-0-{0} V", v / 2.0) } else { format!("{v} V") }
                },
            );
            main.push(Cell::Transformer {
                name: self.sheet.parts[part].key.clone(),
                value,
                tapped: both,
                foot: self.name(ladder.back),
            });
        } else {
            let foot = self.name(ladder.back);
            main.push(Cell::Return(foot));
        }
        main.extend(ladder.ahead.iter().map(|part| Cell::Series(self.item(*part, ""))));
        main.push(self.rectifier(ladder, supply, both));
        let mut chains = vec![main];
        let mut ends: Vec<usize> = vec![0; ladder.rungs.len()];
        let mut chain_of = vec![0; ladder.rungs.len()];
        for (at, rung) in ladder.rungs.iter().enumerate() {
            if let Some((from, part)) = rung.from {
                ends[from] += 1;
                // The first way on goes straight; each further one is a branch.
                let chain = if ends[from] == 1 {
                    chain_of[from]
                } else {
                    chains.push(vec![Cell::Tag(self.name(ladder.rungs[from].node))]);
                    chains.len() - 1
                };
                chain_of[at] = chain;
                chains[chain].push(Cell::Series(self.item(part, "")));
            }
            let chain = chain_of[at];
            chains[chain].push(self.point(rung.node, &rung.shunts));
        }
        chains
    }

    fn rectifier(&self, ladder: &Ladder, supply: &SupplyReport, both: bool) -> Cell {
        let parts = ladder.rectifiers.iter().map(|r| &self.sheet.parts[*r]);
        let tube = parts.clone().all(|p| p.kind == PartKind::Tube);
        let names: Vec<&str> = parts.clone().map(|p| p.key.as_str()).collect();
        let first = parts.clone().next();
        let kind = first.and_then(|p| p.tube.clone()).unwrap_or_else(|| {
            first.map_or_else(String::new, |p| {
                if p.kind == PartKind::DryRectifier && !is_silicon(p) {
                    "selenium".into()
                } else {
                    "silicon".into()
                }
            })
        });
        let symbol = if tube { Symbol::VacuumDiode } else { Symbol::Diode };
        let block = matches!(supply.topology.as_str(), "bridge" | "doubler");
        Cell::Rectifier {
            item: Item { symbol, name: names.join(" "), value: kind, foot: String::new() },
            both,
            block: block.then(|| supply.topology.clone()),
        }
    }

    fn point(&self, node: NodeIndex, shunts: &[(usize, NodeIndex)]) -> Cell {
        let shown = shunts.iter().take(MOST_SHUNTS);
        let shunts = shown.map(|(part, far)| self.item(*part, &self.name(*far))).collect();
        let found = &self.plan.circuit.nodes[node];
        Cell::Point {
            name: found.name.clone(),
            figure: PointFigure::of(found, self.plan).short(),
            remark: cold(found).map(|v| format!("cold {}", volts(v))).unwrap_or_default(),
            shunts,
        }
    }

    /// The return's way to the chassis.
    fn negative(&self, ladder: &Ladder) -> Option<Chain> {
        let chassis = self.wiring.named("chassis").filter(|_| !ladder.negative.is_empty())?;
        let mut chain = vec![self.point(ladder.back, &[])];
        chain.extend(ladder.negative.iter().map(|part| Cell::Series(self.item(*part, ""))));
        chain.push(self.point(chassis, &ladder.across));
        Some(chain)
    }

    /// The heaters of a series string.
    fn string(&self) -> Option<Chain> {
        let (parts, end) = heater_string(self.sheet, self.wiring)?;
        let mut chain = vec![Cell::Tag("line".to_owned())];
        chain.extend(parts.iter().map(|at| {
            let part = &self.sheet.parts[*at];
            let mut item = self.item(*at, "");
            if part.kind == PartKind::Tube {
                let kind = part.tube.as_deref().and_then(|t| self.sheet.tube_type(t));
                item.symbol = Symbol::Heater;
                item.value = kind.map(|k| format!("{} V", k.0.heater_volts)).unwrap_or_default();
            }
            Cell::Series(item)
        }));
        chain.push(Cell::End(self.name(end)));
        Some(chain)
    }

    fn item(&self, at: usize, foot: &str) -> Item {
        let part = &self.sheet.parts[at];
        let regulates = part.kind == PartKind::Tube
            && part
                .tube
                .as_deref()
                .and_then(|t| self.sheet.tube_type(t))
                .is_some_and(|t| t.0.class == Class::Regulator);
        let symbol = if regulates { Symbol::Regulator } else { Symbol::planned(part, self.plan) };
        Item { symbol, name: part.key.clone(), value: value(part), foot: foot.to_owned() }
    }

    fn name(&self, node: NodeIndex) -> String {
        self.plan.circuit.nodes.get(node).map(|n| n.name.clone()).unwrap_or_default()
    }

    fn mains(&self) -> String {
        let header = &self.sheet.header;
        let volts = header.mains.map_or_else(|| "117 V taken".to_owned(), |v| v.to_string());
        header.frequency.map_or(volts.clone(), |f| format!("{volts} {f}"))
    }

    fn points(&self, ladder: &Ladder) -> Vec<PointRow> {
        let rows = ladder.rungs.iter().map(|rung| {
            let node = &self.plan.circuit.nodes[rung.node];
            let through = rung.from.map(|(from, part)| {
                let (part, from) =
                    (&self.sheet.parts[part].key, self.name(ladder.rungs[from].node));
                format!(", through {part} from {from}")
            });
            let running = PointFigure::of(node, self.plan).words();
            let cold = cold(node).map_or_else(
                || "not known".to_owned(),
                |v| format!("{} at {} line", volts(v), volts(self.high)),
            );
            PointRow {
                name: format!("{}{}", node.name, through.unwrap_or_default()),
                running,
                cold,
            }
        });
        rows.collect()
    }
}

/// Volts of a point with the tubes cold; the reference has none to tell.
fn cold(node: &NodeReport) -> Option<f64> {
    node.cold_v.filter(|_| node.meter == AtMeter::Direct)
}

/// A part's value in one word.
pub fn value(part: &Part) -> String {
    let capacitance = part.capacitance.map(|c| c.to_string());
    let resistance = part.resistance.map(|r| r.to_string());
    let rating = part.rating.map(|v| v.to_string());
    let tube = part.tube.clone();
    let current = part.current.map(|a| a.to_string());
    capacitance
        .or(resistance)
        .or(tube)
        .or_else(|| part.inductance.map(|l| l.to_string()))
        .or(rating)
        .or(current)
        .unwrap_or_default()
}

/// The figures of a supply against what is published.
fn facts(supply: &SupplyReport) -> Vec<Fact> {
    let against = |name: &str, value: Option<f64>, most: Option<f64>, unit: fn(f64) -> String| {
        let value = value?;
        let told = match most {
            Some(most) => format!("{} of {} published", unit(value), unit(most)),
            None => format!("{}, no limit on record", unit(value)),
        };
        let over = most.is_some_and(|most| value > most);
        Some(Fact { name: name.to_owned(), value: told, over })
    };
    let plain = |name: &str, value: Option<String>| {
        value.map(|value| Fact { name: name.to_owned(), value, over: false })
    };
    let ripple = supply.ripple_rms_v.map(|rms| {
        let pp = supply.ripple_pp_v.map(|v| format!(", {} peak to peak", volts(v)));
        let hz = supply.ripple_hz.map(|f| format!(" at {f:.0} Hz"));
        format!("{} effective{}{}", volts(rms), pp.unwrap_or_default(), hz.unwrap_or_default())
    });
    [
        against("Load", Some(supply.ma), supply.max_ma, milliamperes),
        against("Peak current a plate", supply.peak_ma, supply.max_peak_ma, milliamperes),
        against("Peak inverse, high line", Some(supply.inverse_v), supply.max_inverse_v, volts),
        plain("Ripple at the first filter", ripple),
        plain("No load, high line", Some(volts(supply.no_load_v))),
        plain(
            "Source",
            Some(format!("{} AC behind {}", volts(supply.source_rms_v), ohms(supply.source_ohms))),
        ),
        plain("First pulse, switched on warm", supply.surge_a.map(|a| format!("{a:.1} A"))),
    ]
    .into_iter()
    .flatten()
    .chain(supply.doubled.iter().map(doubled))
    .chain(supply.choke.as_ref().map(choke))
    .collect()
}

/// A choke that the filter begins with.
fn choke(choke: &ChokeReport) -> Fact {
    let state = if choke.flows { "its current never stops" } else { "its current stops" };
    let critical = choke.critical_h.map(|h| format!(", {} H critical at this load", figure(h)));
    let value = format!("{} H{}: {state}", figure(choke.henries), critical.unwrap_or_default());
    Fact { name: format!("Choke {}", choke.key), value, over: false }
}

/// A capacitor of a doubler.
fn doubled(duty: &DutyReport) -> Fact {
    let value = format!(
        "{} to {} within a cycle, {} of ripple; {} without load at high line",
        volts(duty.least_v),
        volts(duty.most_v),
        milliamperes(duty.ripple_ma),
        volts(duty.no_load_v)
    );
    Fact { name: format!("{} capacitor {}", capital(&duty.place), duty.key), value, over: false }
}

/// The drawing in words.
fn words(title: &str, chains: &[Chain], facts: &[Fact]) -> String {
    let named = |item: &Item| format!("{} {}", item.name, item.value).trim().to_owned();
    let one = |cell: &Cell| match cell {
        Cell::Plug { volts } => format!("line {volts}"),
        Cell::Pair { line, neutral } => {
            let all = [("line", line), ("neutral", neutral)];
            let told = all.iter().filter_map(|(wire, item)| {
                item.as_ref().map(|item| format!("{} in the {wire} wire", named(item)))
            });
            told.collect::<Vec<_>>().join(" and ")
        }
        Cell::Transformer { name, value, .. } => format!("transformer {name} {value}"),
        Cell::Return(foot) => format!("return {foot}"),
        Cell::Rectifier { item, .. } => format!("rectifier {}", named(item)),
        Cell::Tag(name) => format!("from {name}"),
        Cell::End(name) => format!("to {name}"),
        Cell::Series(item) => named(item),
        Cell::Point { name, figure, remark, shunts } => {
            let told: Vec<String> =
                shunts.iter().map(|s| format!("{} to {}", named(s), s.foot)).collect();
            format!("{name} {figure} {remark} {}", told.join(", ")).trim().to_owned()
        }
    };
    let ways = chains.iter().map(|c| c.iter().map(one).collect::<Vec<_>>().join(", then "));
    let facts = facts.iter().map(|f| format!("{}: {}", f.name, f.value));
    let all: Vec<String> = ways.chain(facts).collect();
    format!("Drawing of the supply, {title}. {}.", all.join(". "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::support::assert_readable;

    fn of(text: &str) -> Vec<SupplyChart> {
        let sheet = Sheet::read(text);
        charts(&sheet, &Wiring::of(&sheet), &plan(&sheet))
    }

    #[test]
    fn the_supplies_of_the_example_sets_are_readable_on_desk_and_phone() {
        for example in &EXAMPLES {
            let charts = of(example.text);
            assert_eq!(charts.len(), 1, "{}", example.id);
            for width in [350.0, 1080.0] {
                assert_readable(&charts[0].drawing(width), &format!("{} {width}", example.id));
            }
        }
    }

    #[test]
    fn the_words_name_the_stages_in_their_order() {
        let words = of(EXAMPLES[1].text)[0].drawing(1080.0).words;
        let stages = ["S1", "T1 320-0-320 V", "V8 5U4G", "B0", "L1", "B1", "R17", "B2", "R25"];
        let places: Vec<Option<usize>> = stages.iter().map(|s| words.find(s)).collect();
        assert!(places.iter().all(Option::is_some), "{words}");
        assert!(words.contains("C28"), "{words}");
    }

    #[test]
    fn a_doubler_tells_what_both_capacitors_bear() {
        let charts = of("mains 117 V 60 Hz\nsupply series-string\nwire neutral to B-\n\
             R1 22 ohm 5 W line to ac\nC1 40 uF 150 V electrolytic mid to ac\n\
             V1 25Z6GT 5=B- 8=mid 3=mid 4=B1\nC2 40 uF 350 V electrolytic B1 to B-\n\
             R2 5K 20 W B1 to B-");
        let names: Vec<&str> = charts[0].facts.iter().map(|f| f.name.as_str()).collect();
        assert!(names.ends_with(&["Series capacitor C1", "Output capacitor C2"]), "{names:?}");
        assert!(
            charts[0].facts.iter().any(|f| f.value.ends_with("177 V without load at high line"))
        );
        for width in [350.0, 1080.0] {
            assert_readable(&charts[0].drawing(width), &format!("doubler {width}"));
        }
    }

    #[test]
    fn what_is_past_its_limit_is_told() {
        let mut supply = plan(&Sheet::read(EXAMPLES[1].text)).supply.supplies.remove(0);
        assert!(facts(&supply).iter().all(|f| !f.over));
        supply.ma = 300.0;
        assert!(facts(&supply)[0].over);
        assert_eq!(facts(&supply)[0].value, "300 mA of 225 mA published");
    }
}
