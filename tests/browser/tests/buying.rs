//! Buying: the basket from a pasted list, the drawers, the swap meet on a phone
//! without a network.

use firstglow_browser_tests::{App, Browser, Key, PHONE, Role, run};
use serde_json::json;

const SHEET: &str = "set Kitchen set\nmains 117 V 60 Hz\nsupply series-string\n\
                     C1 .05 mfd 400 V paper coupling\nC2 .05 mfd 200 V paper avc\n\
                     C3 .05 mfd 400 V paper across line\n";

const PRICES: &str = "seller Hall, postage 4.50\n.047 630V film .85  10+ .30\n\
                      .047 275VAC X2 1.20\nsomething else\n";

/// Puts a whole text into a text area, as a paste does.
async fn put(browser: &Browser, id: &str, text: &str) {
    let script = "const area = document.getElementById(arguments[0]);
                  area.value = arguments[1];
                  area.dispatchEvent(new InputEvent('input', { bubbles: true }))";
    browser.js_with(script, vec![json!(id), json!(text)]).await;
}

/// The basket of a small set, with prices.
async fn basket(browser: &Browser) -> App<'_> {
    let app = App::open(browser).await;
    app.begin("blank").await;
    app.write(SHEET).await;
    app.stage("buy").await;
    app.page.click(Role::Link, "Basket").await;
    app.page.data("view", "basket").await;
    app.page.type_into("Sign of your currency", "$").await;
    put(browser, "prices-text", PRICES).await;
    app
}

#[test]
fn a_basket_is_filled_bought_kept_and_taken_when_fitted() {
    run(async |browser| {
        let app = basket(browser).await;
        let page = &app.page;
        // Two at 0.85 are cheaper than ten at 0.30.
        page.shows("2 lines from 1 seller, $7.40 in all").await;
        page.shows("Proven").await;
        page.shows("Line 4, column 1").await;
        browser.assert_accessible().await;
        page.click(Role::Button, "Bought: 2 x 0.047 µF 630 V film").await;
        page.shows("1 line from 1 seller, $5.70 in all").await;
        page.shows("In the drawers, reserved").await;
        app.saved().await;
        browser.reload().await;
        page.shows("1 line from 1 seller, $5.70 in all").await;
        app.stage("fit").await;
        app.tab_to("Fit C1").await;
        page.press(" ").await;
        app.saved().await;
        let count = async || {
            let kept = browser.stored("firstglow/bench").await.expect("a saved bench");
            let kept: serde_json::Value = serde_json::from_str(&kept).expect("a document");
            kept["data"]["buying"]["stock"][0]["count"].as_u64()
        };
        assert_eq!(count().await, Some(1));
        page.press(" ").await;
        app.saved().await;
        assert_eq!(count().await, Some(2));
        browser.assert_clean_console().await;
    });
}

#[test]
fn the_aim_is_chosen_by_keyboard_and_the_lists_go_out() {
    run(async |browser| {
        let app = basket(browser).await;
        let page = &app.page;
        page.shows("2 lines from 1 seller").await;
        app.tab_to("Least money").await;
        page.press(Key::Right).await;
        page.type_into("One line fewer is worth", "much").await;
        page.shows("no amount of money").await;
        page.type_into("One line fewer is worth", "1.50").await;
        app.tab_to("Download CSV").await;
        browser.resize(PHONE).await;
        assert!(!browser.overflows().await, "the basket at 390 px");
        let file = browser.print("basket").await;
        let bytes = std::fs::read(file).unwrap_or_default();
        assert!(bytes.starts_with(b"%PDF-") && bytes.len() > 8_000);
        app.stage("buy").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn at_the_swap_meet_a_line_is_judged_at_once_without_a_network() {
    run(async |browser| {
        browser.resize(PHONE).await;
        let app = basket(browser).await;
        let page = &app.page;
        browser.kept_for_offline_use().await;
        app.saved().await;
        browser.go_offline();
        browser.open_at("#/swap-meet").await;
        page.data("screen", "swap-meet").await;
        page.shows("3 open needs").await;
        page.type_into("On the table", ".047 630 film, 10 for 1.00").await;
        page.shows("Serves 2 needs").await;
        page.shows("Buy 10 (10 for $1.00): $1.00: 2 needed, 8 spare.").await;
        page.shows("Saves $0.70 against the price list.").await;
        // The place across the line is refused, with its reason.
        page.shows("it carries no safety class").await;
        page.type_into("On the table", ".05 600 paper NOS").await;
        page.shows("Serves no open need").await;
        page.shows("Test first.").await;
        page.type_into("On the table", "").await;
        page.click(Role::Button, "0.047 µF").await;
        page.click(Role::Button, "630V").await;
        page.click(Role::Button, "film").await;
        page.shows("Serves 2 needs").await;
        assert!(!browser.overflows().await, "the swap meet at 390 px");
        browser.assert_accessible().await;
        page.click(Role::Button, "Bought 2 x 0.047 µF 630 V film").await;
        page.shows("Serves no open need").await;
        page.click(Role::Link, "Stock").await;
        page.data("screen", "stock").await;
        page.shows("1 line, 2 pieces, 2 of them reserved").await;
        assert!(!browser.overflows().await, "stock at 390 px");
        browser.assert_accessible().await;
    });
}

#[test]
fn drawers_are_filled_by_paste_counted_by_tap_and_reserved() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write(SHEET).await;
        app.bench().await;
        let page = &app.page;
        page.click(Role::Link, "Stock What lies in the drawers, and what it is reserved for.")
            .await;
        page.data("screen", "stock").await;
        put(browser, "stock-text", "5 x .047 630V film\n2 x 8/450 electrolytic NOS").await;
        page.click(Role::Button, "Put in").await;
        page.shows("2 lines, 7 pieces").await;
        page.shows("Test first.").await;
        page.click(Role::Button, "One more: .047 630V film").await;
        page.shows("2 lines, 8 pieces").await;
        page.click(Role::Button, "Reserve: .047 630V film").await;
        page.shows("2 lines, 8 pieces, 2 of them reserved").await;
        page.click(Role::Button, "Undo").await;
        page.shows("2 lines, 8 pieces").await;
        page.click(Role::Button, "Remove: 8/450 electrolytic NOS").await;
        page.shows("1 line, 6 pieces").await;
        app.saved().await;
        browser.reload().await;
        page.shows("1 line, 6 pieces").await;
        browser.assert_clean_console().await;
    });
}
