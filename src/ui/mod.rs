//! The screens: they show the plan and compute nothing.

use leptos::prelude::*;

/// Mounts the app on the page.
pub fn start() {
    mount_to_body(|| view! { <main><h1>"Firstglow"</h1></main> });
}
