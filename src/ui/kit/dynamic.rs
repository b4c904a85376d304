//! What changes on the page, with its closure boxed.
//!
//! Leptos builds a render effect for the type of each closure, some kilobytes
//! of wasm a piece. Boxed, all of them share one.

use leptos::prelude::*;
use leptos::tachys::reactive_graph::SharedReactiveFunction;
use std::sync::{Arc, Mutex};

/// A changing piece of the page.
pub type Piece = SharedReactiveFunction<AnyView>;

/// A piece of the page that follows what it reads.
pub fn piece<V: IntoView + 'static>(view: impl Fn() -> V + Send + 'static) -> Piece {
    Arc::new(Mutex::new(move || view().into_any()))
}

/// A piece that is there only while a condition holds.
pub fn piece_if<V: IntoView + 'static>(
    holds: impl Fn() -> bool + Send + Sync + 'static,
    view: impl Fn() -> V + Send + 'static,
) -> Piece {
    let holds = Memo::new(move |_| holds());
    piece(move || holds.get().then(&view))
}

/// A text that follows what it reads.
pub fn text<S: Into<String>>(text: impl Fn() -> S + Send + Sync + 'static) -> Signal<String> {
    Signal::derive(move || text().into())
}

/// A word of a fixed set, or none, that follows what it reads.
pub fn word(
    word: impl Fn() -> Option<&'static str> + Send + Sync + 'static,
) -> Signal<Option<&'static str>> {
    Signal::derive(word)
}

/// A yes or no that follows what it reads.
pub fn flag(flag: impl Fn() -> bool + Send + Sync + 'static) -> Signal<bool> {
    Signal::derive(flag)
}

/// One view for each key, kept while its key is there.
pub fn each<K>(
    keys: impl Fn() -> Vec<K> + Send + Sync + 'static,
    view: impl Fn(K) -> AnyView + Send + Sync + 'static,
) -> AnyView
where
    K: Clone + Eq + std::hash::Hash + Send + Sync + 'static,
{
    let keys = Signal::derive(keys);
    let view: Arc<dyn Fn(K) -> AnyView + Send + Sync> = Arc::new(view);
    view! { <For each=move || keys.get() key=K::clone children=move |key| view(key)/> }.into_any()
}
