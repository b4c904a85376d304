//! Private windows: the app works, says what goes away with the window, and
//! leaves nothing behind.

use firstglow_browser_tests::{App, Kind, Role, Seat, until};

fn works_and_leaves_nothing(kind: Kind) {
    let seat = Seat::new(kind);
    seat.run(async |browser| {
        let app = App::with_sheet(browser, "set Kitchen set\nC1 .05 400 V paper\n").await;
        app.bench().await;
        app.page.click(Role::Button, "Safekeeping and backups").await;
        app.page.shows("In a private window everything kept").await;
        // Nothing is claimed that this browser has not said.
        app.page.shows_no("This browser promised").await;
        browser.assert_accessible().await;
        browser.open().await;
        until("the set", async || (app.page.all_data("set").await.len() == 1).then_some(())).await;
    });
    seat.run(async |browser| {
        let app = App::open(browser).await;
        app.page.shows("An empty bench").await;
        assert_eq!(app.page.all_data("set").await.len(), 0);
    });
}

#[test]
fn a_private_window_of_chromium() {
    works_and_leaves_nothing(Kind::ChromiumPrivate);
}

#[test]
fn a_private_window_of_firefox() {
    works_and_leaves_nothing(Kind::FirefoxPrivate);
}
