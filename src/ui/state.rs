//! The state that outlives every screen. It is made once, at the root: a
//! signal that a screen owns would be gone when the screen is.

use super::browser;
use super::browser::persist::Lasting;
use super::browser::shelf::BrowserShelf;
use super::open::Open;
use super::route::Route;
use super::saving::{Copying, Disk, Saving};
use crate::bench::Bench;
use crate::bench::set::{Life, SetId, SetRecord};
use crate::bench::stamp::Stamp;
use crate::bench::stock::StockLine;
use crate::sheet::history::{Change, History};
use crate::store::envelope;
use crate::store::keeper::{Keeper, Opening};
use crate::store::shelf::Shelf;
use crate::ui::leptos::prelude::{TimeoutHandle, set_timeout_with_handle};
use crate::ui::view::prelude::*;
use crate::ui::workshop::Workshop;
use std::collections::HashMap;
use std::time::Duration;

/// How long a message with an undo stays.
const TOAST_FOR: Duration = Duration::from_secs(12);
/// The longest sheet that is taken in, in bytes.
pub const MAX_SHEET: usize = 1_000_000;
const THEME_KEY: &str = "firstglow/theme";

/// What a message offers to take back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Undo {
    /// Puts a set back where it was.
    Move(SetId, Life),
    /// Takes the last change of a sheet back.
    Text(SetId),
    /// Puts the drawers back as they were.
    Stock,
}

/// A message at the edge of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Toast {
    /// What happened.
    pub text: String,
    /// What can be taken back.
    pub undo: Option<Undo>,
    /// The address it was said at; it ends where another is gone to.
    address: String,
}

/// Light, dark, or as the system has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// As the system has it.
    System,
    /// Ink on paper.
    Light,
    /// For the bench at night.
    Dark,
}

/// How the parts are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartsView {
    /// As text.
    Text,
    /// As a table of the same lines.
    Table,
}

/// All of the state.
#[derive(Debug, Clone, Copy)]
pub struct App {
    /// The bench.
    pub bench: RwSignal<Bench>,
    /// The address.
    pub route: RwSignal<Route>,
    /// How saving stands.
    pub saving: RwSignal<Saving>,
    /// The message shown.
    pub toast: RwSignal<Option<Toast>>,
    /// The colours.
    pub theme: RwSignal<Theme>,
    /// How the parts are shown.
    pub parts_view: RwSignal<PartsView>,
    /// The time, to the second while a hold is on screen.
    pub clock: RwSignal<Stamp>,
    /// The minutes that local time runs ahead of UTC.
    pub ahead: i32,
    /// Sets that came and are still to be looked at.
    pub arrival: RwSignal<Option<Bench>>,
    /// Whether the browser promised to keep the data.
    pub lasting: RwSignal<Lasting>,
    /// What works plans out and shows them.
    pub workshop: RwSignal<Workshop>,
    /// The open set.
    pub open: Open,
    /// The drawers as they were before their last change.
    pub stock_before: StoredValue<Vec<StockLine>>,
    /// Whether what is saved lies on the disk.
    pub disk: RwSignal<Disk>,
    pub(super) keeper: StoredValue<Keeper<BrowserShelf>>,
    pub(super) histories: StoredValue<HashMap<SetId, History>>,
    pub(super) save_timer: StoredValue<Option<TimeoutHandle>>,
    pub(super) copying: StoredValue<Copying>,
    toast_timer: StoredValue<Option<TimeoutHandle>>,
}

/// The state, from anywhere below the root.
pub fn app() -> App {
    expect_context::<App>()
}

impl App {
    /// Opens the storage and makes the state.
    pub fn open() -> Self {
        let (keeper, opening) = Keeper::open(BrowserShelf, browser::page_name(), browser::now());
        let (bench, saving) = match opening {
            Opening::Fresh => (Bench::default(), Saving::Saved),
            Opening::Loaded(bench) => (bench, Saving::Saved),
            Opening::Refused { raw, why } => {
                (Bench::default(), Saving::Refused(raw, why.to_string()))
            }
            Opening::Unkept(why) => (Bench::default(), Saving::Failed(why.to_string())),
        };
        let bench = RwSignal::new(bench);
        let route = RwSignal::new(Route::parse(&browser::hash()));
        let workshop = RwSignal::new(Workshop::Coming);
        Self {
            bench,
            workshop,
            route,
            saving: RwSignal::new(saving),
            toast: RwSignal::new(None),
            theme: RwSignal::new(kept_theme()),
            parts_view: RwSignal::new(PartsView::Text),
            clock: RwSignal::new(browser::now()),
            ahead: browser::ahead_minutes(),
            arrival: RwSignal::new(None),
            lasting: RwSignal::new(Lasting::Unasked),
            open: Open::new(bench, route, workshop),
            stock_before: StoredValue::new(Vec::new()),
            disk: RwSignal::new(Disk::Keeps),
            keeper: StoredValue::new(keeper),
            histories: StoredValue::new(HashMap::new()),
            save_timer: StoredValue::new(None),
            copying: StoredValue::new(Copying::Reading),
            toast_timer: StoredValue::new(None),
        }
    }

    /// Changes the bench and has it saved.
    pub fn change<T>(self, change: impl FnOnce(&mut Bench) -> T) -> T {
        let mut result = None;
        self.bench.update(|bench| result = Some(change(bench)));
        self.save_soon();
        result.expect("update runs its closure once")
    }

    /// Changes the record of a set and has it saved.
    pub fn change_set(self, id: SetId, change: impl FnOnce(&mut SetRecord)) {
        let now = browser::now();
        self.change(|bench| {
            if let Some(set) = bench.set_mut(id) {
                change(set);
                set.tidy();
                set.changed = now;
            }
        });
    }

    /// Changes the record of the open set.
    pub fn change_open(self, change: impl FnOnce(&mut SetRecord)) {
        if let Some(id) = self.open.id.get_untracked() {
            self.change_set(id, change);
        }
    }

    /// Forgets what could be undone: the sheets have become others.
    pub fn forget_undo(self) {
        self.histories.update_value(HashMap::clear);
    }

    /// Shows a message.
    pub fn say(self, text: impl Into<String>, undo: Option<Undo>) {
        self.toast.set(Some(Toast { text: text.into(), undo, address: browser::hash() }));
        let timer = set_timeout_with_handle(move || self.toast.set(None), TOAST_FOR).ok();
        if let Some(old) = self.toast_timer.try_update_value(|t| std::mem::replace(t, timer)) {
            old.inspect(TimeoutHandle::clear);
        }
    }

    /// Ends a message that was said on another screen.
    pub fn left(self) {
        let here = browser::hash();
        if self.toast.with_untracked(|t| t.as_ref().is_some_and(|t| t.address != here)) {
            self.toast.set(None);
        }
    }

    /// Takes back what a message offers.
    pub fn undo(self, undo: Undo) {
        match undo {
            Undo::Move(id, life) => self.change(|bench| bench.move_to(id, life)),
            Undo::Text(id) => self.step_text(id, History::undo),
            Undo::Stock => {
                let before = self.stock_before.get_value();
                self.change(|bench| bench.buying.stock = before);
            }
        }
        self.toast.set(None);
    }

    /// The whole bench as a document.
    pub fn document(self) -> String {
        self.bench.with_untracked(|bench| envelope::write(bench).unwrap_or_default())
    }

    /// Keeps and shows a theme.
    pub fn set_theme(self, theme: Theme) {
        self.theme.set(theme);
        // A theme that is not kept is no loss worth a message.
        let _ = match theme {
            Theme::System => BrowserShelf.remove(THEME_KEY),
            Theme::Light => BrowserShelf.set(THEME_KEY, "light"),
            Theme::Dark => BrowserShelf.set(THEME_KEY, "dark"),
        };
    }
}

/// The sheet of a set, with undo.
impl App {
    /// Puts a new text in the place of a sheet. `typing` joins it with the
    /// keystroke before, as far as undo goes.
    pub fn write(self, id: SetId, text: &str, typing: bool) -> bool {
        if text.len() > MAX_SHEET {
            self.say(
                "A sheet holds up to 1,000,000 characters. Nothing was changed.".to_owned(),
                None,
            );
            return false;
        }
        let before = self.bench.with_untracked(|b| b.set(id).map(|s| s.text.clone()));
        let Some(before) = before.filter(|before| before != text) else { return true };
        let now = browser::now();
        self.histories.update_value(|all| {
            let history = all.entry(id).or_insert_with(|| History::new(before.as_str()));
            let change = if typing { Change::Typing } else { Change::Step };
            history.record(text, change, i64::try_from(now.0).unwrap_or(i64::MAX));
        });
        self.change_set(id, |set| text.clone_into(&mut set.text));
        true
    }

    /// The same for the open set, as one change of its own.
    pub fn rewrite(self, edit: impl FnOnce(&str) -> String) {
        if let Some(id) = self.open.id.get_untracked() {
            let text = edit(&self.open.text.get_untracked());
            self.write(id, &text, false);
        }
    }

    /// The same, joined with the keystroke before as far as undo goes.
    pub fn rewrite_typing(self, edit: impl FnOnce(&str) -> String) {
        if let Some(id) = self.open.id.get_untracked() {
            let text = edit(&self.open.text.get_untracked());
            self.write(id, &text, true);
        }
    }

    /// Takes the last change of the open sheet back.
    pub fn undo_text(self) {
        if let Some(id) = self.open.id.get_untracked() {
            self.step_text(id, History::undo);
        }
    }

    /// Does the change taken back last again.
    pub fn redo_text(self) {
        if let Some(id) = self.open.id.get_untracked() {
            self.step_text(id, History::redo);
        }
    }

    fn step_text(self, id: SetId, step: impl FnOnce(&mut History) -> bool) {
        let stepped = self.histories.try_update_value(|all| {
            all.get_mut(&id).and_then(|h| step(h).then(|| h.text().to_owned()))
        });
        if let Some(text) = stepped.flatten() {
            self.change_set(id, |set| set.text = text);
        }
    }
}

fn kept_theme() -> Theme {
    match BrowserShelf.get(THEME_KEY).ok().flatten().as_deref() {
        Some("light") => Theme::Light,
        Some("dark") => Theme::Dark,
        _ => Theme::System,
    }
}
