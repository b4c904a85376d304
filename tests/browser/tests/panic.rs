//! The page that is left when the app has failed.

use firstglow_browser_tests::{App, KEY, Role, run, until};

/// Sends the app an event that no browser sends: one that is about nothing.
const BREAK: &str = "const event = new InputEvent('input', { bubbles: true });
    Object.defineProperty(event, 'currentTarget', { get: () => null });
    document.getElementById('sheet-text').dispatchEvent(event)";

#[test]
fn a_panic_is_told_offers_what_was_saved_and_starts_again() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write("set Saved before\nC1 .05 400 V paper\n").await;
        app.saved().await;
        browser.js(BREAK).await;
        let page = browser.page();
        page.role(Role::Heading, "Firstglow has stopped").await;
        page.shows("What was saved before is still in this browser").await;
        browser.assert_accessible().await;
        let saved = browser.stored(KEY).await.expect("a bench is stored");
        page.click(Role::Link, "Download what was saved last").await;
        assert_eq!(browser.downloaded("firstglow-saved.json").await, saved.as_bytes());
        page.click(Role::Link, "Open Firstglow again").await;
        until("the app to run again", async || {
            (browser.js("return document.documentElement.dataset.boot").await == "ready"
                && browser.page().all_data("screen").await == ["bench"])
            .then_some(())
        })
        .await;
        page.role(Role::Link, "Saved before").await;
    });
}

#[test]
fn nothing_is_written_once_the_app_has_failed() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write("C1 .05 400 V paper\n").await;
        app.saved().await;
        let saved = browser.stored(KEY).await;
        // A change is on its way when it fails: both in one go, or it is saved between.
        browser
            .js(&format!(
                "const area = document.getElementById('sheet-text');
                 area.value = 'C2 .1';
                 area.dispatchEvent(new InputEvent('input', {{ bubbles: true }}));
                 {BREAK}"
            ))
            .await;
        browser.page().role(Role::Heading, "Firstglow has stopped").await;
        browser.js_promise("new Promise((done) => setTimeout(() => done(null), 1000))").await;
        assert_eq!(browser.stored(KEY).await, saved);
        assert_eq!(browser.on_disk().await, saved);
    });
}
