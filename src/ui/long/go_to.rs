//! The way to one row of a long list.

use super::find::find;
use super::heights::WHOLE;
use crate::ui::kit::dynamic::{flag, piece, text};
use crate::ui::view::prelude::*;

/// A field for the name of a part, which brings its row into view. There only
/// where a list is long: the browser itself finds only what is drawn.
#[component]
pub fn GoTo(
    /// The keys of all parts listed.
    keys: Memo<Vec<String>>,
    /// When one is to be gone to.
    #[prop(into)]
    on_go: Callback<String>,
) -> impl IntoView {
    let wanted = RwSignal::new(String::new());
    let said = RwSignal::new(String::new());
    let go = move || {
        let typed = wanted.get_untracked();
        let found = find(&keys.read_untracked(), &typed).cloned();
        said.set(match (&found, typed.trim()) {
            (Some(_), _) | (None, "") => String::new(),
            (None, typed) => format!("No part {typed} in this list."),
        });
        if let Some(key) = found {
            on_go.run(key);
        }
    };
    view! {
        <div class="go-to no-print" hidden=flag(move || keys.read().len() <= WHOLE)>
            <label class="go-to__label" for="go-to">"Go to part"</label>
            <input
                class="field__input go-to__field"
                id="go-to"
                type="text"
                autocomplete="off"
                spellcheck="false"
                prop:value=text(move || wanted.get())
                on:input:target=move |e| wanted.set(e.target().value())
                on:keydown=move |e| {
                    if e.key() == "Enter" {
                        e.prevent_default();
                        go();
                    }
                }
            />
            <button class="button" type="button" on:click=move |_| go()>"Go"</button>
            <p class="go-to__said" role="status">{piece(move || said.get())}</p>
        </div>
    }
}
