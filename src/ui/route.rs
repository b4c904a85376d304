//! Addresses: `#/` is the bench, `#/set/3/parts` a stage of a set.

use crate::bench::progress::Stage;
use crate::bench::set::SetId;

/// What the address asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Route {
    /// The bench with all its sets.
    #[default]
    Bench,
    /// A stage of a set.
    Set(SetId, Stage),
}

impl Route {
    /// Reads the hash of an address. What is not known leads to the bench.
    pub fn parse(hash: &str) -> Self {
        let mut steps = hash.trim_start_matches('#').split('/').filter(|s| !s.is_empty());
        let (Some("set"), Some(id)) = (steps.next(), steps.next()) else { return Self::Bench };
        let Ok(id) = id.parse() else { return Self::Bench };
        let slug = steps.next().unwrap_or("parts");
        let stage = Stage::ALL.into_iter().find(|s| s.slug() == slug).unwrap_or(Stage::Parts);
        Self::Set(id, stage)
    }

    /// The address.
    pub fn hash(self) -> String {
        match self {
            Self::Bench => "#/".to_owned(),
            Self::Set(id, stage) => format!("#/set/{id}/{}", stage.slug()),
        }
    }

    /// The set it is about.
    pub const fn set_id(self) -> Option<SetId> {
        match self {
            Self::Bench => None,
            Self::Set(id, _) => Some(id),
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
        assert_eq!(Route::parse(&Route::Bench.hash()), Route::Bench);
    }

    #[test]
    fn an_unknown_address_leads_to_the_bench_or_to_the_parts() {
        for hash in ["", "#", "#/nowhere", "#/set", "#/set/x/parts", "#main", "#/set/99999999999"] {
            assert_eq!(Route::parse(hash), Route::Bench, "{hash}");
        }
        assert_eq!(Route::parse("#/set/3/attic"), Route::Set(SetId(3), Stage::Parts));
        assert_eq!(Route::parse("#/set/3"), Route::Set(SetId(3), Stage::Parts));
    }
}
