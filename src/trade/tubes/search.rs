//! Finding a type by what is written on the sheet.
//!
//! Purpose: case, blanks, hyphens and the letter O for a leading nought are
//! forgiven; a suffix that the table has not falls back on the plain type and
//! says so; a type that is not found has near ones offered.
//!
//! ```
//! use firstglow::trade::tubes::{Match, find};
//!
//! assert_eq!(find("ECC 83").unwrap().by, Match::Alias);
//! assert_eq!(find("oa2").unwrap().tube.name, "0A2");
//! assert_eq!(find("5y3gt/g").unwrap().tube.name, "5Y3GT");
//! ```
//!
//! Limits: suffixes of one type may differ in ratings; the caller shows
//! [`Match::Suffix`] as an assumption.

use super::{TubeType, parse_row};
use crate::order;
use std::collections::BTreeMap;
use std::sync::OnceLock;

const TABLE: &str = include_str!("tubes.csv");

/// Suffixes of American types, the commonest first (from memory).
const SUFFIXES: [&str; 13] =
    ["GT", "G", "GTA", "GTB", "GA", "GB", "GC", "GY", "A", "B", "W", "WA", "WGT"];

/// How a name led to a type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Match {
    /// By its own number.
    Name,
    /// By another number of the same tube.
    Alias,
    /// By the number with another suffix: an assumption.
    Suffix,
}

/// A type found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// The type.
    pub tube: &'static TubeType,
    /// How.
    pub by: Match,
}

struct Table {
    tubes: Vec<TubeType>,
    names: BTreeMap<String, (usize, Match)>,
}

fn table() -> &'static Table {
    static TABLE_ONCE: OnceLock<Table> = OnceLock::new();
    TABLE_ONCE.get_or_init(|| {
        let rows = TABLE.lines().enumerate().skip(1);
        // A test reads every row, so none is lost here unseen.
        let tubes: Vec<TubeType> =
            rows.filter_map(|(at, row)| parse_row(row, at + 1).ok()).collect();
        let mut names = BTreeMap::new();
        for (at, tube) in tubes.iter().enumerate() {
            for alias in &tube.aliases {
                names.entry(plain(alias)).or_insert((at, Match::Alias));
            }
        }
        for (at, tube) in tubes.iter().enumerate() {
            names.insert(plain(&tube.name), (at, Match::Name));
        }
        Table { tubes, names }
    })
}

/// All types of the table.
pub fn all() -> &'static [TubeType] {
    &table().tubes
}

/// Finds a type by a written name.
pub fn find(name: &str) -> Option<Found> {
    let whole = plain(name);
    if let Some(found) = look(&whole) {
        return Some(found);
    }
    // Double markings such as "GT/G": what stands before the stroke.
    let before = plain(name.split('/').next().unwrap_or_default());
    if let Some(found) = look(&before) {
        return Some(found);
    }
    let stems = std::iter::once(before.as_str())
        .chain(SUFFIXES.iter().filter_map(|end| before.strip_suffix(end)));
    for stem in stems.filter(|stem| stem.len() > 1) {
        let ends = std::iter::once(&"").chain(&SUFFIXES);
        for end in ends {
            if let Some(found) = look(&format!("{stem}{end}")) {
                return Some(Found { by: Match::Suffix, ..found });
            }
        }
    }
    None
}

/// Types whose names are close to a written one, nearest first, at most `most`.
pub fn nearest(name: &str, most: usize) -> Vec<&'static TubeType> {
    let wanted: Vec<char> = plain(name).chars().collect();
    let table = table();
    let mut near: Vec<(usize, usize)> = Vec::new();
    for (written, &(at, _)) in &table.names {
        let away = distance(&wanted, &written.chars().collect::<Vec<_>>());
        // A suffix left off is no misspelling.
        let stem = SUFFIXES.iter().filter_map(|end| written.strip_suffix(end));
        let away = stem
            .map(|stem| distance(&wanted, &stem.chars().collect::<Vec<_>>()))
            .fold(away, usize::min);
        if away <= 2 && away < wanted.len() {
            near.push((away, at));
        }
    }
    order::sort(&mut near, |(away, at)| [*away, *at, 0]);
    let mut seen = Vec::new();
    for (_, at) in near {
        if !seen.contains(&at) {
            seen.push(at);
        }
    }
    seen.into_iter().take(most).map(|at| &table.tubes[at]).collect()
}

fn look(plain_name: &str) -> Option<Found> {
    let table = table();
    table.names.get(plain_name).map(|&(at, by)| Found { tube: &table.tubes[at], by })
}

/// Capitals and figures alone, with a leading O read as nought.
fn plain(name: &str) -> String {
    let kept: String =
        name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase()).collect();
    match kept.strip_prefix('O') {
        Some(rest) => format!("0{rest}"),
        None => kept,
    }
}

/// Edits from one word to another, a swap of neighbours counting once.
fn distance(a: &[char], b: &[char]) -> usize {
    let width = b.len() + 1;
    let mut rows: Vec<usize> =
        (0..(a.len() + 1) * width).map(|at| if at < width { at } else { 0 }).collect();
    for i in 1..=a.len() {
        rows[i * width] = i;
        for j in 1..=b.len() {
            let differ = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[(i - 1) * width + j] + 1)
                .min(rows[i * width + j - 1] + 1)
                .min(rows[(i - 1) * width + j - 1] + differ);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[(i - 2) * width + j - 2] + 1);
            }
            rows[i * width + j] = least;
        }
    }
    rows[a.len() * width + b.len()]
}
