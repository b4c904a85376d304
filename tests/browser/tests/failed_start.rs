//! A start that fails: what failed is said, the saved work is handed out, what
//! is kept of the app is fetched again or replaced by a newer version.

use std::fs;

use firstglow_browser_tests::damage::{
    Site, cause, cut_in_caches, damaged_in_caches, opens_offline, runs, start_of, update,
};
use firstglow_browser_tests::versions::{part, parts, publish_as};
use firstglow_browser_tests::{App, Browser, KEY, Role, dist, run, run_on, until};
use serde_json::json;

const LINE: &str = "C1 .05 400 V paper\n";

#[test]
fn the_app_is_fetched_again_from_its_own_screen() {
    let site = Site::new();
    let wasm = part(&site.0, "workshop-", "wasm");
    site.cut(&wasm);
    run_on(&site.0, async |browser| {
        browser.goto(browser.origin()).await;
        let app = App::on(browser, browser.usable().await);
        browser.workshop_is("shut").await;
        app.begin("blank").await;
        app.write(LINE).await;
        app.saved().await;
        browser.go_offline();
        app.page.click(Role::Button, "Fetch the app again").await;
        app.page.shows("Nothing was dropped").await;
        site.mend();
        browser.go_online(&site.0);
        app.page.click(Role::Button, "Fetch the app again").await;
        browser.workshop_is("open").await;
        assert_eq!(app.sheet().await, LINE);
    });
}

#[test]
fn what_is_damaged_in_the_caches_is_fetched_again_or_told_without_a_network() {
    let site = Site::new();
    run_on(&site.0, async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        browser.kept_for_offline_use().await;
        for name in parts(&site.0) {
            cut_in_caches(browser, &name).await;
        }
        browser.reload().await;
        assert_eq!(app.sheet().await, LINE);
        assert_eq!(damaged_in_caches(browser, &dist()).await, Vec::<String>::new());

        cut_in_caches(browser, &part(&site.0, "app-", "wasm")).await;
        browser.go_offline();
        browser.client().refresh().await.expect("the page loads anew");
        assert_eq!(start_of(browser).await, "failed");
        app.page.role(Role::Link, "Download the saved work").await;
        app.page.click(Role::Button, "Fetch the app again").await;
        app.page.shows("Nothing was dropped").await;
        browser.go_online(&site.0);
        app.page.click(Role::Button, "Try again").await;
        runs(browser).await;
        assert_eq!(app.sheet().await, LINE);
        assert_eq!(damaged_in_caches(browser, &dist()).await, Vec::<String>::new());
    });
}

/// The worker of the versions that did not look at what they kept.
const OLDER: &str = "const CACHE = `firstglow-${new URL(self.registration.scope).pathname}@older`;
const FILES = __FILES__;
self.addEventListener('install', (event) => event.waitUntil(caches.open(CACHE).then((cache) =>
  cache.addAll(FILES.map((file) => new Request(file, { cache: 'reload' }))))));
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') self.skipWaiting();
});
self.addEventListener('fetch', (event) => event.respondWith(caches.open(CACHE).then(async (cache) =>
  await cache.match(event.request.mode === 'navigate' ? './' : event.request, { ignoreVary: true })
    ?? fetch(event.request))));
";

#[test]
fn damage_that_an_older_version_keeps_is_found_and_replaced() {
    let site = Site::new();
    let mut files = parts(&site.0);
    files.push("./".to_owned());
    let older = OLDER.replace("__FILES__", &json!(files).to_string());
    site.write("sw.js", older.as_bytes());
    site.cut(&part(&site.0, "app-", "wasm"));
    run_on(&site.0, async |browser| {
        browser.goto(browser.origin()).await;
        assert_eq!(start_of(browser).await, "failed");
        until("the older version to be kept", async || {
            let state = "navigator.serviceWorker.ready.then((r) => r.active.state)";
            (browser.js_promise(state).await == "activated").then_some(())
        })
        .await;
        site.mend();
        // The older version answers from its cache until the newer one is there.
        browser.client().refresh().await.expect("the page loads anew");
        assert_eq!(start_of(browser).await, "failed");
        browser.js("navigator.serviceWorker.getRegistration().then((r) => r.update())").await;
        until("the older version to be gone", async || {
            let keys = browser.client().execute("return caches.keys()", vec![]).await.ok()?;
            (!keys.to_string().contains("@older")).then_some(())
        })
        .await;
        browser.client().refresh().await.expect("the page loads anew");
        runs(browser).await;
        opens_offline(browser).await;
        assert_eq!(damaged_in_caches(browser, &dist()).await, Vec::<String>::new());
    });
}

#[test]
fn a_failed_start_hands_out_the_saved_work_from_both_places() {
    let site = Site::new();
    run_on(&site.0, async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        let first = browser.stored(KEY).await.expect("a bench is stored");
        // Only the second copy has the last change.
        app.write("C2 .1 200 V paper\n").await;
        app.saved().await;
        let second = browser.on_disk().await.expect("a second copy");
        browser.store(KEY, &first).await;
        browser.kept_for_offline_use().await;
        browser
            .js_promise(
                "navigator.serviceWorker.getRegistration().then((r) => r.unregister())
                   .then(() => caches.keys())
                   .then((keys) => Promise.all(keys.map((key) => caches.delete(key))))",
            )
            .await;
        let wasm = part(&site.0, "app-", "wasm");
        site.cut(&wasm);
        browser.goto("about:blank").await;
        browser.goto(browser.origin()).await;
        assert_eq!(start_of(browser).await, "failed");
        app.page.click(Role::Link, "Download the saved work").await;
        assert_eq!(browser.downloaded("firstglow-saved.json").await, first.as_bytes());
        app.page.click(Role::Link, "Download its second copy").await;
        assert_eq!(browser.downloaded("firstglow-saved-second-copy.json").await, second.as_bytes());
        browser.assert_accessible().await;
        assert_eq!(browser.stored(KEY).await, Some(first));
        assert_eq!(browser.on_disk().await, Some(second));

        browser.js("localStorage.clear()").await;
        browser.client().refresh().await.expect("the page loads anew");
        assert_eq!(start_of(browser).await, "failed");
        app.page.role(Role::Link, "Download the saved work").await;
        site.mend();
        app.page.click(Role::Button, "Fetch the app again").await;
        runs(browser).await;
        app.page.shows("They were brought back from the second copy").await;
        browser.open_at("#/set/1/parts").await;
        assert_eq!(app.sheet().await, "C2 .1 200 V paper\n");
    });
}

#[test]
fn what_is_not_the_browsers_fault_is_not_said_to_be() {
    let before = async |browser: &Browser, script: &str| {
        let source = json!({ "source": script });
        browser.devtools("Page.addScriptToEvaluateOnNewDocument", source).await;
        browser.goto(browser.origin()).await;
        assert_eq!(start_of(browser).await, "failed");
        cause(browser).await
    };
    run(async |browser| {
        let broken = "Date.now = () => { throw new Error('no clock'); }";
        assert_eq!(before(browser, broken).await, "app");
        let page = browser.page();
        page.shows("Something in the app itself went wrong at its start").await;
        page.shows("no clock").await;
        page.shows_no("does not match").await;
        browser.assert_accessible().await;
    });
    run(async |browser| {
        assert_eq!(before(browser, "delete globalThis.WebAssembly").await, "browser");
        browser.page().shows("WebAssembly is switched off").await;
    });
    let site = Site::new();
    fs::remove_file(site.0.join(part(&site.0, "app-", "wasm"))).expect("the copy is ours");
    run_on(&site.0, async |browser| {
        browser.goto(browser.origin()).await;
        assert_eq!(start_of(browser).await, "failed");
        assert_eq!(cause(browser).await, "missing");
        browser.page().shows("The server does not give out a file of the app").await;
    });
}

#[test]
fn without_any_of_its_scripts_the_page_still_says_what_to_do() {
    let site = Site::new();
    for name in parts(&site.0).iter().filter(|name| name.ends_with("js")) {
        site.write(name, b"");
    }
    run_on(&site.0, async |browser| {
        browser.goto(browser.origin()).await;
        browser.page().shows("files of the app did not arrive whole: reload the page").await;
        site.mend();
        browser.reload().await;
        browser.page().shows_no("Firstglow is starting").await;
    });
}

#[test]
fn where_the_page_takes_no_digests_the_browser_checks_the_files() {
    // As a page that was not served securely has it.
    let source =
        json!({ "source": "Object.defineProperty(crypto, 'subtle', { value: undefined })" });
    let site = Site::new();
    run_on(&site.0, async |browser| {
        browser.devtools("Page.addScriptToEvaluateOnNewDocument", source.clone()).await;
        browser.open().await;
    });
    site.cut(&part(&site.0, "app-", "wasm"));
    run_on(&site.0, async |browser| {
        browser.devtools("Page.addScriptToEvaluateOnNewDocument", source.clone()).await;
        browser.goto(browser.origin()).await;
        assert_eq!(start_of(browser).await, "failed");
        assert_eq!(cause(browser).await, "damaged");
    });
}

#[test]
fn a_version_that_does_not_start_gives_way_to_a_newer_one_that_waits() {
    let (site, newer) = (Site::new(), Site::new());
    publish_as(&newer.0, "Firstglow, newer");
    run_on(&site.0, async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        browser.kept_for_offline_use().await;
        browser.go_online(&newer.0);
        update(browser).await;
        app.page.role(Role::Button, "Use it now").await;
        // What the version in use needs is damaged here, and gone from the server.
        let wasm = part(&site.0, "app-", "wasm");
        cut_in_caches(browser, &wasm).await;
        fs::remove_file(newer.0.join(&wasm)).expect("the copy is ours");
        browser.client().refresh().await.expect("the page loads anew");
        until("the newer version", async || {
            let title = browser.client().title().await.unwrap_or_default();
            title.ends_with("Firstglow, newer").then_some(())
        })
        .await;
    });
}
