//! Readings on old parts: typed once, judged at once, kept.

use firstglow_browser_tests::{App, Browser, PHONE, Role, run};

const LINES: &str = "set Driver stage
BT1 battery 200 V B1 to chassis
V1 6J5 2=chassis 3=pl 5=gr1 7=h 8=k1
V2 6V6GT 2=h 3=B1 4=B1 5=gr2 7=chassis 8=k2
R1 50K pl to B1
R2 1500 ohm k1 to chassis
R3 470K gr1 to chassis
R4 470K gr2 to chassis
R5 250 ohm k2 to chassis
C1 .01 mfd 400 V oil-filled coupling pl to gr2
C2 .0005 mfd mica 500 V gr1 to chassis
";

async fn old_parts(browser: &Browser) -> App<'_> {
    let app = App::open(browser).await;
    app.begin("blank").await;
    app.write(LINES).await;
    app.stage("fit").await;
    let views = app.page.role(Role::Navigation, "Views of fit").await;
    app.page.within(views).click(Role::Link, "Old parts").await;
    app.page.data("view", "old-parts").await;
    app
}

/// Opens a part's fields by keyboard.
async fn open(app: &App<'_>, key: &str) {
    app.tab_to(&format!("{key} ")).await;
    app.page.press("\u{e007}").await;
}

#[test]
fn a_capacitor_good_at_a_low_test_and_leaky_at_its_rating_fails_and_says_why() {
    run(async |browser| {
        let app = old_parts(browser).await;
        let page = &app.page;
        page.click(Role::Radio, "All 7").await;
        open(&app, "C1").await;
        let row = page.data("part", "C1").await;
        let part = page.within(row);
        part.shows("A good new one").await;
        part.shows("a leak moves the grid of V2").await;
        for (field, text) in [("Leakage", "0.01"), ("Leakage tested at", "50")] {
            part.type_into(field, text).await;
        }
        part.shows("? Doubtful").await;
        part.shows("test it at that").await;
        for (field, text) in [("Second leakage", "25"), ("Second test at", "400")] {
            part.type_into(field, text).await;
        }
        part.shows("✕ Fails").await;
        part.shows("16 MΩ at 400 V").await;
        part.type_into("Capacitance", "warm").await;
        part.shows("Start with a number").await;
        app.saved().await;
        browser.assert_accessible().await;

        // Kept, judged again, and the same reading as under Fitting.
        browser.reload().await;
        page.click(Role::Radio, "Read 1").await;
        page.data("judged", "fails").await;
        let row = page.data("part", "C1").await;
        page.within(row).shows("16 MΩ at 400 V").await;
        app.stage("record").await;
        page.shows("leakage, second test: 25").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_drifted_resistor_says_what_it_moves_and_a_reading_in_place_is_judged_with_its_surroundings() {
    run(async |browser| {
        let app = old_parts(browser).await;
        let page = &app.page;
        open(&app, "R2").await;
        let row = page.data("part", "R2").await;
        let part = page.within(row);
        part.type_into("Resistance", "3").await;
        part.shows("✕ Fails").await;
        part.shows("By the circuit it takes the cathode of V1").await;
        open(&app, "R4").await;
        let row = page.data("part", "R4").await;
        let part = page.within(row);
        part.type_into("Resistance", "465").await;
        part.shows("✓ Passes").await;
        app.stage("fit").await;
        // The first view of the stage has rows of the same name.
        page.shows("One part at a time").await;
        let row = page.data("part", "R4").await;
        page.within(row).shows("✓ within").await;
    });
}

#[test]
fn on_a_phone_nothing_sticks_out() {
    run(async |browser| {
        browser.resize(PHONE).await;
        let app = old_parts(browser).await;
        open(&app, "C2").await;
        app.page.type_into("Capacitance", "800").await;
        let row = app.page.data("part", "C2").await;
        app.page.within(row).shows("? Doubtful").await;
        assert!(!browser.overflows().await);
        browser.screenshot_full("old-parts-phone").await;
    });
}
