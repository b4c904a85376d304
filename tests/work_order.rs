//! The order of work, held against every order there is.

#[path = "support/chance.rs"]
mod chance;

use firstglow::plan::work::route::{EXACT, Place, Route};
use proptest::prelude::*;

/// Places with covers that need each other as covers do: each is a set closed
/// under what must be open before.
fn routes(most: usize) -> impl Strategy<Value = Route> {
    let befores = prop::collection::vec(prop::option::of(any::<prop::sample::Index>()), 6);
    let places =
        prop::collection::vec((any::<prop::sample::Index>(), any::<bool>(), 0..3_usize), 0..=most);
    let ties =
        prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 0..3);
    (befores, places, ties).prop_map(|(befores, places, ties)| {
        let covers = |mut cover: usize, second: bool| {
            let mut all = vec![cover];
            while let Some(before) = befores[cover].filter(|_| cover > 0) {
                cover = before.index(cover);
                all.push(cover);
            }
            // Some places need a cover of another branch, too.
            all.extend(second.then_some(5));
            all.sort_unstable();
            all.dedup();
            all
        };
        let places: Vec<Place> = places
            .into_iter()
            .map(|(cover, second, rank)| Place { covers: covers(cover.index(6), second), rank })
            .collect();
        let count = places.len();
        let ties = ties
            .into_iter()
            .filter(|_| count > 0)
            .map(|(a, b)| (a.index(count), b.index(count)))
            .collect();
        Route { places, ties }
    })
}

/// The least cost of any order.
fn exhaustive(route: &Route) -> usize {
    fn visit(route: &Route, order: &mut Vec<usize>, best: &mut usize) {
        if order.len() == route.places.len() {
            *best = (*best).min(route.cost(order).unwrap_or(usize::MAX));
            return;
        }
        for place in 0..route.places.len() {
            if !order.contains(&place) {
                order.push(place);
                visit(route, order, best);
                order.pop();
            }
        }
    }
    let mut best = usize::MAX;
    visit(route, &mut Vec::new(), &mut best);
    best
}

fn is_whole(route: &Route, order: &[usize]) -> bool {
    let mut sorted = order.to_vec();
    sorted.sort_unstable();
    sorted.iter().copied().eq(0..route.places.len())
}

proptest! {
    #![proptest_config(chance::cases(2_000))]

    #[test]
    fn no_order_at_all_opens_less(route in routes(6)) {
        let order = route.best();
        prop_assert!(is_whole(&route, &order));
        prop_assert_eq!(route.cost(&order), Some(exhaustive(&route)));
    }

    #[test]
    fn a_place_more_never_opens_less(route in routes(7)) {
        let whole = route.openings(&route.best());
        let mut fewer = route.clone();
        if let Some(gone) = fewer.places.pop() {
            let last = fewer.places.len();
            fewer.ties.retain(|(a, b)| *a != last && *b != last);
            prop_assert!(fewer.openings(&fewer.best()) <= whole, "{gone:?}");
        }
    }
}

/// Past the places that are searched exactly: never worse than the plain order
/// of the ranks, and each place once.
#[test]
fn many_places_are_ordered_well() {
    let covers = |n: usize| vec![n % 3, n + 3];
    let places: Vec<Place> = (0..3 * EXACT).map(|n| Place { covers: covers(n), rank: 0 }).collect();
    let route = Route { places, ties: vec![] };
    let order = route.best();
    assert!(is_whole(&route, &order));
    // Each place's own cover, and the three shared ones once each.
    assert_eq!(route.openings(&order), 3 * EXACT + 3);
}
