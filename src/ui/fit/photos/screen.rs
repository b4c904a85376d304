//! Taking photos in, and showing them.

use super::card::Card;
use super::model::{MOST_CHOICES, Subject, offered, shown, storage, subjects};
use crate::bench::photo::{Photo, SET};
use crate::bench::set::SetId;
use crate::store::pack::crc;
use crate::ui::browser::now;
use crate::ui::browser::pictures::{self, PictureError};
use crate::ui::kit::dynamic::{each, flag, piece, text};
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys::{File, HtmlInputElement};
use crate::ui::long::GoTo;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use crate::ui::words;

/// So many photos are drawn at first; the rest on demand.
const AT_FIRST: usize = 24;

/// How storage stands, asked anew when that may have changed.
type Asked = RwSignal<Option<String>>;

/// Photos of the set.
#[component]
pub fn PhotosView() -> impl IntoView {
    let app = app();
    let about = RwSignal::new(String::new());
    let limit = RwSignal::new(AT_FIRST);
    let busy = RwSignal::new(None::<String>);
    let said: Asked = RwSignal::new(None);
    ask(said);
    let all = Memo::new(move |_| subjects(&app.open.sheet.read(), &app.open.record.read()));
    let ids = Memo::new(move |_| shown(&app.open.record.read(), &about.get()));
    let drawn = move || ids.read().iter().take(limit.get()).cloned().collect();
    let subjects = Memo::new(move |_| offered(&all.read(), &app.open.record.read(), &about.get()));
    let options = move || {
        let option = |s: Subject| {
            let chosen = about.with_untracked(|about| *about == s.about);
            view! { <option value=s.about selected=chosen>{s.label}</option> }
        };
        subjects.get().into_iter().map(option).collect_view()
    };
    let parts = Memo::new(move |_| {
        let many = all.read().len() > MOST_CHOICES;
        let sheet = app.open.sheet.read();
        let parts = sheet.parts.iter().filter(|_| many);
        parts.map(|part| part.key.clone()).collect::<Vec<_>>()
    });
    let choose = move |key: String| {
        limit.set(AT_FIRST);
        about.set(format!("part/{key}"));
    };
    let take = Callback::new(move |files: Vec<File>| {
        let about = about.get_untracked();
        let about = if about.is_empty() { SET.to_owned() } else { about };
        take_in(app, files, about, busy, said);
    });
    view! {
        <div class="photos__tools no-print">
            <div class="field" data-field="about">
                <label class="field__label" for="photos-of">"Photos of"</label>
                <select
                    class="field__input field__input--select"
                    id="photos-of"
                    prop:value=text(move || about.get())
                    on:change:target=move |e| {
                        limit.set(AT_FIRST);
                        about.set(e.target().value());
                    }
                >
                    <option value="">"Everything"</option>
                    {piece(options)}
                </select>
            </div>
            <div class="buttons">
                <Picker label="Take a photo" camera=true on_files=take/>
                <Picker label="Choose pictures" camera=false on_files=take/>
            </div>
        </div>
        <GoTo keys=parts on_go=Callback::new(choose)/>
        <p class="old__said" role="status" data-busy=text(move || busy.get().unwrap_or_default())>
            {piece(move || busy.get())}
        </p>
        <p class="photos__storage" data-storage="">
            {piece(move || said.get())}" "
            <button
                class="link no-print"
                type="button"
                on:click=move |_| {
                    spawn_local(async move {
                        let words = match pictures::persist().await {
                            Some(true) => "The browser will keep everything here until you clear it.",
                            Some(false) => "The browser did not agree to keep it for good: export the set now and then.",
                            None => "This browser cannot be asked to keep it.",
                        };
                        app.say(words, None);
                        ask(said);
                    });
                }
            >
                "Ask the browser to keep it"
            </button>
        </p>
        <p class="sheet__empty" hidden=flag(move || !ids.read().is_empty())>
            "No photos yet. A picture before each lead is loosened costs a minute and saves an evening."
        </p>
        <ul class="photos">{each(drawn, |id| view! { <Card id/> }.into_any())}</ul>
        <button
            class="button no-print"
            type="button"
            hidden=flag(move || ids.read().len() <= limit.get())
            on:click=move |_| limit.update(|n| *n += AT_FIRST)
        >
            "Show more photos"
        </button>
    }
}

/// A button that picks pictures, or opens the camera where there is one.
#[component]
fn Picker(
    /// What it says.
    label: &'static str,
    /// Whether it asks for the camera.
    camera: bool,
    /// What was picked.
    on_files: Callback<Vec<File>>,
) -> impl IntoView {
    let input: NodeRef<HtmlInputElement> = NodeRef::new();
    let open = move |_| {
        if let Some(input) = input.get() {
            input.click();
        }
    };
    view! {
        <button class="button" type="button" on:click=open>{label}</button>
        <input
            node_ref=input
            type="file"
            accept="image/*"
            capture=camera.then_some("environment")
            multiple=!camera
            hidden=true
            aria-label=label
            data-file=label
            on:change:target=move |e| {
                let picked = e.target().files();
                let files = picked.iter().flat_map(|l| (0..l.length()).filter_map(|i| l.get(i)));
                on_files.run(files.collect());
                // The same file can be picked again.
                e.target().set_value("");
            }
        />
    }
}

/// Asks what storage there is.
fn ask(said: Asked) {
    spawn_local(async move {
        let words = match pictures::storage().await {
            Some(found) => storage(found.used, found.of, found.persistent),
            None => "This browser does not say how much room is left.".to_owned(),
        };
        drop(said.try_set(Some(words)));
    });
}

/// Takes pictures in one after the other. One that does not come in says so and
/// stops nothing else, but for a full storage.
fn take_in(app: App, files: Vec<File>, about: String, busy: RwSignal<Option<String>>, said: Asked) {
    let Some(id) = app.open.id.get_untracked() else { return };
    spawn_local(async move {
        let count = files.len();
        let mut kept = 0;
        let mut wrong: Option<String> = None;
        for (at, file) in files.into_iter().enumerate() {
            drop(busy.try_set(Some(format!("Taking in {} of {count}…", at + 1))));
            match one(app, id, &file, &about).await {
                Ok(()) => kept += 1,
                Err(PictureError::Full) => {
                    wrong = Some(
                        "The browser's storage is full: the rest was not taken in, nothing else \
                         was lost. Export the set, or delete photos, then try again."
                            .to_owned(),
                    );
                    break;
                }
                Err(error) => wrong = Some(format!("{}: {error}.", file.name())),
            }
        }
        drop(busy.try_set(None));
        let counted = format!("{} taken in.", words::count(kept, "photo", "photos"));
        app.say(wrong.map_or(counted.clone(), |wrong| format!("{counted} {wrong}")), None);
        ask(said);
    });
}

/// Keeps one picture, then its description: never the other way round.
async fn one(app: App, set: SetId, file: &File, about: &str) -> Result<(), PictureError> {
    let made = pictures::scaled(file).await?;
    let bytes = pictures::bytes(&made.blob).await?;
    let size = u32::try_from(bytes.len()).map_err(|_| PictureError::NoPicture)?;
    let (taken, crc) = (now(), crc(&bytes));
    let id = Photo::name(taken, crc, size);
    pictures::put(&id, &made.blob).await?;
    let photo = Photo {
        id,
        about: about.to_owned(),
        taken,
        width: made.width,
        height: made.height,
        bytes: size,
        crc,
        ..Photo::default()
    };
    app.change_set(set, |set| set.photos.push(photo));
    Ok(())
}
