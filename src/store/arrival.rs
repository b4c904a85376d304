//! A set that came from another device, beside the same set here: what differs,
//! and one record made of both.
//!
//! A state that both devices have had is remembered by its mark, so that a set
//! that comes back can be told apart from where it set out.

use super::checksum::crc32;
use super::dated::{self, Dated};
use super::join::tree;
use super::merge::{Difference, Side, merge, written};
use super::shelf::{Shelf, ShelfError};
use crate::bench::Bench;
use crate::bench::set::{Life, SetId, SetRecord};
use crate::bench::stamp::Stamp;

/// What the keys of remembered states begin with; moment and mark follow.
pub const SHARED: &str = "firstglow/bench/shared/";
/// The most states remembered, and the most characters that they take.
const MOST: usize = 30;
const MOST_ROOM: usize = 500_000;
/// The most marks that a set carries.
const MOST_MARKS: usize = 8;

/// How a set that came stands to the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It is not here.
    New,
    /// It is here, to the letter.
    Same(SetId),
    /// It is here, and something differs.
    Differs(SetId),
}

/// How it stands.
pub fn standing(bench: &Bench, set: &SetRecord) -> Standing {
    match bench.twin(set) {
        None => Standing::New,
        Some(twin) if twin.same_content(set) => Standing::Same(twin.id),
        Some(twin) => Standing::Differs(twin.id),
    }
}

/// One record made of two.
#[derive(Debug, Clone, PartialEq)]
pub struct Reconciled {
    /// The record.
    pub record: SetRecord,
    /// Where the two differ, in a fixed order.
    pub differences: Vec<Difference>,
}

/// Makes one record of the one here and the one that came. `base` is a state
/// that both came from, where one is known; `choose` gives the side to take at
/// each difference, by its place in the list.
pub fn reconcile(
    base: Option<&SetRecord>,
    here: &SetRecord,
    there: &SetRecord,
    choose: &dyn Fn(usize, &Difference) -> Side,
) -> Reconciled {
    // Number, place on the bench and marks are this device's own.
    let as_here = |set: &SetRecord| SetRecord {
        id: here.id,
        life: here.life,
        created: here.created,
        shared: Vec::new(),
        ..set.clone()
    };
    let mut differences = Vec::new();
    let base = base.and_then(|base| tree(&as_here(base)));
    let merged = match (tree(&as_here(here)), tree(&as_here(there))) {
        (Some(one), Some(other)) => merge(base.as_ref(), &one, &other, &mut |found| {
            let side = choose(differences.len(), found);
            differences.push(found.clone());
            side
        }),
        _ => serde_json::Value::Null,
    };
    let mut record: SetRecord = serde_json::from_value(merged).unwrap_or_else(|_| here.clone());
    record.shared.clone_from(&here.shared);
    for mark in &there.shared {
        if !record.shared.contains(mark) {
            record.shared.push(*mark);
        }
    }
    record.tidy();
    Reconciled { record, differences }
}

/// The mark of a state: the checksum of what is on the sheet and in the records.
pub fn mark(set: &SetRecord) -> u32 {
    let content = SetRecord {
        id: SetId(0),
        life: Life::Active,
        created: Stamp(0),
        changed: Stamp(0),
        shared: Vec::new(),
        ..set.clone()
    };
    // Through a tree, so that keys a later version orders otherwise do not count.
    crc32(tree(&content).as_ref().map(written).unwrap_or_default().as_bytes())
}

/// Notes on a set that another device has this state of it.
pub fn note_shared(set: &mut SetRecord) {
    let mark = mark(set);
    set.shared.retain(|old| *old != mark);
    set.shared.push(mark);
    let surplus = set.shared.len().saturating_sub(MOST_MARKS);
    set.shared.drain(..surplus);
}

/// Remembers the state of a set that another device has.
///
/// # Errors
/// [`ShelfError`] when there is no room for it: the set is then merged without.
pub fn remember(shelf: &impl Shelf, set: &SetRecord, now: Stamp) -> Result<(), ShelfError> {
    let mark = mark(set);
    if shared(shelf, mark).is_some() {
        return Ok(());
    }
    let Ok(text) = serde_json::to_string(set) else { return Ok(()) };
    let mut room = text.len();
    if room > MOST_ROOM {
        return Ok(());
    }
    shelf.set(&format!("{SHARED}{}-{mark:08x}", now.0), &text)?;
    for (count, Dated { key, .. }) in dated::list(shelf, SHARED)?.into_iter().enumerate().skip(1) {
        room += shelf.get(&key)?.map_or(0, |text| text.len());
        if count >= MOST || room > MOST_ROOM {
            shelf.remove(&key)?;
        }
    }
    Ok(())
}

/// The state that both came from last, where this device remembers it.
pub fn common(shelf: &impl Shelf, here: &SetRecord, there: &SetRecord) -> Option<SetRecord> {
    let mut marks = there.shared.iter().rev().filter(|mark| here.shared.contains(mark));
    marks.find_map(|mark| shared(shelf, *mark))
}

/// The state of a mark.
fn shared(shelf: &impl Shelf, mark: u32) -> Option<SetRecord> {
    let ending = format!("-{mark:08x}");
    let found = dated::list(shelf, SHARED).ok()?.into_iter().find(|d| d.key.ends_with(&ending))?;
    // Through a tree, as benches are read.
    let tree = serde_json::from_str(&shelf.get(&found.key).ok()??).ok()?;
    let set: SetRecord = serde_json::from_value(tree).ok()?;
    (self::mark(&set) == mark).then_some(set)
}

#[cfg(test)]
mod tests;
