//! How long the app takes to open, and what it holds after an hour of editing,
//! in Chromium. Run by `make bench`; it prints each figure beside its budget and
//! judges nothing.

use firstglow_browser_tests::{App, Browser, run};
use serde_json::{Value, json};

#[path = "../../../benches/made/mod.rs"]
mod made;

/// An hour at the bench: a keystroke a second, and another screen each minute.
const STROKES: usize = 3_600;
const SCREENS: usize = 60;

/// Notes when the app says that it runs, and where its memory is.
const WATCH: &str = "
    new MutationObserver(() => {
        if (document.documentElement?.dataset.boot === 'ready') window.opened ??= performance.now();
    }).observe(document, { subtree: true, childList: true, attributes: true });
    const instantiate = WebAssembly.instantiateStreaming;
    WebAssembly.instantiateStreaming = async (...all) => {
        const made = await instantiate.apply(WebAssembly, all);
        window.wasm ??= made.instance.exports.memory;
        return made;
    };";

/// Types letters into a remark, each waiting for its frame, and takes them out
/// again.
const TYPE: &str = "
    const [strokes, done] = [arguments[0], arguments[arguments.length - 1]];
    const area = document.getElementById('sheet-text');
    const frame = () => new Promise(requestAnimationFrame);
    (async () => {
        for (let i = 0; i < strokes; i++) {
            area.value = i % 20 < 10 ? area.value + 'x' : area.value.slice(0, -1);
            area.dispatchEvent(new InputEvent('input', { bubbles: true }));
            await frame();
        }
    })().then(() => done(null));";

fn row(what: &str, figure: f64, unit: &str, budget: &str) {
    println!("{what:<52} {figure:>9.1} {unit:<3} {budget}");
}

async fn number(browser: &Browser, script: &str) -> f64 {
    browser.js(script).await.as_f64().unwrap_or(f64::NAN)
}

async fn waited(browser: &Browser, script: &str, values: Vec<Value>) -> f64 {
    let answer = browser.client().execute_async(script, values).await;
    answer.expect("the page answers").as_f64().unwrap_or(f64::NAN)
}

/// The middle of some openings.
async fn openings(browser: &Browser) -> f64 {
    let mut times = Vec::new();
    for _ in 0..5 {
        browser.goto("about:blank").await;
        browser.open().await;
        times.push(number(browser, "return window.opened").await);
    }
    times.sort_by(f64::total_cmp);
    times[2]
}

async fn megabytes(browser: &Browser) -> (f64, f64, f64) {
    browser.devtools("HeapProfiler.collectGarbage", json!({})).await;
    let heap = browser.devtools("Runtime.getHeapUsage", json!({})).await;
    let nodes = browser.devtools("Memory.getDOMCounters", json!({})).await;
    let wasm = number(browser, "return window.wasm.buffer.byteLength").await;
    let million = 1024.0 * 1024.0;
    let heap = heap["usedSize"].as_f64().unwrap_or(f64::NAN);
    (heap / million, wasm / million, nodes["nodes"].as_f64().unwrap_or(f64::NAN))
}

async fn opening(browser: &Browser) {
    let watch = json!({ "source": WATCH });
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", watch).await;
    browser.open().await;
    row("opening, first time", number(browser, "return window.opened").await, "ms", "none set");
    browser.kept_for_offline_use().await;
    browser.go_offline();
    row("opening, kept, network off", openings(browser).await, "ms", "1000");
    let app = App::open(browser).await;
    for example in ["table-set", "console", "bench-instrument", "table-set", "console"] {
        app.begin(example).await;
        app.bench().await;
    }
    app.saved().await;
    row("opening with five sets on the bench", openings(browser).await, "ms", "1000");
}

async fn memory(browser: &Browser) {
    let app = App::on(browser, browser.page());
    browser.open().await;
    app.begin("blank").await;
    app.write(&format!("{}\n# x", made::stages(60))).await;
    app.saved().await;
    let minute = async |at: usize| {
        app.stage(["plan", "buy", "fit", "power-up"][at % 4]).await;
        app.stage("parts").await;
        waited(browser, TYPE, vec![json!(STROKES / SCREENS)]).await;
    };
    // Each screen was seen once before what grows is counted.
    for at in 0..4 {
        minute(at).await;
    }
    let before = megabytes(browser).await;
    for at in 0..SCREENS {
        minute(at).await;
    }
    let after = megabytes(browser).await;
    row("heap of scripts, before an hour of editing", before.0, "MB", "");
    row("heap of scripts, after", after.0, "MB", "no growth past 10");
    row("memory of the app, before", before.1, "MB", "");
    row("memory of the app, after", after.1, "MB", "64");
    row("nodes of the page, before", before.2, "", "");
    row("nodes of the page, after", after.2, "", "no growth past 1000");
}

fn main() {
    println!("{:<52} {:>9} {:<3} budget", "", "measured", "");
    run(async |browser| {
        opening(browser).await;
        memory(browser).await;
    });
}
