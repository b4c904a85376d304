//! What comes in: files picked or dropped, and tables pasted.

use super::browser;
use super::browser::files;
use super::route::Route;
use super::state::{App, MAX_SHEET, Undo};
use super::words::count;
use super::workshop::{NOT_YET, Workshop};
use crate::bench::Bench;
use crate::bench::progress::Stage;
use crate::bench::set::{Life, SetId, SetRecord};
use crate::store::arrival::{Standing, standing};
use crate::store::exchange::{self, Incoming};
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys::File;

/// The kinds of file that a picker offers.
pub const ACCEPT: &str = ".zip,.json,.csv,.tsv,.txt,application/json,text/csv,text/plain";

/// Takes a file in: a bench joins the bench; a parts list joins the open set,
/// or becomes a set of its own.
pub fn take_file(app: App, file: File) {
    let name = file.name();
    if name.rsplit_once('.').is_some_and(|(_, ending)| ending.eq_ignore_ascii_case("zip")) {
        match app.workshop.get_untracked() {
            Workshop::Open(tools) => tools.unpack(app, file.into(), name),
            _ => app.say(NOT_YET, None),
        }
        return;
    }
    if file.size() > files::MAX_FILE_BYTES {
        app.say(
            format!("{name} is over 64 MB, too large to be a parts list. Nothing changed."),
            None,
        );
        return;
    }
    spawn_local(async move {
        match files::bytes(&file).await {
            Some(bytes) => take_bytes(app, &bytes, &name),
            None => app.say(format!("{name} could not be read from the disk."), None),
        }
    });
}

fn take_bytes(app: App, bytes: &[u8], name: &str) {
    match exchange::look(bytes, name) {
        Ok(Incoming::Bench(bench)) => join(app, bench, ""),
        Ok(Incoming::List) => match app.workshop.get_untracked().list(bytes, name) {
            Ok(list) => take_list(app, &list, name),
            Err(error) => app.say(format!("{error} Nothing changed."), None),
        },
        Err(error) => app.say(format!("{name}: {error} Nothing changed."), None),
    }
}

/// Joins another bench with this one; `more` is said besides.
pub fn join(app: App, other: Bench, more: &str) {
    let differs = |set: &SetRecord| {
        matches!(app.bench.with_untracked(|b| standing(b, set)), Standing::Differs(_))
    };
    if other.sets.iter().any(differs) {
        // What is here too and differs is for the person to look at.
        let (differing, rest) = other.sets.into_iter().partition(differs);
        let rest = Bench { sets: rest, ..other };
        app.change(|bench| bench.merge(rest));
        app.arrival.set(Some(Bench { sets: differing, ..Bench::default() }));
        browser::go(Route::Take);
        return;
    }
    let merged = app.change(|bench| bench.merge(other));
    let added = merged.added.len();
    let mut words = match added {
        1 => "1 set came in.".to_owned(),
        _ => format!("{added} sets came in."),
    };
    if merged.already_here > 0 {
        words = format!("{words} {} already here, to the letter.", merged.already_here);
    }
    if merged.stock_added > 0 {
        words = format!("{words} {} of stock came in.", count(merged.stock_added, "line", "lines"));
    }
    words.push_str(more);
    match merged.added.as_slice() {
        [id] => {
            browser::go(Route::Set(*id, Stage::Parts));
            app.say(words, Some(removal(*id)));
        }
        _ => app.say(words, None),
    }
}

/// Takes lines in: at the end of the open set, or as a new set.
fn take_list(app: App, lines: &str, name: &str) {
    if lines.len() > MAX_SHEET {
        app.say(
            format!("{name} holds over 1,000,000 characters; a sheet does not. Nothing changed."),
            None,
        );
        return;
    }
    let count = lines.lines().filter(|l| !l.trim().is_empty()).count();
    if let Some(id) = app.open.id.get_untracked() {
        let before = app.open.text.get_untracked();
        let gap = if before.is_empty() || before.ends_with('\n') { "" } else { "\n" };
        if app.write(id, &format!("{before}{gap}{lines}"), false) {
            app.say(format!("{name}: {count} lines added."), Some(Undo::Text(id)));
        }
    } else {
        let id = app.change(|bench| bench.add(lines, browser::now()));
        browser::go(Route::Set(id, Stage::Parts));
        app.say(format!("{name}: a new set of {count} lines."), Some(removal(id)));
    }
}

fn removal(id: SetId) -> Undo {
    Undo::Move(id, Life::Deleted { at: browser::now() })
}
