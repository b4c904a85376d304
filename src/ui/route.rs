//! Addresses: `#/` is the bench, `#/set/3/parts` a stage of a set,
//! `#/set/3/plan/voltages` a further view of its plan.

use crate::bench::progress::Stage;
use crate::bench::set::SetId;

/// A further view of a stage, beside its first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// Voltages and resistances at every tube.
    Voltages,
    /// The supply, and what it leaves charged.
    Supply,
    /// Where each lead goes.
    Leads,
    /// The wiring by ohmmeter, before power.
    Wiring,
    /// The set on its series lamp.
    Lamp,
}

impl View {
    /// All of them, in the order shown.
    pub const ALL: [Self; 5] =
        [Self::Voltages, Self::Supply, Self::Leads, Self::Wiring, Self::Lamp];

    /// The stage it belongs to.
    pub const fn stage(self) -> Stage {
        match self {
            Self::Voltages | Self::Supply => Stage::Plan,
            Self::Leads | Self::Wiring => Stage::Fit,
            Self::Lamp => Stage::Power,
        }
    }

    /// Those of a stage.
    pub fn of(stage: Stage) -> impl Iterator<Item = Self> {
        Self::ALL.into_iter().filter(move |view| view.stage() == stage)
    }

    /// Its name on the page.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Voltages => "Voltages",
            Self::Supply => "Supply",
            Self::Leads => "Leads",
            Self::Wiring => "Wiring check",
            Self::Lamp => "Lamp",
        }
    }

    /// Its name in addresses.
    pub const fn slug(self) -> &'static str {
        match self {
            Self::Voltages => "voltages",
            Self::Supply => "supply",
            Self::Leads => "leads",
            Self::Wiring => "wiring",
            Self::Lamp => "lamp",
        }
    }
}

/// What a stage shows first is called, where it has further views.
pub const fn first_view(stage: Stage) -> &'static str {
    match stage {
        Stage::Plan => "Parts",
        Stage::Fit => "Fitting",
        Stage::Power => "Steps",
        _ => stage.label(),
    }
}

/// What the address asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Route {
    /// The bench with all its sets.
    #[default]
    Bench,
    /// A stage of a set.
    Set(SetId, Stage),
    /// A further view of a set's stage.
    View(SetId, View),
}

impl Route {
    /// Reads the hash of an address. What is not known leads to the bench.
    pub fn parse(hash: &str) -> Self {
        let mut steps = hash.trim_start_matches('#').split('/').filter(|s| !s.is_empty());
        let (Some("set"), Some(id)) = (steps.next(), steps.next()) else { return Self::Bench };
        let Ok(id) = id.parse() else { return Self::Bench };
        let slug = steps.next().unwrap_or("parts");
        let stage = Stage::ALL.into_iter().find(|s| s.slug() == slug).unwrap_or(Stage::Parts);
        let view = steps.next();
        let view = View::of(stage).find(|v| Some(v.slug()) == view);
        view.map_or(Self::Set(id, stage), |view| Self::View(id, view))
    }

    /// The address.
    pub fn hash(self) -> String {
        match self {
            Self::Bench => "#/".to_owned(),
            Self::Set(id, stage) => format!("#/set/{id}/{}", stage.slug()),
            Self::View(id, view) => format!("#/set/{id}/{}/{}", view.stage().slug(), view.slug()),
        }
    }

    /// The set it is about.
    pub const fn set_id(self) -> Option<SetId> {
        match self {
            Self::Bench => None,
            Self::Set(id, _) | Self::View(id, _) => Some(id),
        }
    }

    /// The stage it is about.
    pub const fn stage(self) -> Option<Stage> {
        match self {
            Self::Bench => None,
            Self::Set(_, stage) => Some(stage),
            Self::View(_, view) => Some(view.stage()),
        }
    }

    /// The further view, where it is not the first of its stage.
    pub const fn view(self) -> Option<View> {
        match self {
            Self::View(_, view) => Some(view),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_address_leads_back_to_its_route() {
        for stage in Stage::ALL {
            let route = Route::Set(SetId(7), stage);
            assert_eq!(Route::parse(&route.hash()), route);
        }
        for view in View::ALL {
            let route = Route::View(SetId(7), view);
            assert_eq!(Route::parse(&route.hash()), route);
            assert_eq!(route.stage(), Some(view.stage()));
        }
        assert_eq!(Route::parse(&Route::Bench.hash()), Route::Bench);
    }

    #[test]
    fn an_unknown_address_leads_to_the_bench_or_to_the_parts() {
        for hash in ["", "#", "#/nowhere", "#/set", "#/set/x/parts", "#main", "#/set/99999999999"] {
            assert_eq!(Route::parse(hash), Route::Bench, "{hash}");
        }
        assert_eq!(Route::parse("#/set/3/attic"), Route::Set(SetId(3), Stage::Parts));
        assert_eq!(Route::parse("#/set/3/plan/attic"), Route::Set(SetId(3), Stage::Plan));
        assert_eq!(Route::parse("#/set/3/fit/supply"), Route::Set(SetId(3), Stage::Fit));
        assert_eq!(Route::parse("#/set/3"), Route::Set(SetId(3), Stage::Parts));
    }
}
