//! Which rows of a long list are open.

use crate::ui::view::prelude::*;
use std::collections::HashSet;

/// The keys of open rows: they stay so while they are out of view.
#[derive(Debug, Clone, Copy)]
pub struct Opened(RwSignal<HashSet<String>>);

impl Opened {
    /// None is open.
    pub fn none() -> Self {
        Self(RwSignal::new(HashSet::new()))
    }

    /// Whether one is open.
    pub fn has(self, key: &str) -> bool {
        self.0.read().contains(key)
    }

    /// Opens one that is closed, and the other way round.
    pub fn turn(self, key: &str) {
        self.0.update(|opened| {
            if !opened.remove(key) {
                opened.insert(key.to_owned());
            }
        });
    }
}
