//! What must never fail at the bench: Stop now is in view and under no other
//! thing, and nobody goes past a failing reading without writing why.

use firstglow_browser_tests::{App, Browser, DESKTOP, Look, PHONE, Role, Viewport, run, until};
use serde_json::json;

/// A phone with its keyboard open, a small one, one on its side.
const SIZES: [Viewport; 5] = [
    PHONE,
    Viewport { width: 390, height: 500 },
    Viewport { width: 320, height: 568 },
    Viewport { width: 844, height: 390 },
    DESKTOP,
];

/// Where the button is not what a finger meets, at this place of the page: a
/// list of points, empty where all is well.
const MISSED: &str = "
    const button = document.querySelector('[data-action=stop]');
    const box = button.getBoundingClientRect();
    const seen = window.visualViewport;
    const [left, top] = [seen.offsetLeft, seen.offsetTop];
    const points = [
      ['center', (box.left + box.right) / 2, (box.top + box.bottom) / 2],
      ['left top', box.left + 1, box.top + 1], ['right top', box.right - 1, box.top + 1],
      ['left bottom', box.left + 1, box.bottom - 1],
      ['right bottom', box.right - 1, box.bottom - 1],
    ];
    const missed = points.filter(([, x, y]) => document.elementFromPoint(x, y) !== button
      || x < left || y < top || x > left + seen.width || y > top + seen.height);
    if (box.height < 44) missed.push(['low', box.width, box.height]);
    return missed.map((point) => point.join(' '))";

/// The button at the top, in the middle and at the end of the page.
async fn is_hit_everywhere(browser: &Browser, what: &str) {
    for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let scroll = "const page = document.scrollingElement;
            window.scrollTo(0, (page.scrollHeight - page.clientHeight) * arguments[0])";
        browser.js_with(scroll, vec![json!(share)]).await;
        let frames = "new Promise((done) =>
            requestAnimationFrame(() => requestAnimationFrame(() => done(true))))";
        browser.js_promise(frames).await;
        let missed = browser.js(MISSED).await;
        assert_eq!(missed, json!([]), "{what}, {share} of the way down");
    }
}

/// Has the app say something, and waits until it is on the page.
async fn say(app: &App<'_>, browser: &Browser) {
    app.drop_file("a-long-name-of-a-file-that-cannot-be-read.json", b"{ broken").await;
    until("a message", async || {
        let there = browser.js("return document.querySelector('[data-toast]') !== null").await;
        (there == true).then_some(())
    })
    .await;
}

/// The height of what is in view, as an open keyboard leaves it.
async fn keyboard(browser: &Browser, height: u32, top: u32) {
    let script = "const [height, top] = arguments;
        for (const [name, value] of [['height', height], ['offsetTop', top]]) {
          Object.defineProperty(visualViewport, name, { get: () => value, configurable: true });
        }
        visualViewport.dispatchEvent(new Event('resize'))";
    browser.js_with(script, vec![json!(height), json!(top)]).await;
}

#[test]
fn stop_now_is_under_nothing_on_any_size_with_a_message_on_the_page_and_after_going_on() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        for size in SIZES {
            browser.resize(size).await;
            for view in ["power-up", "power-up/lamp"] {
                app.go(view).await;
                is_hit_everywhere(browser, &format!("{view} at {size:?}")).await;
                say(&app, browser).await;
                is_hit_everywhere(browser, &format!("{view} at {size:?}, with a message")).await;
                assert!(size.width < 360 || !browser.overflows().await, "{view} at {size:?}");
            }
            // What is said on one screen ends there.
            say(&app, browser).await;
            app.go("plan").await;
            app.go("power-up").await;
            app.page.shows_no("Nothing changed.").await;
            is_hit_everywhere(browser, &format!("after going on, at {size:?}")).await;
        }
    });
}

#[test]
fn stop_now_stands_above_an_open_keyboard_and_leaves_the_page_as_it_was_without() {
    run(async |browser| {
        browser.resize(PHONE).await;
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        for (height, top) in [(500, 0), (500, 200), (300, 120), (844, 0)] {
            keyboard(browser, height, top).await;
            say(&app, browser).await;
            is_hit_everywhere(browser, &format!("{height} px from {top} in view")).await;
        }
        // Listens no more on another screen.
        app.stage("plan").await;
        keyboard(browser, 400, 0).await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn stop_now_opens_at_its_first_line_with_the_way_out_of_it_in_view() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        for size in SIZES {
            browser.resize(size).await;
            for turn in 0..2 {
                app.page.click(Role::Button, "Stop now").await;
                let found = browser
                    .js("const dialog = document.querySelector('dialog[open]');
                         const head = dialog.querySelector('h2').getBoundingClientRect();
                         const close = dialog.querySelector('button').getBoundingClientRect();
                         return [dialog.scrollTop, document.activeElement.textContent,
                                 head.top >= 0 && head.bottom <= innerHeight,
                                 close.top >= 0 && close.bottom <= innerHeight]")
                    .await;
                let wanted = json!([0, "Pull the plug out of the wall.", true, true]);
                assert_eq!(found, wanted, "{size:?}, opened {turn} times before");
                // Left at its end, it opens at its head again.
                browser.js("document.querySelector('dialog[open]').scrollTop = 9999").await;
                app.page.click(Role::Button, "Close").await;
            }
        }
        // One wording for the first step, here and among the steps.
        app.power_up_to("unplug").await;
        app.page.shows("Pull the plug out of the wall").await;
        app.page.shows_no("Switch off, then pull").await;
    });
}

#[test]
fn a_failing_reading_takes_its_tick_back_and_later_steps_refuse_theirs() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.power_up_to("series-lamp").await;
        app.read_at("plug-ohms", "plug", "12").await;
        let step = app.page.data("step", "plug-ohms").await;
        let card = app.page.within(step);
        card.shows("Prong to prong reads 12 Ω, below its limits (20 to 300 Ω).").await;
        app.page.shows("4 of 27 steps").await;
        let power = app.page.data("power", "stopped").await;
        app.page.within(power).shows("Stopped at step 5").await;
        let now = "return document.querySelector('[data-step][aria-current=step]').dataset.step";
        assert_eq!(browser.js(now).await, "plug-ohms");
        // No tick is to be had past it, and every later step says why.
        let later = browser
            .js("const steps = [...document.querySelectorAll('[data-step]')];
                 const at = steps.findIndex((step) => step.dataset.step === 'plug-ohms');
                 return steps.slice(at + 1).filter((step) => {
                   const box = step.querySelector('input[type=checkbox]');
                   box.click();
                   return box.checked || !box.disabled
                     || !step.textContent.includes('Stopped at step 5.');
                 }).map((step) => step.dataset.step)")
            .await;
        assert_eq!(later, json!([]));
        app.saved().await;
        browser.reload().await;
        app.page.shows("Stopped at step 5").await;
        app.stage("record").await;
        let row = app.page.data("row", "plug-ohms").await;
        app.page.within(row).shows("Stopped").await;
        app.stage("power-up").await;
        app.read_at("plug-ohms", "plug", "120").await;
        app.page.data("power", "going").await;
        assert_eq!(browser.js(now).await, "series-lamp");
    });
}

#[test]
fn near_zero_at_the_plug_and_a_missing_isolation_have_no_way_past() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.power_up_to("plug-ohms").await;
        for typed in ["0.8", "0", "2 ohm", "< 5", "short"] {
            app.read_at("plug-ohms", "plug", typed).await;
            let step = app.page.data("step", "plug-ohms").await;
            let card = app.page.within(step);
            card.shows("No reason passes this.").await;
            let ways = "const step = document.querySelector('[data-step=plug-ohms]');
                const box = step.querySelector('input[type=checkbox]');
                box.click();
                return [box.checked, step.querySelectorAll('[data-reason]').length,
                        [...step.querySelectorAll('button')].filter((b) => !b.hidden
                          && b.textContent.includes('Skip')).length]";
            assert_eq!(browser.js(ways).await, json!([false, 0, 0]), "{typed}");
        }
        app.read_at("plug-ohms", "plug", "120").await;
        app.power_up_to("isolation").await;
        let skips = "return [...document.querySelectorAll('[data-step=isolation] button')]
            .filter((button) => !button.hidden && button.textContent.includes('Skip')).length";
        assert_eq!(browser.js(skips).await, 0);
    });
}

#[test]
fn going_on_takes_a_reason_that_is_seen_on_later_steps_on_the_record_and_on_paper() {
    const REASON: &str = "A ballast of 10 ohm is in the cord.";
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.power_up_to("plug-ohms").await;
        app.read_at("plug-ohms", "plug", "12").await;
        let step = app.page.data("step", "plug-ohms").await;
        let card = app.page.within(step);
        card.type_into("Or go on all the same, because", "   ").await;
        card.click(Role::Button, "Go on with this reason").await;
        card.shows("Write the reason.").await;
        card.type_into("Or go on all the same, because", REASON).await;
        browser.assert_accessible().await;
        card.click(Role::Button, "Go on with this reason").await;
        card.shows(&format!("“{REASON}”")).await;
        app.page.data("power", "going").await;
        let seen = "const steps = [...document.querySelectorAll('[data-step]')];
            const at = steps.findIndex((step) => step.dataset.step === 'plug-ohms');
            return steps.slice(at + 1).filter((step) => !step.textContent.includes(arguments[0]))
              .length";
        assert_eq!(browser.js_with(seen, vec![json!(REASON)]).await, 0);
        app.saved().await;
        browser.reload().await;
        app.page.shows(REASON).await;
        app.stage("record").await;
        let stops = app.page.data("table", "record-stops").await;
        app.page.within(stops).shows(REASON).await;
        browser.js("document.querySelector(`[data-print=power] input`).click()").await;
        app.page.data("sheet", "power").await;
        let file = browser.print("stops-record").await;
        let text = std::process::Command::new("pdftotext").arg(&file).arg("-").output();
        let text = text.expect("poppler-utils");
        let text = String::from_utf8_lossy(&text.stdout).replace('\n', " ");
        // On the record, and at the head and the step of the sheet for the bench.
        assert!(text.matches("ballast of 10").count() >= 4, "{text}");
        // Another reading is another matter; and a reason can be withdrawn.
        app.stage("power-up").await;
        app.read_at("plug-ohms", "plug", "11").await;
        app.page.data("power", "stopped").await;
        app.read_at("plug-ohms", "plug", "12").await;
        app.page.data("power", "going").await;
        let step = app.page.data("step", "plug-ohms").await;
        app.page.within(step).click(Role::Button, "Withdraw the reason").await;
        app.page.data("power", "stopped").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn after_a_stop_under_power_the_run_starts_again_from_its_first_stage() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("power-up").await;
        app.power_up_to("stage-3").await;
        app.page.click(Role::Button, "Stop now").await;
        app.page.click(Role::Button, "Close").await;
        let power = app.page.data("power", "stopped").await;
        app.page.within(power).shows("Stop now was pressed").await;
        let step = app.page.data("step", "stage-3").await;
        let card = app.page.within(step);
        card.click(Role::Button, "Start again from the first stage").await;
        card.shows("Write what was wrong").await;
        card.shows("Discharge and measure first: at most 10 V.").await;
        card.type_into("What was wrong, and what cured it", "V5 shorted: replaced.").await;
        card.type_into("Highest voltage left, measured (at most 10 V)", "38").await;
        card.click(Role::Button, "Start again from the first stage").await;
        app.page.data("power", "stopped").await;
        card.type_into("Highest voltage left, measured (at most 10 V)", "2").await;
        for dark in [false, true] {
            browser.look(Look { dark, ..Look::default() }).await;
            browser.assert_accessible().await;
        }
        card.click(Role::Button, "Start again from the first stage").await;
        app.page.data("power", "going").await;
        let now = "return document.querySelector('[data-step][aria-current=step]').dataset.step";
        until("the first stage to be the open step", async || {
            (browser.js(now).await == "stage-1").then_some(())
        })
        .await;
        app.saved().await;
        app.stage("record").await;
        let stops = app.page.data("table", "record-stops").await;
        let stops = app.page.within(stops);
        stops.shows("Started again").await;
        stops.shows("V5 shorted: replaced. Left when measured: 2 V.").await;
        let row = app.page.data("row", "stage-1").await;
        app.page.within(row).shows("In the run before, stopped").await;
    });
}

#[test]
fn boxes_that_are_not_ticked_ask_and_a_failing_part_does_not_read_as_good() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        for view in ["fit", "fit/cleaning", "fit/leads", "power-up"] {
            app.go(view).await;
            let done = browser
                .js("const boxes = [...document.querySelectorAll('[data-screen] input[type=checkbox]')]
                       .filter((box) => !box.checked).map((box) => box.closest('label').textContent);
                     const marks = [...document.querySelectorAll('[data-mark][aria-pressed=false]')]
                       .map((mark) => mark.textContent);
                     return [...boxes, ...marks]
                       .filter((words) => /\\b(fitted|tested|cleaned|lifted|out:|done$|stays)\\b/i.test(words)
                         && !/^Mark step/.test(words))")
                .await;
            assert_eq!(done, json!([]), "{view}");
        }
        app.go("fit").await;
        app.page.click(Role::Checkbox, "Fit C20A").await;
        let row = app.page.data("part", "C20A").await;
        let row = app.page.within(row);
        row.shows("C20A fitted, ").await;
        let measured =
            "const field = document.querySelector('[data-part=C20A] [data-field=measured] input');
            field.value = '2 µF';
            field.dispatchEvent(new InputEvent('input', { bubbles: true }))";
        browser.js(measured).await;
        row.shows("out of its limits, not good").await;
        app.page.shows("0 of ").await;
    });
}
