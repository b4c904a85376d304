//! Listeners, and elements to be found again.

use crate::ui::leptos::prelude::{GetValue, LocalStorage, Owner, SetValue, StoredValue};
use crate::ui::leptos::web_sys::{Element, Event};
use std::cell::RefCell;
use std::marker::PhantomData;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// What is done at an event.
pub type Handler = Rc<dyn Handle>;

/// Does something at an event.
pub trait Handle {
    /// Does it.
    fn handle(&self, event: Event);
}

/// A handler that takes an event of some kind, or the element it is about,
/// in the context of where it was made.
struct Owned<F, A> {
    owner: Owner,
    act: F,
    take: fn(Event) -> A,
}

impl<A, F: Fn(A)> Handle for Owned<F, A> {
    fn handle(&self, event: Event) {
        let (act, take) = (&self.act, self.take);
        within(&self.owner, &mut || act(take(event.clone())));
    }
}

fn within(owner: &Owner, act: &mut dyn FnMut()) {
    owner.with(act);
}

/// An event with the element that listens for it.
pub struct Targeted<T> {
    event: Event,
    element: PhantomData<T>,
}

impl<T: JsCast> Targeted<T> {
    pub(super) fn new(event: Event) -> Self {
        Self { event, element: PhantomData }
    }

    /// The element. Only events that are sent to the element itself are
    /// listened for this way, so there is one, of that kind.
    pub fn target(&self) -> T {
        self.event.current_target().map(JsCast::unchecked_into).expect("a listening element")
    }
}

/// An element that is found again once it is on the page.
pub struct NodeRef<T> {
    found: StoredValue<Option<Element>, LocalStorage>,
    kind: PhantomData<fn() -> T>,
}

impl<T> Clone for NodeRef<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for NodeRef<T> {}

impl<T: JsCast> NodeRef<T> {
    /// One for which there is no element yet.
    pub fn new() -> Self {
        Self { found: StoredValue::new_local(None), kind: PhantomData }
    }

    /// The element, while it is on the page.
    pub fn get(self) -> Option<T> {
        self.found.try_get_value().flatten().map(JsCast::unchecked_into)
    }

    pub(super) fn keep(self, element: Element) {
        self.found.set_value(Some(element));
    }
}

/// A listener on an element, for as long as it is kept.
pub struct Listener {
    name: &'static str,
    element: Element,
    handler: Rc<RefCell<Handler>>,
    closure: Closure<dyn Fn(Event)>,
}

impl Listener {
    pub(super) fn new(element: &Element, name: &'static str, handler: Handler) -> Self {
        let handler = Rc::new(RefCell::new(handler));
        let closure = {
            let handler = Rc::clone(&handler);
            Closure::<dyn Fn(Event)>::new(move |event| {
                let now = Rc::clone(&handler.borrow());
                now.handle(event);
            })
        };
        // Refused only where the name is not a name.
        let _ = element.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref());
        Self { name, element: element.clone(), handler, closure }
    }

    pub(super) fn name(&self) -> &'static str {
        self.name
    }

    pub(super) fn replace(&self, handler: Handler) {
        *self.handler.borrow_mut() = handler;
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let function = self.closure.as_ref().unchecked_ref();
        let _ = self.element.remove_event_listener_with_callback(self.name, function);
    }
}

/// Has a handler find the context of where it was made.
pub fn owned<A: 'static>(act: impl Fn(A) + 'static, take: fn(Event) -> A) -> Handler {
    Rc::new(Owned { owner: Owner::current().unwrap_or_default(), act, take })
}
