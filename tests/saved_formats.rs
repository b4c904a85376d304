//! Every format that was ever saved still opens, with all that it holds.

use firstglow::bench::Bench;
use firstglow::bench::set::SetRecord;
use firstglow::bench::stamp::Stamp;
use firstglow::plan::{cleaning::cleaning, plan, work::work};
use firstglow::sheet::Sheet;
use firstglow::store::backups;
use firstglow::store::envelope::{VERSION, read, read_document, write, write_after};
use firstglow::store::keeper::{KEY, Keeper, Opening};
use firstglow::store::pack::{self, BENCH, PHOTOS, crc};
use firstglow::store::shelf::{Shelf, ShelfError};
use serde_json::Value;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

fn path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name)
}

fn text(name: &str) -> String {
    fs::read_to_string(path(name)).expect("the fixture")
}

fn tree(text: &str) -> Value {
    serde_json::from_str(text).expect("a fixture is JSON")
}

/// Every value of `saved` that `kept` does not hold in the same place. What
/// says nothing (null, an empty list or map) may be left out.
fn missing(saved: &Value, kept: Option<&Value>, place: &str, found: &mut Vec<String>) {
    match saved {
        Value::Object(saved) if !saved.is_empty() => {
            for (key, value) in saved {
                let kept = kept.and_then(|kept| kept.get(key));
                missing(value, kept, &format!("{place}/{key}"), found);
            }
        }
        Value::Array(saved) if !saved.is_empty() => {
            for (n, value) in saved.iter().enumerate() {
                let kept = kept.and_then(|kept| kept.get(n));
                missing(value, kept, &format!("{place}/{n}"), found);
            }
        }
        Value::Null | Value::Object(_) | Value::Array(_) => {
            if kept.is_some_and(|kept| kept != saved) {
                found.push(format!("{place}: {saved} became {kept:?}"));
            }
        }
        leaf => {
            if kept != Some(leaf) {
                found.push(format!("{place}: {leaf} became {kept:?}"));
            }
        }
    }
}

fn leaves(value: &Value) -> usize {
    match value {
        Value::Object(map) => map.values().map(leaves).sum(),
        Value::Array(list) => list.iter().map(leaves).sum(),
        Value::Null => 0,
        _ => 1,
    }
}

fn assert_all_of(saved: &Value, kept: &Value, what: &str) {
    let mut found = Vec::new();
    missing(saved, Some(kept), "", &mut found);
    let first: Vec<String> =
        found.iter().take(20).map(|lost| lost.chars().take(200).collect()).collect();
    assert!(found.is_empty(), "{what} lost {} values:\n{}", found.len(), first.join("\n"));
}

/// Reads a document and asks for all that it holds.
fn assert_opens_whole(document: &str, what: &str) -> Bench {
    let read = read_document(document).unwrap_or_else(|why| panic!("{what}: {why}"));
    let again = tree(&write_after(&read.bench, &read.trail).expect("it can be written"));
    let saved = tree(document);
    for part in ["type", "trail", "data"] {
        let saved = saved.get(part).unwrap_or(&Value::Null);
        assert_all_of(saved, again.get(part).unwrap_or(&Value::Null), what);
    }
    read.bench
}

/// A shelf in memory.
struct Memory(RefCell<BTreeMap<String, String>>);

impl Shelf for &Memory {
    fn get(&self, key: &str) -> Result<Option<String>, ShelfError> {
        Ok(self.0.borrow().get(key).cloned())
    }

    fn set(&self, key: &str, text: &str) -> Result<(), ShelfError> {
        self.0.borrow_mut().insert(key.to_owned(), text.to_owned());
        Ok(())
    }

    fn remove(&self, key: &str) -> Result<(), ShelfError> {
        self.0.borrow_mut().remove(key);
        Ok(())
    }

    fn keys(&self) -> Result<Vec<String>, ShelfError> {
        Ok(self.0.borrow().keys().cloned().collect())
    }
}

/// The storage of a browser as it was saved.
fn storage() -> BTreeMap<String, String> {
    serde_json::from_str(&text("all-v1/storage.json")).expect("texts by name")
}

#[test]
fn every_released_version_has_a_fixture_that_still_loads() {
    for version in 1..=VERSION {
        let name = format!("bench-v{version}.json");
        let bench = read(&text(&name)).expect("a released version loads");
        assert_eq!(bench.sets.len(), 2, "{name}");
        assert!(bench.sets[0].part("C7").done_at.is_some(), "{name}");
        assert_eq!(bench.sets[0].notes, "Dial cord replaced.", "{name}");
    }
}

#[test]
fn stock_and_prices_as_they_were_first_saved_still_load() {
    let buying = read(&text("bench-v1-stock.json")).expect("it loads").buying;
    assert_eq!((buying.currency.as_str(), buying.line_worth.as_str()), ("$", "0.50"));
    assert_eq!((buying.stock[0].count, buying.stock[0].free()), (11, 10));
    assert_eq!(buying.stock[0].reserved[0].place.part, "C7");
}

#[test]
fn the_comparison_finds_a_value_that_is_dropped_changed_or_moved() {
    let saved = tree(r#"{"a": {"C7": "0,5 µA", "x": null}, "b": [1, 2], "c": ""}"#);
    let lost = |kept: &str| {
        let mut found = Vec::new();
        missing(&saved, Some(&tree(kept)), "", &mut found);
        found.len()
    };
    assert_eq!(lost(r#"{"a": {"C7": "0,5 µA"}, "b": [1, 2], "c": "", "new": 7}"#), 0);
    assert_eq!(lost(r#"{"a": {"x": null}, "b": [1, 2], "c": ""}"#), 1);
    assert_eq!(lost(r#"{"a": {"C7": "0.5 µA"}, "b": [2, 1], "c": ""}"#), 3);
    assert_eq!(lost(r#"{"a": {"C7": "0,5 µA", "x": 3}, "b": [1]}"#), 3);
    assert_eq!(leaves(&saved), 4);
}

#[test]
fn documents_with_every_kind_of_record_open_with_all_they_hold() {
    let all = [
        ("bench-v1.json", 10),
        ("bench-v1-stock.json", 10),
        ("all-v1/bench.json", 4_000),
        ("all-v1/one-set.json", 400),
    ];
    for (name, least) in all {
        let document = text(name);
        assert!(leaves(&tree(&document)) > least, "{name} holds {}", leaves(&tree(&document)));
        assert_opens_whole(&document, name);
    }
}

#[test]
fn documents_come_onto_another_bench_with_all_they_hold() {
    let document = text("all-v1/bench.json");
    let mut bench = Bench::default();
    bench.merge(read(&document).expect("it loads"));
    // Newest first; and what to aim at is chosen on each bench.
    bench.lists.reverse();
    let again = tree(&write(&bench).expect("it can be written"));
    let mut saved = tree(&document);
    let buying = saved["data"]["buying"].as_object_mut().expect("what is kept of buying");
    assert!(buying.remove("aim").is_some() && buying.remove("every-set").is_some());
    assert_all_of(&saved["data"], &again["data"], "an import");
}

#[test]
fn an_archive_opens_with_its_bench_and_its_pictures() {
    let file = fs::read(path("all-v1/with-photos.zip")).expect("the fixture");
    let (start, size) = pack::directory(&file, file.len() as u64).expect("a directory");
    let cut = |start: u64, size: u64| {
        let start = usize::try_from(start).expect("within the file");
        &file[start..start + usize::try_from(size).expect("within the file")]
    };
    let entries = pack::entries(cut(start, size)).expect("its entries");
    let content = |name: &str| {
        let entry = entries.iter().find(|e| e.name == name).expect("an entry of that name");
        let local = cut(u64::from(entry.header), pack::LOCAL as u64);
        let bytes = cut(pack::begin(entry, local).expect("a header"), u64::from(entry.size));
        assert_eq!(crc(bytes), entry.crc, "{name}");
        bytes.to_vec()
    };
    let document = String::from_utf8(content(BENCH)).expect("text");
    assert_eq!(document, text("all-v1/one-set.json"));
    let bench = assert_opens_whole(&document, "the archive");
    let photos: Vec<_> = bench.sets.iter().flat_map(|s| &s.photos).collect();
    assert_eq!(photos.len(), 3);
    for photo in photos {
        assert!(photo.is_well_named(), "{}", photo.id);
        assert_eq!(crc(&content(&format!("{PHOTOS}{}.jpg", photo.id))), photo.crc);
        assert_eq!(photo.marks.len(), 2);
    }
}

#[test]
fn what_lay_in_the_storage_opens_with_all_it_holds_and_nothing_is_taken_away() {
    let saved = storage();
    let memory = Memory(RefCell::new(saved.clone()));
    let moments = backups::list(&&memory).expect("backups");
    assert_eq!(moments.len(), 2);
    for at in moments {
        let backup = backups::read(&&memory, at).expect("a shelf").expect("a backup");
        assert_opens_whole(&backup, "a backup");
    }
    let now = Stamp(1_764_001_600_000);
    let (mut keeper, opening) = Keeper::open(&memory, "1764001600000-c".into(), now);
    let Opening::Loaded(bench) = opening else { panic!("it is not loaded: {opening:?}") };
    assert_eq!(bench, assert_opens_whole(&saved[KEY], KEY));
    keeper.save(&bench, now).expect("it is saved");
    let kept = memory.0.borrow().clone();
    for (key, text) in &saved {
        if key == KEY {
            assert_all_of(&tree(text)["data"], &tree(&kept[key])["data"], key);
            assert_all_of(&tree(text)["trail"], &tree(&kept[key])["trail"], key);
        } else if !key.starts_with(backups::PREFIX) {
            // Backups of one hour make room for each other.
            assert!(kept.get(key) == Some(text), "{key} is gone");
        }
    }
}

#[test]
fn a_state_that_another_device_has_is_read_with_all_it_holds() {
    let saved = storage();
    let mut states = saved.iter().filter(|(key, _)| key.contains("/shared/"));
    let (key, text) = states.next().expect("a shared state");
    let record: SetRecord = serde_json::from_str(text).expect("a record");
    let again = serde_json::to_value(&record).expect("it can be written");
    assert_all_of(&tree(text), &again, key);
    assert_eq!(states.count(), 0);
}

/// Steps by the set they are of, as today's plans name them.
fn offered(bench: &Bench) -> BTreeMap<String, BTreeSet<String>> {
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for set in &bench.sets {
        let sheet = Sheet::read(&set.text);
        let plan = plan(&sheet);
        let order = work(&sheet, &plan);
        for step in &plan.power_up {
            let readings = step.readings.iter().map(|reading| reading.id.clone());
            all.entry(step.id.clone()).or_default().extend(readings);
        }
        let areas = order.stops.iter().flat_map(|s| &s.opens).chain(&order.readjust);
        let done = areas.map(|s| s.id.clone()).chain(cleaning(&sheet).into_iter().map(|c| c.id));
        all.extend(done.map(|id| (id, BTreeSet::new())));
    }
    all
}

/// Steps whose readings are named after nodes and parts: which are asked for
/// hangs on what the circuit tells.
const BY_CIRCUIT: [&str; 3] = ["voltages", "discharge", "reform"];

#[test]
fn steps_and_readings_keep_the_names_that_they_were_saved_under() {
    let bench = read(&text("all-v1/bench.json")).expect("it loads");
    let offered = offered(&bench);
    let mut gone = BTreeSet::new();
    for (id, record) in bench.sets.iter().flat_map(|set| &set.steps) {
        if id == "a-step-of-before" {
            continue;
        }
        let Some(readings) = offered.get(id) else {
            gone.insert(id.clone());
            continue;
        };
        if !BY_CIRCUIT.contains(&id.as_str()) {
            // The lamp's study asks for these besides.
            let known = |name: &str| readings.contains(name) || OF_LAMP.contains(&name);
            let unknown = record.readings.keys().filter(|name| !known(name));
            gone.extend(unknown.map(|name| format!("{id}: {name}")));
        }
    }
    assert!(gone.is_empty(), "no plan asks for these any more: {gone:#?}");
}

/// Readings of stages behind a lamp, see `plan::on_lamp`.
const OF_LAMP: [&str; 2] = ["set", "current"];
