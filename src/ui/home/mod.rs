//! The bench: the sets on it, and ways to begin another.

mod begin;
mod card;
mod lists;

use super::intake;
use super::kit::FileButton;
use super::safe::{Reminder, save_everything};
use super::state::{Undo, app};
use super::workshop::Extra;
use crate::bench::set::{Life, SetId};
use crate::ui::kit::dynamic::{each, flag, piece, piece_if};
use crate::ui::route::Route;
use crate::ui::view::prelude::*;
use begin::Begin;
use card::SetCard;
pub use lists::Lists;

/// The first screen.
#[component]
pub fn HomeScreen() -> impl IntoView {
    let app = app();
    let is_empty = Memo::new(move |_| {
        !app.bench.read().sets.iter().any(|s| matches!(s.life, Life::Active | Life::Archived))
    });
    view! {
        <section class="bench" data-screen="bench">
            <h1 class="bench__title">
                {piece(move || if is_empty.get() { "An empty bench" } else { "On the bench" })}
            </h1>
            {piece_if(move || is_empty.get(), || view! {
                <p class="bench__about">
                    "Type a set’s parts list in from its schematic. Firstglow says what to replace and \
                     by what, what can hurt you, and how to bring the set up for the first time."
                </p>
                <p class="bench__about">
                    "All of it stays in this browser: nothing is sent anywhere."
                </p>
            })}
            <Reminder/>
            <Shelf title="" is_on=|life| life == Life::Active/>
            {piece(move || app.workshop.get().extra(Extra::Lists))}
            <Begin/>
            <Drawers/>
            <Shelf title="Archived" is_on=|life| life == Life::Archived/>
            <Shelf title="Deleted" is_on=|life| matches!(life, Life::Deleted { .. })/>
            <Files/>
        </section>
    }
}

/// The sets in one state.
#[component]
fn Shelf(
    /// Its title; none for the sets on the bench.
    title: &'static str,
    /// Whether a set of that state stands here.
    is_on: fn(Life) -> bool,
) -> impl IntoView {
    let app = app();
    let ids = Memo::new(move |_| {
        app.bench.with(|b| b.in_life(is_on).map(|s| s.id).collect::<Vec<SetId>>())
    });
    let cards = move || {
        view! {
            <ul class="shelf__cards">
                {each(move || ids.get(), |id| view! { <li><SetCard id/></li> }.into_any())}
            </ul>
        }
    };
    view! {
        <div class="shelf" hidden=flag(move || ids.read().is_empty())>
            {if title.is_empty() {
                cards().into_any()
            } else {
                view! {
                    <details class="shelf__fold" data-shelf=title>
                        <summary>
                            <h2 class="shelf__title">{title}" ("{piece(move || ids.read().len())}")"</h2>
                        </summary>
                        {cards()}
                    </details>
                }
                    .into_any()
            }}
        </div>
    }
}

/// Ways to what is for all sets.
#[component]
fn Drawers() -> impl IntoView {
    view! {
        <nav class="bench__drawers" aria-labelledby="drawers-title">
            <h2 class="bench__subtitle" id="drawers-title">"Parts for all sets"</h2>
            <ul class="begin__list">
                <li>
                    <a class="begin__choice" href=Route::Stock.hash()>
                        <span class="begin__name">"Stock"</span>
                        <span class="begin__about">"What lies in the drawers, and what it is reserved for."</span>
                    </a>
                </li>
                <li>
                    <a class="begin__choice" href=Route::SwapMeet.hash()>
                        <span class="begin__name">"Swap meet"</span>
                        <span class="begin__about">
                            "Type what lies on the table: which set it serves, and why not."
                        </span>
                    </a>
                </li>
            </ul>
        </nav>
    }
}

/// Everything out, and files in.
#[component]
fn Files() -> impl IntoView {
    let app = app();
    view! {
        <section class="bench__files" aria-labelledby="files-title">
            <h2 class="bench__subtitle" id="files-title">"Files"</h2>
            <p class="bench__hint">
                "A bench or set saved as JSON, or a parts list as text or CSV. \
                 Dropping a file anywhere on the page does the same."
            </p>
            <div class="buttons">
                <FileButton
                    label="Import a file"
                    accept=intake::ACCEPT
                    on_file=Callback::new(move |file| intake::take_file(app, file))
                />
                <button class="button" type="button" on:click=move |_| save_everything(app)>
                    "Export everything"
                </button>
                <a class="button" href="#/take">"Take in from another device"</a>
            </div>
            {piece(move || app.workshop.get().extra(Extra::Safekeeping))}
        </section>
    }
}

/// Moves a set and offers to move it back.
fn move_set(id: SetId, to: Life, words: &str) {
    let app = app();
    let Some((from, name)) = app.bench.with_untracked(|b| b.set(id).map(|s| (s.life, s.name())))
    else {
        return;
    };
    app.change(|bench| bench.move_to(id, to));
    app.say(format!("{name}: {words}."), Some(Undo::Move(id, from)));
}
