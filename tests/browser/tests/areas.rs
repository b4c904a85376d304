//! The order of work by area, cans and cleaning, as they are checked off.

use firstglow_browser_tests::{App, DESKTOP, Look, PHONE, Role, run, until};

#[test]
fn areas_open_once_marks_come_first_and_what_is_set_again_goes_on_the_record() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        app.begin("console").await;
        app.stage("fit").await;
        page.shows("In the area: RF shelf").await;
        let order = browser
            .js("return [...document.querySelectorAll('main h3')].map((h) => h.innerText)")
            .await;
        let order: Vec<String> = serde_json::from_value(order).expect("headings");
        let at = |title: &str| order.iter().position(|h| h == title).expect(title);
        let first = at("First: parts that can hurt, no area given");
        assert!(first < at("In the area: power end"), "{order:?}");
        assert!(at("In the area: power end") < at("In the area: audio strip"), "{order:?}");
        assert_eq!(order.last().map(String::as_str), Some("To set again, once it plays"));
        page.click(Role::Button, "Why in this order").await;
        page.shows("chassis is opened once, for").await;
        page.role(Role::Checkbox, "Mark first: pointer with the gang fully meshed (chassis)").await;
        page.click(Role::Checkbox, "Set again: dial cord (RF shelf)").await;
        app.saved().await;
        browser.assert_accessible().await;
        app.stage("record").await;
        let row = page.data("row", "area/RF shelf/readjust/dial cord").await;
        page.within(row).shows("Done").await;
        let row = page.data("row", "area/chassis/readjust/pointer to a known station").await;
        page.within(row).shows("Open").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn an_area_line_that_does_not_fit_is_noted_at_its_place() {
    run(async |browser| {
        let app = App::with_sheet(
            browser,
            "C7 .05 mfd 400 V paper\narea switch: C7 after bottom cover\n",
        )
        .await;
        app.page.shows("no area is called 'bottom cover'").await;
        app.page.click(Role::Button, "add the area bottom cover").await;
        app.page.shows_no("no area is called").await;
        assert!(app.sheet().await.starts_with("area bottom cover:\n"));
    });
}

#[test]
fn a_can_tells_its_common_lead_and_whether_the_new_parts_go_in() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        app.begin("table-set").await;
        app.view_of_fit("Cans", "cans").await;
        page.shows("Common lead: B-.").await;
        page.shows("the shell is live against it").await;
        page.choose("The new parts go", "inside the old shell").await;
        page.shows("Drill a small vent").await;
        page.type_into("Room inside the shell", "wide").await;
        page.shows("Write diameter x length").await;
        page.type_into("Room inside the shell", "1 3/8 x 3 in").await;
        page.data("room", "✓ Goes in").await;
        page.type_into("Room inside the shell", "20 x 30").await;
        page.data("room", "✕ Does not go in").await;
        browser.assert_accessible().await;
        app.saved().await;
        app.stage("record").await;
        page.shows("room in the shell: 20 x 30").await;
    });
}

#[test]
fn cleaning_is_checked_off_by_the_parts_that_the_sheet_names() {
    run(async |browser| {
        browser.resize(PHONE).await;
        let app = App::open(browser).await;
        let page = &app.page;
        app.begin("bench-instrument").await;
        app.view_of_fit("Cleaning", "cleaning").await;
        page.shows("contacts 1, 2, 3, 4, 5").await;
        page.shows("common practice, no source").await;
        let step = page.data("step", "clean/S1/work").await;
        // The path of stages lies over the last rows of a phone.
        browser
            .js("document.querySelector('[data-step=\"clean/S1/work\"]')
                 .scrollIntoView({ block: 'center' })")
            .await;
        page.within(step).only(Role::Checkbox).await.click().await.expect("a step can be ticked");
        until("one step done", async || {
            let count = page.data("count", "cleaning").await;
            count.text().await.ok()?.starts_with("1 of").then_some(())
        })
        .await;
        assert!(!browser.overflows().await);
        browser.assert_accessible().await;
    });
}

#[test]
fn the_views_are_pictured() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        for (width, name) in [(DESKTOP, "desk"), (PHONE, "phone")] {
            for dark in [false, true] {
                browser.resize(width).await;
                browser.look(Look { dark, ..Look::default() }).await;
                let shade = if dark { "dark" } else { "light" };
                app.stage("fit").await;
                browser.screenshot_full(&format!("fit-{name}-{shade}")).await;
                for (view_name, slug) in
                    [("Old parts", "old-parts"), ("Cans", "cans"), ("Cleaning", "cleaning")]
                {
                    app.view_of_fit(view_name, slug).await;
                    assert!(!browser.overflows().await, "{slug} at {name}");
                    browser.screenshot_full(&format!("{slug}-{name}-{shade}")).await;
                }
            }
        }
    });
}
