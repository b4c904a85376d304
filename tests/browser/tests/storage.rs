//! Broken storage: damaged, newer, full, denied. Nothing is written over.

use firstglow_browser_tests::{App, Browser, KEY, Kind, Role, Seat, run, until};

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

/// Leaves no room in `localStorage`.
const FILL: &str = "let text = 'x'.repeat(1 << 20);
    for (let n = 0; text; n += 1) {
      try { localStorage.setItem('filler' + n, text); }
      catch { text = text.slice(0, text.length >> 1); }
    }";
const MAKE_ROOM: &str = "Object.keys(localStorage).filter((k) => k.startsWith('filler'))
    .forEach((k) => localStorage.removeItem(k))";

/// A sheet that takes some room.
fn long_sheet(value: &str) -> String {
    format!("C1 {value} mfd 400 V paper\n").repeat(50)
}

/// Whether the page asks before it is left.
async fn asks(browser: &Browser) -> bool {
    let leave = "const event = new Event('beforeunload', { cancelable: true });
                 window.dispatchEvent(event);
                 return event.defaultPrevented";
    browser.js(leave).await == true
}

#[test]
fn a_full_storage_leaves_the_work_to_the_database_and_says_so() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.saved().await;
        browser.js(FILL).await;
        let before = browser.stored(KEY).await;
        app.write(&long_sheet(".05")).await;
        app.page.data("saving", "Saved in the database only").await;
        app.page.data("banner", "apart").await;
        app.page.role(Role::Button, "Download everything").await;
        browser.assert_accessible().await;
        browser.screenshot_full("database-only").await;
        assert_eq!(browser.stored(KEY).await, before);
        assert!(browser.on_disk().await.is_some_and(|t| t.contains("C1 .05 mfd")));
        assert!(!asks(browser).await, "it lies in the database");
        app.write(&long_sheet(".06")).await;
        until("the next change in the database", async || {
            browser.on_disk().await?.contains("C1 .06 mfd").then_some(())
        })
        .await;
        browser.js(MAKE_ROOM).await;
        app.page.click(Role::Button, "Try again").await;
        app.saved().await;
        assert!(browser.stored(KEY).await.is_some_and(|t| t.contains("C1 .06 mfd")));
        assert_eq!(browser.stored(KEY).await, browser.on_disk().await);
        assert_eq!(app.page.all_data("banner").await, Vec::<String>::new());
    });
}

#[test]
fn work_that_only_the_database_took_is_there_after_a_restart() {
    let seat = Seat::new(Kind::Chromium);
    seat.run(async |browser| {
        let app = App::with_sheet(browser, "C7 .01 400 V paper\n").await;
        browser.js(FILL).await;
        app.write(&long_sheet(".05")).await;
        app.page.data("saving", "Saved in the database only").await;
    });
    for value in [".05", ".06"] {
        seat.run(async |browser| {
            let app = App::on(browser, browser.open_at("#/set/1/parts").await);
            until("the work", async || (app.sheet().await == long_sheet(value)).then_some(()))
                .await;
            app.page.data("saving", "Saved in the database only").await;
            app.write(&long_sheet(".06")).await;
            until("the next change in the database", async || {
                browser.on_disk().await?.contains("C1 .06 mfd").then_some(())
            })
            .await;
            app.page.data("saving", "Saved in the database only").await;
        });
    }
}

#[test]
fn two_pages_with_a_full_storage_lose_nothing_of_each_other() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        browser.js(FILL).await;
        // Some room for a while, so that both begin alike.
        let first = browser.other_tab("#/set/1/parts").await;
        let filler = "# ".to_owned() + &"x".repeat(4000);
        app.write(&format!("C1 .05 400 V paper\n{filler}\nC2 .1 200 V paper\n")).await;
        app.page.data("saving", "Saved in the database only").await;
        browser.go_to_tab(first).await;
        app.write(&format!("C0 .02 200 V paper\nC1 .05 400 V paper\n{filler}\n")).await;
        until("what both did in the database", async || {
            let found = browser.on_disk().await?;
            (found.contains("C0 .02") && found.contains("C2 .1")).then_some(())
        })
        .await;
    });
}

#[test]
fn where_neither_takes_the_work_it_is_not_saved_and_leaving_asks() {
    run(async |browser| {
        let quota = async |bytes: u64| {
            let origin = browser.origin().trim_end_matches('/');
            let limit = serde_json::json!({ "origin": origin, "quotaSize": bytes });
            browser.devtools("Storage.overrideQuotaForOrigin", limit).await;
        };
        quota(1).await;
        let app = App::open(browser).await;
        assert!(!asks(browser).await, "nothing was typed");
        app.begin("blank").await;
        app.write("C7 .01 400 V paper\n").await;
        assert!(!asks(browser).await, "what lies on the shelf outlasts the page");
        assert!(browser.stored(KEY).await.is_some_and(|t| t.contains("C7 .01")));
        browser.js(FILL).await;
        app.write(&format!("{}# {}\n", long_sheet(".05"), "long ".repeat(100_000))).await;
        app.page.data("saving", "Not saved").await;
        app.page.shows("Its database does not take it either").await;
        app.page.role(Role::Button, "Download everything").await;
        browser.assert_accessible().await;
        assert!(asks(browser).await, "it lies nowhere");
        browser.js(MAKE_ROOM).await;
        app.page.click(Role::Button, "Try again").await;
        app.page.data("saving", "Handed to the browser").await;
        assert!(!asks(browser).await, "it lies on the shelf");
    });
}

#[test]
fn beside_data_that_cannot_be_read_leaving_asks_once_something_is_typed() {
    run(async |browser| {
        browser.open().await;
        browser.store(KEY, "{\"type\":\"firstglow-bench\",\"vers").await;
        let app = App::on(browser, browser.reload().await);
        assert!(!asks(browser).await, "nothing was typed");
        app.begin("blank").await;
        assert!(asks(browser).await, "a set that is kept nowhere");
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

#[test]
fn a_browser_without_storage_still_works_and_says_so() {
    run(async |browser| {
        let nothing = "Object.defineProperty(window, 'localStorage', { value: null })";
        let source = serde_json::json!({ "source": nothing });
        browser.devtools("Page.addScriptToEvaluateOnNewDocument", source).await;
        let app = App::open(browser).await;
        app.page.shows("this browser has no storage for the page").await;
        app.begin("table-set").await;
        app.write("C1 .05 400 V paper\n").await;
        app.page.click(Role::Button, "Try again").await;
        app.page.shows("this browser has no storage for the page").await;
        app.page.role(Role::Button, "Download everything").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn every_change_is_saved_within_a_second_and_when_the_page_hides() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.saved().await;
        app.write("C1 .05 400 V paper\n").await;
        let late = browser
            .js_promise(
                "new Promise((done) => setTimeout(() => done(
                   localStorage.getItem('firstglow/bench').includes('C1 .05')), 1000))",
            )
            .await;
        assert_eq!(late, true);
        // At once, without waiting, when the page hides.
        let hidden = browser
            .js("const area = document.getElementById('sheet-text');
                 area.value = 'C2 .1 200 V paper';
                 area.dispatchEvent(new InputEvent('input', { bubbles: true }));
                 window.dispatchEvent(new Event('pagehide'));
                 return localStorage.getItem('firstglow/bench').includes('C2 .1')")
            .await;
        assert_eq!(hidden, true);
        let hidden = browser
            .js("const area = document.getElementById('sheet-text');
                 area.value = 'C3 .2 200 V paper';
                 area.dispatchEvent(new InputEvent('input', { bubbles: true }));
                 Object.defineProperty(document, 'hidden', { value: true });
                 document.dispatchEvent(new Event('visibilitychange', { bubbles: true }));
                 return localStorage.getItem('firstglow/bench').includes('C3 .2')")
            .await;
        assert_eq!(hidden, true);
    });
}

#[test]
fn a_tab_that_dies_loses_nothing_that_was_called_saved() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        for n in 1..=3 {
            app.write(&format!("C{n} .05 400 V paper\n")).await;
            app.saved().await;
            // Typing goes on while it dies.
            browser
                .js("setInterval(() => {
                       const area = document.getElementById('sheet-text');
                       area.value += 'x';
                       area.dispatchEvent(new InputEvent('input', { bubbles: true }));
                     }, 5)")
                .await;
            let keep = browser.client().new_window(true).await.expect("another tab opens");
            let dies = browser.client().window().await.expect("there is a tab");
            browser.kill_tab(dies, keep.handle).await;
            browser.open_at("#/set/1/parts").await;
            let sheet = app.sheet().await;
            assert!(sheet.starts_with(&format!("C{n} .05 400 V paper\n")), "{sheet}");
        }
    });
}

#[test]
fn storage_that_is_cleared_under_the_page_is_filled_again_and_told() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        let first = browser.other_tab("#/set/1/parts").await;
        browser.js("localStorage.clear()").await;
        browser.go_to_tab(first).await;
        app.page.shows("storage was cleared").await;
        until("the bench to lie in storage again", async || {
            browser.stored(KEY).await.is_some_and(|t| t.contains("C1 .05")).then_some(())
        })
        .await;
    });
}

#[test]
fn a_bench_damaged_anywhere_is_told_and_kept_and_a_backup_goes_on() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        // The next opening makes a backup of what is good.
        browser.reload().await;
        let good = browser.stored(KEY).await.expect("a bench is stored");
        // Around the data a damage may do none; inside, it always does.
        let data = good.find("\"data\"").expect("the bench stands under data");
        for step in 0..8 {
            let at = data + (good.len() - data) * step / 8;
            let mut damaged = good.clone().into_bytes();
            damaged[at] = if damaged[at] == b'#' { b'%' } else { b'#' };
            let damaged = String::from_utf8(damaged).expect("plain letters");
            browser.store(KEY, &damaged).await;
            browser.reload().await;
            app.page.shows("The saved bench could not be opened").await;
            assert_eq!(browser.stored(KEY).await.as_deref(), Some(damaged.as_str()), "byte {at}");
        }
        browser.assert_accessible().await;
        app.page.click_beginning(Role::Button, "Set it aside and go on from the backup of").await;
        app.saved().await;
        assert_eq!(app.sheet().await, "C1 .05 400 V paper\n");
        let keys = browser.stored_keys().await;
        assert!(keys.iter().any(|k| k.starts_with("firstglow/bench/set-aside/")), "{keys:?}");
    });
}

#[test]
fn what_a_newer_version_saves_in_another_tab_is_not_written_over() {
    run(async |browser| {
        let app = App::with_sheet(browser, "C1 .05 400 V paper\n").await;
        let newer = r#"{"type":"firstglow-bench","version":9,"data":{}}"#;
        browser.store(KEY, newer).await;
        app.write("C1 .05 600 V paper\n").await;
        app.page.shows("newer Firstglow").await;
        assert_eq!(browser.stored(KEY).await.as_deref(), Some(newer));
        assert_eq!(app.sheet().await, "C1 .05 600 V paper\n");
    });
}
