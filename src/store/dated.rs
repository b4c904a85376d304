//! What lies on a shelf under keys that name a moment.

use super::shelf::{Shelf, ShelfError};
use crate::bench::stamp::Stamp;
use crate::order;

/// A key and its moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dated {
    /// The moment.
    pub at: Stamp,
    /// The key.
    pub key: String,
}

/// All that lies under keys of a beginning and a moment, the newest first.
///
/// # Errors
/// [`ShelfError`] when the shelf cannot be read.
pub fn list(shelf: &impl Shelf, beginning: &str) -> Result<Vec<Dated>, ShelfError> {
    let found = shelf.keys()?.into_iter().filter_map(|key| {
        let moment = key.strip_prefix(beginning)?.split('-').next()?.parse().ok()?;
        Some(Dated { at: Stamp(moment), key })
    });
    let mut found: Vec<Dated> = found.collect();
    order::sort(&mut found, |dated| newest_first(dated.at));
    Ok(found)
}

/// Drops the oldest of them, to make room. Says whether there was one.
pub fn give_way(shelf: &impl Shelf, beginning: &str) -> bool {
    let oldest = list(shelf, beginning).ok().and_then(|mut all| all.pop());
    oldest.is_some_and(|dated| shelf.remove(&dated.key).is_ok())
}

#[allow(clippy::cast_possible_truncation)] // each half fits
fn newest_first(at: Stamp) -> order::Key {
    let at = u64::MAX - at.0;
    [(at >> 32) as usize, at as u32 as usize, 0]
}
