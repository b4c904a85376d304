//! Documents that earlier versions saved, opened by the app in a browser: all
//! that they hold is there after the next change.

use std::fs;
use std::path::PathBuf;

use firstglow_browser_tests::{App, Browser, KEY, run, until};
use serde_json::{Value, json};

fn fixture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/fixtures/all-v1").join(name)
}

fn document(name: &str) -> String {
    fs::read_to_string(fixture(name)).expect("the fixture")
}

/// Values of `saved` that `kept` does not hold in the same place.
fn missing(saved: &Value, kept: Option<&Value>, place: &str, found: &mut Vec<String>) {
    match saved {
        Value::Object(map) => map.iter().for_each(|(key, value)| {
            missing(value, kept.and_then(|k| k.get(key)), &format!("{place}/{key}"), found);
        }),
        Value::Array(list) => list.iter().enumerate().for_each(|(n, value)| {
            missing(value, kept.and_then(|k| k.get(n)), &format!("{place}/{n}"), found);
        }),
        Value::Null => {}
        leaf if kept == Some(leaf) => {}
        leaf => found.push(format!("{place}: {leaf} became {kept:?}")),
    }
}

/// Waits until what is stored holds all of the sets.
async fn holds_all(browser: &Browser, saved: &str) {
    let saved: Value = serde_json::from_str(saved).expect("a document");
    let sets = saved["data"]["sets"].as_array().expect("sets");
    until("all that was saved", async || {
        let stored: Value = serde_json::from_str(&browser.stored(KEY).await?).ok()?;
        let mut found = Vec::new();
        for set in sets {
            let mut kept = stored["data"]["sets"].as_array()?.iter();
            missing(set, kept.find(|kept| kept["id"] == set["id"]), "", &mut found);
        }
        found.is_empty().then_some(())
    })
    .await;
}

#[test]
fn a_bench_of_before_opens_from_the_storage_with_all_it_holds() {
    run(async |browser| {
        browser.open().await;
        let storage: Value = serde_json::from_str(&document("storage.json")).expect("texts");
        for (key, text) in storage.as_object().expect("texts by name") {
            browser.store(key, text.as_str().expect("a text")).await;
        }
        let before = storage[KEY].as_str().expect("a bench");
        let app = App::on(browser, browser.reload().await);
        // A change has the bench written anew.
        app.begin("blank").await;
        until("the new set", async || {
            browser.stored(KEY).await.is_some_and(|stored| stored != before).then_some(())
        })
        .await;
        holds_all(browser, before).await;
    });
}

#[test]
fn files_of_before_come_in_with_all_they_hold_and_their_pictures() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.drop_file("bench.json", document("bench.json").as_bytes()).await;
        app.page.shows("12 sets came in").await;
        app.saved().await;
        holds_all(browser, &document("bench.json")).await;
    });
    run(async |browser| {
        let app = App::open(browser).await;
        let archive = fs::read(fixture("with-photos.zip")).expect("the fixture");
        app.drop_file("with-photos.zip", &archive).await;
        app.page.shows("1 set came in").await;
        app.saved().await;
        holds_all(browser, &document("one-set.json")).await;
        browser.open_at("#/set/6/fit/photos").await;
        until("the pictures", async || {
            let drawn = "return [...document.querySelectorAll('main img')]
                           .filter((image) => image.naturalWidth === 8).length";
            (browser.js(drawn).await == json!(3)).then_some(())
        })
        .await;
    });
}
