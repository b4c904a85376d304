//! The rows of a long list on the page.

use super::heights::{Drawn, Heights};
use crate::ui::kit::dynamic::{each, text};
use crate::ui::kit::printing;
use crate::ui::leptos::ev;
use crate::ui::leptos::web_sys::{Element, HtmlElement};
use crate::ui::view::prelude::*;
use crate::ui::view::{Attr, IntoAttr};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::ops::Range;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// What can have the keyboard.
const REACHABLE: &str = "button, input, select, textarea, a[href]";

/// What leaves room for rows that are not drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gap {
    /// A group of rows, in a table whose rows are groups.
    Group,
    /// A row of a table.
    Row,
    /// An item of a list.
    Item,
    /// A block among blocks.
    Block,
}

/// The rows of a list of which those in view are on the page.
///
/// The element around the rows takes [`Self::frame`] as its `node_ref` and
/// [`Self::look`] at `focusin`; [`Self::view`] is what stands in it, after
/// nothing but a caption or a head.
pub struct LongRows<K> {
    /// The keys of all rows.
    pub keys: Memo<Vec<K>>,
    /// The element around the rows.
    pub frame: NodeRef<Element>,
    drawn: Memo<Drawn>,
    heights: StoredValue<Heights>,
    width: StoredValue<f64>,
    seen: RwSignal<Range<usize>>,
    held: RwSignal<Option<u64>>,
    /// Counts what was learned of heights.
    turn: RwSignal<usize>,
}

impl<K> Clone for LongRows<K> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<K> Copy for LongRows<K> {}

/// A row, or room behind rows by where they end in the list: named so, room
/// changes places with no row, and a row that has the keyboard is never moved.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Item<K> {
    Room(usize),
    Row(K),
}

impl<K: Clone + Eq + Hash + Send + Sync + 'static> LongRows<K> {
    /// Follows keys, all of them different, whose rows are likely so high, in
    /// CSS pixels.
    pub fn new(keys: Memo<Vec<K>>, estimate: f64) -> Self {
        let heights = StoredValue::new(Heights::new(estimate));
        let (seen, held) = (RwSignal::new(0..0), RwSignal::new(None::<u64>));
        let (turn, printing) = (RwSignal::new(0_usize), printing());
        let ids = Memo::new(move |_| Arc::new(keys.read().iter().map(id_of).collect::<Vec<_>>()));
        let drawn = Memo::new(move |_| {
            let (ids, seen, held) = (ids.get(), seen.get(), held.get());
            let on_paper = printing.get();
            turn.track();
            let found = heights.try_update_value(|heights| {
                heights.follow(&ids);
                if on_paper || heights.is_short(ids.len()) {
                    return heights.whole();
                }
                heights.drawn(seen, held.and_then(|id| heights.place_of(id)))
            });
            found.unwrap_or_default()
        });
        let (frame, width) = (NodeRef::new(), StoredValue::new(0.0));
        let rows = Self { keys, frame, drawn, heights, width, seen, held, turn };
        rows.listen();
        rows
    }

    fn listen(self) {
        let scrolling = window_event_listener(ev::scroll, move |_| self.look());
        let resizing = window_event_listener(ev::resize, move |_| self.look());
        on_cleanup(move || {
            scrolling.remove();
            resizing.remove();
        });
        Effect::new(move |_| {
            self.keys.read();
            // The rows on the page may still be those of before: measured later.
            self.look_around();
            request_animation_frame(move || self.look());
        });
    }

    /// What stands in the frame.
    pub fn view(self, gap: Gap, row: impl Fn(K) -> AnyView + 'static) -> AnyView {
        let items = Memo::new(move |_| {
            let (drawn, keys) = (self.drawn.read(), self.keys.read());
            let stretches = drawn.stretches.iter().flat_map(|stretch| {
                let rows = keys.get(stretch.clone()).unwrap_or_default();
                rows.iter().cloned().map(Item::Row).chain([Item::Room(stretch.end)])
            });
            std::iter::once(Item::Room(0)).chain(stretches).collect::<Vec<_>>()
        });
        each(
            move || items.get(),
            move |item| match item {
                Item::Room(end) => self.room(gap, end),
                Item::Row(key) => row(key),
            },
        )
    }

    fn room(self, gap: Gap, end: usize) -> AnyView {
        let height = move || format!("{}px", self.drawn.read().gap_behind(end));
        match gap {
            Gap::Group => view! {
                <tbody class="gap" aria-hidden="true"><tr style:height=height><td></td></tr></tbody>
            },
            Gap::Row => {
                view! { <tr class="gap" aria-hidden="true" style:height=height><td></td></tr> }
            }
            Gap::Item => view! { <li class="gap" aria-hidden="true" style:height=height></li> },
            Gap::Block => view! { <div class="gap" aria-hidden="true" style:height=height></div> },
        }
    }

    /// The number of a row for assistive technology, `first` for the first.
    pub fn number(self, key: &K, first: usize) -> Attr {
        let key = key.clone();
        let is_there = move |keys: &[K], place: usize| keys.get(place) == Some(&key);
        // Where it was when it was drawn; that changes with the keys alone.
        let likely = {
            let (drawn, keys) = (self.drawn.read_untracked(), self.keys.read_untracked());
            drawn.places().find(|place| is_there(&keys, *place))
        };
        (move || {
            let keys = self.keys.read();
            let found = likely.filter(|place| is_there(&keys, *place));
            let place = found.or_else(|| (0..keys.len()).find(|place| is_there(&keys, *place)))?;
            Some((place + first).to_string())
        })
        .into_attr()
    }

    /// How many rows there are, and some more, for assistive technology.
    pub fn total(self, more: usize) -> Attr {
        text(move || (self.keys.read().len() + more).to_string())
    }

    /// Whether some rows may not be on the page.
    pub fn is_long(self) -> bool {
        let count = self.keys.read().len();
        self.heights.try_with_value(|heights| !heights.is_short(count)) == Some(true)
    }

    /// Keeps a row on the page, wherever the page is scrolled to, until another
    /// one has the keyboard.
    pub fn hold(self, key: &K) {
        self.held.set(Some(id_of(key)));
    }

    /// Brings a row into view and the keyboard to it.
    pub fn go_to(self, key: &K) {
        self.hold(key);
        let id = id_of(key);
        request_animation_frame(move || {
            let on_page = self.on_page();
            let place = self.heights.try_with_value(|heights| heights.place_of(id)).flatten();
            let Some((_, row)) = on_page.iter().find(|(own, _)| place == Some(*own)) else {
                return;
            };
            let middle = view_height() / 2.0;
            let down = row.get_bounding_client_rect().top() - middle;
            window().scroll_by_with_x_and_y(0.0, down);
            let first = row.query_selector(REACHABLE).ok().flatten();
            if let Some(first) = first.and_then(|e| e.dyn_into::<HtmlElement>().ok()) {
                let _ = first.focus();
            }
        });
    }

    /// Looks what is in view, what has the keyboard, and how high rows are.
    pub fn look(self) {
        self.measure();
        self.look_around();
    }

    /// The rows on the page with their places in the list.
    fn on_page(self) -> Vec<(usize, Element)> {
        let Some(frame) = self.frame.get() else { return Vec::new() };
        let mut next = first_gap(&frame);
        let mut elements = Vec::new();
        while let Some(element) = next {
            next = element.next_element_sibling();
            if !is_gap(&element) {
                elements.push(element);
            }
        }
        let drawn = self.drawn.read_untracked();
        // What is drawn and what is on the page are one, but for a moment.
        if drawn.places().count() != elements.len() {
            return Vec::new();
        }
        drawn.places().zip(elements).collect()
    }

    fn measure(self) {
        let Some(frame) = self.frame.get() else { return };
        let on_page = self.on_page();
        let active = document().active_element();
        let mut focused = None;
        let width = frame.get_bounding_client_rect().width();
        let is_news = self.heights.try_update_value(|heights| {
            if self.width.try_get_value().is_some_and(|old| (old - width).abs() > 0.5) {
                heights.forget();
                self.width.set_value(width);
            }
            for (place, row) in &on_page {
                heights.measure(*place, height_of(row));
                if active.as_ref().is_some_and(|active| row.contains(Some(active))) {
                    focused = heights.id_at(*place);
                }
            }
            heights.settle()
        });
        if focused.is_some() {
            self.held.maybe_update(|held| {
                let is_other = *held != focused;
                *held = focused;
                is_other
            });
        }
        if is_news == Some(true) {
            self.turn.update(|turn| *turn = turn.wrapping_add(1));
        }
    }

    fn look_around(self) {
        let Some(top) = self.frame.get().as_ref().and_then(first_gap) else { return };
        let top = top.get_bounding_client_rect().top();
        let (height, margin) = (view_height(), view_height() / 2.0);
        let found = self
            .heights
            .try_with_value(|heights| heights.between(-top - margin, height + margin - top));
        self.seen.maybe_update(|seen| {
            let found = found.unwrap_or(0..0);
            let is_other = *seen != found;
            *seen = found;
            is_other
        });
    }
}

fn id_of<K: Hash>(key: &K) -> u64 {
    let mut hasher = DefaultHasher::new();
    key.hash(&mut hasher);
    hasher.finish()
}

fn view_height() -> f64 {
    window().inner_height().ok().and_then(|height| height.as_f64()).unwrap_or(0.0)
}

fn is_gap(element: &Element) -> bool {
    element.class_list().contains("gap")
}

fn first_gap(frame: &Element) -> Option<Element> {
    let mut next = frame.first_element_child();
    while let Some(element) = next.as_ref().filter(|element| !is_gap(element)) {
        next = element.next_element_sibling();
    }
    next
}

/// The height that a row takes with the room below it.
fn height_of(row: &Element) -> f64 {
    let own = row.get_bounding_client_rect();
    let next = row.next_element_sibling().map(|next| next.get_bounding_client_rect());
    match next.map(|next| next.top() - own.top()) {
        Some(height) if height > 0.0 => height,
        _ => own.height(),
    }
}
