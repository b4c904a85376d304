//! Safekeeping on the first screen.

use super::model::{KeptSet, reminder, sets};
use crate::bench::set::SetId;
use crate::bench::stamp::Stamp;
use crate::store::backups;
use crate::store::envelope;
use crate::store::exchange::file_name;
use crate::store::shelf::Shelf;
use crate::ui::browser::persist::{self, Lasting};
use crate::ui::browser::shelf::BrowserShelf;
use crate::ui::browser::{files, now};
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::leptos::task::spawn_local;
use crate::ui::out;
use crate::ui::saving::Disk;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use crate::ui::workshop::Workshop;

/// When everything was last saved as a file.
const SAVED_KEY: &str = "firstglow/saved-outside";

/// Saves everything as a file, and remembers when.
pub fn save_everything(app: App) {
    let bench = app.bench.get_untracked();
    let has_photos = bench.sets.iter().any(|set| !set.photos.is_empty());
    // Without the workshop there is no archive, but there are the sets.
    let can_pack = matches!(app.workshop.get_untracked(), Workshop::Open(_));
    if has_photos && can_pack {
        out::export(app, bench, "bench");
        let _ = BrowserShelf.set(SAVED_KEY, &now().0.to_string());
        return;
    }
    let name = file_name("bench", &now().iso_day(app.ahead), "json");
    if files::download(&name, "application/json", &app.document()) {
        // A moment that is not kept only reminds too early.
        let _ = BrowserShelf.set(SAVED_KEY, &now().0.to_string());
        let without = if has_photos { " but its photos, which stay in this browser" } else { "" };
        app.say(format!("{name} holds the whole bench{without}."), None);
    }
}

fn saved_outside() -> Option<Stamp> {
    BrowserShelf.get(SAVED_KEY).ok()??.parse().ok().map(Stamp)
}

/// Reminds of a file outside the browser when the last one is old.
#[component]
pub fn Reminder() -> impl IntoView {
    let app = app();
    let put_off = RwSignal::new(false);
    let words = Memo::new(move |_| {
        // Saving a file says so in a message: then this is looked at again.
        app.toast.get();
        app.bench.with(|bench| reminder(bench, saved_outside(), now()))
    });
    piece(move || {
        words.get().filter(|_| !put_off.get()).map(|words| {
            view! {
                <aside class="reminder" data-reminder="">
                    <p>{words}" A browser’s storage can be lost with the browser."</p>
                    <div class="buttons">
                        <button
                            class="button"
                            type="button"
                            on:click=move |_| save_everything(app)
                        >
                            "Save everything as a file"
                        </button>
                        <button
                            class="button button--quiet"
                            type="button"
                            on:click=move |_| put_off.set(true)
                        >
                            "Not now"
                        </button>
                    </div>
                </aside>
            }
        })
    })
}

/// What the browser promised, and the backups in it.
#[component]
pub fn Safekeeping() -> impl IntoView {
    let app = app();
    let moments = RwSignal::new(Vec::<Stamp>::new());
    let look = move || moments.set(backups::list(&BrowserShelf).unwrap_or_default());
    view! {
        <details class="fold safe" data-fold="safekeeping" on:toggle=move |_| look()>
            <summary>"Safekeeping and backups"</summary>
            <p class="safe__lasting">{piece(move || lasting(app.lasting.get()))}</p>
            <button
                class="button button--small"
                type="button"
                hidden=flag(move || app.lasting.get() == Lasting::Promised)
                on:click=move |_| {
                    app.lasting.set(Lasting::Asked);
                    spawn_local(async move { app.lasting.set(persist::ask().await) });
                }
            >
                "Ask the browser to keep it"
            </button>
            <p class="safe__lasting">{piece(move || on_disk(app.disk.get()))}</p>
            <p class="safe__lasting">
                "In a private window everything kept, the backups too, goes away with the window. A \
                 page cannot know for sure whether it is in one: if you opened one, save everything \
                 as a file before you close it."
            </p>
            <h3 class="safe__title">"Backups in this browser"</h3>
            <p class="bench__hint">
                "Earlier states, kept every ten minutes of work and thinned out with age. They are \
                 lost with the browser’s data: a file is not."
            </p>
            <p class="bench__hint">
                "Photos lie in this browser once, and not in each backup. A backup brings back what \
                 was noted of a photo, and its picture as long as this browser has it. “Export \
                 everything” takes all pictures along."
            </p>
            <p class="bench__hint" hidden=flag(move || !moments.read().is_empty())>
                "None yet. The first is made when there has been something to keep."
            </p>
            <ul class="safe__list">
                {each(move || moments.get(), move |at| backup(app, at, look))}
            </ul>
        </details>
    }
}

fn lasting(lasting: Lasting) -> &'static str {
    match lasting {
        Lasting::Promised => "This browser promised to keep the data until you clear it yourself.",
        Lasting::NotPromised => {
            "Asked to keep the data, this browser did not promise it: it may clear the data when \
             the disk runs short. Save everything as a file now and then."
        }
        Lasting::Unasked => {
            "This browser was not yet asked to keep the data when the disk runs short."
        }
        Lasting::Asked => {
            "This browser was asked to keep the data when the disk runs short, and has not \
             answered yet."
        }
        Lasting::Unknown => {
            "This browser does not say whether it keeps the data when the disk runs short."
        }
    }
}

/// What “Saved” means.
fn on_disk(disk: Disk) -> String {
    let why = match disk {
        Disk::Keeps => {
            return "“Saved” at the top means that the browser has it in two places, and says of \
                    one that it lies on the disk."
                .to_owned();
        }
        Disk::Fails(why) => format!("This browser keeps no second copy: {why}."),
        Disk::Silent => "This browser does not answer when a second copy is to be kept.".to_owned(),
    };
    format!(
        "{why} “Handed to the browser” means that it writes it to the disk in its own time: a \
         browser that dies by force can take the last minute of work with it."
    )
}

/// One backup: its day, and its sets when it is opened.
fn backup(app: App, at: Stamp, look: impl Fn() + Copy + 'static) -> AnyView {
    let open = RwSignal::new(false);
    let day = at.day_and_time(app.ahead);
    let kept = move || backups::read(&BrowserShelf, at).ok().flatten();
    let body = move || {
        open.get().then(|| match app.bench.with(|bench| sets(kept().as_deref(), bench)) {
            Ok(found) => {
                let rows = found.iter().map(|set| row(app, at, set, look)).collect_view();
                view! {
                    <ul class="safe__sets">{rows}</ul>
                    <button
                        class="button button--small"
                        type="button"
                        on:click=move |_| {
                            bring_back(app, at, None);
                            look();
                        }
                    >
                        "Bring the whole bench back"
                    </button>
                }
                .into_any()
            }
            Err(why) => view! { <p>{why}</p> }.into_any(),
        })
    };
    view! {
        <li class="safe__backup" data-backup=at.0.to_string()>
            <details on:toggle=move |_| open.update(|open| *open = !*open)>
                <summary>{day}</summary>
                {piece(body)}
            </details>
        </li>
    }
    .into_any()
}

fn row(app: App, at: Stamp, set: &KeptSet, look: impl Fn() + Copy + 'static) -> AnyView {
    let id = set.id;
    let button = set.differs.then(|| {
        view! {
            <button
                class="button button--quiet"
                type="button"
                aria-label=format!("Bring back: {}", set.name)
                on:click=move |_| {
                    bring_back(app, at, Some(id));
                    look();
                }
            >
                "Bring back"
            </button>
        }
    });
    view! {
        <li class="safe__set">
            <span><b>{set.name.clone()}</b>", "{set.standing}</span>
            {button}
        </li>
    }
    .into_any()
}

/// The newest backup, where there is one.
pub fn newest_backup() -> Option<Stamp> {
    backups::list(&BrowserShelf).ok()?.first().copied()
}

/// Sets what cannot be read aside and goes on from a backup.
pub fn go_on_from(app: App, at: Stamp) {
    // In this order: what is saved first is the backup, not an empty bench.
    bring_back(app, at, None);
    app.set_aside();
}

/// Puts a backup, or a set of it, in the place of what is there now; that is
/// kept as a backup itself.
fn bring_back(app: App, at: Stamp, only: Option<SetId>) {
    let Ok(Some(text)) = backups::read(&BrowserShelf, at) else { return };
    let Ok(kept) = envelope::read(&text) else { return };
    let kept = match only {
        Some(id) => kept.only(id),
        None => kept,
    };
    app.back_up();
    app.change(|bench| match only {
        Some(_) => {
            for set in &kept.sets {
                bench.bring_back(set.clone());
            }
        }
        None => bench.clone_from(&kept),
    });
    app.forget_undo();
    let words = "Brought back. What was there before is the newest backup.";
    match app.workshop.get_untracked() {
        Workshop::Open(tools) => tools.brought_back(app, kept, words),
        _ => app.say(words, None),
    }
}
