//! Elements as they are described.

use super::attr::{Attr, IntoAttr};
use super::event::{Handler, NodeRef, Targeted, owned};
use super::{IntoView, Node, Text};
use crate::ui::leptos::web_sys::Element;
use std::borrow::Cow;
use wasm_bindgen::JsCast;

/// What of an element is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// An attribute.
    Attribute,
    /// What a field holds.
    Property,
    /// A property of its style.
    Style,
    /// A class, there or not.
    Class,
}

/// Something that is set on an element.
pub struct Setting {
    /// What.
    pub kind: Kind,
    /// By what name.
    pub name: &'static str,
    /// To what.
    pub value: Attr,
}

/// An element.
pub struct Widget {
    /// The tag, and the names and values of what never changes, with a unit
    /// separator between them.
    pub fixed: &'static str,
    /// Whether it is of a drawing.
    pub is_svg: bool,
    /// What is set on it.
    pub settings: Vec<Setting>,
    /// What it listens for.
    pub listeners: Vec<(&'static str, Handler)>,
    /// Where it is to be found.
    pub refer: Option<Box<dyn Fn(Element)>>,
    /// What is in it.
    pub children: Vec<Node>,
}

/// An element in the making.
pub struct Builder(Box<Widget>);

/// Begins an element of a page.
pub fn html(fixed: &'static str) -> Builder {
    begin(fixed, false)
}

/// Begins an element of a drawing.
pub fn svg(fixed: &'static str) -> Builder {
    begin(fixed, true)
}

fn begin(fixed: &'static str, is_svg: bool) -> Builder {
    Builder(Box::new(Widget {
        fixed,
        is_svg,
        settings: Vec::new(),
        listeners: Vec::new(),
        refer: None,
        children: Vec::new(),
    }))
}

impl Builder {
    /// Sets an attribute.
    pub fn attr(self, name: &'static str, value: impl IntoAttr) -> Self {
        self.set(Kind::Attribute, name, value.into_attr())
    }

    /// Sets what a field holds.
    pub fn prop(self, name: &'static str, value: impl IntoAttr) -> Self {
        self.set(Kind::Property, name, value.into_attr())
    }

    /// Sets a property of the style.
    pub fn style(self, name: &'static str, value: impl IntoAttr) -> Self {
        self.set(Kind::Style, name, value.into_attr())
    }

    /// Has a class or not.
    pub fn class(self, name: &'static str, value: impl IntoAttr) -> Self {
        self.set(Kind::Class, name, value.into_attr())
    }

    /// Listens for an event.
    pub fn on<E: JsCast + 'static>(
        self,
        name: &'static str,
        handler: impl Fn(E) + 'static,
    ) -> Self {
        self.listen(name, owned(handler, JsCast::unchecked_into))
    }

    /// Listens for an event that is about the element itself.
    pub fn on_target<T: JsCast + 'static>(
        self,
        name: &'static str,
        handler: impl Fn(Targeted<T>) + 'static,
    ) -> Self {
        self.listen(name, owned(handler, Targeted::new))
    }

    /// Has the element be found again.
    pub fn refer<T: JsCast + 'static>(mut self, at: NodeRef<T>) -> Self {
        self.0.refer = Some(Box::new(move |element| at.keep(element)));
        self
    }

    /// Puts something in.
    pub fn child(self, child: impl IntoView) -> Self {
        self.node(child.into_view())
    }

    /// Puts a text in.
    #[inline(never)]
    pub fn words(mut self, text: &'static str) -> Self {
        self.0.children.push(Node::Text(Text::from(text)));
        self
    }

    /// Puts a node in.
    #[inline(never)]
    pub fn node(mut self, node: Node) -> Self {
        self.0.children.push(node);
        self
    }

    /// The element.
    pub fn done(self) -> Node {
        Node::Element(self.0)
    }

    #[inline(never)]
    fn set(mut self, kind: Kind, name: &'static str, value: Attr) -> Self {
        self.0.settings.push(Setting { kind, name, value });
        self
    }

    #[inline(never)]
    fn listen(mut self, name: &'static str, handler: Handler) -> Self {
        self.0.listeners.push((name, handler));
        self
    }
}

/// Nothing, as a text.
pub const NO_TEXT: Text = Cow::Borrowed("");
