//! Dated copies of the last good states, beside the saved bench: many of the
//! last hour, fewer of the days before, bounded in number and in room.
//!
//! They give way to the bench: where storage is full, the oldest go first.

use super::dated;
use super::envelope;
use super::shelf::{Shelf, ShelfError};
use crate::bench::Bench;
use crate::bench::stamp::Stamp;

/// What the keys of backups begin with; the moment follows.
pub const PREFIX: &str = "firstglow/bench/backup/";

/// A backup is made when the last one is older than this, in milliseconds.
pub const EVERY_MS: u64 = 10 * MINUTE;
/// The most backups kept.
const MOST: usize = 24;
/// The most characters that all of them take. Browsers give a page about five
/// million.
const MOST_ROOM: usize = 1_500_000;

const MINUTE: u64 = 60_000;
const HOUR: u64 = 60 * MINUTE;
const DAY: u64 = 24 * HOUR;

/// Up to an age, one backup is kept for each stretch of so many milliseconds.
const STRETCHES: [(u64, u64); 4] =
    [(HOUR, 10 * MINUTE), (DAY, 2 * HOUR), (14 * DAY, DAY), (u64::MAX, 30 * DAY)];

/// The moments of all backups, the newest first.
///
/// # Errors
/// [`ShelfError`] when the shelf cannot be read.
pub fn list(shelf: &impl Shelf) -> Result<Vec<Stamp>, ShelfError> {
    Ok(dated::list(shelf, PREFIX)?.into_iter().map(|dated| dated.at).collect())
}

/// The document of a backup.
///
/// # Errors
/// [`ShelfError`] when the shelf cannot be read.
pub fn read(shelf: &impl Shelf, at: Stamp) -> Result<Option<String>, ShelfError> {
    shelf.get(&key(at))
}

/// Keeps a state, unless it is empty or the newest backup says the same, and
/// thins out the older ones.
///
/// # Errors
/// [`ShelfError`] when there is no room for it; the older ones stay.
pub fn keep(shelf: &impl Shelf, bench: &Bench, now: Stamp) -> Result<(), ShelfError> {
    let Ok(text) = envelope::write(bench) else { return Ok(()) };
    if bench.sets.is_empty() || text.len() > MOST_ROOM {
        return Ok(());
    }
    let newest = list(shelf)?.first().map(|at| read(shelf, *at)).transpose()?.flatten();
    if newest.as_deref() == Some(&text) {
        return Ok(());
    }
    shelf.set(&key(now), &text)?;
    thin(shelf, now)
}

fn key(at: Stamp) -> String {
    format!("{PREFIX}{}", at.0)
}

fn thin(shelf: &impl Shelf, now: Stamp) -> Result<(), ShelfError> {
    let all = list(shelf)?;
    let kept = kept(&all, now);
    let mut room = 0;
    for at in all {
        let size = read(shelf, at)?.map_or(0, |text| text.len());
        if kept.contains(&at) && room + size <= MOST_ROOM {
            room += size;
        } else {
            shelf.remove(&key(at))?;
        }
    }
    Ok(())
}

/// Which of these, the newest first, are kept: the newest of each stretch.
fn kept(all: &[Stamp], now: Stamp) -> Vec<Stamp> {
    let mut kept: Vec<Stamp> = Vec::new();
    let mut last = None;
    for at in all {
        let age = now.0.saturating_sub(at.0);
        let found = STRETCHES.iter().zip(0_u64..).find(|((up_to, _), _)| age < *up_to);
        let stretch = found.map(|((_, length), which)| (which, at.0 / length));
        if stretch != last && kept.len() < MOST {
            kept.push(*at);
        }
        last = stretch;
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::shelf::memory::MemoryShelf;

    const START: u64 = 1_700_000_000_000;

    fn bench(text: &str) -> Bench {
        let mut bench = Bench::default();
        bench.add(text, Stamp(0));
        bench
    }

    #[test]
    fn the_same_state_is_kept_once_and_an_empty_bench_never() {
        let shelf = MemoryShelf::default();
        keep(&&shelf, &Bench::default(), Stamp(1)).unwrap();
        keep(&&shelf, &bench("set A"), Stamp(2)).unwrap();
        keep(&&shelf, &bench("set A"), Stamp(3)).unwrap();
        assert_eq!(list(&&shelf).unwrap(), [Stamp(2)]);
        let text = read(&&shelf, Stamp(2)).unwrap().unwrap();
        assert_eq!(envelope::read(&text), Ok(bench("set A")));
    }

    #[test]
    fn two_years_of_work_leave_a_bounded_number_from_every_age() {
        let shelf = MemoryShelf::default();
        let mut now = START;
        // Every day, work for two hours, with a state kept each ten minutes.
        for day in 0..730_u64 {
            for step in 0..12_u64 {
                now = START + day * DAY + step * 10 * MINUTE;
                keep(&&shelf, &bench(&format!("set {now}")), Stamp(now)).unwrap();
            }
        }
        let all = list(&&shelf).unwrap();
        assert!(all.len() <= MOST, "{}", all.len());
        let ages = |most: u64| all.iter().filter(|at| now - at.0 < most).count();
        assert!((6..=7).contains(&ages(HOUR)), "{}", ages(HOUR));
        assert!(ages(14 * DAY) >= 14, "{}", ages(14 * DAY));
        assert!(all.len() > ages(14 * DAY), "nothing older than two weeks");
    }

    #[test]
    fn large_states_are_bounded_by_room() {
        let shelf = MemoryShelf::default();
        for n in 0..20_u64 {
            let large = format!("set {n}\n{}", "x".repeat(400_000));
            keep(&&shelf, &bench(&large), Stamp(START + n * 3 * HOUR)).unwrap();
        }
        let held: usize = shelf.items.borrow().values().map(String::len).sum();
        assert!(held <= MOST_ROOM, "{held}");
        assert_eq!(list(&&shelf).unwrap()[0], Stamp(START + 19 * 3 * HOUR));
    }

    #[test]
    fn the_oldest_gives_way_first() {
        let shelf = MemoryShelf::default();
        for n in 1..=3 {
            keep(&&shelf, &bench(&format!("set {n}")), Stamp(START + n * HOUR)).unwrap();
        }
        let give_way = || dated::give_way(&&shelf, PREFIX);
        assert!(give_way());
        assert_eq!(list(&&shelf).unwrap(), [Stamp(START + 3 * HOUR), Stamp(START + 2 * HOUR)]);
        assert!(give_way() && give_way() && !give_way());
    }
}
