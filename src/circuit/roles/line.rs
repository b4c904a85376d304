//! Places on the line, or on what is tied to it.

use super::{Asked, End, Placed, Roles};
use crate::circuit::points::Traits;
use crate::trade::role::Role;

impl Roles<'_> {
    /// The line place of a part, seen from either lead.
    pub(super) fn line(&self, asked: Asked, [a, b]: [End; 2]) -> Option<Placed> {
        let polarised = asked.polarised;
        let (role, assumed) =
            self.line_role(a, b, polarised).or_else(|| self.line_role(b, a, polarised))?;
        let reason = if assumed && role == Role::LineToChassis {
            format!("{}, which may be metal that a hand can reach", self.joins(a, b))
        } else {
            self.joins(a, b)
        };
        Some(Placed { role, assumed, reason })
    }

    /// Seen from lead `a`; the flag says that the worse was taken.
    fn line_role(&self, a: End, b: End, polarised: bool) -> Option<(Role, bool)> {
        let live = self.ties.live == Some(true);
        if (live || a.mains) && b.has(Traits::ANTENNA) && !b.tied {
            return Some((Role::AntennaIsolation, false));
        }
        if live && b.has(Traits::GROUND) && !b.tied {
            let role = if a.mains { Role::LineToChassis } else { Role::GroundIsolation };
            return Some((role, false));
        }
        if a.mains && b.metal {
            return Some((Role::LineToChassis, false));
        }
        if a.mains && b.tied {
            return Some((Role::AcrossLine, false));
        }
        if a.mains && b.has(Traits::B_MINUS) {
            return Some((Role::LineToChassis, false));
        }
        if a.tied && b.metal {
            return Some((Role::BMinusToChassis, false));
        }
        if a.mains {
            let rectifier = b.has(Traits::ANY_B_PLUS) || b.has(Traits::RECTIFIER_IN);
            // Else the far end may reach metal: the worse is taken.
            return Some(if rectifier {
                (Role::RectifierRf, false)
            } else {
                (Role::LineToChassis, true)
            });
        }
        let apart = a.has(Traits::B_MINUS) && b.has(Traits::CHASSIS);
        (self.ties.live.is_none() && !polarised && apart).then_some((Role::BMinusToChassis, true))
    }
}
