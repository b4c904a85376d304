//! The codes, the link and the file.

use super::code::Code;
use super::model::{Ready, carried, opens_elsewhere, ready};
use crate::bench::Bench;
use crate::store::arrival;
use crate::store::envelope;
use crate::store::exchange::file_name;
use crate::ui::browser::shelf::BrowserShelf;
use crate::ui::browser::{self, files, now, pack};
use crate::ui::buy::model::sections;
use crate::ui::kit::dynamic::{piece, text};
use crate::ui::leptos::task::spawn_local;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;

/// The whole set, to another device.
#[component]
pub fn CarrySet() -> impl IntoView {
    let app = app();
    note_shared(app);
    let id = app.open.record.get_untracked().id;
    let bench = app.bench.with_untracked(|bench| bench.only(id));
    let what = "The sheet with all checks, readings and notes. Pictures do not go along: they stay \
                on this device.";
    view! { <Carry bench what/> }
}

/// The buying list alone, to another device.
#[component]
pub fn CarryList() -> impl IntoView {
    let app = app();
    let name = app.open.record.get_untracked().name();
    let bench = carried(&name, &sections(&app.open.plan.get_untracked()), now());
    let what = "The buying list alone, to tick off at the counter. It is as it stands now: what you \
                change later does not follow.";
    view! { <Carry bench what/> }
}

/// Remembers that another device will have this state, so that the set can be
/// told apart from it when it comes back.
fn note_shared(app: App) {
    let record = app.open.record.get_untracked();
    // Without room, a set that comes back is merged without its past.
    let _ = arrival::remember(&BrowserShelf, &record, now());
    if record.shared.last() != Some(&arrival::mark(&record)) {
        app.change(|bench| bench.set_mut(record.id).map(arrival::note_shared));
    }
}

/// The ways out of this device.
#[component]
fn Carry(
    /// What goes.
    bench: Bench,
    /// What that is, in words.
    what: &'static str,
) -> impl IntoView {
    let app = app();
    let document = StoredValue::new(envelope::write(&bench).unwrap_or_default());
    let found = RwSignal::new(None::<Ready>);
    let page = browser::page_address();
    let opens = opens_elsewhere(&page);
    spawn_local(async move {
        let plain = document.get_value().into_bytes();
        let packed = pack::compress(&plain).await;
        let is_compressed = packed.is_some();
        // The screen may have been left meanwhile.
        drop(found.try_set(Some(ready(&packed.unwrap_or(plain), is_compressed, &page))));
    });
    let name = move || {
        let record = app.open.record.get_untracked();
        let base = record.name();
        file_name(&base, &now().iso_day(app.ahead), "txt")
    };
    let share = move |_| {
        let (name, document) = (name(), document.get_value());
        spawn_local(async move {
            if files::share(&name, &document).await.is_none() {
                app.say("This browser shares no files. Download the file instead.", None);
            }
        });
    };
    let download = move |_| {
        files::download(&name(), "text/plain", &document.get_value());
    };
    view! {
        <div class="carry">
            <p class="sheet__lead">{what}</p>
            {(!opens).then(|| view! { <p class="carry__own">{OWN_ADDRESS}</p> })}
            <div class="carry__ways">
                <section class="carry__way carry__way--codes" aria-labelledby="carry-codes">
                    <h2 class="carry__title" id="carry-codes">"Show codes"</h2>
                    {piece(move || codes(found.get(), opens))}
                </section>
                <section class="carry__way no-print" aria-labelledby="carry-link">
                    <h2 class="carry__title" id="carry-link">"Send a link"</h2>
                    {piece(move || link(app, found.get()))}
                </section>
                <section class="carry__way no-print" aria-labelledby="carry-file">
                    <h2 class="carry__title" id="carry-file">"Pass on a file"</h2>
                    <p>"The other device takes the file in by “Import a file” on its bench."</p>
                    <div class="buttons">
                        <button class="button" type="button" on:click=share>"Share the file"</button>
                        <button class="button" type="button" on:click=download>
                            "Download the file"
                        </button>
                    </div>
                </section>
            </div>
        </div>
    }
}

const OWN_ADDRESS: &str = "This copy of Firstglow has an address that only this device can open. On \
                           the other device, open Firstglow first, then “Take in” on its bench, \
                           and read the codes or paste the link there.";

fn codes(found: Option<Ready>, opens: bool) -> AnyView {
    let Some(found) = found else { return view! { <p>"Packing…"</p> }.into_any() };
    let codes = match found.codes {
        Ok(codes) => codes,
        Err(why) => return view! { <p data-refusal="codes">{why.to_string()}</p> }.into_any(),
    };
    let of = codes.len();
    let current = RwSignal::new(0_usize);
    let step = move |by: usize| current.update(|at| *at = (*at + by) % of);
    let how = opens.then(|| {
        view! { <p>"Point the telephone’s camera at the code and open the link it shows."</p> }
    });
    let more = (of > 1).then(|| {
        view! {
            <div class="carry__steps no-print">
                <button class="button" type="button" on:click=move |_| step(of - 1)>"Back"</button>
                <b>{piece(move || format!("{} of {of}", current.get() + 1))}</b>
                <button class="button" type="button" on:click=move |_| step(1)>"Next code"</button>
            </div>
        }
    });
    let order = (of > 1).then(|| {
        view! { <p>{format!("{of} codes, in any order; the other device says which are missing.")}</p> }
    });
    let figures = codes
        .into_iter()
        .enumerate()
        .map(|(at, code)| figure(&code, at, of, current))
        .collect_view();
    view! {
        {how}
        {order}
        <div class="carry__codes" data-codes=of.to_string()>{figures}</div>
        {more}
    }
    .into_any()
}

fn figure(code: &Code, at: usize, of: usize, current: RwSignal<usize>) -> AnyView {
    let words = format!("Code {} of {of}", at + 1);
    let shown = text(move || if current.get() == at { "yes" } else { "no" });
    view! {
        <figure class="carry__code" data-shown=shown data-code=(at + 1).to_string()>
            <svg
                role="img"
                aria-label=words.clone()
                viewBox=format!("0 0 {} {}", code.size, code.size)
                shape-rendering="crispEdges"
            >
                <rect class="carry__paper" width=code.size.to_string() height=code.size.to_string()/>
                <path class="carry__ink" d=code.path.clone()/>
            </svg>
            <figcaption>{words}</figcaption>
        </figure>
    }
    .into_any()
}

fn link(app: App, found: Option<Ready>) -> AnyView {
    let Some(found) = found else { return view! { <p>"Packing…"</p> }.into_any() };
    let link = match found.link {
        Ok(link) => link,
        Err(why) => return view! { <p data-refusal="link">{why.to_string()}</p> }.into_any(),
    };
    let copied = link.clone();
    let copy = move |_| {
        let text = copied.clone();
        spawn_local(async move {
            let words = if files::copy(text).await {
                "The link is on the clipboard."
            } else {
                "The browser did not let the page copy. Mark the link and copy it."
            };
            app.say(words, None);
        });
    };
    view! {
        <p>
            "All of it stands in the link itself, behind the #: no server sees it. Send it to \
             yourself by a message."
        </p>
        <textarea
            class="carry__link"
            rows="3"
            readonly=true
            aria-label="Link"
            prop:value=link
        ></textarea>
        <div class="buttons">
            <button class="button" type="button" on:click=copy>"Copy the link"</button>
        </div>
    }
    .into_any()
}
