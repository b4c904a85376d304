use super::*;
use crate::store::shelf::memory::MemoryShelf;

pub(super) const NOW: Stamp = Stamp(1_700_000_000_000);

fn open(shelf: &MemoryShelf) -> (Keeper<&MemoryShelf>, Opening) {
    named(shelf, "page")
}

pub(super) fn named<'s>(shelf: &'s MemoryShelf, name: &str) -> (Keeper<&'s MemoryShelf>, Opening) {
    Keeper::open(shelf, name.to_owned(), NOW)
}

pub(super) fn bench() -> Bench {
    let mut bench = Bench::default();
    bench.add("set A\nC1 .05\n", Stamp(1));
    bench
}

pub(super) fn noted(bench: &Bench, note: &str) -> Bench {
    let mut bench = bench.clone();
    let id = bench.sets[0].id;
    note.clone_into(&mut bench.set_mut(id).unwrap().notes);
    bench
}

#[test]
fn a_saved_bench_is_found_at_the_next_opening() {
    let shelf = MemoryShelf::default();
    let (mut keeper, opening) = open(&shelf);
    assert_eq!(opening, Opening::Fresh);
    keeper.save(&bench(), NOW).unwrap();
    assert_eq!(open(&shelf).1, Opening::Loaded(bench()));
}

#[test]
fn what_cannot_be_read_is_never_written_over() {
    let shelf = MemoryShelf::default();
    (&shelf).set(KEY, "{\"type\":\"firstglow-bench\",\"version\":9}").unwrap();
    let (mut keeper, opening) = open(&shelf);
    assert!(matches!(opening, Opening::Refused { why: ReadError::Newer { found: 9 }, .. }));
    assert_eq!(keeper.save(&bench(), NOW), Err(SaveError::NotLoaded));
    assert!((&shelf).get(KEY).unwrap().unwrap().contains("\"version\":9"));
}

#[test]
fn a_bench_damaged_at_any_byte_is_refused_and_stays_or_loads_as_it_was() {
    let text = envelope::write(&bench()).unwrap();
    for at in 0..text.len() {
        let mut damaged = text.clone().into_bytes();
        damaged[at] ^= 1;
        let damaged = String::from_utf8(damaged).unwrap();
        let shelf = MemoryShelf::default();
        (&shelf).set(KEY, &damaged).unwrap();
        let (mut keeper, opening) = open(&shelf);
        if opening != Opening::Loaded(bench()) {
            assert!(matches!(opening, Opening::Refused { .. }), "byte {at}: {opening:?}");
            assert_eq!(keeper.save(&noted(&bench(), "x"), NOW), Err(SaveError::NotLoaded));
            assert_eq!(shelf.items.borrow()[KEY], damaged);
        }
    }
}

#[test]
fn damaged_data_set_aside_is_kept_and_saving_begins() {
    let shelf = MemoryShelf::default();
    (&shelf).set(KEY, "half a docu").unwrap();
    let (mut keeper, _) = open(&shelf);
    keeper.set_aside(Stamp(77)).unwrap();
    keeper.save(&bench(), NOW).unwrap();
    let items = shelf.items.borrow();
    assert_eq!(items["firstglow/bench/set-aside/77"], "half a docu");
    assert!(items[KEY].contains("set A"));
}

#[test]
fn setting_aside_works_on_a_shelf_without_room_for_two() {
    let shelf = MemoryShelf::default();
    (&shelf).set(KEY, "0123456789").unwrap();
    shelf.room.set(12);
    let (mut keeper, _) = open(&shelf);
    keeper.set_aside(Stamp(1)).unwrap();
    assert_eq!(shelf.items.borrow()["firstglow/bench/set-aside/1"], "0123456789");
}

#[test]
fn a_full_shelf_keeps_the_last_good_save() {
    let shelf = MemoryShelf::default();
    let (mut keeper, _) = open(&shelf);
    keeper.save(&bench(), NOW).unwrap();
    shelf.room.set(10);
    assert_eq!(keeper.save(&noted(&bench(), "more"), NOW), Err(SaveError::Shelf(ShelfError::Full)));
    assert_eq!(open(&shelf).1, Opening::Loaded(bench()));
    shelf.room.set(usize::MAX);
    keeper.save(&noted(&bench(), "more"), NOW).unwrap();
    assert_eq!(open(&shelf).1, Opening::Loaded(noted(&bench(), "more")));
}

#[test]
fn what_a_full_shelf_does_not_take_waits_for_the_database_and_goes_on_from_there() {
    let shelf = MemoryShelf::default();
    let (mut keeper, _) = open(&shelf);
    keeper.save(&bench(), NOW).unwrap();
    shelf.room.set(10);
    for note in ["more", "and more"] {
        assert!(keeper.save(&noted(&bench(), note), NOW).is_err());
    }
    assert_eq!(keeper.apart(), Some(ShelfError::Full));
    assert_eq!(keeper.last(), &bench(), "that lies on the shelf");
    let (text, trail) =
        keeper.laid().map(|(text, trail)| (text.to_owned(), trail.clone())).unwrap();
    assert_eq!(envelope::read(&text), Ok(noted(&bench(), "and more")));
    assert_eq!(trail.count("page"), 3);
    // The next page finds it, and its shelf is full as well.
    let (mut next, opening) = named(&shelf, "page 2");
    assert_eq!(opening, Opening::Loaded(bench()));
    let joined = next.take_in(&text, &bench(), NOW).unwrap().expect("news");
    assert_eq!(joined.bench, noted(&bench(), "and more"));
    assert!(joined.clashes.is_empty());
    assert!(next.save(&joined.bench, NOW).is_err());
    assert!(next.laid().unwrap().1.contains(&trail));
    shelf.room.set(usize::MAX);
    next.save(&joined.bench, NOW).unwrap();
    assert_eq!((next.apart(), next.last()), (None, &joined.bench));
    assert_eq!(open(&shelf).1, Opening::Loaded(joined.bench));
}

#[test]
fn what_another_page_wrote_while_the_shelf_was_full_here_is_joined() {
    let shelf = MemoryShelf::default();
    let (mut one, _) = named(&shelf, "1");
    one.save(&bench(), NOW).unwrap();
    let (mut two, _) = named(&shelf, "2");
    shelf.room.set(10);
    let mut here = noted(&bench(), "only in the database");
    assert!(one.save(&here, NOW).is_err());
    shelf.room.set(usize::MAX);
    let mut there = bench();
    there.add("set B", Stamp(7));
    two.save(&there, NOW).unwrap();
    let joined = one.save(&here, NOW).unwrap().expect("both did something");
    here.add("set B", Stamp(7));
    assert!(joined.clashes.is_empty(), "{:?}", joined.clashes);
    assert_eq!(joined.bench.sets.len(), 2);
    assert!(joined.bench.sets.iter().any(|set| set.notes == "only in the database"));
    assert_eq!(one.apart(), None);
}

#[test]
fn backups_are_made_while_working_and_give_way_to_the_bench() {
    let shelf = MemoryShelf::default();
    let (mut keeper, _) = open(&shelf);
    for n in 0..6 {
        let now = Stamp(NOW.0 + n * backups::EVERY_MS);
        keeper.save(&noted(&bench(), &n.to_string()), now).unwrap();
    }
    assert_eq!(backups::list(&&shelf).unwrap().len(), 5);
    let held: usize = shelf.items.borrow().values().map(String::len).sum();
    shelf.room.set(held);
    keeper.save(&noted(&bench(), &"x".repeat(100)), Stamp(NOW.0 + 1)).unwrap();
    assert_eq!(backups::list(&&shelf).unwrap().len(), 4);
}

#[test]
fn a_machine_that_dies_at_any_change_leaves_what_was_acknowledged() {
    for life in 0..60 {
        let shelf = MemoryShelf::default();
        shelf.life.set(life);
        let mut acknowledged = None;
        let mut written = vec![];
        for session in 0..3_u64 {
            let (mut keeper, _) = named(&shelf, &format!("page {session}"));
            for step in 0..4_u64 {
                let state = noted(&bench(), &format!("{session}.{step}"));
                let now = Stamp(NOW.0 + (4 * session + step) * backups::EVERY_MS);
                written.push(state.clone());
                if keeper.save(&state, now).is_ok() {
                    acknowledged = Some(state);
                }
            }
        }
        shelf.life.set(usize::MAX);
        let opening = open(&shelf).1;
        match acknowledged {
            Some(state) => assert_eq!(opening, Opening::Loaded(state), "died after {life}"),
            None => assert!(
                opening == Opening::Fresh
                    || written.iter().any(|s| opening == Opening::Loaded(s.clone()))
            ),
        }
    }
}

#[test]
fn two_pages_never_write_over_each_other() {
    let shelf = MemoryShelf::default();
    let (mut one, _) = named(&shelf, "1");
    one.save(&bench(), NOW).unwrap();
    let (mut two, _) = named(&shelf, "2");
    let mut here = bench();
    here.set_mut(here.sets[0].id).unwrap().part_mut("C1").measured = "0.047".into();
    one.save(&here, NOW).unwrap();
    let joined = two.save(&noted(&bench(), "from two"), NOW).unwrap().expect("both wrote");
    assert_eq!(joined.bench.sets[0].part("C1").measured, "0.047");
    assert_eq!(joined.bench.sets[0].notes, "from two");
    assert_eq!(open(&shelf).1, Opening::Loaded(joined.bench.clone()));
    let Looked::Joined(seen) = one.look(&here).unwrap() else { panic!("one sees what two wrote") };
    assert_eq!(seen.bench, joined.bench);
    assert_eq!(one.look(&here).unwrap(), Looked::Same);
}

#[test]
fn a_write_that_crossed_another_is_found_again() {
    // Both pages look, then both write: the second lies over the first.
    let shelf = MemoryShelf::default();
    let (mut one, _) = named(&shelf, "1");
    one.save(&bench(), NOW).unwrap();
    let (mut two, _) = named(&shelf, "2");
    let before = shelf.items.borrow()[KEY].clone();
    let mut here = bench();
    here.set_mut(here.sets[0].id).unwrap().part_mut("C1").measured = "0.047".into();
    one.save(&here, NOW).unwrap();
    shelf.items.borrow_mut().insert(KEY.to_owned(), before);
    for note in ["first", "second", "third"] {
        assert_eq!(two.save(&noted(&bench(), note), NOW), Ok(None));
    }
    let Looked::Joined(joined) = one.look(&here).unwrap() else { panic!("two has written") };
    assert_eq!(joined.bench.sets[0].part("C1").measured, "0.047");
    assert_eq!(joined.bench.sets[0].notes, "third");
    one.save(&joined.bench, NOW).unwrap();
    let Looked::Joined(seen) = two.look(&noted(&bench(), "third")).unwrap() else { panic!("seen") };
    assert_eq!(seen.bench, joined.bench);
}

#[test]
fn of_a_clash_the_other_side_lies_among_the_backups() {
    let shelf = MemoryShelf::default();
    let (mut one, _) = named(&shelf, "1");
    one.save(&bench(), NOW).unwrap();
    let (mut two, _) = named(&shelf, "2");
    one.save(&noted(&bench(), "one"), NOW).unwrap();
    let joined = two.save(&noted(&bench(), "two"), NOW).unwrap().expect("both wrote");
    assert_eq!(joined.bench.sets[0].notes, "two");
    assert_eq!(joined.clashes, ["A: notes"]);
    let newest = backups::list(&&shelf).unwrap()[0];
    let kept = envelope::read(&backups::read(&&shelf, newest).unwrap().unwrap()).unwrap();
    assert_eq!(kept.sets[0].notes, "one");
}

#[test]
fn what_a_newer_page_saved_meanwhile_is_not_written_over() {
    let shelf = MemoryShelf::default();
    let (mut keeper, _) = open(&shelf);
    keeper.save(&bench(), NOW).unwrap();
    let newer = r#"{"type":"firstglow-bench","version":9,"data":{}}"#;
    (&shelf).set(KEY, newer).unwrap();
    let why = ReadError::Newer { found: 9 };
    assert_eq!(
        keeper.save(&noted(&bench(), "x"), NOW),
        Err(SaveError::Foreign { raw: newer.into(), why })
    );
    assert_eq!(shelf.items.borrow()[KEY], newer);
}

#[test]
fn a_cleared_shelf_is_told_and_filled_again() {
    let shelf = MemoryShelf::default();
    let (mut keeper, _) = open(&shelf);
    keeper.save(&bench(), NOW).unwrap();
    shelf.items.borrow_mut().clear();
    assert_eq!(keeper.look(&bench()).unwrap(), Looked::Cleared);
    keeper.save(&bench(), NOW).unwrap();
    assert_eq!(open(&shelf).1, Opening::Loaded(bench()));
}
