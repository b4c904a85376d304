//! Elements on the page.

use super::attr::{Attr, Value};
use super::event::Listener;
use super::live::{Live, mount, patch_list};
use super::widget::{Kind, NO_TEXT, Setting, Widget};
use crate::ui::leptos::prelude::{RenderEffect, document};
use crate::ui::leptos::web_sys::{Element, HtmlElement, HtmlInputElement};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;
use wasm_bindgen::JsCast;

const SVG: &str = "http://www.w3.org/2000/svg";
const SEPARATOR: char = '\u{1f}';

/// An element on the page.
pub struct LiveElement {
    /// The element itself.
    pub element: Element,
    fixed: &'static str,
    is_svg: bool,
    settings: Vec<LiveSetting>,
    listeners: Vec<Listener>,
    children: Vec<Live>,
}

/// Something that is set on an element, and followed.
struct LiveSetting {
    kind: Kind,
    name: &'static str,
    now: Rc<RefCell<Value>>,
    /// Held for its being dropped with the element.
    _effect: Option<RenderEffect<()>>,
}

impl LiveElement {
    /// Makes an element with all that is in it.
    pub fn new(widget: Widget) -> Self {
        let Widget { fixed, is_svg, settings, listeners, refer, children } = widget;
        let element = make(fixed, is_svg);
        let children = children.into_iter().map(|child| mount(child, &element, None)).collect();
        let settings = settings.into_iter().map(|s| follow(&element, s, None)).collect();
        let listeners =
            listeners.into_iter().map(|(name, f)| Listener::new(&element, name, f)).collect();
        if let Some(refer) = refer {
            refer(element.clone());
        }
        Self { element, fixed, is_svg, settings, listeners, children }
    }

    /// Whether another description is of an element of the same make.
    pub fn fits(&self, widget: &Widget) -> bool {
        self.fixed == widget.fixed
            && self.is_svg == widget.is_svg
            && self.settings.len() == widget.settings.len()
            && self.listeners.len() == widget.listeners.len()
            && self
                .settings
                .iter()
                .zip(&widget.settings)
                .all(|(old, new)| old.kind == new.kind && old.name == new.name)
            && self.listeners.iter().zip(&widget.listeners).all(|(old, new)| old.name() == new.0)
    }

    /// Follows another description that fits from now on.
    pub fn patch(&mut self, widget: Widget) {
        patch_list(&mut self.children, widget.children, &self.element, None);
        for (old, new) in self.settings.iter_mut().zip(widget.settings) {
            let now = old.now.take();
            *old = follow(&self.element, new, Some(now));
        }
        for (old, (_, handler)) in self.listeners.iter().zip(widget.listeners) {
            old.replace(handler);
        }
        if let Some(refer) = widget.refer {
            refer(self.element.clone());
        }
    }
}

thread_local! {
    /// One of each element with what never changes on it, by where its
    /// description lies: the browser copies one faster than it is told all of it.
    static MADE: RefCell<HashMap<*const u8, Element>> = RefCell::default();
}

fn make(fixed: &'static str, is_svg: bool) -> Element {
    let copy = |element: &Element| element.clone_node().ok()?.dyn_into().ok();
    MADE.with_borrow_mut(|made| {
        let first = made.entry(fixed.as_ptr()).or_insert_with(|| describe(fixed, is_svg));
        // An element can be copied.
        copy(first).unwrap_or_else(|| describe(fixed, is_svg))
    })
}

fn describe(fixed: &str, is_svg: bool) -> Element {
    let mut words = fixed.split(SEPARATOR);
    let tag = words.next().unwrap_or_default();
    let made = if is_svg {
        document().create_element_ns(Some(SVG), tag)
    } else {
        document().create_element(tag)
    };
    // The tags are written in this program, and all of them can be made.
    let element = made.expect("a tag");
    while let (Some(name), Some(value)) = (words.next(), words.next()) {
        let _ = element.set_attribute(name, value);
    }
    element
}

/// Sets what is described, then and whenever it changes. `before` is what it
/// was set to, on an element that is on the page already.
fn follow(element: &Element, setting: Setting, before: Option<Value>) -> LiveSetting {
    let Setting { kind, name, value } = setting;
    let is_new = before.is_none();
    let now = Rc::new(RefCell::new(before.flatten()));
    let effect = match value {
        Attr::Fixed(value) => {
            update(element, kind, name, &now, value, is_new);
            None
        }
        Attr::Following(value) => {
            let (element, now) = (element.clone(), Rc::clone(&now));
            Some(RenderEffect::new(move |ran: Option<()>| {
                update(&element, kind, name, &now, value.give(), is_new && ran.is_none());
            }))
        }
    };
    LiveSetting { kind, name, now, _effect: effect }
}

fn update(
    element: &Element,
    kind: Kind,
    name: &str,
    now: &RefCell<Value>,
    value: Value,
    is_new: bool,
) {
    // What a field holds is changed by hand, too.
    if is_new || kind == Kind::Property || *now.borrow() != value {
        apply(element, kind, name, value.as_deref());
        *now.borrow_mut() = value;
    }
}

/// None of these can be refused: the names are written in this program.
fn apply(element: &Element, kind: Kind, name: &str, value: Option<&str>) {
    match (kind, value) {
        (Kind::Attribute, Some(value)) => drop(element.set_attribute(name, value)),
        (Kind::Attribute, None) => drop(element.remove_attribute(name)),
        (Kind::Property, value) => {
            // Text areas and lists of choices have the same two properties.
            let field: &HtmlInputElement = element.unchecked_ref();
            if name == "checked" {
                field.set_checked(value.is_some());
            } else if field.value() != value.unwrap_or(&NO_TEXT) {
                field.set_value(value.unwrap_or(&NO_TEXT));
            }
        }
        (Kind::Style, value) => {
            let style = element.unchecked_ref::<HtmlElement>().style();
            drop(style.set_property(name, value.unwrap_or(&NO_TEXT)));
        }
        (Kind::Class, value) => {
            drop(element.class_list().toggle_with_force(name, value.is_some()));
        }
    }
}
