//! Files of the app that are not as they were built: none is kept or used, the
//! last whole version goes on working, and once the server is mended a reload
//! or two heal it, the saved work untouched.

use firstglow_browser_tests::damage::{
    Site, cause, damaged_in_caches, heals, opens_offline, start_of, update,
};
use firstglow_browser_tests::versions::{page, part, parts, publish_as};
use firstglow_browser_tests::{App, Kind, Role, Seat, dist, run, run_on, until};
use serde_json::{Value, json};

const LINE: &str = "C1 .05 400 V paper\n";

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
