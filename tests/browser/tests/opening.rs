//! The first and every later opening of the built site.

use std::fs;

use firstglow_browser_tests::{Role, copy_of_dist, dist, run, run_on};

#[test]
fn the_app_opens_with_a_clean_console() {
    run(async |browser| {
        let page = browser.open().await;
        assert_eq!(page.count(Role::Main).await, 1);
        browser.kept_for_offline_use().await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn no_request_leaves_for_anywhere_but_the_origin() {
    run(async |browser| {
        browser.open().await;
        browser.kept_for_offline_use().await;
        browser.reload().await;
        let requests = browser.requests().await;
        assert!(requests.contains(&browser.origin().to_owned()));
        for address in requests {
            let stays = [browser.origin(), "data:", "blob:"];
            assert!(stays.iter().any(|start| address.starts_with(start)), "{address}");
        }
    });
}

#[test]
fn the_policy_is_there_and_stops_inline_scripts_and_foreign_addresses() {
    run(async |browser| {
        browser.open().await;
        let policy = browser
            .js("return document.querySelector('meta[http-equiv=Content-Security-Policy]').content")
            .await;
        let policy = policy.as_str().unwrap_or_default();
        assert!(policy.starts_with("default-src 'self';"), "{policy}");
        assert!(!policy.contains("unsafe-inline"), "{policy}");

        let ran = browser
            .js("const script = document.createElement('script');
                 script.textContent = 'window.ran = true';
                 document.head.append(script);
                 return window.ran ?? false")
            .await;
        assert_eq!(ran, false);
        let stopped = browser
            .js_promise(
                "new Promise((stopped) => {
                   addEventListener('securitypolicyviolation', (event) => stopped(event.blockedURI));
                   fetch('http://firstglow.invalid/').catch(() => {});
                 })",
            )
            .await;
        assert_eq!(stopped, "http://firstglow.invalid/");
    });
}

#[test]
fn the_page_has_no_barriers() {
    run(async |browser| {
        browser.open().await;
        browser.assert_accessible().await;
    });
}

#[test]
fn a_wasm_that_cannot_run_is_told_in_plain_words() {
    let site = copy_of_dist();
    for entry in fs::read_dir(&site).expect("the copy is readable").flatten() {
        if entry.path().extension().is_some_and(|end| end == "wasm") {
            fs::write(entry.path(), b"no wasm").expect("the copy is writable");
        }
    }
    run_on(&site, async |browser| {
        browser.goto(browser.origin()).await;
        let page = browser.page();
        page.role(Role::Heading, "Firstglow could not start").await;
        page.shows("Saved work is untouched").await;
        browser.assert_accessible().await;
    });
    fs::remove_dir_all(site).expect("the copy is ours");
}

#[test]
fn the_single_file_opens_from_disk_with_a_clean_console() {
    run(async |browser| {
        let page = browser.open_file(&dist().join("firstglow.html")).await;
        assert_eq!(page.count(Role::Main).await, 1);
        browser.assert_clean_console().await;
        let mut foreign = browser.requests().await;
        foreign.retain(|address| address.starts_with("http"));
        assert!(foreign.is_empty(), "{foreign:?}");
    });
}
