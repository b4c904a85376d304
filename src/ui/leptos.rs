//! What is used of Leptos, in one place: signals, events, the document. Views
//! are made by [`super::view`].

pub use ::leptos::{ev, web_sys};

/// Signals, memos and effects; the window and its document.
pub mod prelude {
    pub use ::leptos::leptos_dom::helpers::*;
    pub use ::leptos::prelude::{
        Callable, Callback, Effect, LocalStorage, Memo, Owner, RenderEffect, RwSignal, Signal,
        StoredValue, expect_context, on_cleanup, provide_context, untrack,
    };
    pub use ::leptos::reactive::signal::guards::{Plain, ReadGuard};
    pub use ::leptos::reactive::traits::*;
}

/// Tasks.
pub mod task {
    pub use ::leptos::task::spawn_local;
}
