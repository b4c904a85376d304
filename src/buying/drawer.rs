//! Stock against needs: which needs the drawers can meet, as many as possible
//! and the dearest to buy first.
//!
//! ```
//! use firstglow::{buying::{drawer::{Lying, hand_out}, need, ware}, plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::read("C7 .05 400 V paper coupling\nC8 .05 400 V paper coupling"));
//! let needs = need::of_plan(&plan, 0).wanted;
//! let ware = ware::read_line(".047 630V film", 1).ware;
//! let given = hand_out(&needs, &[Lying { ware: &ware, free: 1 }], |_| 0);
//! assert_eq!(given, [Some(0), None]);
//! ```
//!
//! Limits: a need of two alike takes both from one line; those are handed out
//! before the needs of one.

use super::need::Need;
use super::serve::serves;
use super::ware::Ware;

/// A line of stock as far as it is free.
#[derive(Debug, Clone, Copy)]
pub struct Lying<'a> {
    /// What lies there.
    pub ware: &'a Ware,
    /// How many pieces are not reserved.
    pub free: u32,
}

/// For each need the line of stock that meets it, where one does. `worth` says
/// what a need costs to buy, or how much else it matters.
///
/// Among all ways to hand out single pieces, the sum of what the needs met are
/// worth is the greatest: needs are taken by falling worth, each finding a place
/// if those before can move (a matching, grown by augmenting paths).
pub fn hand_out(
    needs: &[Need],
    stock: &[Lying],
    worth: impl Fn(usize) -> i64,
) -> Vec<Option<usize>> {
    let fits: Vec<Vec<usize>> = needs
        .iter()
        .map(|need| {
            let fit = |l: &Lying| l.free > 0 && serves(l.ware, &need.wanted);
            stock.iter().enumerate().filter(|(_, l)| fit(l)).map(|(i, _)| i).collect()
        })
        .collect();
    let mut given: Vec<Option<usize>> = vec![None; needs.len()];
    let mut free: Vec<u32> = stock.iter().map(|l| l.free).collect();
    let mut order: Vec<usize> = (0..needs.len()).collect();
    order.sort_by_key(|at| {
        (std::cmp::Reverse(needs[*at].pieces), std::cmp::Reverse(worth(*at)), *at)
    });
    for at in order {
        let pieces = needs[at].pieces;
        if pieces == 1 {
            let mut tried = vec![false; stock.len()];
            augment(at, &fits, needs, &mut given, &mut free, &mut tried);
        } else if let Some(line) = fits[at].iter().find(|l| free[**l] >= pieces) {
            free[*line] -= pieces;
            given[at] = Some(*line);
        }
    }
    given
}

/// Finds a place for a need, moving others where that makes room.
fn augment(
    need: usize,
    fits: &[Vec<usize>],
    needs: &[Need],
    given: &mut [Option<usize>],
    free: &mut [u32],
    tried: &mut [bool],
) -> bool {
    for &line in &fits[need] {
        if std::mem::replace(&mut tried[line], true) {
            continue;
        }
        if free[line] > 0 {
            free[line] -= 1;
            given[need] = Some(line);
            return true;
        }
        let there: Vec<usize> =
            (0..given.len()).filter(|n| given[*n] == Some(line) && needs[*n].pieces == 1).collect();
        for other in there {
            if augment(other, fits, needs, given, free, tried) {
                given[need] = Some(line);
                return true;
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::buying::need::of_plan;
    use crate::buying::ware::read_line;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    fn needs() -> Vec<Need> {
        let text =
            "C1 .05 200 V paper avc\nC2 .05 400 V paper coupling\nC3 .05 400 V paper coupling";
        of_plan(&plan(&Sheet::read(text)), 0).wanted
    }

    #[test]
    fn a_need_moves_where_that_lets_another_in() {
        let low = read_line(".047 400V film", 1).ware;
        let high = read_line(".047 630V film", 1).ware;
        let stock = [Lying { ware: &high, free: 2 }, Lying { ware: &low, free: 1 }];
        // The first need would take the high rating that the others cannot do without.
        assert_eq!(
            hand_out(&needs(), &stock, |at| -(i64::try_from(at).unwrap())),
            [Some(1), Some(0), Some(0)]
        );
    }

    #[test]
    fn what_is_scarce_goes_to_the_need_that_is_dearest_to_buy() {
        let high = read_line(".047 630V film", 1).ware;
        let stock = [Lying { ware: &high, free: 1 }];
        let given = hand_out(&needs(), &stock, |at| if at == 2 { 100 } else { 1 });
        assert_eq!(given, [None, None, Some(0)]);
    }
}
