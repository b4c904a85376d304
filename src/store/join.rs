//! Two states of the bench made one: what two pages of a browser did apart.

use super::merge::{Moved, merge};
use crate::bench::Bench;
use crate::bench::set::{SetId, SetRecord};
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
    let (here, renumbered) = renumbered(here, there);
    let mut clashes = Vec::new();
    let merged = match (tree(base), tree(&here), tree(there)) {
        (Some(base), Some(here_tree), Some(there)) => {
            let merged = merge(Some(&base), &here_tree, &there, &mut |found| {
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

/// This side, with fresh numbers for sets whose number is another set's there.
fn renumbered(here: &Bench, there: &Bench) -> (Bench, Vec<(SetId, SetId)>) {
    let mut here = here.clone();
    let mut moves = Vec::new();
    let highest = here.sets.iter().chain(&there.sets).map(|s| s.id.0).max().unwrap_or(0);
    let mut free = highest.saturating_add(1);
    for set in &mut here.sets {
        if there.set(set.id).is_some_and(|other| other.created != set.created) {
            moves.push((set.id, SetId(free)));
            set.id = SetId(free);
            free = free.saturating_add(1);
        }
    }
    (here, moves)
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
    use crate::bench::stamp::Stamp;

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
