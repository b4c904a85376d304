//! The browser is killed, all of it at once, while the app is writing. What the
//! app had called saved is there at the next start.

use std::time::Duration;

use firstglow_browser_tests::{App, Browser, KEY, Kind, Seat, until};
use tokio::time::sleep;

/// Types on and on, at uneven moments, and notes what the sheet holds whenever
/// the page calls it saved.
const TYPE_ON: &str = "let count = arguments[0];
    window.saved = 0;
    const area = document.getElementById('sheet-text');
    const mark = document.querySelector('[data-saving]');
    const note = () => {
      if (mark.dataset.saving === 'Saved') window.saved = Number(area.value.match(/# (\\d+)/)[1]);
    };
    new MutationObserver(note).observe(mark, { attributes: true });
    const type = () => {
      count += 1;
      area.value = `C1 .05 400 V paper # ${count}\\n`;
      area.dispatchEvent(new InputEvent('input', { bubbles: true }));
      setTimeout(type, [30, 700, 90, 5, 1100, 300, 850][count % 7]);
    };
    type();";

/// The number in the sheet.
fn number(sheet: &str) -> u64 {
    let (_, rest) = sheet.split_once("# ").expect("the sheet is numbered");
    rest.trim().parse().expect("by a number")
}

async fn said_saved(browser: &Browser) -> u64 {
    browser.js("return window.saved").await.as_u64().unwrap_or(0)
}

/// Types and kills. The first moment to kill is right when something was called
/// saved, others come anywhere.
async fn type_until_killed(browser: &Browser, from: u64, wait: u64) -> u64 {
    browser.js_with(TYPE_ON, vec![from.into()]).await;
    let mut saved = until("something to be called saved", async || {
        let saved = said_saved(browser).await;
        (saved > from).then_some(saved)
    })
    .await;
    if wait > 0 {
        sleep(Duration::from_millis(wait)).await;
        saved = said_saved(browser).await;
    }
    browser.kill();
    saved
}

fn nothing_saved_is_lost(kind: Kind, waits: &[u64]) {
    let seat = Seat::new(kind);
    let mut promised = 0;
    for (round, wait) in waits.iter().enumerate() {
        seat.run(async |browser| {
            let app = if round == 0 {
                App::with_sheet(browser, "C1 .05 400 V paper # 0\n").await
            } else {
                App::on(browser, browser.open_at("#/set/1/parts").await)
            };
            let found = until(&format!("{promised}, which was called saved"), async || {
                let found = number(&app.sheet().await);
                (found >= promised).then_some(found)
            })
            .await;
            promised = type_until_killed(browser, found, *wait).await;
        });
    }
    seat.run(async |browser| {
        let app = App::on(browser, browser.open_at("#/set/1/parts").await);
        until(&format!("{promised}, which was called saved"), async || {
            (number(&app.sheet().await) >= promised).then_some(())
        })
        .await;
        // Both copies say the same again.
        app.saved().await;
        until("the copies to agree", async || {
            let shelf = browser.stored(KEY).await?;
            (browser.on_disk().await? == shelf).then_some(())
        })
        .await;
    });
}

#[test]
fn what_was_called_saved_outlasts_a_killed_chromium() {
    nothing_saved_is_lost(Kind::Chromium, &[0, 0, 430, 0, 1370]);
}

#[test]
fn what_was_called_saved_outlasts_a_killed_firefox() {
    nothing_saved_is_lost(Kind::Firefox, &[0, 610, 0]);
}
