//! The power-up at the bench: the lamp, readings judged at once, stop, holds
//! that outlive a reload, and the record on paper.

use firstglow_browser_tests::{App, DESKTOP, PHONE, Role, run, until};

/// Goes to a view of the power-up by its link.
async fn view(app: &App<'_>, name: &str) {
    let views = app.page.role(Role::Navigation, "Views of power up").await;
    app.page.within(views).click(Role::Link, name).await;
}

#[test]
fn the_lamp_is_chosen_told_in_rows_and_the_one_at_hand_is_kept() {
    run(async |browser| {
        for viewport in [DESKTOP, PHONE] {
            browser.resize(viewport).await;
            let app = App::open(browser).await;
            app.begin("table-set").await;
            app.stage("power-up").await;
            view(&app, "Lamp").await;
            app.page.data("section", "lamp").await;
            let stages = app.page.within(app.page.data("table", "lamp-stages").await);
            let rows = stages.all_data("row").await;
            assert_eq!(rows.len(), 6, "{rows:?}");
            assert_eq!(rows.last().map(String::as_str), Some("117 V"));
            app.page.shows("Rectifier V5 shorted").await;
            // Stop is at hand here too.
            app.page.role(Role::Button, "Stop now").await;
            assert!(!browser.overflows().await, "{viewport:?}");
            app.page.choose("Lamp to use", "100 W").await;
            app.page.shows("Lamp of 100 W 120 V").await;
            app.saved().await;
            browser.reload().await;
            app.page.shows("Lamp of 100 W 120 V").await;
            view(&app, "Steps").await;
            app.page.shows("Put a lamp of 100 W 120 V in series").await;
        }
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_reading_out_of_its_band_says_stop_and_names_the_fault_that_explains_it() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.power_up_to("stage-4").await;
        let step = app.page.data("step", "stage-4").await;
        let card = app.page.within(step);
        app.read_at("stage-4", "set", "79").await;
        app.read_at("stage-4", "b-plus", "74").await;
        card.shows("✓ within").await;
        card.shows_no("Stopped here").await;
        // The filter shorted: the set pulled down, no B+.
        app.read_at("stage-4", "set", "63").await;
        app.read_at("stage-4", "b-plus", "0").await;
        card.shows("Stop: plug out, discharge").await;
        card.shows("First filter C20A shorted").await;
        app.saved().await;
        browser.reload().await;
        app.page.shows("First filter C20A shorted").await;
        app.stage("record").await;
        app.page.shows("63 V (OUT, below its band)").await;
    });
}

#[test]
fn stop_is_one_tap_away_and_lists_what_stays_charged() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.page.click(Role::Button, "Stop now").await;
        let dialog = app.page.data("dialog", "stop").await;
        let dialog = app.page.within(dialog);
        dialog.shows("Pull the plug out of the wall").await;
        dialog.shows("C20A: 177 V (tubes cold, high line); stays charged at").await;
        dialog.shows("Measure every filter").await;
        dialog.click(Role::Button, "Close").await;
        app.page.shows_no("Treat every point as charged").await;
    });
}

#[test]
fn a_hold_runs_on_through_a_reload_and_a_sleeping_page() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.power_up_to("stage-1").await;
        let script = "document.querySelector('[data-step=stage-1] [data-hold] button').click()";
        browser.js(script).await;
        app.saved().await;
        let left = async || {
            let clock = "const clock =
                document.querySelector('[data-step=stage-1] [role=timer]').textContent;
                const [minutes, seconds] = clock.split(':').map(Number);
                return minutes * 60 + seconds";
            browser.js(clock).await.as_u64().unwrap_or_default()
        };
        let first = left().await;
        assert!((50..=60).contains(&first), "{first} s left at first");
        browser.reload().await;
        app.page.data("step", "stage-1").await;
        until("the clock to have gone on", async || (left().await < first).then_some(())).await;
        // A screen locked for an hour: the clock jumps, nothing ticked.
        browser.js("const then = Date.now; Date.now = () => then() + 3600000").await;
        app.page.shows("Hold over").await;
    });
}

#[test]
fn a_skipped_step_takes_a_reason_and_says_so_on_the_record() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.page.click(Role::Button, "Skip it, with a reason").await;
        app.page.click(Role::Button, "Skip it with this reason").await;
        app.page.shows("Write the reason.").await;
        app.page.type_into("Why it is skipped", "Looked over yesterday.").await;
        app.page.click(Role::Button, "Skip it with this reason").await;
        app.page.shows("Step 1 skipped, ").await;
        app.stage("record").await;
        let row = app.page.data("row", "look").await;
        let row = app.page.within(row);
        row.shows("Skipped").await;
        row.shows("Looked over yesterday.").await;
    });
}

#[test]
fn every_sheet_is_printed_with_its_head_on_every_page_and_the_label_on_its_own() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("record").await;
        for sheet in ["plan", "leads", "wiring", "power", "buy", "label"] {
            browser
                .js_with(
                    "document.querySelector(`[data-print='${arguments[0]}'] input`).click()",
                    vec![sheet.into()],
                )
                .await;
            app.page.data("sheet", sheet).await;
        }
        app.page.shows("V4 pin 3, plate of 50L6GT").await;
        browser.js("document.querySelector('[name=paper][value=letter]').click()").await;
        let file = browser.print("job").await;
        let tool = |name: &str, more: &[&str]| {
            let output = std::process::Command::new(name).args(more).output();
            let output =
                output.unwrap_or_else(|e| panic!("{name}: {e}; apt-get install poppler-utils"));
            String::from_utf8_lossy(&output.stdout).into_owned()
        };
        let path = file.to_str().expect("a path in words");
        let text = tool("pdftotext", &["-layout", path, "-"]);
        let pages: Vec<&str> = text.split('\u{c}').filter(|page| !page.trim().is_empty()).collect();
        assert!(pages.len() > 10, "{} pages", pages.len());
        // Every page of a table begins with the name of sheet and set.
        let named = |name: &str| {
            pages.iter().filter(|p| p.contains(&format!("{name}: Kitchen table set"))).count()
        };
        for (name, least) in [
            ("Plan", 2),
            ("Lead cards", 1),
            ("Wiring chart", 2),
            ("Power-up", 3),
            ("Buying list", 1),
        ] {
            assert!(named(name) >= least, "{name}: {} pages", named(name));
        }
        let label = pages.last().expect("a last page");
        assert!(label.contains("Not certified") && label.contains("DANGER"), "{label}");
    });
}
