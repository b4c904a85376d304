//! What one keystroke costs in Chromium, by the length of the sheet: reading,
//! plan, all that is done before the page answers again, and the time until it
//! is painted. Run by `make bench`; it prints and judges nothing.
//!
//! Each keystroke changes the value of a bleeder on B+, so that every voltage
//! of the set moves. `read` and `plan` are the app's own measures of its work;
//! `painted` is told to the second frame after the input, with up to two frames
//! of waiting in it: the first row, an almost empty sheet, tells how much. The
//! least is what the work costs where something else is busy on the machine.
//! Past a frame, reading and planning wait for a pause in typing: `blocked` is
//! then without them.

use firstglow_browser_tests::{App, run};
use serde_json::json;

#[path = "../../../benches/made/mod.rs"]
mod made;

/// Turns the last line's value over between two, and waits for the plan and
/// the second frame.
const MEASURE: &str = "
    const area = document.getElementById('sheet-text');
    const strokes = arguments[0];
    const frame = () => new Promise(requestAnimationFrame);
    // The next message is heard when the page is free again.
    const turn = () => new Promise(done => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = done;
        port2.postMessage(0);
    });
    const last = name => performance.getEntriesByName(name, 'measure')[0];
    const run = async () => {
        const all = { read: [], plan: [], blocked: [], painted: [] };
        for (let i = 0; i < strokes; i++) {
            await frame();
            const value = i % 2 ? '47K' : '56K';
            const before = last('plan')?.startTime ?? 0;
            const start = performance.now();
            area.value = area.value.replace(/(\\nR99999) \\S+/, '$1 ' + value);
            area.dispatchEvent(new InputEvent('input', { bubbles: true }));
            await turn();
            all.blocked.push(performance.now() - start);
            do { await frame(); } while ((last('plan')?.startTime ?? 0) <= before);
            await frame();
            all.painted.push(performance.now() - start);
            all.read.push(last('read').duration);
            all.plan.push(last('plan').duration);
        }
        for (const times of Object.values(all)) times.sort((x, y) => x - y);
        const middle = ['read', 'plan', 'blocked', 'painted'].map(n => all[n][strokes >> 1]);
        return [all.plan[0], ...middle];
    };
    const done = arguments[arguments.length - 1];
    run().then(done, e => done(String(e)));";

fn main() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        println!("milliseconds; the middle of the strokes where nothing else is said");
        println!("  parts   read   plan   plan, least   blocked   painted");
        let mut plans = Vec::new();
        for (parts, strokes) in [(7, 25), (60, 25), (100, 25), (300, 25), (1000, 25), (10_000, 7)] {
            app.write(&made::stages(parts)).await;
            app.saved().await;
            let client = browser.client();
            let times = client
                .execute_async(MEASURE, vec![json!(strokes)])
                .await
                .expect("the page answers");
            let ms = |at: usize| times[at].as_f64().unwrap_or(f64::NAN);
            println!(
                "{parts:>7} {:>6.1} {:>6.1} {:>13.1} {:>9.1} {:>9.1}",
                ms(1),
                ms(2),
                ms(0),
                ms(3),
                ms(4)
            );
            plans.push(ms(0));
        }
        let exponent = (plans[5] / plans[2]).log10() / 2.0;
        println!("the plan grows as parts to the power {exponent:.2} from 100 to 10,000");
    });
}
