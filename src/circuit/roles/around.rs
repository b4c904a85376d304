//! What lies around a node: resistors, controls, coils and capacitors that
//! meet it, and what is reached through them.

use crate::circuit::points::{Points, Traits};
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use rustc_hash::{FxHashMap, FxHashSet};

/// What joins two nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Through {
    /// A resistor of so many ohms.
    Resistor(f64),
    /// A control's track, or half of it.
    Control(f64),
    /// A coil or winding.
    Coil,
    /// A capacitor.
    Capacitor,
}

/// A way from one node to another.
#[derive(Debug, Clone, Copy)]
pub struct Link {
    pub to: NodeIndex,
    pub through: Through,
}

/// All ways, by node.
#[derive(Debug, Clone, Default)]
pub struct Around {
    links: Vec<Vec<Link>>,
    /// Coils and windings by their two ends, the lower first, taps counted as
    /// ends; the value is the part's index.
    coils: FxHashMap<(NodeIndex, NodeIndex), usize>,
    /// Nodes that end a coil or winding.
    coil_ends: FxHashSet<NodeIndex>,
    /// Terminals of controls that are neither end: wipers and taps.
    wipers: FxHashSet<NodeIndex>,
    /// Terminals of switches.
    switched: FxHashSet<NodeIndex>,
}

/// The most nodes that a search looks at: a stage has far fewer.
const MOST_NODES: usize = 48;

impl Around {
    pub fn of(sheet: &Sheet, wiring: &Wiring) -> Self {
        let mut around = Self { links: vec![Vec::new(); wiring.nodes.len()], ..Self::default() };
        for part in &sheet.parts {
            around.part(part, wiring);
        }
        around
    }

    fn part(&mut self, part: &Part, wiring: &Wiring) {
        let leads = wiring.leads(part);
        match part.kind {
            PartKind::Resistor => {
                let ohms = part.resistance.map_or(0.0, crate::trade::quantity::Resistance::to_f64);
                self.join(leads, Through::Resistor(ohms));
            }
            PartKind::Capacitor => self.join(leads, Through::Capacitor),
            PartKind::Coil => self.coil(leads, wiring, part),
            PartKind::Potentiometer => self.control(part, wiring),
            PartKind::Transformer => {
                for winding in &part.windings {
                    let at = |t: &str| wiring.terminal(part, t);
                    let (start, end) = (at(&winding.start), at(&winding.end));
                    self.coil(start.zip(end), wiring, part);
                    if let Some(tap) = winding.tap.as_deref().and_then(at) {
                        self.coil(start.zip(Some(tap)), wiring, part);
                        self.coil(Some(tap).zip(end), wiring, part);
                    }
                }
            }
            PartKind::Switch => self.switch(part, wiring),
            _ => {}
        }
    }

    fn join(&mut self, ends: Option<(NodeIndex, NodeIndex)>, through: Through) {
        let Some((a, b)) = ends.filter(|(a, b)| a != b) else { return };
        self.links[a].push(Link { to: b, through });
        self.links[b].push(Link { to: a, through });
    }

    fn coil(&mut self, ends: Option<(NodeIndex, NodeIndex)>, wiring: &Wiring, part: &Part) {
        self.join(ends, Through::Coil);
        if let (Some((a, b)), Some(index)) = (ends, wiring.part(&part.designator.to_string())) {
            self.coils.entry((a.min(b), a.max(b))).or_insert(index);
            self.coil_ends.extend([a, b]);
        }
    }

    /// A control's wiper stands in its middle.
    fn control(&mut self, part: &Part, wiring: &Wiring) {
        let Some((a, b)) = wiring.leads(part) else { return };
        let ohms = part.resistance.map_or(0.0, crate::trade::quantity::Resistance::to_f64);
        let wiper = ["2", "w", "wiper", "arm"].iter().find_map(|t| wiring.terminal(part, t));
        match wiper.filter(|w| *w != a && *w != b) {
            Some(wiper) => {
                self.wipers.insert(wiper);
                self.join(Some((a, wiper)), Through::Control(ohms / 2.0));
                self.join(Some((wiper, b)), Through::Control(ohms / 2.0));
            }
            None => self.join(Some((a, b)), Through::Control(ohms)),
        }
    }

    fn switch(&mut self, part: &Part, wiring: &Wiring) {
        self.switched.extend(wiring.terminals_of(&part.designator.to_string()));
    }

    /// The part whose coil or winding has both nodes as ends.
    pub fn coil_across(&self, a: NodeIndex, b: NodeIndex) -> Option<usize> {
        self.coils.get(&(a.min(b), a.max(b))).copied()
    }

    pub fn ends_coil(&self, node: NodeIndex) -> bool {
        self.coil_ends.contains(&node)
    }

    pub fn is_wiper(&self, node: NodeIndex) -> bool {
        self.wipers.contains(&node)
    }

    pub fn is_switched(&self, node: NodeIndex) -> bool {
        self.switched.contains(&node)
    }

    /// Whether every way from a node but through capacitors is a resistor or a
    /// control to a return.
    pub fn only_returns(&self, node: NodeIndex, points: &Points) -> Option<bool> {
        let mut control = false;
        let mut any = false;
        for link in &self.links[node] {
            match link.through {
                Through::Capacitor => continue,
                Through::Control(_) => control = true,
                Through::Resistor(_) => {}
                Through::Coil => return None,
            }
            any = true;
            if !points.traits(link.to).has(Traits::RETURN) {
                return None;
            }
        }
        any.then_some(control)
    }

    /// Ohms from a node to the nearest one with `wanted`, through resistors,
    /// controls and coils (no ohms), not past returns and supply points.
    pub fn ohms_to(&self, from: NodeIndex, wanted: Traits, points: &Points) -> Option<f64> {
        let mut best: FxHashMap<NodeIndex, f64> = FxHashMap::from_iter([(from, 0.0)]);
        let mut open = vec![(0.0_f64, from)];
        let mut done = FxHashSet::default();
        while let Some(at) = (0..open.len()).min_by(|a, b| open[*a].0.total_cmp(&open[*b].0)) {
            let (ohms, node) = open.swap_remove(at);
            if !done.insert(node) {
                continue;
            }
            let traits = points.traits(node);
            // A grounded diode plate is no diode's load.
            if traits.has(wanted) && (wanted == Traits::RETURN || !traits.has(Traits::RETURN)) {
                return Some(ohms);
            }
            if traits.has(Traits::RETURN)
                || traits.has(Traits::ANY_B_PLUS)
                || done.len() > MOST_NODES
            {
                continue;
            }
            for link in &self.links[node] {
                let more = match link.through {
                    Through::Resistor(own) | Through::Control(own) => own,
                    Through::Coil => 0.0,
                    Through::Capacitor => continue,
                };
                let total = ohms + more;
                if best.get(&link.to).is_none_or(|known| total < *known) {
                    best.insert(link.to, total);
                    open.push((total, link.to));
                }
            }
        }
        None
    }

    /// Whether a signal at a node reaches one with `wanted`: through resistors,
    /// controls, coils and one capacitor more, not past returns, supply points
    /// and the plate that it came from.
    pub fn leads_to(
        &self,
        from: NodeIndex,
        wanted: Traits,
        not: NodeIndex,
        points: &Points,
    ) -> bool {
        let mut seen = FxHashSet::from_iter([(from, false), (not, false), (not, true)]);
        let mut open = vec![(from, false)];
        while let Some((node, passed)) = open.pop() {
            let traits = points.traits(node);
            if traits.has(wanted) && !traits.has(Traits::RETURN) {
                return true;
            }
            let end = traits.has(Traits::RETURN) || traits.has(Traits::ANY_B_PLUS);
            if end || seen.len() > MOST_NODES {
                continue;
            }
            for link in &self.links[node] {
                let capacitor = link.through == Through::Capacitor;
                if capacitor && passed {
                    continue;
                }
                let next = (link.to, passed || capacitor);
                if seen.insert(next) {
                    open.push(next);
                }
            }
        }
        false
    }
}
