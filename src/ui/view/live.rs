//! Nodes on the page.

use super::each::LiveEach;
use super::element::LiveElement;
use super::{Make, Node, Text};
use crate::ui::leptos::prelude::{Owner, RenderEffect, document};
use crate::ui::leptos::web_sys;
use any_spawner::{CustomExecutor, Executor, PinnedFuture, PinnedLocalFuture};
use std::cell::RefCell;
use std::rc::Rc;

/// A node on the page.
pub enum Live {
    /// A text.
    Text(web_sys::Text, Text),
    /// An element.
    Element(Box<LiveElement>),
    /// Several, or none.
    Many(Vec<Live>),
    /// A piece that follows what it reads.
    Following(Following),
    /// One piece for each key.
    Each(LiveEach),
}

/// A piece that follows what it reads.
pub struct Following {
    /// Where it ends.
    end: web_sys::Node,
    content: Rc<RefCell<Live>>,
    /// Held for its being dropped with the piece.
    effect: Option<RenderEffect<()>>,
}

/// Shows a node on the page, for good.
pub fn mount_to_body(make: impl FnOnce() -> Node) {
    // An error means that it was done before.
    let _ = Executor::init_custom_executor(Tasks);
    let owner = Owner::new();
    let live = owner.with(|| {
        let body = document().body();
        body.map(|body| mount(make(), &body, None))
    });
    std::mem::forget((owner, live));
}

/// Runs tasks in the browser, all of one type: a task is compiled for each.
struct Tasks;

impl CustomExecutor for Tasks {
    fn spawn(&self, task: PinnedFuture<()>) {
        self.spawn_local(task);
    }

    fn spawn_local(&self, task: PinnedLocalFuture<()>) {
        wasm_bindgen_futures::spawn_local(task);
    }

    fn poll_local(&self) {}
}

/// Shows a node in a place.
pub fn mount(node: Node, parent: &web_sys::Node, before: Option<&web_sys::Node>) -> Live {
    match node {
        Node::Empty => Live::Many(Vec::new()),
        Node::Text(text) => {
            let node = document().create_text_node(&text);
            put(&node, parent, before);
            Live::Text(node, text)
        }
        Node::Element(widget) => {
            let live = LiveElement::new(*widget);
            put(&live.element, parent, before);
            Live::Element(Box::new(live))
        }
        Node::Many(nodes) => {
            Live::Many(nodes.into_iter().map(|node| mount(node, parent, before)).collect())
        }
        Node::Following(make) => {
            let end = mark(parent, before);
            let content = Rc::new(RefCell::new(Live::Many(Vec::new())));
            let effect = Some(follow(make, &end, &content));
            Live::Following(Following { end, content, effect })
        }
        Node::Each(source) => Live::Each(LiveEach::new(source, mark(parent, before))),
    }
}

fn follow(
    make: Box<dyn Make>,
    end: &web_sys::Node,
    content: &Rc<RefCell<Live>>,
) -> RenderEffect<()> {
    // An effect that was dropped keeps what it holds until its task has ended:
    // held by it, the effects inside would run on without their signals.
    let (end, content) = (end.clone(), Rc::downgrade(content));
    RenderEffect::new(move |_| {
        let node = make.make();
        if let (Some(content), Some(parent)) = (content.upgrade(), end.parent_node()) {
            patch(&mut content.borrow_mut(), node, &parent, Some(&end));
        }
    })
}

/// An unseen end of what changes in number.
fn mark(parent: &web_sys::Node, before: Option<&web_sys::Node>) -> web_sys::Node {
    let mark = document().create_text_node("").into();
    put(&mark, parent, before);
    mark
}

/// Refused only where `before` is not of `parent`, which it is throughout.
pub fn put(node: &web_sys::Node, parent: &web_sys::Node, before: Option<&web_sys::Node>) {
    let _ = parent.insert_before(node, before);
}

/// Makes what is on the page into what another node describes, and keeps what
/// is the same in both. `before` is what comes after it on the page.
pub fn patch(live: &mut Live, node: Node, parent: &web_sys::Node, before: Option<&web_sys::Node>) {
    match (&mut *live, node) {
        (Live::Text(on_page, old), Node::Text(new)) => {
            if *old != new {
                on_page.set_data(&new);
                *old = new;
            }
        }
        (Live::Element(old), Node::Element(new)) if old.fits(&new) => old.patch(*new),
        (Live::Many(old), Node::Many(new)) => patch_list(old, new, parent, before),
        (Live::Following(old), Node::Following(make)) => {
            // The old one must not run once more.
            old.effect = None;
            old.effect = Some(follow(make, &old.end, &old.content));
        }
        (_, node) => {
            let first = first_of(live);
            let new = mount(node, parent, first.as_ref().or(before));
            remove(std::mem::replace(live, new));
        }
    }
}

/// The same for several.
pub fn patch_list(
    old: &mut Vec<Live>,
    mut new: Vec<Node>,
    parent: &web_sys::Node,
    before: Option<&web_sys::Node>,
) {
    old.drain(new.len().min(old.len())..).for_each(remove);
    let kept = old.len();
    for node in new.split_off(kept) {
        old.push(mount(node, parent, before));
    }
    let mut next = old.iter().skip(kept).find_map(first_of).or_else(|| before.cloned());
    for (live, node) in old.iter_mut().take(kept).zip(new).rev() {
        patch(live, node, parent, next.as_ref());
        next = first_of(live).or(next);
    }
}

/// The first of a piece that is on the page.
pub fn first_of(live: &Live) -> Option<web_sys::Node> {
    match live {
        Live::Text(node, _) => Some(node.clone().into()),
        Live::Element(live) => Some(live.element.clone().into()),
        Live::Many(all) => all.iter().find_map(first_of),
        Live::Following(live) => {
            Some(first_of(&live.content.borrow()).unwrap_or_else(|| live.end.clone()))
        }
        Live::Each(live) => Some(live.first()),
    }
}

/// Does something with each of the outermost nodes of a piece, in their order.
pub fn outermost(live: &Live, act: &mut dyn FnMut(&web_sys::Node)) {
    match live {
        Live::Text(node, _) => act(node),
        Live::Element(live) => act(&live.element),
        Live::Many(all) => all.iter().for_each(|live| outermost(live, act)),
        Live::Following(live) => {
            outermost(&live.content.borrow(), act);
            act(&live.end);
        }
        Live::Each(live) => live.outermost(act),
    }
}

/// Takes a piece off the page. It leaves the page first and is dropped then:
/// a field that has the keyboard is told that it loses it.
#[allow(clippy::needless_pass_by_value)] // that is the point
pub fn remove(live: Live) {
    outermost(&live, &mut |node| {
        if let Some(parent) = node.parent_node() {
            let _ = parent.remove_child(node);
        }
    });
}
