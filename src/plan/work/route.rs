//! The order in which places are visited so that covers come off as seldom as
//! possible.
//!
//! A place needs a set of covers off; a cover that the next place does not need
//! goes back on. Places of a lower rank come first, whatever that costs. Among
//! the orders that open the least, one is taken that visits tied places one
//! right after the other, and else in the order of the sheet.
//!
//! ```
//! use firstglow::plan::work::route::{Place, Route};
//! let place = |covers: &[usize]| Place { covers: covers.to_vec(), rank: 0 };
//! // Bottom cover 0 for two of them, shield 1 for the third.
//! let route = Route { places: vec![place(&[0]), place(&[1]), place(&[0])], ties: vec![] };
//! let order = route.best();
//! assert_eq!(route.openings(&order), 2);
//! ```
//!
//! Limits: exact to twelve places (dynamic programming over their subsets); to
//! sixty-four, a greedy order that is mended as long as that helps, up to
//! twenty-four; beyond, the order of the ranks alone.

/// Places up to which the best order is found for certain.
pub const EXACT: usize = 12;
/// Places up to which a greedy order is mended.
const MENDED: usize = 24;
/// Places up to which there is a greedy order.
const GREEDY: usize = 64;

/// What a cover that comes off weighs, and a tie that is torn, against a step
/// back on the sheet.
const OPENING: usize = 100_000;
const TORN: usize = 1_000;

/// A place to work at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The covers that must be off, rising.
    pub covers: Vec<usize>,
    /// Lower ranks come first.
    pub rank: usize,
}

/// Places to be visited once each.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Route {
    /// The places.
    pub places: Vec<Place>,
    /// Pairs that should follow each other.
    pub ties: Vec<(usize, usize)>,
}

impl Route {
    /// How many times a cover comes off in an order.
    pub fn openings(&self, order: &[usize]) -> usize {
        let mut before = None;
        let mut sum = 0;
        for place in order {
            sum += self.opened(before, *place).count();
            before = Some(*place);
        }
        sum
    }

    /// The covers that come off on the way from one place to the next.
    pub fn opened(&self, before: Option<usize>, place: usize) -> impl Iterator<Item = usize> {
        let off: &[usize] = before.map_or(&[], |before| &self.places[before].covers);
        self.places[place].covers.iter().copied().filter(move |cover| !off.contains(cover))
    }

    /// Covers opened, ties torn and steps back, in one number; `None` for an order that
    /// does not keep the ranks.
    pub fn cost(&self, order: &[usize]) -> Option<usize> {
        let ranked = order.windows(2).all(|w| self.places[w[0]].rank <= self.places[w[1]].rank);
        let steps = order.windows(2).map(|w| self.step(Some(w[0]), w[1])).sum::<usize>();
        let first = order.first().map_or(0, |first| self.step(None, *first));
        ranked.then_some(first + steps)
    }

    /// The cost of going on to a place.
    fn step(&self, before: Option<usize>, place: usize) -> usize {
        let tied = before
            .is_some_and(|b| self.ties.contains(&(b, place)) || self.ties.contains(&(place, b)));
        let back = before.map_or(0, |before| before.saturating_sub(place));
        self.opened(before, place).count() * OPENING + usize::from(!tied) * TORN + back
    }

    /// The best order.
    pub fn best(&self) -> Vec<usize> {
        match self.places.len() {
            count if count <= EXACT => self.exact(),
            count if count <= GREEDY => self.mended(),
            count => {
                let mut order: Vec<usize> = (0..count).collect();
                crate::order::sort(&mut order, |place| [self.places[*place].rank, *place, 0]);
                order
            }
        }
    }

    /// By subsets: the least cost of having been at each of them, and last at
    /// each of its places.
    fn exact(&self) -> Vec<usize> {
        let count = self.places.len();
        if count == 0 {
            return Vec::new();
        }
        let whole = (1_usize << count) - 1;
        let step: Vec<usize> =
            (0..count * count).map(|at| self.step(Some(at / count), at % count)).collect();
        let none = usize::MAX;
        let mut least = vec![(none, none); (whole + 1) * count];
        for set in 1..=whole {
            for last in (0..count).filter(|p| set >> p & 1 == 1) {
                let rest = set & !(1 << last);
                if rest == 0 {
                    if self.may_follow(0, last) {
                        least[set * count + last] = (self.step(None, last), none);
                    }
                    continue;
                }
                if !self.may_follow(rest, last) {
                    continue;
                }
                for before in (0..count).filter(|p| rest >> p & 1 == 1) {
                    let (so_far, _) = least[rest * count + before];
                    if so_far == none {
                        continue;
                    }
                    let cost = so_far + step[before * count + last];
                    let found = &mut least[set * count + last];
                    if cost < found.0 {
                        *found = (cost, before);
                    }
                }
            }
        }
        let mut set = whole;
        let mut last = (0..count).min_by_key(|p| least[whole * count + p].0).unwrap_or(0);
        let mut order = vec![last];
        while order.len() < count {
            let (_, before) = least[set * count + last];
            set &= !(1 << last);
            last = before;
            order.push(last);
        }
        order.reverse();
        order
    }

    /// Whether a place may come after a set: no lower rank is left.
    fn may_follow(&self, set: usize, place: usize) -> bool {
        let left = (0..self.places.len()).filter(|p| set >> p & 1 == 0);
        left.map(|p| self.places[p].rank).min().is_none_or(|r| r >= self.places[place].rank)
    }

    /// The cheapest next place each time, then moves and turns that help.
    fn mended(&self) -> Vec<usize> {
        let mut left: Vec<usize> = (0..self.places.len()).collect();
        let mut order: Vec<usize> = Vec::new();
        while let Some(at) = (0..left.len()).min_by_key(|at| {
            let place = left[*at];
            (self.places[place].rank, self.step(order.last().copied(), place))
        }) {
            order.push(left.remove(at));
        }
        if self.places.len() <= MENDED {
            while let Some(better) = self.better(&order) {
                order = better;
            }
        }
        order
    }

    /// An order near this one that costs less.
    fn better(&self, order: &[usize]) -> Option<Vec<usize>> {
        let now = self.cost(order)?;
        let count = order.len();
        for from in 0..count {
            for to in (0..count).filter(|to| *to != from) {
                let mut moved = order.to_vec();
                let place = moved.remove(from);
                moved.insert(to, place);
                let mut turned = order.to_vec();
                turned[from.min(to)..=from.max(to)].reverse();
                for next in [moved, turned] {
                    if self.cost(&next).is_some_and(|cost| cost < now) {
                        return Some(next);
                    }
                }
            }
        }
        None
    }
}
