//! The set on its lamp as rows, words and a drawing.

use super::figures::volts;
use crate::circuit::limiter::{Fault, LampRow, Point};
use crate::plan::on_lamp::{Study, fault_look, fault_title, lamp, lamp_name};
use crate::plan::text::figure;
use crate::trade::lamp::{BRIGHT_KELVIN, Glow, ORANGE_KELVIN, VISIBLE_KELVIN};
use crate::ui::draw::Drawing;
use crate::ui::draw::lamp::{OnLamp, Panel, draw};

/// A stage of line voltage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StageRow {
    /// Volts ahead of the lamp.
    pub line: String,
    /// The lamp of the healthy set: `orange, 22 V`.
    pub lamp: String,
    /// Volts at the set.
    pub set: String,
    /// Volts of the heaters.
    pub heaters: String,
    /// Amperes from the line.
    pub amps: String,
    /// B+ behind the lamp.
    pub b_plus: String,
    /// B+ without a lamp at the same line.
    pub bare: String,
    /// The lamp with the worst fault.
    pub worst: String,
}

/// A fault at the full line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FaultRow {
    /// What is wrong.
    pub title: String,
    /// What the lamp shows.
    pub lamp: String,
    /// Volts at the set.
    pub set: String,
    /// B+.
    pub b_plus: String,
    /// Where to look first.
    pub look: String,
}

/// A lamp that is sold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LampLine {
    /// Its mark.
    pub name: String,
    /// The healthy set behind it.
    pub healthy: String,
    /// Volts left for the set.
    pub set: String,
    /// The worst fault behind it.
    pub worst: String,
    /// How far apart, percent of the lamp's volts.
    pub apart: String,
    /// `tells best`, `in use`, `for the full line`.
    pub mark: &'static str,
}

impl StageRow {
    /// In the order of its fields.
    pub fn into_cells(self) -> Vec<String> {
        let Self { line, lamp, set, heaters, amps, b_plus, bare, worst } = self;
        vec![line, lamp, set, heaters, amps, b_plus, bare, worst]
    }
}

impl FaultRow {
    /// In the order of its fields.
    pub fn into_cells(self) -> Vec<String> {
        let Self { title, lamp, set, b_plus, look } = self;
        vec![title, lamp, set, b_plus, look]
    }
}

impl LampLine {
    /// In the order of its fields.
    pub fn into_cells(self) -> Vec<String> {
        let Self { name, healthy, set, worst, apart, mark } = self;
        vec![name, healthy, set, worst, apart, mark.to_owned()]
    }
}

/// `orange, 22 V`.
fn shown(point: &Point) -> String {
    // A figure stays with its unit.
    format!("{}, {}", point.glow.words(), volts(point.lamp_v).replace(' ', "\u{a0}"))
}

/// B+, or that there is none.
fn b_plus(point: &Point) -> String {
    if point.b_plus < 1.0 { "none".to_owned() } else { volts(point.b_plus) }
}

/// The worst fault at the full line.
pub fn worst(study: &Study) -> Option<(usize, &Fault)> {
    let at = study.worst(study.first())?;
    Some((at, &study.faults[at]))
}

/// The stages.
pub fn stages(study: &Study) -> Vec<StageRow> {
    let worst = worst(study).map(|(at, _)| at);
    let heaters = study.load.heaters.volts;
    study
        .stages
        .iter()
        .map(|stage| {
            let healthy = &stage.healthy;
            StageRow {
                line: volts(stage.line_v),
                lamp: shown(healthy),
                set: volts(healthy.set_v),
                heaters: format!(
                    "{} of {}",
                    volts(healthy.heaters * heaters).trim_end_matches(" V"),
                    volts(heaters)
                ),
                amps: format!("{} A", figure(healthy.amps)),
                b_plus: b_plus(healthy),
                bare: b_plus(&stage.bare),
                worst: worst.map_or_else(String::new, |at| shown(&stage.faulty[at])),
            }
        })
        .collect()
}

/// The faults at the full line, the healthy set first.
pub fn faults(study: &Study) -> Vec<FaultRow> {
    let row = study.first();
    let told = |title: String, point: &Point, look: String| FaultRow {
        title,
        lamp: shown(point),
        set: volts(point.set_v),
        b_plus: b_plus(point),
        look,
    };
    let healthy = told("Healthy".to_owned(), &row.healthy, String::new());
    let faulty = study
        .faults
        .iter()
        .zip(&row.faulty)
        .map(|(fault, point)| told(fault_title(fault), point, fault_look(fault)));
    std::iter::once(healthy).chain(faulty).collect()
}

/// Every lamp that is sold.
pub fn lamps(study: &Study) -> Vec<LampLine> {
    let line = |(at, row): (usize, &LampRow)| LampLine {
        name: lamp_name(row.lamps),
        healthy: shown(&row.healthy),
        set: volts(row.healthy.set_v),
        worst: study.worst(row).map_or_else(String::new, |worst| shown(&row.faulty[worst])),
        apart: format!("{} %", figure((row.apart * 100.0).round())),
        mark: match at {
            _ if at == study.choice.first && at == study.best => "tells best",
            _ if at == study.choice.first => "at hand",
            _ if at == study.best => "tells best",
            _ if at == study.choice.second => "for the full line",
            _ => "",
        },
    };
    study.rows.iter().enumerate().map(line).collect()
}

/// What is said above the picture.
pub fn lead(study: &Study) -> String {
    let row = study.first();
    let second = study.second();
    let then = if study.choice.first == study.choice.second {
        String::new()
    } else {
        format!(", then {} for the full line", lamp_name(second.lamps))
    };
    let apart = worst(study).map_or_else(String::new, |(at, fault)| {
        let fault = fault_title(fault);
        format!(
            " At the full line it is {} with a healthy set and {} with the worst fault ({fault}).",
            shown(&row.healthy),
            shown(&row.faulty[at])
        )
    });
    format!("Lamp of {}{then}.{apart}", lamp_name(row.lamps))
}

/// The first minute, from cold.
pub fn warming(study: &Study) -> String {
    let warm = &study.warm;
    let rise = if warm.most_b_plus > warm.settled.b_plus * 1.05 {
        format!(
            " B+ rises to {} before the tubes draw, then settles at {}.",
            volts(warm.most_b_plus),
            volts(warm.settled.b_plus)
        )
    } else {
        String::new()
    };
    format!(
        "Switched on cold at the full line the lamp is {} at first; the current is within a tenth \
         of its settled value after {} s, the lamp then {}.{rise} Without a lamp the cold heaters \
         take {} A at once, {} times what they settle at.",
        shown(&warm.first),
        figure(warm.seconds.ceil()),
        shown(&warm.settled),
        figure(study.inrush.amps),
        figure((10.0 * study.inrush.amps / bare_amps(study)).round() / 10.0)
    )
}

fn bare_amps(study: &Study) -> f64 {
    study.stages.last().map_or(1.0, |stage| stage.bare.amps).max(1e-6)
}

/// The picture over the stages.
pub fn drawing(study: &Study, width: f64) -> Option<Drawing> {
    if study.stages.is_empty() {
        return None;
    }
    let worst = worst(study);
    let of = |pick: fn(&Point) -> f64| -> (Vec<f64>, Vec<f64>) {
        let healthy = study.stages.iter().map(|stage| pick(&stage.healthy)).collect();
        let faulty = worst.map_or_else(Vec::new, |(at, _)| {
            study.stages.iter().map(|stage| pick(&stage.faulty[at])).collect()
        });
        (healthy, faulty)
    };
    let law = lamp(study.first().lamps)?;
    let zones = [
        (VISIBLE_KELVIN, Glow::DullRed),
        (ORANGE_KELVIN, Glow::Orange),
        (BRIGHT_KELVIN, Glow::Bright),
    ];
    let zones = zones.map(|(kelvin, glow)| (law.volts_at(kelvin), glow.words()));
    let panel = |title: &str, (healthy, worst): (Vec<f64>, Vec<f64>), zones: Vec<_>, least| Panel {
        title: title.to_owned(),
        healthy,
        worst,
        least,
        zones,
    };
    let rated = law.rated_volts();
    let told = stages(study).into_iter().map(|row| {
        let fault = if row.worst.is_empty() {
            String::new()
        } else {
            format!(", with the fault lamp {}", row.worst)
        };
        format!("{}: lamp {}, B+ {}{fault}", row.line, row.lamp, row.b_plus)
    });
    let words = format!(
        "Volts across the lamp and B+ over the stages. {}.",
        told.collect::<Vec<_>>().join("; ")
    );
    let chart = OnLamp {
        stages: study.stages.iter().map(|stage| stage.line_v).collect(),
        panels: vec![
            panel("across the lamp", of(|p| p.lamp_v), zones.to_vec(), 0.6 * rated),
            panel("B+", of(|p| p.b_plus), Vec::new(), 10.0),
        ],
        worst: worst.map_or_else(String::new, |(_, fault)| fault_title(fault)),
        words,
    };
    Some(draw(&chart, width))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::Sheet;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::support::assert_readable;

    #[test]
    fn the_examples_are_drawn_and_told_in_rows() {
        for example in &EXAMPLES {
            let sheet = Sheet::read(example.text);
            let study = Study::of(&sheet, &plan(&sheet).power_up, 0).unwrap();
            for width in [350.0, 1150.0] {
                assert_readable(&drawing(&study, width).unwrap(), example.id);
            }
            let rows = stages(&study);
            assert_eq!(rows.len(), 6, "{}", example.id);
            assert!(rows.iter().all(|row| !row.worst.is_empty()));
            assert_eq!(faults(&study).len(), study.faults.len() + 1);
            let best = lamps(&study).into_iter().filter(|l| l.mark == "tells best").count();
            assert_eq!(best, 1, "{}", example.id);
            assert!(lead(&study).contains(&lamp_name(study.first().lamps)));
            assert!(warming(&study).contains("at once"));
        }
    }
}
