//! Where saved text lies. The browser's storage is one; tests use another.

use thiserror::Error;

/// Why a shelf did not do as asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ShelfError {
    /// There is none.
    #[error("this browser has no storage for the page")]
    Absent,
    /// It may not be used.
    #[error("the browser does not let this page store anything")]
    Denied,
    /// There is no room left.
    #[error("the browser's storage for this page is full")]
    Full,
}

/// Text kept under names.
pub trait Shelf {
    /// What lies under `key`.
    ///
    /// # Errors
    /// [`ShelfError`] when the shelf cannot be read.
    fn get(&self, key: &str) -> Result<Option<String>, ShelfError>;

    /// Lays `text` under `key`, whole or not at all.
    ///
    /// # Errors
    /// [`ShelfError`] when it was not laid there.
    fn set(&self, key: &str, text: &str) -> Result<(), ShelfError>;

    /// Takes away what lies under `key`.
    ///
    /// # Errors
    /// [`ShelfError`] when the shelf cannot be changed.
    fn remove(&self, key: &str) -> Result<(), ShelfError>;

    /// The names of all that lies on it.
    ///
    /// # Errors
    /// [`ShelfError`] when the shelf cannot be read.
    fn keys(&self) -> Result<Vec<String>, ShelfError>;
}

#[cfg(test)]
pub mod memory {
    //! A shelf for tests: with room for so many characters, and with a number
    //! of changes after which the machine dies.
    use super::{Shelf, ShelfError};
    use std::cell::{Cell, RefCell};
    use std::collections::BTreeMap;

    /// A shelf in memory.
    #[derive(Debug)]
    pub struct MemoryShelf {
        /// What lies on it.
        pub items: RefCell<BTreeMap<String, String>>,
        /// How many characters have room.
        pub room: Cell<usize>,
        /// How many changes it still takes.
        pub life: Cell<usize>,
    }

    impl Default for MemoryShelf {
        /// An empty shelf with plenty of room.
        fn default() -> Self {
            let (room, life) = (Cell::new(usize::MAX), Cell::new(usize::MAX));
            Self { items: RefCell::default(), room, life }
        }
    }

    impl MemoryShelf {
        fn lives(&self) -> Result<(), ShelfError> {
            let left = self.life.get().checked_sub(1).ok_or(ShelfError::Denied)?;
            self.life.set(left);
            Ok(())
        }
    }

    impl Shelf for &MemoryShelf {
        fn get(&self, key: &str) -> Result<Option<String>, ShelfError> {
            Ok(self.items.borrow().get(key).cloned())
        }

        fn set(&self, key: &str, text: &str) -> Result<(), ShelfError> {
            self.lives()?;
            let mut items = self.items.borrow_mut();
            let others: usize = items.iter().filter(|(k, _)| *k != key).map(|(_, t)| t.len()).sum();
            if others + text.len() > self.room.get() {
                return Err(ShelfError::Full);
            }
            items.insert(key.to_owned(), text.to_owned());
            Ok(())
        }

        fn remove(&self, key: &str) -> Result<(), ShelfError> {
            self.lives()?;
            self.items.borrow_mut().remove(key);
            Ok(())
        }

        fn keys(&self) -> Result<Vec<String>, ShelfError> {
            Ok(self.items.borrow().keys().cloned().collect())
        }
    }
}
