//! What screens are made of: one type of node, whatever it holds.
//!
//! A node describes a piece of the page; [`live`] puts it there and keeps it
//! up to date. Signals, memos, effects and owners are Leptos's own. Its views
//! are not used: they have a type, and so wasm of its own, for each element.

mod attr;
mod each;
mod element;
mod event;
mod live;
mod memo;
pub mod prelude;
mod signal;
mod widget;

pub use attr::{Attr, IntoAttr};
pub use each::each;
pub use event::{NodeRef, Targeted};
pub use firstglow_view::{component, view};
pub use live::mount_to_body;
pub use memo::{Memo, Signal};
pub use signal::RwSignal;
pub use widget::{html, svg};

use crate::ui::leptos::prelude::untrack;
use std::borrow::Cow;

/// Text that is known by now, or was made.
pub type Text = Cow<'static, str>;

/// A piece of the page.
pub enum Node {
    /// Nothing.
    Empty,
    /// A text.
    Text(Text),
    /// An element.
    Element(Box<widget::Widget>),
    /// Several, one after the other.
    Many(Vec<Node>),
    /// A piece that follows what it reads.
    Following(Box<dyn Make>),
    /// One piece for each key of a list that changes.
    Each(Box<dyn each::Source>),
}

/// Makes a piece of the page, as often as what it is made of changes.
///
/// A closure behind `dyn Fn` is compiled three times over, once for each way
/// to call one; behind a trait with one method it is compiled once.
pub trait Make {
    /// Makes it.
    fn make(&self) -> Node;
}

struct Made<F>(F);

impl<V: IntoView, F: Fn() -> V> Make for Made<F> {
    fn make(&self) -> Node {
        (self.0)().into_view()
    }
}

/// A piece of the page, by the name that Leptos has for it.
pub type AnyView = Node;

/// What a component finds between its tags.
pub type Children = Box<dyn FnOnce() -> Node>;

/// A text that never changes.
pub fn text(text: &'static str) -> Node {
    Node::Text(Cow::Borrowed(text))
}

/// Several nodes, one after the other.
pub fn many(nodes: Vec<Node>) -> Node {
    Node::Many(nodes)
}

/// Makes the node of a component; what it reads meanwhile is not followed.
pub fn component_node(make: Box<dyn FnOnce() -> Node>) -> Node {
    untrack(make)
}

/// The arguments of a component.
pub trait Props {
    /// What they are built with.
    type Builder;

    /// Begins with none of them.
    fn builder() -> Self::Builder;
}

/// Begins the arguments of a component.
pub fn props_of<P: Props>(_: fn(P) -> Node) -> P::Builder {
    P::builder()
}

/// What can stand in a view.
pub trait IntoView: Sized {
    /// As a node.
    fn into_view(self) -> Node;

    /// As a node, by the name that Leptos has for it.
    fn into_any(self) -> Node {
        self.into_view()
    }
}

impl IntoView for Node {
    fn into_view(self) -> Node {
        self
    }
}

impl IntoView for () {
    fn into_view(self) -> Node {
        Node::Empty
    }
}

impl IntoView for &'static str {
    fn into_view(self) -> Node {
        text(self)
    }
}

impl IntoView for String {
    fn into_view(self) -> Node {
        Node::Text(Cow::Owned(self))
    }
}

impl IntoView for usize {
    fn into_view(self) -> Node {
        self.to_string().into_view()
    }
}

impl IntoView for u32 {
    fn into_view(self) -> Node {
        (self as usize).into_view()
    }
}

impl IntoView for Signal<String> {
    fn into_view(self) -> Node {
        (move || self.get()).into_view()
    }
}

impl<V: IntoView> IntoView for Option<V> {
    fn into_view(self) -> Node {
        self.map_or(Node::Empty, V::into_view)
    }
}

impl<V: IntoView> IntoView for Vec<V> {
    fn into_view(self) -> Node {
        self.collect_view()
    }
}

impl<V: IntoView, F: Fn() -> V + 'static> IntoView for F {
    fn into_view(self) -> Node {
        Node::Following(Box::new(Made(self)))
    }
}

/// Several things that can stand in a view.
pub trait CollectView {
    /// As one node.
    fn collect_view(self) -> Node;
}

impl<I: IntoIterator<Item: IntoView>> CollectView for I {
    fn collect_view(self) -> Node {
        Node::Many(self.into_iter().map(IntoView::into_view).collect())
    }
}
