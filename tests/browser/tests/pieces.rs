//! The app comes in two pieces: the first screen works before the second is
//! there, and says so when it does not come.

use std::fs;
use std::path::{Path, PathBuf};

use firstglow_browser_tests::{App, Browser, Key, Role, SHEET, copy_of_dist, dist, run, run_on};
use serde_json::json;

const LINES: [&str; 3] = [
    "V5 35Z5",
    "C1A 40 mfd 150 V electrolytic B1 to B-",
    "C7 .01 mfd 400 V paper coupling V3.6 to V4.5",
];

#[test]
fn typing_goes_on_while_the_second_piece_is_held_back_and_nothing_typed_is_lost() {
    run(async |browser| {
        let piece = name_of(&second_piece(&dist()));
        hold_back(browser, &piece).await;
        browser.goto(browser.origin()).await;
        let app = App::on(browser, browser.usable().await);
        let page = &app.page;
        app.begin("blank").await;
        page.type_into("Name", "Held back").await;
        app.stage("parts").await;
        page.field(SHEET).await.click().await.expect("the editor can be clicked");
        page.press(Key::Control + &Key::End.to_string()).await;
        page.press(format!("\n{}\n", LINES.join("\n"))).await;
        page.shows("Not read yet").await;
        app.saved().await;

        app.stage("plan").await;
        page.shows("Still loading").await;
        browser.assert_accessible().await;
        assert_eq!(browser.js("return document.documentElement.dataset.workshop").await, "coming");
        app.stage("parts").await;
        page.field(SHEET).await.click().await.expect("the editor can be clicked");
        page.press(Key::Control + &Key::End.to_string()).await;
        page.press("R3 470").await;
        let typed = app.sheet().await;

        browser.devtools("Fetch.disable", json!({})).await;
        browser.workshop_is("open").await;
        assert_eq!(page.focused().await, SHEET, "the keyboard stays where it was");
        page.press("K 1/2 W V3.6 to B2").await;
        assert_eq!(app.sheet().await, format!("{typed}K 1/2 W V3.6 to B2"));
        page.shows("4 parts").await;
        app.stage("plan").await;
        page.shows("0.01 µF 630 V").await;
        page.data("part", "R3").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_second_piece_that_does_not_come_is_told_and_asked_for_again() {
    let site = copy_of_dist();
    let piece = second_piece(&site);
    let aside = piece.with_extension("aside");
    fs::rename(&piece, &aside).expect("the copy is ours");
    run_on(&site, async |browser| {
        browser.goto(browser.origin()).await;
        let app = App::on(browser, browser.usable().await);
        let page = &app.page;
        browser.workshop_is("shut").await;
        page.data("banner", "workshop").await;
        browser.assert_accessible().await;
        app.begin("blank").await;
        app.write(&LINES.join("\n")).await;
        page.shows("Not read yet").await;
        app.saved().await;
        app.stage("plan").await;
        page.shows("did not load").await;
        app.stage("parts").await;

        page.click(Role::Button, "Load the rest").await;
        browser.workshop_is("shut").await;
        fs::rename(&aside, &piece).expect("the copy is ours");
        page.click(Role::Button, "Load the rest").await;
        browser.workshop_is("open").await;
        page.shows_no("Only a part of Firstglow has loaded").await;
        assert_eq!(app.sheet().await, LINES.join("\n"));
        page.shows("3 parts").await;
        app.stage("plan").await;
        page.shows("0.01 µF 630 V").await;
    });
    fs::remove_dir_all(site).expect("the copy is ours");
}

#[test]
fn both_pieces_are_kept_for_use_without_a_network() {
    run(async |browser| {
        browser.open().await;
        browser.kept_for_offline_use().await;
        browser.go_offline();
        browser.reload().await;
        let app = App::on(browser, browser.page());
        app.begin("console").await;
        app.stage("plan").await;
        app.page.data("table", "plan").await;
        assert!(!app.page.all_data("part").await.is_empty());
        browser.assert_clean_console().await;
    });
}

/// Has requests for a file wait until `Fetch.disable`.
async fn hold_back(browser: &Browser, file: &str) {
    let pattern = json!({ "patterns": [{ "urlPattern": format!("*{file}") }] });
    browser.devtools("Fetch.enable", pattern).await;
}

/// The wasm that the start page does not ask for.
fn second_piece(site: &Path) -> PathBuf {
    let start = fs::read_to_string(site.join("index.html")).expect("the site has a start page");
    let files = fs::read_dir(site).expect("the site is readable").flatten();
    let is_later = |path: &PathBuf| {
        path.extension().is_some_and(|end| end == "wasm") && !start.contains(&name_of(path))
    };
    files.map(|entry| entry.path()).find(is_later).expect("the site has a second piece")
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
