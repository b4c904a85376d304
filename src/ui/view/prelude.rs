//! What every screen uses.

pub use super::{
    AnyView, Children, CollectView, IntoView, Memo, NodeRef, RwSignal, Signal, component, view,
};
pub use crate::ui::leptos::prelude::{
    Callable, Callback, Effect, Get, GetUntracked, GetValue, Read, ReadUntracked, Set, SetValue,
    StoredValue, Update, UpdateValue, With, WithUntracked, WithValue, document, expect_context,
    on_cleanup, provide_context, request_animation_frame, set_interval, window,
    window_event_listener,
};
