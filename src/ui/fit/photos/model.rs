//! What photos are of, in words; which are shown; storage in words.

use crate::bench::photo::{Photo, SET};
use crate::bench::set::SetRecord;
use crate::plan::text::figure;
use crate::sheet::Sheet;

/// Something that a photo can be of.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Subject {
    /// How it is kept: `set`, `part/C7`, `area/band switch`.
    pub about: String,
    /// How it is shown, with how many photos there are of it.
    pub label: String,
}

/// Everything a photo can be of: the set, areas, parts, and what photos are of
/// that is no longer on the sheet.
pub fn subjects(sheet: &Sheet, record: &SetRecord) -> Vec<Subject> {
    let mut abouts = vec![SET.to_owned()];
    abouts.extend(sheet.areas.iter().map(|a| format!("area/{}", a.name)));
    abouts.extend(sheet.parts.iter().map(|p| format!("part/{}", p.key)));
    let gone: Vec<String> = record
        .photos
        .iter()
        .map(|p| p.about.clone())
        .filter(|about| !abouts.contains(about))
        .collect();
    for about in gone {
        if !abouts.contains(&about) {
            abouts.push(about);
        }
    }
    abouts
        .into_iter()
        .map(|about| {
            let count = record.photos.iter().filter(|p| p.about == about).count();
            let label = match count {
                0 => name(&about),
                _ => format!("{} ({count})", name(&about)),
            };
            Subject { about, label }
        })
        .collect()
}

/// Longer lists are no help to choose from, and slow.
pub const MOST_CHOICES: usize = 500;

/// The subjects that are offered to choose from: of many, those with a photo, the
/// set, its areas, and the one that is chosen. Any other is typed.
pub fn offered(all: &[Subject], record: &SetRecord, chosen: &str) -> Vec<Subject> {
    let is_offered = |subject: &&Subject| {
        all.len() <= MOST_CHOICES
            || !subject.about.starts_with("part/")
            || subject.about == chosen
            || record.photos.iter().any(|photo| photo.about == subject.about)
    };
    all.iter().filter(is_offered).cloned().collect()
}

/// What a photo is of, in words.
pub fn name(about: &str) -> String {
    match about.split_once('/') {
        Some(("area", name)) => format!("Area: {name}"),
        Some((_, name)) => name.to_owned(),
        None => "The set as a whole".to_owned(),
    }
}

/// The photos of something, or all for an empty word, the latest first.
pub fn shown(record: &SetRecord, about: &str) -> Vec<String> {
    let of = |p: &&Photo| about.is_empty() || p.about == about;
    record.photos.iter().filter(of).map(|p| p.id.clone()).rev().collect()
}

/// The places of a part's leads, to be put on a photo in one tap.
pub fn leads(sheet: &Sheet, about: &str) -> Vec<String> {
    let Some(key) = about.strip_prefix("part/") else { return Vec::new() };
    let Some(part) = sheet.parts.iter().find(|p| p.key == key) else { return Vec::new() };
    let leads = part.leads.iter().flat_map(|l| [l.from.to_string(), l.to.to_string()]);
    let pins = part.pins.iter().map(|p| format!("{}.{} to {}", part.key, p.pin, p.place));
    leads.chain(pins).collect()
}

/// What a picture is called to those who do not see it.
pub fn alt(photo: &Photo) -> String {
    let marks = match photo.marks.len() {
        0 => String::new(),
        1 => ", one place marked".to_owned(),
        many => format!(", {many} places marked"),
    };
    let caption =
        if photo.caption.is_empty() { String::new() } else { format!(": {}", photo.caption) };
    format!("Photo of {}{caption}{marks}", name(&photo.about))
}

/// `12.4 MB used of 2.1 GB`, and whether the browser keeps it.
pub fn storage(used: f64, of: f64, persistent: bool) -> String {
    let keeps = if persistent {
        "The browser keeps it until you clear it."
    } else {
        "The browser may clear it when the disk runs short."
    };
    format!("Storage: {} used, {} left. {keeps}", size(used), size((of - used).max(0.0)))
}

/// Bytes as a person says them.
pub fn size(bytes: f64) -> String {
    let (by, unit) = match bytes {
        b if b >= 1e9 => (1e9, "GB"),
        b if b >= 1e6 => (1e6, "MB"),
        _ => (1e3, "kB"),
    };
    format!("{} {unit}", figure(bytes / by))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;

    fn record(abouts: &[&str]) -> SetRecord {
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for (id, about) in abouts.iter().enumerate() {
            let (id, about) = (id.to_string(), (*about).to_owned());
            record.photos.push(Photo { id, about, ..Photo::default() });
        }
        record
    }

    #[test]
    fn of_many_subjects_only_those_of_use_are_offered() {
        let lines: Vec<_> = (1..=600).map(|n| format!("R{n} 470K")).collect();
        let record = record(&["part/R7", "part/gone"]);
        let offered = |count: usize, chosen: &str| {
            let all = subjects(&Sheet::read(&lines[..count].join("\n")), &record);
            let found = offered(&all, &record, chosen);
            found.into_iter().map(|s| s.about).collect::<Vec<_>>()
        };
        assert_eq!(offered(600, "part/R9"), ["set", "part/R7", "part/R9", "part/gone"]);
        assert_eq!(offered(20, "").len(), 22);
    }

    #[test]
    fn photos_are_of_the_set_an_area_a_part_or_what_once_was_one() {
        let sheet = Sheet::read("C7 .05 mfd V2.6 to B1\narea switch: C7");
        let record = record(&["part/C7", "part/C9", "part/C7"]);
        let labels: Vec<_> = subjects(&sheet, &record).into_iter().map(|s| s.label).collect();
        assert_eq!(labels, ["The set as a whole", "Area: switch", "C7 (2)", "C9 (1)"]);
        assert_eq!(shown(&record, "part/C7"), ["2", "0"]);
        assert_eq!(shown(&record, "").len(), 3);
        assert_eq!(leads(&sheet, "part/C7"), ["V2.6", "B1"]);
        assert!(leads(&sheet, "area/switch").is_empty());
    }

    #[test]
    fn storage_is_told_in_plain_figures() {
        assert_eq!(
            storage(12.4e6, 2.1e9, false),
            "Storage: 12.4 MB used, 2.09 GB left. The browser may clear it when the disk runs short."
        );
        assert_eq!(size(900.0), "0.9 kB");
    }
}
