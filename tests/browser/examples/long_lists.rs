//! How long each screen of a long sheet takes to open in Chromium, and what it
//! costs to scroll. Run by `make bench`; it prints and judges nothing.
//!
//! `opening` is until the frame in which the screen is complete, `working` until
//! the one that says that it is being worked out, if there is one; then what the
//! browser spent on scripts, styles and layout until then. `frame` is the mean of
//! such work in a frame while scrolling by 400 px each, `longest` the longest
//! time between two frames, with whatever else the machine did.
//!
//! `LONG_LISTS=1000,10000` names the lengths, `SCREENS=plan,fit` the screens.

use firstglow_browser_tests::{App, Browser, STAGES, VIEWS, run};
use serde_json::{Value, json};
use std::env;

#[path = "../../../benches/made/mod.rs"]
mod made;

/// Goes to an address. Gives the time until the frame in which the screen is
/// complete, and the time until one that says it is working, if there is one.
const GO: &str = "
    const [hash, done] = arguments;
    const start = performance.now();
    let said = null;
    const frame = () => new Promise(requestAnimationFrame);
    addEventListener('hashchange', async () => {
        do {
            await frame();
            await frame();
            if (document.querySelector('[data-working]')) said ??= performance.now() - start;
        } while (document.querySelector('[data-working]'));
        done([performance.now() - start, said]);
    }, { once: true });
    location.hash = hash;";

/// Clicks something in place of going to an address.
const CLICK: &str = "
    const [what, done] = arguments;
    const start = performance.now();
    const frame = () => new Promise(requestAnimationFrame);
    (async () => {
        document.querySelector(what).click();
        await frame();
        await frame();
        done([performance.now() - start, null]);
    })();";

/// Scrolls through the page and gives the longest time between two frames.
const SCROLL: &str = "
    const done = arguments[arguments.length - 1];
    (async () => {
        window.scrollTo(0, 0);
        await new Promise(requestAnimationFrame);
        let last = performance.now(), longest = 0;
        for (let i = 0; i < 60; i++) {
            window.scrollBy(0, 400);
            await new Promise(requestAnimationFrame);
            const now = performance.now();
            longest = Math.max(longest, now - last);
            last = now;
        }
        window.scrollTo(0, 0);
        return longest;
    })().then(done);";

/// The frames of that.
const FRAMES: f64 = 60.0;

/// What the browser has spent so far: on scripts, styles, layout; in seconds.
async fn spent(browser: &Browser) -> [f64; 3] {
    let metrics = browser.devtools("Performance.getMetrics", json!({})).await;
    let metrics = metrics["metrics"].as_array().cloned().unwrap_or_default();
    ["ScriptDuration", "RecalcStyleDuration", "LayoutDuration"].map(|name| {
        let found = metrics.iter().find(|m| m["name"] == name);
        found.and_then(|m| m["value"].as_f64()).unwrap_or(f64::NAN)
    })
}

async fn timed(browser: &Browser, name: &str, script: &str, value: Value) {
    let before = spent(browser).await;
    let client = browser.client();
    let answer = client.execute_async(script, vec![value]).await.expect("the page answers");
    let opened = spent(browser).await;
    let longest = client.execute_async(SCROLL, vec![]).await.expect("the page answers");
    let scrolled = spent(browser).await;
    let elements = browser.js("return document.getElementsByTagName('*').length").await;
    let ms = |later: [f64; 3], at: usize, earlier: [f64; 3]| (later[at] - earlier[at]) * 1000.0;
    let [scripts, style, layout] = [0, 1, 2].map(|at| ms(opened, at, before));
    let frame = (0..3).map(|at| ms(scrolled, at, opened)).sum::<f64>() / FRAMES;
    let said = answer[1].as_f64().map(|ms| format!("{ms:.0}")).unwrap_or_default();
    println!(
        "{name:<18} {:>7.0} {said:>8} {scripts:>8.0} {style:>6.0} {layout:>7.0} {frame:>6.1} \
         {:>8.0} {elements:>9}",
        answer[0].as_f64().unwrap_or(f64::NAN),
        longest.as_f64().unwrap_or(f64::NAN),
    );
}

fn listed(name: &str, all: &str) -> Vec<String> {
    let named = env::var(name).unwrap_or_else(|_| all.to_owned());
    named.split(',').map(str::to_owned).collect()
}

async fn measure(browser: &Browser, app: &App<'_>, parts: usize) {
    app.write(&made::stages(parts)).await;
    app.saved().await;
    let set = browser.js("return location.hash.split('/').slice(0, 3).join('/')").await;
    let set = set.as_str().expect("an address");
    // The plan itself is worked out before anything is timed.
    app.stage("plan").await;
    let budget = if parts > 1_000 { 1_000 } else { 100 };
    println!("\n{parts} parts; budgets: a screen opens within {budget} ms or says that it is");
    println!("working, no frame of scrolling takes more than 34 ms. Milliseconds:");
    println!(
        "screen             opening  working  scripts  style  layout  frame  longest  elements"
    );
    for screen in listed("SCREENS", &[&STAGES[..], &VIEWS].concat().join(",")) {
        let (from, marked) =
            if screen == "set" { ("fit/photos", "photos") } else { ("set", "set") };
        browser.js_with("location.hash = arguments[0]", vec![json!(format!("{set}/{from}"))]).await;
        app.page.data(if marked == "set" { "screen" } else { "view" }, marked).await;
        timed(browser, &screen, GO, json!(format!("{set}/{screen}"))).await;
        if screen == "parts" {
            let table = "[data-control=parts-view] label:last-child input";
            timed(browser, "parts as a table", CLICK, json!(table)).await;
            browser.js("document.querySelector('[data-control=parts-view] input').click()").await;
        }
    }
}

fn main() {
    run(async |browser| {
        browser.devtools("Performance.enable", json!({})).await;
        let app = App::open(browser).await;
        app.begin("blank").await;
        for parts in listed("LONG_LISTS", "300,1000,10000") {
            measure(browser, &app, parts.parse().expect("a number of parts")).await;
        }
    });
}
