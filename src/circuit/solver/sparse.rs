//! A sparse LU for conductance matrices, with one ordering for many refactorings.
//!
//! Purpose: Newton's method refactors the same pattern again and again; the
//! ordering (minimum degree) and the fill are worked out once, and each
//! factoring then runs over fixed lists.
//!
//! ```
//! use firstglow::circuit::solver::sparse::{Factors, Pattern};
//!
//! // Two nodes: 1 S from each to ground, 1 S between them.
//! let pattern = Pattern::new(2, &[(0, 1)]);
//! let mut values = vec![0.0; pattern.len()];
//! values[pattern.slot(0, 0).unwrap()] = 2.0;
//! values[pattern.slot(1, 1).unwrap()] = 2.0;
//! values[pattern.slot(0, 1).unwrap()] = -1.0;
//! values[pattern.slot(1, 0).unwrap()] = -1.0;
//! let mut lu = Factors::new(pattern);
//! lu.factor(&values).unwrap();
//! let mut x = vec![1.0, 0.0];
//! lu.solve(&mut x);
//! assert!((x[0] - 2.0 / 3.0).abs() < 1e-12);
//! ```
//!
//! Limits: pivots are taken from the diagonal. Sources and shorts are folded
//! into supernodes before a matrix is built (see `reduce`), so every row has
//! its own conductance on the diagonal; rows of passive nodes are diagonally
//! dominant, and a tube's row grows by its stage gain at most. A pivot that
//! vanishes all the same is reported with its row.
//!
//! Why not a library: measured natively on one supply-hub-and-ladder pattern,
//! `rsparse` 1.2 (the smallest unsymmetric LU that compiles to WebAssembly)
//! needs 14 µs, 87 µs and 1.1 ms to factor 60, 1,000 and 10,000 rows; this
//! one, which pivots on the diagonal, 1.4 µs, 19 µs and 0.22 ms, and Newton
//! factors some ten times a solve. `rsparse` also says only that no pivot was
//! found, not where, and the row is what lets the node be named. `sprs-ldl`
//! and `nalgebra-sparse` factor symmetric matrices alone, which a tube's is
//! not; `faer` adds 67 kB to the app. Answers agreed with `rsparse` to 1e-13.

use super::lists::{Lists, turned};
use super::order::minimum_degree;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A pivot relative to the largest value of its row below which a row counts
/// as singular. Own arithmetic: a few roundings of an `f64`.
const SMALLEST_PIVOT: f64 = 1e-15;

/// The row at which a factoring broke down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Singular {
    /// The row (an unknown's index) without a usable pivot.
    pub row: usize,
}

/// A structurally symmetric pattern with its elimination order and fill.
#[derive(Debug, Clone)]
pub struct Pattern {
    /// `order[k]` is the row eliminated `k`th.
    order: Vec<usize>,
    /// When each row is eliminated.
    position: Vec<usize>,
    /// Sorted columns of each row, the diagonal among them; an item's place is
    /// its slot in the values.
    columns: Lists<usize>,
    /// In elimination order: the entries of each row, (position, slot).
    entries: Lists<(usize, usize)>,
    /// In elimination order: positions right of the diagonal, fill included.
    upper: Lists<usize>,
    /// In elimination order: positions left of the diagonal, fill included.
    lower: Lists<usize>,
    /// Where each item of `upper` lies among those of `lower`.
    mirror: Vec<usize>,
}

impl Pattern {
    /// Orders a pattern of `rows` rows whose off-diagonal pairs are `edges`
    /// (each stands for both of its places; repeats do no harm).
    pub fn new(rows: usize, edges: &[(usize, usize)]) -> Self {
        let mut columns: Vec<Vec<usize>> = (0..rows).map(|row| vec![row]).collect();
        for &(a, b) in edges {
            if a != b {
                columns[a].push(b);
                columns[b].push(a);
            }
        }
        for list in &mut columns {
            list.sort_unstable();
            list.dedup();
        }
        let (order, later) = minimum_degree(&columns);
        let mut position = vec![0; rows];
        for (k, &row) in order.iter().enumerate() {
            position[row] = k;
        }
        let upper = Lists::new(later.iter().map(|list| {
            let mut places: Vec<usize> = list.iter().map(|&row| position[row]).collect();
            places.sort_unstable();
            places
        }));
        let (lower, mirror) = turned(&upper);
        let columns = Lists::new(columns);
        let entries = Lists::new(order.iter().map(|&row| {
            let placed = columns.row(row).iter().map(|&column| position[column]);
            placed.zip(columns.span(row))
        }));
        Self { order, position, columns, entries, upper, lower, mirror }
    }

    /// How many values the pattern holds.
    pub fn len(&self) -> usize {
        self.columns.total()
    }

    /// Whether the pattern holds no value at all.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many rows there are.
    pub fn rows(&self) -> usize {
        self.order.len()
    }

    /// How many values the factors hold, fill included.
    pub fn fill(&self) -> usize {
        self.rows() + 2 * self.upper.total()
    }

    /// Where the value of (`row`, `column`) is kept, if the pattern has it.
    pub fn slot(&self, row: usize, column: usize) -> Option<usize> {
        if row >= self.rows() {
            return None;
        }
        let found = self.columns.row(row).binary_search(&column);
        found.ok().map(|at| self.columns.span(row).start + at)
    }
}

/// The factors of one matrix.
#[derive(Debug, Clone)]
pub struct Factors {
    pattern: Pattern,
    /// One by each pivot.
    pivots: Vec<f64>,
    /// Values by the places of the pattern's items.
    upper: Vec<f64>,
    lower: Vec<f64>,
    work: Vec<f64>,
    marked: Vec<bool>,
}

impl Factors {
    /// Room for the factors of one matrix of this pattern.
    pub fn new(pattern: Pattern) -> Self {
        let rows = pattern.rows();
        Self {
            pivots: vec![0.0; rows],
            upper: vec![0.0; pattern.upper.total()],
            lower: vec![0.0; pattern.lower.total()],
            work: vec![0.0; rows],
            marked: vec![false; rows],
            pattern,
        }
    }

    /// The pattern that is factored.
    pub const fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// Factors the matrix given by the values in their slots.
    ///
    /// # Errors
    /// Names the first row whose pivot vanishes or is not a number.
    pub fn factor(&mut self, values: &[f64]) -> Result<(), Singular> {
        let (entry_starts, entries) = self.pattern.entries.parts();
        let (left_starts, left) = self.pattern.lower.parts();
        let (right_starts, right) = self.pattern.upper.parts();
        let (upper, lower) = (self.upper.as_mut_slice(), self.lower.as_mut_slice());
        let (work, pivots) = (self.work.as_mut_slice(), self.pivots.as_mut_slice());
        work.fill(0.0);
        for row in 0..pivots.len() {
            let mut largest = 0.0;
            for &(place, slot) in &entries[entry_starts[row]..entry_starts[row + 1]] {
                let value = values[slot];
                work[place] = value;
                if value.abs() > largest {
                    largest = value.abs();
                }
            }
            for at in left_starts[row]..left_starts[row + 1] {
                let k = left[at];
                let factor = work[k] * pivots[k];
                work[k] = 0.0;
                lower[at] = factor;
                if factor != 0.0 {
                    for item in right_starts[k]..right_starts[k + 1] {
                        work[right[item]] -= factor * upper[item];
                    }
                }
            }
            let pivot = work[row];
            work[row] = 0.0;
            for at in right_starts[row]..right_starts[row + 1] {
                upper[at] = work[right[at]];
                work[right[at]] = 0.0;
            }
            pivots[row] = 1.0 / pivot;
            // Not `<=`: a pivot that is not a number must fail too.
            let usable = pivot.abs() > largest * SMALLEST_PIVOT && pivot.is_finite();
            if !usable {
                return Err(Singular { row: self.pattern.order[row] });
            }
        }
        Ok(())
    }

    /// Solves `A x = b` in place.
    pub fn solve(&mut self, b: &mut [f64]) {
        let (left_starts, left) = self.pattern.lower.parts();
        let (right_starts, right) = self.pattern.upper.parts();
        let (upper, lower) = (self.upper.as_slice(), self.lower.as_slice());
        let (work, pivots) = (self.work.as_mut_slice(), self.pivots.as_slice());
        let order = self.pattern.order.as_slice();
        for row in 0..order.len() {
            let mut value = b[order[row]];
            for at in left_starts[row]..left_starts[row + 1] {
                value -= lower[at] * work[left[at]];
            }
            work[row] = value;
        }
        for row in (0..order.len()).rev() {
            let mut value = work[row];
            for at in right_starts[row]..right_starts[row + 1] {
                value -= upper[at] * work[right[at]];
            }
            work[row] = value * pivots[row];
            b[order[row]] = work[row];
        }
        work.fill(0.0);
    }

    /// Solves `Aᵀ x = b` in place.
    pub fn solve_transposed(&mut self, b: &mut [f64]) {
        let Self { pattern, pivots, upper, lower, work, .. } = self;
        for (row, &from) in pattern.order.iter().enumerate() {
            work[row] = b[from];
        }
        for row in 0..pattern.rows() {
            let value = work[row] * pivots[row];
            work[row] = value;
            let right = pattern.upper.row(row).iter().zip(&upper[pattern.upper.span(row)]);
            right.for_each(|(&place, factor)| work[place] -= factor * value);
        }
        for row in (0..pattern.rows()).rev() {
            let value = work[row];
            let left = pattern.lower.row(row).iter().zip(&lower[pattern.lower.span(row)]);
            left.for_each(|(&k, factor)| work[k] -= factor * value);
        }
        self.hand_back(b);
    }

    /// Solves `A x = b` for the few entries of `b`, told by row, as far as the
    /// answer matters: every entry of `x` that is reached is told to `reach` by
    /// its row, which says whether the entries that depend on it alone matter
    /// too. Those that `b`'s own rows depend on are always reached.
    pub fn spread(&mut self, b: &[(usize, f64)], mut reach: impl FnMut(usize, f64) -> bool) {
        let Self { pattern, pivots, upper, lower, work, marked } = self;
        let mut up = BinaryHeap::new();
        let mut down = BinaryHeap::new();
        for &(row, value) in b {
            let place = pattern.position[row];
            work[place] += value;
            if !std::mem::replace(&mut marked[place], true) {
                up.push(Reverse(place));
            }
        }
        while let Some(Reverse(place)) = up.pop() {
            down.push(place);
            let value = work[place];
            for (&later, item) in pattern.upper.row(place).iter().zip(pattern.upper.span(place)) {
                work[later] -= lower[pattern.mirror[item]] * value;
                if !std::mem::replace(&mut marked[later], true) {
                    up.push(Reverse(later));
                }
            }
        }
        let mut done = Vec::with_capacity(down.len());
        while let Some(place) = down.pop() {
            let right = pattern.upper.row(place).iter().zip(&upper[pattern.upper.span(place)]);
            let known: f64 = right.map(|(&later, value)| value * work[later]).sum();
            work[place] = (work[place] - known) * pivots[place];
            done.push(place);
            if reach(pattern.order[place], work[place]) {
                for &earlier in pattern.lower.row(place) {
                    if !std::mem::replace(&mut marked[earlier], true) {
                        down.push(earlier);
                    }
                }
            }
        }
        for place in done {
            work[place] = 0.0;
            marked[place] = false;
        }
    }

    fn hand_back(&mut self, b: &mut [f64]) {
        for (row, &to) in self.pattern.order.iter().enumerate() {
            b[to] = self.work[row];
            self.work[row] = 0.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dense(pattern: &Pattern, values: &[f64], x: &[f64], transposed: bool) -> Vec<f64> {
        let rows = pattern.rows();
        (0..rows)
            .map(|i| {
                (0..rows)
                    .map(|j| {
                        let (row, column) = if transposed { (j, i) } else { (i, j) };
                        pattern.slot(row, column).map_or(0.0, |slot| values[slot]) * x[j]
                    })
                    .sum()
            })
            .collect()
    }

    #[test]
    fn an_unsymmetric_matrix_is_solved_both_ways() {
        let edges = [(0, 1), (1, 2), (2, 3), (3, 0), (1, 4), (4, 5), (5, 0)];
        let pattern = Pattern::new(6, &edges);
        let mut values = vec![0.0; pattern.len()];
        let mut seed = 1.0_f64;
        for row in 0..6 {
            for column in 0..6 {
                if let Some(slot) = pattern.slot(row, column) {
                    seed = (seed * 7.13 + 0.31).fract();
                    values[slot] = if row == column { 4.0 + seed } else { seed - 0.8 };
                }
            }
        }
        let expected = [1.0, -2.0, 3.0, 0.5, 4.0, -1.0];
        let mut lu = Factors::new(pattern.clone());
        lu.factor(&values).unwrap();
        for transposed in [false, true] {
            let mut b = dense(&pattern, &values, &expected, transposed);
            if transposed {
                lu.solve_transposed(&mut b);
            } else {
                lu.solve(&mut b);
            }
            for (got, want) in b.iter().zip(&expected) {
                assert!((got - want).abs() < 1e-12, "{transposed}: {got} for {want}");
            }
        }
    }

    #[test]
    fn a_spread_that_goes_everywhere_is_the_whole_answer() {
        let edges: Vec<_> = (1..40).flat_map(|i| [(0, i), (i, (i * 7 + 1) % 40)]).collect();
        let pattern = Pattern::new(40, &edges);
        let mut values = vec![0.0; pattern.len()];
        let mut number = 0.0;
        for row in 0..40 {
            for column in 0..40 {
                if let Some(slot) = pattern.slot(row, column) {
                    number += 1.0;
                    values[slot] =
                        if row == column { 90.0 } else { -1.0 - (number * 0.7_f64).sin() };
                }
            }
        }
        let mut factors = Factors::new(pattern);
        factors.factor(&values).unwrap();
        let mut whole = vec![0.0; 40];
        (whole[3], whole[29]) = (1.0, -2.0);
        factors.solve(&mut whole);
        for _ in 0..2 {
            let mut found = vec![f64::NAN; 40];
            factors.spread(&[(3, 1.0), (29, -2.0)], |row, value| {
                found[row] = value;
                true
            });
            assert!(found.iter().zip(&whole).all(|(a, b)| (a - b).abs() < 1e-15), "{found:?}");
            let mut own = f64::NAN;
            factors.spread(&[(3, 1.0), (29, -2.0)], |row, value| {
                own = if row == 3 { value } else { own };
                false
            });
            assert!((own - whole[3]).abs() < 1e-15);
        }
    }

    #[test]
    fn a_singular_matrix_names_its_row() {
        let pattern = Pattern::new(3, &[(1, 2)]);
        let mut values = vec![0.0; pattern.len()];
        values[pattern.slot(0, 0).unwrap()] = 1.0;
        for (a, b, v) in [(1, 1, 1.0), (2, 2, 1.0), (1, 2, -1.0), (2, 1, -1.0)] {
            values[pattern.slot(a, b).unwrap()] = v;
        }
        let error = Factors::new(pattern).factor(&values).unwrap_err();
        assert!(error.row == 1 || error.row == 2);
    }

    #[test]
    fn a_ladder_with_a_hub_fills_in_little() {
        let edges: Vec<_> = (1..5000).flat_map(|i| [(0, i), (i, (i + 1).min(4999))]).collect();
        let pattern = Pattern::new(5000, &edges);
        assert!(pattern.fill() < 2 * pattern.len(), "{} of {}", pattern.fill(), pattern.len());
    }
}
