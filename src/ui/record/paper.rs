//! The sheets of paper as plain tables: what stands printed, and what is left
//! for a pen.

use crate::bench::set::SetRecord;
use crate::circuit::report::SupplyReport;
use crate::circuit::wiring::Wiring;
use crate::plan::polarity::{Lead, Polarity};
use crate::plan::types::{Decision, Plan, PlannedPart, PowerStep};
use crate::sheet::Sheet;
use crate::ui::buy::model::sections;
use crate::ui::charts::figures::{PointFigure, ohms, ohms_band};
use crate::ui::charts::tubes::{Expect, chart};
use crate::ui::leads::model::two_leads;
use crate::ui::words;
use std::collections::BTreeMap;

mod label;
mod power;

pub use power::readings;

/// A sheet that can be printed beside the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// What to do with each part.
    Plan,
    /// Where each lead goes.
    Leads,
    /// Ohms and volts of every pin, to fill.
    Wiring,
    /// The steps, with boxes.
    Power,
    /// What to buy.
    Buy,
    /// For the cabinet.
    Label,
}

impl Kind {
    /// All of them, in the order they are printed.
    pub const ALL: [Self; 6] =
        [Self::Plan, Self::Leads, Self::Wiring, Self::Power, Self::Buy, Self::Label];

    /// Its name on the page and at its head.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Plan => "Plan",
            Self::Leads => "Lead cards",
            Self::Wiring => "Wiring chart",
            Self::Power => "Power-up",
            Self::Buy => "Buying list",
            Self::Label => "Cabinet label",
        }
    }

    /// Its name for `data-*` and addresses.
    pub const fn slug(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Leads => "leads",
            Self::Wiring => "wiring",
            Self::Power => "power",
            Self::Buy => "buy",
            Self::Label => "label",
        }
    }
}

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Words.
    Text(String),
    /// A box to write in; what was typed stands in it.
    Fill(String),
    /// Squares to tick, with their words.
    Ticks(&'static [&'static str]),
    /// Paragraphs, each with its heading, which may be empty.
    Lines(Vec<(&'static str, String)>),
    /// Readings, each with what was typed, or a line to write on.
    Readings(Vec<(String, String)>),
}

/// A row; one without cells is a heading across the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it is about.
    pub head: String,
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// A table of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Which.
    pub kind: Kind,
    /// What is said above it.
    pub lead: String,
    /// Its columns, the first for the heads of rows.
    pub columns: &'static [&'static str],
    /// Its rows.
    pub rows: Vec<Row>,
}

fn text(words: impl Into<String>) -> Cell {
    Cell::Text(words.into())
}

fn row(head: impl Into<String>, cells: Vec<Cell>) -> Row {
    Row { head: head.into(), cells }
}

fn heading(words: impl Into<String>) -> Row {
    row(words, Vec::new())
}

/// How a lead stands.
const STATES: &[&str] = &["lifted", "out", "in"];

/// Everything the sheets are made from.
#[derive(Debug, Clone, Copy)]
pub struct Paper<'a> {
    /// The sheet of parts.
    pub sheet: &'a Sheet,
    /// Its nodes.
    pub wiring: &'a Wiring,
    /// Its plan.
    pub plan: &'a Plan,
    /// The steps as they are told.
    pub steps: &'a [PowerStep],
    /// What was done.
    pub record: &'a SetRecord,
    /// The minutes that local time runs ahead of UTC.
    pub ahead: i32,
}

impl Paper<'_> {
    /// The table of a sheet; the label has none.
    pub fn table(&self, kind: Kind) -> Option<Table> {
        match kind {
            Kind::Plan => Some(self.parts()),
            Kind::Leads => Some(self.leads()),
            Kind::Wiring => Some(self.pins()),
            Kind::Power => Some(self.power()),
            Kind::Buy => Some(self.buy()),
            Kind::Label => None,
        }
    }

    fn parts(&self) -> Table {
        let rows = self.plan.parts.iter().map(|part| {
            let role = part.role.map_or_else(String::new, |r| r.value.label().to_owned());
            let class = hazards(part);
            row(
                &part.key,
                vec![
                    text(&part.old.text),
                    text(format!("{}{class}", words::decision(part.decision))),
                    text(task(part)),
                    text(role),
                    Cell::Ticks(&[""]),
                ],
            )
        });
        Table {
            kind: Kind::Plan,
            lead: String::new(),
            columns: &["Part", "Old mark", "Do", "New part, or what passes the old", "Place", "✓"],
            rows: rows.collect(),
        }
    }

    fn leads(&self) -> Table {
        let placed = |part: &&PlannedPart| part.decision != Decision::Keep;
        let rows = self.plan.parts.iter().filter(placed).filter_map(|planned| {
            let [first, second] = two_leads(self.sheet, self.wiring, &planned.key)?;
            let polarity = planned.replacement.as_ref().and_then(|r| r.polarity.as_ref());
            let positive = polarity.and_then(Polarity::positive);
            let sign = |lead: Lead| if positive == Some(lead) { "+ " } else { "" };
            let foil = planned.replacement.as_ref().and_then(|r| r.outer_foil.as_ref());
            let foil = foil.map_or_else(String::new, |to| format!("; outer foil: {to}"));
            Some(row(
                &planned.key,
                vec![
                    text(format!("{}{foil}", fit(planned))),
                    text(format!("{}{}", sign(Lead::First), brief(&first))),
                    Cell::Ticks(STATES),
                    text(format!("{}{}", sign(Lead::Second), brief(&second))),
                    Cell::Ticks(STATES),
                ],
            ))
        });
        Table {
            kind: Kind::Leads,
            lead: "Pins are counted clockwise, seen from below, from the key or the gap. Parts \
                   without places on the sheet are not listed."
                .to_owned(),
            columns: &["Part", "Fit", "First lead", "", "Second lead", ""],
            rows: rows.collect(),
        }
    }

    fn pins(&self) -> Table {
        let mut rows = Vec::new();
        let none = BTreeMap::new();
        for tube in &self.plan.circuit.tubes {
            let Some(chart) = chart(self.sheet, self.plan, &tube.key, &none) else { continue };
            rows.push(heading(format!("{}: {}", chart.key, chart.title)));
            for pin in &chart.rows {
                let typed =
                    |step: &str| self.typed(step, &format!("{}.{}", tube.key, pin.number()));
                let point = pin.point.clone().unwrap_or_default();
                rows.push(row(
                    format!("{} {}", pin.number(), pin.electrode),
                    vec![
                        text(point),
                        text(banded(&pin.ohms)),
                        Cell::Fill(String::new()),
                        text(banded(&pin.volts)),
                        Cell::Fill(typed("voltages")),
                    ],
                ));
            }
        }
        rows.extend(self.points());
        let to = self.plan.circuit.reference.as_deref().unwrap_or("chassis");
        Table {
            kind: Kind::Wiring,
            lead: format!(
                "Against {to}. Ohms with the plug out, tubes in, capacitors discharged; volts \
                 without signal at the nameplate's line, with the meter told on the sheet or one \
                 of 10 MΩ. In brackets the range in which a reading is well."
            ),
            columns: &["Pin", "Goes to", "Ohms", "Read", "Volts", "Read"],
            rows,
        }
    }

    /// The points of the supply.
    fn points(&self) -> Vec<Row> {
        let outputs: Vec<usize> = self.plan.supply.supplies.iter().map(SupplyReport::fed).collect();
        let named = |name: &str| {
            let mut letters = name.chars();
            letters.next() == Some('B') && letters.all(|c| c.is_ascii_digit() || c == '+')
        };
        let nodes = self.plan.circuit.nodes.iter().enumerate();
        let mut rows: Vec<Row> = nodes
            .filter(|(at, node)| outputs.contains(at) || named(&node.name))
            .map(|(_, node)| {
                let read = |figure: Option<String>, band: Option<String>| match (figure, band) {
                    (Some(figure), Some(band)) => format!("{figure} ({band})"),
                    (Some(figure), None) => figure,
                    _ => "no path".to_owned(),
                };
                row(
                    &node.name,
                    vec![
                        text("supply"),
                        text(read(node.ohms.map(ohms), node.band_ohms.map(ohms_band))),
                        Cell::Fill(String::new()),
                        text(PointFigure::of(node, self.plan).words()),
                        Cell::Fill(self.typed("voltages", &node.name)),
                    ],
                )
            })
            .collect();
        if !rows.is_empty() {
            rows.insert(0, heading("Points of the supply"));
        }
        rows
    }

    fn typed(&self, step: &str, id: &str) -> String {
        let kept = self.record.steps.get(step);
        kept.and_then(|k| k.readings.get(id)).cloned().unwrap_or_default()
    }

    fn buy(&self) -> Table {
        let mut rows = Vec::new();
        for section in sections(self.plan) {
            let class = section.class.map_or_else(String::new, |c| format!(", class {c}"));
            rows.push(heading(format!("{}{class}: {}", section.title, section.total)));
            for line in section.lines {
                rows.push(row(
                    line.value,
                    vec![
                        text(line.pieces.to_string()),
                        text(line.parts),
                        Cell::Fill(String::new()),
                        Cell::Ticks(&[""]),
                    ],
                ));
            }
        }
        Table {
            kind: Kind::Buy,
            lead: "A higher rating of the same kind serves too; a lower one never does.".to_owned(),
            columns: &["Value", "Pieces", "For", "From, price", "Got"],
            rows,
        }
    }
}

/// Where a lead goes, on one line or two: a rail by its name alone.
fn brief(places: &[String]) -> String {
    match places.split_last() {
        Some((point, pins)) if pins.len() > 3 => {
            format!("{point}, which ties {} pins and lugs", pins.len())
        }
        _ => places.join("; "),
    }
}

/// What is fitted between the leads, or what is done with the old part.
fn fit(part: &PlannedPart) -> String {
    let new = part.replacement.as_ref().map(|new| new.text.clone());
    new.unwrap_or_else(|| format!("{}: {}", words::decision(part.decision), part.old.text))
}

/// What to fit, or what to measure on a part that stays.
fn task(part: &PlannedPart) -> String {
    if let Some(new) = &part.replacement {
        return new.text.clone();
    }
    let told = |check: &crate::plan::types::Check| {
        let limits = match (&check.least, &check.most) {
            (Some(least), Some(most)) => format!(" ({least} to {most})"),
            (Some(least), None) => format!(" (at least {least})"),
            (None, Some(most)) => format!(" (at most {most})"),
            (None, None) => String::new(),
        };
        format!("{}{limits}", check.what.trim_end_matches('.'))
    };
    part.checks.iter().map(told).collect::<Vec<_>>().join("; ")
}

/// Marks of a part that can hurt.
fn hazards(part: &PlannedPart) -> &'static str {
    if part.hazards.is_empty() { "" } else { " ⚠" }
}

fn banded(expect: &Expect) -> String {
    expect.words()
}

#[cfg(test)]
mod tests;
