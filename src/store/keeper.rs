//! Loads the bench once and saves it from then on.
//!
//! A keeper that has not loaded well writes nothing until what lies on the
//! shelf has been set aside by the user's own word. Several pages may share a
//! shelf: before a page writes it looks whether another has written, and joins
//! what both did ([`super::join`]).

use super::arrival;
use super::backups;
use super::dated;
use super::envelope::{self, Document, ReadError};
use super::join::{Joined, join, join_apart};
use super::shelf::{Shelf, ShelfError};
use super::trail::Trail;
use crate::bench::Bench;
use crate::bench::stamp::Stamp;
use thiserror::Error;

/// The key of the saved bench. Local files share one storage, so it is distinctive.
pub const KEY: &str = "firstglow/bench";

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
    /// How often of these onto the shelf.
    shelf_writes: u64,
    /// What lay on the shelf when it was last looked at.
    raw: Option<String>,
    /// The writes that went into that, which may be fewer than went into the
    /// bench of this page.
    raw_trail: Trail,
    /// The bench in it.
    last: Bench,
    /// The last state that the other pages are known to have had.
    common: Bench,
    /// The writes that went into it.
    common_trail: Trail,
    trail: Trail,
    /// What the shelf did not take, for the database alone.
    apart: Option<Apart>,
    /// When a backup was last thought of.
    backed_up: Stamp,
}

/// A document that the shelf did not take.
#[derive(Debug)]
struct Apart {
    bench: Bench,
    text: String,
    trail: Trail,
    why: ShelfError,
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
            shelf_writes: 0,
            raw: None,
            raw_trail: Trail::default(),
            last: Bench::default(),
            common: Bench::default(),
            common_trail: Trail::default(),
            trail: Trail::default(),
            apart: None,
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
    /// [`SaveError`]; what was saved before still lies there. Where the shelf
    /// takes nothing more, the document waits for the database: [`Keeper::apart`].
    pub fn save(&mut self, bench: &Bench, now: Stamp) -> Result<Option<Box<Joined>>, SaveError> {
        if !self.may_write {
            // Where there is no shelf at all, that is why.
            self.shelf.get(KEY)?;
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
        let seen = document.trail.count(&self.writer);
        let base = if seen >= self.shelf_writes { &self.last } else { &self.common };
        let joined = join(base, here, &document.bench);
        self.keep_clashes(&joined, &document.bench);
        self.remember(raw, document);
        Ok(Looked::Joined(Box::new(joined)))
    }

    /// Takes in what lies in the browser's database, where it holds writes that
    /// the shelf has lost or not yet seen. What came of that is to be saved.
    ///
    /// Where what lies on the shelf cannot be read, this becomes a backup to go
    /// on from.
    ///
    /// # Errors
    /// [`SaveError::Foreign`] where it cannot be read.
    pub fn take_in(
        &mut self,
        raw: &str,
        here: &Bench,
        now: Stamp,
    ) -> Result<Option<Box<Joined>>, SaveError> {
        let document = envelope::read_document(raw)
            .map_err(|why| SaveError::Foreign { raw: raw.to_owned(), why })?;
        if !self.may_write {
            let _ = backups::keep(&self.shelf, &document.bench, now);
            self.trail.take_in(&document.trail);
            return Ok(None);
        }
        if !document.trail.is_empty() && self.trail.contains(&document.trail) {
            return Ok(None);
        }
        // A state without a trail tells nothing of where it came from, unless
        // there is nothing in it.
        let goes_on_from = |state: &Bench, trail: &Trail| {
            let known = !trail.is_empty() || *state == Bench::default();
            known && document.trail.contains(trail)
        };
        let last = self.apart.as_ref().map_or(&self.last, |apart| &apart.bench);
        let joined = if goes_on_from(last, &self.trail) {
            join(last, here, &document.bench)
        } else if goes_on_from(&self.common, &self.common_trail) {
            join(&self.common, here, &document.bench)
        } else {
            join_apart(here, &document.bench)
        };
        self.keep_clashes(&joined, &document.bench);
        self.trail.take_in(&document.trail);
        Ok(Some(Box::new(joined)))
    }

    /// What is to lie in the database, and the writes that went into it: what
    /// lies on the shelf, or what the shelf did not take.
    pub fn laid(&self) -> Option<(&str, &Trail)> {
        if let Some(apart) = &self.apart {
            return Some((&apart.text, &apart.trail));
        }
        self.raw.as_deref().filter(|_| self.may_write).map(|raw| (raw, &self.raw_trail))
    }

    /// Why the last save is for the database alone, where the shelf did not take it.
    pub fn apart(&self) -> Option<ShelfError> {
        self.apart.as_ref().map(|apart| apart.why)
    }

    /// What lies on the shelf, as far as is known; empty where nothing does.
    pub const fn last(&self) -> &Bench {
        &self.last
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
        trail.note(&self.writer, self.writes + 1);
        let text = envelope::write_after(bench, &trail).map_err(|_| SaveError::Unwritable)?;
        let laid = self.make_room(KEY, &text);
        // Written or not, the next document goes on from this one.
        self.writes += 1;
        self.trail.clone_from(&trail);
        if let Err(why) = laid {
            self.apart = Some(Apart { bench: bench.clone(), text, trail, why });
            return Err(why.into());
        }
        self.shelf_writes = self.writes;
        self.apart = None;
        self.raw_trail = trail;
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
        self.trail.take_in(&document.trail);
        // What waited is in the bench of this page, which is joined and saved anew.
        self.apart = None;
        self.raw = Some(raw);
        self.raw_trail.clone_from(&document.trail);
        self.last.clone_from(&document.bench);
        self.common = document.bench;
        self.common_trail = document.trail;
    }

    /// What another page said where this one stands can be had back.
    fn keep_clashes(&self, joined: &Joined, other: &Bench) {
        if !joined.clashes.is_empty() {
            let _ = backups::keep(&self.shelf, other, self.backup_moment());
        }
    }

    fn back_up(&mut self, now: Stamp) {
        self.backed_up = now;
        // A backup without room is none; the bench itself is what counts.
        let _ = backups::keep(&self.shelf, &self.last, now);
    }

    /// A moment for a backup between two of those made by the clock.
    fn backup_moment(&self) -> Stamp {
        let newest = backups::list(&self.shelf).ok().and_then(|all| all.first().copied());
        Stamp(self.backed_up.max(newest.unwrap_or_default()).0.saturating_add(1))
    }
}

#[cfg(test)]
mod disk_tests;
#[cfg(test)]
mod tests;
