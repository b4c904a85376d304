//! What changes on the page.

use crate::ui::view::Memo;
use crate::ui::view::{Attr, IntoAttr, IntoView, Node};

pub use crate::ui::view::each;

/// A changing piece of the page.
pub type Piece = Node;

/// A piece of the page that follows what it reads.
pub fn piece<V: IntoView>(view: impl Fn() -> V + 'static) -> Node {
    view.into_view()
}

/// A piece that is there only while a condition holds.
pub fn piece_if<V: IntoView>(
    holds: impl Fn() -> bool + Send + Sync + 'static,
    view: impl Fn() -> V + 'static,
) -> Node {
    let holds = Memo::new(move |_| holds());
    piece(move || holds.get().then(&view))
}

/// A text that follows what it reads.
pub fn text<S: Into<String>>(text: impl Fn() -> S + 'static) -> Attr {
    (move || text().into()).into_attr()
}

/// A word of a fixed set, or none, that follows what it reads.
pub fn word(word: impl Fn() -> Option<&'static str> + 'static) -> Attr {
    word.into_attr()
}

/// A yes or no that follows what it reads.
pub fn flag(flag: impl Fn() -> bool + 'static) -> Attr {
    flag.into_attr()
}
