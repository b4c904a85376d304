//! What holds for every merge of two sets, over random ones.

#![allow(clippy::unwrap_used, reason = "a test that cannot build its input should fail")]

#[path = "support/chance.rs"]
mod chance;

use firstglow::bench::Bench;
use firstglow::bench::overrides::{Against, give, withdraw};
use firstglow::bench::set::{Life, PartRecord, SetId, SetRecord};
use firstglow::bench::stamp::Stamp;
use firstglow::bench::stock::Place;
use firstglow::store::arrival::reconcile;
use firstglow::store::join::join;
use firstglow::store::merge::{Difference, Moved};
use proptest::prelude::*;
use proptest::sample::select;

const LINES: [&str; 10] = [
    "C1 .05 400 V",
    "C1 .1 600 V",
    "C2 .1 200 V",
    "R3 470K",
    "wire a to b",
    "wire b to c",
    "# a remark",
    "",
    "T1 power\n secondary 3 to 5",
    "area front: C1 C2",
];
const KEYS: [&str; 3] = ["C1", "C2", "R3"];
const WORDS: [&str; 4] = ["", "0.047", "0.05 uF", "two\nlines"];

/// A set with a sheet of a few lines and a few records.
fn set() -> impl Strategy<Value = SetRecord> {
    let lines = prop::collection::vec(select(&LINES[..]), 0..6);
    let part = (select(&KEYS[..]), select(&WORDS[..]), select(&WORDS[..]), 0_u64..3);
    let parts = prop::collection::vec(part, 0..4);
    (lines, parts, select(&WORDS[..])).prop_map(|(lines, parts, notes)| {
        let mut set = SetRecord::new(SetId(1), lines.join("\n"), Stamp(1));
        notes.clone_into(&mut set.notes);
        for (key, measured, reading, done) in parts {
            let part = set.part_mut(key);
            measured.clone_into(&mut part.measured);
            part.done_at = (done > 0).then_some(Stamp(done));
            if !reading.is_empty() {
                part.readings.insert("leakage".into(), reading.into());
                set.step_mut("look").readings.insert(key.into(), reading.into());
                let found = Against::Reading { id: key.into(), typed: reading.into() };
                give(set.step_mut("look"), &found, reading, Stamp(done + 1));
                if done == 2 {
                    withdraw(set.step_mut("look"), &found, Stamp(9));
                }
            }
        }
        set.tidy();
        set
    })
}

fn by_default(_: usize, found: &Difference) -> firstglow::store::merge::Side {
    found.side
}

fn one(set: &SetRecord) -> Bench {
    Bench { sets: vec![set.clone()], ..Bench::default() }
}

/// What a page may do with sets and with the drawers.
#[derive(Debug, Clone, Copy)]
enum Act {
    Begin,
    Purge(usize),
    Buy(usize),
    Fit(usize),
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let act = prop_oneof![
        Just(Act::Begin),
        (0_usize..4).prop_map(Act::Purge),
        (0_usize..4).prop_map(Act::Buy),
        (0_usize..4).prop_map(Act::Fit),
    ];
    prop::collection::vec(act, 0..6)
}

/// Does it on a page of that name. Each set is named for its page and moment,
/// and each line of stock says for which set it was bought.
fn act(bench: &mut Bench, page: &str, acts: &[Act]) {
    for (act, at) in acts.iter().zip(1_u64..) {
        let chosen = |n: &usize| bench.sets.get(*n).map(|set| (set.id, set.name()));
        match act {
            Act::Begin => {
                let now = Stamp(u64::from(page.as_bytes()[0]) * 100 + at);
                bench.add(&format!("set {page}{at}\nC1 .05 400 V"), now);
            }
            Act::Purge(n) => {
                if let Some((id, _)) = chosen(n) {
                    bench.move_to(id, Life::Deleted { at: Stamp(at) });
                    bench.purge(id);
                }
            }
            Act::Buy(n) => {
                if let Some((set, name)) = chosen(n) {
                    let place = Place { set, part: "C1".into(), nth: 0 };
                    bench.bought(&format!("film for {name}"), 2, &[(place, 1)]);
                }
            }
            Act::Fit(n) => {
                if let Some((set, _)) = chosen(n) {
                    bench.fitted(set, "C1", true);
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(chance::cases(1_000))]

    #[test]
    fn what_is_kept_for_a_set_follows_it_wherever_its_number_goes(
        before in acts(), one in acts(), other in acts()
    ) {
        let mut base = Bench::default();
        act(&mut base, "a", &before);
        let (mut here, mut there) = (base.clone(), base.clone());
        act(&mut here, "b", &one);
        act(&mut there, "c", &other);
        let joined = join(&base, &here, &there).bench;
        let mut ids: Vec<SetId> = joined.sets.iter().map(|set| set.id).collect();
        ids.sort_by_key(|id| id.0);
        ids.dedup();
        prop_assert_eq!(ids.len(), joined.sets.len(), "two sets under one number");
        for line in &joined.buying.stock {
            for kept in line.reserved.iter().chain(&line.taken) {
                if let Some(set) = joined.set(kept.place.set) {
                    prop_assert_eq!(&line.text, &format!("film for {}", set.name()));
                }
            }
        }
        // What either page began and kept is there, with what it bought for it.
        for (side, page) in [(&here, 'b'), (&there, 'c')] {
            for set in side.sets.iter().filter(|set| set.name().starts_with(page)) {
                let found = joined.sets.iter().find(|s| s.created == set.created);
                prop_assert!(found.is_some(), "{} is gone", set.name());
                let of = |bench: &Bench, id: SetId| {
                    let lines = bench.buying.stock.iter();
                    let kept = lines.flat_map(|line| line.reserved.iter().chain(&line.taken));
                    kept.filter(|kept| kept.place.set == id).count()
                };
                prop_assert_eq!(of(side, set.id), found.map_or(0, |found| of(&joined, found.id)));
            }
        }
    }

    #[test]
    fn the_side_that_alone_moved_is_taken_to_the_letter(base in set(), moved in set()) {
        prop_assert_eq!(&join(&one(&base), &one(&moved), &one(&base)).bench, &one(&moved));
        prop_assert_eq!(&join(&one(&base), &one(&base), &one(&moved)).bench, &one(&moved));
        prop_assert_eq!(&join(&one(&base), &one(&moved), &one(&moved)).bench, &one(&moved));
    }

    #[test]
    fn without_a_base_every_check_and_reading_of_either_side_is_kept_or_told(
        here in set(), there in set()
    ) {
        let found = reconcile(None, &here, &there, &by_default);
        let told = |path: &[&str]| found.differences.iter().any(|d| {
            d.moved == Moved::Both && d.path.iter().map(String::as_str).eq(path.iter().copied())
        });
        for side in [&here, &there] {
            for (key, part) in &side.parts {
                let kept = found.record.part(key);
                prop_assert_eq!(part.done_at.is_some() && kept.done_at.is_none(), false);
                let same = part.measured.is_empty() || kept.measured == part.measured;
                let lines = part.measured.lines().all(|line| kept.measured.contains(line));
                prop_assert!(same || lines || told(&["parts", key, "measured"]));
                for (name, reading) in &part.readings {
                    let kept = &kept.readings[name];
                    let lines = reading.lines().all(|line| kept.contains(line));
                    prop_assert!(lines || told(&["parts", key, "readings", name]));
                }
            }
            for (id, step) in &side.steps {
                for name in step.readings.keys() {
                    prop_assert!(found.record.step(id).readings.contains_key(name));
                }
                // A reason is kept, and one that either withdrew stays withdrawn.
                for (key, given) in &step.overrides {
                    let kept = &found.record.step(id).overrides[key];
                    prop_assert!(given.withdrawn_at.is_none() || kept.withdrawn_at.is_some());
                }
            }
        }
    }

    #[test]
    fn without_a_base_every_line_of_either_sheet_is_kept_or_told(here in set(), there in set()) {
        let found = reconcile(None, &here, &there, &by_default);
        let lines = here.text.lines().chain(there.text.lines());
        for line in lines.filter(|line| !line.trim().is_empty()) {
            let told = found.differences.iter().any(|d| {
                let is_it = |v: &Option<serde_json::Value>| {
                    v.as_ref().and_then(|v| v.as_str()).is_some_and(|t| t.contains(line))
                };
                is_it(&d.here) || is_it(&d.there)
            });
            prop_assert!(told || found.record.text.lines().any(|l| l == line), "{line}");
        }
    }

    #[test]
    fn merging_twice_changes_nothing_more(base in set(), here in set(), there in set()) {
        let once = join(&one(&base), &one(&here), &one(&there)).bench;
        let again = join(&one(&there), &once, &one(&there)).bench;
        prop_assert_eq!(&again, &once);
    }

    #[test]
    fn what_only_one_side_changed_does_not_depend_on_which_side_is_here(
        base in set(), here in set(), there in set()
    ) {
        let one_way = reconcile(Some(&base), &here, &there, &by_default);
        prop_assume!(one_way.differences.iter().all(|d| d.moved != Moved::Both));
        let other_way = reconcile(Some(&base), &there, &here, &by_default);
        let sorted = |text: &str| {
            let lines = text.lines().filter(|line| !line.trim().is_empty());
            let mut lines: Vec<String> = lines.map(str::to_owned).collect();
            lines.sort();
            lines
        };
        prop_assert_eq!(sorted(&one_way.record.text), sorted(&other_way.record.text));
        // Lines of a note come in another order, and no other.
        let said = |set: &SetRecord| {
            let part = |(key, part): (&String, &PartRecord)| {
                (key.clone(), part.done_at, sorted(&part.measured), part.readings.len())
            };
            set.parts.iter().map(part).collect::<Vec<_>>()
        };
        prop_assert_eq!(said(&one_way.record), said(&other_way.record));
    }
}
