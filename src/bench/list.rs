//! Buying lists carried here from another device, to be ticked off at the counter.

use super::stamp::Stamp;
use serde::{Deserialize, Serialize};

/// A buying list, as it was when it was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct CarriedList {
    /// When it was sent: no two have the same.
    pub id: Stamp,
    /// The set it is for.
    pub name: String,
    /// Its groups.
    #[serde(default)]
    pub groups: Vec<ListGroup>,
}

/// Parts of one kind and rating.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct ListGroup {
    /// What kind.
    pub title: String,
    /// The safety class that they must carry; empty for none.
    pub class: String,
    /// Its lines.
    pub lines: Vec<ListLine>,
}

/// So many pieces of one value.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct ListLine {
    /// How many.
    pub pieces: usize,
    /// Of what value.
    pub value: String,
    /// For which parts, in words.
    pub parts: String,
    /// Whether they were got.
    pub got: bool,
}

impl CarriedList {
    /// How many lines were got, and how many there are.
    pub fn got(&self) -> (usize, usize) {
        let lines = || self.groups.iter().flat_map(|group| &group.lines);
        (lines().filter(|line| line.got).count(), lines().count())
    }
}
