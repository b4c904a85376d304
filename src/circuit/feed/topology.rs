//! From rectifiers on one point to the supply that they make.

use super::{
    Ends, Feed, Finder, Found, Hold, LEAST_FARADS, Missing, Reach, Reached, Store, Topology,
    Unsolved,
};
use crate::circuit::law::Law;
use crate::circuit::model::is_contact;
use crate::circuit::netlist::NodeId;
use crate::circuit::wiring::{End, NodeIndex};
use std::f64::consts::SQRT_2;

/// Rectifiers whose one side is one point.
pub(super) struct Group {
    /// Their places among the rectifiers.
    members: Vec<usize>,
    /// The point.
    fed: NodeIndex,
    /// Whether they give it current, or take it.
    up: bool,
}

/// What a group lacks.
type Lack = (Missing, Option<String>);

impl Finder<'_> {
    /// The rectifiers that lead where one does.
    pub(super) fn group(&self, at: usize, taken: &[bool]) -> Option<Group> {
        let (_, fed, up) = self.ends[at].driven()?;
        let members = (0..self.ends.len())
            .filter(|index| !taken[*index])
            .filter(|index| {
                self.ends[*index]
                    .driven()
                    .is_some_and(|(_, to, same)| same == up && self.at(to) == self.at(fed))
            })
            .collect();
        Some(Group { members, fed: self.best_named(fed), up })
    }

    /// The supply of a group: the rectifiers that it takes, and what they make.
    pub(super) fn supply(
        &self,
        group: &Group,
        taken: &[bool],
    ) -> (Vec<usize>, Result<Box<Feed>, Box<Unsolved>>) {
        let reached = self.reached(&group.members);
        let source = reached[0].source;
        let lack = if reached.iter().any(|r| r.source != source) {
            Some((Missing::SharedOutput, None))
        } else {
            self.unfit(source)
        };
        let (members, found) = match lack {
            Some(lack) => (group.members.clone(), Err(lack)),
            None => self.made(group, &reached, taken),
        };
        let result = match found {
            Ok(found) => Ok(Box::new(self.finish(found))),
            Err((missing, place)) => {
                Err(Box::new(self.unsolved(&members, source, Some(group.fed), missing, place)))
            }
        };
        (members, result)
    }

    fn reached(&self, members: &[usize]) -> Vec<Reached> {
        members.iter().filter_map(|index| Some(self.ends[*index].driven()?.0)).collect()
    }

    /// What the rectifiers of a group on one source make.
    fn made(
        &self,
        group: &Group,
        reached: &[Reached],
        taken: &[bool],
    ) -> (Vec<usize>, Result<Found, Lack>) {
        let others = self.others(group, reached, taken);
        if let Some((back, middle, turned)) = self.stacked(group, reached, &others) {
            return (
                joined(&group.members, &turned),
                self.stack(group, reached[0], (back, middle, &turned)),
            );
        }
        if let Some(back) = self.back(group, reached) {
            return (group.members.clone(), self.with_return(group, reached, back));
        }
        self.without_return(group, reached, &others)
    }

    /// Rectifiers of the other direction on the same terminals, by the point
    /// that they lead to.
    fn others(&self, group: &Group, reached: &[Reached], taken: &[bool]) -> Vec<Group> {
        let mut all: Vec<Group> = Vec::new();
        for (index, ends) in self.ends.iter().enumerate() {
            let Some((at, to, up)) = ends.driven().filter(|_| !taken[index]) else { continue };
            let same = |r: &Reached| r.source == at.source && r.terminal == at.terminal;
            if up == group.up || !reached.iter().any(same) {
                continue;
            }
            match all.iter_mut().find(|g| self.at(g.fed) == self.at(to)) {
                Some(with) => with.members.push(index),
                None => all.push(Group { members: vec![index], fed: self.best_named(to), up }),
            }
        }
        all
    }

    /// The other side of a full-wave doubler: its point, the terminal between
    /// its capacitors, and its rectifiers.
    fn stacked(
        &self,
        group: &Group,
        reached: &[Reached],
        others: &[Group],
    ) -> Option<(NodeIndex, usize, Vec<usize>)> {
        let first = reached[0];
        if terminals(reached).len() > 1 {
            return None;
        }
        let source = &self.sources.all[first.source];
        others.iter().find_map(|other| {
            let mut middles = (0..source.terminals.len()).filter(|at| *at != first.terminal);
            let middle = middles.find(|at| {
                let middle = &source.terminals[*at];
                !self.sources.is_quiet(middle.at)
                    && self.across(group.fed, middle.node).farads >= LEAST_FARADS
                    && self.across(middle.node, other.fed).farads >= LEAST_FARADS
            })?;
            Some((other.fed, middle, other.members.clone()))
        })
    }

    fn stack(
        &self,
        group: &Group,
        first: Reached,
        (other, middle, turned): (NodeIndex, usize, &[usize]),
    ) -> Result<Found, Lack> {
        if !self.paths.closes(self.at(group.fed), self.at(other)) {
            return Err((Missing::Return, None));
        }
        let (output, back) = if group.up { (group.fed, other) } else { (other, group.fed) };
        let source = &self.sources.all[first.source];
        let between = source.terminals[middle].node;
        let hold = Hold { slot: 1, plus: between, minus: back, source: None };
        let mut found =
            self.found(Topology::DoublerFullWave, (output, back), &group.members, (first, middle));
        found.devices.extend(turned.iter().flat_map(|index| self.ends[*index].devices.clone()));
        found.held = Some(hold);
        found.stores = [self.across(output, between), self.across(between, back)];
        Ok(found)
    }

    /// The terminal that what a group feeds comes back to.
    fn back(&self, group: &Group, reached: &[Reached]) -> Option<usize> {
        let source = &self.sources.all[reached[0].source];
        let fed = self.at(group.fed);
        let own: Vec<NodeId> = reached.iter().map(|r| source.terminals[r.terminal].at).collect();
        let candidates = source.terminals.iter().enumerate().filter(|(_, terminal)| {
            !own.contains(&terminal.at) && terminal.at != fed && self.paths.closes(fed, terminal.at)
        });
        candidates
            .min_by_key(|(_, t)| (!self.sources.is_quiet(t.at), !t.is_tap))
            .map(|(index, _)| index)
    }

    /// Half or full wave against a terminal.
    fn with_return(&self, group: &Group, reached: &[Reached], back: usize) -> Result<Found, Lack> {
        let source = &self.sources.all[reached[0].source];
        let common = source.terminals[back].node;
        let against = |at: usize| source.terminals[at].volts - source.terminals[back].volts;
        let strongest = reached
            .iter()
            .max_by(|a, b| against(a.terminal).abs().total_cmp(&against(b.terminal).abs()))
            .copied()
            .unwrap_or(reached[0]);
        let sign = against(strongest.terminal).signum();
        let opposite = |at: usize| against(at) * sign < 0.0;
        let full = reached.iter().any(|r| opposite(r.terminal));
        if !full {
            let other_side = (0..source.terminals.len()).any(opposite);
            if other_side && let Some(pin) = self.unplaced_plate(&group.members) {
                return Err((Missing::Plate, Some(pin)));
            }
            if let Some(end) = self.loose_end(reached[0].source) {
                return Err((Missing::WindingEnd, Some(end)));
            }
        }
        let topology = if full { Topology::FullWave } else { Topology::HalfWave };
        let ends = if group.up { (group.fed, common) } else { (common, group.fed) };
        let mut found = self.found(topology, ends, &group.members, (strongest, back));
        found.negative = !group.up;
        Ok(found)
    }

    /// A bridge, or what is missing.
    fn without_return(
        &self,
        group: &Group,
        reached: &[Reached],
        others: &[Group],
    ) -> (Vec<usize>, Result<Found, Lack>) {
        let source = &self.sources.all[reached[0].source];
        let own = terminals(reached);
        let words = source.coils.first().and_then(|coil| self.winding_words(coil));
        let members = group.members.clone();
        if let [first, second] = own[..] {
            let whole = others.iter().find(|o| terminals(&self.reached(&o.members)) == own);
            if let Some(other) = whole {
                let both = joined(&members, &other.members);
                if !self.paths.closes(self.at(group.fed), self.at(other.fed)) {
                    return (both, Err((Missing::Return, None)));
                }
                let ends = if group.up { (group.fed, other.fed) } else { (other.fed, group.fed) };
                let from = reached.iter().find(|r| r.terminal == first).copied();
                let from = from.unwrap_or(reached[0]);
                let mut found = self.found(Topology::Bridge, ends, &members, (from, second));
                let turned = other.members.iter().flat_map(|i| self.ends[*i].devices.clone());
                found.devices.extend(turned);
                return (both, Ok(found));
            }
            let lack = if others.is_empty() { Missing::CenterTap } else { Missing::Bridge };
            let turned: Vec<usize> = others.iter().flat_map(|o| o.members.clone()).collect();
            return (joined(&members, &turned), Err((lack, words)));
        }
        let mut taps = source.terminals.iter().filter(|t| t.is_tap);
        let tapped = taps.any(|t| !self.paths.leads_on(t.at) && !self.sources.is_return(t.at));
        let lack = if tapped { (Missing::CenterTap, words) } else { (Missing::Return, None) };
        (members, Err(lack))
    }

    /// A topology with its usual points.
    fn found(
        &self,
        topology: Topology,
        (output, back): (NodeIndex, NodeIndex),
        members: &[usize],
        (reached, against): (Reached, usize),
    ) -> Found {
        let source = &self.sources.all[reached.source];
        let devices = members.iter().flat_map(|i| self.ends[*i].devices.clone()).collect();
        let mut pulsating: Vec<NodeIndex> =
            members.iter().flat_map(|i| self.ends[*i].between.clone()).collect();
        // Behind a resistor the alternating side passes the load's current.
        for (index, member) in self.reached(members).iter().zip(members) {
            if index.ohms > 0.0 && source.transformer().is_some() {
                let ends = &self.ends[*member];
                let driven = ends.plate_side.is_some();
                pulsating.push(if driven { ends.anode } else { ends.cathode });
            }
        }
        Found {
            topology,
            output,
            back,
            // Of a bridge or a doubler neither end is on the source.
            negative: self.sources.is_return(self.at(output))
                && !self.sources.is_return(self.at(back)),
            devices,
            law: self.strongest(members),
            held: None,
            stores: [self.across(output, back), Store::default()],
            source: reached.source,
            thevenin: self.sources.thevenin(reached, against),
            ohms: 0.0,
            assumed: source.assumed.clone(),
            pulsating,
        }
    }

    /// The law of plates that share a winding's end: their perveances add.
    fn strongest(&self, members: &[usize]) -> Law {
        let first = &self.ends[members[0]];
        let at = |e: &Ends| (self.at(e.anode), self.at(e.cathode));
        let together = members.iter().filter(|i| at(&self.ends[**i]) == at(first)).count();
        match first.law {
            Law::Vacuum { perveance } if together > 1 => {
                let count = u32::try_from(together).unwrap_or(1);
                Law::Vacuum { perveance: perveance * f64::from(count) }
            }
            law => law,
        }
    }

    /// A plate without a place of a full-wave tube among rectifiers.
    fn unplaced_plate(&self, members: &[usize]) -> Option<String> {
        members.iter().find_map(|index| {
            let part = self.device(&self.ends[*index]).part;
            self.plates_without_place(part).first().cloned()
        })
    }

    /// The pins of a tube's plates that have no place on the sheet.
    pub(super) fn plates_without_place(&self, part: usize) -> Vec<String> {
        use crate::trade::tubes::Place;
        let Some(socket) = self.wiring.socket(part) else { return Vec::new() };
        let Some(tube) = &socket.tube else { return Vec::new() };
        let units = tube.units();
        let bare = units.iter().filter(|unit| socket.at(unit.plate).is_none());
        bare.map(|unit| match unit.plate {
            Place::Pin(pin) => format!("pin {pin}"),
            Place::Cap => "cap".to_owned(),
        })
        .collect()
    }

    /// The first end of a source's windings that leads nowhere.
    fn loose_end(&self, source: usize) -> Option<String> {
        let source = &self.sources.all[source];
        let part = source.transformer()?;
        let mut loose = source.terminals.iter().filter(|t| !t.is_tap);
        let loose = loose.find(|t| !self.is_drawn(part, t.node))?;
        Some(self.wiring.nodes[loose.node].name.clone())
    }

    /// The ends of a winding as they are written.
    pub(super) fn winding_words(&self, coil: &super::source::Coil) -> Option<String> {
        let winding = self.sheet.parts[coil.part].windings.get(coil.winding)?;
        Some(format!("{} to {}", winding.start, winding.end))
    }

    /// A supply that lacks something.
    pub(super) fn unsolved(
        &self,
        members: &[usize],
        source: usize,
        output: Option<NodeIndex>,
        missing: Missing,
        place: Option<String>,
    ) -> Unsolved {
        let mut rectifiers: Vec<usize> = members
            .iter()
            .flat_map(|index| &self.ends[*index].devices)
            .map(|device| self.running.devices[*device].part)
            .collect();
        rectifiers.sort_unstable();
        rectifiers.dedup();
        let from = &self.sources.all[source];
        let mut points: Vec<NodeIndex> = from.terminals.iter().map(|t| t.node).collect();
        points.extend(output);
        points.extend(self.nodes_of(source));
        for ends in members.iter().map(|index| &self.ends[*index]) {
            points.extend([ends.anode, ends.cathode]);
            points.extend(&ends.between);
        }
        Unsolved {
            rectifiers,
            transformer: from.transformer(),
            output,
            missing,
            place,
            peak_volts: from.span().map(|volts| volts * SQRT_2),
            reach: Reach::Points(points),
        }
    }

    /// The nodes of the wiring that alternate with a source.
    pub(super) fn nodes_of(&self, source: usize) -> Vec<NodeIndex> {
        let points: Vec<NodeId> = self.sources.points(source).collect();
        (0..self.wiring.nodes.len()).filter(|node| points.contains(&self.at(*node))).collect()
    }

    /// Of the nodes that contacts and filaments make one point, the one that
    /// most parts meet.
    pub(super) fn best_named(&self, node: NodeIndex) -> NodeIndex {
        let at = self.at(node);
        let parts = |n: NodeIndex| {
            let leads = self.wiring.nodes[n].leads.iter();
            leads
                .filter(|lead| matches!(lead.end, End::From | End::To))
                .filter(|lead| !is_contact(self.sheet.parts[lead.part].kind))
                .count()
        };
        let alike = (0..self.wiring.nodes.len()).filter(|n| self.at(*n) == at);
        // Of equals the node itself, then the first.
        alike.max_by_key(|n| (parts(*n), *n == node, usize::MAX - n)).unwrap_or(node)
    }
}

/// The terminals that points reach, each once, in order.
fn terminals(reached: &[Reached]) -> Vec<usize> {
    let mut all: Vec<usize> = reached.iter().map(|r| r.terminal).collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn joined(some: &[usize], more: &[usize]) -> Vec<usize> {
    some.iter().chain(more).copied().collect()
}
