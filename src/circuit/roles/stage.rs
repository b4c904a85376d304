//! Places in the supply and in the stages of a set.
//!
//! Each step is a question to both leads in turn; the first that answers
//! decides. Figures of what is large, tight or far are common practice, no
//! source.

use super::{Asked, End, Placed, Roles};
use crate::circuit::model::is_power_transformer;
use crate::circuit::points::Traits;
use crate::sheet::part::PartKind;
use crate::trade::role::Role;
use rust_decimal::Decimal;

/// Farads from which a cathode bypass serves audio whatever it is made of.
const AUDIO_FARADS: f64 = 1e-6;
/// Farads up to which a bypass of a diode's load is a filter for radio
/// frequency, a coil's capacitor tunes, and a grid's capacitor on a coil
/// belongs to an oscillator.
const RADIO_FARADS: f64 = 2.1e-9;
/// Ohms between a diode and a point from which on the automatic volume control
/// is filtered there, not the signal.
const AVC_OHMS: f64 = 200e3;
/// Percent up to which a marked tolerance makes a standard or a tuned part.
const TIGHT_PERCENT: i64 = 2;

/// A question to one lead after the other.
type Step<'r> = fn(&Roles<'r>, Asked, End, End) -> Option<Placed>;

impl<'r> Roles<'r> {
    /// The role of a part off the line.
    pub(super) fn stage(&self, asked: Asked, ends: [End; 2]) -> Option<Placed> {
        let [a, b] = ends;
        let steps: [Step<'r>; 13] = [
            Self::rectifier,
            Self::supply_point,
            Self::negative_leg,
            Self::standard,
            Self::across_coil,
            Self::oscillator_grid,
            Self::beyond_plate,
            Self::cathode,
            Self::screen,
            Self::compensation,
            Self::detector,
            Self::grid,
            Self::coil_end,
        ];
        steps.iter().find_map(|step| step(self, asked, a, b).or_else(|| step(self, asked, b, a)))
    }

    fn rectifier(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        let large = asked.large;
        let vibrator = self.windings.is_vibrator();
        if vibrator && a.has(Traits::BATTERY) && b.returns() {
            return Some(self.placed(
                Role::SparkPlate,
                format!("keeps the vibrator's sparks from the battery lead: {}", self.joins(a, b)),
            ));
        }
        if !a.has(Traits::RECTIFIER_IN) {
            return None;
        }
        if vibrator && !large {
            return Some(self.placed(
                Role::Buffer,
                format!("tunes the vibrator's transformer: {}", self.joins(a, b)),
            ));
        }
        (!large).then(|| self.placed(Role::RectifierRf, self.joins(a, b)))
    }

    fn supply_point(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        let large = asked.large;
        let place = |role| Some(self.placed(role, self.joins(a, b)));
        if !large {
            let bypass = a.has(Traits::ANY_B_PLUS) && b.returns();
            return bypass.then(|| self.placed(Role::SupplyBypass, self.joins(a, b)));
        }
        match a.traits {
            t if t.has(Traits::RESERVOIR) => place(Role::Reservoir),
            t if t.has(Traits::SMOOTHED) => place(Role::Smoothing),
            t if t.has(Traits::DECOUPLED) => place(Role::Decoupling),
            // Where no supply was followed, the names of its points speak.
            t if t.has(Traits::RECTIFIER_OUT) => place(Role::Reservoir),
            t if t.has(Traits::LATER_B_PLUS) => place(Role::Smoothing),
            t if t.has(Traits::FIRST_B_PLUS) => place(Role::Reservoir),
            _ => None,
        }
    }

    /// From B- to a chassis that bias stands between.
    fn negative_leg(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        if !(a.has(Traits::CHASSIS) && b.has(Traits::B_MINUS)) {
            return None;
        }
        let role = if asked.polarised { Role::BiasBypass } else { Role::Bypass };
        Some(self.placed(role, format!("bridges the negative leg: {}", self.joins(a, b))))
    }

    /// A value that something is tuned or measured by.
    fn standard(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        let tight = asked
            .part
            .tolerance
            .is_some_and(|t| t.above.max(t.below) <= Decimal::from(TIGHT_PERCENT));
        if tight && !asked.polarised {
            let tolerance = asked.part.tolerance.map_or_else(String::new, |t| t.to_string());
            return Some(self.placed(
                Role::Tuned,
                format!("is marked {tolerance}: something is tuned or measured by it"),
            ));
        }
        let picked = self.around.is_switched(a.node) && self.around.is_switched(b.node);
        let bare = ![a, b].iter().any(|end| end.has(Traits::PLATE) || end.returns());
        (picked && bare).then(|| {
            self.placed(
                Role::Tuned,
                format!("is picked by a switch at both ends: {}", self.joins(a, b)),
            )
        })
    }

    /// Across a coil or winding.
    fn across_coil(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        if asked.polarised {
            // It tunes nothing: it smooths what a coil drops.
            return None;
        }
        let coil = &self.sheet.parts[self.around.coil_across(a.node, b.node)?];
        let name = &coil.designator;
        let supplied = |e: End| e.has(Traits::PLACED_B_PLUS) || e.has(Traits::RECTIFIER_OUT);
        if is_power_transformer(coil) {
            let reason = format!("lies across a winding of {name} that feeds heaters");
            return Some(self.placed(Role::Bypass, reason));
        }
        let filter = coil.kind == PartKind::Coil && supplied(a) && supplied(b);
        if filter {
            return Some(self.placed(Role::Bypass, format!("lies across {name}, a filter choke")));
        }
        let output = a.has(Traits::OUTPUT_PLATE) || b.has(Traits::OUTPUT_PLATE);
        let role = if output { Role::PlateBypass } else { Role::Tuned };
        Some(self.placed(role, format!("lies across a winding of {name}: {}", self.joins(a, b))))
    }

    fn oscillator_grid(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        let small = asked.part.capacitance.is_some_and(|c| c.farads() <= RADIO_FARADS);
        let own = a.has(Traits::OSCILLATOR_GRID) && !b.returns();
        let fed_back = a.has(Traits::GRID)
            && small
            && self.around.ends_coil(b.node)
            && !b.has(Traits::PLATE)
            && !b.has(Traits::DIODE)
            && self
                .around
                .ohms_to(a.node, Traits::RETURN, self.points)
                .is_some_and(|ohms| ohms <= 120e3);
        (own || fed_back).then(|| {
            self.placed(
                Role::OscillatorGrid,
                format!("brings the oscillator's coil to its grid: {}", self.joins(a, b)),
            )
        })
    }

    fn beyond_plate(&self, _: Asked, a: End, b: End) -> Option<Placed> {
        let driven = a.has(Traits::CATHODE) && !a.returns();
        if (a.has(Traits::PLATE) || driven)
            && (b.has(Traits::GRID) || b.has(Traits::DIODE))
            && !b.returns()
        {
            return Some(self.placed(Role::Coupling, self.joins(a, b)));
        }
        if !a.has(Traits::PLATE) {
            return None;
        }
        let quiet = b.returns() || b.has(Traits::ANY_B_PLUS) || b.has(Traits::CATHODE);
        if quiet || b.has(Traits::PLATE) {
            let output = a.has(Traits::OUTPUT_PLATE) || b.has(Traits::OUTPUT_PLATE);
            let known = self.known_stage(a) || self.known_stage(b);
            // A plate known by its name alone may be the output's: the worse
            // is taken.
            let role = if output || !known { Role::PlateBypass } else { Role::Bypass };
            return Some(self.placed(role, self.joins(a, b)));
        }
        if self.around.leads_to(b.node, Traits::GRID, a.node, self.points)
            || self.around.leads_to(b.node, Traits::DIODE, a.node, self.points)
        {
            return Some(self.placed(Role::Coupling, self.joins(a, b)));
        }
        let control = self.around.only_returns(b.node, self.points)?;
        let what = if control { "a control" } else { "a resistor" };
        Some(self.placed(Role::Tone, format!("shunts {} through {what}", self.words(a))))
    }

    /// Whether a tube of a known type stands at the node.
    fn known_stage(&self, end: End) -> bool {
        let leads = &self.wiring.nodes[end.node].leads;
        leads.iter().take(64).any(|l| self.wiring.socket(l.part).is_some_and(|s| s.tube.is_some()))
    }

    fn cathode(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        if !(a.has(Traits::CATHODE) && b.returns()) || a.returns() {
            return None;
        }
        let large = asked.part.capacitance.is_some_and(|c| c.farads() >= AUDIO_FARADS);
        let role =
            if asked.polarised || large { Role::CathodeBypassAudio } else { Role::CathodeBypassRf };
        Some(self.placed(role, self.joins(a, b)))
    }

    fn screen(&self, _: Asked, a: End, b: End) -> Option<Placed> {
        let fits = a.has(Traits::SCREEN) && (b.returns() || b.has(Traits::CATHODE));
        fits.then(|| self.placed(Role::ScreenBypass, self.joins(a, b)))
    }

    /// From a tap or wiper through a resistor to the return.
    fn compensation(&self, _: Asked, a: End, b: End) -> Option<Placed> {
        if !self.around.is_wiper(a.node) || b.has(Traits::GRID) {
            return None;
        }
        self.around.only_returns(b.node, self.points)?;
        Some(self.placed(
            Role::VolumeCompensation,
            format!("lies between {} and a resistor to the return", self.words(a)),
        ))
    }

    /// The load of a diode, and what is filtered from it.
    fn detector(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        if !b.returns() || a.returns() || a.has(Traits::PLATE) || a.has(Traits::CATHODE) {
            return None;
        }
        let avc = a.has(Traits::AVC);
        let ohms = self.around.ohms_to(a.node, Traits::DIODE, self.points);
        let small = asked.part.capacitance.is_none_or(|c| c.farads() <= RADIO_FARADS);
        if small && !avc && ohms.is_some_and(|ohms| ohms < AVC_OHMS) {
            return Some(self.placed(
                Role::DiodeFilter,
                format!("takes radio frequency off a diode's load: {}", self.joins(a, b)),
            ));
        }
        let filtered = ohms.is_some_and(|ohms| ohms >= AVC_OHMS);
        (avc || filtered).then(|| {
            self.placed(Role::Avc, format!("filters what a diode rectifies: {}", self.joins(a, b)))
        })
    }

    fn grid(&self, _: Asked, a: End, b: End) -> Option<Placed> {
        if !a.has(Traits::GRID) || a.returns() {
            return None;
        }
        let role = if b.returns() { Role::Bypass } else { Role::GridCoupling };
        Some(self.placed(role, self.joins(a, b)))
    }

    /// From the end of a coil to the return: a padder where nothing else leads
    /// on, else part of a tuned circuit; and a heater's bypass.
    fn coil_end(&self, asked: Asked, a: End, b: End) -> Option<Placed> {
        if !self.around.ends_coil(a.node) || a.returns() || !b.returns() {
            return None;
        }
        let small = asked.part.capacitance.is_some_and(|c| c.farads() <= RADIO_FARADS);
        let coils_alone = self.wiring.nodes[a.node].leads.len() == 2;
        let role = match (small, coils_alone) {
            (true, true) => Role::Padder,
            (true, false) => Role::Tuned,
            (false, _) => Role::Bypass,
        };
        Some(self.placed(role, format!("bridges the end of a coil: {}", self.joins(a, b))))
    }
}
