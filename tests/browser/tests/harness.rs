//! The harness itself, on a page that has one of each.

use std::path::{Path, PathBuf};

use firstglow_browser_tests::{DESKTOP, Key, Look, PHONE, Role, run_on};

fn fixture() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixture")
}

#[test]
fn fields_are_typed_into_chosen_from_and_read() {
    run_on(&fixture(), async |browser| {
        let page = browser.open().await;
        page.type_into("Value", "4.7k").await;
        assert_eq!(page.value("Value").await, "4.7k");
        page.shows("is 4.7k").await;
        page.press(Key::Control + "z").await;
        page.type_into("Value", "").await;
        assert_eq!(page.value("Value").await, "");

        page.press(Key::Tab).await;
        assert_eq!(page.focused().await, "Kind");
        page.choose("Kind", "Capacitor").await;
        assert_eq!(page.value("Kind").await, "c");
    });
}

#[test]
fn rows_are_known_by_their_data() {
    run_on(&fixture(), async |browser| {
        let page = browser.open().await;
        assert_eq!(page.all_data("part").await, ["C1", "C2"]);
        let row = page.within(page.data("part", "C1").await);
        row.click(Role::Button, "Remove").await;
        assert_eq!(page.all_data("part").await, ["C2"]);
        assert_eq!(page.count(Role::Button).await, 2);
    });
}

#[test]
fn files_go_in_and_come_out() {
    run_on(&fixture(), async |browser| {
        let page = browser.open().await;
        let file = fixture().join("index.html");
        page.upload("Parts list", &file).await;
        let size = std::fs::metadata(file).map_or(0, |data| data.len());
        page.shows(&format!("{size} bytes")).await;

        page.click(Role::Button, "Save").await;
        assert_eq!(browser.downloaded("saved.txt").await, b"saved");
    });
}

#[test]
fn the_store_of_the_page_can_be_read_and_set() {
    run_on(&fixture(), async |browser| {
        browser.open().await;
        assert_eq!(browser.stored("plan").await, None);
        browser.store("plan", "{}").await;
        browser.reload().await;
        assert_eq!(browser.stored("plan").await.as_deref(), Some("{}"));
        assert_eq!(browser.stored_keys().await, ["plan"]);
    });
}

#[test]
fn the_page_believes_the_size_and_the_look() {
    run_on(&fixture(), async |browser| {
        browser.open().await;
        for viewport in [PHONE, DESKTOP] {
            browser.resize(viewport).await;
            assert_eq!(browser.js("return innerWidth").await, viewport.width);
        }
        let look = Look { dark: true, still: true, paper: true };
        browser.look(look).await;
        let believed = browser
            .js("return ['(prefers-color-scheme: dark)', '(prefers-reduced-motion)', 'print']
                   .every((query) => matchMedia(query).matches)")
            .await;
        assert_eq!(believed, true);
    });
}

#[test]
fn barriers_and_console_errors_are_seen() {
    run_on(&fixture(), async |browser| {
        browser.open().await;
        browser.assert_accessible().await;
        browser.assert_clean_console().await;

        browser.js("document.body.append(new Image()); console.error('seen')").await;
        let violations = browser.violations().await;
        assert!(violations.iter().any(|found| found.id == "image-alt"));
        let console = browser.console().await;
        assert!(console.iter().any(|entry| entry.message.contains("seen")));
    });
}

#[test]
#[should_panic(expected = "the console is not clean")]
fn a_failure_goes_through_to_the_test() {
    run_on(&fixture(), async |browser| {
        browser.open().await;
        browser.js("console.warn('not clean')").await;
        browser.assert_clean_console().await;
    });
}
