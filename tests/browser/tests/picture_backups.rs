//! Pictures and backups: a backup brings its pictures back, and the file of
//! everything takes all of them along.

use firstglow_browser_tests::{App, Browser, Role, run, until};

const SHEET: &str = "set Photographed set\nC1 .05 mfd 400 V paper V2.6 to B1\n";

async fn backups(browser: &Browser) -> Vec<String> {
    let mut keys = browser.stored_keys().await;
    keys.retain(|key| key.starts_with("firstglow/bench/backup/"));
    keys
}

async fn pictures_are(browser: &Browser, count: usize) {
    until(&format!("{count} pictures"), async || {
        (browser.pictures().await.len() == count).then_some(())
    })
    .await;
}

async fn take_pictures(browser: &Browser, app: &App<'_>, count: usize) {
    app.view_of_fit("Photos", "photos").await;
    browser.give_pictures(count, 400, false).await;
    let words = if count == 1 { "1 photo taken in" } else { "2 photos taken in" };
    app.page.shows(words).await;
    app.saved().await;
}

#[test]
fn a_picture_that_was_deleted_comes_back_with_its_backup_and_goes_when_no_backup_has_it() {
    run(async |browser| {
        let app = App::with_sheet(browser, SHEET).await;
        take_pictures(browser, &app, 1).await;
        // The next opening makes a backup of it.
        browser.reload().await;
        let [backup] = &*backups(browser).await else { panic!("one backup") };
        app.page.click(Role::Button, "Delete").await;
        app.page.click(Role::Button, "Really delete").await;
        app.page.shows_no("Really delete").await;
        app.saved().await;
        assert_eq!(browser.pictures().await.len(), 1, "the backup still has it");

        app.bench().await;
        app.page.click(Role::Button, "Safekeeping and backups").await;
        app.page.shows("Photos lie in this browser once").await;
        browser.assert_accessible().await;
        let at = backup.rsplit('/').next().expect("a moment");
        let row = app.page.data("backup", at).await;
        let row = app.page.within(row);
        row.only(Role::Button).await.click().await.expect("a backup opens");
        row.click(Role::Button, "Bring the whole bench back").await;
        app.page.shows("What was there before is the newest backup.").await;
        app.page.click(Role::Link, "Photographed set").await;
        app.view_of_fit("Photos", "photos").await;
        app.page.data("picture", "here").await;
        app.saved().await;

        // Deleted again, and then no backup is left.
        browser.reload().await;
        app.page.click(Role::Button, "Delete").await;
        app.page.click(Role::Button, "Really delete").await;
        app.page.shows_no("Really delete").await;
        app.saved().await;
        assert_eq!(browser.pictures().await.len(), 1);
        browser.reload().await;
        for key in backups(browser).await {
            browser.js_with("localStorage.removeItem(arguments[0])", vec![key.into()]).await;
        }
        browser.reload().await;
        pictures_are(browser, 0).await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn the_file_of_everything_takes_all_pictures_of_all_sets_to_a_fresh_browser_and_back() {
    let mut archive = Vec::new();
    let mut pictures = Vec::new();
    run(async |browser| {
        let app = App::with_sheet(browser, SHEET).await;
        take_pictures(browser, &app, 2).await;
        app.bench().await;
        app.begin("blank").await;
        app.write("set Second set\nC1 .1 400 V paper\n").await;
        take_pictures(browser, &app, 1).await;
        app.bench().await;
        // A set that is out of the way counts as well.
        app.page.click(Role::Button, "Delete: Second set").await;
        pictures = browser.pictures().await;
        archive = save_everything(browser, &app).await;
    });
    assert_eq!(pictures.len(), 3);
    run(async |browser| {
        let app = App::open(browser).await;
        app.drop_file("everything.zip", &archive).await;
        app.page.shows("2 sets came in").await;
        assert_eq!(browser.pictures().await, pictures);
        app.saved().await;
        assert_eq!(save_everything(browser, &app).await, archive, "out again to the byte");
        browser.assert_clean_console().await;
    });
}

/// Saves everything and returns the file.
async fn save_everything(browser: &Browser, app: &App<'_>) -> Vec<u8> {
    app.page.click(Role::Button, "Export everything").await;
    app.page.shows("holds it with its photos").await;
    let name = "return document.body.innerText.match(/firstglow-[\\w-]+\\.zip/)[0]";
    let name = browser.js(name).await;
    browser.downloaded(name.as_str().expect("a name")).await
}
