//! From one device to another and back: codes, links, files, and what differs.

use firstglow::bench::Bench;
use firstglow::bench::stamp::Stamp;
use firstglow::store::envelope;
use firstglow::store::parcel::{pieces, text};
use firstglow_browser_tests::{App, Browser, KEY, PHONE, Role, run, until};
use serde_json::json;
use std::fmt::Write as _;

/// A second device: the same browser with nothing in it.
async fn other_device(browser: &Browser) {
    browser.goto(&format!("{}icon.svg", browser.origin())).await;
    browser.forget().await;
    // A picture alone has the browser ask for an icon that is not there.
    browser.console().await;
}

/// The texts of the codes on the page, read from what is drawn by a reader of
/// other people's making.
async fn codes(browser: &Browser) -> Vec<String> {
    let drawn = until("the codes", async || {
        let drawn = browser
            .js("return [...document.querySelectorAll('[data-code] svg')].map((svg) =>
                   [svg.viewBox.baseVal.width, svg.querySelector('path').getAttribute('d')])")
            .await;
        drawn.as_array().filter(|all| !all.is_empty()).cloned()
    })
    .await;
    drawn.iter().map(|code| read(&code[0], &code[1])).collect()
}

fn read(size: &serde_json::Value, path: &serde_json::Value) -> String {
    let side = size.as_f64().expect("a size").to_string().parse::<usize>().expect("a whole side");
    let mut dark = vec![false; side * side];
    for run in path.as_str().expect("a path").split('M').skip(1) {
        let numbers: Vec<usize> =
            run.split(['h', 'v', ' ']).filter_map(|number| number.parse().ok()).take(3).collect();
        let [x, y, length] = numbers[..] else { panic!("a run: {run}") };
        dark[y * side + x..y * side + x + length].fill(true);
    }
    let scale = 4;
    let mut picture =
        rqrr::PreparedImage::prepare_from_greyscale(side * scale, side * scale, |x, y| {
            if dark[y / scale * side + x / scale] { 0 } else { 255 }
        });
    let grids = picture.detect_grids();
    assert_eq!(grids.len(), 1, "one code is seen");
    grids[0].decode().expect("the code is read").1
}

/// A link as this version makes them.
fn link(document: &str) -> String {
    let piece = pieces(document.as_bytes(), false, 60_000).expect("it fits").remove(0);
    text::link("", &piece)
}

fn set(sheet: &str, created: u64) -> Bench {
    let mut bench = Bench::default();
    bench.add(sheet, Stamp(created));
    bench
}

#[test]
fn a_set_goes_by_link_and_comes_back_changed_on_both_sides() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        let sheet = "set Kitchen set\nC1 .05 400 V paper\nC2 .1 200 V paper\n";
        app.write(sheet).await;
        app.saved().await;
        app.stage("set").await;
        app.page.click(Role::Link, "To another device").await;
        let out = app.page.value("Link").await;
        app.saved().await;
        let laptop = browser.stored(KEY).await.expect("a bench is stored");
        let shared = browser.stored_keys().await;
        let shared = shared.into_iter().find(|k| k.starts_with("firstglow/bench/shared/"));
        let shared = shared.expect("what was sent is remembered");
        let remembered = browser.stored(&shared).await.expect("a state");

        // On the telephone a part is checked off and its reading noted.
        other_device(browser).await;
        browser.open_at(&out).await;
        app.page.shows("Kitchen set: a set of 3 lines").await;
        browser.assert_accessible().await;
        app.page.click(Role::Button, "Take it in").await;
        app.page.data("screen", "parts").await;
        assert_eq!(app.sheet().await, sheet);
        app.stage("fit").await;
        app.tab_to("Fit C1").await;
        app.page.press(" ").await;
        app.tab_to("New part measures").await;
        app.page.press("0.0471 uF").await;
        app.stage("set").await;
        app.page.click(Role::Link, "To another device").await;
        let back = app.page.value("Link").await;

        // On the laptop a line was taken out and another changed.
        other_device(browser).await;
        browser.store(KEY, &laptop).await;
        browser.store(&shared, &remembered).await;
        browser.open_at("#/set/1/parts").await;
        app.write("set Kitchen set\nC1 .05 600 V paper\n").await;
        app.saved().await;
        browser.open_at(&back).await;
        app.page.shows("Both devices changed it since they last had the same").await;
        let told = app.page.all_data("difference").await;
        for place in ["C1, Line of the sheet", "C2, Line of the sheet", "C1, Record"] {
            assert!(told.iter().any(|t| t == place), "{place}: {told:?}");
        }
        browser.assert_accessible().await;
        app.page.click(Role::Button, "Merge as chosen").await;
        app.saved().await;
        browser.open_at("#/set/1/parts").await;
        assert_eq!(app.sheet().await, "set Kitchen set\nC1 .05 600 V paper\n");
        app.stage("fit").await;
        app.page.shows("1 of 1").await;
        app.stage("record").await;
        app.page.shows("0.0471 uF").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn codes_carry_the_set_in_any_order_and_across_tabs() {
    run(async |browser| {
        browser.resize(PHONE).await;
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("parts").await;
        let sheet = app.sheet().await;
        app.stage("set").await;
        app.page.click(Role::Link, "To another device").await;
        let mut codes = codes(browser).await;
        assert!(codes.len() > 1, "{} code", codes.len());
        assert!(!browser.overflows().await);
        other_device(browser).await;
        codes.reverse();
        let (last, first) = codes.split_last().expect("there are some");
        for code in first {
            let rest = code.split_once('#').expect("an address").1;
            browser.open_at(&format!("#{rest}")).await;
            app.page.shows("Still to be read:").await;
        }
        app.page.shows("Still to be read: 1.").await;
        app.page.type_into("Link", last).await;
        app.page.click(Role::Button, "Take it in").await;
        app.page.data("screen", "parts").await;
        assert_eq!(app.sheet().await, sheet);
    });
}

#[test]
fn the_camera_reads_the_codes_where_the_browser_can() {
    run(async |browser| {
        let bench = envelope::write(&set("set Seen\nC1 .05 400 V\n", 5)).expect("it is written");
        let cut = pieces(bench.as_bytes(), false, 60).expect("it fits");
        let seen: Vec<String> =
            cut.iter().map(|piece| text::link("https://x.example/", piece)).collect();
        browser
            .devtools(
                "Page.addScriptToEvaluateOnNewDocument",
                json!({ "source": format!("
                    const codes = ['something else', ...{}];
                    window.BarcodeDetector = class {{
                      async detect() {{ return codes.splice(0, 2).map((rawValue) => ({{ rawValue }})); }}
                    }};
                    const canvas = document.createElement('canvas');
                    canvas.getContext('2d');
                    navigator.mediaDevices.getUserMedia = async () => {{
                      window.camera = canvas.captureStream();
                      return window.camera;
                    }};", json!(seen)) }),
            )
            .await;
        let page = browser.open_at("#/take").await;
        page.click(Role::Button, "Read codes with the camera").await;
        page.shows("Seen: a set of 2 lines").await;
        until("the camera to be switched off", async || {
            let off = "return window.camera.getTracks().every((t) => t.readyState === 'ended')";
            (browser.js(off).await == true).then_some(())
        })
        .await;
    });
}

#[test]
fn the_buying_list_alone_is_carried_and_ticked_off() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("table-set").await;
        app.stage("buy").await;
        app.page.click(Role::Link, "To another device").await;
        let link = app.page.value("Link").await;
        other_device(browser).await;
        browser.open_at(&link).await;
        app.page.shows("Buying lists carried here").await;
        app.page.shows("0 of").await;
        browser.assert_accessible().await;
        browser.js("document.querySelector('[data-list] input').click()").await;
        app.page.shows("1 of").await;
        app.saved().await;
        browser.reload().await;
        app.page.shows("1 of").await;
        browser.open_at(&link).await;
        app.page.shows("already here").await;
    });
}

#[test]
fn each_difference_is_chosen_by_itself() {
    run(async |browser| {
        let mut here = set("set A\nC1 .05 400 V\nC2 .1 200 V\n", 5);
        let id = here.sets[0].id;
        let mut there = here.clone();
        here.set_mut(id).expect("a set").part_mut("C1").measured = "0.047".into();
        there.set_mut(id).expect("a set").part_mut("C1").measured = "0.05".into();
        there
            .set_mut(id)
            .expect("a set")
            .part_mut("C2")
            .readings
            .insert("leakage".into(), "1 µA".into());
        there.set_mut(id).expect("a set").text = "set A\nC1 .05 600 V\nC2 .1 200 V\n".into();
        other_device(browser).await;
        browser.store(KEY, &envelope::write(&here).expect("it is written")).await;
        browser.open_at(&link(&envelope::write(&there).expect("it is written"))).await;
        let app = App::on(browser, browser.page());
        let row = app.page.data("difference", "C1, New part measures").await;
        app.page.within(row).shows("0.05").await;
        browser
            .js("document.querySelector('[data-difference^=\"C1, Line\"] td:last-child input').click()")
            .await;
        app.page.click(Role::Button, "Merge as chosen").await;
        app.saved().await;
        let stored = envelope::read(&browser.stored(KEY).await.expect("stored")).expect("readable");
        let merged = &stored.sets[0];
        assert_eq!(merged.text, "set A\nC1 .05 600 V\nC2 .1 200 V\n");
        assert_eq!(merged.part("C1").measured, "0.047");
        assert_eq!(merged.part("C2").readings["leakage"], "1 µA");
        let keys = browser.stored_keys().await;
        assert!(keys.iter().any(|k| k.starts_with("firstglow/bench/backup/")), "{keys:?}");
    });
}

#[test]
fn what_is_damaged_foreign_newer_or_oversize_is_refused_with_a_reason() {
    run(async |browser| {
        let document = envelope::write(&set("set A\nC1 .05\n", 5)).expect("it is written");
        let whole = link(&document);
        let mut damaged = whole.clone();
        damaged.replace_range(30..31, if &whole[30..31] == "A" { "B" } else { "A" });
        let newer = document.replace("\"version\":1", "\"version\":9");
        let large = format!("#/take/b{}", "A".repeat(250_000));
        // Thirty megabytes of one letter, packed small.
        browser.open_at("#/take").await;
        let packed = browser
            .js_promise(
                "new Response(new Blob([new Uint8Array(3e7).fill(97)]).stream()
                   .pipeThrough(new CompressionStream('deflate-raw'))).arrayBuffer()
                   .then((buffer) => [...new Uint8Array(buffer)])",
            )
            .await;
        let packed: Vec<u8> = serde_json::from_value(packed).expect("bytes");
        assert!(packed.len() < 60_000, "{} bytes", packed.len());
        let bomb = text::link("", &pieces(&packed, true, 60_000).expect("it fits")[0]);
        let unpacked = text::link("", &pieces(b"no stream", true, 60_000).expect("it fits")[0]);
        for (address, reason) in [
            (damaged.as_str(), "damaged"),
            (&whole[..whole.len() - 9], "damaged"),
            ("#/take/hello", "no link or code of Firstglow"),
            (&link("{\"type\":\"other\"}"), "does not say that it is one"),
            (&link(&newer), "newer Firstglow"),
            (&large, "too long"),
            (&bomb, "more than a set ever holds"),
            (&unpacked, "cannot be unpacked"),
        ] {
            browser.open_at(address).await;
            browser.page().data("refusal", "take").await;
            browser.page().shows(reason).await;
            assert!(browser.stored(KEY).await.is_none_or(|t| !t.contains("C1")), "{reason}");
        }
        browser.assert_accessible().await;
    });
}

#[test]
fn a_set_too_large_for_codes_says_so_and_goes_as_a_file() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        // What does not compress: numbers without a pattern.
        let mut seed = 1_u64;
        let mut lines = String::new();
        for n in 0..6_000 {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let _ = writeln!(lines, "R{n} {}  # {seed:x}", seed % 1_000_000);
        }
        app.write(&lines).await;
        app.saved().await;
        browser.open_at("#/set/1/set/carry").await;
        app.page.data("refusal", "codes").await;
        app.page.data("refusal", "link").await;
        app.page.shows("Carry it as a file instead").await;
        app.page.role(Role::Button, "Download the file").await;
    });
}

#[test]
fn the_share_sheet_is_given_a_file_that_comes_in_again() {
    run(async |browser| {
        browser
            .devtools(
                "Page.addScriptToEvaluateOnNewDocument",
                json!({ "source": "
                    navigator.canShare = ({ files }) => files.length === 1;
                    navigator.share = async ({ files }) => {
                      window.shared = { name: files[0].name, text: await files[0].text() };
                    };" }),
            )
            .await;
        let app = App::open(browser).await;
        app.begin("blank").await;
        app.write("set Shared\nC1 .05 400 V\n").await;
        app.saved().await;
        app.stage("set").await;
        app.page.click(Role::Link, "To another device").await;
        app.page.click(Role::Button, "Share the file").await;
        let shared = until("the file to be shared", async || {
            let shared = browser.js("return window.shared ?? null").await;
            shared.is_object().then_some(shared)
        })
        .await;
        let name = shared["name"].as_str().expect("a name");
        assert!(
            name.starts_with("firstglow-shared-")
                && name.rsplit_once('.').is_some_and(|(_, ending)| ending == "txt"),
            "{name}"
        );
        let text = shared["text"].as_str().expect("a text").to_owned();
        other_device(browser).await;
        let app = App::open(browser).await;
        app.drop_file(name, text.as_bytes()).await;
        app.page.shows("1 set came in").await;
        assert_eq!(app.sheet().await, "set Shared\nC1 .05 400 V\n");
    });
}
