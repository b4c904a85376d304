//! Pictures of the screens, for people to look at, in `target/screens/`.

use firstglow_browser_tests::{DESKTOP, Look, PHONE, run};

#[test]
fn the_start_page_fits_a_phone_and_a_desktop_in_both_themes() {
    run(async |browser| {
        browser.open().await;
        for (size, viewport) in [("phone", PHONE), ("desktop", DESKTOP)] {
            browser.resize(viewport).await;
            for (theme, dark) in [("light", false), ("dark", true)] {
                let look = Look { dark, ..Look::default() };
                browser.look(look).await;
                browser.screenshot_full(&format!("start-{size}-{theme}")).await;
                assert!(!browser.overflows().await, "{size}, {theme}");
            }
        }
    });
}

#[test]
fn the_start_page_prints() {
    run(async |browser| {
        browser.open().await;
        let file = browser.print("start").await;
        let bytes = std::fs::read(file).unwrap_or_default();
        assert!(bytes.starts_with(b"%PDF-"));
    });
}
