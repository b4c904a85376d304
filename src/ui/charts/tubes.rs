//! The chart of a tube: what to read at each pin, and what is not known.

use super::figures::{PointFigure, milliamperes, ohms, ohms_band, volts};
use crate::circuit::report::{NodeReport, PinReport, TubeReport};
use crate::plan::types::Plan;
use crate::sheet::Sheet;
use crate::sheet::part::PartKind;
use crate::trade::tubes::TubeType;
use crate::ui::draw::Drawing;
use crate::ui::draw::base::{self, PinLabel};
use std::collections::BTreeMap;

/// A reading to expect, or why there is none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Expect {
    /// The figure, and the range in which a reading is well.
    Figure(String, Option<String>),
    /// Why there is none, or what there is instead.
    Said(String),
    /// What a hand must not meet: alternating volts, a live reference, volts
    /// that are not known.
    Live(String),
}

impl Expect {
    /// In one line.
    pub fn words(&self) -> String {
        match self {
            Self::Figure(figure, Some(band)) => format!("{figure} ({band})"),
            Self::Figure(figure, None) => figure.clone(),
            Self::Said(words) | Self::Live(words) => words.clone(),
        }
    }
}

/// A pin of a tube.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PinRow {
    /// Its number; 0 for the top cap.
    pub pin: u8,
    /// Its electrode.
    pub electrode: String,
    /// The point it is wired to.
    pub point: Option<String>,
    /// Volts to expect.
    pub volts: Expect,
    /// What the meter shows, where that differs.
    pub meter: Option<String>,
    /// Ohms to expect with the power off.
    pub ohms: Expect,
}

impl PinRow {
    /// Its number, as it is written in a table.
    pub fn number(&self) -> String {
        if self.pin == 0 { "cap".to_owned() } else { self.pin.to_string() }
    }
}

/// The chart of one tube.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeChart {
    /// Its key.
    pub key: String,
    /// Its type and base.
    pub title: String,
    /// What volts and ohms are told against.
    pub reference: String,
    /// Its pins.
    pub rows: Vec<PinRow>,
    /// What else is to be said of it.
    pub remarks: Vec<String>,
    /// The base, drawn.
    pub drawing: Drawing,
}

/// The tubes of a sheet: key and type, whether known or not.
pub fn list(sheet: &Sheet) -> Vec<(String, Option<String>)> {
    let tubes = sheet.parts.iter().filter(|p| p.kind == PartKind::Tube);
    tubes.map(|p| (p.key.clone(), p.tube.clone())).collect()
}

/// Why a tube has no chart, and what to do.
pub fn missing(key: &str, tube: Option<&str>) -> String {
    match tube {
        None => format!("{key} has no type. Write it after its name: {key} 6SK7."),
        Some(tube) => format!(
            "The type {tube} is not in the table. Check its spelling under Parts, or enter the type on the sheet with its base and pins."
        ),
    }
}

/// The chart of a tube; `marks` names the part in hand at its pins.
pub fn chart(
    sheet: &Sheet,
    plan: &Plan,
    key: &str,
    marks: &BTreeMap<u8, String>,
) -> Option<TubeChart> {
    let found = plan.circuit.tubes.iter().find(|t| t.key == key)?;
    let part = sheet.parts.iter().find(|p| p.key == key)?;
    let kind = sheet.tube_type(part.tube.as_deref()?)?.0;
    let view = View { plan, tube: found, kind };
    let rows: Vec<PinRow> = found.pins.iter().map(|pin| view.row(pin)).collect();
    let labels: Vec<PinLabel> = rows
        .iter()
        .map(|row| PinLabel {
            pin: row.pin,
            electrode: row.electrode.clone(),
            figure: match &row.volts {
                Expect::Figure(figure, _) => Some(figure.clone()),
                Expect::Said(_) | Expect::Live(_) => None,
            },
            part: marks.get(&row.pin).cloned(),
        })
        .collect();
    let name = format!("{key}, {}", found.tube);
    Some(TubeChart {
        key: key.to_owned(),
        title: format!("{}, {} base", found.tube, found.base),
        reference: plan.circuit.reference.clone().unwrap_or_else(|| "chassis".to_owned()),
        remarks: view.remarks(),
        drawing: base::draw(kind.base, &name, &labels),
        rows,
    })
}

struct View<'a> {
    plan: &'a Plan,
    tube: &'a TubeReport,
    kind: &'a TubeType,
}

impl View<'_> {
    fn row(&self, pin: &PinReport) -> PinRow {
        let node = pin.node.and_then(|n| self.plan.circuit.nodes.get(n));
        PinRow {
            pin: pin.pin,
            electrode: pin.electrode.clone(),
            point: node.map(|n| n.name.clone()),
            volts: self.volts(pin, node),
            meter: node.and_then(shown),
            ohms: expected_ohms(pin, node),
        }
    }

    fn volts(&self, pin: &PinReport, node: Option<&NodeReport>) -> Expect {
        let Some(node) = node else { return Expect::Said(self.not_given(pin)) };
        let figure = PointFigure::of(node, self.plan);
        if pin.electrode == "heater" && self.kind.heater_volts > 0.0 {
            return self.heater(&figure);
        }
        match figure {
            PointFigure::Direct { figure, band, care: None } => Expect::Figure(figure, band),
            PointFigure::Direct { figure, band, care: Some(care) } => {
                Expect::Figure(figure, Some(format!("{}; {care}", band.unwrap_or_default())))
            }
            PointFigure::Live(words) => Expect::Live(words),
            PointFigure::Reference => Expect::Said(figure.words()),
        }
    }

    /// The volts across a heater, and what its pin has against the reference
    /// where that is not the same.
    fn heater(&self, figure: &PointFigure) -> Expect {
        let across = format!("{} V AC across the heater", self.kind.heater_volts);
        match figure {
            PointFigure::Live(words) => Expect::Live(format!("{across}; {words}")),
            PointFigure::Reference => Expect::Said(format!("{across}; {}", figure.words())),
            PointFigure::Direct { .. } => Expect::Said(across),
        }
    }

    fn not_given(&self, pin: &PinReport) -> String {
        if is_empty(pin) {
            return "no electrode".to_owned();
        }
        let pin = if pin.pin == 0 { "cap".to_owned() } else { pin.pin.to_string() };
        format!("not given: write {pin}=… on the line of {}", self.tube.key)
    }

    fn remarks(&self) -> Vec<String> {
        let tube = self.tube;
        let mut remarks = Vec::new();
        if tube.plate_ma > 0.0 {
            let screen = if tube.screen_ma > 0.05 {
                format!(", screen {}", milliamperes(tube.screen_ma))
            } else {
                String::new()
            };
            let most = tube.max_plate_watts.map(|w| format!(" of {w} W published"));
            let watts = format!("{:.1} W{}", tube.plate_watts, most.unwrap_or_default());
            remarks.push(format!(
                "Plate current {}{screen}; plate dissipation {watts}.",
                milliamperes(tube.plate_ma)
            ));
        }
        remarks.push(format!("Figures of the type: {}.", tube.source));
        remarks
    }
}

/// Ohms to expect with the power off.
fn expected_ohms(pin: &PinReport, node: Option<&NodeReport>) -> Expect {
    let Some(node) = node else {
        let tie = if is_empty(pin) { "the lug may tie other leads" } else { "not given" };
        return Expect::Said(tie.to_owned());
    };
    match node.ohms {
        Some(value) => Expect::Figure(ohms(value), node.band_ohms.map(ohms_band)),
        None => Expect::Said("open: no path for direct current".to_owned()),
    }
}

/// Whether a pin leads to nothing that is to be measured.
fn is_empty(pin: &PinReport) -> bool {
    matches!(pin.electrode.as_str(), "not connected" | "do not use")
}

/// What the user's meter shows, where it is off by more than a fiftieth.
fn shown(node: &NodeReport) -> Option<String> {
    let (volts_there, meter) = (node.running_v?, node.meter_v?);
    let off = (volts_there - meter).abs();
    (off > 0.02 * volts_there.abs() && off >= 0.05).then(|| volts(meter))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::support::assert_readable;

    fn of(text: &str, key: &str) -> TubeChart {
        let sheet = Sheet::read(text);
        chart(&sheet, &plan(&sheet), key, &BTreeMap::new()).unwrap()
    }

    #[test]
    fn every_tube_of_the_example_sets_has_a_readable_base_and_no_blank_cell() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            let plan = plan(&sheet);
            for (key, _) in list(&sheet) {
                let chart = chart(&sheet, &plan, &key, &BTreeMap::new()).unwrap();
                assert_readable(&chart.drawing, &format!("{} {key}", example.id));
                for row in &chart.rows {
                    assert!(!row.volts.words().is_empty() && !row.ohms.words().is_empty());
                    assert!(chart.drawing.words.contains(&row.electrode), "{key}");
                }
            }
        }
    }

    #[test]
    fn a_plate_has_volts_a_band_and_ohms() {
        let chart = of(EXAMPLES[0].text, "V3");
        let plate = chart.rows.iter().find(|r| r.electrode == "triode plate").unwrap();
        assert_eq!(plate.pin, 6);
        assert!(matches!(&plate.volts, Expect::Figure(v, Some(_)) if v == "30 V"), "{plate:?}");
        assert_eq!(plate.ohms, Expect::Said("open: no path for direct current".into()));
        let heater = chart.rows.iter().find(|r| r.electrode == "heater").unwrap();
        assert_eq!(heater.volts.words(), "12.6 V AC across the heater; reference, LIVE");
    }

    #[test]
    fn a_pin_that_was_not_given_says_how_to_give_it() {
        let chart = of("V2 6SK7 1=chassis 2=heat 7=chassis", "V2");
        let screen = chart.rows.iter().find(|r| r.pin == 6).unwrap();
        assert_eq!(screen.volts.words(), "not given: write 6=… on the line of V2");
    }

    #[test]
    fn a_tube_without_a_type_says_what_to_write() {
        let sheet = Sheet::read("V1\nV2 6SK9X");
        assert!(chart(&sheet, &plan(&sheet), "V1", &BTreeMap::new()).is_none());
        assert!(missing("V1", None).contains("V1 6SK7"));
        assert!(missing("V2", Some("6SK9X")).contains("6SK9X"));
    }
}
