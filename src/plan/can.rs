//! Block and can capacitors: several sections in one shell.
//!
//! ```
//! use firstglow::{plan::{can::cans, plan}, sheet::Sheet};
//! let sheet = Sheet::read("C20 40-20/150 electrolytic B0, B2 to B-");
//! let cans = cans(&sheet, &plan(&sheet));
//! assert_eq!(cans[0].name, "C20");
//! assert_eq!(cans[0].common.as_deref(), Some("B-"));
//! ```
//!
//! Limits: what the sheet writes as sections of one part, or calls a can or a
//! block.

use super::types::{Plan, PlannedPart};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::size::{Round, typical};
use crate::trade::source::Source;

/// Where the ways to mount new parts come from.
pub const CAN_SOURCE: Source = Source::practice("new parts in the old shell, or beside it");

/// A shell with its sections.
#[derive(Debug, Clone, PartialEq)]
pub struct Can {
    /// The designator that the sections share.
    pub name: String,
    /// Its sections, in the order of the sheet.
    pub sections: Vec<Section>,
    /// The place of the lead that all sections share.
    pub common: Option<String>,
    /// What that says of its shell, in one sentence.
    pub shell: String,
}

/// A section of a can.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// The key of the part.
    pub key: String,
    /// The old section.
    pub old: String,
    /// The new part, where one is named.
    pub new: Option<String>,
    /// The place of the lead that is its own.
    pub lead: Option<String>,
    /// The usual size of the new part.
    pub size: Option<Round>,
}

/// The ways to fit new parts, by the word that is kept.
pub const WAYS: [(&str, &str); 3] = [
    ("", "not decided"),
    ("inside", "inside the old shell"),
    ("beside", "beside it, the shell left empty of duty"),
];

/// What a way asks for, in sentences.
pub fn way_words(way: &str) -> &'static [&'static str] {
    match way {
        "inside" => &[
            "Open the shell where its seam will not show; what was in it is caustic and goes out whole.",
            "Drill a small vent in the base, sleeve every lead, wire each new part to its old lug.",
            "Write in the record that it is not as marked.",
        ],
        "beside" => &[
            "Take every wire off the old lugs: new parts are never put across old ones.",
            "New parts on a terminal strip near the old lugs, leads as short, ground at the same lug.",
            "The empty shell stays for its looks.",
        ],
        _ => &[],
    }
}

/// Every can and block of a set.
pub fn cans(sheet: &Sheet, plan: &Plan) -> Vec<Can> {
    let mut cans: Vec<(String, Vec<&Part>)> = Vec::new();
    for part in sheet.parts.iter().filter(|p| p.kind == PartKind::Capacitor) {
        let name = part.designator.unit().to_string();
        if part.designator.section.is_none() && !is_called_can(part) {
            continue;
        }
        match cans.iter_mut().find(|(n, _)| *n == name) {
            Some((_, parts)) => parts.push(part),
            None => cans.push((name, vec![part])),
        }
    }
    cans.retain(|(_, parts)| parts.len() > 1 || is_called_can(parts[0]));
    cans.into_iter().map(|(name, parts)| can(name, &parts, plan)).collect()
}

fn is_called_can(part: &Part) -> bool {
    let mut words =
        part.mark.split_whitespace().chain(part.remark.iter().flat_map(|r| r.split_whitespace()));
    words.any(|w| ["can", "block", "bathtub"].iter().any(|c| w.eq_ignore_ascii_case(c)))
}

fn can(name: String, parts: &[&Part], plan: &Plan) -> Can {
    let common = common(parts);
    let sections = parts
        .iter()
        .filter_map(|part| {
            let planned = plan.parts.iter().find(|p| p.key == part.key)?;
            Some(section(part, planned, common.as_deref()))
        })
        .collect();
    let shell = match common.as_deref() {
        Some("chassis") => shell_on_chassis(),
        // In a set apart from the line ground is the chassis.
        Some("ground") if plan.supply.line_connected != Some(true) => shell_on_chassis(),
        Some(place) => format!(
            "Its common lead is {place}, not the chassis: the shell is live against it. Keep its \
             insulating washer and sleeve, and keep fingers off it."
        ),
        None if parts.len() > 1 => {
            "Its sections share no lead on this sheet: each has two of its own, or the places are \
             not given."
                .to_owned()
        }
        None => "Its places are not given on the sheet.".to_owned(),
    };
    Can { name, sections, common, shell }
}

fn shell_on_chassis() -> String {
    "Its common lead is the chassis, as its shell is.".to_owned()
}

/// The place at which every section has a lead.
fn common(parts: &[&Part]) -> Option<String> {
    let ends = |part: &Part| part.leads.as_ref().map(|l| [l.to.to_string(), l.from.to_string()]);
    let first = ends(parts.first()?)?;
    first
        .into_iter()
        .find(|place| parts.iter().all(|part| ends(part).is_some_and(|e| e.contains(place))))
}

fn section(part: &Part, planned: &PlannedPart, common: Option<&str>) -> Section {
    let ends = part.leads.as_ref().map(|l| [l.from.to_string(), l.to.to_string()]);
    let lead = ends.into_iter().flatten().find(|place| Some(place.as_str()) != common);
    let old = [planned.old.value.clone(), planned.old.rating.map(|v| v.to_string())];
    let new = planned.replacement.as_ref();
    Section {
        key: planned.key.clone(),
        old: old.into_iter().flatten().collect::<Vec<_>>().join(" "),
        new: new.map(|new| new.text.clone()),
        lead,
        size: new.and_then(|n| typical(n.dielectric, n.picofarads * 1e-12, n.rating_v)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::plan;
    use crate::sheet::examples::EXAMPLES;

    fn of(text: &str) -> Vec<Can> {
        let sheet = Sheet::read(text);
        cans(&sheet, &plan(&sheet))
    }

    #[test]
    fn the_common_lead_is_found_whichever_way_the_sections_are_written() {
        let cans =
            of("C1A 8 mfd 450 V electrolytic B0 to B-\nC1B 8 mfd 450 V electrolytic B- to B1\n\
             C2 8 mfd 450 V electrolytic B1 to chassis");
        assert_eq!(cans.len(), 1);
        assert_eq!(cans[0].common.as_deref(), Some("B-"));
        assert!(cans[0].shell.contains("live against it"));
        let leads: Vec<_> = cans[0].sections.iter().map(|s| s.lead.as_deref().unwrap()).collect();
        assert_eq!(leads, ["B0", "B1"]);
    }

    #[test]
    fn every_example_s_cans_have_a_common_lead_and_sizes() {
        let mut found = 0;
        for example in &EXAMPLES {
            for can in of(example.text) {
                found += 1;
                assert!(can.common.is_some(), "{}: {}", example.id, can.name);
                assert!(can.sections.iter().all(|s| s.size.is_some()), "{}", can.name);
            }
        }
        assert_eq!(found, 3);
    }

    #[test]
    fn what_is_called_a_block_is_one_even_with_one_section() {
        assert_eq!(of("C5 .5 mfd 400 V paper a to chassis # in the block").len(), 1);
        assert!(of("C5 .5 mfd 400 V paper a to chassis").is_empty());
    }
}
