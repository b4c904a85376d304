//! The frame around every screen.

use super::browser;
use super::browser::persist;
use super::home::HomeScreen;
use super::intake;
use super::kit::{Altered, Banner, StagePath, Toasts, patiently};
use super::route::Route;
use super::saving::{Disk, Saving};
use super::state::{App as State, Theme, app};
use super::workshop::{self, Extra, Notice};
use super::{parts, set};
use crate::bench::progress::Stage;
use crate::bench::set::SetId;
use crate::store::keeper::KEY;
use crate::ui::kit::dynamic::{flag, piece, text};
use crate::ui::leptos::ev;
use crate::ui::leptos::prelude::window_event_listener_untyped;
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys;
use crate::ui::view::prelude::*;
use std::time::Duration;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// The whole app.
pub fn root() -> AnyView {
    let app = State::open();
    provide_context(app);
    workshop::open(app);
    listen(app);
    // Writes to the page, not to signals: what the theme is, the title, and how
    // the workshop stands.
    Effect::new(move |_| {
        let theme = match app.theme.get() {
            Theme::System => None,
            Theme::Light => Some("light"),
            Theme::Dark => Some("dark"),
        };
        browser::mark("data-theme", theme);
    });
    Effect::new(move |_| browser::mark("data-workshop", Some(app.workshop.get().word())));
    let own_title = document().title();
    Effect::new(move |_| document().set_title(&title(app, &own_title)));
    view! {
        <a
            class="skip"
            href="#main"
            on:click=move |e| {
                e.prevent_default();
                browser::focus("main");
            }
        >
            "Skip to the content"
        </a>
        <Masthead/>
        <Toasts/>
        <main class="main" id="main" tabindex="-1">
            <Altered/>
            <Banner/>
            <Notice/>
            <Screen/>
        </main>
    }
}

/// Listens for what happens to the page as a whole.
fn listen(app: State) {
    window_event_listener(ev::hashchange, move |_| {
        app.route.set(Route::parse(&browser::hash()));
        app.left();
        // Another stage is another page: it begins at its top.
        window().scroll_to_with_x_and_y(0.0, 0.0);
    });
    window_event_listener(ev::pagehide, move |_| app.hide());
    // Asks only while something is on its way or not saved, and only where the
    // last try to save it did not help.
    let ask = Closure::<dyn Fn(web_sys::Event)>::new(move |event: web_sys::Event| {
        app.hide();
        if app.has_unsaved() {
            event.prevent_default();
            // For browsers that do not go by that yet.
            let _ = js_sys::Reflect::set(&event, &"returnValue".into(), &"unsaved".into());
        }
    });
    let ask: js_sys::Function = ask.into_js_value().unchecked_into();
    Effect::new(move |_| {
        let is_kept = matches!(app.saving.get(), Saving::Saved | Saving::Apart(_));
        window().set_onbeforeunload((!is_kept).then_some(&ask));
    });
    window_event_listener_untyped(browser::NOT_FETCHED, move |event| {
        if let Some(why) = browser::told(&event) {
            app.say(why, None);
        }
    });
    // A page that slept has missed what others saved.
    for event in ["visibilitychange", "pageshow", "focus"] {
        let wake = move |_: web_sys::Event| {
            if document().hidden() {
                app.hide();
            } else {
                app.save_now();
            }
            app.look();
        };
        window_event_listener_untyped(event, wake);
    }
    window_event_listener(ev::storage, move |e| {
        // No key: all of the storage was cleared.
        if e.key().is_none_or(|key| key == KEY) {
            app.look();
        }
    });
    app.open_disk();
    spawn_local(async move { app.lasting.set(persist::standing().await) });
    window_event_listener(ev::dragover, |e| e.prevent_default());
    window_event_listener(ev::drop, move |e| {
        e.prevent_default();
        let files = e.data_transfer().and_then(|d| d.files());
        let files = files.iter().flat_map(|l| (0..l.length()).filter_map(|i| l.get(i)));
        files.for_each(|file| intake::take_file(app, file));
    });
    set_interval(
        move || {
            if app.route.get_untracked().stage() == Some(Stage::Power) {
                app.clock.set(browser::now());
            }
        },
        Duration::from_secs(1),
    );
}

fn title(app: State, own: &str) -> String {
    match app.route.get().stage() {
        Some(stage) if app.open.id.get().is_some() => {
            format!("{} · {} · {own}", app.open.record.read().name(), stage.label())
        }
        _ => own.to_owned(),
    }
}

/// The name of the app, how saving stands, the colours.
#[component]
fn Masthead() -> impl IntoView {
    let app = app();
    let saving = move || match app.saving.get() {
        Saving::Saved if app.disk.get() == Disk::Keeps => "Saved",
        Saving::Saved => "Handed to the browser",
        Saving::Apart(_) => "Saved in the database only",
        Saving::Pending => "Saving…",
        Saving::Failed(_) | Saving::Refused(..) => "Not saved",
    };
    let themes = [(Theme::System, "Auto"), (Theme::Light, "Day"), (Theme::Dark, "Night")];
    view! {
        <header class="masthead">
            <a class="masthead__name" href="#/" aria-label="Firstglow, to the bench">
                <svg class="masthead__glow" viewBox="0 0 24 24" aria-hidden="true">
                    <path class="masthead__envelope" d="M6 22V9a6 6 0 0 1 12 0v13"/>
                    <path class="masthead__heater" d="M9 22v-9l3-4 3 4v9"/>
                </svg>
                "Firstglow"
            </a>
            <div class="masthead__state">
                <span role="status">
                    {piece(move || app.open.lag.behind.get().then_some("Working…"))}
                </span>
                <span data-saving=text(saving)>{piece(saving)}</span>
            </div>
            <fieldset class="segments" data-control="theme">
                <legend class="unseen">"Colors"</legend>
                {themes
                    .map(|(theme, label)| {
                        view! {
                            <label class="segments__item">
                                <input
                                    class="segments__input"
                                    type="radio"
                                    name="theme"
                                    value=label
                                    prop:checked=flag(move || app.theme.get() == theme)
                                    on:change=move |_| app.set_theme(theme)
                                />
                                <span class="segments__label">{label}</span>
                            </label>
                        }
                    })
                    .collect_view()}
            </fieldset>
        </header>
    }
}

/// The bytes of a sheet from which on opening it takes longer than a moment:
/// some three thousand parts.
const LONG_TEXT: usize = 100_000;

/// The screen that the address asks for.
#[component]
fn Screen() -> impl IntoView {
    let app = app();
    let open = app.open.id;
    // A screen is made anew when another is asked for, not at every address.
    let route = Memo::new(move |_| app.route.get());
    move || match open.get() {
        Some(id) => {
            let is_slow = app.open.record.read_untracked().text.len() > LONG_TEXT;
            patiently(is_slow, move || view! { <SetFrame id/> })
        }
        None => match route.get() {
            Route::Bench => view! { <HomeScreen/> }.into_any(),
            Route::Take => app.workshop.get().extra(Extra::Take),
            route @ (Route::Stock | Route::SwapMeet) => app.workshop.get().screen(route),
            Route::Set(..) | Route::View(..) => missing().into_any(),
        },
    }
}

fn missing() -> impl IntoView {
    view! {
        <section class="sheet" data-screen="missing">
            <h1>"There is no such set on this bench"</h1>
            <p>"It may have been deleted for good, or the address is of another browser."</p>
            <p><a class="button" href="#/">"To the bench"</a></p>
        </section>
    }
}

/// The title block, the path and the stage of a set.
#[component]
fn SetFrame(
    /// The set.
    id: SetId,
) -> impl IntoView {
    let app = app();
    let stage = Memo::new(move |_| app.route.get().stage().unwrap_or(Stage::Parts));
    let screen = move || match stage.get() {
        Stage::Set => view! { <set::SetScreen/> }.into_any(),
        Stage::Parts => view! { <parts::PartsScreen/> }.into_any(),
        other => patiently(app.open.lag.is_slow(), move || {
            app.workshop.get().screen(Route::Set(id, other))
        }),
    };
    view! {
        <TitleBlock/>
        <StagePath id current=stage progress=Callback::new(move |stage| app.open.progress(stage))/>
        <section
            class="sheet"
            data-screen=text(move || stage.get().slug())
            aria-label=text(move || stage.get().label())
        >
            {piece(screen)}
        </section>
    }
}

/// The title block of the drawing: what the set is, in a ruled strip.
#[component]
fn TitleBlock() -> impl IntoView {
    let app = app();
    let cells = Memo::new(move |_| {
        set::model::title_cells(&app.open.sheet.read().header, app.open.sheet.read().parts.len())
    });
    view! {
        <header class="title-block">
            <h1 class="title-block__name">{piece(move || app.open.record.read().name())}</h1>
            <dl class="title-block__cells">
                {piece(move || {
                    cells
                        .get()
                        .into_iter()
                        .map(|(name, value)| {
                            view! {
                                <div class="title-block__cell">
                                    <dt>{name}</dt>
                                    <dd>{value}</dd>
                                </div>
                            }
                        })
                        .collect_view()
                })}
            </dl>
        </header>
    }
}
