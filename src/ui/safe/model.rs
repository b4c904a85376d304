//! What is said of backups, and when to remind of a file outside the browser.

use crate::bench::Bench;
use crate::bench::set::{Life, SetId, SetRecord};
use crate::bench::stamp::Stamp;
use crate::store::envelope;
use crate::ui::words::count;

/// A file older than this is old, in days.
const OLD_DAYS: u64 = 14;

const DAY_MS: u64 = 24 * 60 * 60 * 1000;

/// A set in a backup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptSet {
    /// Its number, on the bench of then.
    pub id: SetId,
    /// Its name.
    pub name: String,
    /// How it stands to the bench of now.
    pub standing: &'static str,
    /// Whether there is something to bring back.
    pub differs: bool,
}

/// The sets of a backup beside those of now.
///
/// # Errors
/// In words, why it cannot be read.
pub fn sets(text: Option<&str>, now: &Bench) -> Result<Vec<KeptSet>, String> {
    let text = text.ok_or("It is gone from the browser’s storage.")?;
    let kept = envelope::read(text).map_err(|why| why.to_string())?;
    Ok(kept.sets.iter().map(|set| kept_set(set, now)).collect())
}

fn kept_set(set: &SetRecord, now: &Bench) -> KeptSet {
    let (standing, differs) = match now.twin(set) {
        None => ("no longer on the bench", true),
        Some(twin) if !twin.same_content(set) => ("differs from the bench", true),
        Some(twin) if matches!(twin.life, Life::Deleted { .. }) => ("deleted since", true),
        Some(_) => ("as on the bench", false),
    };
    KeptSet { id: set.id, name: set.name(), standing, differs }
}

/// A reminder to save everything as a file: in words, or `None` where nothing
/// has changed since, or the last one is not old. `last` is when it was saved.
pub fn reminder(bench: &Bench, last: Option<Stamp>, now: Stamp) -> Option<String> {
    let sets = || bench.in_life(|life| !matches!(life, Life::Deleted { .. }));
    let newest = sets().map(|set| set.changed).max()?;
    let since = last.or_else(|| sets().map(|set| set.created).min())?;
    let days = now.0.saturating_sub(since.0) / DAY_MS;
    let changed = last.is_none_or(|last| newest > last);
    if days < OLD_DAYS || !changed {
        return None;
    }
    let days = usize::try_from(days).unwrap_or(usize::MAX);
    let age = count(days, "day", "days");
    Some(match last {
        Some(_) => format!("The last file with everything was saved {age} ago."),
        None => format!("Work of {age} lies in this browser alone."),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: Stamp = Stamp(100 * DAY_MS);

    fn bench(created: u64, changed: u64) -> Bench {
        let mut bench = Bench::default();
        let id = bench.add("set A", Stamp(created * DAY_MS));
        bench.set_mut(id).unwrap().changed = Stamp(changed * DAY_MS);
        bench
    }

    #[test]
    fn old_work_that_was_never_saved_outside_is_reminded_of() {
        assert_eq!(reminder(&Bench::default(), None, NOW), None);
        assert_eq!(reminder(&bench(95, 99), None, NOW), None);
        let words = reminder(&bench(60, 99), None, NOW).unwrap();
        assert_eq!(words, "Work of 40 days lies in this browser alone.");
    }

    #[test]
    fn a_file_is_old_only_if_something_changed_since() {
        let last = Some(Stamp(70 * DAY_MS));
        assert_eq!(reminder(&bench(10, 69), last, NOW), None);
        let words = reminder(&bench(10, 71), last, NOW).unwrap();
        assert_eq!(words, "The last file with everything was saved 30 days ago.");
        assert_eq!(reminder(&bench(10, 99), Some(Stamp(90 * DAY_MS)), NOW), None);
    }

    #[test]
    fn deleted_sets_need_no_file() {
        let mut deleted = bench(10, 71);
        let id = deleted.sets[0].id;
        deleted.move_to(id, Life::Deleted { at: NOW });
        assert_eq!(reminder(&deleted, None, NOW), None);
    }

    #[test]
    fn a_backup_tells_how_its_sets_stand_to_those_of_now() {
        let mut then = Bench::default();
        for (text, at) in [("set Same", 1), ("set Worked on", 2), ("set Gone", 3), ("set Out", 4)] {
            then.add(text, Stamp(at));
        }
        let mut now = then.clone();
        let id = |name: &str| then.sets.iter().find(|s| s.name() == name).map(|s| s.id).unwrap();
        now.set_mut(id("Worked on")).unwrap().notes = "later".into();
        for gone in ["Gone", "Out"] {
            now.move_to(id(gone), Life::Deleted { at: NOW });
        }
        now.purge(id("Gone"));
        let text = envelope::write(&then).unwrap();
        let found = sets(Some(&text), &now).unwrap();
        let said: Vec<_> = found.iter().map(|s| (s.name.as_str(), s.standing)).collect();
        assert_eq!(
            said,
            [
                ("Out", "deleted since"),
                ("Gone", "no longer on the bench"),
                ("Worked on", "differs from the bench"),
                ("Same", "as on the bench"),
            ]
        );
        assert!(sets(Some("half"), &now).is_err());
        assert!(sets(None, &now).is_err());
    }
}
