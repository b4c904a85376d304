//! Firefox: the single file from the disk, the served app without a network,
//! and paper.

use std::fs;
use std::process::Command;

use firstglow_browser_tests::{App, Browser, Kind, Role, Seat, dist};

/// A sheet that has something to plan.
const PARTS: &str = "set Kitchen set\nC1 .05 mfd 400 V paper V1.5 to B-\n";

async fn open_single_file(browser: &Browser) -> App<'_> {
    let page = browser.open_file(&dist().join("firstglow.html")).await;
    App::on(browser, page)
}

/// The words of a page as it would come out on paper.
async fn printed(browser: &Browser, name: &str) -> String {
    let file = std::env::temp_dir().join(format!("firstglow-{name}-{}.pdf", std::process::id()));
    fs::write(&file, browser.pdf().await).expect("the system has a folder for this");
    let told = Command::new("pdftotext").arg("-layout").arg(&file).arg("-").output();
    let told = told.expect("pdftotext is there: `tools/setup-tests.sh`");
    fs::remove_file(&file).expect("the file is ours");
    String::from_utf8_lossy(&told.stdout).into_owned()
}

#[test]
fn the_single_file_keeps_a_set_from_one_start_to_the_next() {
    let seat = Seat::new(Kind::Firefox);
    seat.run(async |browser| {
        let app = open_single_file(browser).await;
        app.begin("blank").await;
        app.write(PARTS).await;
        app.saved().await;
    });
    seat.run(async |browser| {
        let app = open_single_file(browser).await;
        app.page.click(Role::Link, "Kitchen set").await;
        app.stage("parts").await;
        assert_eq!(app.sheet().await, PARTS);
        app.stage("plan").await;
        app.page.role(Role::Heading, "Plan").await;
        app.page.shows("C1").await;
    });
}

#[test]
fn the_served_app_opens_without_a_network_saves_and_prints_the_plan() {
    Seat::new(Kind::Firefox).run(async |browser| {
        let app = App::open(browser).await;
        browser.kept_for_offline_use().await;
        browser.go_offline();
        // Not by the driver's own reload, which asks the network first.
        browser.goto("about:blank").await;
        browser.open().await;
        app.begin("table-set").await;
        app.saved().await;
        app.stage("plan").await;
        app.page.role(Role::Heading, "Plan").await;
        let paper = printed(browser, "plan").await;
        for words in ["C17", "Kitchen table set"] {
            assert!(paper.contains(words), "{words} on {paper}");
        }
        browser.assert_accessible().await;
        browser.open().await;
        app.bench().await;
        assert_eq!(app.page.all_data("set").await.len(), 1);
    });
}

#[test]
fn links_pictures_and_dialogs_work() {
    Seat::new(Kind::Firefox).run(async |browser| {
        let app = App::with_sheet(browser, PARTS).await;
        // Packed and unpacked by the browser's own streams.
        app.stage("set").await;
        app.page.click(Role::Link, "To another device").await;
        let link = app.page.value("Link").await;
        browser.assert_accessible().await;
        app.page.click(Role::Button, "Copy the link").await;
        app.page.shows("The link is on the clipboard.").await;
        browser.goto(&link).await;
        browser.started().await;
        app.page.shows("Kitchen set").await;
        app.page.shows("to the letter").await;

        browser.open_at("#/set/1/power-up").await;
        app.page.click(Role::Button, "Stop now").await;
        let dialog = app.page.within(app.page.data("dialog", "stop").await);
        dialog.shows("Pull the plug out of the wall").await;
        dialog.click(Role::Button, "Close").await;
        app.page.shows_no("Treat every point as charged").await;
        browser.assert_accessible().await;

        app.view_of_fit("Photos", "photos").await;
        browser.give_pictures(1, 400, false).await;
        app.page.shows("1 photo taken in").await;
        app.page.data("picture", "here").await;
        app.saved().await;
    });
}
