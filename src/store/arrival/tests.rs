use super::*;
use crate::store::merge::Moved;
use crate::store::shelf::memory::MemoryShelf;

const SHEET: &str = "set Kitchen set\nC1 .05 400 V\nC2 .1 200 V\n";

fn bench() -> (Bench, SetId) {
    let mut bench = Bench::default();
    let id = bench.add(SHEET, Stamp(1));
    (bench, id)
}

/// Sends a set from one bench: what arrives, after both have noted it.
fn sent(from: &mut Bench, id: SetId, shelf: &MemoryShelf) -> SetRecord {
    let set = from.set_mut(id).unwrap();
    note_shared(set);
    remember(&shelf, set, Stamp(5)).unwrap();
    set.clone()
}

fn by_default(_: usize, found: &Difference) -> Side {
    found.side
}

#[test]
fn a_set_that_went_and_came_back_is_merged_against_where_it_set_out() {
    let (mut laptop, id) = bench();
    let shelf = MemoryShelf::default();
    let mut phone = Bench::default();
    let there = phone.bring_back(sent(&mut laptop, id, &shelf));
    // Both go on: the laptop takes a line out, the phone checks a part off.
    laptop.set_mut(id).unwrap().text = SHEET.replace("C2 .1 200 V\n", "");
    phone.set_mut(there).unwrap().part_mut("C1").done_at = Some(Stamp(9));
    let (here, came) = (laptop.set(id).unwrap(), phone.set(there).unwrap());
    assert_eq!(standing(&laptop, came), Standing::Differs(id));
    let base = common(&&shelf, here, came);
    let found = reconcile(base.as_ref(), here, came, &by_default);
    assert_eq!(found.record.text, "set Kitchen set\nC1 .05 400 V\n");
    assert_eq!(found.record.part("C1").done_at, Some(Stamp(9)));
    // Without that state the line taken out looks like one that was added.
    let found = reconcile(None, here, came, &by_default);
    assert!(found.record.text.contains("C2 .1 200 V"));
}

#[test]
fn every_difference_can_be_chosen_one_by_one() {
    let (mut laptop, id) = bench();
    let mut came = laptop.set(id).unwrap().clone();
    came.text = came.text.replace("C1 .05 400 V", "C1 .05 600 V");
    came.part_mut("C2").measured = "0.11".into();
    laptop.set_mut(id).unwrap().part_mut("C2").measured = "0.1".into();
    let here = laptop.set(id).unwrap();
    let paths =
        |found: &Reconciled| found.differences.iter().map(|d| d.path.join(".")).collect::<Vec<_>>();
    let found = reconcile(None, here, &came, &by_default);
    assert_eq!(paths(&found), ["parts.C2.measured", "text.C1"]);
    assert!(found.differences.iter().all(|d| d.moved == Moved::Both));
    assert!(found.record.same_content(here));
    let second = |at: usize, _: &Difference| if at == 1 { Side::There } else { Side::Here };
    let found = reconcile(None, here, &came, &second);
    assert_eq!(found.record.part("C2").measured, "0.1");
    assert!(found.record.text.contains("C1 .05 600 V"));
}

#[test]
fn no_check_and_no_reading_is_lost_whatever_the_other_side_lacks() {
    let (laptop, id) = bench();
    let mut here = laptop.set(id).unwrap().clone();
    let mut there = here.clone();
    for (set, part, step) in [(&mut here, "C1", "look"), (&mut there, "C2", "lamp")] {
        set.part_mut(part).done_at = Some(Stamp(3));
        set.part_mut(part).readings.insert("leakage".into(), "12 µA".into());
        set.step_mut(step).readings.insert("volts".into(), "117".into());
        set.step_mut(step).skipped_at = Some(Stamp(4));
    }
    here.notes = "mine".into();
    let found = reconcile(None, &here, &there, &by_default).record;
    for (part, step) in [("C1", "look"), ("C2", "lamp")] {
        assert_eq!(found.part(part).done_at, Some(Stamp(3)));
        assert_eq!(found.part(part).readings["leakage"], "12 µA");
        assert_eq!(found.step(step).readings["volts"], "117");
        assert_eq!(found.step(step).skipped_at, Some(Stamp(4)));
    }
    assert_eq!(found.notes, "mine");
}

#[test]
fn number_and_place_on_the_bench_are_this_device_s_own() {
    let (mut laptop, id) = bench();
    laptop.move_to(id, Life::Archived);
    let mut came = laptop.set(id).unwrap().clone();
    came.id = SetId(99);
    came.life = Life::Active;
    came.notes = "x".into();
    let found = reconcile(None, laptop.set(id).unwrap(), &came, &by_default);
    assert_eq!((found.record.id, found.record.life), (id, Life::Archived));
    assert_eq!(found.differences.len(), 1);
}

#[test]
fn a_mark_is_of_what_was_done_and_not_of_when_or_where() {
    let (bench, id) = bench();
    let set = bench.set(id).unwrap();
    let other = SetRecord { id: SetId(9), changed: Stamp(8), life: Life::Archived, ..set.clone() };
    assert_eq!(mark(set), mark(&other));
    assert_ne!(mark(set), mark(&SetRecord { notes: "x".into(), ..set.clone() }));
}

#[test]
fn remembered_states_are_bounded() {
    let shelf = MemoryShelf::default();
    let (bench, id) = bench();
    for n in 0..100_u64 {
        let notes = format!("{n}{}", " ".repeat(30_000));
        let set = SetRecord { notes, ..bench.set(id).unwrap().clone() };
        remember(&&shelf, &set, Stamp(n)).unwrap();
    }
    let held: usize = shelf.items.borrow().values().map(String::len).sum();
    assert!(held <= MOST_ROOM + 40_000, "{held}");
    assert!(shelf.items.borrow().len() <= MOST);
    assert_eq!(dated::list(&&shelf, SHARED).unwrap()[0].at, Stamp(99));
}

#[test]
fn a_remembered_state_that_was_damaged_is_not_used() {
    let shelf = MemoryShelf::default();
    let (mut laptop, id) = bench();
    let came = sent(&mut laptop, id, &shelf);
    assert!(common(&&shelf, laptop.set(id).unwrap(), &came).is_some());
    for text in shelf.items.borrow_mut().values_mut() {
        *text = text.replace(".05", ".06");
    }
    assert!(common(&&shelf, laptop.set(id).unwrap(), &came).is_none());
}
