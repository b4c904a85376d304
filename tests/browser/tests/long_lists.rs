//! Long lists: only the rows in view are on the page, and nothing is lost by it.

use firstglow_browser_tests::{App, Browser, DESKTOP, Key, PHONE, Role, run, until};
use serde_json::{Value, json};

#[path = "../../../benches/made/mod.rs"]
mod made;

/// So many rows at most are on the page at a time.
const MOST: usize = 90;

/// A wired set of about so many parts, just written.
async fn begin(browser: &Browser, parts: usize) -> App<'_> {
    let app = App::open(browser).await;
    app.begin("blank").await;
    app.write(&made::stages(parts)).await;
    app.saved().await;
    app
}

async fn rows(browser: &Browser, of: &str) -> usize {
    let all = "return document.querySelectorAll(arguments[0]).length";
    let found = browser.js_with(all, vec![json!(of)]).await;
    usize::try_from(found.as_u64().expect("a number")).expect("few enough")
}

/// Scrolls to the end as the End key would, and on where the page grew.
async fn to_the_end(browser: &Browser, last: &str) {
    until(&format!("{last} at the end"), async || {
        let script = "window.scrollTo(0, document.body.scrollHeight);
                      return !!document.querySelector(arguments[0])";
        (browser.js_with(script, vec![json!(last)]).await == true).then_some(())
    })
    .await;
}

async fn number(browser: &Browser, of: &str, attribute: &str) -> Value {
    let script = "return Number(document.querySelector(arguments[0]).getAttribute(arguments[1]))";
    browser.js_with(script, vec![json!(of), json!(attribute)]).await
}

async fn by_address(browser: &Browser, view: &str) {
    let go = "location.hash = location.hash.split('/').slice(0, 3).concat(arguments[0]).join('/')";
    browser.js_with(go, vec![json!(view)]).await;
}

#[test]
fn a_long_plan_has_the_rows_in_view_and_shows_its_last_part_at_its_end() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        app.stage("plan").await;
        app.page.role(Role::Button, "V99999: reasons").await;
        assert!(rows(browser, "[data-part]").await < MOST);
        // Both ends of the list are there, and nothing between them and the view.
        assert_eq!(rows(browser, "[data-part=R99999]").await, 1);
        assert_eq!(rows(browser, "[data-part=R70A]").await, 0);
        let total = number(browser, "[data-table=plan]", "aria-rowcount").await;
        assert!(total.as_u64().is_some_and(|total| total > 990), "{total}");
        browser.assert_accessible().await;

        to_the_end(browser, "[data-part=R141A]").await;
        assert!(rows(browser, "[data-part]").await < MOST);
        let last = number(browser, "[data-part=R99999] tr", "aria-rowindex").await;
        assert_eq!(last, total, "the last row is the last one told");
        browser.assert_accessible().await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn an_opened_row_stays_open_and_the_page_does_not_jump() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        let page = &app.page;
        app.stage("plan").await;
        page.type_into("Go to part", "c20a").await;
        page.click(Role::Button, "Go").await;
        page.click(Role::Button, "C20A: reasons").await;
        page.shows("would also serve").await;
        // The keyboard elsewhere, or the row would be held.
        browser.js("document.activeElement.blur()").await;
        page.type_into("Go to part", "r99999").await;
        page.press(Key::Enter).await;
        until("the last part to have the keyboard", async || {
            (page.focused().await == "R99999: reasons").then_some(())
        })
        .await;
        assert_eq!(rows(browser, "[data-part=C20A]").await, 0, "it has left the page");

        // Up again in steps: what is in view moves by the step and no more.
        let moved =
            browser.client().execute_async(STEPS_UP, vec![]).await.expect("the page answers");
        assert!(moved.as_f64().is_some_and(|moved| moved < 2.0), "moved by {moved} px too much");

        page.type_into("Go to part", "C20A").await;
        page.press(Key::Enter).await;
        page.data("part", "C20A").await;
        page.shows("would also serve").await;
        let open = "return document.querySelector('[data-part=C20A] button').ariaExpanded";
        assert_eq!(browser.js(open).await, "true");
        browser.assert_clean_console().await;
    });
}

/// Scrolls up through rows that were never drawn; gives the most that a row in
/// view moved beside the step.
const STEPS_UP: &str = "
    const done = arguments[arguments.length - 1];
    const frame = () => new Promise(requestAnimationFrame);
    (async () => {
        let most = 0;
        for (let i = 0; i < 40; i++) {
            const row = document.elementFromPoint(600, 450)?.closest('[data-part]');
            const before = row?.getBoundingClientRect().top;
            window.scrollBy(0, -300);
            await frame();
            await frame();
            await frame();
            if (row?.isConnected) {
                most = Math.max(most, Math.abs(row.getBoundingClientRect().top - before - 300));
            }
        }
        return most;
    })().then(done);";

#[test]
fn the_keyboard_stays_with_its_row_when_the_row_leaves_the_view() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        let page = &app.page;
        app.stage("plan").await;
        page.type_into("Go to part", "C20A").await;
        page.press(Key::Enter).await;
        until("the part to have the keyboard", async || {
            (page.focused().await == "C20A: reasons").then_some(())
        })
        .await;
        to_the_end(browser, "[data-part=R141A]").await;
        assert_eq!(page.focused().await, "C20A: reasons");
        page.press(Key::Tab).await;
        until("the next row in view", async || {
            let script = "const at = document.activeElement.closest('[data-part]');
                          const top = at?.getBoundingClientRect().top ?? -1;
                          return top > 0 && top < innerHeight ? at.dataset.part : null";
            browser.js(script).await.as_str().map(|part| assert_eq!(part, "C20B"))
        })
        .await;
        page.type_into("Go to part", "X1").await;
        page.press(Key::Enter).await;
        page.shows("No part X1 in this list.").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_filter_of_a_long_plan_shows_its_own_rows() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        app.stage("plan").await;
        to_the_end(browser, "[data-part=R141A]").await;
        let choose = "document.querySelector('[name=plan-filter][value=replace]').click()";
        browser.js(choose).await;
        until("the parts to replace alone", async || {
            let script = "return [...document.querySelectorAll('[data-part]')]
                              .every(part => part.innerText.includes('Replace'))
                              && document.querySelectorAll('[data-part]').length > 5";
            (browser.js(script).await == true).then_some(())
        })
        .await;
    });
}

#[test]
fn a_long_table_is_edited_at_its_end_as_at_its_top() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        let page = &app.page;
        browser.js("document.querySelectorAll('[name=parts-view]')[1].click()").await;
        page.data("row", "1").await;
        assert!(rows(browser, "[data-row]").await < MOST);
        browser.assert_accessible().await;

        // A part is put in at the end, where nothing was drawn.
        page.click(Role::Button, "Add a part").await;
        until("the new part's value to have the keyboard", async || {
            page.focused().await.starts_with("Value, line").then_some(())
        })
        .await;
        page.press("4.7K 1 W").await;
        app.saved().await;
        assert!(rows(browser, "[data-row]").await < MOST);
        for _ in 0..30 {
            page.press(Key::Up).await;
        }
        assert!(page.focused().await.starts_with("Value, line"));
        browser.js("window.scrollTo(0, 0)").await;
        page.data("row", "1").await;
        assert!(page.focused().await.starts_with("Value, line"), "it keeps the keyboard");
        browser.js("document.querySelectorAll('[name=parts-view]')[0].click()").await;
        let sheet = app.sheet().await;
        assert!(sheet.trim_end().ends_with("4.7K 1 W"), "{}", &sheet[sheet.len() - 60..]);
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_tick_survives_leaving_the_view_and_paper_has_every_row() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        let page = &app.page;
        app.stage("fit").await;
        page.type_into("Go to part", "C2A").await;
        page.press(Key::Enter).await;
        page.click(Role::Checkbox, "Fit C2A").await;
        assert!(rows(browser, "[data-part]").await < MOST);
        let place = number(browser, "[data-part=C2A]", "aria-posinset").await;
        let size = number(browser, "[data-part=C2A]", "aria-setsize").await;
        assert!(place.as_u64() >= Some(1) && size.as_u64() > Some(100), "{place} of {size}");
        browser.assert_accessible().await;
        browser.js("document.activeElement.blur()").await;
        page.type_into("Go to part", "C100A").await;
        page.press(Key::Enter).await;
        page.role(Role::Checkbox, "Fit C100A").await;
        assert_eq!(rows(browser, "[data-part=C2A]").await, 0, "it has left the page");
        page.type_into("Go to part", "C2A").await;
        page.press(Key::Enter).await;
        page.data("part", "C2A").await;
        let ticked = "return document.querySelector('[data-part=C2A] input').checked";
        assert_eq!(browser.js(ticked).await, true);

        app.stage("plan").await;
        page.data("table", "plan").await;
        let on_paper = "window.onbeforeprint = () => queueMicrotask(() => {
                            window.printed = document.querySelectorAll('[data-part]').length; })";
        browser.js(on_paper).await;
        browser.print("long-plan").await;
        let printed = browser.js("return window.printed").await;
        assert!(printed.as_u64().is_some_and(|rows| rows > 990), "{printed} rows on paper");
        until("the screen to be as before", async || {
            (rows(browser, "[data-part]").await < MOST).then_some(())
        })
        .await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn every_long_screen_draws_little_and_has_no_barriers() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        let views = ["fit/old-parts", "fit/cans", "fit/wiring", "power-up", "record", "fit/leads"];
        for view in views {
            by_address(browser, view).await;
            let slug = view.split('/').next_back().expect("a view");
            let kind = if view.contains('/') { "view" } else { "screen" };
            app.page.data(kind, slug).await;
            until(&format!("{view} to be there"), async || {
                let there = "return document.querySelector('[data-working]') === null
                                 && document.querySelectorAll('.gap, [data-card]').length > 0";
                (browser.js(there).await == true).then_some(())
            })
            .await;
            assert!(rows(browser, "*").await < 5_000, "{view}");
            browser.assert_accessible().await;
        }
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_very_long_sheet_says_that_it_is_working() {
    run(async |browser| {
        let app = begin(browser, 10_000).await;
        app.stage("fit").await;
        // What is said is said before the page stops answering.
        let watch = "window.said = null;
            new MutationObserver(() => {
                const sign = document.querySelector('[data-working]');
                if (sign) requestAnimationFrame(() => window.said ??= sign.innerText);
            }).observe(document, { subtree: true, childList: true })";
        browser.js(watch).await;
        by_address(browser, "fit/wiring").await;
        app.page.data("chart", "wiring").await;
        assert_eq!(browser.js("return window.said").await, "A long sheet: working this out…");
        assert!(rows(browser, "[data-chart=wiring] section").await < 30);

        // So does opening the set, which has all of it read and planned anew.
        app.bench().await;
        browser.js("window.said = null; location.hash = '#/set/1/plan'").await;
        app.page.data("table", "plan").await;
        assert_eq!(browser.js("return window.said").await, "A long sheet: working this out…");
        browser.assert_clean_console().await;
    });
}

#[test]
fn long_lists_for_people_to_look_at() {
    run(async |browser| {
        let app = begin(browser, 1_000).await;
        for (size, viewport) in [("desktop", DESKTOP), ("phone", PHONE)] {
            browser.resize(viewport).await;
            for view in ["plan", "fit", "fit/old-parts", "fit/wiring", "record", "power-up"] {
                by_address(browser, view).await;
                let slug = view.split('/').next_back().expect("a view");
                app.page.data(if view.contains('/') { "view" } else { "screen" }, slug).await;
                browser.js("window.scrollTo(0, document.body.scrollHeight / 2)").await;
                assert!(!browser.overflows().await, "{view}, {size}");
                until("rows in the middle", async || {
                    let there = "return !document.elementFromPoint(innerWidth / 2, innerHeight / 2)
                                     ?.closest('.gap')";
                    (browser.js(there).await == true).then_some(())
                })
                .await;
                browser.screenshot(&format!("long-{}-{size}", view.replace('/', "-"))).await;
                browser.js("window.scrollTo(0, 0)").await;
                browser.screenshot(&format!("long-{}-{size}-top", view.replace('/', "-"))).await;
            }
            app.stage("parts").await;
            browser.js("document.querySelectorAll('[name=parts-view]')[1].click()").await;
            app.page.data("table", "parts").await;
            browser.screenshot(&format!("long-table-{size}")).await;
            assert!(!browser.overflows().await, "table, {size}");
            browser.js("document.querySelectorAll('[name=parts-view]')[0].click()").await;
        }
    });
}
