//! The order in which unknowns are eliminated.
//!
//! Purpose: minimum degree, with the fill of each step told, and short ways
//! from every unknown to the last: a chain is not eaten from its ends but
//! halved again and again, so that an answer for a few unknowns takes few steps.
//!
//! Example: in a star about one node the rays go first, and nothing fills in.
//!
//! Limits: exact degrees, of which one and two count alike; ties by how many
//! steps a row already hangs on, then by number, so that the order is always
//! the same.

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
    // How many steps, one after the other, each row hangs on.
    let mut height = vec![0_usize; rows];
    let mut heap: BinaryHeap<Reverse<(usize, usize, usize)>> =
        near.iter().enumerate().map(|(row, list)| Reverse((rank(list), 0, row))).collect();
    let mut done = vec![false; rows];
    let mut order = Vec::with_capacity(rows);
    let mut later = Vec::with_capacity(rows);
    while let Some(Reverse((degree, steps, row))) = heap.pop() {
        if done[row] || degree != rank(&near[row]) || steps != height[row] {
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
            let higher = height[row] + 1 > height[a];
            if higher {
                height[a] = height[row] + 1;
            }
            if higher || others.len() != before {
                heap.push(Reverse((rank(others), height[a], a)));
            }
        }
        order.push(row);
        later.push(list);
    }
    (order, later)
}

/// The degree by which a row's turn comes: the ends of a chain are no better
/// than its middle.
fn rank(near: &[usize]) -> usize {
    near.len().max(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_is_halved_and_halved_again() {
        let rows = 10_000;
        let columns: Vec<Vec<usize>> = (0..rows)
            .map(|row: usize| (row.saturating_sub(1)..(row + 2).min(rows)).collect())
            .collect();
        let (order, later) = minimum_degree(&columns);
        let mut place = vec![0; rows];
        order.iter().enumerate().for_each(|(k, row)| place[*row] = k);
        // The longest way from a row through the least later one it meets.
        let mut depth = vec![0; rows];
        for k in (0..rows).rev() {
            depth[k] =
                later[k].iter().map(|row| place[*row]).min().map_or(0, |next| depth[next] + 1);
        }
        assert!(depth.iter().max() < Some(&60), "{:?}", depth.iter().max());
    }
}
