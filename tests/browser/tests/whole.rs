//! Files of the app that are not as they were built: none is kept or used, the
//! last whole version goes on working, and once the server is mended a reload
//! or two heal it, the saved work untouched.

use std::fs;
use std::path::{Path, PathBuf};

use firstglow_browser_tests::versions::{page, part, parts, publish_as};
use firstglow_browser_tests::{
    App, Browser, KEY, Kind, Role, Seat, copy_of_dist, dist, run, run_on, until,
};
use serde_json::{Value, json};

const LINE: &str = "C1 .05 400 V paper\n";

/// A copy of the site that can be damaged and mended.
struct Site(PathBuf);

impl Site {
    fn new() -> Self {
        Self(copy_of_dist())
    }

    fn write(&self, name: &str, content: &[u8]) {
        fs::write(self.0.join(name), content).expect("the copy is writable");
    }

    fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.0.join(name)).expect("the copy is readable")
    }

    /// Cuts a file in half.
    fn cut(&self, name: &str) {
        let content = self.read(name);
        self.write(name, &content[..content.len() / 2]);
    }

    /// Puts all files back as they were built.
    fn mend(&self) {
        for entry in fs::read_dir(dist()).expect("dist/ is readable").flatten() {
            fs::copy(entry.path(), self.0.join(entry.file_name())).expect("the copy is writable");
        }
    }
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// How the start went: `ready`, `failed`, or nothing that was ever said.
async fn start_of(browser: &Browser) -> Value {
    let said = "return document.documentElement.dataset.boot ?? null";
    until("the start to come to an end", async || {
        let said = browser.client().execute(said, vec![]).await.ok()?;
        (said == "ready" || said == "failed").then_some(said)
    })
    .await
}

/// Why the page of a failed start says that it failed.
async fn cause(browser: &Browser) -> String {
    browser.page().data("screen", "failure").await;
    let cause = browser.js("return document.querySelector('[data-cause]').dataset.cause").await;
    cause.as_str().unwrap_or_default().to_owned()
}

/// The names of files in caches whose content is not that of the build.
async fn damaged_in_caches(browser: &Browser, site: &Path) -> Vec<String> {
    let lengths = browser
        .js_promise(
            "caches.keys().then(async (keys) => {
               const found = [];
               for (const key of keys) {
                 const cache = await caches.open(key);
                 for (const request of await cache.keys()) {
                   const bytes = await (await cache.match(request)).arrayBuffer();
                   const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
                   found.push([new URL(request.url).pathname.slice(1),
                     btoa(String.fromCharCode(...digest))]);
                 }
               }
               return found;
             })",
        )
        .await;
    let kept: Vec<(String, String)> = serde_json::from_value(lengths).expect("pairs of text");
    let built = |name: &str| {
        let content = fs::read(site.join(name)).unwrap_or_default();
        firstglow_browser_tests::versions::sha256(&content)
    };
    kept.into_iter().filter(|(name, is)| built(name) != *is).map(|(name, _)| name).collect()
}

/// Waits until the app runs, whatever the page says before it is left.
async fn runs(browser: &Browser) {
    let said = "return document.documentElement.dataset.boot ?? null";
    until("the app to run", async || {
        (browser.client().execute(said, vec![]).await.ok()? == "ready").then_some(())
    })
    .await;
    browser.workshop_is("open").await;
}

/// Reloads, twice at most, until the app runs and is kept for offline use.
async fn heals(browser: &Browser, what: &str) {
    for reloads in 1..=2 {
        browser.client().refresh().await.expect("the page loads anew");
        if start_of(browser).await == "ready" {
            browser.workshop_is("open").await;
            if reloads == 2
                || browser.js("return navigator.serviceWorker.controller !== null").await == true
            {
                return;
            }
        }
    }
    assert_eq!(start_of(browser).await, "ready", "{what} does not heal");
}

/// It opens from what is kept alone.
async fn opens_offline(browser: &Browser) {
    browser.kept_for_offline_use().await;
    browser.go_offline();
    browser.reload().await;
}

#[test]
fn a_first_wasm_cut_in_half_is_told_never_kept_and_heals_by_a_reload() {
    let site = Site::new();
    let wasm = part(&site.0, "app-", "wasm");
    site.cut(&wasm);
    run_on(&site.0, async |browser| {
        browser.goto(browser.origin()).await;
        assert_eq!(start_of(browser).await, "failed");
        let page = browser.page();
        page.role(Role::Heading, "Firstglow could not start").await;
        assert_eq!(cause(browser).await, "damaged");
        page.shows(&wasm).await;
        page.shows("does not match its build").await;
        page.shows("there is none in this browser yet").await;
        page.shows_no("browser could not run").await;
        browser.assert_accessible().await;
        browser.screenshot_full("failure-damaged").await;
        until("the worker to be refused", async || {
            (browser.js("return document.documentElement.dataset.offline ?? null").await
                == "refused")
                .then_some(())
        })
        .await;
        assert_eq!(damaged_in_caches(browser, &dist()).await, Vec::<String>::new());

        site.mend();
        browser.reload().await;
        opens_offline(browser).await;
    });
}

#[test]
fn a_second_wasm_cut_in_half_is_told_and_heals_by_a_reload_or_by_asking_again() {
    let site = Site::new();
    let wasm = part(&site.0, "workshop-", "wasm");
    for by_reload in [true, false] {
        site.cut(&wasm);
        run_on(&site.0, async |browser| {
            browser.goto(browser.origin()).await;
            let app = App::on(browser, browser.usable().await);
            browser.workshop_is("shut").await;
            app.page.data("banner", "workshop").await;
            app.page.shows("It does not match its build, so it was not used").await;
            app.begin("blank").await;
            app.write(LINE).await;
            app.saved().await;
            app.page.role(Role::Button, "Download everything").await;
            app.page.role(Role::Button, "Fetch the app again").await;
            browser.assert_accessible().await;
            browser.screenshot_full("workshop-damaged").await;
            assert_eq!(damaged_in_caches(browser, &dist()).await, Vec::<String>::new());

            site.mend();
            if by_reload {
                browser.reload().await;
            } else {
                app.page.click(Role::Button, "Load the rest").await;
                browser.workshop_is("open").await;
                browser.reload().await;
            }
            assert_eq!(app.sheet().await, LINE);
            opens_offline(browser).await;
            assert_eq!(app.sheet().await, LINE);
        });
    }
}

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

/// Runs the update check and says what became of a newer worker.
async fn update(browser: &Browser) -> Value {
    browser
        .js_promise(
            "navigator.serviceWorker.ready.then(async (registration) => {
               try { await registration.update(); } catch { return 'refused'; }
               const worker = registration.installing ?? registration.waiting;
               if (!worker) return 'refused';
               while (worker.state === 'installing') await new Promise((done) =>
                 worker.addEventListener('statechange', done, { once: true }));
               return worker.state === 'redundant' ? 'refused' : worker.state;
             })",
        )
        .await
}

#[test]
fn an_update_whose_files_are_half_copied_changes_nothing_until_it_is_whole() {
    let (site, newer) = (Site::new(), Site::new());
    publish_as(&newer.0, "Firstglow, newer");
    let whole: Vec<(&str, Vec<u8>)> =
        ["icon.svg", "sw.js"].into_iter().map(|name| (name, newer.read(name))).collect();
    run_on(&site.0, async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        browser.kept_for_offline_use().await;
        browser.go_online(&newer.0);
        for (name, content) in &whole {
            for end in [0, 1, content.len() / 3, content.len() / 2, content.len() - 2] {
                // An empty worker is one that the browser takes.
                if (*name, end) == ("sw.js", 0) {
                    continue;
                }
                newer.write(name, &content[..end]);
                assert_eq!(update(browser).await, "refused", "{name} cut at {end}");
            }
            newer.write(name, &content[..content.len() / 2]);
        }
        browser.go_offline();
        browser.reload().await;
        assert_eq!(
            browser.client().title().await.unwrap_or_default(),
            "Unnamed set · Parts · Firstglow"
        );
        assert_eq!(app.sheet().await, LINE);
        assert_eq!(damaged_in_caches(browser, &dist()).await, Vec::<String>::new());

        for (name, content) in &whole {
            newer.write(name, content);
        }
        browser.go_online(&newer.0);
        browser.reload().await;
        update(browser).await;
        app.page.click(Role::Button, "Use it now").await;
        until("the newer version", async || {
            let title = browser.client().title().await.unwrap_or_default();
            title.ends_with("Firstglow, newer").then_some(())
        })
        .await;
        browser.started().await;
        assert_eq!(app.sheet().await, LINE);
        opens_offline(browser).await;
        assert_eq!(
            browser.js("return document.documentElement.dataset.altered ?? null").await,
            Value::Null
        );
    });
}

#[test]
fn a_newer_worker_that_is_empty_is_never_offered_and_the_next_one_takes_its_place() {
    let (site, newer) = (Site::new(), Site::new());
    publish_as(&newer.0, "Firstglow, newer");
    let worker = newer.read("sw.js");
    run_on(&site.0, async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        browser.kept_for_offline_use().await;
        newer.write("sw.js", b"");
        browser.go_online(&newer.0);
        update(browser).await;
        browser.go_offline();
        browser.reload().await;
        assert_eq!(app.sheet().await, LINE);
        assert_eq!(browser.page().all_data("update-offer").await, Vec::<String>::new());

        newer.write("sw.js", &worker);
        browser.go_online(&newer.0);
        browser.reload().await;
        update(browser).await;
        app.page.click(Role::Button, "Use it now").await;
        until("the newer version", async || {
            let title = browser.client().title().await.unwrap_or_default();
            title.ends_with("Firstglow, newer").then_some(())
        })
        .await;
    });
}

/// Each file of the app, damaged in a way, at a first visit.
fn at_a_first_visit(how: &str, damage: impl Fn(&Site, &str)) {
    let site = Site::new();
    for name in parts(&site.0) {
        damage(&site, &name);
        run_on(&site.0, async |browser| {
            browser.goto(browser.origin()).await;
            let said = start_of(browser).await;
            let needed = ["app-", "boot-", "later-", "style-"].iter().any(|s| name.starts_with(s));
            assert_eq!(said, if needed { "failed" } else { "ready" }, "{name} {how}");
            if needed {
                assert_eq!(cause(browser).await, "damaged", "{name} {how}");
                browser.page().role(Role::Button, "Fetch the app again").await;
            }
            let kept = damaged_in_caches(browser, &dist()).await;
            assert_eq!(kept, Vec::<String>::new(), "{name} {how}");
            site.mend();
            heals(browser, &name).await;
            opens_offline(browser).await;
        });
    }
}

#[test]
fn no_file_that_is_empty_is_kept_or_used() {
    at_a_first_visit("empty", |site, name| site.write(name, b""));
}

#[test]
fn no_file_in_the_place_of_another_is_kept_or_used() {
    at_a_first_visit("swapped", |site, name| {
        let end = name.rsplit('.').next().unwrap_or_default().to_owned();
        let other = parts(&site.0).into_iter().rev().find(|o| o != name && o.ends_with(&end));
        let content = other.map_or_else(|| b"/* another */".to_vec(), |other| site.read(&other));
        site.write(name, &content);
    });
}

#[test]
fn a_page_that_a_host_rewrites_starts_says_so_and_is_not_kept() {
    for injected in [
        "<script>window.hit = 1</script>",
        "<script src=\"/injected.js\" async></script>",
        "<!-- served by a proxy -->",
        "<div>Buy things</div>",
    ] {
        let site = Site::new();
        site.write("injected.js", b"window.hit = 1;");
        let rewritten = page(&site.0).replace("</body>", &format!("{injected}</body>"));
        site.write("index.html", rewritten.as_bytes());
        run_on(&site.0, async |browser| {
            let app = App::open(browser).await;
            app.page.data("banner", "altered").await;
            app.page.shows("Something altered this page on its way here").await;
            if !injected.starts_with("<div>") {
                browser.assert_accessible().await;
            }
            browser.screenshot_full("altered").await;
            app.page.click(Role::Button, "Hide this").await;
            app.page.shows_no("Something altered this page").await;
            app.begin("blank").await;
            app.write(LINE).await;
            app.saved().await;
            opens_offline(browser).await;
            assert_eq!(app.sheet().await, LINE);
            assert_eq!(app.page.all_data("banner").await, Vec::<String>::new(), "{injected}");
            let page = browser.js("return document.documentElement.outerHTML").await;
            assert!(!page.as_str().unwrap_or_default().contains(injected), "{injected}");
            assert_eq!(browser.js("return window.hit ?? 0").await, 0);
        });
    }
}

#[test]
fn a_page_that_nobody_touched_is_not_called_altered() {
    run(async |browser| {
        browser.open().await;
        let state = "return [document.documentElement.dataset.built.length > 40,
                             document.documentElement.dataset.altered ?? null]";
        assert_eq!(browser.js(state).await, json!([true, null]));
        browser.kept_for_offline_use().await;
        browser.reload().await;
        assert_eq!(browser.js(state).await, json!([true, null]));
        assert_eq!(browser.page().all_data("banner").await, Vec::<String>::new());
    });
}

/// Cuts a file that lies in the caches, but for those of a newer version.
async fn cut_in_caches(browser: &Browser, name: &str) {
    let name = json!(name);
    browser
        .js_promise(&format!(
            "caches.keys().then(async (keys) => {{
               for (const key of keys.filter((key) => !key.includes('@other-'))) {{
                 const cache = await caches.open(key);
                 const found = await cache.match({name});
                 if (!found) continue;
                 const bytes = await found.arrayBuffer();
                 await cache.put({name}, new Response(bytes.slice(0, bytes.byteLength / 2),
                   {{ headers: found.headers }}));
               }}
               return null;
             }})"
        ))
        .await;
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
        for _ in 0..2 {
            browser.client().refresh().await.expect("the page loads anew");
            update(browser).await;
            start_of(browser).await;
        }
        assert_eq!(start_of(browser).await, "ready");
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
fn in_firefox_a_whole_page_is_not_called_altered() {
    Seat::new(Kind::Firefox).run(async |browser| {
        browser.open().await;
        let altered = "return document.documentElement.dataset.altered ?? null";
        assert_eq!(browser.js(altered).await, Value::Null);
        browser.kept_for_offline_use().await;
        browser.reload().await;
        assert_eq!(browser.js(altered).await, Value::Null);
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
