//! The parts list: text or table, what was made of it, and how to put it right.

use super::editor::Editor;
use super::keys::TOLD;
use super::notes::Notes;
use crate::ui::intake;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{FileButton, HazardStrip};
use crate::ui::state::{PartsView, app};
use crate::ui::view::prelude::*;
use crate::ui::words;
use crate::ui::workshop::{Extra, Workshop};

/// The parts list of the open set.
#[component]
pub fn PartsScreen() -> impl IntoView {
    let app = app();
    let is_text = Memo::new(move |_| app.parts_view.get() == PartsView::Text);
    view! {
        <div class="parts">
            <h2 class="sheet__title">"Parts list"</h2>
            <HazardStrip plan=app.open.plan/>
            <Toolbar/>
            {piece(move || if is_text.get() { view! { <Editor/> }.into_any() } else { app.workshop.get().extra(Extra::Table) })}
            <Notes/>
        </div>
    }
}

/// How the list is shown, undo, files, keys.
#[component]
fn Toolbar() -> impl IntoView {
    let app = app();
    let views = [(PartsView::Text, "Text"), (PartsView::Table, "Table")];
    let count = move || match app.workshop.get() {
        Workshop::Open(_) => words::count(app.open.sheet.read().parts.len(), "part", "parts"),
        _ => "Not read yet: the rest is still loading".to_owned(),
    };
    view! {
        <div class="toolbar">
            <fieldset class="segments" data-control="parts-view">
                <legend class="unseen">"Show the list as"</legend>
                {views
                    .map(|(choice, label)| {
                        view! {
                            <label class="segments__item">
                                <input
                                    class="segments__input"
                                    type="radio"
                                    name="parts-view"
                                    prop:checked=flag(move || app.parts_view.get() == choice)
                                    on:change=move |_| app.parts_view.set(choice)
                                />
                                <span class="segments__label">{label}</span>
                            </label>
                        }
                    })
                    .collect_view()}
            </fieldset>
            <span class="toolbar__count">{piece(count)}</span>
            <div class="buttons">
                <button class="button" type="button" on:click=move |_| app.undo_text()>"Undo"</button>
                <button class="button" type="button" on:click=move |_| app.redo_text()>"Redo"</button>
                <FileButton
                    label="Import a list"
                    accept=intake::ACCEPT
                    on_file=Callback::new(move |file| intake::take_file(app, file))
                />
            </div>
            <details class="fold toolbar__help">
                <summary>"Keys and notation"</summary>
                <dl class="keys">
                    {TOLD
                        .map(|(keys, what)| {
                            view! {
                                <div class="keys__row">
                                    <dt><kbd>{keys}</kbd></dt>
                                    <dd>{what}</dd>
                                </div>
                            }
                        })
                        .collect_view()}
                </dl>
                <pre class="notation">{NOTATION}</pre>
            </details>
        </div>
    }
}

const NOTATION: &str = "\
C7   .05 400 V paper            V2.6 to V3.5    # value, rating, kind; where its leads go
C1A  40 mfd 150 V electrolytic  + B1 to B-      # + marks the positive lead; without it, the first
C1B  20 mfd 150 V electrolytic  between B2 and B-   # says nothing of the positive lead
R3   470K 1/2 W                 V2.6 to B2
V1   12SK7   1=chassis 8=B2                     # pin=place
wire V2.8 to chassis
area bottom cover: off: four screws             # an area without parts is a cover
area band switch: C7 C8 R3 after bottom cover   # also mark: and readjust:

Only designator and value are needed. The order does not matter. # begins a remark.";
