//! One set: its sheet and what was done on it.

use super::halt::{Halt, Run};
use super::overrides::Override;
use super::photo::Photo;
use super::stamp::Stamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

/// The permanent number of a set on this bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SetId(pub u32);

impl fmt::Display for SetId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl FromStr for SetId {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        text.parse().map(Self)
    }
}

/// Where a set stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(try_from = "KeptLife", into = "KeptLife")]
pub enum Life {
    /// On the bench.
    #[default]
    Active,
    /// Put away, whole.
    Archived,
    /// Deleted, and kept until it is purged.
    Deleted {
        /// When.
        at: Stamp,
    },
}

/// The same as it is saved: `{"state": "deleted", "at": …}`. The derived code
/// for an enum that is told by a field is many times the size.
#[derive(Serialize, Deserialize)]
struct KeptLife {
    state: State,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    at: Option<Stamp>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum State {
    Active,
    Archived,
    Deleted,
}

impl From<Life> for KeptLife {
    fn from(life: Life) -> Self {
        match life {
            Life::Active => Self { state: State::Active, at: None },
            Life::Archived => Self { state: State::Archived, at: None },
            Life::Deleted { at } => Self { state: State::Deleted, at: Some(at) },
        }
    }
}

impl TryFrom<KeptLife> for Life {
    type Error = &'static str;

    fn try_from(kept: KeptLife) -> Result<Self, Self::Error> {
        match (kept.state, kept.at) {
            (State::Active, _) => Ok(Self::Active),
            (State::Archived, _) => Ok(Self::Archived),
            (State::Deleted, Some(at)) => Ok(Self::Deleted { at }),
            (State::Deleted, None) => Err("a deleted set does not say when it was deleted"),
        }
    }
}

/// What was done on one part.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct PartRecord {
    /// When it was fitted, tested or cleaned, as the plan asks.
    pub done_at: Option<Stamp>,
    /// What the new part measured, as typed.
    pub measured: String,
    /// Readings on the old part, as typed, under the words of each check.
    pub readings: BTreeMap<String, String>,
    /// A remark.
    pub note: String,
    /// What was done with each lead: `1` and `2`, or the terminal's name.
    pub leads: BTreeMap<String, LeadRecord>,
}

/// What was done with one lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct LeadRecord {
    /// When it was lifted off its lug.
    pub lifted_at: Option<Stamp>,
    /// When the old part's was out.
    pub out_at: Option<Stamp>,
    /// When the new part's, or the same again, was in.
    pub in_at: Option<Stamp>,
}

/// A reading of the wiring check.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct OhmsRecord {
    /// What the meter showed, as typed.
    pub reading: String,
    /// When it was ticked as good.
    pub good_at: Option<Stamp>,
}

/// What was done in one step of the power-up.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct StepRecord {
    /// When it was done.
    pub done_at: Option<Stamp>,
    /// When it was passed over.
    pub skipped_at: Option<Stamp>,
    /// When its hold began.
    pub hold_started_at: Option<Stamp>,
    /// Readings as typed, under the id of each.
    pub readings: BTreeMap<String, String>,
    /// Written reasons to go on past what it found, under their moments.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub overrides: BTreeMap<String, Override>,
    /// What was done in runs that were stopped, under the key of the halt.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub runs: BTreeMap<String, Run>,
}

/// A set on the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct SetRecord {
    /// Its permanent number.
    pub id: SetId,
    /// The sheet.
    pub text: String,
    /// Where it stands.
    #[serde(default)]
    pub life: Life,
    /// When it came to the bench.
    pub created: Stamp,
    /// When anything on it last changed.
    pub changed: Stamp,
    /// By the key of the part.
    #[serde(default)]
    pub parts: BTreeMap<String, PartRecord>,
    /// By the id of the step.
    #[serde(default)]
    pub steps: BTreeMap<String, StepRecord>,
    /// Readings of the wiring check, by what they are read at: `V3.6`,
    /// `V3.6 to B0`.
    #[serde(default)]
    pub ohms: BTreeMap<String, OhmsRecord>,
    /// Remarks for the record.
    #[serde(default)]
    pub notes: String,
    /// Marks of the states that another device has had, the last one last.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shared: Vec<u32>,
    /// Limits of the instruments at hand, as typed, under the words of
    /// [`crate::bench::old::Limit`].
    #[serde(default)]
    pub instruments: BTreeMap<String, String>,
    /// Its photos, in the order they were taken in.
    #[serde(default)]
    pub photos: Vec<Photo>,
    /// Watts of the series lamp at hand; 0 for the one that tells best.
    #[serde(default)]
    pub lamp_watts: u16,
    /// Stops under power, under their moments.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub halts: BTreeMap<String, Halt>,
}

/// What a set without a `set` line is called.
pub const UNNAMED: &str = "Unnamed set";

impl SetRecord {
    /// A set on which nothing has been done.
    pub fn new(id: SetId, text: String, now: Stamp) -> Self {
        Self {
            id,
            text,
            life: Life::Active,
            created: now,
            changed: now,
            parts: BTreeMap::new(),
            steps: BTreeMap::new(),
            ohms: BTreeMap::new(),
            notes: String::new(),
            shared: Vec::new(),
            instruments: BTreeMap::new(),
            photos: Vec::new(),
            lamp_watts: 0,
            halts: BTreeMap::new(),
        }
    }

    /// The name on its `set` line.
    pub fn name(&self) -> String {
        name_line(&self.text)
            .map(|(_, name)| name)
            .filter(|name| !name.is_empty())
            .map_or_else(|| UNNAMED.to_owned(), str::to_owned)
    }

    /// Writes a name on the `set` line, which is put first if there is none.
    pub fn rename(&mut self, name: &str, now: Stamp) {
        self.text = with_name(&self.text, name);
        self.changed = now;
    }

    /// The record of a part, empty if there is none.
    pub fn part(&self, key: &str) -> PartRecord {
        self.parts.get(key).cloned().unwrap_or_default()
    }

    /// The record of a part, to change it.
    pub fn part_mut(&mut self, key: &str) -> &mut PartRecord {
        self.parts.entry(key.to_owned()).or_default()
    }

    /// The record of a step, empty if there is none.
    pub fn step(&self, id: &str) -> StepRecord {
        self.steps.get(id).cloned().unwrap_or_default()
    }

    /// The record of a step, to change it.
    pub fn step_mut(&mut self, id: &str) -> &mut StepRecord {
        self.steps.entry(id.to_owned()).or_default()
    }

    /// A reading of the wiring check, empty if there is none.
    pub fn ohms(&self, id: &str) -> OhmsRecord {
        self.ohms.get(id).cloned().unwrap_or_default()
    }

    /// The same, to change it.
    pub fn ohms_mut(&mut self, id: &str) -> &mut OhmsRecord {
        self.ohms.entry(id.to_owned()).or_default()
    }

    /// Drops records in which nothing is said.
    pub fn tidy(&mut self) {
        for part in self.parts.values_mut() {
            part.leads.retain(|_, r| *r != LeadRecord::default());
        }
        self.ohms.retain(|_, r| *r != OhmsRecord::default());
        self.parts.retain(|_, r| *r != PartRecord::default());
        self.steps.retain(|_, r| *r != StepRecord::default());
    }

    /// A part was given another designator: its record and its photos go with it. A record
    /// that already stands under the new name is not written over.
    pub fn part_renamed(&mut self, from: &str, to: &str) {
        if from == to || self.parts.contains_key(to) {
            return;
        }
        if let Some(record) = self.parts.remove(from) {
            self.parts.insert(to.to_owned(), record);
        }
        let (from, to) = (format!("part/{from}"), format!("part/{to}"));
        for photo in self.photos.iter_mut().filter(|photo| photo.about == from) {
            photo.about.clone_from(&to);
        }
    }

    /// Keys of records whose part is no longer among `keys`.
    pub fn orphans<'a>(
        &'a self,
        keys: impl Fn(&str) -> bool + 'a,
    ) -> impl Iterator<Item = &'a str> {
        self.parts.keys().map(String::as_str).filter(move |key| !keys(key))
    }

    /// Whether sheet and records are the same, whatever the id and the dates.
    pub fn same_content(&self, other: &Self) -> bool {
        self.text == other.text
            && self.parts == other.parts
            && self.steps == other.steps
            && self.ohms == other.ohms
            && self.notes == other.notes
            && self.instruments == other.instruments
            && self.photos == other.photos
            && self.lamp_watts == other.lamp_watts
            && self.halts == other.halts
    }
}

/// The index of the `set` line and the name on it.
fn name_line(text: &str) -> Option<(usize, &str)> {
    text.lines().enumerate().find_map(|(index, line)| {
        let (word, rest) = line.trim_end().split_once(char::is_whitespace).unwrap_or((line, ""));
        let name = rest.split('#').next().unwrap_or("").trim();
        word.trim_end_matches(':').eq_ignore_ascii_case("set").then_some((index, name))
    })
}

/// The sheet with that name on its `set` line.
pub fn with_name(text: &str, name: &str) -> String {
    let name = name.replace(['\n', '\r', '#'], " ");
    let line = format!("set     {}", name.trim());
    let Some((index, _)) = name_line(text) else {
        return if text.is_empty() { line + "\n" } else { format!("{line}\n{text}") };
    };
    let mut lines: Vec<&str> = text.split('\n').collect();
    let remark = lines[index].find('#').map_or("", |at| &lines[index][at..]);
    let line = if remark.is_empty() { line } else { format!("{line}  {remark}") };
    lines[index] = &line;
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(text: &str) -> SetRecord {
        SetRecord::new(SetId(1), text.to_owned(), Stamp(0))
    }

    #[test]
    fn the_name_is_what_stands_on_the_set_line() {
        assert_eq!(set("# mine\nset   Kitchen radio, 1947  # red").name(), "Kitchen radio, 1947");
        assert_eq!(set("SET: Kitchen radio").name(), "Kitchen radio");
        assert_eq!(set("C1 .05 400 V").name(), UNNAMED);
        assert_eq!(set("set").name(), UNNAMED);
    }

    #[test]
    fn renaming_changes_the_set_line_and_nothing_else() {
        let mut record = set("# mine\nset Old # red\nC1 .05\n");
        record.rename("New", Stamp(5));
        assert_eq!(record.text, "# mine\nset     New  # red\nC1 .05\n");
        assert_eq!(record.changed, Stamp(5));
    }

    #[test]
    fn naming_a_sheet_without_a_set_line_puts_one_first() {
        assert_eq!(with_name("C1 .05", "New"), "set     New\nC1 .05");
        assert_eq!(with_name("", "New"), "set     New\n");
    }

    #[test]
    fn a_name_cannot_bring_further_lines_in() {
        assert_eq!(with_name("set A", "B\nC9 1 V # x"), "set     B C9 1 V   x");
    }

    #[test]
    fn a_renamed_part_takes_its_record_along() {
        let mut record = set("");
        record.part_mut("C7").measured = "0.047".into();
        record.photos.push(Photo { about: "part/C7".into(), ..Photo::default() });
        record.part_renamed("C7", "C17");
        assert_eq!(record.part("C17").measured, "0.047");
        assert_eq!(record.photos[0].about, "part/C17");
        assert!(!record.parts.contains_key("C7"));
    }

    #[test]
    fn a_rename_never_writes_over_another_record() {
        let mut record = set("");
        record.part_mut("C7").measured = "seven".into();
        record.part_mut("C8").measured = "eight".into();
        record.part_renamed("C7", "C8");
        assert_eq!(record.part("C7").measured, "seven");
        assert_eq!(record.part("C8").measured, "eight");
    }

    #[test]
    fn records_of_parts_that_are_gone_are_kept_and_named() {
        let mut record = set("");
        record.part_mut("C7").measured = "x".into();
        record.part_mut("C8").measured = "y".into();
        assert_eq!(record.orphans(|k| k == "C8").collect::<Vec<_>>(), ["C7"]);
    }

    #[test]
    fn a_record_in_which_nothing_is_said_is_dropped() {
        let mut record = set("");
        record.part_mut("C7");
        record.step_mut("look");
        record.ohms_mut("V3.6");
        record.part_mut("C8").leads.insert("1".into(), LeadRecord::default());
        record.tidy();
        assert!(record.parts.is_empty() && record.steps.is_empty() && record.ohms.is_empty());
    }
}
