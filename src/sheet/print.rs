//! Writing a part as a line that reads back to the same part.

use super::part::{Part, PartKind, Plus, Winding, WindingKind};
use crate::notation::kinds::kind_of;
use std::fmt::Write;

/// The part as one line of a sheet.
///
/// ```
/// use firstglow::sheet::{Sheet, print};
/// let sheet = Sheet::read("c7 .05/400 paper V2.6 to V3.5");
/// assert_eq!(print::line(&sheet.parts[0]), "C7  0.05 µF 400 V paper  V2.6 to V3.5");
/// ```
pub fn line(part: &Part) -> String {
    let marks = marks(part);
    let mut out = part.designator.to_string();
    if !marks.is_empty() {
        let _ = write!(out, "  {}", marks.join(" "));
    }
    for tie in &part.pins {
        let _ = write!(out, "  {}={}", tie.pin, tie.place);
    }
    if let Some(area) = &part.area {
        let _ = write!(out, "  in \"{area}\"");
    }
    if let Some(leads) = &part.leads {
        let (from, to) = (&leads.from, &leads.to);
        let _ = match part.plus {
            Plus::Order => write!(out, "  {from} to {to}"),
            Plus::First => write!(out, "  + {from} to {to}"),
            Plus::Second => write!(out, "  {from} to + {to}"),
            Plus::Unsaid => write!(out, "  between {from} and {to}"),
        };
    }
    if let Some(remark) = &part.remark {
        let _ = write!(out, "  # {remark}");
    }
    out
}

/// Everything but designator, places and remark, in the order it is written.
fn marks(part: &Part) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    all.extend(part.tube.clone());
    all.extend(part.capacitance.map(|c| c.to_string()));
    all.extend(part.resistance.map(|r| r.to_string()));
    all.extend(part.inductance.map(|l| l.to_string()));
    if let Some(rating) = part.rating {
        all.push(if part.rating_ac { format!("{rating} AC") } else { rating.to_string() });
    }
    all.extend(part.surge.map(|v| format!("{v} surge")));
    all.extend(part.current.map(|a| a.to_string()));
    all.extend(part.power.map(|p| p.to_string()));
    all.extend(part.tolerance.map(|t| t.to_string()));
    all.extend(part.class.map(|c| c.label().to_owned()));
    all.extend(part.dielectric.map(|d| d.label().to_owned()));
    all.extend(kind_word(part).map(str::to_owned));
    all.extend(part.makes.iter().map(|m| m.label().to_owned()));
    all.extend(part.role.map(|r| r.label().to_owned()));
    all.extend(part.line_side_unsaid.then(|| "line bypass".to_owned()));
    all.extend(part.windings.iter().map(winding));
    all
}

/// The word that gives a part its kind where its letters do not.
fn kind_word(part: &Part) -> Option<&'static str> {
    if part.kind == kind_of(&part.designator.letters) {
        return None;
    }
    match part.kind {
        PartKind::VariableCapacitor => Some("variable"),
        PartKind::Potentiometer => Some("potentiometer"),
        PartKind::ResistanceCord => Some("resistance cord"),
        PartKind::Cord => Some("cord"),
        _ => None,
    }
}

/// A winding as it is written.
fn winding(winding: &Winding) -> String {
    let kind = match winding.kind {
        WindingKind::Primary => "primary",
        WindingKind::Secondary => "secondary",
        WindingKind::Heater => "heater",
        WindingKind::RectifierHeater => "rectifier",
    };
    let mut out = format!("{kind} {} to {}", winding.start, winding.end);
    if let Some(tap) = &winding.tap {
        let _ = write!(out, " tap {tap}");
    }
    for amount in [winding.volts.map(|v| v.to_string()), winding.resistance.map(|r| r.to_string())]
        .iter()
        .flatten()
    {
        let _ = write!(out, " {amount}");
    }
    out
}
