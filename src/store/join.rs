//! Two states of the bench made one: what two pages of a browser did apart.

use super::merge::{Moved, merge};
use crate::bench::Bench;
use crate::bench::set::{SetId, SetRecord};
use crate::bench::stock::{StockLine, alike};
use serde_json::Value;

/// Two states of the bench, joined.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Joined {
    /// The bench.
    pub bench: Bench,
    /// Sets of this side that got another number, because the other side gave
    /// theirs to another set: the old number and the new one.
    pub renumbered: Vec<(SetId, SetId)>,
    /// Where both sides changed the same and only one could stand, in words.
    pub clashes: Vec<String>,
}

/// Joins what was changed here with what was changed there. Where both changed
/// the same, this side stands.
pub fn join(base: &Bench, here: &Bench, there: &Bench) -> Joined {
    joined(Some(base), here, there)
}

/// Joins two states of which it is not known what they came from: what either
/// has is kept.
pub fn join_apart(here: &Bench, there: &Bench) -> Joined {
    joined(None, here, there)
}

fn joined(base: Option<&Bench>, here: &Bench, there: &Bench) -> Joined {
    let mut sides = Sides { base: base.cloned(), here: here.clone() };
    let renumbered = sides.renumber_sets(there);
    sides.renumber_stock(there);
    let Sides { base, here } = sides;
    let base = base.as_ref().and_then(tree);
    let mut clashes = Vec::new();
    let merged = match (tree(&here), tree(there)) {
        (Some(here_tree), Some(there)) => {
            let merged = merge(base.as_ref(), &here_tree, &there, &mut |found| {
                if found.moved == Moved::Both {
                    clashes.push(place(&here, &found.path));
                }
                found.side
            });
            serde_json::from_value(merged).ok()
        }
        _ => None,
    };
    // What does not come back as a bench was never one: this side stands.
    Joined { bench: merged.unwrap_or(here), renumbered, clashes }
}

/// Something as a tree of JSON. Through text, so that the records are not
/// compiled for a second way of writing them.
pub fn tree(bench: &impl serde::Serialize) -> Option<Value> {
    serde_json::from_str(&serde_json::to_string(bench).ok()?).ok()
}

/// This side and what it came from, which get fresh numbers together: what was
/// not changed here is still seen not to have been.
struct Sides {
    base: Option<Bench>,
    here: Bench,
}

impl Sides {
    /// Gives fresh numbers to sets whose number is another set's there. What is
    /// reserved for them or was taken for them follows.
    fn renumber_sets(&mut self, there: &Bench) -> Vec<(SetId, SetId)> {
        let is_other =
            |set: &SetRecord| there.set(set.id).is_some_and(|other| other.created != set.created);
        let others: Vec<SetRecord> =
            self.here.sets.iter().filter(|set| is_other(set)).cloned().collect();
        let base = self.base.iter().flat_map(|base| &base.sets);
        let all = self.here.sets.iter().chain(&there.sets).chain(base);
        let mut free = all.map(|set| set.id.0).max().unwrap_or(0);
        let mut moves = Vec::new();
        for set in others {
            free = free.saturating_add(1);
            let to = SetId(free);
            self.here.renumber(set.id, to);
            let is_same = |old: &SetRecord| old.created == set.created;
            if let Some(base) = self.base.as_mut().filter(|b| b.set(set.id).is_some_and(is_same)) {
                base.renumber(set.id, to);
            }
            moves.push((set.id, to));
        }
        moves
    }

    /// The same for lines of stock that were put in on both sides under one
    /// number.
    fn renumber_stock(&mut self, there: &Bench) {
        let there = &there.buying.stock;
        let base = self.base.as_ref().map_or(&[][..], |base| &base.buying.stock);
        let is_other = |line: &StockLine| {
            let same_number = |other: &&StockLine| other.id == line.id;
            base.iter().all(|old| old.id != line.id)
                && there
                    .iter()
                    .find(same_number)
                    .is_some_and(|other| !alike(&other.text, &line.text))
        };
        let lines = self.here.buying.stock.iter().chain(there).chain(base);
        let mut free = lines.map(|line| line.id).max().unwrap_or(0);
        for line in &mut self.here.buying.stock {
            if is_other(line) {
                free = free.saturating_add(1);
                line.id = free;
            }
        }
    }
}

/// `Kitchen set: C7, measured`.
fn place(bench: &Bench, path: &[String]) -> String {
    let mut rest = path.iter().skip(1);
    let id = rest.next().and_then(|id| id.parse().ok());
    let name = id.and_then(|id| bench.set(id)).map(SetRecord::name);
    let rest: Vec<&str> =
        rest.map(String::as_str).filter(|step| !matches!(*step, "parts" | "text")).collect();
    format!("{}: {}", name.unwrap_or_default(), rest.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::Life;
    use crate::bench::stamp::Stamp;
    use crate::bench::stock::Place;

    fn base() -> (Bench, SetId, SetId) {
        let mut bench = Bench::default();
        let a = bench.add("set A\nC1 .05 400 V\n", Stamp(1));
        let b = bench.add("set B\n", Stamp(2));
        (bench, a, b)
    }

    #[test]
    fn what_two_pages_did_apart_stands_together() {
        let (base, a, b) = base();
        let (mut here, mut there) = (base.clone(), base.clone());
        here.set_mut(a).unwrap().part_mut("C1").measured = "0.047".into();
        here.set_mut(a).unwrap().text.push_str("C2 .1\n");
        there.set_mut(a).unwrap().part_mut("C1").done_at = Some(Stamp(9));
        there.set_mut(b).unwrap().notes = "new".into();
        let joined = join(&base, &here, &there);
        let set = joined.bench.set(a).unwrap();
        assert_eq!(set.part("C1").measured, "0.047");
        assert_eq!(set.part("C1").done_at, Some(Stamp(9)));
        assert_eq!(set.text, "set A\nC1 .05 400 V\nC2 .1\n");
        assert_eq!(joined.bench.set(b).unwrap().notes, "new");
        assert!(joined.clashes.is_empty(), "{:?}", joined.clashes);
    }

    #[test]
    fn sets_begun_on_both_sides_under_one_number_both_stay() {
        let (base, ..) = base();
        let (mut here, mut there) = (base.clone(), base.clone());
        let mine = here.add("set Mine", Stamp(5));
        let other = there.add("set Theirs", Stamp(6));
        assert_eq!(mine, other);
        let joined = join(&base, &here, &there);
        assert_eq!(joined.bench.sets.len(), 4);
        let (from, to) = joined.renumbered[0];
        assert_eq!(from, mine);
        assert_eq!(joined.bench.set(to).unwrap().name(), "Mine");
        assert_eq!(joined.bench.set(other).unwrap().name(), "Theirs");
    }

    #[test]
    fn a_set_dropped_there_goes_and_one_worked_on_here_stays() {
        let (base, a, b) = base();
        let (mut here, mut there) = (base.clone(), base.clone());
        there.sets.clear();
        here.set_mut(a).unwrap().notes = "worked on".into();
        let joined = join(&base, &here, &there);
        assert!(joined.bench.set(a).is_some());
        assert!(joined.bench.set(b).is_none());
    }

    #[test]
    fn a_set_that_gives_way_takes_along_what_is_reserved_for_it() {
        let (base, ..) = base();
        let (mut here, mut there) = (base.clone(), base.clone());
        for (bench, name) in [(&mut here, "Mine"), (&mut there, "Theirs")] {
            let id = bench.add(&format!("set {name}"), Stamp(name.len() as u64));
            let place = Place { set: id, part: "C1".into(), nth: 0 };
            bench.bought(&format!("{name} film"), 2, &[(place, 1)]);
        }
        let joined = join(&base, &here, &there).bench;
        let owners: Vec<String> = joined
            .buying
            .stock
            .iter()
            .map(|line| {
                let set = joined.set(line.reserved[0].place.set).unwrap();
                format!("{}: {}", line.text, set.name())
            })
            .collect();
        assert_eq!(owners, ["Theirs film: Theirs", "Mine film: Mine"]);
    }

    #[test]
    fn a_set_deleted_for_good_there_is_not_saved_by_its_number_going_to_another() {
        let (base, a, b) = base();
        let mut there = base.clone();
        there.move_to(b, Life::Deleted { at: Stamp(5) });
        there.purge(b);
        assert_eq!(there.add("set New", Stamp(6)), b);
        let joined = join(&base, &base, &there).bench;
        assert_eq!(joined, there);
        assert!(joined.set(a).is_some());
    }

    #[test]
    fn states_of_unknown_origin_lose_neither_side() {
        let (base, a, b) = base();
        let (mut here, mut there) = (base.clone(), base.clone());
        here.sets.retain(|set| set.id == a);
        there.sets.retain(|set| set.id == b);
        assert_eq!(join_apart(&here, &there).bench.sets.len(), 2);
        here.set_mut(a).unwrap().part_mut("C1").measured = "1".into();
        assert_eq!(join_apart(&here, &base).bench.set(a).unwrap().part("C1").measured, "1");
        assert_eq!(join_apart(&base, &here).bench.set(a).unwrap().part("C1").measured, "1");
    }

    #[test]
    fn a_clash_is_named_by_set_and_part() {
        let (base, a, _) = base();
        let (mut here, mut there) = (base.clone(), base.clone());
        here.set_mut(a).unwrap().part_mut("C1").measured = "1".into();
        there.set_mut(a).unwrap().part_mut("C1").measured = "2".into();
        let joined = join(&base, &here, &there);
        assert_eq!(joined.bench.set(a).unwrap().part("C1").measured, "1");
        assert_eq!(joined.clashes, ["A: C1, measured"]);
    }
}
