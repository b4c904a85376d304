//! Loads the bench once and saves it from then on.
//!
//! A keeper that has not loaded well writes nothing until what lies on the
//! shelf has been set aside by the user's own word. Several pages may share a
//! shelf: before a page writes it looks whether another has written, and joins
//! what both did ([`super::join`]).

use super::arrival;
use super::backups;
use super::dated;
use super::envelope::{self, Document, ReadError, Trail};
use super::join::{Joined, join};
use super::shelf::{Shelf, ShelfError};
use crate::bench::Bench;
use crate::bench::stamp::Stamp;
use serde_json::Value;
use thiserror::Error;

/// The key of the saved bench. Local files share one storage, so it is distinctive.
pub const KEY: &str = "firstglow/bench";

/// So many pages are named in a document at most; the eldest are forgotten.
const MOST_WRITERS: usize = 12;

/// What the opening found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Opening {
    /// Nothing was ever saved.
    Fresh,
    /// The saved bench.
    Loaded(Bench),
    /// Something that cannot be read; it stays where it lies.
    Refused {
        /// It, to the letter.
        raw: String,
        /// Why.
        why: ReadError,
    },
    /// There is no storage: nothing will outlast the page.
    Unkept(ShelfError),
}

/// Why a bench was not saved.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SaveError {
    /// The shelf did not take it.
    #[error("{0}")]
    Shelf(#[from] ShelfError),
    /// What was saved before is still to be set aside.
    #[error("the data saved before could not be read, and is not written over")]
    NotLoaded,
    /// Another page wrote something that this one cannot read.
    #[error("another page saved what this one cannot read: {why}")]
    Foreign {
        /// It, to the letter.
        raw: String,
        /// Why.
        why: ReadError,
    },
    /// The bench did not turn into text.
    #[error("the bench could not be written down")]
    Unwritable,
}

/// How the bench stands after a look at the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Looked {
    /// Nobody else wrote.
    Same,
    /// Another page wrote; this is what both did. It is not yet saved.
    Joined(Box<Joined>),
    /// What was saved is gone from the shelf.
    Cleared,
}

/// Loads and saves.
#[derive(Debug)]
pub struct Keeper<S> {
    shelf: S,
    may_write: bool,
    /// The name of this page, for the others.
    writer: String,
    /// How often this page wrote.
    writes: u64,
    /// What lay on the shelf when it was last looked at.
    raw: Option<String>,
    /// The bench in it.
    last: Bench,
    /// The last state that the other pages are known to have had.
    common: Bench,
    trail: Trail,
    /// When a backup was last thought of.
    backed_up: Stamp,
}

impl<S: Shelf> Keeper<S> {
    /// Opens the shelf and reads what lies there. `writer` names this page: no
    /// two may have the same name, and later ones sort after earlier ones.
    pub fn open(shelf: S, writer: String, now: Stamp) -> (Self, Opening) {
        let mut keeper = Self {
            shelf,
            may_write: false,
            writer,
            writes: 0,
            raw: None,
            last: Bench::default(),
            common: Bench::default(),
            trail: Trail::new(),
            backed_up: Stamp(0),
        };
        let opening = match keeper.shelf.get(KEY) {
            Err(error) => Opening::Unkept(error),
            Ok(None) => Opening::Fresh,
            Ok(Some(raw)) => match envelope::read_document(&raw) {
                Ok(document) => {
                    keeper.remember(raw, document);
                    Opening::Loaded(keeper.last.clone())
                }
                Err(why) => Opening::Refused { raw, why },
            },
        };
        keeper.may_write = matches!(opening, Opening::Fresh | Opening::Loaded(_));
        keeper.back_up(now);
        (keeper, opening)
    }

    /// Saves the bench, joined with what other pages saved meanwhile. What came
    /// of that is returned, where it was needed.
    ///
    /// # Errors
    /// [`SaveError`]; what was saved before still lies there.
    pub fn save(&mut self, bench: &Bench, now: Stamp) -> Result<Option<Box<Joined>>, SaveError> {
        if !self.may_write {
            return Err(SaveError::NotLoaded);
        }
        let joined = match self.look(bench)? {
            Looked::Joined(joined) => Some(joined),
            Looked::Same | Looked::Cleared => None,
        };
        if now.0.saturating_sub(self.backed_up.0) >= backups::EVERY_MS {
            self.back_up(now);
        }
        self.lay(joined.as_ref().map_or(bench, |joined| &joined.bench))?;
        Ok(joined)
    }

    /// Looks whether another page has written, and joins that with the bench
    /// as it stands here.
    ///
    /// # Errors
    /// [`SaveError`] where the shelf cannot be read, or not what lies on it.
    pub fn look(&mut self, here: &Bench) -> Result<Looked, SaveError> {
        if !self.may_write {
            return Err(SaveError::NotLoaded);
        }
        let found = self.shelf.get(KEY)?;
        if found == self.raw {
            return Ok(Looked::Same);
        }
        let Some(raw) = found else { return Ok(Looked::Cleared) };
        let document = envelope::read_document(&raw)
            .map_err(|why| SaveError::Foreign { raw: raw.clone(), why })?;
        // A page that has not seen the last write of this one began further back.
        let seen = count(document.trail.get(&self.writer));
        let base = if seen >= self.writes { &self.last } else { &self.common };
        let joined = join(base, here, &document.bench);
        if !joined.clashes.is_empty() {
            // What the other page said there can be had back.
            let _ = backups::keep(&self.shelf, &document.bench, self.backup_moment());
        }
        self.remember(raw, document);
        Ok(Looked::Joined(Box::new(joined)))
    }

    /// Whether what lies on the shelf is this bench, as far as is known.
    pub fn has(&self, bench: &Bench) -> bool {
        self.raw.is_some() && self.last == *bench
    }

    /// Keeps a state among the backups now, whatever the age of the last one.
    ///
    /// # Errors
    /// [`ShelfError`] when there is no room for it.
    pub fn back_up_now(&mut self, bench: &Bench, now: Stamp) -> Result<(), ShelfError> {
        self.backed_up = now;
        backups::keep(&self.shelf, bench, now)
    }

    /// Moves what cannot be read to a key of its own, and may save from then on.
    ///
    /// # Errors
    /// [`ShelfError`] when there is no room for it; everything stays as it was.
    pub fn set_aside(&mut self, now: Stamp) -> Result<(), ShelfError> {
        if let Some(raw) = self.shelf.get(KEY)? {
            let aside = format!("{KEY}/set-aside/{}", now.0);
            // The old goes first only if the copy has no room beside it.
            if self.make_room(&aside, &raw).is_err() {
                self.shelf.remove(KEY)?;
                if let Err(error) = self.shelf.set(&aside, &raw) {
                    self.shelf.set(KEY, &raw)?;
                    return Err(error);
                }
            }
            self.shelf.remove(KEY)?;
        }
        self.raw = None;
        self.may_write = true;
        Ok(())
    }

    fn lay(&mut self, bench: &Bench) -> Result<(), SaveError> {
        let mut trail = self.trail.clone();
        trail.insert(self.writer.clone(), Value::from(self.writes + 1));
        let eldest: Vec<String> = trail.keys().cloned().collect();
        for writer in eldest.iter().take(eldest.len().saturating_sub(MOST_WRITERS)) {
            trail.remove(writer);
        }
        let text = envelope::write_after(bench, &trail).map_err(|_| SaveError::Unwritable)?;
        self.make_room(KEY, &text)?;
        self.writes += 1;
        self.trail = trail;
        self.raw = Some(text);
        self.last.clone_from(bench);
        Ok(())
    }

    /// Lays a text down. Where it has no room, remembered states and then
    /// backups give way.
    fn make_room(&self, key: &str, text: &str) -> Result<(), ShelfError> {
        loop {
            match self.shelf.set(key, text) {
                Err(ShelfError::Full) if self.give_way() => {}
                done => return done,
            }
        }
    }

    fn give_way(&self) -> bool {
        [arrival::SHARED, backups::PREFIX]
            .into_iter()
            .any(|beginning| dated::give_way(&self.shelf, beginning))
    }

    fn remember(&mut self, raw: String, document: Document) {
        for (writer, writes) in document.trail {
            if count(Some(&writes)) > count(self.trail.get(&writer)) {
                self.trail.insert(writer, writes);
            }
        }
        self.raw = Some(raw);
        self.last.clone_from(&document.bench);
        self.common = document.bench;
    }

    fn back_up(&mut self, now: Stamp) {
        self.backed_up = now;
        // A backup without room is none; the bench itself is what counts.
        let _ = backups::keep(&self.shelf, &self.last, now);
    }

    /// A moment for a backup between two of those made by the clock.
    fn backup_moment(&self) -> Stamp {
        Stamp(self.backed_up.0.saturating_add(1))
    }
}

/// How often a page wrote.
fn count(writes: Option<&Value>) -> u64 {
    writes.and_then(Value::as_u64).unwrap_or(0)
}

#[cfg(test)]
mod tests;
