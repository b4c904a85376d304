//! The saved document: `{"type": "firstglow-bench", "version": 1, "app": …,
//! "check": …, "data": …}`, and the way from any older version to the present
//! one.
//!
//! `check` is the checksum of what stands behind `"data":`, to the letter, so
//! that damage is told even where it leaves a document that can be read. A
//! document without one is read as it is.
//!
//! A released version never changes: a change of the data is a new version
//! with one more migration, and a fixture of the old one in `tests/fixtures`.

use super::checksum::crc32;
use super::trail::Trail;
use crate::bench::Bench;
use crate::order;
use serde::Deserialize;
use serde_json::Value;
use thiserror::Error;

/// What stands under `type`.
pub const TYPE: &str = "firstglow-bench";
/// The present version.
pub const VERSION: u32 = 1;
/// A document larger than this is not read: no bench of a person gets there.
pub const MAX_BYTES: usize = 64 * 1024 * 1024;

/// Takes the data of one version to the next.
type Migration = fn(Value) -> Result<Value, ReadError>;

/// From version 1 up, one each: `MIGRATIONS[0]` takes 1 to 2.
const MIGRATIONS: [Migration; (VERSION - 1) as usize] = [];

/// Why a document was not read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// Not JSON at all.
    #[error("This is not a Firstglow file: it is damaged near line {line}, column {column}.")]
    NotJson {
        /// Where reading stopped, from 1.
        line: usize,
        /// Where reading stopped, from 1.
        column: usize,
    },
    /// JSON of something else.
    #[error("This is not a Firstglow file: it does not say that it is one.")]
    NotOurs,
    /// Written by a later version.
    #[error(
        "This was saved by a newer Firstglow (format {found}; this one reads up to {VERSION}). \
         Open it with that one."
    )]
    Newer {
        /// Its version.
        found: u64,
    },
    /// Ours, but not whole.
    #[error("This Firstglow file is damaged: {what}.")]
    Damaged {
        /// What was missing or wrong.
        what: String,
    },
    /// Ours, whole to look at, but not what was written.
    #[error(
        "This Firstglow file is damaged: its contents do not match their checksum. If you changed \
         the file yourself, take its “check” entry out."
    )]
    Altered,
    /// Larger than any bench.
    #[error("This file is too large to be a Firstglow file ({megabytes} MB).")]
    TooLarge {
        /// Its size.
        megabytes: usize,
    },
}

/// A document, with what stands around the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// The bench.
    pub bench: Bench,
    /// The writes that went into it; none in a file.
    pub trail: Trail,
}

#[derive(Deserialize)]
struct Found {
    r#type: Option<Value>,
    version: Option<u64>,
    #[serde(default)]
    check: Option<u32>,
    #[serde(default)]
    trail: Option<Value>,
    #[serde(default)]
    data: Value,
}

/// What stands before the data, whose checksum goes by it.
const DATA: &str = ",\"data\":";

/// The document as text.
///
/// # Errors
/// [`serde_json::Error`] should a record not serialise, which none does today.
pub fn write(bench: &Bench) -> Result<String, serde_json::Error> {
    write_after(bench, &Trail::default())
}

/// The document as text, with the writes that went into it.
///
/// # Errors
/// The same.
pub fn write_after(bench: &Bench, trail: &Trail) -> Result<String, serde_json::Error> {
    let data = serde_json::to_string(bench)?;
    let (app, check) = (env!("CARGO_PKG_VERSION"), crc32(data.as_bytes()));
    let mut text =
        format!(r#"{{"type":"{TYPE}","version":{VERSION},"app":"{app}","check":{check}"#);
    if let Some(trail) = trail.written() {
        text.push_str(",\"trail\":");
        text.push_str(&trail);
    }
    text.push_str(DATA);
    text.push_str(&data);
    text.push('}');
    Ok(text)
}

/// Reads a document of this version or an older one.
///
/// # Errors
/// [`ReadError`]; the text itself is untouched and stays with the caller.
pub fn read(text: &str) -> Result<Bench, ReadError> {
    read_document(text).map(|document| document.bench)
}

/// Reads a document with what stands around the bench.
///
/// # Errors
/// The same.
pub fn read_document(text: &str) -> Result<Document, ReadError> {
    if text.len() > MAX_BYTES {
        return Err(ReadError::TooLarge { megabytes: text.len() / (1024 * 1024) });
    }
    let (found, version) = opened(text)?;
    let newer = version > u64::from(VERSION);
    if let Some(check) = found.check.filter(|_| !newer) {
        let (_, data) = text.split_once(DATA).unwrap_or_default();
        let data = data.trim_end().strip_suffix('}').unwrap_or_default();
        if crc32(data.as_bytes()) != check {
            return Err(ReadError::Altered);
        }
    }
    let data = migrate(found.data, version, &MIGRATIONS)?;
    let bench: Bench =
        serde_json::from_value(data).map_err(|e| ReadError::Damaged { what: e.to_string() })?;
    // A trail that cannot be read counts as none: it only helps to merge.
    Ok(Document { bench: whole(bench)?, trail: Trail::read(found.trail) })
}

/// The writes that went into a document, by its head alone.
///
/// # Errors
/// [`ReadError`] where the head is none of this version or an older one. What
/// follows it may still be damaged.
pub fn trail(text: &str) -> Result<Trail, ReadError> {
    let head = text.split_once(DATA).map(|(head, _)| format!("{head}}}"));
    let (found, version) = opened(head.as_deref().unwrap_or(text))?;
    if version > u64::from(VERSION) {
        return Err(ReadError::Newer { found: version });
    }
    Ok(Trail::read(found.trail))
}

/// A document taken apart, and its version.
fn opened(text: &str) -> Result<(Found, u64), ReadError> {
    let value: Value = serde_json::from_str(text)
        .map_err(|e| ReadError::NotJson { line: e.line(), column: e.column() })?;
    let found: Found = serde_json::from_value(value).map_err(|_| ReadError::NotOurs)?;
    if found.r#type.as_ref().and_then(Value::as_str) != Some(TYPE) {
        return Err(ReadError::NotOurs);
    }
    let version =
        found.version.ok_or_else(|| ReadError::Damaged { what: "it names no version".into() })?;
    Ok((found, version))
}

/// Takes `data` from `version` through all later migrations.
fn migrate(data: Value, version: u64, migrations: &[Migration]) -> Result<Value, ReadError> {
    let newest = migrations.len() as u64 + 1;
    if version > newest {
        return Err(ReadError::Newer { found: version });
    }
    let done = version
        .checked_sub(1)
        .and_then(|done| usize::try_from(done).ok())
        .ok_or_else(|| ReadError::Damaged { what: "version 0 never was".into() })?;
    migrations[done..].iter().try_fold(data, |data, migration| migration(data))
}

/// Refuses a bench on which two sets share a number.
fn whole(bench: Bench) -> Result<Bench, ReadError> {
    let mut ids: Vec<_> = bench.sets.iter().map(|s| s.id).collect();
    order::sort(&mut ids, |id| order::counting(u64::from(id.0)));
    ids.dedup();
    if ids.len() != bench.sets.len() {
        return Err(ReadError::Damaged { what: "two sets have the same number".into() });
    }
    Ok(bench)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::Life;
    use crate::bench::stamp::Stamp;
    use serde_json::json;

    fn bench() -> Bench {
        let mut bench = Bench::default();
        let id = bench.add("set A\nC1 .05 400 V <script>\"'\u{0}", Stamp(1));
        let set = bench.set_mut(id).unwrap();
        set.part_mut("C1").done_at = Some(Stamp(2));
        set.part_mut("C1").readings.insert("leakage".into(), "0,5 µA".into());
        set.step_mut("look").hold_started_at = Some(Stamp(3));
        set.life = Life::Deleted { at: Stamp(4) };
        bench
    }

    #[test]
    fn what_is_written_is_read_back_whole() {
        assert_eq!(read(&write(&bench()).unwrap()), Ok(bench()));
    }

    #[test]
    fn a_document_cut_anywhere_is_refused_and_never_panics() {
        let text = write(&bench()).unwrap();
        for end in (0..text.len()).filter(|end| text.is_char_boundary(*end)) {
            assert!(read(&text[..end]).is_err(), "cut at {end}");
        }
    }

    #[test]
    fn a_document_damaged_at_any_byte_is_refused_or_read_as_it_was_written() {
        let trail = [("a", 3)].into_iter().collect();
        let text = write_after(&bench(), &trail).unwrap().into_bytes();
        let mut refused = 0;
        for at in 0..text.len() {
            for change in [1, 2, 4, 8, 16, 32, 64, 0x15] {
                let mut damaged = text.clone();
                damaged[at] ^= change;
                // What is no text does not even lie on a shelf.
                let Ok(damaged) = String::from_utf8(damaged) else { continue };
                match read(&damaged) {
                    Ok(found) => assert_eq!(found, bench(), "byte {at}: {damaged}"),
                    Err(_) => refused += 1,
                }
            }
        }
        assert!(refused > text.len(), "{refused} of {}", text.len());
    }

    #[test]
    fn a_document_without_a_check_is_read_as_it_is() {
        let text = write(&bench()).unwrap();
        let (head, data) = text.split_once(DATA).unwrap();
        let head = head.split_once(",\"check\"").unwrap().0;
        let edited = format!("{head}{DATA}{}", data.replace("0,5 µA", "0,6 µA"));
        assert_eq!(read(&edited).unwrap().sets[0].part("C1").readings["leakage"], "0,6 µA");
        let altered = text.replace("0,5 µA", "0,6 µA");
        assert_eq!(read(&altered), Err(ReadError::Altered));
    }

    #[test]
    fn the_trail_of_writes_is_kept_beside_the_bench() {
        let trail: Trail = [("a", 3), ("b", 1)].into_iter().collect();
        let text = write_after(&bench(), &trail).unwrap();
        assert_eq!(super::trail(&text).as_ref(), Ok(&trail));
        assert_eq!(read_document(&text).unwrap(), Document { bench: bench(), trail });
        assert_eq!(super::trail(&write(&bench()).unwrap()), Ok(Trail::default()));
    }

    #[test]
    fn a_newer_version_is_refused_by_its_number() {
        let text = json!({"type": TYPE, "version": 2, "data": {"anything": 1}}).to_string();
        assert_eq!(read(&text), Err(ReadError::Newer { found: 2 }));
    }

    #[test]
    fn other_files_are_told_apart() {
        assert_eq!(read("C1 .05"), Err(ReadError::NotJson { line: 1, column: 1 }));
        assert_eq!(read("[1, 2]"), Err(ReadError::NotOurs));
        assert_eq!(read(r#"{"type": "other", "version": 1}"#), Err(ReadError::NotOurs));
        assert!(matches!(
            read(r#"{"type": "firstglow-bench", "version": 1}"#),
            Err(ReadError::Damaged { .. })
        ));
        assert!(matches!(
            read(r#"{"type": "firstglow-bench", "data": {}}"#),
            Err(ReadError::Damaged { .. })
        ));
    }

    #[test]
    fn two_sets_of_one_number_are_damage() {
        let mut twice = bench();
        twice.sets.push(twice.sets[0].clone());
        let text = write(&twice).unwrap();
        assert!(matches!(read(&text), Err(ReadError::Damaged { .. })));
    }

    #[test]
    #[allow(
        clippy::needless_pass_by_value,
        clippy::unnecessary_wraps,
        reason = "a migration has this signature"
    )]
    fn migrations_run_in_order_from_the_version_found() {
        fn one(v: Value) -> Result<Value, ReadError> {
            Ok(json!(format!("{}1", v.as_str().unwrap())))
        }
        fn two(v: Value) -> Result<Value, ReadError> {
            Ok(json!(format!("{}2", v.as_str().unwrap())))
        }
        let list: [Migration; 2] = [one, two];
        assert_eq!(migrate(json!("v"), 1, &list), Ok(json!("v12")));
        assert_eq!(migrate(json!("v"), 2, &list), Ok(json!("v2")));
        assert_eq!(migrate(json!("v"), 3, &list), Ok(json!("v")));
        assert_eq!(migrate(json!("v"), 4, &list), Err(ReadError::Newer { found: 4 }));
        assert!(migrate(json!("v"), 0, &list).is_err());
    }
}
