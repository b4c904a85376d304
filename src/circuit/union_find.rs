//! Disjoint sets: what ties join.
//!
//! ```
//! use firstglow::circuit::union_find::UnionFind;
//! let mut sets = UnionFind::new(4);
//! sets.union(3, 1);
//! assert_eq!(sets.find(3), 1);
//! assert_ne!(sets.find(2), sets.find(3));
//! ```
//!
//! Limits: a set is named by its least member.

/// Sets of numbers from 0 on.
#[derive(Debug, Clone, Default)]
pub struct UnionFind {
    parent: Vec<usize>,
}

impl UnionFind {
    /// So many sets of one member each.
    pub fn new(count: usize) -> Self {
        Self { parent: (0..count).collect() }
    }

    /// A new set of one member, and its number.
    pub fn add(&mut self) -> usize {
        self.parent.push(self.parent.len());
        self.parent.len() - 1
    }

    /// The least member of the set that `item` belongs to.
    pub fn find(&mut self, mut item: usize) -> usize {
        while self.parent[item] != item {
            // Halving the path keeps later walks short.
            self.parent[item] = self.parent[self.parent[item]];
            item = self.parent[item];
        }
        item
    }

    /// Makes the sets of `a` and `b` one.
    pub fn union(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.parent[a.max(b)] = a.min(b);
    }

    /// The least member of every number's set.
    pub fn into_roots(mut self) -> Vec<usize> {
        (0..self.parent.len()).map(|item| self.find(item)).collect()
    }
}
