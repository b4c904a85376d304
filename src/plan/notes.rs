//! Notes of the plan as a whole, joined to those of the text and the circuit.
//!
//! ```
//! use firstglow::{plan::plan, sheet::Sheet};
//! let notes = plan(&Sheet::default()).notes;
//! assert!(notes[0].message.starts_with("No supply line"));
//! ```
//!
//! Limits: notes on a part stand with its planner.

use super::supply::{Rectifier, Supply};
use super::text::volts;
use crate::circuit::report::Report;
use crate::notation::note::{Choice, Edit, Level, Note};
use crate::order;
use crate::sheet::{Sheet, SupplyKind};
use rustc_hash::FxHashSet;

/// All notes, in order of line and column.
pub fn notes(sheet: &Sheet, supply: &Supply, of_parts: Vec<Note>, circuit: &Report) -> Vec<Note> {
    let mut all = sheet.notes.clone();
    all.extend(circuit.notes.iter().cloned());
    all.extend(no_supply(sheet, supply));
    all.extend(no_secondary(sheet, supply));
    all.extend(low_high_line(sheet));
    all.extend(rectifier_limit(sheet, supply, circuit));
    all.extend(of_parts);
    order::sort(&mut all, |n| [n.line, n.column, 0]);
    let mut told = FxHashSet::default();
    all.retain(|n| told.insert((n.line, n.column, n.message.clone())));
    all
}

fn at(line: usize, message: String, choices: Vec<Choice>) -> Note {
    Note { line, column: 1, length: 1, level: Level::Warning, message, read: None, choices }
}

/// Where the supply is told, or could be.
fn supply_line(sheet: &Sheet) -> usize {
    sheet.header.supply_line.or(sheet.header.mains_line).unwrap_or(1)
}

fn no_supply(sheet: &Sheet, supply: &Supply) -> Option<Note> {
    if sheet.header.supply.is_some() {
        return None;
    }
    let line = sheet.header.mains_line.map_or(1, |l| l.saturating_add(1));
    let choice = |text: &str| Choice {
        label: format!("Add `{text}`"),
        edit: Edit::InsertLine { line, text: text.to_owned() },
    };
    let choices =
        ["supply series-string", "supply transformer", "supply vibrator", "supply battery"]
            .map(choice)
            .to_vec();
    let message = match supply.kind.map(|k| k.value) {
        Some(SupplyKind::SeriesString) => {
            "No supply line: taken as a transformerless set by its parts. Say so if it is not."
        }
        Some(_) => "No supply line: taken as a transformer set by its parts. Say so if it is not.",
        None => {
            "No supply line: ratings follow the old marks alone, and whether the chassis is on \
             the line is not known. Treat it as if it were."
        }
    };
    Some(at(line.saturating_sub(1).max(1), message.to_owned(), choices))
}

fn no_secondary(sheet: &Sheet, supply: &Supply) -> Option<Note> {
    let kind = supply.kind?.value;
    (kind == SupplyKind::Transformer && supply.no_load_v.is_none()).then(|| {
        let message = "The high-voltage winding is not told: ratings follow the old marks alone. \
                       Add its voltage, as in `supply transformer 350-0-350 V`.";
        at(supply_line(sheet), message.to_owned(), Vec::new())
    })
}

fn low_high_line(sheet: &Sheet) -> Option<Note> {
    let (mains, high) = (sheet.header.mains?, sheet.header.high_line?);
    (high < mains).then(|| {
        let message =
            format!("The high line of {high} lies below the nameplate of {mains}: it is not used.");
        at(sheet.header.mains_line.unwrap_or(1), message, Vec::new())
    })
}

/// A plate voltage beyond what the rectifier tube is given for.
///
/// The circuit tells the volts of the tube's own winding; the words of the sheet
/// stand in where it does not.
fn rectifier_limit(sheet: &Sheet, supply: &Supply, circuit: &Report) -> Option<Note> {
    let Some(Rectifier::Tube(tube)) = supply.rectifier else { return None };
    let named = |key: &String| {
        let part = sheet.parts.iter().find(|part| part.key == *key);
        let own = part.and_then(|part| crate::trade::rectifier::find(part.tube.as_deref()?));
        own == Some(tube)
    };
    let own = circuit.supplies.iter().find(|one| one.rectifiers.iter().any(named));
    let plate = supply.plate_v?;
    // High line is beyond the design centre: the limit is meant at the nameplate.
    let stated = if supply.high_v > 0.0 { plate * supply.mains_v / supply.high_v } else { plate };
    let nominal = own.map_or(stated, |one| one.source_rms_v);
    (nominal > tube.most_plate_v * 1.001).then(|| {
        let message = format!(
            "{} on each plate of the {} is more than the {} it is given for with a capacitor \
             input (manual figure from memory). Check the winding's voltage and whether a choke \
             comes first.",
            volts(nominal),
            tube.names[0],
            volts(tube.most_plate_v)
        );
        at(supply_line(sheet), message, Vec::new())
    })
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{capacitor, part, series_string, transformer, volt};
    use crate::sheet::part::PartKind;

    fn messages(sheet: &crate::sheet::Sheet) -> Vec<String> {
        plan(sheet).notes.into_iter().map(|n| n.message).collect()
    }

    #[test]
    fn a_described_set_has_no_notes() {
        assert!(messages(&series_string(vec![capacitor("C1", "0.05", "400")])).is_empty());
    }

    #[test]
    fn an_electrolytic_without_rating_and_supply_is_noted() {
        let sheet = crate::sheet::Sheet {
            parts: vec![capacitor("C1", "16", "")],
            ..crate::sheet::Sheet::default()
        };
        assert!(messages(&sheet).iter().any(|m| m.starts_with("C1: rating unknown")));
    }

    #[test]
    fn what_is_out_of_bounds_is_noted() {
        let mut tube = part("V5", PartKind::Tube);
        tube.tube = Some("5Y3GT".into());
        let mut sheet = transformer("900", vec![tube]);
        sheet.header.high_line = Some(volt("100"));
        let told = messages(&sheet);
        assert!(told.iter().any(|m| m.contains("more than the 350 V")), "{told:?}");
        assert!(told.iter().any(|m| m.contains("not used")));
        sheet.header.secondary = None;
        assert!(messages(&sheet).iter().any(|m| m.contains("winding is not told")));
    }
}
