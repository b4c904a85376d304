//! Every format that was ever saved still opens.

use firstglow::store::envelope::{VERSION, read};

#[test]
fn every_released_version_has_a_fixture_that_still_loads() {
    for version in 1..=VERSION {
        let path = format!("{}/tests/fixtures/bench-v{version}.json", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("a fixture for each version");
        let bench = read(&text).expect("a released version loads");
        assert_eq!(bench.sets.len(), 2, "{path}");
        assert!(bench.sets[0].part("C7").done_at.is_some(), "{path}");
        assert_eq!(bench.sets[0].notes, "Dial cord replaced.", "{path}");
    }
}

#[test]
fn stock_and_prices_as_they_were_first_saved_still_load() {
    let path = format!("{}/tests/fixtures/bench-v1-stock.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the fixture");
    let buying = read(&text).expect("it loads").buying;
    assert_eq!((buying.currency.as_str(), buying.line_worth.as_str()), ("$", "0.50"));
    assert_eq!((buying.stock[0].count, buying.stock[0].free()), (11, 10));
    assert_eq!(buying.stock[0].reserved[0].place.part, "C7");
}
