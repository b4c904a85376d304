//! Files that go out and come in: the whole bench or one set as JSON, and
//! telling a bench file from a parts list.

use super::envelope::{self, ReadError};
use crate::bench::Bench;
use crate::letters;

/// What a file that came in turned out to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Incoming {
    /// A bench, or one set of it.
    Bench(Bench),
    /// Anything else: to be read as a parts list.
    List,
}

/// Looks at a file that came in.
///
/// # Errors
/// [`ReadError`] for a bench file that cannot be read.
pub fn look(bytes: &[u8], file_name: &str) -> Result<Incoming, ReadError> {
    let text = String::from_utf8_lossy(bytes);
    let start = text.trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n']);
    let named_json =
        file_name.rsplit_once('.').is_some_and(|(_, ending)| ending.eq_ignore_ascii_case("json"));
    if !named_json && !start.starts_with('{') {
        return Ok(Incoming::List);
    }
    envelope::read(start).map(Incoming::Bench)
}

/// A file name made of a set's name: letters, digits and dashes.
pub fn file_name(name: &str, day: &str, ending: &str) -> String {
    let mut slug = String::new();
    for c in name.chars().map(letters::lower) {
        if c.is_alphanumeric() {
            slug.push(c);
        } else if !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug: String = slug.trim_matches('-').chars().take(40).collect();
    let slug = if slug.is_empty() { "set".to_owned() } else { slug };
    format!("firstglow-{}-{day}.{ending}", slug.trim_end_matches('-'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::stamp::Stamp;

    #[test]
    fn a_bench_file_is_known_by_its_braces_or_its_name() {
        let mut bench = Bench::default();
        bench.add("set A", Stamp(0));
        let text = envelope::write(&bench).unwrap();
        assert_eq!(look(text.as_bytes(), "x.txt"), Ok(Incoming::Bench(bench)));
        assert_eq!(look(b"C1 .05 400 V", "list.txt"), Ok(Incoming::List));
        assert_eq!(look(b"part,value\nC1,.05", "list.csv"), Ok(Incoming::List));
        assert!(look(b"C1 .05", "list.json").is_err());
        assert!(look(b"{\"a\": 1}", "x.txt").is_err());
    }

    #[test]
    fn file_names_are_plain_whatever_the_set_is_called() {
        assert_eq!(
            file_name("Kitchen set, 1947 / ../x", "2025-01-02", "json"),
            "firstglow-kitchen-set-1947-x-2025-01-02.json"
        );
        assert_eq!(file_name("***", "2025-01-02", "csv"), "firstglow-set-2025-01-02.csv");
    }
}
