//! Which supplies of a set are known, and which points they make unknown.

use super::{Set, unknown};
use crate::circuit::feed::{Feed, Missing, Reach, unsolved_feed};
use crate::circuit::model::Model;
use crate::circuit::netlist::Element;

impl Set<'_> {
    /// Marks what the unsolved supplies can sway. Supplies that are closed and
    /// yet swayed count among them.
    pub(super) fn mark_unknown(&mut self) {
        let mut unknown = unknown::swayed(&self.running, &self.sources, &self.unsolved);
        for (feed, source) in self.feeds.iter().zip(&self.sources) {
            let ends = [feed.output, feed.back].map(|node| self.running.node(node).index());
            if source.is_some() && ends.iter().any(|end| unknown[*end]) {
                let other = unsolved_feed(&self.running, feed, Missing::OtherSupply);
                self.unsolved.push(other);
            }
            for node in &feed.pulsating {
                unknown[self.running.node(*node).index()] = true;
            }
        }
        unknown[crate::circuit::netlist::NodeId::GROUND.index()] = false;
        if self.has_battery || !self.feeds.is_empty() {
            self.unfed = unknown::unfed(&self.running, &mut unknown);
            self.open_cathodes = unknown::open_cathodes(&self.running, &mut unknown);
        }
        self.running.unknown = unknown;
        self.running.lacks_supply = !self.unsolved.is_empty();
    }

    /// Whether a supply's volts and amperes are known.
    pub fn is_known(&self, feed: &Feed) -> bool {
        [feed.output, feed.back].iter().all(|node| self.running.is_known(self.running.node(*node)))
    }

    /// Whether any supply or battery is known.
    pub(super) fn tells_anything(&self) -> bool {
        let fed = self.feeds.iter().zip(&self.sources);
        let mut known = fed.filter(|(feed, source)| source.is_some() && self.is_known(feed));
        let everything = self.unsolved.iter().any(|one| one.reach == Reach::Everything);
        known.next().is_some() || self.has_battery && !everything
    }
}

/// Which nodes sources tie to one another.
pub(super) struct Tied {
    root: Vec<usize>,
}

impl Tied {
    /// By the batteries.
    pub fn of(model: &Model) -> Self {
        let mut tied = Self { root: (0..model.net.node_count()).collect() };
        for (_, element) in model.net.elements() {
            if let Element::VoltageSource { plus, minus, .. } = *element {
                let (a, b) = (tied.find(plus.index()), tied.find(minus.index()));
                tied.root[a.max(b)] = a.min(b);
            }
        }
        tied
    }

    fn find(&mut self, mut node: usize) -> usize {
        while self.root[node] != node {
            self.root[node] = self.root[self.root[node]];
            node = self.root[node];
        }
        node
    }

    /// Ties a supply's ends.
    pub fn join(&mut self, model: &Model, feed: &Feed) -> Result<(), Missing> {
        let [plus, minus] = [feed.output, feed.back].map(|node| model.node(node).index());
        if plus == minus {
            return Err(Missing::Shorted);
        }
        let (a, b) = (self.find(plus), self.find(minus));
        if a == b {
            return Err(Missing::SharedOutput);
        }
        self.root[a.max(b)] = a.min(b);
        Ok(())
    }
}
