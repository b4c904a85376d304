//! What the readings come to, in words: what is out of its band, the faults
//! that explain it, the reading to take next.

use super::model::{Chart, Row};
use crate::bench::reading::value_of;
use crate::bench::set::SetRecord;
use crate::bench::wiring::{Candidate, Taken, Value, check};
use crate::ui::words::capital;

/// A fault that explains readings, and those that cannot be told from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suspect {
    /// What it is, in a sentence.
    pub says: String,
    /// What to look at first.
    pub look: String,
    /// Its share, in whole percent.
    pub percent: u8,
    /// What no reading of the chart tells from it.
    pub alike: Vec<String>,
    /// Readings that it does not explain.
    pub unexplained: Vec<String>,
}

/// What the readings come to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Finding {
    /// Each reading that is out of its band, in a sentence.
    pub out: Vec<String>,
    /// What explains them, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// The reading to take next: what it is kept under, and why.
    pub next: Option<(String, String)>,
    /// Where no single fault explains everything, or nothing at all.
    pub remark: Option<&'static str>,
}

/// The most suspects shown.
const MOST_SUSPECTS: usize = 5;
/// The most that is told of what is alike to one.
const MOST_ALIKE: usize = 6;
/// A share below this is not shown behind the first three.
const LEAST_SHARE: f64 = 0.02;

impl Chart {
    /// What the readings come to.
    pub fn finding(&self, record: &SetRecord) -> Finding {
        let mut taken: Vec<Taken> = Vec::new();
        for row in self.0.stations.iter().flat_map(|s| &s.rows) {
            let Some(kept) = record.ohms.get(&row.id) else { continue };
            let value = match value_of(&kept.reading, "Ω") {
                Ok(Some(ohms)) => Value::Ohms(ohms),
                Ok(None) if kept.good_at.is_some() => Value::Good,
                _ => continue,
            };
            taken.push(Taken { probe: row.probe, value });
        }
        let table = &self.0.table;
        let found = check(table, &taken);
        let by_probe =
            |probe: usize| self.0.stations.iter().flat_map(|s| &s.rows).find(|r| r.probe == probe);
        let out = found.out.iter().filter_map(|probe| {
            let row = by_probe(*probe)?;
            Some(note(row, &record.ohms.get(&row.id)?.reading))
        });
        let says = |fault: usize| table.says(&self.0.sheet, &self.0.wiring, &table.faults[fault]);
        let explains = |c: &Candidate| c.unexplained.len() < found.out.len();
        let shown = found.candidates.iter().enumerate();
        let shown = shown.filter(|(at, c)| (*at < 3 || c.share >= LEAST_SHARE) && explains(c));
        let shown = shown.map(|(_, c)| c);
        let suspects: Vec<Suspect> = shown
            .take(MOST_SUSPECTS)
            .map(|c| {
                let first = c.faults[0];
                let mut alike: Vec<String> = Vec::new();
                for words in c.faults.iter().skip(1).map(|f| says(*f)) {
                    if !alike.contains(&words) {
                        alike.push(words);
                    }
                }
                let more = alike.len().saturating_sub(MOST_ALIKE);
                alike.truncate(MOST_ALIKE);
                if more > 0 {
                    alike.push(format!("{more} more"));
                }
                let left = c.unexplained.iter().filter_map(|p| Some(self.lead(by_probe(*p)?)));
                Suspect {
                    says: capital(&says(first)),
                    look: table.look(&self.0.sheet, &table.faults[first]),
                    percent: percent(c.share),
                    alike,
                    unexplained: left.collect(),
                }
            })
            .collect();
        let next = found.next.and_then(|next| {
            let row = by_probe(next.probe)?;
            let why =
                format!("{}: it parts what is left into {} groups", self.lead(row), next.groups);
            Some((row.id.clone(), why))
        });
        let remark = remark(&suspects, found.out.is_empty());
        Finding { out: out.collect(), suspects, next, remark }
    }
}

fn remark(suspects: &[Suspect], is_well: bool) -> Option<&'static str> {
    match suspects.first() {
        _ if is_well => None,
        None => Some(
            "No single fault that is known here explains this. Take the reading once more, then look at the parts and wires of this point.",
        ),
        Some(first) if !first.unexplained.is_empty() => Some(
            "No single fault explains every reading. There may be two: mend the first, then read again.",
        ),
        Some(_) => None,
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between 0 and 100
fn percent(share: f64) -> u8 {
    (share * 100.0).round().clamp(0.0, 100.0) as u8
}

/// `V2 pin 6 reads 0; 220 to 270 kΩ expected, to B-`.
fn note(row: &Row, typed: &str) -> String {
    let unit = if typed.trim().chars().all(|c| c.is_ascii_digit() || ".,".contains(c)) {
        " Ω"
    } else {
        ""
    };
    format!("{} reads {}{unit} to {}; {} expected", row.place, typed.trim(), row.against, row.band)
}
