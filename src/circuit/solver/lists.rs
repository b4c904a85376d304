//! Many short lists in one block of memory.
//!
//! Purpose: the rows of a sparse matrix without an allocation each.
//!
//! Example: lists of 2 and 3 items begin at 0 and 2.
//!
//! Limits: built once; the lists do not grow.

use std::ops::Range;

/// Lists one after the other.
#[derive(Debug, Clone)]
pub(super) struct Lists<T> {
    starts: Vec<usize>,
    items: Vec<T>,
}

impl<T: Copy> Lists<T> {
    /// Takes the lists in order.
    pub fn new<L: IntoIterator<Item = T>>(lists: impl IntoIterator<Item = L>) -> Self {
        let (mut starts, mut items) = (vec![0], Vec::new());
        for list in lists {
            items.extend(list);
            starts.push(items.len());
        }
        Self { starts, items }
    }

    /// Where a list lies among all items.
    #[inline]
    pub fn span(&self, list: usize) -> Range<usize> {
        self.starts[list]..self.starts[list + 1]
    }

    /// A list.
    #[inline]
    pub fn row(&self, list: usize) -> &[T] {
        &self.items[self.span(list)]
    }

    /// Where each list begins among all items, and the end of the last; and
    /// all items: for loops too hot for a call a row.
    pub fn parts(&self) -> (&[usize], &[T]) {
        (&self.starts, &self.items)
    }

    /// How many lists there are.
    pub fn count(&self) -> usize {
        self.starts.len() - 1
    }

    /// How many items all lists hold.
    pub fn total(&self) -> usize {
        self.items.len()
    }
}

/// For each item, the lists that name it, in their order; and where each item
/// of the lists lies in them.
pub(super) fn turned(lists: &Lists<usize>) -> (Lists<usize>, Vec<usize>) {
    let count = lists.count();
    let mut starts = vec![0; count + 1];
    for &item in &lists.items {
        starts[item + 1] += 1;
    }
    for at in 0..count {
        starts[at + 1] += starts[at];
    }
    let mut next = starts.clone();
    let mut items = vec![0; lists.items.len()];
    let mut mirror = Vec::with_capacity(lists.items.len());
    for list in 0..count {
        for &item in lists.row(list) {
            items[next[item]] = list;
            mirror.push(next[item]);
            next[item] += 1;
        }
    }
    (Lists { starts, items }, mirror)
}
