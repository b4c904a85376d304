//! How the bench is saved: onto the shelf at once, where other pages see it,
//! and into the browser's database, which says when it lies on the disk. Only
//! then it is called saved ([`crate::store::disk`]). Where the shelf is full, the
//! database takes it alone.

use super::browser;
use super::browser::database::DatabaseError;
use super::browser::disk::{self, Laid};
use super::browser::persist::{self, Lasting};
use super::state::App;
use crate::sheet::history::Change;
use crate::store::envelope::ReadError;
use crate::store::join::Joined;
use crate::store::keeper::{Keeper, Looked, SaveError};
use crate::store::trail::Trail;
use crate::ui::leptos::prelude::{TimeoutHandle, set_timeout_with_handle};
use crate::ui::leptos::task::spawn_local;
use crate::ui::view::prelude::*;
use std::time::Duration;

/// A change lies on the shelf after this long at the latest.
const SAVE_AFTER: Duration = Duration::from_millis(500);
/// A database that has not answered after this long counts as none.
const PATIENCE: Duration = Duration::from_secs(10);

/// How saving stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Saving {
    /// All is saved.
    Saved,
    /// All lies in the database alone, and why the shelf did not take it.
    Apart(String),
    /// A change is on its way.
    Pending,
    /// It did not work, and why.
    Failed(String),
    /// Saved data could not be read: the data, and why.
    Refused(String, String),
}

/// Whether what is saved lies on the disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Disk {
    /// It does, as soon as it is called saved.
    Keeps,
    /// The browser has it, and writes it down in its own time: the database
    /// does not work.
    Fails(DatabaseError),
    /// The same: the database does not answer.
    Silent,
}

/// What the page is doing with the database.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Copying {
    /// It waits for what lies there. Nothing is written before.
    Reading,
    /// Nothing.
    Idle,
    /// It copies, and goes on until all is there.
    Writing,
}

impl App {
    /// Saves now, if anything is to be saved.
    pub fn save_now(self) {
        if let Some(timer) = self.save_timer.try_update_value(Option::take).flatten() {
            timer.clear();
            self.save();
        }
    }

    /// Tries to save again.
    pub fn save(self) {
        if self.is_refused() {
            return;
        }
        // What another page did comes first: it must not be lost where saving fails.
        let look = |keeper: &mut Keeper<_>| self.bench.with_untracked(|b| keeper.look(b));
        if let Some(Ok(Looked::Joined(joined))) = self.keeper.try_update_value(look) {
            self.take_over(*joined);
        }
        let now = browser::now();
        let save = |keeper: &mut Keeper<_>| self.bench.with_untracked(|b| keeper.save(b, now));
        match self.keeper.try_update_value(save) {
            Some(Ok(joined)) => {
                if let Some(joined) = joined {
                    self.take_over(*joined);
                }
                self.saving.set(Saving::Pending);
                self.ask_for_lasting();
                self.copy_to_disk();
            }
            // The database has room of its own.
            Some(Err(SaveError::Shelf(_))) if self.is_apart() => {
                self.saving.set(Saving::Pending);
                self.copy_to_disk();
            }
            Some(Err(error)) => self.not_saved(error),
            None => {}
        }
    }

    /// Writes what is not written yet: the page may not come back.
    pub fn hide(self) {
        self.save_now();
        if self.saving.with_untracked(|saving| matches!(saving, Saving::Failed(_))) {
            self.save();
        }
    }

    /// Whether the page holds something that is kept nowhere else. What lies on
    /// the shelf outlasts the page.
    pub fn has_unsaved(self) -> bool {
        let is_changed = |keeper: &Keeper<_>| self.bench.with_untracked(|b| b != keeper.last());
        match self.saving.get_untracked() {
            Saving::Saved | Saving::Apart(_) => false,
            Saving::Pending => self.is_apart() || self.save_timer.with_value(Option::is_some),
            Saving::Failed(_) | Saving::Refused(..) => self.keeper.with_value(is_changed),
        }
    }

    /// Whether the shelf did not take what was saved last.
    fn is_apart(self) -> bool {
        self.keeper.with_value(|keeper| keeper.apart().is_some())
    }

    /// Saves after a moment, with what else is changed until then.
    pub(super) fn save_soon(self) {
        if self.is_refused() || self.save_timer.with_value(Option::is_some) {
            return;
        }
        if self.saving.with_untracked(|s| matches!(s, Saving::Saved | Saving::Apart(_))) {
            self.saving.set(Saving::Pending);
        }
        let handle = set_timeout_with_handle(move || self.save_now(), SAVE_AFTER).ok();
        self.save_timer.set_value(handle);
    }

    /// Looks whether another page of this browser has saved something, and
    /// takes it over.
    pub fn look(self) {
        if self.is_refused() {
            return;
        }
        let look = |keeper: &mut Keeper<_>| self.bench.with_untracked(|b| keeper.look(b));
        match self.keeper.try_update_value(look) {
            Some(Ok(Looked::Joined(joined))) => {
                self.take_over(*joined);
                let is_saved = |keeper: &Keeper<_>| self.bench.with_untracked(|b| keeper.has(b));
                if self.keeper.with_value(is_saved) {
                    // What is seen here as saved is to lie on the disk too.
                    self.saving.set(Saving::Pending);
                    self.copy_to_disk();
                } else {
                    self.save_soon();
                }
            }
            Some(Ok(Looked::Cleared)) => {
                if self.bench.with_untracked(|bench| !bench.sets.is_empty()) {
                    self.say(
                        "The browser’s storage was cleared. What this page holds is saved again.",
                        None,
                    );
                    self.save_soon();
                }
            }
            // An error of the shelf is told when something is to be saved.
            Some(Err(error @ SaveError::Foreign { .. })) => self.not_saved(error),
            Some(Ok(Looked::Same) | Err(_)) | None => {}
        }
    }

    /// Reads what lies in the database, takes in what the shelf has lost, and
    /// copies to it from then on.
    pub fn open_disk(self) {
        let patience = self.be_patient();
        spawn_local(async move {
            match disk::read().await {
                Ok(found) => {
                    self.disk.set(Disk::Keeps);
                    if let Some(raw) = found
                        && self.take_in(&raw).await
                    {
                        self.say(
                            "The browser’s first copy lacked the last changes. They were brought \
                             back from the second copy that Firstglow keeps in it.",
                            None,
                        );
                    }
                }
                Err(error) => self.disk.set(Disk::Fails(error)),
            }
            patience.inspect(TimeoutHandle::clear);
            self.copying.set_value(Copying::Idle);
            self.copy_to_disk();
        });
    }

    /// Copies what lies on the shelf to the database, until all is there.
    fn copy_to_disk(self) {
        if self.copying.get_value() != Copying::Idle {
            if self.disk.get_untracked() == Disk::Silent {
                self.all_is_saved();
            }
            return;
        }
        self.copying.set_value(Copying::Writing);
        let patience = self.be_patient();
        spawn_local(async move {
            while let Some((text, trail)) = self.laid() {
                match disk::lay(&text, &trail).await {
                    Ok(Laid::There) => {
                        self.disk.set(Disk::Keeps);
                        if self.has_laid(&trail) {
                            break;
                        }
                    }
                    Ok(Laid::Look(raw)) => {
                        self.take_in(&raw).await;
                        if self.has_laid(&trail) {
                            // What was joined before is still to be saved.
                            self.save();
                        }
                        if self.has_laid(&trail) {
                            break;
                        }
                    }
                    Err(error) => {
                        self.disk.set(Disk::Fails(error));
                        break;
                    }
                }
            }
            patience.inspect(TimeoutHandle::clear);
            self.copying.set_value(Copying::Idle);
            self.all_is_saved();
        });
    }

    /// What lies on the shelf and is to be copied, and the writes that it holds.
    fn laid(self) -> Option<(String, Trail)> {
        self.keeper.with_value(|keeper| {
            keeper.laid().map(|(text, trail)| (text.to_owned(), trail.clone()))
        })
    }

    /// Whether the shelf still holds the document of these writes.
    fn has_laid(self, trail: &Trail) -> bool {
        let is_it = |(_, now): (&str, &Trail)| now == trail;
        self.keeper.with_value(|keeper| keeper.laid().is_some_and(is_it))
    }

    /// Says so, unless something was changed meanwhile.
    fn all_is_saved(self) {
        let is_pending = self.saving.with_untracked(|saving| *saving == Saving::Pending);
        if !is_pending || self.save_timer.with_value(Option::is_some) {
            return;
        }
        let apart = self.keeper.with_value(Keeper::apart);
        self.saving.set(match (apart, self.disk.get_untracked()) {
            (None, _) => Saving::Saved,
            (Some(why), Disk::Keeps) => Saving::Apart(why.to_string()),
            (Some(why), Disk::Fails(too)) => {
                Saving::Failed(format!("{why}. Its database does not take it either: {too}"))
            }
            (Some(why), Disk::Silent) => {
                Saving::Failed(format!("{why}, and its database does not answer"))
            }
        });
    }

    /// Waits for the database, but not for ever.
    fn be_patient(self) -> Option<TimeoutHandle> {
        let lost = move || {
            self.disk.set(Disk::Silent);
            self.all_is_saved();
        };
        set_timeout_with_handle(lost, PATIENCE).ok()
    }

    /// Takes in what lies in the database. Says whether there is
    /// something to tell of it.
    async fn take_in(self, raw: &str) -> bool {
        let now = browser::now();
        let take =
            |keeper: &mut Keeper<_>| self.bench.with_untracked(|b| keeper.take_in(raw, b, now));
        match self.keeper.try_update_value(take) {
            Some(Ok(Some(joined))) => {
                // A clash has its own message.
                let to_tell = joined.clashes.is_empty()
                    && self.bench.with_untracked(|bench| *bench != joined.bench);
                self.take_over(*joined);
                self.save();
                to_tell
            }
            Some(Err(error @ SaveError::Foreign { why: ReadError::Newer { .. }, .. })) => {
                self.not_saved(error);
                false
            }
            Some(Err(SaveError::Foreign { why, .. })) => {
                // What is damaged stays for whoever can mend it.
                if let Err(error) = disk::set_aside(now).await {
                    self.disk.set(Disk::Fails(error));
                }
                self.say(
                    format!("The second copy of the bench was damaged and set aside. {why}"),
                    None,
                );
                false
            }
            Some(Ok(None)) if self.is_refused() => {
                // There is a backup more to go on from.
                self.saving.update(|_| {});
                false
            }
            Some(Ok(None) | Err(_)) | None => false,
        }
    }

    fn not_saved(self, error: SaveError) {
        self.saving.set(match error {
            SaveError::Foreign { raw, why } => Saving::Refused(raw, why.to_string()),
            error => Saving::Failed(error.to_string()),
        });
    }

    fn is_refused(self) -> bool {
        self.saving.with_untracked(|saving| matches!(saving, Saving::Refused(..)))
    }

    /// Puts what this page and another one did in the place of the bench.
    fn take_over(self, joined: Joined) {
        let Joined { bench, renumbered, clashes } = joined;
        let now = i64::try_from(browser::now().0).unwrap_or(i64::MAX);
        self.histories.update_value(|all| {
            for (from, to) in &renumbered {
                if let Some(history) = all.remove(from) {
                    all.insert(*to, history);
                }
            }
            // What the other page wrote can be undone like what was written here.
            for (id, history) in all.iter_mut() {
                if let Some(set) = bench.set(*id) {
                    history.record(set.text.as_str(), Change::Step, now);
                }
            }
        });
        let moved = renumbered.iter().find(|(from, _)| self.open.is(*from)).copied();
        if self.bench.with_untracked(|old| *old != bench) {
            self.bench.set(bench);
        }
        if let Some((_, to)) = moved {
            let route = self.route.get_untracked().of_set(to);
            self.route.set(route);
            browser::replace(route);
        }
        if !clashes.is_empty() {
            let what = clashes.join("; ");
            self.say(
                format!(
                    "Another page changed the same: {what}. What stands here was kept; what \
                     stood there is among the backups."
                ),
                None,
            );
        }
    }

    /// Asks the browser once, when there is something to keep.
    fn ask_for_lasting(self) {
        let unasked = self.lasting.with_untracked(|l| *l == Lasting::Unasked);
        if unasked && self.bench.with_untracked(|bench| !bench.sets.is_empty()) {
            self.lasting.set(Lasting::Asked);
            spawn_local(async move { self.lasting.set(persist::ask().await) });
        }
    }

    /// Keeps the bench as it stands among the backups.
    pub fn back_up(self) {
        let now = browser::now();
        let keep =
            |keeper: &mut Keeper<_>| self.bench.with_untracked(|b| keeper.back_up_now(b, now));
        // Without room there is no backup; the bench itself is what counts.
        let _ = self.keeper.try_update_value(keep);
    }

    /// Sets data that cannot be read aside and saves from then on.
    pub fn set_aside(self) {
        let aside = self.keeper.try_update_value(|keeper| keeper.set_aside(browser::now()));
        match aside {
            Some(Ok(())) => {
                self.saving.set(Saving::Pending);
                self.copying.set_value(Copying::Reading);
                self.save();
                spawn_local(async move {
                    // The copy too: it may be the better one of the two.
                    if let Err(error) = disk::set_aside(browser::now()).await {
                        self.disk.set(Disk::Fails(error));
                    }
                    self.copying.set_value(Copying::Idle);
                    self.copy_to_disk();
                });
            }
            Some(Err(error)) => self.say(format!("It could not be set aside: {error}."), None),
            None => {}
        }
    }
}
