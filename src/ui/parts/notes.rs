//! Notes on the sheet, each with what one tap can do about it.

use super::model::{first_notes, level_slug, level_word, position_of, settle_all, settled_as_read};
use crate::notation::note::{Choice, Note};
use crate::sheet::edit;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::leptos::web_sys::HtmlTextAreaElement;
use crate::ui::state::{PartsView, Undo, app};
use crate::ui::view::prelude::*;
use crate::ui::words;
use wasm_bindgen::JsCast;

/// So many notes are drawn at first; the rest on demand.
const AT_FIRST: usize = 60;

/// All notes, what could not be read first.
#[component]
pub fn Notes() -> impl IntoView {
    let app = app();
    let limit = RwSignal::new(AT_FIRST);
    let count = Memo::new(move |_| app.open.plan.read().notes.len());
    let readings = Memo::new(move |_| settled_as_read(&app.open.plan.read().notes).count());
    // Drawn anew only when one of those that are shown has changed.
    let first = Memo::new(move |_| {
        first_notes(&app.open.text.read(), &app.open.plan.read().notes, limit.get())
    });
    let shown = move || first.get().into_iter().map(|(words, n)| one(words, n)).collect_view();
    let settle = move |_| {
        app.open.lag.catch_up();
        app.rewrite(|text| settle_all(text, &app.open.sheet.read_untracked().notes));
        if let Some(id) = app.open.id.get_untracked() {
            app.say("Each reading is written out as it was read.", Some(Undo::Text(id)));
        }
    };
    view! {
        <section class="notes" aria-labelledby="notes-title" hidden=flag(move || count.get() == 0)>
            <h3 class="notes__title" id="notes-title">
                {piece(move || words::count(count.get(), "note", "notes"))}" on the sheet"
            </h3>
            <button
                class="button button--small notes__all"
                type="button"
                hidden=flag(move || readings.get() < 2)
                on:click=settle
            >
                "Write all "{piece(move || readings.get())}" out as they were read"
            </button>
            <ul class="notes__list">{piece(shown)}</ul>
            <button
                class="button"
                type="button"
                hidden=flag(move || count.get() <= limit.get())
                on:click=move |_| limit.update(|n| *n += 200)
            >
                "Show more notes"
            </button>
        </section>
    }
}

fn one(line_text: String, note: Note) -> AnyView {
    let class = format!("note note--{}", level_slug(note.level));
    let place = format!("Line {}, column {}", note.line, note.column);
    let (line, column, length) = (note.line, note.column, note.length);
    let choices = note.choices.into_iter().map(fix).collect_view();
    view! {
        <li class=class data-note=level_slug(note.level) data-line=line.to_string()>
            <p class="note__head">
                <span class="note__level">{level_word(note.level)}</span>
                <button
                    class="link"
                    type="button"
                    on:click=move |_| go_to(line, column, length)
                >
                    {place}
                </button>
                <code class="note__line">{line_text}</code>
            </p>
            <p class="note__message">{note.message}</p>
            <div class="note__choices">{choices}</div>
        </li>
    }
    .into_any()
}

fn fix(choice: Choice) -> impl IntoView {
    let app = app();
    view! {
        <button
            class="button button--small"
            type="button"
            on:click=move |_| {
                // A note on a text that is no longer there is told anew first.
                if !app.open.lag.catch_up() {
                    app.rewrite(|text| edit::apply(text, &choice.edit));
                }
            }
        >
            {choice.label.clone()}
        </button>
    }
}

/// Shows the text and marks the place.
fn go_to(line: usize, column: usize, length: usize) {
    let app = app();
    app.parts_view.set(PartsView::Text);
    let text = app.open.text.get_untracked();
    let start = position_of(&text, line, column);
    let end = position_of(&text, line, column + length);
    request_animation_frame(move || select(start, end));
}

/// Marks a stretch of the editor's text and brings it into view.
pub fn select(start: usize, end: usize) {
    let found = document().get_element_by_id("sheet-text");
    let Some(area) = found.and_then(|e| e.dyn_into::<HtmlTextAreaElement>().ok()) else { return };
    let unit = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    // Neither is refused on a text area.
    let _ = area.focus();
    let _ = area.set_selection_range(unit(start), unit(end));
}
