//! Addresses: `#/` is the bench, `#/stock` and `#/swap-meet` are for all sets,
//! `#/take/…` is what another device sent, `#/set/3/parts` a stage of a set,
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
    /// What to buy where, for how much.
    Basket,
    /// Readings on old parts.
    OldParts,
    /// Cans and blocks.
    Cans,
    /// Cleaning and mechanics.
    Cleaning,
    /// Photos of the set.
    Photos,
    /// Where each lead goes.
    Leads,
    /// The wiring by ohmmeter, before power.
    Wiring,
    /// The set, to another device.
    CarrySet,
    /// The buying list, to another device.
    CarryList,
    /// The set on its series lamp.
    Lamp,
}

impl View {
    /// All of them, in the order shown.
    pub const ALL: [Self; 12] = [
        Self::Voltages,
        Self::Supply,
        Self::Basket,
        Self::Leads,
        Self::OldParts,
        Self::Cans,
        Self::Cleaning,
        Self::Photos,
        Self::Wiring,
        Self::Lamp,
        Self::CarrySet,
        Self::CarryList,
    ];

    /// The stage it belongs to.
    pub const fn stage(self) -> Stage {
        match self {
            Self::Voltages | Self::Supply => Stage::Plan,
            Self::CarrySet => Stage::Set,
            Self::Basket | Self::CarryList => Stage::Buy,
            Self::Leads
            | Self::OldParts
            | Self::Cans
            | Self::Cleaning
            | Self::Photos
            | Self::Wiring => Stage::Fit,
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
            Self::Basket => "Basket",
            Self::OldParts => "Old parts",
            Self::Cans => "Cans",
            Self::Cleaning => "Cleaning",
            Self::Photos => "Photos",
            Self::Leads => "Leads",
            Self::Wiring => "Wiring check",
            Self::CarrySet | Self::CarryList => "To another device",
            Self::Lamp => "Lamp",
        }
    }

    /// Its name in addresses.
    pub const fn slug(self) -> &'static str {
        match self {
            Self::Voltages => "voltages",
            Self::Supply => "supply",
            Self::Basket => "basket",
            Self::OldParts => "old-parts",
            Self::Cans => "cans",
            Self::Cleaning => "cleaning",
            Self::Photos => "photos",
            Self::Leads => "leads",
            Self::Wiring => "wiring",
            Self::CarrySet | Self::CarryList => "carry",
            Self::Lamp => "lamp",
        }
    }
}

/// What a stage shows first is called, where it has further views.
pub const fn first_view(stage: Stage) -> &'static str {
    match stage {
        Stage::Plan => "Parts",
        Stage::Set => "Details",
        Stage::Buy => "List",
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
    /// What lies in the drawers.
    Stock,
    /// What lies on a table at a swap meet.
    SwapMeet,
    /// What another device sent; it stands in the address behind this.
    Take,
    /// A stage of a set.
    Set(SetId, Stage),
    /// A further view of a set's stage.
    View(SetId, View),
}

impl Route {
    /// Reads the hash of an address. What is not known leads to the bench.
    pub fn parse(hash: &str) -> Self {
        let mut steps = hash.trim_start_matches('#').split('/').filter(|s| !s.is_empty());
        let (first, second) = (steps.next(), steps.next());
        match first {
            Some("take") => return Self::Take,
            Some("stock") => return Self::Stock,
            Some("swap-meet") => return Self::SwapMeet,
            _ => {}
        }
        let (Some("set"), Some(id)) = (first, second) else { return Self::Bench };
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
            Self::Stock => "#/stock".to_owned(),
            Self::SwapMeet => "#/swap-meet".to_owned(),
            Self::Take => "#/take".to_owned(),
            Self::Set(id, stage) => format!("#/set/{id}/{}", stage.slug()),
            Self::View(id, view) => format!("#/set/{id}/{}/{}", view.stage().slug(), view.slug()),
        }
    }

    /// The same screen of another set.
    #[must_use]
    pub const fn of_set(self, id: SetId) -> Self {
        match self {
            Self::Bench | Self::Take | Self::Stock | Self::SwapMeet => self,
            Self::Set(_, stage) => Self::Set(id, stage),
            Self::View(_, view) => Self::View(id, view),
        }
    }

    /// The set it is about.
    pub const fn set_id(self) -> Option<SetId> {
        match self {
            Self::Bench | Self::Take | Self::Stock | Self::SwapMeet => None,
            Self::Set(id, _) | Self::View(id, _) => Some(id),
        }
    }

    /// The stage it is about.
    pub const fn stage(self) -> Option<Stage> {
        match self {
            Self::Bench | Self::Take | Self::Stock | Self::SwapMeet => None,
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
        for route in [Route::Bench, Route::Take, Route::Stock, Route::SwapMeet] {
            assert_eq!(Route::parse(&route.hash()), route);
        }
        assert_eq!(Route::parse("#/take/bAQB"), Route::Take);
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
