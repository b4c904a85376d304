//! One piece of the page for each key of a list.

use super::live::{Live, first_of, mount, outermost, put, remove};
use super::{IntoView, Node};
use crate::order;
use crate::ui::leptos::prelude::{Owner, RenderEffect, untrack};
use crate::ui::leptos::web_sys;
use std::cell::RefCell;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::rc::Rc;

/// Where the keys come from, and what is shown for them.
pub trait Source {
    /// Reads the keys anew and tells, for each, where it was before.
    fn read(&mut self) -> Vec<Option<usize>>;
    /// What is shown for the key at a place.
    fn view(&self, at: usize) -> Node;
}

/// One view for each key, kept while its key is there.
pub fn each<K, V>(keys: impl Fn() -> Vec<K> + 'static, view: impl Fn(K) -> V + 'static) -> Node
where
    K: Clone + Eq + Hash + 'static,
    V: IntoView,
{
    Node::Each(Box::new(Keyed { keys, view, now: Vec::new() }))
}

struct Keyed<K, F, G> {
    keys: F,
    view: G,
    now: Vec<K>,
}

impl<K, V, F, G> Source for Keyed<K, F, G>
where
    K: Clone + Eq + Hash,
    V: IntoView,
    F: Fn() -> Vec<K>,
    G: Fn(K) -> V,
{
    fn read(&mut self) -> Vec<Option<usize>> {
        let new = (self.keys)();
        let places = Places::of(self.now.iter().map(hash));
        let mut is_taken = vec![false; self.now.len()];
        let found = new.iter().map(|key| {
            let is_it = |at: &usize| !is_taken[*at] && self.now[*at] == *key;
            let found = places.of_hash(hash(key)).find(is_it)?;
            is_taken[found] = true;
            Some(found)
        });
        let found = found.collect();
        self.now = new;
        found
    }

    fn view(&self, at: usize) -> Node {
        self.now.get(at).map_or(Node::Empty, |key| (self.view)(key.clone()).into_view())
    }
}

fn hash<K: Hash>(key: &K) -> u64 {
    let mut hasher = DefaultHasher::new();
    key.hash(&mut hasher);
    hasher.finish()
}

/// The places of keys, by their hash.
struct Places(Vec<(u64, usize)>);

impl Places {
    fn of(hashes: impl Iterator<Item = u64>) -> Self {
        let mut places: Vec<_> = hashes.zip(0..).collect();
        order::sort(&mut places, |place| order::counting(place.0));
        Self(places)
    }

    fn of_hash(&self, hash: u64) -> impl Iterator<Item = usize> {
        let first = self.0.partition_point(|place| place.0 < hash);
        self.0.iter().skip(first).take_while(move |place| place.0 == hash).map(|place| place.1)
    }
}

/// A list on the page.
pub struct LiveEach {
    end: web_sys::Node,
    rows: Rc<RefCell<Vec<Row>>>,
    /// Held for its being dropped with the list.
    _effect: RenderEffect<()>,
}

/// What is shown for a key, and the owner of the signals in it.
struct Row {
    live: Live,
    owner: Owner,
}

impl LiveEach {
    /// Shows a list before its end.
    pub fn new(mut source: Box<dyn Source>, end: web_sys::Node) -> Self {
        let rows = Rc::new(RefCell::new(Vec::new()));
        // Rows outlive the runs of the effect.
        let owner = Owner::current().unwrap_or_default();
        let effect = {
            // Not held by the effect: see `live::follow`.
            let (rows, end) = (Rc::downgrade(&rows), end.clone());
            RenderEffect::new(move |_| {
                let places = source.read();
                if let Some(rows) = rows.upgrade() {
                    untrack(|| update(&mut rows.borrow_mut(), &places, &*source, &end, &owner));
                }
            })
        };
        Self { end, rows, _effect: effect }
    }

    /// Its first node.
    pub fn first(&self) -> web_sys::Node {
        first_row(&self.rows.borrow()).unwrap_or_else(|| self.end.clone())
    }

    /// Does something with each of the outermost nodes.
    pub fn outermost(&self, act: &mut dyn FnMut(&web_sys::Node)) {
        self.rows.borrow().iter().for_each(|row| outermost(&row.live, act));
        act(&self.end);
    }
}

fn first_row(rows: &[Row]) -> Option<web_sys::Node> {
    rows.iter().find_map(|row| first_of(&row.live))
}

/// Brings the rows into line with the keys.
fn update(
    rows: &mut Vec<Row>,
    places: &[Option<usize>],
    source: &dyn Source,
    end: &web_sys::Node,
    owner: &Owner,
) {
    let Some(parent) = end.parent_node() else { return };
    let mut old: Vec<Option<Row>> = rows.drain(..).map(Some).collect();
    let mut taken = places.iter().map(|place| old.get_mut((*place)?)?.take()).collect::<Vec<_>>();
    old.into_iter().flatten().for_each(drop_row);
    // From the last to the first: what stays in its order is not moved.
    let mut next = end.clone();
    let mut lowest = usize::MAX;
    let mut new = Vec::with_capacity(places.len());
    for at in (0..places.len()).rev() {
        let kept = taken.get_mut(at).and_then(Option::take);
        let row = if let (Some(row), Some(place)) = (kept, places[at]) {
            if place < lowest {
                lowest = place;
            } else {
                outermost(&row.live, &mut |node| put(node, &parent, Some(&next)));
            }
            row
        } else {
            let owner = owner.child();
            let live = owner.with(|| mount(source.view(at), &parent, Some(&next)));
            Row { live, owner }
        };
        next = first_of(&row.live).unwrap_or(next);
        new.push(row);
    }
    new.reverse();
    *rows = new;
}

/// The row leaves the page before its signals go.
fn drop_row(row: Row) {
    let Row { live, owner } = row;
    remove(live);
    owner.cleanup();
}
