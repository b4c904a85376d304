//! Sealed: nothing goes out, and nothing that comes in ever runs.

use firstglow_browser_tests::{App, Browser, Look, Role, STAGES, run};

const HOSTILE: &str = "<img src=x onerror=window.hit=1>\"><script>window.hit=1</script>\
    <svg onload=window.hit=1>javascript:window.hit=1'\"{{1}}${1}";

/// Fails when something that came in became more than text.
async fn assert_only_text(browser: &Browser, at: &str) {
    assert_eq!(browser.js("return window.hit ?? 0").await, 0, "{at}");
    let made = "return [...document.querySelectorAll('body img, body script, body iframe')]
                .map((e) => e.outerHTML)";
    assert_eq!(browser.js(made).await, serde_json::json!([]), "{at}");
    let handlers = "return [...document.querySelectorAll('*')].filter((e) =>
                    [...e.attributes].some((a) => a.name.startsWith('on')
                      || (a.name === 'href' && a.value.startsWith('javascript:')))).length";
    assert_eq!(browser.js(handlers).await, 0, "{at}");
}

/// Writes into every field on the page, and leaves each.
async fn fill_every_field(browser: &Browser) -> u64 {
    let filled = browser
        .js_with(
            "const text = arguments[0];
             for (const fold of document.querySelectorAll('details')) fold.open = true;
             const fields = [...document.querySelectorAll('main textarea:not([readonly]), main input')]
               .filter((field) => ['text', 'textarea', 'search'].includes(field.type));
             for (const field of fields) {
               if (field.id === 'sheet-text') continue;
               field.focus();
               field.value = text;
               field.dispatchEvent(new InputEvent('input', { bubbles: true }));
               field.dispatchEvent(new Event('change', { bubbles: true }));
               field.blur();
             }
             return fields.length",
            vec![HOSTILE.into()],
        )
        .await;
    filled.as_u64().expect("a number of fields")
}

#[test]
fn hostile_text_in_every_field_stays_text_on_screen_and_on_paper() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        let sheet = app_sheet(&app).await;
        let words = HOSTILE.replace('\n', " ");
        app.write(&format!(
            "{sheet}\nset {words}\nC90 .05 400 V {words}  # {words}\nC91 .1 {words} to {words}\n\
             area {words}: C90 C91\nwire {words} to {words}\nV90 {words} 1={words}\n"
        ))
        .await;
        app.saved().await;
        let mut filled = 0;
        let mut addresses: Vec<String> = STAGES.iter().map(|s| format!("#/set/1/{s}")).collect();
        for view in ["plan/voltages", "plan/supply", "set/carry", "buy/carry"] {
            addresses.push(format!("#/set/1/{view}"));
        }
        addresses.extend(["#/take".to_owned(), "#/".to_owned()]);
        for address in &addresses {
            browser.open_at(address).await;
            filled += fill_every_field(browser).await;
            assert_only_text(browser, address).await;
            browser.look(Look { paper: true, ..Look::default() }).await;
            assert_only_text(browser, address).await;
            browser.look(Look::default()).await;
        }
        assert!(filled > 40, "only {filled} fields were filled");
        // The table edits the same lines cell by cell.
        browser.open_at("#/set/1/parts").await;
        browser.js("document.querySelectorAll('[name=parts-view]')[1].click()").await;
        app.page.role(Role::Table, "Parts list, one line a row").await;
        assert!(fill_every_field(browser).await > 100);
        assert_only_text(browser, "the table").await;
        for address in &addresses {
            browser.open_at(address).await;
            assert_only_text(browser, address).await;
        }
    });
}

async fn app_sheet(app: &App<'_>) -> String {
    app.stage("parts").await;
    app.sheet().await
}

#[test]
fn hostile_names_in_a_file_stay_text() {
    run(async |browser| {
        let app = App::open(browser).await;
        let mut sets = Vec::new();
        for (id, created) in [(1, 5), (2, 6)] {
            sets.push(serde_json::json!({
                "id": id, "created": created, "changed": 7, "text": format!("set {HOSTILE}\nC{id} .05 400 V"),
                "notes": HOSTILE,
                "parts": { HOSTILE: { "note": HOSTILE, "readings": { HOSTILE: HOSTILE } },
                           "C1": { "measured": HOSTILE, "readings": { HOSTILE: HOSTILE } } },
                "steps": { HOSTILE: { "readings": { HOSTILE: HOSTILE } } },
            }));
        }
        let file = |sets: &[serde_json::Value]| {
            serde_json::json!({ "type": "firstglow-bench", "version": 1, "data": { "sets": sets,
                "lists": [{ "id": 9, "name": HOSTILE, "groups": [{ "title": HOSTILE, "class": HOSTILE,
                  "lines": [{ "pieces": 1, "value": HOSTILE, "parts": HOSTILE }] }] }] } })
            .to_string()
        };
        app.drop_file("hostile.json", file(&sets).as_bytes()).await;
        app.page.shows("2 sets came in").await;
        assert_only_text(browser, "the bench").await;
        for stage in STAGES {
            browser.open_at(&format!("#/set/1/{stage}")).await;
            assert_only_text(browser, stage).await;
        }
        // What differs is shown side by side.
        sets[0]["notes"] = "<img src=y onerror=window.hit=2>".into();
        sets[0]["text"] = "set <b>x</b>\nC1 <img src=z onerror=window.hit=3>".into();
        app.drop_file("again.json", file(&sets).as_bytes()).await;
        app.page.data("screen", "take").await;
        app.page.data("table", "merge").await;
        assert_only_text(browser, "what differs").await;
        app.page.click(Role::Button, "Merge as chosen").await;
        browser.open_at("#/").await;
        assert_only_text(browser, "the bench again").await;
    });
}

#[test]
fn no_request_goes_anywhere_once_the_files_are_loaded() {
    run(async |browser| {
        let app = App::open(browser).await;
        browser.kept_for_offline_use().await;
        let mut loaded = browser.requests().await;
        // A picture of the driver's own.
        loaded.retain(|address| !address.starts_with("data:"));
        assert!(loaded.len() >= 5, "{loaded:?}");
        assert!(loaded.iter().all(|address| address.starts_with(browser.origin())), "{loaded:?}");

        app.begin("table-set").await;
        app.write("set Sealed\nmains 117 V\nC1 .05 400 V paper line to B-\nR1 470K\n").await;
        for stage in STAGES {
            app.stage(stage).await;
        }
        for view in ["plan/voltages", "plan/supply", "set/carry", "buy/carry"] {
            browser
                .js_with("location.hash = arguments[0]", vec![format!("#/set/1/{view}").into()])
                .await;
            app.page.data("screen", view.split('/').next().unwrap_or_default()).await;
        }
        app.bench().await;
        app.page.click(Role::Button, "Export everything").await;
        app.page.shows("holds the whole bench").await;
        app.drop_file("list.csv", b"Ref,Value\nC7,.05\n").await;
        app.saved().await;
        let mut asked = browser.requests().await;
        // The file that was exported lies in the page itself.
        asked.retain(|address| !address.starts_with("blob:"));
        assert_eq!(asked, Vec::<String>::new());
        browser.assert_clean_console().await;
    });
}

#[test]
fn the_policy_lets_no_script_in_and_nothing_out() {
    run(async |browser| {
        browser.open().await;
        let inline = "const made = document.createElement('script');
                      made.textContent = 'window.hit = 1';
                      document.body.append(made);
                      return window.hit ?? 0";
        assert_eq!(browser.js(inline).await, 0);
        let page = browser.js("return document.documentElement.outerHTML").await;
        let page = page.as_str().expect("a page is text");
        let shipped = page.split("<script").skip(1).filter(|rest| !rest.contains("window.hit"));
        for script in shipped {
            assert!(script.contains("src=\""), "an inline script: {script}");
        }
        let refused = browser
            .js_promise("fetch('https://example.org/').then(() => 'went out', () => 'refused')")
            .await;
        assert_eq!(refused, "refused");
        let violated = browser
            .js_promise(
                "new Promise((done) => {
                   document.addEventListener('securitypolicyviolation',
                     (e) => done(e.effectiveDirective), { once: true });
                   const picture = document.createElement('img');
                   picture.src = 'https://example.org/x.png';
                   document.body.append(picture);
                 })",
            )
            .await;
        assert_eq!(violated, "img-src");
    });
}
