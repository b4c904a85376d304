//! The second copy of the bench, in the browser's database: what is called
//! saved lies in it, and whatever happens to it is told and loses nothing.

use firstglow_browser_tests::{App, Browser, KEY, Role, run, until};
use serde_json::json;

const LINE: &str = "C1 .05 400 V paper\n";
const NEWER: &str = r#"{"type":"firstglow-bench","version":9,"data":{}}"#;

/// Runs a script in every page before the app.
async fn before_the_app(browser: &Browser, script: &str) {
    let source = json!({ "source": script });
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", source).await;
}

async fn both_copies_hold(browser: &Browser, words: &str) {
    until(&format!("{words} in both copies"), async || {
        let shelf = browser.stored(KEY).await?;
        (shelf.contains(words) && browser.on_disk().await? == shelf).then_some(())
    })
    .await;
}

/// Changes a byte into another one that may stand in a text.
fn damaged(text: &str, at: usize) -> String {
    let mut bytes = text.as_bytes().to_vec();
    bytes[at] = if bytes[at] == b'#' { b'%' } else { b'#' };
    String::from_utf8(bytes).expect("plain letters")
}

#[test]
fn nothing_is_called_saved_before_its_second_copy_lies_on_the_disk() {
    run(async |browser| {
        // The database of the bench does not open until it is let.
        let hold = "const open = IDBFactory.prototype.open;
            IDBFactory.prototype.open = function (name, ...more) {
              if (window.free || name !== 'firstglow-bench') return open.call(this, name, ...more);
              const held = {};
              const go = () => {
                const real = open.call(this, name, ...more);
                for (const event of ['upgradeneeded', 'success', 'error']) {
                  real['on' + event] = (e) => {
                    held.result = event === 'error' ? null : real.result;
                    held['on' + event]?.(e);
                  };
                }
              };
              (window.held ??= []).push(go);
              return held;
            };";
        before_the_app(browser, hold).await;
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write(LINE).await;
        until("the change on the shelf", async || {
            browser.stored(KEY).await.is_some_and(|text| text.contains("C1 .05")).then_some(())
        })
        .await;
        app.page.data("saving", "Saving…").await;
        // A database that does not answer is not waited for for ever.
        app.page.data("saving", "Handed to the browser").await;
        browser.js("window.free = true; window.held.forEach((go) => go())").await;
        app.saved().await;
        both_copies_hold(browser, "C1 .05").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn without_a_database_it_is_said_that_the_browser_has_it_and_not_that_it_is_saved() {
    run(async |browser| {
        before_the_app(browser, "Object.defineProperty(window, 'indexedDB', { value: undefined })")
            .await;
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write(LINE).await;
        app.page.data("saving", "Handed to the browser").await;
        assert!(browser.stored(KEY).await.is_some_and(|text| text.contains("C1 .05")));
        app.bench().await;
        app.page.click(Role::Button, "Safekeeping and backups").await;
        app.page.shows("This browser keeps no second copy: it gives this page no database").await;
        browser.assert_accessible().await;
        browser.screenshot_full("disk-fails").await;
        browser.reload().await;
        until("the set", async || (app.page.all_data("set").await.len() == 1).then_some(())).await;
    });
}

#[test]
fn a_database_without_room_is_told_and_filled_when_there_is_room() {
    run(async |browser| {
        let quota = async |bytes: u64| {
            let origin = browser.origin().trim_end_matches('/');
            let limit = json!({ "origin": origin, "quotaSize": bytes });
            browser.devtools("Storage.overrideQuotaForOrigin", limit).await;
        };
        // Before anything is stored: the browser remembers for a while what
        // room it found.
        quota(1).await;
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write(&format!("C2 .1 200 V paper\n# {}\n", "long ".repeat(100_000))).await;
        app.page.data("saving", "Handed to the browser").await;
        assert!(browser.stored(KEY).await.is_some_and(|text| text.contains("C2 .1")));
        app.bench().await;
        app.page.click(Role::Button, "Safekeeping and backups").await;
        app.page.shows("This browser keeps no second copy: its storage is full").await;
        app.page.click(Role::Link, "Unnamed set").await;
        quota(1_000_000_000).await;
        app.write("C3 .1 200 V paper\n").await;
        app.saved().await;
        both_copies_hold(browser, "C3 .1").await;
    });
}

#[test]
fn what_is_cleared_under_the_page_is_saved_again_in_both_places() {
    run(async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        browser.forget().await;
        assert_eq!(browser.stored(KEY).await, None);
        app.write(&format!("{LINE}C2 .1 200 V paper\n")).await;
        app.saved().await;
        both_copies_hold(browser, "C1 .05 400 V paper\\nC2 .1").await;
        browser.reload().await;
        assert_eq!(app.sheet().await, format!("{LINE}C2 .1 200 V paper\n"));
    });
}

#[test]
fn what_the_shelf_has_lost_comes_back_and_is_told() {
    run(async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        let before = browser.stored(KEY).await.expect("a bench is stored");
        app.write("C2 .1 200 V paper\n").await;
        app.saved().await;
        for lost in [Some(&before), None] {
            match lost {
                Some(text) => browser.store(KEY, text).await,
                None => drop(browser.js("localStorage.clear()").await),
            }
            browser.reload().await;
            app.page.shows("They were brought back from the second copy").await;
            assert_eq!(app.sheet().await, "C2 .1 200 V paper\n");
            app.saved().await;
            both_copies_hold(browser, "C2 .1").await;
        }
        browser.assert_accessible().await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_second_copy_damaged_anywhere_is_told_set_aside_and_made_again() {
    run(async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        let good = browser.on_disk().await.expect("a second copy");
        // Around the data a damage may do none; inside, it always does.
        let data = good.find("\"data\"").expect("the bench stands under data");
        for step in 0..6 {
            let at = data + (good.len() - data) * step / 6;
            browser.lay_on_disk(&damaged(&good, at)).await;
            browser.reload().await;
            app.page.shows("The second copy of the bench was damaged and set aside").await;
            assert_eq!(app.sheet().await, LINE);
            both_copies_hold(browser, "C1 .05").await;
            let aside = browser.keys_on_disk().await;
            assert_eq!(aside.len(), step + 2, "byte {at}: {aside:?}");
        }
        for cut in ["", "half a docu", &good[..good.len() / 2]] {
            browser.lay_on_disk(cut).await;
            browser.reload().await;
            app.page.shows("The second copy of the bench was damaged and set aside").await;
            both_copies_hold(browser, "C1 .05").await;
        }
    });
}

#[test]
fn a_second_copy_of_a_newer_version_is_not_written_over() {
    run(async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        browser.lay_on_disk(NEWER).await;
        browser.reload().await;
        app.page.shows("newer Firstglow").await;
        app.write("C1 .05 600 V paper\n").await;
        app.page.data("saving", "Not saved").await;
        browser.reload().await;
        app.page.shows("newer Firstglow").await;
        assert_eq!(browser.on_disk().await.as_deref(), Some(NEWER));
        app.page.click(Role::Button, "Set it aside and save from now on").await;
        app.saved().await;
        both_copies_hold(browser, "C1 .05").await;
        assert_eq!(browser.keys_on_disk().await.len(), 2, "it lies under another name");
    });
}

#[test]
fn beside_a_bench_that_cannot_be_read_the_second_copy_is_offered() {
    run(async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        let good = browser.stored(KEY).await.expect("a bench is stored");
        browser.goto(&format!("{}icon.svg", browser.origin())).await;
        // Without any backup: all there is is the second copy.
        browser.js("localStorage.clear()").await;
        browser.store(KEY, &damaged(&good, good.len() - 20)).await;
        browser.open_at("#/set/1/parts").await;
        app.page.shows("The saved bench could not be opened").await;
        app.page.click_beginning(Role::Button, "Set it aside and go on from the backup of").await;
        app.saved().await;
        assert_eq!(app.sheet().await, LINE);
        both_copies_hold(browser, "C1 .05").await;
    });
}

#[test]
fn two_tabs_leave_one_second_copy_that_holds_what_both_did() {
    run(async |browser| {
        let app = App::with_sheet(browser, LINE).await;
        let first = browser.other_tab("#/set/1/parts").await;
        app.write(&format!("{LINE}C2 .1 200 V paper\n")).await;
        let second = browser.go_to_tab(first).await;
        app.page.shows("2 parts").await;
        app.write(&format!("{LINE}C2 .1 200 V paper\nC3 .1 200 V paper\n")).await;
        app.saved().await;
        browser.go_to_tab(second).await;
        app.page.shows("3 parts").await;
        app.saved().await;
        both_copies_hold(browser, "C2 .1 200 V paper\\nC3 .1").await;
        browser.assert_clean_console().await;
    });
}
