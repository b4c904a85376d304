//! What each capacitor does, from where it sits.
//!
//! ```
//! use firstglow::circuit::points::Points;
//! use firstglow::circuit::roles::{Roles, Ties};
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//! use firstglow::trade::role::Role;
//! let sheet = Sheet::read("V3 6SQ7 6=pl\nV4 6V6GT 5=gr\nC7 .01 400 V paper pl to gr");
//! let wiring = Wiring::of(&sheet);
//! let points = Points::of(&sheet, &wiring, &[]);
//! let roles = Roles::of(&sheet, &wiring, &points, &[], Ties::default());
//! let found = roles.find(&sheet.parts[2], false).unwrap();
//! assert_eq!(found.role, Role::Coupling);
//! assert_eq!(found.reason, "joins the triode plate of V3 (pin 6) and the grid of V4 (pin 5), an output tube");
//! ```
//!
//! Limits: one role a part, the first that fits in the order of [`Roles::find`].
//! A place that says nothing of its kind gives none.

mod around;
mod line;
mod stage;
mod vibrator;
mod words;

use super::feed::Feed;
use super::model::is_power_transformer;
use super::points::{ChassisTie, LARGE_FARADS, Metal, Points, Traits, is_large};
use super::supply::Topology;
use super::wiring::{NodeIndex, Wiring};
use crate::sheet::part::{Part, PartKind};
use crate::sheet::{Sheet, SupplyKind};
use crate::trade::role::Role;
use around::Around;
use rustc_hash::FxHashSet;
use vibrator::Windings;

/// How the set as a whole stands to the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Ties {
    /// Whether chassis or B- is tied to the line.
    pub live: Option<bool>,
    /// Whether the chassis itself is.
    pub hot_chassis: bool,
    /// Whether a vibrator feeds it.
    pub vibrator: bool,
}

/// The capacitors of a doubler between source and rectifiers: both of a
/// full-wave one, the series one of a half-wave one, whose other is a reservoir.
fn of_doubler(feed: &Feed) -> Vec<usize> {
    let all = feed.reservoir.iter().copied();
    match feed.supply.topology {
        Topology::DoublerFullWave => all.collect(),
        Topology::DoublerHalfWave => all.filter(|part| !feed.second.contains(part)).collect(),
        _ => Vec::new(),
    }
}

/// A role found from the place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// The role.
    pub role: Role,
    /// Whether it is the worse of what the place may mean.
    pub assumed: bool,
    /// Why, as what the part does: `joins the plate of V3 (pin 6) and …`.
    pub reason: String,
}

/// A capacitor that is asked for.
#[derive(Debug, Clone, Copy)]
struct Asked<'p> {
    part: &'p Part,
    polarised: bool,
    /// Whether it filters by its size or kind.
    large: bool,
}

/// One lead: its node and what that is.
#[derive(Debug, Clone, Copy, Default)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts of a node, not states")]
struct End {
    node: NodeIndex,
    /// Whether its place is one: a pin that the tube has not is none.
    known: bool,
    traits: Traits,
    /// On a wire of the line, through contacts, lamps, heaters and droppers too.
    mains: bool,
    /// On the line, or on a B- or chassis that is tied to it.
    tied: bool,
    /// On either by wires and contacts alone.
    by_contact: bool,
    /// Metal that a hand may reach, or joined to it, and not tied to the line.
    metal: Option<Metal>,
    /// Named as metal itself, or a contact.
    touchable: bool,
    /// The piece of metal, by its number.
    piece: usize,
    /// A chassis that the set's return is taken to be.
    assumed_tied: bool,
}

impl End {
    fn has(self, any: Traits) -> bool {
        self.traits.has(any)
    }

    fn returns(self) -> bool {
        self.has(Traits::RETURN)
    }
}

/// The places of a sheet, ready to be asked for roles.
#[derive(Debug, Clone)]
pub struct Roles<'a> {
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    points: &'a Points,
    ties: Ties,
    around: Around,
    /// Both capacitors of a doubler, by their part's key.
    doublers: FxHashSet<&'a str>,
    /// First filters of other supplies.
    reservoirs: FxHashSet<&'a str>,
    /// The windings of a vibrator's transformer.
    windings: Windings,
    /// Whether a transformer's own winding feeds the set.
    isolated: bool,
}

impl<'a> Roles<'a> {
    /// Reads what lies around every node.
    pub fn of(
        sheet: &'a Sheet,
        wiring: &'a Wiring,
        points: &'a Points,
        feeds: &[Feed],
        ties: Ties,
    ) -> Self {
        let doublers =
            feeds.iter().flat_map(of_doubler).map(|part| sheet.parts[part].key.as_str()).collect();
        let single = feeds.iter().filter(|feed| of_doubler(feed).is_empty());
        let reservoirs = single
            .flat_map(|feed| feed.reservoir.iter())
            .map(|part| sheet.parts[*part].key.as_str())
            .collect();
        let windings = Windings::of(sheet, wiring, points, ties.vibrator);
        let isolated = sheet.header.supply == Some(SupplyKind::Transformer)
            || sheet.header.supply.is_none() && sheet.parts.iter().any(is_power_transformer);
        let around = Around::of(sheet, wiring);
        Self { sheet, wiring, points, ties, around, doublers, reservoirs, windings, isolated }
    }

    /// The role of a capacitor: line places first, then the supply, then the
    /// stages, then tuned circuits; `None` where its places say nothing.
    /// Whether it is `polarised` tells filters from bypasses.
    pub fn find(&self, part: &Part, polarised: bool) -> Option<Placed> {
        let asked = Asked { part, polarised, large: polarised || is_large(part) };
        if part.kind == PartKind::VariableCapacitor {
            let reason = "is made to be set".to_owned();
            let set = Placed { role: Role::Tuning, assumed: false, reason };
            return self.variable(asked).or(Some(set));
        }
        let Some(ends) = self.ends(part) else { return self.typed(part) };
        let line = || self.line(asked, ends);
        if ends.iter().any(|end| !end.known) {
            return line();
        }
        self.doubler(asked, ends)
            .or_else(|| self.reservoir(asked, ends))
            .or_else(line)
            .or_else(|| self.buffer(asked, ends))
            .or_else(|| self.stage(asked, ends))
    }

    /// The place of a resistor or control between the line and metal, where
    /// both ends are proven: one on the line by wires, fuses and switches, the
    /// other on metal.
    pub fn find_bridge(&self, part: &Part) -> Option<Placed> {
        let ends = self.ends(part)?;
        let [a, b] = ends;
        let proven = |line: End, metal: End| {
            line.by_contact && metal.metal.is_some() && metal.touchable && !metal.assumed_tied
        };
        if !(proven(a, b) || proven(b, a)) {
            return None;
        }
        self.line(Asked { part, polarised: false, large: false }, ends).filter(|p| !p.assumed)
    }

    /// Both leads, unless they meet at one node or are not told.
    fn ends(&self, part: &Part) -> Option<[End; 2]> {
        let leads = part.leads.as_ref()?;
        let (a, b) = (self.wiring.node(&leads.from), self.wiring.node(&leads.to));
        (a.is_none() || a != b).then(|| [self.end(a), self.end(b)])
    }

    /// A lead; one whose place is not known may go anywhere.
    fn end(&self, node: Option<NodeIndex>) -> End {
        let Some(node) = node else { return End::default() };
        let traits = self.points.traits(node);
        let line = self.points.line(node);
        let chassis = traits.has(Traits::CHASSIS);
        let tie = self.points.chassis_tie();
        let live = self.ties.live == Some(true);
        let hot_chassis = chassis && (self.ties.hot_chassis || tie == ChassisTie::Proven);
        let returns = traits.has(Traits::B_MINUS) || hot_chassis;
        let mains = line.hot || self.points.on_mains(node) && !traits.has(Traits::RETURN);
        let by_contact = self.points.on_mains(node) || live && (returns || line.low_contact);
        let tied = mains || live && (returns || line.low);
        let metal = line.metal.filter(|_| !tied);
        let assumed_tied = chassis && tie == ChassisTie::Assumed;
        let (touchable, piece) = (line.touchable, line.piece);
        End {
            node,
            known: true,
            traits,
            mains,
            tied,
            by_contact,
            metal,
            touchable,
            piece,
            assumed_tied,
        }
    }

    /// A capacitor of a doubler: one of the two in series, or the one between
    /// the source and two rectifiers.
    fn doubler(&self, asked: Asked, [a, b]: [End; 2]) -> Option<Placed> {
        let between = |from: End, to: End| {
            to.has(Traits::RECTIFIER_IN)
                && to.has(Traits::RECTIFIER_OUT)
                && (from.mains || from.has(Traits::RECTIFIER_IN))
        };
        // By its value: a word makes no small part a doubler's.
        let large = asked.part.capacitance.is_some_and(|c| c.farads() >= LARGE_FARADS);
        let stack = self.doublers.contains(asked.part.key.as_str());
        (large && (stack || between(a, b) || between(b, a))).then(|| {
            self.placed(
                Role::Doubler,
                format!("charges on alternate halves of the cycle: {}", self.joins(a, b)),
            )
        })
    }

    /// The first filter of a supply that comes back to a wire of the line, with
    /// a resistor or field between that wire and B-.
    fn reservoir(&self, asked: Asked, [a, b]: [End; 2]) -> Option<Placed> {
        let on_line = (a.mains || b.mains) && a.metal.is_none() && b.metal.is_none();
        let key = asked.part.key.as_str();
        (asked.polarised && on_line && self.reservoirs.contains(key))
            .then(|| self.placed(Role::Reservoir, self.joins(a, b)))
    }

    #[expect(clippy::unused_self, reason = "reads as the other steps do")]
    fn placed(&self, role: Role, reason: String) -> Placed {
        Placed { role, assumed: false, reason }
    }
}
