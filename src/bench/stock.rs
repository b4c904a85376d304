//! The drawers: what lies there, which set it is reserved for, what was taken.
//!
//! ```
//! use firstglow::bench::{Bench, stamp::Stamp, stock::Place};
//! let mut bench = Bench::default();
//! let set = bench.add("C7 .05 400 V paper", Stamp(0));
//! bench.stock_add("12 x .047 630V film");
//! bench.reserve(1, Place { set, part: "C7".into(), nth: 0 }, 1);
//! bench.fitted(set, "C7", true);
//! assert_eq!(bench.buying.stock[0].count, 11);
//! bench.fitted(set, "C7", false); // an undo gives it back
//! assert_eq!((bench.buying.stock[0].count, bench.buying.stock[0].reserved.len()), (12, 1));
//! ```
//!
//! A line is kept as it was typed; what it is, is read from it each time.

use super::Bench;
use super::set::SetId;
use crate::buying::ware::read_line;
use serde::{Deserialize, Serialize};

/// What is kept of buying, for all sets.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Buying {
    /// The sign of the currency, as typed.
    pub currency: String,
    /// The price list, as typed.
    pub prices: String,
    /// What lies on the table of a swap meet, as typed.
    pub table: String,
    /// What is aimed at.
    pub aim: KeptAim,
    /// What one line fewer is worth, as typed.
    pub line_worth: String,
    /// Whether the basket is for all sets on the bench, not for the open one.
    pub every_set: bool,
    /// The drawers.
    pub stock: Vec<StockLine>,
}

/// What the basket aims at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum KeptAim {
    /// The least money.
    #[default]
    Cheapest,
    /// Between the two.
    Between,
    /// The fewest lines.
    FewestLines,
}

/// A line of stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct StockLine {
    /// Its permanent number.
    pub id: u32,
    /// What it is, as typed, without the count.
    pub text: String,
    /// How many lie there, reserved ones included.
    #[serde(default)]
    pub count: u32,
    /// Which of them are reserved.
    #[serde(default)]
    pub reserved: Vec<Kept>,
    /// Which were taken when they were fitted.
    #[serde(default)]
    pub taken: Vec<Kept>,
}

/// A need of a part of a set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Place {
    /// The set.
    pub set: SetId,
    /// The key of the part.
    pub part: String,
    /// Which of its needs, from 0.
    #[serde(default)]
    pub nth: usize,
}

/// Pieces for a place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Kept {
    /// The place.
    #[serde(flatten)]
    pub place: Place,
    /// How many.
    pub pieces: u32,
}

impl StockLine {
    /// How many are not reserved.
    pub fn free(&self) -> u32 {
        let reserved = self.reserved.iter().map(|k| k.pieces).fold(0, u32::saturating_add);
        self.count.saturating_sub(reserved)
    }
}

/// A text as lines of stock are compared: small letters, single spaces.
pub fn alike(a: &str, b: &str) -> bool {
    let words =
        |text: &str| text.split_whitespace().map(str::to_ascii_lowercase).collect::<Vec<_>>();
    words(a) == words(b)
}

/// A typed line as its count and the rest.
pub fn counted(line: &str) -> (u32, String) {
    let line = line.trim();
    let Some(count) = read_line(line, 1).count else { return (1, line.to_owned()) };
    // The count is one word or two, with `x` joined or apart.
    let (first, mut rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    if first.bytes().all(|b| b.is_ascii_digit()) {
        rest = rest.trim_start().split_once(char::is_whitespace).map_or("", |(_, rest)| rest);
    }
    (count, rest.trim().to_owned())
}

impl Bench {
    /// Puts typed or pasted lines into the drawers; how many lines that were.
    pub fn stock_add(&mut self, text: &str) -> usize {
        let lines = text.lines().map(str::trim).filter(|l| !l.is_empty());
        let mut added = 0;
        for (count, text) in lines.map(counted).filter(|(_, text)| !text.is_empty()) {
            self.put_in(&text, count);
            added += 1;
        }
        added
    }

    /// Puts pieces into the drawers, to those alike; the number of their line.
    fn put_in(&mut self, text: &str, count: u32) -> u32 {
        let stock = &mut self.buying.stock;
        if let Some(line) = stock.iter_mut().find(|l| alike(&l.text, text)) {
            line.count = line.count.saturating_add(count);
            return line.id;
        }
        let id = stock.iter().map(|l| l.id).max().unwrap_or(0).saturating_add(1);
        let (reserved, taken) = (Vec::new(), Vec::new());
        stock.push(StockLine { id, text: text.to_owned(), count, reserved, taken });
        id
    }

    /// Bought: puts pieces into the drawers and reserves them for their places.
    pub fn bought(&mut self, text: &str, count: u32, places: &[(Place, u32)]) {
        let (_, text) = counted(text);
        let id = self.put_in(&text, count);
        for (place, pieces) in places {
            self.reserve(id, place.clone(), *pieces);
        }
    }

    /// Changes how many lie there, never below what is reserved.
    pub fn stock_count(&mut self, id: u32, count: u32) {
        if let Some(line) = self.stock_line(id) {
            let reserved = line.count - line.free();
            line.count = count.max(reserved);
        }
    }

    /// Takes a line out of the drawers, with what is reserved of it.
    pub fn stock_remove(&mut self, id: u32) {
        self.buying.stock.retain(|l| l.id != id);
    }

    /// Reserves free pieces for a place that has none reserved yet; whether
    /// there were enough.
    pub fn reserve(&mut self, id: u32, place: Place, pieces: u32) -> bool {
        if self.covered(&place) {
            return false;
        }
        let Some(line) = self.stock_line(id).filter(|l| l.free() >= pieces) else { return false };
        line.reserved.push(Kept { place, pieces });
        true
    }

    /// Gives back what is reserved for a place.
    pub fn release(&mut self, place: &Place) {
        for line in &mut self.buying.stock {
            line.reserved.retain(|k| k.place != *place);
        }
    }

    /// Whether pieces are reserved or were taken for a place.
    pub fn covered(&self, place: &Place) -> bool {
        let mut kept = self.buying.stock.iter().flat_map(|l| l.reserved.iter().chain(&l.taken));
        kept.any(|k| k.place == *place)
    }

    /// A part was fitted, or that was undone: what is reserved for it is taken
    /// out of the drawers, or put back and reserved again.
    pub fn fitted(&mut self, set: SetId, part: &str, fitted: bool) {
        let here = |k: &Kept| k.place.set == set && k.place.part == part;
        for line in &mut self.buying.stock {
            let from = if fitted { &mut line.reserved } else { &mut line.taken };
            let (moved, stays): (Vec<_>, Vec<_>) = std::mem::take(from).into_iter().partition(here);
            *from = stays;
            for kept in moved {
                if fitted {
                    line.count = line.count.saturating_sub(kept.pieces);
                    line.taken.push(kept);
                } else {
                    line.count = line.count.saturating_add(kept.pieces);
                    line.reserved.push(kept);
                }
            }
        }
    }

    /// A part was given another designator: what is kept for it goes with it.
    pub fn stock_part_renamed(&mut self, set: SetId, from: &str, to: &str) {
        for line in &mut self.buying.stock {
            for kept in line.reserved.iter_mut().chain(&mut line.taken) {
                if kept.place.set == set && kept.place.part == from {
                    to.clone_into(&mut kept.place.part);
                }
            }
        }
    }

    /// Gives a set another number: what is kept for it goes with it.
    pub fn renumber(&mut self, from: SetId, to: SetId) {
        if let Some(set) = self.set_mut(from) {
            set.id = to;
        }
        for line in &mut self.buying.stock {
            for kept in line.reserved.iter_mut().chain(&mut line.taken) {
                if kept.place.set == from {
                    kept.place.set = to;
                }
            }
        }
    }

    /// Forgets a set that is gone for good: its reservations are free again.
    pub(super) fn stock_forget(&mut self, set: SetId) {
        for line in &mut self.buying.stock {
            line.reserved.retain(|k| k.place.set != set);
            line.taken.retain(|k| k.place.set != set);
        }
    }

    fn stock_line(&mut self, id: u32) -> Option<&mut StockLine> {
        self.buying.stock.iter_mut().find(|l| l.id == id)
    }

    /// Takes in what another bench kept of buying; how many lines of stock are
    /// new. `ids` tells the numbers that its sets have here.
    ///
    /// A line that lies here already keeps the count it has here: the same
    /// drawer saved twice holds no more than before. What is typed here stays;
    /// what only the other has is taken over.
    pub(super) fn merge_buying(&mut self, other: Buying, ids: &[(SetId, SetId)]) -> usize {
        let here = |kept: Vec<Kept>| -> Vec<Kept> {
            let known = |mut kept: Kept| {
                kept.place.set = ids.iter().find(|(there, _)| *there == kept.place.set)?.1;
                Some(kept)
            };
            kept.into_iter().filter_map(known).collect()
        };
        let mut added = 0;
        for line in other.stock {
            if self.buying.stock.iter().any(|l| alike(&l.text, &line.text)) {
                continue;
            }
            added += 1;
            let id = self.put_in(&line.text, line.count);
            let (reserved, taken) = (here(line.reserved), here(line.taken));
            let fresh: Vec<Kept> =
                reserved.into_iter().filter(|k| !self.covered(&k.place)).collect();
            if let Some(line) = self.stock_line(id) {
                line.reserved = fresh;
                line.taken = taken;
            }
        }
        let own = &mut self.buying;
        for (mine, theirs) in [
            (&mut own.currency, other.currency),
            (&mut own.table, other.table),
            (&mut own.line_worth, other.line_worth),
        ] {
            if mine.trim().is_empty() {
                *mine = theirs;
            }
        }
        if own.prices.trim().is_empty() {
            own.prices = other.prices;
        } else if !other.prices.trim().is_empty() && !own.prices.contains(other.prices.trim()) {
            own.prices = format!("{}\n\n{}", own.prices.trim_end(), other.prices.trim_start());
        }
        added
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::Life;
    use crate::bench::stamp::Stamp;

    fn place(set: SetId, part: &str) -> Place {
        Place { set, part: part.into(), nth: 0 }
    }

    fn bench() -> (Bench, SetId) {
        let mut bench = Bench::default();
        let set = bench.add("set A\nC1 .05 400 V paper", Stamp(0));
        bench.stock_add("12 x .047 630V film # top drawer\n\n3x 47 250V electrolytic\n.1 600 film");
        (bench, set)
    }

    #[test]
    fn pasted_lines_are_counted_and_kept_as_typed() {
        let (mut bench, _) = bench();
        let lines: Vec<_> = bench.buying.stock.iter().map(|l| (l.count, l.text.as_str())).collect();
        assert_eq!(
            lines,
            [(12, ".047 630V film # top drawer"), (3, "47 250V electrolytic"), (1, ".1 600 film")]
        );
        bench.stock_add("2 pcs .1  600 FILM\nnot a part at all");
        assert_eq!(bench.buying.stock[2].count, 3);
        assert_eq!(bench.buying.stock[3].text, "not a part at all");
    }

    #[test]
    fn what_is_reserved_is_taken_when_fitted_and_given_back_by_an_undo() {
        let (mut bench, set) = bench();
        assert!(bench.reserve(1, place(set, "C1"), 1));
        assert!(!bench.reserve(3, place(set, "C1"), 1), "one place is reserved for once");
        assert_eq!(bench.buying.stock[0].free(), 11);
        bench.fitted(set, "C1", true);
        bench.fitted(set, "C1", true);
        assert_eq!((bench.buying.stock[0].count, bench.buying.stock[0].free()), (11, 11));
        bench.fitted(set, "C1", false);
        assert_eq!((bench.buying.stock[0].count, bench.buying.stock[0].free()), (12, 11));
        bench.release(&place(set, "C1"));
        assert_eq!(bench.buying.stock[0].free(), 12);
    }

    #[test]
    fn no_more_is_reserved_than_lies_there_and_none_of_it_is_counted_away() {
        let (mut bench, set) = bench();
        assert!(!bench.reserve(3, place(set, "C1"), 2));
        assert!(bench.reserve(3, place(set, "C1"), 1));
        bench.stock_count(3, 0);
        assert_eq!(bench.buying.stock[2].count, 1);
    }

    #[test]
    fn what_is_bought_lies_in_the_drawer_and_is_reserved() {
        let (mut bench, set) = bench();
        bench.bought("10 x .0047 250VAC Y2", 10, &[(place(set, "C1"), 1)]);
        let line = bench.buying.stock.last().unwrap();
        assert_eq!((line.text.as_str(), line.count, line.free()), (".0047 250VAC Y2", 10, 9));
        assert!(bench.covered(&place(set, "C1")));
    }

    #[test]
    fn a_set_that_is_gone_for_good_frees_what_it_reserved() {
        let (mut bench, set) = bench();
        bench.reserve(1, place(set, "C1"), 1);
        bench.move_to(set, Life::Deleted { at: Stamp(1) });
        bench.purge(set);
        assert_eq!(bench.buying.stock[0].free(), 12);
    }

    #[test]
    fn merging_a_saved_bench_doubles_no_stock_and_follows_the_numbers_of_its_sets() {
        let (mut here, set) = bench();
        here.reserve(1, place(set, "C1"), 1);
        let saved = here.clone();
        here.merge(saved.clone());
        assert_eq!(here, saved);
        let mut fresh = Bench::default();
        fresh.add("set Another", Stamp(0));
        let merged = fresh.merge(saved);
        assert_eq!(merged.stock_added, 3);
        let reserved = &fresh.buying.stock[0].reserved[0];
        assert_eq!(fresh.set(reserved.place.set).unwrap().name(), "A");
    }
}
