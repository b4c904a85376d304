//! One photo with its marks.

use super::model::{alt, leads, name};
use crate::bench::photo::{Mark, Photo};
use crate::ui::browser::pictures;
use crate::ui::kit::dynamic::{each, flag, piece, text};
use crate::ui::kit::{Field, TextField};
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys::{Element, KeyboardEvent, MouseEvent, Url};
use crate::ui::photo_files;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use wasm_bindgen::JsCast;

/// How the picture itself stands.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Picture {
    Coming,
    Here(String),
    Missing,
}

/// Parts of one that an arrow key moves a mark, and with Shift.
const STEPS: (f64, f64) = (0.01, 0.05);

/// A photo: the picture, what it is of, its marks.
#[component]
pub fn Card(
    /// Its name.
    id: String,
) -> impl IntoView {
    let app = app();
    let key = StoredValue::new(id.clone());
    let photo = Memo::new(move |_| {
        key.with_value(|id| app.open.record.read().photos.iter().find(|p| p.id == *id).cloned())
    });
    let picture = RwSignal::new(Picture::Coming);
    spawn_local(async move {
        let Some(id) = key.try_get_value() else { return };
        let found = pictures::get(&id).await.ok().flatten();
        let address = found.and_then(|blob| Url::create_object_url_with_blob(&blob).ok());
        let next = address.map_or(Picture::Missing, Picture::Here);
        // The card may have left the page meanwhile.
        if let Some(Picture::Here(address)) = picture.try_set(next) {
            let _ = Url::revoke_object_url(&address);
        }
    });
    on_cleanup(move || {
        if let Some(Picture::Here(address)) = picture.try_get_untracked() {
            let _ = Url::revoke_object_url(&address);
        }
    });
    let source = move || match picture.get() {
        Picture::Here(address) => Some(address),
        _ => None,
    };
    let state = move || match picture.get() {
        Picture::Coming => "coming",
        Picture::Here(_) => "here",
        Picture::Missing => "missing",
    };
    let marks = Memo::new(move |_| photo.get().map_or(0, |p| p.marks.len()));
    let lead_buttons = move || {
        let about = photo.get().map(|p| p.about).unwrap_or_default();
        let leads = leads(&app.open.sheet.read(), &about);
        leads
            .into_iter()
            .map(move |lead| mark_button(key, format!("Mark {lead}"), lead))
            .collect_view()
    };
    let caption = Memo::new(move |_| photo.get().map(|p| p.caption).unwrap_or_default());
    let field = Field {
        id: format!("caption-{id}"),
        label: "What it shows".to_owned(),
        data: "caption".into(),
        ..Field::default()
    };
    let on_caption = Callback::new(move |text: String| edit(key, |p| p.caption = text));
    view! {
        <li class="photo" data-photo=id data-picture=text(state)>
            <h3 class="photo__title">
                {piece(move || photo.get().map(|p| format!("{}, {}", name(&p.about), p.taken.day(app.ahead))))}
            </h3>
            <div class="photo__frame">
                <img
                    class="photo__picture"
                    src=source
                    width=move || photo.get().map(|p| p.width.to_string())
                    height=move || photo.get().map(|p| p.height.to_string())
                    alt=text(move || photo.get().map(|p| alt(&p)).unwrap_or_default())
                    on:click=move |e: MouseEvent| place_mark(key, &e)
                />
                {each(move || (0..marks.get()).collect(), move |at| pin(key, photo, at))}
                <p class="photo__missing" hidden=flag(move || picture.get() != Picture::Missing)>
                    "The picture is not in this browser. Open the file that the set was exported to with its photos."
                </p>
            </div>
            <TextField field value=caption on_input=on_caption/>
            <ol class="photo__marks">
                {each(move || (0..marks.get()).collect(), move |at| mark_row(key, photo, at))}
            </ol>
            <div class="buttons no-print">
                {piece(lead_buttons)}
                {mark_button(key, "Add a mark".to_owned(), String::new())}
                <Delete key/>
            </div>
        </li>
    }
}

/// A button that sets a mark in the middle, to be moved where it belongs.
fn mark_button(key: StoredValue<String>, label: String, words: String) -> AnyView {
    let add = move |_| {
        let text = words.clone();
        edit(key, |p| p.marks.push(Mark { text, ..Mark::at(0.5, 0.5) }));
    };
    view! { <button class="button button--small" type="button" on:click=add>{label}</button> }
        .into_any()
}

/// Deletes a photo at the second press.
#[component]
fn Delete(
    /// The photo.
    key: StoredValue<String>,
) -> impl IntoView {
    let app = app();
    let asked = RwSignal::new(false);
    let press = move |_| {
        if !asked.get_untracked() {
            asked.set(true);
            return;
        }
        let id = key.get_value();
        app.change_open(|set| set.photos.retain(|p| p.id != id));
        photo_files::drop_unused(app, vec![id]);
    };
    let label = move || if asked.get() { "Really delete" } else { "Delete" };
    view! {
        <button
            class="button button--small"
            type="button"
            on:click=press
            on:blur=move |_| {
                let _ = asked.try_set(false);
            }
        >
            {piece(label)}
        </button>
    }
}

/// Sets a mark where the picture was pressed.
fn place_mark(key: StoredValue<String>, event: &MouseEvent) {
    let Some(target) = event.current_target() else { return };
    let element: Element = target.unchecked_into();
    let (width, height) = (element.client_width(), element.client_height());
    if width > 0 && height > 0 {
        let share = |at: i32, of: i32| f64::from(at) / f64::from(of);
        let (x, y) = (share(event.offset_x(), width), share(event.offset_y(), height));
        edit(key, |p| p.marks.push(Mark::at(x, y)));
    }
}

/// A mark on the picture; arrow keys move it.
fn pin(key: StoredValue<String>, photo: Memo<Option<Photo>>, at: usize) -> AnyView {
    let mark = Memo::new(move |_| photo.get().and_then(|p| p.marks.get(at).cloned()));
    let left = move || mark.get().map(|m| format!("{}%", m.percent().0));
    let top = move || mark.get().map(|m| format!("{}%", m.percent().1));
    let label = move || {
        let words = mark.get().map(|m| m.text).unwrap_or_default();
        let words = if words.is_empty() { "no words yet".to_owned() } else { words };
        format!("Mark {}: {words}. Arrow keys move it.", at + 1)
    };
    let move_it = move |e: KeyboardEvent| {
        let step = if e.shift_key() { STEPS.1 } else { STEPS.0 };
        let (x, y) = match e.key().as_str() {
            "ArrowLeft" => (-step, 0.0),
            "ArrowRight" => (step, 0.0),
            "ArrowUp" => (0.0, -step),
            "ArrowDown" => (0.0, step),
            _ => return,
        };
        e.prevent_default();
        edit(key, |p| {
            if let Some(mark) = p.marks.get_mut(at) {
                mark.shift(x, y);
            }
        });
    };
    view! {
        <button
            class="photo__pin"
            type="button"
            data-mark=(at + 1).to_string()
            aria-label=text(label)
            style:left=left
            style:top=top
            on:keydown=move_it
        >
            {at + 1}
        </button>
    }
    .into_any()
}

/// What a mark says.
fn mark_row(key: StoredValue<String>, photo: Memo<Option<Photo>>, at: usize) -> AnyView {
    let words = Memo::new(move |_| {
        photo.get().and_then(|p| p.marks.get(at).map(|m| m.text.clone())).unwrap_or_default()
    });
    let field = Field {
        id: format!("mark-{}-{at}", key.get_value()),
        label: format!("Mark {}", at + 1),
        data: "mark".into(),
        ..Field::default()
    };
    let on_input = Callback::new(move |text: String| {
        edit(key, |p| {
            if let Some(mark) = p.marks.get_mut(at) {
                mark.text = text;
            }
        });
    });
    let take_off = move |_| {
        edit(key, |p| {
            if at < p.marks.len() {
                p.marks.remove(at);
            }
        });
    };
    view! {
        <li class="photo__mark">
            <TextField field value=words on_input>
                <button
                    class="button button--tool no-print"
                    type="button"
                    aria-label=format!("Take mark {} off", at + 1)
                    on:click=take_off
                >
                    "✕"
                </button>
            </TextField>
        </li>
    }
    .into_any()
}

fn edit(key: StoredValue<String>, change: impl FnOnce(&mut Photo)) {
    key.with_value(|id| {
        app().change_open(|set| {
            if let Some(photo) = set.photos.iter_mut().find(|p| p.id == *id) {
                change(photo);
            }
        });
    });
}
