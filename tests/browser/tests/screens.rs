//! Pictures of the screens, for people to look at, in `target/screens/`.
//! `make screens` takes all of them.

use firstglow_browser_tests::{App, Browser, DESKTOP, Look, PHONE, STAGES, VIEWS, run};

/// The sizes and themes that a screen is looked at in.
const LOOKS: [(&str, bool); 4] =
    [("desktop", false), ("desktop", true), ("phone", false), ("phone", true)];

/// Pictures what stands on the page, in every look, each as wide as its window.
async fn picture(browser: &Browser, name: &str) {
    for (size, dark) in LOOKS {
        browser.resize(if size == "phone" { PHONE } else { DESKTOP }).await;
        browser.look(Look { dark, ..Look::default() }).await;
        let theme = if dark { "dark" } else { "light" };
        browser.screenshot_full(&format!("{name}-{size}-{theme}")).await;
        assert!(!browser.overflows().await, "{name}, {size}, {theme}");
    }
}

#[test]
fn the_start_page_fits_a_phone_and_a_desktop_in_both_themes() {
    run(async |browser| {
        browser.open().await;
        picture(browser, "start").await;
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

#[test]
#[ignore = "takes minutes; `every_screen` holds what can be held without eyes"]
fn every_screen_of_every_example_is_pictured() {
    for example in ["table-set", "console", "bench-instrument"] {
        run(async |browser| {
            let app = App::open(browser).await;
            app.begin(example).await;
            for address in STAGES.iter().chain(&VIEWS) {
                app.go(address).await;
                picture(browser, &format!("{example}-{}", address.replace('/', "-"))).await;
            }
            for sheet in ["plan", "record"] {
                app.go(sheet).await;
                browser.print(&format!("{example}-{sheet}")).await;
            }
        });
    }
}
