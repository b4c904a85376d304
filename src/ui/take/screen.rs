//! Reading what came, and taking it in.

use super::merge::Merge;
use super::model::series;
use crate::bench::Bench;
use crate::bench::progress::Stage;
use crate::bench::set::SetRecord;
use crate::store::arrival::{self, Standing, standing};
use crate::store::envelope;
use crate::store::parcel::{self, ParcelError, Series, text::payload};
use crate::store::shelf::Shelf;
use crate::ui::browser::camera::{self, Camera};
use crate::ui::browser::shelf::BrowserShelf;
use crate::ui::browser::{self, now, pack};
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{Field, TextField};
use crate::ui::leptos::prelude::window_event_listener_untyped;
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys::HtmlVideoElement;
use crate::ui::route::Route;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// Where the codes of a series wait that the camera app opens one by one, each
/// in a tab of its own.
const WAITING: &str = "firstglow/take";

/// What was read so far.
#[derive(Debug, Clone, Copy)]
struct Taking {
    app: App,
    series: RwSignal<Series>,
    /// Why the last thing read was refused.
    refusal: RwSignal<Option<String>>,
}

/// Takes in what another device sent.
#[component]
pub fn TakeScreen() -> impl IntoView {
    let app = app();
    let taking = Taking { app, series: RwSignal::new(waiting()), refusal: RwSignal::new(None) };
    taking.read_address();
    let hash = window_event_listener_untyped("hashchange", move |_| taking.read_address());
    on_cleanup(move || hash.remove());
    let has_come = Memo::new(move |_| app.arrival.with(Option::is_some));
    view! {
        <section class="sheet take" data-screen="take">
            <h1 class="sheet__title">"Take in from another device"</h1>
            <p class="message message--refusal" role="alert" data-refusal="take" hidden=flag(move || taking.refusal.read().is_none())>
                {piece(move || taking.refusal.get())}
            </p>
            {piece(move || if has_come.get() {
                view! { <Came/> }.into_any()
            } else {
                view! { <Reading taking/> }.into_any()
            })}
        </section>
    }
}

/// The ways in.
#[component]
fn Reading(
    /// What was read so far.
    taking: Taking,
) -> impl IntoView {
    let progress = move || {
        let series = taking.series.get();
        let missing = series.missing();
        (!missing.is_empty()).then(|| self::series(series.of(), &missing))
    };
    let pasted = RwSignal::new(String::new());
    let field = Field {
        id: "take-link".into(),
        label: "Link".into(),
        hint: "Copied on the other device",
        data: "take-link".into(),
        ..Field::default()
    };
    view! {
        <p role="status" class="take__series" data-series="">{piece(progress)}</p>
        <p>
            "On the other device, open the set, then “To another device”. Point this telephone’s \
             camera app at the code, or read it here, or paste the link."
        </p>
        <Eye taking/>
        <div class="take__paste">
            <TextField
                field=field
                value=Signal::from(pasted)
                on_input=Callback::new(move |typed: String| {
                    taking.read(&typed);
                    pasted.set(typed);
                })
            />
        </div>
        <p><a class="button" href="#/">"To the bench"</a></p>
    }
}

/// The camera, where the browser reads codes.
#[component]
fn Eye(
    /// What was read so far.
    taking: Taking,
) -> impl IntoView {
    if !camera::can_read() {
        return view! {
            <p class="take__no-camera">
                "This browser does not read codes by itself; the telephone’s camera app does, and \
                 opens the link."
            </p>
        }
        .into_any();
    }
    let video: NodeRef<HtmlVideoElement> = NodeRef::new();
    let running = StoredValue::new_local(None::<Camera>);
    let is_on = RwSignal::new(false);
    let stop = move || {
        if let Some(camera) = running.try_update_value(Option::take).flatten() {
            camera.stop();
        }
    };
    on_cleanup(stop);
    let start = move |_| {
        let Some(video) = video.get() else { return };
        is_on.set(true);
        spawn_local(async move {
            let started = camera::start(video, move |text| taking.read(&text)).await;
            if started.is_none() {
                let words = "There is no camera, or this page may not use it.";
                drop(taking.refusal.try_set(Some(words.to_owned())));
                let _ = is_on.try_set(false);
            }
            // The screen may have been left meanwhile.
            if running.try_set_value(started.clone()).is_some()
                && let Some(camera) = started
            {
                camera.stop();
            }
        });
    };
    view! {
        <div class="take__eye">
            <button class="button button--primary" type="button" hidden=flag(move || is_on.get()) on:click=start>
                "Read codes with the camera"
            </button>
            <video
                node_ref=video
                class="take__video"
                aria-label="What the camera sees"
                muted=true
                playsinline=true
                hidden=flag(move || !is_on.get())
            ></video>
        </div>
    }
    .into_any()
}

/// What has come, set by set.
#[component]
fn Came() -> impl IntoView {
    let app = app();
    let places =
        move || app.arrival.with(|came| came.as_ref().map_or(0, |came| came.sets.len())).min(1);
    // One set at a time, the first of those that are left.
    let first = move || {
        app.arrival.with(|came| came.as_ref().and_then(|c| c.sets.first().cloned().map(Arc::new)))
    };
    let next = Callback::new(move |()| {
        app.arrival.update(|came| {
            if let Some(came) = came {
                came.sets.remove(0);
            }
        });
        finish(app);
    });
    view! {
        {piece(move || (places() == 0).then(|| view! {
            <p>"All of it is taken in. "<a class="button" href="#/">"To the bench"</a></p>
        }))}
        {piece(move || first().map(|came| one(app, came, next)))}
    }
}

fn one(app: App, came: Arc<SetRecord>, next: Callback<()>) -> AnyView {
    match app.bench.with_untracked(|bench| standing(bench, &came)) {
        Standing::Differs(id) => view! { <Merge id came on_done=next/> }.into_any(),
        Standing::Same(_) => view! {
            <p>{came.name()}" is already here, to the letter."</p>
            <button class="button" type="button" on:click=move |_| next.run(())>"Go on"</button>
        }
        .into_any(),
        Standing::New => new(app, came, next),
    }
}

/// A set that is not here yet: it is shown before it is taken in, since a link
/// may come from anywhere.
fn new(app: App, came: Arc<SetRecord>, next: Callback<()>) -> AnyView {
    let lines = came.text.lines().filter(|line| !line.trim().is_empty()).count();
    let name = came.name();
    let take = move |_| {
        // What the other device has too, for when it comes back changed.
        let _ = arrival::remember(&BrowserShelf, &came, now());
        let set = SetRecord::clone(&came);
        let id = app.change(|bench| bench.bring_back(set));
        let is_last = app.arrival.with_untracked(|c| c.as_ref().is_none_or(|c| c.sets.len() < 2));
        next.run(());
        if is_last {
            browser::replace(Route::Set(id, Stage::Parts));
        }
        // Last: what is said ends where another screen is gone to.
        app.say("Taken in.", None);
    };
    view! {
        <div class="take__new">
            <p><b>{name}</b>": a set of "{lines}" lines that is not on this bench."</p>
            <div class="buttons">
                <button class="button button--primary" type="button" on:click=take>
                    "Take it in"
                </button>
                <button class="button button--quiet" type="button" on:click=move |_| next.run(())>
                    "Leave it out"
                </button>
            </div>
        </div>
    }
    .into_any()
}

/// Puts the buying lists that came on the bench, and forgets what is dealt with.
fn finish(app: App) {
    if app.arrival.with_untracked(|came| came.as_ref().is_none_or(|came| came.sets.is_empty())) {
        app.arrival.set(None);
    }
}

impl Taking {
    /// Reads what stands in the address, and takes it out of there: what was
    /// taken in once is not to come again by a reload.
    fn read_address(self) {
        let hash = browser::hash();
        if hash.trim_start_matches("#/take").len() > 1 {
            browser::replace(Route::Take);
            self.read(&hash);
        }
    }

    fn read(self, text: &str) {
        if text.trim().is_empty() {
            return;
        }
        // The camera may see one more code after the screen was left.
        let Some(mut series) = self.series.try_get_untracked() else { return };
        let added = payload(text).and_then(|piece| series.add(&piece));
        if let Err(why) = added {
            // A series that was begun goes on: another code came before the camera.
            let is_other = why == ParcelError::Foreign && series.of() > 0;
            self.refusal.set((!is_other).then(|| why.to_string()));
            return;
        }
        self.refusal.set(None);
        match series.whole() {
            Ok(whole) => {
                self.series.set(Series::default());
                // Nothing waits any more; if it cannot be forgotten, it is read again.
                let _ = BrowserShelf.remove(WAITING);
                spawn_local(async move { self.open(whole).await });
            }
            Err(ParcelError::Missing) => {
                keep_waiting(text);
                self.series.set(series);
            }
            Err(why) => {
                self.series.set(Series::default());
                let _ = BrowserShelf.remove(WAITING);
                self.refusal.set(Some(why.to_string()));
            }
        }
    }

    async fn open(self, whole: parcel::Whole) {
        let bytes = if whole.is_compressed {
            match pack::unpack(&whole.bytes, parcel::MOST_WHOLE).await {
                Ok(bytes) => bytes,
                Err(why) => {
                    self.refusal.set(Some(unpacking(why).to_owned()));
                    return;
                }
            }
        } else {
            whole.bytes
        };
        let found = String::from_utf8(bytes).map_err(|_| ParcelError::Damaged.to_string());
        match found.and_then(|text| envelope::read(&text).map_err(|why| why.to_string())) {
            Ok(bench) => came(self.app, bench),
            Err(why) => self.refusal.set(Some(why)),
        }
    }
}

/// What came and is whole: buying lists go on the bench, sets are shown.
fn came(app: App, mut bench: Bench) {
    let lists = Bench { lists: std::mem::take(&mut bench.lists), ..Bench::default() };
    let told = (!lists.lists.is_empty()).then(|| {
        let merged = app.change(|bench| bench.merge(lists));
        if merged.lists > 0 {
            "The buying list is on the bench."
        } else {
            "The buying list is already here."
        }
    });
    if bench.sets.is_empty() {
        browser::replace(Route::Bench);
    } else {
        app.arrival.set(Some(bench));
    }
    if let Some(told) = told {
        app.say(told, None);
    }
}

fn unpacking(why: pack::Unpacking) -> &'static str {
    match why {
        pack::Unpacking::Unable => {
            "This browser cannot unpack it. Update the browser, or carry a file instead."
        }
        pack::Unpacking::Damaged => "It is damaged: it cannot be unpacked.",
        pack::Unpacking::TooLarge => {
            "It unpacks to more than a set ever holds, and is not taken in."
        }
    }
}

/// The codes that were read in other tabs.
fn waiting() -> Series {
    let kept = BrowserShelf.get(WAITING).ok().flatten().unwrap_or_default();
    let mut series = Series::default();
    for piece in kept.lines().filter_map(|line| payload(line).ok()) {
        // What cannot be read is read from the code again.
        let _ = series.add(&piece);
    }
    series
}

fn keep_waiting(text: &str) {
    let kept = BrowserShelf.get(WAITING).ok().flatten().unwrap_or_default();
    let all = format!("{kept}\n{}", text.trim());
    // The newest belong together; the oldest may be of another series.
    let newest: Vec<&str> = all.lines().rev().take(parcel::MOST_PIECES).collect();
    let newest: Vec<&str> = newest.into_iter().rev().collect();
    // Without room the codes have to be read in one tab.
    let _ = BrowserShelf.set(WAITING, &newest.join("\n"));
}
