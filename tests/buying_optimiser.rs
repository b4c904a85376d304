//! The optimiser of the buying list, held against an exhaustive search on small
//! tasks.

#[path = "support/chance.rs"]
mod chance;

use firstglow::buying::optimise::{Found, Line, Task, Wish, cost, solve};
use proptest::prelude::*;

/// Every choice there is.
fn exhaustive(task: &Task) -> i64 {
    let mut choice = vec![0; task.wishes.len()];
    let mut at = vec![0; task.wishes.len()];
    let mut best = i64::MAX;
    loop {
        for (wish, (chosen, at)) in task.wishes.iter().zip(choice.iter_mut().zip(&at)) {
            *chosen = wish.lines[*at];
        }
        best = best.min(cost(task, &choice));
        let Some(turn) = (0..at.len()).find(|i| at[*i] + 1 < task.wishes[*i].lines.len()) else {
            return best;
        };
        at[..turn].fill(0);
        at[turn] += 1;
    }
}

/// A table that rises by steps, some of them none.
fn costs() -> impl Strategy<Value = Vec<i64>> {
    prop::collection::vec(prop_oneof![Just(0_i64), 1..60_i64], 16).prop_map(|steps| {
        let mut sum = 0;
        let rising = steps.into_iter().map(|step| {
            sum += step;
            sum
        });
        std::iter::once(0).chain(rising).collect()
    })
}

prop_compose! {
    fn tasks()(lines in 1..6_usize, sellers in 1..4_usize)(
        wishes in prop::collection::vec(
            (1..3_usize, prop::sample::subsequence((0..lines).collect::<Vec<_>>(), 1..=lines)),
            1..7,
        ),
        lines in prop::collection::vec((0..sellers, costs()), lines),
        postage in prop::collection::vec(prop_oneof![Just(0_i64), 1..200_i64], sellers),
        line_worth in prop_oneof![Just(0_i64), 1..200_i64],
    ) -> Task {
        Task {
            wishes: wishes.into_iter().map(|(pieces, lines)| Wish { pieces, lines }).collect(),
            lines: lines.into_iter().map(|(seller, costs)| Line { seller, costs }).collect(),
            postage,
            line_worth,
        }
    }
}

/// A choice that serves each need by a line that may.
fn serves(task: &Task, found: &Found) -> bool {
    task.wishes.iter().zip(&found.choice).all(|(wish, line)| wish.lines.contains(line))
}

/// What once failed stands beside this file and runs first.
fn with_kept_cases() -> ProptestConfig {
    let kept = ProptestConfig::default().failure_persistence;
    ProptestConfig { failure_persistence: kept, ..chance::cases(4_000) }
}

proptest! {
    #![proptest_config(with_kept_cases())]

    #[test]
    fn what_is_found_is_the_best_there_is(task in tasks()) {
        let found = solve(&task, 100_000).unwrap();
        prop_assert!(serves(&task, &found));
        prop_assert_eq!(found.cost, cost(&task, &found.choice));
        prop_assert!(found.is_proven(), "{:?}", found);
        prop_assert_eq!(found.cost, exhaustive(&task));
    }

    #[test]
    fn a_search_cut_short_tells_a_bound_that_holds(task in tasks()) {
        let found = solve(&task, 1).unwrap();
        let best = exhaustive(&task);
        prop_assert!(serves(&task, &found));
        prop_assert!(found.bound <= best && best <= found.cost, "{:?} {}", found, best);
    }
}
