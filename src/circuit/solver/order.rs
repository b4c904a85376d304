//! The order in which unknowns are eliminated.
//!
//! Purpose: minimum degree, with the fill of each step told.
//!
//! Example: in a star about one node the rays go first, and nothing fills in.
//!
//! Limits: exact degrees, ties by number, so that the order is always the same.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The order of least degree first, and each row's neighbours left at its turn.
pub(super) fn minimum_degree(columns: &[Vec<usize>]) -> (Vec<usize>, Vec<Vec<usize>>) {
    let rows = columns.len();
    let mut near: Vec<Vec<usize>> = columns
        .iter()
        .enumerate()
        .map(|(row, list)| list.iter().copied().filter(|&column| column != row).collect())
        .collect();
    let mut heap: BinaryHeap<Reverse<(usize, usize)>> =
        near.iter().enumerate().map(|(row, list)| Reverse((list.len(), row))).collect();
    let mut done = vec![false; rows];
    let mut order = Vec::with_capacity(rows);
    let mut later = Vec::with_capacity(rows);
    while let Some(Reverse((degree, row))) = heap.pop() {
        if done[row] || degree != near[row].len() {
            continue;
        }
        done[row] = true;
        let list = std::mem::take(&mut near[row]);
        for &a in &list {
            let others = &mut near[a];
            let before = others.len();
            if let Ok(at) = others.binary_search(&row) {
                others.remove(at);
            }
            for &b in &list {
                if b != a
                    && let Err(at) = others.binary_search(&b)
                {
                    others.insert(at, b);
                }
            }
            if others.len() != before {
                heap.push(Reverse((others.len(), a)));
            }
        }
        order.push(row);
        later.push(list);
    }
    (order, later)
}
