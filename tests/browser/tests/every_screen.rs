//! What holds on every screen: no barriers in either theme, no sideways
//! scrolling from 360 px up, paper.

use firstglow_browser_tests::{App, DESKTOP, Look, PHONE, Role, STAGES, VIEWS, Viewport, run};

const NARROWEST: Viewport = Viewport { width: 360, height: 740 };

#[test]
fn no_screen_has_barriers_in_either_theme() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        for dark in [false, true] {
            browser.look(Look { dark, ..Look::default() }).await;
            for stage in STAGES {
                app.stage(stage).await;
                browser.assert_accessible().await;
            }
            for view in VIEWS {
                app.go(view).await;
                browser.assert_accessible().await;
            }
            app.stage("parts").await;
            browser.js("document.querySelectorAll('[name=parts-view]')[1].click()").await;
            browser.assert_accessible().await;
            browser.js("document.querySelectorAll('[name=parts-view]')[0].click()").await;
            app.stage("plan").await;
            browser.js("document.querySelectorAll('[data-part] button')[5].click()").await;
            browser.assert_accessible().await;
            app.stage("power-up").await;
            browser.js("document.querySelector('[data-action=stop]').click()").await;
            browser.assert_accessible().await;
            browser.js("document.querySelector('dialog').close()").await;
        }
        app.bench().await;
        browser.assert_accessible().await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn no_screen_scrolls_sideways() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        for viewport in [NARROWEST, PHONE, DESKTOP] {
            browser.resize(viewport).await;
            app.bench().await;
            assert!(!browser.overflows().await, "bench at {} px", viewport.width);
            let set = app.page.data("set", "1").await;
            app.page.within(set).only(Role::Link).await.click().await.expect("a set opens");
            for stage in STAGES {
                app.stage(stage).await;
                assert!(!browser.overflows().await, "{stage} at {} px", viewport.width);
            }
            for view in VIEWS {
                app.go(view).await;
                assert!(!browser.overflows().await, "{view} at {} px", viewport.width);
            }
            app.stage("parts").await;
            browser.js("document.querySelectorAll('[name=parts-view]')[1].click()").await;
            assert!(!browser.overflows().await, "table at {} px", viewport.width);
            browser.js("document.querySelectorAll('[name=parts-view]')[0].click()").await;
        }
    });
}

#[test]
fn the_sheets_for_the_bench_print() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        for stage in ["plan", "buy", "power-up", "record"] {
            app.stage(stage).await;
            let file = browser.print(stage).await;
            let bytes = std::fs::read(file).unwrap_or_default();
            assert!(bytes.starts_with(b"%PDF-") && bytes.len() > 8_000, "{stage}");
        }
    });
}
