//! What is kept beside the sheets: which sets are on the bench, what was
//! fitted and measured, which steps were taken.
//!
//! ```
//! use firstglow::bench::{Bench, stamp::Stamp};
//! let mut bench = Bench::default();
//! let id = bench.add("set Kitchen table set\nC7 .05 400 V paper", Stamp(0));
//! assert_eq!(bench.set(id).unwrap().name(), "Kitchen table set");
//! ```
//!
//! The clock is passed in. Nothing is ever dropped but by [`Bench::purge`].

pub mod fitting;
pub mod halt;
pub mod hold;
pub mod list;
pub mod old;
pub mod overrides;
pub mod photo;
pub mod power;
pub mod progress;
pub mod reading;
pub mod room;
pub mod set;
pub mod stamp;
pub mod steps;
pub mod stock;
pub mod wiring;

use list::CarriedList;
use serde::{Deserialize, Serialize};
use set::{Life, SetId, SetRecord};
use stamp::Stamp;
use stock::Buying;

/// All sets, in the order they are shown.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Bench {
    /// The sets, newest first.
    pub sets: Vec<SetRecord>,
    /// Buying lists that were carried here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lists: Vec<CarriedList>,
    /// Stock, prices, and what else is kept of buying for all sets.
    #[serde(default)]
    pub buying: Buying,
}

/// What an import did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Merged {
    /// The sets that came in, under the ids they have now.
    pub added: Vec<SetId>,
    /// How many were on the bench already, to the letter.
    pub already_here: usize,
    /// How many buying lists came in.
    pub lists: usize,
    /// How many lines of stock came in.
    pub stock_added: usize,
}

impl Bench {
    /// The set of that id, deleted or not.
    pub fn set(&self, id: SetId) -> Option<&SetRecord> {
        self.sets.iter().find(|s| s.id == id)
    }

    /// The same, to change it.
    pub fn set_mut(&mut self, id: SetId) -> Option<&mut SetRecord> {
        self.sets.iter_mut().find(|s| s.id == id)
    }

    /// Puts a new set in front.
    pub fn add(&mut self, text: &str, now: Stamp) -> SetId {
        let id = self.free_id();
        self.sets.insert(0, SetRecord::new(id, text.to_owned(), now));
        id
    }

    /// Puts a second set with the same sheet behind the first. What was done
    /// on the first was not done on the second, so no record is copied.
    pub fn duplicate(&mut self, id: SetId, now: Stamp) -> Option<SetId> {
        let at = self.sets.iter().position(|s| s.id == id)?;
        let fresh = self.free_id();
        let mut copy = SetRecord::new(fresh, self.sets[at].text.clone(), now);
        copy.rename(&format!("{} (copy)", self.sets[at].name()), now);
        self.sets.insert(at + 1, copy);
        Some(fresh)
    }

    /// Puts a set on the bench, in the archive, or among the deleted.
    pub fn move_to(&mut self, id: SetId, life: Life) {
        if let Some(set) = self.set_mut(id) {
            set.life = life;
        }
    }

    /// Drops a deleted set for good; a set that is not deleted stays.
    pub fn purge(&mut self, id: SetId) {
        self.sets.retain(|s| s.id != id || !matches!(s.life, Life::Deleted { .. }));
        if self.set(id).is_none() {
            self.stock_forget(id);
        }
    }

    /// The sets in one state, in order.
    pub fn in_life(&self, wanted: impl Fn(Life) -> bool) -> impl Iterator<Item = &SetRecord> {
        self.sets.iter().filter(move |s| wanted(s.life))
    }

    /// Takes the sets of another bench in. A set whose id is taken gets a fresh
    /// one; a set that is here to the letter is passed over.
    pub fn merge(&mut self, other: Self) -> Merged {
        let mut merged = Merged::default();
        let mut ids = Vec::new();
        for mut set in other.sets {
            if let Some(here) = self.sets.iter().find(|here| here.same_content(&set)) {
                merged.already_here += 1;
                ids.push((set.id, here.id));
                continue;
            }
            let before = set.id;
            if self.set(set.id).is_some() {
                set.id = self.free_id();
            }
            ids.push((before, set.id));
            merged.added.push(set.id);
            self.sets.push(set);
        }
        for list in other.lists {
            if self.lists.iter().any(|here| here.id == list.id) {
                merged.already_here += 1;
            } else {
                merged.lists += 1;
                self.lists.insert(0, list);
            }
        }
        merged.stock_added = self.merge_buying(other.buying, &ids);
        merged
    }

    /// The set here that is the same as one from elsewhere, whatever was done on
    /// either since: it came to a bench at the same moment.
    pub fn twin(&self, set: &SetRecord) -> Option<&SetRecord> {
        self.set(self.twin_id(set)?)
    }

    /// Its number. Where several came at that moment, the one of that name.
    fn twin_id(&self, set: &SetRecord) -> Option<SetId> {
        let born = || self.sets.iter().filter(|here| here.created == set.created);
        let mut by_name = born().filter(|here| here.name() == set.name());
        let found = by_name.next().or_else(|| born().next().filter(|_| born().count() == 1));
        found.map(|here| here.id)
    }

    /// Puts a set as it was before in the place of the same set, or beside the
    /// others where it is gone.
    pub fn bring_back(&mut self, mut set: SetRecord) -> SetId {
        if let Some(id) = self.twin_id(&set) {
            set.id = id;
            if let Some(here) = self.set_mut(id) {
                *here = set;
            }
            return id;
        }
        if self.set(set.id).is_some() {
            set.id = self.free_id();
        }
        let id = set.id;
        self.sets.insert(0, set);
        id
    }

    /// A bench with that set alone, for export.
    #[must_use]
    pub fn only(&self, id: SetId) -> Self {
        Self { sets: self.set(id).cloned().into_iter().collect(), ..Self::default() }
    }

    fn free_id(&self) -> SetId {
        SetId(self.sets.iter().map(|s| s.id.0).max().unwrap_or(0).saturating_add(1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: Stamp = Stamp(1_000);

    fn two() -> (Bench, SetId, SetId) {
        let mut bench = Bench::default();
        let a = bench.add("set A\nC1 .05 400 V", NOW);
        let b = bench.add("set B", NOW);
        (bench, a, b)
    }

    #[test]
    fn a_new_set_stands_in_front_under_its_own_id() {
        let (bench, a, b) = two();
        assert_ne!(a, b);
        assert_eq!(bench.sets[0].id, b);
    }

    #[test]
    fn a_duplicate_has_the_sheet_and_none_of_the_records() {
        let (mut bench, a, _) = two();
        bench.set_mut(a).unwrap().part_mut("C1").done_at = Some(NOW);
        let copy = bench.duplicate(a, NOW).unwrap();
        let copy = bench.set(copy).unwrap();
        assert_eq!(copy.name(), "A (copy)");
        assert!(copy.text.contains("C1 .05 400 V"));
        assert!(copy.parts.is_empty());
    }

    #[test]
    fn deleting_is_undone_by_moving_back() {
        let (mut bench, a, _) = two();
        bench.move_to(a, Life::Deleted { at: NOW });
        assert_eq!(bench.in_life(|l| l == Life::Active).count(), 1);
        bench.move_to(a, Life::Active);
        assert_eq!(bench.in_life(|l| l == Life::Active).count(), 2);
    }

    #[test]
    fn only_a_deleted_set_can_be_dropped_for_good() {
        let (mut bench, a, _) = two();
        bench.purge(a);
        assert!(bench.set(a).is_some());
        bench.move_to(a, Life::Deleted { at: NOW });
        bench.purge(a);
        assert!(bench.set(a).is_none());
    }

    #[test]
    fn merging_gives_a_fresh_id_where_one_is_taken() {
        let (mut bench, a, _) = two();
        let mut other = Bench::default();
        let clash = other.add("set Other", NOW);
        assert_eq!(clash, a);
        let merged = bench.merge(other);
        assert_eq!(merged.added.len(), 1);
        assert_ne!(merged.added[0], a);
        assert_eq!(bench.set(merged.added[0]).unwrap().name(), "Other");
        assert_eq!(bench.set(a).unwrap().name(), "A");
    }

    #[test]
    fn a_set_is_known_again_by_when_it_came_and_by_its_name_in_doubt() {
        let (mut bench, a, b) = two();
        let mut later = bench.set(a).unwrap().clone();
        later.id = SetId(77);
        later.notes = "done elsewhere".into();
        assert_eq!(bench.twin(&later).map(|s| s.id), Some(a));
        later.rename("Another name", NOW);
        assert!(bench.twin(&later).is_none(), "two came at that moment");
        bench.move_to(b, Life::Deleted { at: NOW });
        bench.purge(b);
        assert_eq!(bench.twin(&later).map(|s| s.id), Some(a));
        later.created = Stamp(9);
        assert!(bench.twin(&later).is_none());
    }

    #[test]
    fn a_set_brought_back_takes_its_place_or_a_free_number() {
        let (mut bench, a, b) = two();
        let mut before = bench.set(a).unwrap().clone();
        before.notes = "before".into();
        assert_eq!(bench.bring_back(before.clone()), a);
        assert_eq!(bench.set(a).unwrap().notes, "before");
        bench.move_to(a, Life::Deleted { at: NOW });
        bench.purge(a);
        before.id = b;
        before.created = Stamp(9);
        let back = bench.bring_back(before);
        assert_ne!(back, b);
        assert_eq!(bench.set(back).unwrap().notes, "before");
    }

    #[test]
    fn a_buying_list_comes_in_once() {
        let list = CarriedList { id: Stamp(5), name: "A".into(), groups: vec![] };
        let carried = Bench { lists: vec![list], ..Bench::default() };
        let (mut bench, ..) = two();
        assert_eq!(bench.merge(carried.clone()).lists, 1);
        assert_eq!(bench.merge(carried).already_here, 1);
        assert_eq!(bench.lists.len(), 1);
    }

    #[test]
    fn merging_the_same_bench_twice_adds_nothing() {
        let (mut bench, ..) = two();
        let merged = bench.merge(bench.clone());
        assert_eq!(merged, Merged { already_here: 2, ..Merged::default() });
    }
}
