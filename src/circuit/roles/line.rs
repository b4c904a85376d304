//! Places on the line, or on what is tied to it.

use super::{Asked, End, Placed, Roles};
use crate::circuit::line_tie::SERIES_OHMS;
use crate::circuit::points::{LARGE_FARADS, Metal, Points, Traits, is_metal_place};
use crate::sheet::part::{Part, PartKind, Place};
use crate::trade::role::Role;

impl Roles<'_> {
    /// The line place of a part, seen from either lead.
    pub(super) fn line(&self, asked: Asked, [a, b]: [End; 2]) -> Option<Placed> {
        let (role, assumed) = self
            .metal_role(a, b)
            .or_else(|| self.metal_role(b, a))
            .or_else(|| self.line_role(a, b))
            .or_else(|| self.line_role(b, a))
            .or_else(|| self.two_returns(a, b))
            .or_else(|| self.apart(asked, a, b))?;
        let reason = if assumed && role == Role::LineToChassis {
            format!("{}, which may be metal that a hand can reach", self.joins(a, b))
        } else if is_contact(a) || is_contact(b) {
            format!("{}; a hand can touch the contact", self.joins(a, b))
        } else {
            self.joins(a, b)
        };
        Some(Placed { role, assumed, reason })
    }

    /// The line place of a variable capacitor. The gang of a set on the line
    /// tunes coils that stand on B-: it alone may do that.
    pub(super) fn variable(&self, asked: Asked) -> Option<Placed> {
        let Some(ends) = self.ends(asked.part) else { return self.typed(asked.part) };
        let [a, b] = ends;
        let chassis = [a, b].iter().any(|end| end.has(Traits::CHASSIS));
        let proven = |line: End, other: End| {
            let metal = other.metal.is_some() && other.touchable;
            if metal && !chassis {
                line.tied
            } else {
                line.by_contact || line.mains && (metal || other.tied)
            }
        };
        let across = (a.mains || b.mains) && a.tied && b.tied;
        let to_metal = |line: End, metal: End| metal.metal.is_some() && proven(line, metal);
        if !(across || to_metal(a, b) || to_metal(b, a)) {
            return None;
        }
        self.line(asked, ends).filter(|placed| !placed.assumed)
    }

    /// The line place of a part whose places are one node on this sheet: by the
    /// places as they are typed, for a slip may have joined them.
    pub(super) fn typed(&self, part: &Part) -> Option<Placed> {
        let leads = part.leads.as_ref()?;
        let node = self.wiring.node(&leads.from)?;
        if leads.from == leads.to || self.wiring.node(&leads.to) != Some(node) {
            return None;
        }
        let [a, b] = [self.typed_end(&leads.from), self.typed_end(&leads.to)];
        let role = match (a, b) {
            (Typed::Line, Typed::Line | Typed::Return) | (Typed::Return, Typed::Line) => {
                Role::AcrossLine
            }
            (Typed::Line, Typed::Metal) | (Typed::Metal, Typed::Line) => Role::LineToChassis,
            (Typed::Return, Typed::Metal) | (Typed::Metal, Typed::Return) => Role::BMinusToChassis,
            _ => return None,
        };
        let reason = format!("joins {} and {}, one point on this sheet", leads.from, leads.to);
        Some(Placed { role, assumed: false, reason })
    }

    fn typed_end(&self, place: &Place) -> Typed {
        let traits = Points::typed(place);
        let live = self.ties.live == Some(true);
        if traits.has(Traits::MAINS) || self.is_primary(place) {
            Typed::Line
        } else if live && traits.has(Traits::B_MINUS) {
            Typed::Return
        } else if is_metal_place(place, self.sheet) {
            Typed::Metal
        } else {
            Typed::Other
        }
    }

    /// Whether a place is an end of a power transformer's primary.
    fn is_primary(&self, place: &Place) -> bool {
        use crate::circuit::model::is_power_transformer;
        use crate::sheet::part::WindingKind;
        let Place::Terminal { part: name, terminal } = place else { return false };
        let part = self.wiring.part(name).map(|index| &self.sheet.parts[index]);
        part.filter(|p| is_power_transformer(p)).is_some_and(|part| {
            part.windings.iter().any(|winding| {
                winding.kind == WindingKind::Primary
                    && [&winding.start, &winding.end].contains(&terminal)
            })
        })
    }

    /// Between the line, or anything of a set tied to it, and metal `b` that
    /// hands touch.
    fn metal_role(&self, a: End, b: End) -> Option<(Role, bool)> {
        let live = self.ties.live == Some(true);
        let metal = b.metal?;
        let metal = a.metal.filter(|_| a.touchable).map_or(metal, |other| other.min(metal));
        let one_piece = a.metal.is_some() && a.piece == b.piece && a.piece != 0;
        // Of two joined to metal by resistors alone neither is a way to hands.
        let inner = a.metal.is_some() && !a.touchable && !b.touchable;
        if one_piece || inner || !(live || a.mains) {
            return None;
        }
        Some(match metal {
            Metal::Antenna => (Role::AntennaIsolation, false),
            Metal::Ground if !a.mains => (Role::GroundIsolation, false),
            _ if a.mains => (Role::LineToChassis, false),
            Metal::Other => (Role::TouchIsolation, false),
            _ => (Role::BMinusToChassis, false),
        })
    }

    /// Seen from lead `a`; the flag says that the worse was taken.
    fn line_role(&self, a: End, b: End) -> Option<(Role, bool)> {
        // Both wires of the line, whatever circuits stand on them.
        let wires =
            a.known && b.known && self.points.on_mains(a.node) && self.points.on_mains(b.node);
        if !(a.mains || wires) {
            return None;
        }
        // A chassis that a wire of the line is drawn to: were it a slip, this
        // place would reach metal.
        if b.has(Traits::CHASSIS) && (b.has(Traits::MAINS) || b.assumed_tied) {
            return Some((Role::LineToChassis, b.assumed_tied));
        }
        if b.tied || wires {
            return Some((Role::AcrossLine, false));
        }
        if b.has(Traits::B_MINUS) {
            return Some((Role::LineToChassis, false));
        }
        let rectifier = b.has(Traits::ANY_B_PLUS) || b.has(Traits::RECTIFIER_IN);
        // Else the far end may reach metal: the worse is taken.
        Some(if rectifier { (Role::RectifierRf, false) } else { (Role::LineToChassis, true) })
    }

    /// From B- to a chassis where a wire of the line goes to one of them and
    /// nothing of few ohms joins the two: the whole line may stand between.
    fn two_returns(&self, a: End, b: End) -> Option<(Role, bool)> {
        let ends = |a: End, b: End| a.has(Traits::B_MINUS) && b.has(Traits::CHASSIS);
        let pole = |end: End| {
            end.known && (self.points.on_mains(end.node) || self.points.line(end.node).entered)
        };
        let drawn = if self.isolated { pole(a) && pole(b) } else { pole(a) || pole(b) };
        let live = self.ties.live == Some(true);
        if !live || !drawn || !(ends(a, b) || ends(b, a)) {
            return None;
        }
        let joined = self.sheet.parts.iter().any(|part| {
            let near = match part.kind {
                PartKind::Resistor => part.resistance.is_some_and(|r| r.to_f64() <= SERIES_OHMS),
                PartKind::Coil => true,
                _ => false,
            };
            near && self
                .wiring
                .leads(part)
                .is_some_and(|(from, to)| [(from, to), (to, from)].contains(&(a.node, b.node)))
        });
        (!joined).then_some((Role::BMinusToChassis, false))
    }

    /// From B- to a chassis apart from it, where it is not known whether the
    /// set is tied to the line; a filter by its value lies in a negative leg.
    fn apart(&self, asked: Asked, a: End, b: End) -> Option<(Role, bool)> {
        let ends = |a: End, b: End| a.has(Traits::B_MINUS) && b.has(Traits::CHASSIS);
        let filters = asked.part.capacitance.is_some_and(|c| c.farads() >= LARGE_FARADS);
        let apart = self.ties.live.is_none() && !filters && (ends(a, b) || ends(b, a));
        apart.then_some((Role::BMinusToChassis, true))
    }
}

/// What a place is by itself.
#[derive(Clone, Copy)]
enum Typed {
    Line,
    Return,
    Metal,
    Other,
}

/// Whether a lead meets a contact that hands touch and that has no name of
/// its own as metal.
fn is_contact(end: End) -> bool {
    let named = Traits::CHASSIS.with(Traits::GROUND).with(Traits::ANTENNA);
    end.metal.is_some() && end.touchable && !end.has(named)
}
