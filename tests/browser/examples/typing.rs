//! How long a keystroke takes until its plan is on the page, in Chromium, by
//! the length of the sheet. Run by `make bench`; it prints and judges nothing.
//!
//! From the input event to the second frame after it: all that the page does
//! for one letter, with up to two frames of waiting in it. The first row, an
//! almost empty sheet, tells how much of that is waiting.

use firstglow_browser_tests::{App, run};
use serde_json::json;

/// Keystrokes measured on each sheet.
const STROKES: usize = 15;

/// Appends a letter to a remark, and waits for the second frame.
const MEASURE: &str = "
    const area = document.getElementById('sheet-text');
    const strokes = arguments[0];
    const frame = () => new Promise(requestAnimationFrame);
    const run = async () => {
        const blocked = [], painted = [];
        for (let i = 0; i < strokes; i++) {
            await frame();
            const start = performance.now();
            area.value = area.value + 'x';
            area.dispatchEvent(new InputEvent('input', { bubbles: true }));
            await Promise.resolve();
            blocked.push(performance.now() - start);
            await frame(); await frame();
            painted.push(performance.now() - start);
        }
        const middle = a => a.sort((x, y) => x - y)[a.length >> 1];
        return [middle(blocked), middle(painted)];
    };
    const done = arguments[arguments.length - 1];
    run().then(done, e => done(String(e)));";

/// A sheet of so many parts, each in a net of its own and all on one supply.
fn sheet(parts: usize) -> String {
    let head = "set Timed\nmains 117 V 60 Hz, 35 W\nsupply series-string\n".to_owned();
    let lines = (1..=parts).map(|n| match n % 3 {
        0 => format!("R{n} 470K 1/2 W n{n} to B1\n"),
        1 => format!("C{n} .05 400 V paper n{n} to B-\n"),
        _ => format!("C{n} .01 mfd 600 V paper coupling n{n} to n{}\n", n - 1),
    });
    let mut text: String = std::iter::once(head).chain(lines).collect();
    text.push_str("# x");
    text
}

fn main() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        println!("{:>7} {:>14} {:>14}", "parts", "blocked, ms", "painted, ms");
        for parts in [1, 60, 300, 1000, 10_000] {
            app.write(&sheet(parts)).await;
            app.saved().await;
            let client = browser.client();
            let times = client
                .execute_async(MEASURE, vec![json!(STROKES)])
                .await
                .expect("the page answers");
            let ms = |at: usize| times[at].as_f64().unwrap_or(f64::NAN);
            println!("{parts:>7} {:>14.1} {:>14.1}", ms(0), ms(1));
        }
    });
}
