//! A button that picks files.

use crate::ui::leptos::web_sys;
use crate::ui::leptos::web_sys::File;
use crate::ui::view::prelude::*;

/// Picks one or more files and hands them over.
#[component]
pub fn FileButton(
    /// What the button says.
    label: &'static str,
    /// The kinds offered, as `.txt,.csv`.
    accept: &'static str,
    /// Each file picked.
    #[prop(into)]
    on_file: Callback<File>,
) -> impl IntoView {
    let input: NodeRef<web_sys::HtmlInputElement> = NodeRef::new();
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
            multiple=true
            hidden=true
            accept=accept
            aria-label=label
            data-file=label
            on:change:target=move |e| {
                let picked = e.target().files();
                let files = picked.iter().flat_map(|l| (0..l.length()).filter_map(|i| l.get(i)));
                files.for_each(|file| on_file.run(file));
                // The same file can be picked again.
                e.target().set_value("");
            }
        />
    }
}
