//! The shelf and the copy on the disk, through every kind of death.

use super::tests::{NOW, bench, named, noted};
use super::*;
use crate::bench::set::SetRecord;
use crate::store::disk::{Verdict, verdict};
use crate::store::shelf::memory::MemoryShelf;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};
use std::collections::BTreeMap;

/// A page that saves to a shelf and to the database.
fn saved_twice(keeper: &mut Keeper<&MemoryShelf>, disk: &mut Option<String>, bench: &Bench) {
    keeper.save(bench, NOW).unwrap();
    let (text, trail) = keeper.laid().unwrap();
    match verdict(disk.as_deref(), trail) {
        Verdict::Lay => *disk = Some(text.to_owned()),
        Verdict::There => {}
        Verdict::Look => panic!("there is nothing to be joined"),
    }
}

#[test]
fn what_the_shelf_has_lost_is_taken_from_the_disk() {
    for was_ever_written_down in [false, true] {
        let shelf = MemoryShelf::default();
        let mut disk = None;
        let (mut keeper, _) = named(&shelf, "1");
        saved_twice(&mut keeper, &mut disk, &bench());
        let before = shelf.items.borrow().clone();
        saved_twice(&mut keeper, &mut disk, &noted(&bench(), "last"));
        *shelf.items.borrow_mut() = if was_ever_written_down { before } else { BTreeMap::new() };
        let (mut again, opening) = named(&shelf, "2");
        let mut here = if let Opening::Loaded(bench) = opening { bench } else { Bench::default() };
        assert_eq!(here.sets.len(), usize::from(was_ever_written_down));
        // What is typed before the disk has answered stays.
        here.add("set B", Stamp(9));
        let joined = again.take_in(disk.as_ref().unwrap(), &here, NOW).unwrap().expect("news");
        let said: Vec<_> = joined.bench.sets.iter().map(|s| (s.name(), s.notes.clone())).collect();
        assert!(said.contains(&("A".into(), "last".into())), "{said:?}");
        assert!(said.contains(&("B".into(), String::new())), "{said:?}");
        assert!(joined.clashes.is_empty(), "{:?}", joined.clashes);
        saved_twice(&mut again, &mut disk, &joined.bench);
        let (mut third, opening) = named(&shelf, "3");
        assert_eq!(opening, Opening::Loaded(joined.bench.clone()));
        assert_eq!(third.take_in(disk.as_ref().unwrap(), &joined.bench, NOW), Ok(None));
    }
}

/// What may happen to a shelf, a disk and two pages.
#[derive(Debug, Clone, Copy)]
enum Event {
    /// A page adds a set and puts the bench on the shelf.
    Save(usize),
    /// A page looks what lies on the shelf, and does not save yet.
    Look(usize),
    /// A page copies what it put there to the disk, and calls it saved.
    Copy(usize),
    /// The browser writes the shelf down.
    Flush,
    /// The browser is killed, and both pages open again.
    Kill,
}

/// A page: its keeper, its bench, and the sets that it may call saved next.
struct Open<'s> {
    keeper: Keeper<&'s MemoryShelf>,
    bench: Bench,
}

fn opened<'s>(shelf: &'s MemoryShelf, disk: &mut Option<String>, name: &str) -> Open<'s> {
    let (keeper, opening) = named(shelf, name);
    let bench = if let Opening::Loaded(bench) = opening { bench } else { Bench::default() };
    let mut page = Open { keeper, bench };
    if let Some(raw) = disk.clone() {
        look_at_disk(&mut page, &raw);
    }
    page
}

fn look_at_disk(page: &mut Open, raw: &str) {
    if let Some(joined) = page.keeper.take_in(raw, &page.bench, NOW).unwrap() {
        page.bench = joined.bench;
        save(page);
    }
}

fn save(page: &mut Open) {
    if let Some(joined) = page.keeper.save(&page.bench, NOW).unwrap() {
        page.bench = joined.bench;
    }
}

/// The document of the page lies on the disk, or one that goes on from it.
fn copy(page: &mut Open, disk: &mut Option<String>) {
    loop {
        let Some((text, trail)) = page.keeper.laid() else { return };
        match verdict(disk.as_deref(), trail) {
            Verdict::Lay => *disk = Some(text.to_owned()),
            Verdict::There => {}
            Verdict::Look => {
                let (raw, before) = (disk.clone().unwrap(), trail.clone());
                look_at_disk(page, &raw);
                if page.keeper.laid().is_some_and(|(_, now)| *now == before) {
                    save(page);
                }
                continue;
            }
        }
        return;
    }
}

fn names(bench: &Bench) -> Vec<String> {
    bench.sets.iter().map(SetRecord::name).collect()
}

proptest! {
    #![proptest_config(Config {
        cases: 500,
        rng_seed: RngSeed::Fixed(1947),
        failure_persistence: None,
        ..Config::default()
    })]

    #[test]
    fn whatever_two_pages_called_saved_outlasts_any_kill(
        events in prop::collection::vec(prop_oneof![
            4 => (0_usize..2).prop_map(Event::Save),
            3 => (0_usize..2).prop_map(Event::Copy),
            2 => (0_usize..2).prop_map(Event::Look),
            1 => Just(Event::Flush),
            1 => Just(Event::Kill),
        ], 1..40)
    ) {
        let shelf = MemoryShelf::default();
        let (mut disk, mut flushed) = (None, BTreeMap::new());
        let mut promised: Vec<String> = Vec::new();
        let mut count = 0_u64;
        let mut fresh = |disk: &mut Option<String>| {
            count += 1;
            opened(&shelf, disk, &format!("{count:03}"))
        };
        let mut pages = [fresh(&mut disk), fresh(&mut disk)];
        for (event, at) in events.into_iter().chain([Event::Kill]).zip(100_u64..) {
            match event {
                Event::Save(n) => {
                    pages[n].bench.add(&format!("set {at}"), Stamp(at));
                    save(&mut pages[n]);
                }
                Event::Copy(n) => {
                    copy(&mut pages[n], &mut disk);
                    // What was only looked at is still to be saved.
                    if pages[n].keeper.has(&pages[n].bench) {
                        promised.extend(names(&pages[n].bench));
                    }
                }
                Event::Look(n) => {
                    let Open { keeper, bench } = &mut pages[n];
                    if let Looked::Joined(joined) = keeper.look(bench).unwrap() {
                        *bench = joined.bench;
                    }
                }
                Event::Flush => flushed.clone_from(&shelf.items.borrow()),
                Event::Kill => {
                    shelf.items.borrow_mut().clone_from(&flushed);
                    pages = [fresh(&mut disk), fresh(&mut disk)];
                    let found = names(&pages[0].bench);
                    for name in &promised {
                        prop_assert!(found.contains(name), "{name} is gone: {found:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn an_older_copy_on_the_disk_brings_nothing_back() {
    let shelf = MemoryShelf::default();
    let mut disk = None;
    let (mut keeper, _) = named(&shelf, "1");
    saved_twice(&mut keeper, &mut disk, &bench());
    keeper.save(&Bench::default(), NOW).unwrap();
    let (mut again, opening) = named(&shelf, "2");
    assert_eq!(opening, Opening::Loaded(Bench::default()));
    assert_eq!(again.take_in(disk.as_ref().unwrap(), &Bench::default(), NOW), Ok(None));
}

#[test]
fn copies_of_two_lives_keep_what_either_has() {
    let shelf = MemoryShelf::default();
    let mut disk = None;
    let (mut one, _) = named(&shelf, "1");
    saved_twice(&mut one, &mut disk, &bench());
    let before = shelf.items.borrow()[KEY].clone();
    let mut more = bench();
    more.add("set Only on the disk", Stamp(8));
    saved_twice(&mut one, &mut disk, &more);
    // The shelf falls back, and a page writes before the disk has answered; it
    // dies, and the next page opens.
    shelf.items.borrow_mut().insert(KEY.to_owned(), before);
    let mut other = bench();
    other.add("set Only on the shelf", Stamp(9));
    named(&shelf, "2").0.save(&other, NOW).unwrap();
    let (mut third, _) = named(&shelf, "3");
    let joined = third.take_in(disk.as_ref().unwrap(), &other, NOW).unwrap().expect("news");
    let mut names: Vec<String> = joined.bench.sets.iter().map(SetRecord::name).collect();
    names.sort();
    assert_eq!(names, ["A", "Only on the disk", "Only on the shelf"]);
}

#[test]
fn beside_a_shelf_that_cannot_be_read_the_disk_becomes_a_backup() {
    let shelf = MemoryShelf::default();
    let mut disk = None;
    let (mut keeper, _) = named(&shelf, "1");
    saved_twice(&mut keeper, &mut disk, &noted(&bench(), "last"));
    (&shelf).set(KEY, "half a docu").unwrap();
    let (mut again, _) = named(&shelf, "2");
    assert_eq!(again.take_in(disk.as_ref().unwrap(), &Bench::default(), NOW), Ok(None));
    assert_eq!(again.laid(), None);
    let newest = backups::list(&&shelf).unwrap()[0];
    let kept = envelope::read(&backups::read(&&shelf, newest).unwrap().unwrap()).unwrap();
    assert_eq!(kept, noted(&bench(), "last"));
    again.set_aside(NOW).unwrap();
    saved_twice(&mut again, &mut disk, &kept);
    assert!(again.take_in("half a docu", &kept, NOW).is_err());
}
