//! Supplies that could not be solved, and what each rectifier stands.

use super::{Line, RectifierReport, UnsolvedSupply};
use crate::circuit::feed::{Missing, Unsolved};
use crate::circuit::state::{Set, StateError};
use crate::notation::note::{Level, Note};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::tubes::Class;
use std::f64::consts::SQRT_2;

/// Every supply that could not be solved; all of them where the state could
/// not.
pub fn unsolved(
    sheet: &Sheet,
    set: &Set,
    line: Line,
    trouble: Option<&StateError>,
) -> Vec<UnsolvedSupply> {
    let failed = matches!(
        trouble,
        Some(StateError::Solve(_) | StateError::Coupled(_) | StateError::Unsettled)
    );
    let mut all: Vec<Unsolved> = set.unsolved.clone();
    if failed {
        let more = set.feeds.iter().filter(|feed| set.is_known(feed));
        all.extend(more.map(|feed| {
            crate::circuit::feed::unsolved_feed(&set.running, feed, Missing::NotConverged)
        }));
    }
    all.iter().map(|one| told(sheet, set, line, one)).collect()
}

fn told(sheet: &Sheet, set: &Set, line: Line, one: &Unsolved) -> UnsolvedSupply {
    let mut rectifiers: Vec<String> =
        one.rectifiers.iter().map(|part| sheet.parts[*part].key.clone()).collect();
    rectifiers.dedup();
    UnsolvedSupply {
        rectifiers,
        transformer: one.transformer.map(|part| sheet.parts[part].key.clone()),
        output: one.output,
        missing: one.missing,
        may_be_above_v: one.peak_volts.map(|volts| volts * line.high),
        message: message(sheet, set, one),
        line: about(sheet, one).map_or(1, |part| part.line),
    }
}

/// The part that the message is about.
fn about<'a>(sheet: &'a Sheet, one: &Unsolved) -> Option<&'a Part> {
    let of_transformer = matches!(
        one.missing,
        Missing::CenterTap
            | Missing::WindingEnd
            | Missing::WindingVolts
            | Missing::Primary
            | Missing::Rectifier
            | Missing::Vibrator
    );
    let rectifier = one.rectifiers.first();
    let part = if of_transformer { one.transformer.as_ref().or(rectifier) } else { rectifier };
    part.or(one.transformer.as_ref()).map(|part| &sheet.parts[*part])
}

/// What is missing, by the parts of this sheet.
fn message(sheet: &Sheet, set: &Set, one: &Unsolved) -> String {
    let name =
        about(sheet, one).map_or_else(|| "The supply".to_owned(), |p| p.designator.to_string());
    let place = one.place.as_deref();
    let of_winding = place.map_or_else(|| "its winding".to_owned(), |p| format!("its winding {p}"));
    let at = place.map_or_else(String::new, |p| format!(" ({p})"));
    let fed = one.output.map_or("what it feeds", |n| set.wiring.nodes[n].name.as_str());
    match one.missing {
        Missing::CenterTap => format!("{name}: the center tap of {of_winding} is not connected"),
        Missing::WindingEnd => {
            let end = place.unwrap_or("one end");
            format!("{name}: {end}, an end of its high-voltage winding, is not connected")
        }
        Missing::WindingVolts => format!("{name}: {of_winding} has no volts on the sheet"),
        Missing::Primary => format!("{name}: its primary is not tied to line and neutral"),
        Missing::Return => {
            format!("{name}: {fed} has no way back to the winding or line that feeds it")
        }
        Missing::Source => format!("{name}: no winding with volts, and no line, reaches it"),
        Missing::Plate => format!("{name}: its plate{at} is not connected"),
        Missing::Cathode => format!("{name}: its cathode or filament is not connected"),
        Missing::Rectifier => format!("{name}: no rectifier is found on {of_winding}"),
        Missing::Bridge => format!("{name}: its bridge lacks a rectifier"),
        Missing::TubeType => format!("{name}: its tube type is not known, and it is on a winding"),
        Missing::SharedOutput => format!("{name}: another supply feeds {fed}, too"),
        Missing::Shorted => format!("{name}: its output and its return are one point"),
        Missing::TooMany => format!("{name}: the sheet has more supplies than are computed"),
        Missing::Vibrator => format!("{name}: a vibrator feeds it, which is not computed"),
        Missing::NotConverged => format!("{name}: the voltages at {fed} do not settle"),
        Missing::OtherSupply => {
            format!("{name}: {fed} depends on another supply that is not known")
        }
    }
}

/// A note for each supply that is not solved, and for each plate that nothing
/// feeds.
pub fn notes(sheet: &Sheet, set: &Set, unsolved: &[UnsolvedSupply]) -> Vec<Note> {
    let told = unsolved.iter().filter(|one| one.missing != Missing::OtherSupply);
    let mut notes: Vec<Note> = told
        .map(|one| {
            let message = format!("{}. No voltage that depends on it is given", one.message);
            note(one.line, one.message.find(':').unwrap_or(1), message)
        })
        .collect();
    notes.extend(set.unfed.iter().map(|unfed| {
        let part = &sheet.parts[unfed.part];
        let what = if unfed.is_screen { "screen" } else { "plate" };
        let message = format!(
            "{}: no part leads from a supply to its {what} ({}). Its voltage is not given",
            part.designator, set.wiring.nodes[unfed.node].name
        );
        note(part.line, part.designator.to_string().len(), message)
    }));
    notes
}

fn note(line: usize, length: usize, message: String) -> Note {
    let level = Level::Warning;
    Note { line, column: 1, length, level, message, read: None, choices: Vec::new() }
}

/// Every rectifier with the volts that it sees the wrong way round.
pub fn rectifiers(sheet: &Sheet, set: &Set, line: Line) -> Vec<RectifierReport> {
    let mut all = Vec::new();
    for (index, part) in sheet.parts.iter().enumerate() {
        let limits = part.tube.as_deref().and_then(|name| sheet.tube_type(name));
        let tube = limits.as_ref().filter(|(tube, _)| tube.class == Class::Rectifier);
        let rectifies = match part.kind {
            PartKind::Tube => tube.is_some() || of_part(set, index).is_some(),
            PartKind::DryRectifier => true,
            PartKind::Diode => of_part(set, index).is_some(),
            _ => false,
        };
        if !rectifies {
            continue;
        }
        let published = tube.and_then(|(tube, _)| tube.rectifier);
        all.push(RectifierReport {
            key: part.key.clone(),
            inverse_v: of_part(set, index).map(|volts| volts * line.high),
            max_inverse_v: published.map(|l| l.peak_inverse_volts).filter(|v| v.is_finite()),
        });
    }
    all
}

/// The greatest inverse volts of a part in the supplies that are solved, at the
/// nominal line without load.
fn of_part(set: &Set, part: usize) -> Option<f64> {
    let feeds = set
        .feeds
        .iter()
        .filter(|feed| feed.devices.iter().any(|device| set.running.devices[*device].part == part));
    feeds.map(|feed| feed.inverse_crests * feed.open_rms * SQRT_2).reduce(f64::max)
}
