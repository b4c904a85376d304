//! Use without a network, and the way to a newer version.

use std::fs;

use firstglow_browser_tests::versions::publish_as;
use firstglow_browser_tests::{Browser, Role, copy_of_dist, run, run_on, until};

#[test]
fn the_app_opens_without_a_network_from_the_second_time_on() {
    run(async |browser| {
        browser.open().await;
        browser.kept_for_offline_use().await;
        browser.assert_clean_console().await;

        browser.go_offline();
        let page = browser.reload().await;
        assert_eq!(page.count(Role::Main).await, 1);
        browser.goto("about:blank").await;
        let page = browser.open_at("?later#there").await;
        assert_eq!(page.count(Role::Main).await, 1);
    });
}

#[test]
fn a_newer_version_is_offered_and_taken_only_when_asked_for() {
    let newer = copy_of_dist();
    publish_as(&newer, "Firstglow, newer");
    run(async |browser| {
        browser.open().await;
        browser.kept_for_offline_use().await;
        browser.go_online(&newer);
        look_for_update(browser).await;

        let page = browser.page();
        page.role(Role::Button, "Use it now").await;
        browser.assert_accessible().await;
        let page = browser.reload().await;
        assert_eq!(title(browser).await, "Firstglow");

        page.click(Role::Button, "Use it now").await;
        until("the newer version", async || {
            (title(browser).await == "Firstglow, newer").then_some(())
        })
        .await;
        browser.started().await;
        let caches = browser.js_promise("caches.keys()").await;
        assert_eq!(caches.as_array().map(Vec::len), Some(1), "{caches}");
    });
    fs::remove_dir_all(newer).expect("the copy is ours");
}

#[test]
fn a_newer_version_that_is_incomplete_changes_nothing() {
    let broken = copy_of_dist();
    publish_as(&broken, "Firstglow, broken");
    fs::remove_file(broken.join("icon.svg")).expect("the site has an icon");
    let site = copy_of_dist();
    run_on(&site, async |browser| {
        browser.open().await;
        browser.kept_for_offline_use().await;
        browser.go_online(&broken);
        let refused = browser
            .js_promise(
                "navigator.serviceWorker.ready.then(async (registration) => {
                   await registration.update();
                   const worker = registration.installing;
                   if (!worker) return 'redundant';
                   return new Promise((done) => worker.addEventListener('statechange',
                     () => done(worker.state)));
                 })",
            )
            .await;
        assert_eq!(refused, "redundant");

        browser.go_offline();
        browser.reload().await;
        assert_eq!(title(browser).await, "Firstglow");
    });
    for copy in [broken, site] {
        fs::remove_dir_all(copy).expect("the copy is ours");
    }
}

async fn look_for_update(browser: &Browser) {
    browser
        .js_promise(
            "navigator.serviceWorker.ready.then((registration) => registration.update())
               .then(() => null)",
        )
        .await;
}

async fn title(browser: &Browser) -> String {
    browser.client().title().await.unwrap_or_default()
}
