//! How many cases a property runs, and from which seed.

use proptest::test_runner::{Config, RngSeed};

/// So many cases from a fixed seed, so that the same tree always gives the same
/// verdict; as many as `PROPTEST_CASES` asks for, each time others, where it is
/// set.
pub fn cases(ordinary: u32) -> Config {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok());
    Config {
        cases: asked.unwrap_or(ordinary),
        rng_seed: if asked.is_some() { RngSeed::Random } else { RngSeed::Fixed(1943) },
        failure_persistence: None,
        max_global_rejects: 1_000_000,
        ..Config::default()
    }
}
