//! The charts of the plan: every tube's pins, the supply, the place of a part.

use firstglow_browser_tests::{App, Browser, DESKTOP, Key, Look, PHONE, Role, run, until};

const ENTER: &str = "\u{e007}";

/// Goes to a view of the plan by its link.
async fn view(app: &App<'_>, name: &str) {
    let views = app.page.role(Role::Navigation, "Views of plan").await;
    app.page.within(views).click(Role::Link, name).await;
    app.page.data("view", &name.to_lowercase()).await;
}

/// Opens the reasons of a part.
async fn open_part(app: &App<'_>, browser: &Browser, key: &str) {
    // On a phone the path of stages lies over the last rows.
    let center = "document.querySelector(`[data-part=\"${arguments[0]}\"]`)
        .scrollIntoView({ block: 'center' })";
    app.page.data("table", "plan").await;
    let is_there = "return !!document.querySelector(`[data-part=\"${arguments[0]}\"]`)";
    if browser.js_with(is_there, vec![key.into()]).await == false {
        app.go_to_part(key).await;
    }
    browser.js_with(center, vec![key.into()]).await;
    app.page.click(Role::Button, &format!("{key}: reasons")).await;
    app.page.data("place", key).await;
}

/// The texts of the drawings whose words begin so.
async fn words(browser: &Browser, within: &str) -> String {
    let script = "return [...document.querySelectorAll(arguments[0] + ' [role=img]')]
        .map((image) => image.getAttribute('aria-label')).join('\\n')";
    let words = browser.js_with(script, vec![within.into()]).await;
    words.as_str().unwrap_or_default().to_owned()
}

#[test]
fn the_charts_open_by_keyboard_and_back_leads_back() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("plan").await;
        app.tab_to("Voltages").await;
        app.page.press(ENTER).await;
        app.page.data("view", "voltages").await;
        app.page.shows("12SA7, octal base").await;
        // The tubes are one group: arrows go from one to the next.
        browser.js("document.querySelector('[name=tube]:checked').focus()").await;
        app.page.press(Key::Right).await;
        app.page.shows("12SK7, octal base").await;
        app.page.data("tube", "V2").await;
        app.tab_to("Mark 6 on the base").await;
        app.page.press(ENTER).await;
        until("pin 6 to be marked", async || {
            words(browser, "[data-tube=V2]")
                .await
                .contains("pin 6 grid 2, 90 V, B2 goes here")
                .then_some(())
        })
        .await;
        view(&app, "Supply").await;
        app.page.shows("Stay charged").await;
        browser.client().back().await.expect("there is a way back");
        app.page.data("view", "voltages").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_part_is_drawn_with_its_neighbours_and_its_pins_marked() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("plan").await;
        open_part(&app, browser, "C17").await;
        let told = words(browser, "[data-place=C17]").await;
        for said in
            ["V3 pin 6, triode plate", "V4 pin 5, grid", "pin 6 triode plate, 30 V, C17 goes here"]
        {
            assert!(told.contains(said), "{said}: {told}");
        }
        app.page.shows("at least 142 MΩ; a leak moves first the grid of V4").await;
    });
}

#[test]
fn a_blank_sheet_says_what_is_missing() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write("V2 6SK7 1=chassis\nC7 .05 mfd 400 V paper\n").await;
        app.stage("plan").await;
        open_part(&app, browser, "C7").await;
        app.page.shows("C7 has no places yet").await;
        view(&app, "Voltages").await;
        app.page.shows("not given: write 6=… on the line of V2").await;
        app.page.shows("The voltages are not computed").await;
        view(&app, "Supply").await;
        app.page.shows("Not known. Treat every filter capacitor as charged").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn the_charts_have_no_barriers_and_do_not_scroll_sideways() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("console").await;
        for viewport in [PHONE, DESKTOP] {
            browser.resize(viewport).await;
            for dark in [false, true] {
                browser.look(Look { dark, ..Look::default() }).await;
                app.stage("plan").await;
                view(&app, "Parts").await;
                open_part(&app, browser, "C22").await;
                check(browser, "part").await;
                for name in ["Voltages", "Supply"] {
                    view(&app, name).await;
                    check(browser, name).await;
                }
            }
        }
    });
}

async fn check(browser: &Browser, what: &str) {
    browser.assert_accessible().await;
    assert!(!browser.overflows().await, "{what} scrolls sideways");
}

#[test]
fn the_wiring_chart_prints_every_tube() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("console").await;
        app.stage("plan").await;
        view(&app, "Voltages").await;
        assert_eq!(app.page.all_data("tube").await, ["V1"]);
        browser.js("window.dispatchEvent(new Event('beforeprint'))").await;
        until("all tubes", async || (app.page.all_data("tube").await.len() == 9).then_some(()))
            .await;
        browser.js("window.dispatchEvent(new Event('afterprint'))").await;
        app.page.data("tube", "V1").await;
        let file = browser.print("charts-voltages").await;
        let bytes = std::fs::read(file).unwrap_or_default();
        assert!(bytes.starts_with(b"%PDF-") && bytes.len() > 20_000, "{}", bytes.len());
    });
}

/// Goes to a view of the plan by its address: after a picture of a whole page
/// clicks fall beside their links.
async fn visit(app: &App<'_>, browser: &Browser, slug: &str) {
    let go = "location.hash = location.hash.replace(/\\/plan.*/, '/plan/' + arguments[0])";
    browser.js_with(go, vec![slug.into()]).await;
    app.page.data("view", slug).await;
}

#[test]
fn pictures_of_the_charts() {
    run(async |browser| {
        let app = App::open(browser).await;
        for (set, tube, part) in [
            ("table-set", "V3", "C17"),
            ("console", "V8", "C22"),
            ("bench-instrument", "V7", "C28"),
        ] {
            app.bench().await;
            browser.resize(DESKTOP).await;
            app.begin(set).await;
            for (size, viewport) in [("phone", PHONE), ("desktop", DESKTOP)] {
                for (theme, dark) in [("light", false), ("dark", true)] {
                    browser.look(Look { dark, ..Look::default() }).await;
                    let name = |what: &str| format!("charts-{set}-{what}-{size}-{theme}");
                    browser.resize(viewport).await;
                    browser.js("window.scrollTo(0, 0)").await;
                    app.stage("plan").await;
                    visit(&app, browser, "parts").await;
                    open_part(&app, browser, part).await;
                    browser
                        .js_with(
                            "document.querySelector(`[data-place=${arguments[0]}]`).scrollIntoView()",
                            vec![part.into()],
                        )
                        .await;
                    browser.screenshot(&name("part")).await;
                    // A picture of the whole page leaves it at another size.
                    browser.resize(viewport).await;
                    visit(&app, browser, "voltages").await;
                    let choose =
                        "document.querySelector(`[name=tube][value=${arguments[0]}]`).click()";
                    browser.js_with(choose, vec![tube.into()]).await;
                    app.page.data("tube", tube).await;
                    browser.screenshot_full(&name("voltages")).await;
                    browser.resize(viewport).await;
                    visit(&app, browser, "supply").await;
                    browser.screenshot_full(&name("supply")).await;
                }
            }
            browser.look(Look::default()).await;
            browser.print(&format!("charts-{set}-supply")).await;
        }
    });
}
