//! Two tabs of one browser on one bench: each sees what the other does, and
//! nothing that either did is lost.

use firstglow_browser_tests::{App, Browser, KEY, Role, run, until};
use serde_json::Value;

/// The sets as they lie in storage.
async fn stored(browser: &Browser) -> Value {
    let text = browser.stored(KEY).await.expect("a bench is stored");
    let document: Value = serde_json::from_str(&text).expect("the stored bench is JSON");
    document["data"]["sets"].clone()
}

/// The tab hears of nothing from now on, and yet writes: as one that was
/// stopped by the system and goes on with what it was doing.
async fn fall_asleep(browser: &Browser) {
    let listen = "for (const event of ['storage', 'focus', 'pageshow', 'visibilitychange']) {
            for (const at of [window, document]) {
              at.addEventListener(event, (e) => {
                if (window.asleep) e.stopImmediatePropagation();
              }, true);
            }
          }";
    let listen = serde_json::json!({ "source": listen });
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", listen).await;
    browser.reload().await;
    browser.js("window.asleep = true").await;
}

#[test]
fn a_change_in_one_tab_is_seen_in_the_other() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        let first = browser.other_tab("#/set/1/parts").await;
        assert_eq!(app.sheet().await, "C1 .05 400 V paper\n");
        app.write("C1 .05 400 V paper\nC2 .1 200 V paper\n").await;
        app.saved().await;
        browser.go_to_tab(first).await;
        app.page.shows("2 parts").await;
        assert_eq!(app.sheet().await, "C1 .05 400 V paper\nC2 .1 200 V paper\n");
        app.page.click(Role::Button, "Undo").await;
        assert_eq!(app.sheet().await, "C1 .05 400 V paper\n");
        browser.assert_clean_console().await;
    });
}

#[test]
fn what_two_tabs_do_to_one_set_at_once_stands_together() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        let first = browser.other_tab("#/set/1/fit").await;
        fall_asleep(browser).await;
        let second = browser.go_to_tab(first).await;
        app.write("C1 .05 400 V paper\nC2 .1 200 V paper\n").await;
        app.saved().await;
        browser.go_to_tab(second).await;
        app.tab_to("Fit C1").await;
        app.page.press(" ").await;
        until("both changes in storage", async || {
            let sets = stored(browser).await;
            let whole = sets[0]["text"] == "C1 .05 400 V paper\nC2 .1 200 V paper\n"
                && sets[0]["parts"]["C1"]["done-at"].is_u64();
            whole.then_some(())
        })
        .await;
        app.stage("parts").await;
        app.page.shows("2 parts").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn sets_begun_in_two_tabs_at_once_both_stay_under_their_own_addresses() {
    run(async |browser| {
        let app = App::open(browser).await;
        let first = browser.other_tab("").await;
        fall_asleep(browser).await;
        let second = browser.go_to_tab(first).await;
        app.begin("blank").await;
        app.write("set First\n").await;
        app.saved().await;
        browser.go_to_tab(second).await;
        app.begin("blank").await;
        app.write("set Second\n").await;
        until("both sets in storage", async || {
            let sets = stored(browser).await;
            (sets.as_array().map(Vec::len) == Some(2)).then_some(())
        })
        .await;
        app.page.role(Role::Heading, "Second").await;
        assert_eq!(app.sheet().await, "set Second\n");
        app.saved().await;
        app.bench().await;
        assert_eq!(app.page.all_data("set").await.len(), 2);
        browser.assert_clean_console().await;
    });
}

#[test]
fn of_a_field_changed_in_both_tabs_the_other_text_is_kept_and_told() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        let first = browser.other_tab("#/set/1/parts").await;
        fall_asleep(browser).await;
        let second = browser.go_to_tab(first).await;
        app.write("C1 .05 600 V paper\n").await;
        app.saved().await;
        browser.go_to_tab(second).await;
        app.write("C1 .05 630 V paper\n").await;
        app.page.shows("Another page changed the same: Unnamed set: C1").await;
        assert_eq!(app.sheet().await, "C1 .05 630 V paper\n");
        let keys = browser.stored_keys().await;
        let mut kept = Vec::new();
        for key in keys.iter().filter(|k| k.starts_with("firstglow/bench/backup/")) {
            kept.push(browser.stored(key).await.unwrap_or_default());
        }
        assert!(kept.iter().any(|text| text.contains("C1 .05 600 V")), "{kept:?}");
    });
}
