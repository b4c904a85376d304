//! How long a keystroke in the price list takes in Chromium, with 200 needs
//! against 500 offers: reading the list, choosing the basket, drawing it. Run by
//! `make bench`; it prints and judges nothing.

#[path = "../../support/buying_texts.rs"]
mod texts;

use firstglow_browser_tests::{App, run};
use serde_json::json;

/// Appends a letter to a remark in the list; the middle of several times.
const MEASURE: &str = "
    const area = document.getElementById('prices-text');
    const frame = () => new Promise(requestAnimationFrame);
    const run = async () => {
        const times = [];
        for (let i = 0; i < arguments[0]; i++) {
            await frame();
            const start = performance.now();
            // A change of a price: the basket is chosen anew each time.
            area.value = area.value.replace(/postage \\d+\\.\\d+/, `postage ${3 + i}.50`);
            area.dispatchEvent(new InputEvent('input', { bubbles: true }));
            await Promise.resolve();
            await frame();
            times.push(performance.now() - start);
        }
        return times.sort((x, y) => x - y)[times.length >> 1];
    };
    const done = arguments[arguments.length - 1];
    run().then(done, e => done(String(e)));";

fn main() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write(&texts::sheet(200)).await;
        app.stage("buy").await;
        app.page.click(firstglow_browser_tests::Role::Link, "Basket").await;
        app.page.data("view", "basket").await;
        let put = "const area = document.getElementById('prices-text');
                   area.value = arguments[0];
                   area.dispatchEvent(new InputEvent('input', { bubbles: true }))";
        browser.js_with(put, vec![json!(texts::prices(500))]).await;
        app.page.shows("Proven").await;
        let client = browser.client();
        let time = client.execute_async(MEASURE, vec![json!(9)]).await.expect("the page answers");
        println!("200 needs, 500 offers, a changed price to the next frame: {time} ms");
    });
}
