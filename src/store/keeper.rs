//! Loads the bench once and saves it from then on.
//!
//! A keeper that has not loaded well writes nothing until what lies on the
//! shelf has been set aside by the user's own word.

use super::envelope::{self, ReadError};
use super::shelf::{Shelf, ShelfError};
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
    /// The bench did not turn into text.
    #[error("the bench could not be written down")]
    Unwritable,
}

/// Loads and saves.
#[derive(Debug)]
pub struct Keeper<S> {
    shelf: S,
    may_write: bool,
}

impl<S: Shelf> Keeper<S> {
    /// Opens the shelf and reads what lies there.
    pub fn open(shelf: S) -> (Self, Opening) {
        let opening = match shelf.get(KEY) {
            Err(error) => Opening::Unkept(error),
            Ok(None) => Opening::Fresh,
            Ok(Some(raw)) => match envelope::read(&raw) {
                Ok(bench) => Opening::Loaded(bench),
                Err(why) => Opening::Refused { raw, why },
            },
        };
        let may_write = matches!(opening, Opening::Fresh | Opening::Loaded(_));
        (Self { shelf, may_write }, opening)
    }

    /// Saves the bench.
    ///
    /// # Errors
    /// [`SaveError`]; what was saved before still lies there.
    pub fn save(&self, bench: &Bench) -> Result<(), SaveError> {
        if !self.may_write {
            return Err(SaveError::NotLoaded);
        }
        let text = envelope::write(bench).map_err(|_| SaveError::Unwritable)?;
        Ok(self.shelf.set(KEY, &text)?)
    }

    /// Moves what cannot be read to a key of its own, and may save from then on.
    ///
    /// # Errors
    /// [`ShelfError`] when there is no room for it; everything stays as it was.
    pub fn set_aside(&mut self, now: Stamp) -> Result<(), ShelfError> {
        if let Some(raw) = self.shelf.get(KEY)? {
            let aside = format!("{KEY}/set-aside/{}", now.0);
            // The old goes first only if the copy has no room beside it.
            if self.shelf.set(&aside, &raw).is_err() {
                self.shelf.remove(KEY)?;
                if let Err(error) = self.shelf.set(&aside, &raw) {
                    self.shelf.set(KEY, &raw)?;
                    return Err(error);
                }
            }
            self.shelf.remove(KEY)?;
        }
        self.may_write = true;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::shelf::memory::MemoryShelf;

    fn bench() -> Bench {
        let mut bench = Bench::default();
        bench.add("set A", Stamp(0));
        bench
    }

    #[test]
    fn a_saved_bench_is_found_at_the_next_opening() {
        let shelf = MemoryShelf::default();
        let (keeper, opening) = Keeper::open(&shelf);
        assert_eq!(opening, Opening::Fresh);
        keeper.save(&bench()).unwrap();
        assert_eq!(Keeper::open(&shelf).1, Opening::Loaded(bench()));
    }

    #[test]
    fn what_cannot_be_read_is_never_written_over() {
        let shelf = MemoryShelf::default();
        (&shelf).set(KEY, "{\"type\":\"firstglow-bench\",\"version\":9}").unwrap();
        let (keeper, opening) = Keeper::open(&shelf);
        assert!(matches!(opening, Opening::Refused { why: ReadError::Newer { found: 9 }, .. }));
        assert_eq!(keeper.save(&bench()), Err(SaveError::NotLoaded));
        assert!((&shelf).get(KEY).unwrap().unwrap().contains("\"version\":9"));
    }

    #[test]
    fn damaged_data_set_aside_is_kept_and_saving_begins() {
        let shelf = MemoryShelf::default();
        (&shelf).set(KEY, "half a docu").unwrap();
        let (mut keeper, _) = Keeper::open(&shelf);
        keeper.set_aside(Stamp(77)).unwrap();
        keeper.save(&bench()).unwrap();
        let items = shelf.items.borrow();
        assert_eq!(items["firstglow/bench/set-aside/77"], "half a docu");
        assert!(items[KEY].contains("set A"));
    }

    #[test]
    fn setting_aside_works_on_a_shelf_without_room_for_two() {
        let shelf = MemoryShelf::default();
        (&shelf).set(KEY, "0123456789").unwrap();
        shelf.room.set(12);
        let (mut keeper, _) = Keeper::open(&shelf);
        keeper.set_aside(Stamp(1)).unwrap();
        assert_eq!(shelf.items.borrow()["firstglow/bench/set-aside/1"], "0123456789");
    }

    #[test]
    fn a_full_shelf_keeps_the_last_good_save() {
        let shelf = MemoryShelf::default();
        let (keeper, _) = Keeper::open(&shelf);
        keeper.save(&bench()).unwrap();
        shelf.room.set(10);
        let mut more = bench();
        more.add("set B", Stamp(0));
        assert_eq!(keeper.save(&more), Err(SaveError::Shelf(ShelfError::Full)));
        assert_eq!(Keeper::open(&shelf).1, Opening::Loaded(bench()));
    }
}
