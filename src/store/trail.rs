//! Which writes of which page went into a document, so that of two documents it
//! can be told whether one holds all that the other does.

use serde_json::{Map, Value};

/// So many pages are named at most; the eldest are forgotten.
const MOST_WRITERS: usize = 12;

/// By the name of each page that wrote, the number of its last write that is
/// contained. Names of later pages sort after those of earlier ones.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Trail(Map<String, Value>);

impl Trail {
    /// A trail as it was saved. One that cannot be read counts as none.
    pub fn read(value: Option<Value>) -> Self {
        match value {
            Some(Value::Object(map)) => Self(map),
            _ => Self::default(),
        }
    }

    /// As it is saved, or nothing where it names nobody.
    pub fn written(&self) -> Option<String> {
        if self.0.is_empty() { None } else { serde_json::to_string(&self.0).ok() }
    }

    /// Whether it names nobody.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many writes of a page are contained.
    pub fn count(&self, writer: &str) -> u64 {
        self.0.get(writer).map_or(0, number)
    }

    /// Notes a write of a page.
    pub fn note(&mut self, writer: &str, writes: u64) {
        self.0.insert(writer.to_owned(), Value::from(writes));
        let surplus = self.0.len().saturating_sub(MOST_WRITERS);
        let eldest: Vec<String> = self.0.keys().take(surplus).cloned().collect();
        for writer in eldest {
            self.0.remove(&writer);
        }
    }

    /// Notes all writes of another document.
    pub fn take_in(&mut self, other: &Self) {
        for (writer, writes) in &other.0 {
            if number(writes) > self.count(writer) {
                self.0.insert(writer.clone(), writes.clone());
            }
        }
    }

    /// Whether every write of another document is contained. Pages older than
    /// all of a full trail are those that it has forgotten.
    pub fn contains(&self, other: &Self) -> bool {
        let eldest = self.0.keys().next().filter(|_| self.0.len() >= MOST_WRITERS);
        let mut others = other.0.iter();
        others.all(|(writer, writes)| {
            number(writes) <= self.count(writer) || eldest.is_some_and(|eldest| writer < eldest)
        })
    }
}

fn number(writes: &Value) -> u64 {
    writes.as_u64().unwrap_or(0)
}

impl<'a> FromIterator<(&'a str, u64)> for Trail {
    fn from_iter<I: IntoIterator<Item = (&'a str, u64)>>(writes: I) -> Self {
        let mut trail = Self::default();
        for (writer, count) in writes {
            trail.note(writer, count);
        }
        trail
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trail(writes: &[(&str, u64)]) -> Trail {
        writes.iter().copied().collect()
    }

    #[test]
    fn a_trail_contains_what_it_has_seen_at_least_as_often() {
        let both = trail(&[("a", 2), ("b", 1)]);
        assert!(both.contains(&trail(&[])));
        assert!(both.contains(&trail(&[("a", 2)])));
        assert!(!both.contains(&trail(&[("a", 3)])));
        assert!(!both.contains(&trail(&[("c", 1)])));
        let mut all = trail(&[("a", 1), ("c", 4)]);
        all.take_in(&both);
        assert_eq!(all, trail(&[("a", 2), ("b", 1), ("c", 4)]));
    }

    #[test]
    fn the_eldest_pages_are_forgotten_and_count_as_contained() {
        let names: Vec<String> = (10..23).map(|n| n.to_string()).collect();
        let full: Trail = names.iter().map(|name| (name.as_str(), 1)).collect();
        assert_eq!(full.count("10"), 0);
        assert!(full.contains(&trail(&[("10", 1), ("22", 1)])));
        assert!(!full.contains(&trail(&[("10", 1), ("23", 1)])));
        assert!(!trail(&[("11", 1)]).contains(&trail(&[("10", 1)])), "none was forgotten");
    }

    #[test]
    fn what_is_no_trail_counts_as_none() {
        assert_eq!(Trail::read(Some(Value::from("x"))), Trail::default());
        assert_eq!(Trail::read(None).written(), None);
        let written = trail(&[("a", 3)]).written();
        assert_eq!(written.as_deref(), Some(r#"{"a":3}"#));
        assert_eq!(Trail::read(serde_json::from_str(&written.unwrap()).ok()), trail(&[("a", 3)]));
    }
}
