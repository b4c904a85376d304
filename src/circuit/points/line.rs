//! The side of the line, and the metal that hands touch.
//!
//! `hot` is what either wire of the line reaches through fuses, switches,
//! cords, lamps, heaters of a series string, droppers, surge resistors and
//! line chokes. In a set tied to the line `low` is its B- and what wires,
//! contacts and coils join to it, and `live` is all that a supply point or an
//! electrode of a tube adds. Metal is a name or a contact that hands touch and
//! that is none of these, with what coils and resistors join to it.

use super::links::links;
use super::metal::Metal;
use super::{Links, Through, Traits};
use crate::circuit::feed::Feed;
use crate::circuit::line_tie::{SERIES_OHMS, is_tie};
use crate::circuit::model::is_power_transformer;
use crate::circuit::wiring::{NodeIndex, Wiring};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::tubes::Part as Electrode;

/// Ohms up to which a resistor carries the line on: droppers and surge
/// resistors lie below, bleeders and bridges above. Common practice, no source.
const CARRIES_OHMS: f64 = 10e3;
/// How the chassis of a set stands to the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ChassisTie {
    /// Apart from it, as far as the sheet shows.
    #[default]
    Apart,
    /// The set is tied to the line and its filters return to the chassis; the
    /// tie itself is not on the sheet.
    Assumed,
    /// Wired to it, or an electrode of a tube on the line stands on it.
    Proven,
}

/// What a node is to the line and to hands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts of a node, not states")]
pub struct NodeLine {
    /// On a wire of the line.
    pub hot: bool,
    /// On B- of a set tied to the line, by wires and contacts.
    pub low_contact: bool,
    /// The same through coils and windings too.
    pub low: bool,
    /// On the line in any way but through resistors and capacitors.
    pub live: bool,
    /// A chassis that a wire of the line comes to in any way that carries it.
    pub entered: bool,
    /// Named as metal, or a contact of a jack.
    pub touchable: bool,
    /// Metal, or joined to it through coils and resistors, and not live.
    pub metal: Option<Metal>,
    /// Nodes of one number are one piece of metal.
    pub piece: usize,
}

/// A contact or a piece of metal that stands on the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LiveTouch {
    /// The part whose contact it is, by its index on the sheet.
    pub part: Option<usize>,
    /// Its node.
    pub node: NodeIndex,
}

/// What a whole set is to the line.
#[derive(Debug, Clone, Default)]
pub struct LineSide {
    pub nodes: Vec<NodeLine>,
    pub chassis: ChassisTie,
    /// Whether the line comes to the chassis by anything that carries it.
    pub reaches_chassis: bool,
    pub touches: Vec<LiveTouch>,
    /// Parts that join line and neutral; `None` where nothing does.
    pub shorted: Option<Vec<usize>>,
}

impl LineSide {
    /// Reads what every node is to the line; `tied` says whether the set is.
    pub fn of(
        sheet: &Sheet,
        wiring: &Wiring,
        traits: &[Traits],
        on_mains: &[bool],
        tied: bool,
    ) -> Self {
        let count = traits.len();
        let mut side = Self { nodes: vec![NodeLine::default(); count], ..Self::default() };
        let finder = Finder { sheet, wiring, traits, links: &links(sheet, wiring, count), tied };
        finder.low_contact(&mut side, on_mains);
        let entered = finder.hot(&mut side, on_mains);
        side.reaches_chassis = !entered.is_empty();
        finder.enter(&mut side, entered);
        finder.low(&mut side);
        finder.live(&mut side);
        finder.touch(&mut side);
        side.shorted = finder.shorted();
        side
    }
}

/// What is read from.
pub(super) struct Finder<'a> {
    pub sheet: &'a Sheet,
    pub wiring: &'a Wiring,
    pub traits: &'a [Traits],
    pub links: &'a Links,
    pub tied: bool,
}

impl Finder<'_> {
    /// Marks what a search reaches from some nodes; gives what was not marked.
    pub fn spread(
        &self,
        from: impl Iterator<Item = NodeIndex>,
        marked: &mut [bool],
        passes: impl Fn(NodeIndex, NodeIndex, Through) -> bool,
    ) -> Vec<NodeIndex> {
        let mut open: Vec<NodeIndex> =
            from.filter(|node| !std::mem::replace(&mut marked[*node], true)).collect();
        let mut at = 0;
        while let Some(node) = open.get(at).copied() {
            at += 1;
            for (to, through) in &self.links[node] {
                if !marked[*to] && passes(node, *to, *through) {
                    marked[*to] = true;
                    open.push(*to);
                }
            }
        }
        open
    }

    /// B- and the chassis wired to it or to the line, with what wires and
    /// contacts join to them.
    fn low_contact(&self, side: &mut LineSide, on_mains: &[bool]) {
        if !self.tied {
            return;
        }
        let mut marked = vec![false; self.traits.len()];
        let seeds = (0..self.traits.len()).filter(|node| {
            let traits = self.traits[*node];
            traits.has(Traits::B_MINUS) || traits.has(Traits::CHASSIS) && on_mains[*node]
        });
        self.spread(seeds, &mut marked, |_, _, through| through == Through::Contact);
        for (node, low) in side.nodes.iter_mut().zip(marked) {
            node.low_contact = low;
        }
    }

    /// What either wire of the line reaches.
    ///
    /// Gives B- and chassis where it comes to them.
    fn hot(&self, side: &mut LineSide, on_mains: &[bool]) -> Vec<NodeIndex> {
        let returns = |node: NodeIndex| self.traits[node].has(Traits::RETURN);
        // Circuits, not droppers, hang on the wire that B- is joined to.
        let known = (0..self.traits.len())
            .any(|node| side.nodes[node].low_contact && self.traits[node].has(Traits::MAINS));
        let neutral = |node: NodeIndex| {
            self.wiring.nodes[node].names.iter().any(|n| n.eq_ignore_ascii_case("neutral"))
        };
        let low_wire: Vec<bool> = (0..self.traits.len())
            .map(|node| side.nodes[node].low_contact || self.tied && !known && neutral(node))
            .collect();
        let mut marked = vec![false; self.traits.len()];
        let line = (0..self.traits.len()).filter(|node| on_mains[*node]);
        let seeds: Vec<NodeIndex> =
            line.chain(self.string()).filter(|node| !returns(*node)).collect();
        let circuit = Traits(Traits::ANY_B_PLUS.0 | Traits::CATHODE.0);
        let is_circuit = |node: NodeIndex| self.traits[node].has(circuit);
        self.spread(seeds.into_iter(), &mut marked, |from, to, through| {
            let carried = match through {
                Through::Contact | Through::Series => true,
                // Past B+ and cathodes it is the set's own circuits.
                _ if is_circuit(from) || is_circuit(to) => false,
                Through::Coil => !low_wire[from],
                Through::Resistor(ohms) => {
                    // One of more ohms to metal is judged as a bridge itself.
                    let most = if self.is_touchable(to) { SERIES_OHMS } else { CARRIES_OHMS };
                    ohms <= most && !low_wire[from]
                }
            };
            carried && !returns(to)
        });
        let mut entered = Vec::new();
        for node in (0..marked.len()).filter(|node| marked[*node]) {
            side.nodes[node].hot = true;
            for (to, through) in &self.links[node] {
                let near = match through {
                    Through::Resistor(ohms) => *ohms <= SERIES_OHMS,
                    _ => true,
                };
                if near && self.traits[*to].has(Traits::CHASSIS) {
                    entered.push(*to);
                }
            }
        }
        entered
    }

    /// A chassis that the line comes to, be it through a lamp or a surge
    /// resistor, is the low side as well.
    fn enter(&self, side: &mut LineSide, entered: Vec<NodeIndex>) {
        if !self.tied {
            return;
        }
        for node in &entered {
            side.nodes[*node].entered = true;
        }
        let mut marked: Vec<bool> = side.nodes.iter().map(|n| n.low_contact || n.hot).collect();
        let contact = |_: NodeIndex, _: NodeIndex, through: Through| through == Through::Contact;
        for node in self.spread(entered.into_iter(), &mut marked, contact) {
            side.nodes[node].low_contact = true;
        }
    }

    /// The heaters of a series string, wherever the string is cut on the sheet.
    fn string(&self) -> Vec<NodeIndex> {
        if !self.tied || self.sheet.parts.iter().any(is_power_transformer) {
            return Vec::new();
        }
        let heater = |part| {
            matches!(part, Electrode::Heater | Electrode::HeaterTap | Electrode::HeaterCentre)
        };
        let mut nodes = Vec::new();
        for socket in &self.wiring.sockets {
            let Some(tube) = &socket.tube else { continue };
            for (pin, electrodes) in (1_u8..).zip(&tube.pins) {
                if electrodes.iter().any(|e| heater(e.part)) {
                    nodes.extend(socket.node(pin));
                }
            }
        }
        let unknown = |(_, _, name): &&(NodeIndex, String, String)| {
            matches!(name.trim_end_matches(|c: char| c.is_ascii_digit()), "h" | "heater")
        };
        nodes.extend(self.wiring.strange.iter().filter(unknown).map(|(node, ..)| *node));
        nodes
    }

    /// What coils and windings join to B- as well.
    fn low(&self, side: &mut LineSide) {
        let mut marked = vec![false; self.traits.len()];
        let seeds = (0..self.traits.len()).filter(|node| side.nodes[*node].low_contact);
        let hot: Vec<bool> = side.nodes.iter().map(|n| n.hot).collect();
        self.spread(seeds, &mut marked, |_, to, through| {
            matches!(through, Through::Contact | Through::Coil) && !hot[to]
        });
        for (node, low) in side.nodes.iter_mut().zip(marked) {
            node.low = low;
        }
    }

    /// Everything on the line, and whether the chassis is.
    fn live(&self, side: &mut LineSide) {
        let circuit = Traits(
            Traits::ANY_B_PLUS.0
                | Traits::RECTIFIER_IN.0
                | Traits::PLATE.0
                | Traits::SCREEN.0
                | Traits::CATHODE.0,
        );
        let own = |node: &NodeIndex| {
            let line = side.nodes[*node];
            line.hot || line.low || self.tied && self.traits[*node].has(circuit)
        };
        let mut marked = vec![false; self.traits.len()];
        let passes = |_: NodeIndex, _: NodeIndex, through: Through| {
            self.tied && !matches!(through, Through::Resistor(_))
        };
        self.spread((0..self.traits.len()).filter(own), &mut marked, passes);
        let chassis: Vec<NodeIndex> =
            (0..self.traits.len()).filter(|n| self.traits[*n].has(Traits::CHASSIS)).collect();
        if self.tied && chassis.iter().any(|node| marked[*node]) {
            side.chassis = ChassisTie::Proven;
        } else if self.tied && self.is_return(&chassis) {
            side.chassis = ChassisTie::Assumed;
            self.spread(chassis.into_iter(), &mut marked, passes);
        }
        for (node, live) in side.nodes.iter_mut().zip(marked) {
            node.live = live;
        }
    }

    /// Whether the circuit comes back to the chassis: there is no B-, and a
    /// filter or a cathode's resistor stands on the chassis.
    fn is_return(&self, chassis: &[NodeIndex]) -> bool {
        if self.traits.iter().any(|traits| traits.has(Traits::B_MINUS)) {
            return false;
        }
        self.sheet.parts.iter().any(|part| {
            let Some((a, b)) = self.wiring.leads(part) else { return false };
            let stands = chassis.contains(&a) || chassis.contains(&b);
            let cathode = [a, b].iter().any(|n| self.traits[*n].has(Traits::CATHODE));
            let filters = part.kind == PartKind::Capacitor
                && part.capacitance.is_some_and(|c| c.farads() >= super::supply::LARGE_FARADS);
            stands && (filters || part.kind == PartKind::Resistor && cathode)
        })
    }

    /// The parts by which line and neutral are one, none where wires alone do
    /// it; `None` where they are apart.
    fn shorted(&self) -> Option<Vec<usize>> {
        let of = |wanted: &[&str]| -> Vec<NodeIndex> {
            let is = |name: &String| wanted.iter().any(|w| name.eq_ignore_ascii_case(w));
            (0..self.traits.len())
                .filter(|node| self.wiring.nodes[*node].names.iter().any(is))
                .collect()
        };
        let primary = self.primary_ends();
        let pairs = [
            (of(&["line", "hot", "live", "l", "line1"]), of(&["neutral", "neut", "n", "line2"])),
            (of(&["ac1"]), of(&["ac2"])),
            primary,
        ];
        pairs.into_iter().find_map(|(first, second)| {
            let mut marked = vec![false; self.traits.len()];
            let contact =
                |_: NodeIndex, _: NodeIndex, through: Through| through == Through::Contact;
            self.spread(first.into_iter(), &mut marked, contact);
            second.iter().any(|node| marked[*node]).then(|| {
                let both = |part: &Part| {
                    self.wiring.leads(part).is_some_and(|(a, b)| a != b && marked[a] && marked[b])
                };
                let parts = self.sheet.parts.iter().enumerate();
                parts.filter(|(_, p)| is_tie(p) && both(p)).map(|(index, _)| index).collect()
            })
        })
    }

    fn primary_ends(&self) -> (Vec<NodeIndex>, Vec<NodeIndex>) {
        use crate::sheet::part::WindingKind;
        let mut ends = (Vec::new(), Vec::new());
        for part in self.sheet.parts.iter().filter(|p| is_power_transformer(p)) {
            if let Some(winding) = part.windings.iter().find(|w| w.kind == WindingKind::Primary) {
                ends.0.extend(self.wiring.terminal(part, &winding.start));
                ends.1.extend(self.wiring.terminal(part, &winding.end));
                return ends;
            }
        }
        ends
    }
}

/// The wire of the line that the cathodes of a set tied to it stand on, or else
/// the one that its supply comes back to: B-, where none is named.
pub fn returns_to_line(traits: &[Traits], on_mains: &[bool], feeds: &[Feed]) -> Vec<NodeIndex> {
    if traits.iter().any(|node| node.has(Traits::B_MINUS)) {
        return Vec::new();
    }
    let on = |is: &dyn Fn(NodeIndex) -> bool| -> Vec<NodeIndex> {
        let wires = (0..traits.len()).filter(|n| on_mains[*n] && !traits[*n].has(Traits::RETURN));
        wires.filter(|node| is(*node)).collect()
    };
    let cathodes = on(&|node| traits[node].has(Traits::CATHODE));
    if cathodes.is_empty() {
        on(&|node| feeds.iter().any(|feed| feed.back == node))
    } else {
        cathodes
    }
}
