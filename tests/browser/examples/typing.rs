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
        const names = ['read', 'plan', 'blocked', 'painted'];
        return names.flatMap(n => [all[n][0], all[n][strokes >> 1]]);
    };
    const done = arguments[arguments.length - 1];
    run().then(done, e => done(String(e)));";

/// The lengths of sheets measured, with the strokes and the milliseconds that
/// the plan may take.
const LENGTHS: [(usize, usize, Option<u32>); 6] = [
    (7, 25, None),
    (60, 25, Some(4)),
    (100, 25, None),
    (300, 25, None),
    (1_000, 25, Some(16)),
    (10_000, 7, None),
];

/// The milliseconds for which a keystroke may keep the page from answering: a
/// frame of a sixtieth of a second.
const FRAME: f64 = 1000.0 / 60.0;

fn main() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        println!("milliseconds, the least and the middle of the strokes; budgets in brackets");
        println!("  parts         read               plan             blocked         painted");
        let mut grown = Vec::new();
        for (parts, strokes, budget) in LENGTHS {
            app.write(&made::stages(parts)).await;
            app.saved().await;
            let client = browser.client();
            let times = client
                .execute_async(MEASURE, vec![json!(strokes)])
                .await
                .expect("the page answers");
            let ms = |at: usize| times[at].as_f64().unwrap_or(f64::NAN);
            let both = |at: usize| format!("{:>7.1} {:>6.1}", ms(at), ms(at + 1));
            let budget = budget.map(|ms| format!("({ms})")).unwrap_or_default();
            println!(
                "{parts:>7} {} {} {budget:<4} {} ({FRAME:.0}) {}",
                both(0),
                both(2),
                both(4),
                both(6)
            );
            grown.push([ms(0), ms(2), ms(6)]);
        }
        for (at, what) in ["reading", "the plan", "keystroke to paint"].into_iter().enumerate() {
            let power =
                |from: usize, decades: f64| (grown[5][at] / grown[from][at]).log10() / decades;
            println!(
                "{what} grows as parts to the power {:.2} from 100 to 10,000, {:.2} from 1,000",
                power(2, 2.0),
                power(4, 1.0)
            );
        }
    });
}
