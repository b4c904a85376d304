//! Broken storage: damaged, newer, full, denied. Nothing is written over.

use firstglow_browser_tests::{App, Role, run, until};

const KEY: &str = "firstglow/bench";

#[test]
fn damaged_data_is_kept_offered_and_set_aside_only_when_asked() {
    run(async |browser| {
        browser.open().await;
        browser.store(KEY, "{\"type\":\"firstglow-bench\",\"vers").await;
        let page = browser.reload().await;
        page.shows("The saved bench could not be opened").await;
        page.role(Role::Button, "Download what was saved").await;
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.write("C1 .05 mfd 400 V paper").await;
        assert_eq!(
            browser.stored(KEY).await.as_deref(),
            Some("{\"type\":\"firstglow-bench\",\"vers")
        );
        page.click(Role::Button, "Set it aside and save from now on").await;
        app.saved().await;
        let kept = browser.stored_keys().await;
        assert!(kept.iter().any(|k| k.starts_with("firstglow/bench/set-aside/")), "{kept:?}");
        assert!(browser.stored(KEY).await.is_some_and(|t| t.contains("C1 .05 mfd")));
    });
}

#[test]
fn data_of_a_newer_version_is_left_alone() {
    run(async |browser| {
        browser.open().await;
        let newer = r#"{"type":"firstglow-bench","version":9,"data":{}}"#;
        browser.store(KEY, newer).await;
        let page = browser.reload().await;
        page.shows("newer Firstglow").await;
        browser.assert_accessible().await;
        assert_eq!(browser.stored(KEY).await.as_deref(), Some(newer));
    });
}

#[test]
fn a_full_storage_keeps_the_edits_and_offers_a_download() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.saved().await;
        let before = browser.stored(KEY).await;
        browser
            .js("let text = 'x'.repeat(1 << 20);
                 for (let n = 0; text; n += 1) {
                   try { localStorage.setItem('filler' + n, text); }
                   catch { text = text.slice(0, text.length >> 1); }
                 }")
            .await;
        app.write(&"C1 .05 mfd 400 V paper\n".repeat(50)).await;
        app.page.shows("Not saved").await;
        app.page.role(Role::Button, "Download everything").await;
        assert_eq!(browser.stored(KEY).await, before);
        browser.js("Object.keys(localStorage).filter((k) => k.startsWith('filler')).forEach((k) => localStorage.removeItem(k))").await;
        app.page.click(Role::Button, "Try again").await;
        app.saved().await;
        until("the edits to lie in storage", async || {
            browser.stored(KEY).await.is_some_and(|t| t.contains("C1 .05 mfd")).then_some(())
        })
        .await;
    });
}

#[test]
fn a_browser_that_denies_storage_still_works_and_says_so() {
    run(async |browser| {
        browser
            .devtools(
                "Page.addScriptToEvaluateOnNewDocument",
                serde_json::json!({ "source":
                    "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } })" }),
            )
            .await;
        let app = App::open(browser).await;
        app.page.shows("does not let this page store anything").await;
        app.begin("table-set").await;
        app.stage("plan").await;
        app.page.role(Role::Heading, "Plan").await;
    });
}
