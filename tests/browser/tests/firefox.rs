//! Firefox: the single file from the disk, the served app without a network,
//! paper, and a private window.

use std::fs;
use std::process::Command;

use firstglow_browser_tests::{App, Browser, Kind, Role, Seat, dist, until};

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
        browser.reload().await;
        app.begin("table-set").await;
        app.saved().await;
        app.stage("plan").await;
        app.page.role(Role::Heading, "Plan").await;
        let paper = printed(browser, "plan").await;
        for words in ["C17", "Kitchen table set"] {
            assert!(paper.contains(words), "{words} on {paper}");
        }
        browser.assert_accessible().await;
        browser.reload().await;
        app.bench().await;
        assert_eq!(app.page.all_data("set").await.len(), 1);
    });
}

#[test]
fn a_private_window_works_says_what_goes_away_with_it_and_leaves_nothing() {
    let seat = Seat::new(Kind::FirefoxPrivate);
    seat.run(async |browser| {
        let app = App::with_sheet(browser, PARTS).await;
        app.bench().await;
        app.page.click(Role::Button, "Safekeeping and backups").await;
        app.page.shows("In a private window everything kept").await;
        browser.reload().await;
        until("the set", async || (app.page.all_data("set").await.len() == 1).then_some(())).await;
    });
    seat.run(async |browser| {
        let app = App::open(browser).await;
        assert_eq!(app.page.all_data("set").await.len(), 0);
    });
}
