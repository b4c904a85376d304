//! What is used of Leptos, from the crates of it that this is in. The crate of
//! that name has server functions in it, which come along unused as wasm.

pub use web_sys;

/// Events by their names.
pub mod ev {
    pub use tachys::html::event::*;
}

/// Signals, memos and effects; the window and its document.
pub mod prelude {
    pub use leptos_dom::helpers::*;
    pub use reactive_graph::callback::{Callable, Callback};
    pub use reactive_graph::computed::Memo;
    pub use reactive_graph::effect::{Effect, RenderEffect};
    pub use reactive_graph::graph::untrack;
    pub use reactive_graph::owner::{
        LocalStorage, Owner, StoredValue, expect_context, on_cleanup, provide_context,
    };
    pub use reactive_graph::signal::RwSignal;
    pub use reactive_graph::signal::guards::{Plain, ReadGuard};
    pub use reactive_graph::traits::*;
    pub use reactive_graph::wrappers::read::Signal;
}

/// Tasks.
pub mod task {
    pub use reactive_graph::spawn_local;
}
