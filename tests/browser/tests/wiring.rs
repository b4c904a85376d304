//! Leads and the wiring check: cards by keyboard, a wrong reading and what
//! explains it, kept through a reload, on a phone and on paper.

use firstglow_browser_tests::{App, Browser, DESKTOP, Key, Look, PHONE, Role, run, until};

#[test]
fn lead_cards_are_turned_by_the_arrow_keys_and_keep_what_was_done_with_each_lead() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.view_of_fit("Leads", "leads").await;
        app.page.shows("Card 1 of 50").await;
        let first = app.page.all_data("card").await;
        app.tab_to("Next").await;
        app.page.press(Key::Right).await;
        app.page.shows("Card 2 of 50").await;
        assert_ne!(app.page.all_data("card").await, first);
        app.page.press(Key::Left).await;
        app.page.shows("Card 1 of 50").await;
        app.page.choose("Part", "C17").await;
        app.page.data("card", "C17").await;
        app.page.shows("V3 pin 6, triode plate of 12SQ7").await;
        app.page.shows("V4 pin 5, grid of 50L6GT").await;
        app.tab_to("C17, Second lead: lift").await;
        app.page.press(" ").await;
        app.page.click(Role::Button, "C17, First lead: put in").await;
        app.saved().await;
        browser.reload().await;
        app.page.choose("Part", "C17").await;
        let pressed = "return [...document.querySelectorAll('[data-mark][aria-pressed=true]')]
            .map((button) => button.getAttribute('aria-label')).join('; ')";
        until("both marks", async || {
            let told = browser.js(pressed).await;
            (told == "C17, First lead: in; C17, Second lead: lifted").then_some(())
        })
        .await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_wrong_reading_names_the_fault_and_both_are_there_after_a_reload() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        app.begin("table-set").await;
        app.view_of_fit("Wiring check", "wiring").await;
        page.shows("0 of 55 readings").await;
        page.shows("Discharge every filter capacitor").await;
        // The walk is by keyboard: a reading, and on with Enter.
        app.tab_to("Reading at V1 pin 1, to B-").await;
        page.press("0.1").await;
        page.shows("✓ within").await;
        page.press(Key::Enter).await;
        until("the next reading", async || page.focused().await.contains("V1 pin 2").then_some(()))
            .await;
        page.press("1.2k ohms more").await;
        page.shows("is not a unit").await;
        page.type_into("Reading at V1 pin 2, to B-", "28").await;
        app.tab_to("Next").await;
        page.press(Key::Enter).await;
        app.tab_to("Good").await;
        page.press(" ").await;
        page.shows("3 of 55 readings").await;
        // R9 is open: the grid of the output tube reads nothing.
        page.click(Role::Button, "Go to V4.5").await;
        page.type_into("Reading at V4 pin 5, to B-", "OL").await;
        page.shows("V4 pin 5 reads OL to B-; 365 to 581 kΩ expected").await;
        let faults = page.all_data("fault").await;
        assert!(faults.iter().any(|f| f == "R9 open"), "{faults:?}");
        app.saved().await;
        browser.reload().await;
        page.shows("4 of 55 readings").await;
        page.shows("V4 pin 5 reads OL to B-; 365 to 581 kΩ expected").await;
        assert_eq!(page.all_data("fault").await, faults);
        page.click(Role::Button, "Go to V4.5").await;
        assert_eq!(page.value("Reading at V4 pin 5, to B-").await, "OL");
        // A mended joint reads well, and nothing is accused any more.
        page.type_into("Reading at V4 pin 5, to B-", ".47 meg").await;
        page.shows_no("What explains it").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn the_reading_proposed_next_is_one_tap_away() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.view_of_fit("Wiring check", "wiring").await;
        // A plate on ground: a capacitor, or a wire on the wrong pin.
        go_to(browser, "V3.6").await;
        app.page.type_into("Reading at V3 pin 6, to B-", "0").await;
        app.page.data("next", "").await;
        app.page.click(Role::Button, "Go there").await;
        until("the proposed reading", async || {
            let at = app.page.all_data("probe").await;
            (at != ["V3.6"]).then_some(())
        })
        .await;
    });
}

#[test]
fn a_sheet_without_places_says_what_is_missing() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.view_of_fit("Leads", "leads").await;
        app.page.shows("No cards yet").await;
        app.write("C7 .05 mfd 400 V paper\n").await;
        app.view_of_fit("Leads", "leads").await;
        app.page.shows("The sheet does not say where C7 goes").await;
        app.view_of_fit("Wiring check", "wiring").await;
        app.page.shows("No chart yet").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn leads_and_wiring_have_no_barriers_do_not_scroll_sideways_and_print() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("bench-instrument").await;
        for viewport in [PHONE, DESKTOP] {
            browser.resize(viewport).await;
            for dark in [false, true] {
                browser.look(Look { dark, ..Look::default() }).await;
                app.view_of_fit("Leads", "leads").await;
                app.page.choose("Part", "R8").await;
                check(browser, "leads").await;
                app.view_of_fit("Wiring check", "wiring").await;
                go_to(browser, "V1.3").await;
                app.page.type_into("Reading at V1 pin 3, to chassis", "OL").await;
                app.page.data("section", "faults").await;
                check(browser, "wiring").await;
            }
        }
        let file = browser.print("wiring").await;
        let bytes = std::fs::read(file).unwrap_or_default();
        assert!(bytes.starts_with(b"%PDF-") && bytes.len() > 20_000, "{}", bytes.len());
    });
}

/// Takes a reading of the chart in hand; on a phone the path lies over the
/// last rows, where a click would fall on it.
async fn go_to(browser: &Browser, id: &str) {
    let click = "document.querySelector(`[data-reading=\"${arguments[0]}\"] button`).click()";
    browser.js_with(click, vec![id.into()]).await;
}

async fn check(browser: &Browser, what: &str) {
    browser.assert_accessible().await;
    assert!(!browser.overflows().await, "{what} scrolls sideways");
}
