//! Photos: real image files, marks, three hundred of them, a full storage, and
//! out to a file and into another browser with nothing lost.

use std::fs;
use std::path::PathBuf;

use firstglow_browser_tests::{App, Browser, DESKTOP, Key, Kind, PHONE, Role, Seat, run, until};
use serde_json::{Value, json};

const SHEET: &str = "set Photographed set\nC1 .05 mfd 400 V paper V2.6 to B1\n\
    R1 470K B1 to chassis\narea band switch: C1 off: two knobs\n";

/// A PNG without compression: every byte of it is written here.
fn png(width: u32, height: u32) -> Vec<u8> {
    let mut raw = Vec::new();
    for y in 0..height {
        raw.push(0);
        for x in 0..width {
            raw.extend(
                [x * 255 / width, y * 255 / height, x ^ y].map(|shade| shade.to_le_bytes()[0]),
            );
        }
    }
    let mut data = vec![0x78, 0x01];
    let mut pieces = raw.chunks(65_535).peekable();
    while let Some(piece) = pieces.next() {
        data.push(u8::from(pieces.peek().is_none()));
        let length = u16::try_from(piece.len()).expect("a chunk fits");
        data.extend(length.to_le_bytes());
        data.extend((!length).to_le_bytes());
        data.extend(piece);
    }
    let (a, b) = raw.iter().fold((1_u32, 0_u32), |(a, b), byte| {
        let a = (a + u32::from(*byte)) % 65_521;
        (a, (b + a) % 65_521)
    });
    data.extend((b << 16 | a).to_be_bytes());
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut head = Vec::new();
    head.extend(width.to_be_bytes());
    head.extend(height.to_be_bytes());
    head.extend([8, 2, 0, 0, 0]);
    for (kind, content) in [(b"IHDR", &head), (b"IDAT", &data), (b"IEND", &Vec::new())] {
        file.extend(u32::try_from(content.len()).expect("a small picture").to_be_bytes());
        let body = [&kind[..], content].concat();
        file.extend(&body);
        file.extend(crc(&body).to_be_bytes());
    }
    file
}

fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(
            crc ^ u32::from(*byte),
            |c, _| if c & 1 == 1 { c >> 1 ^ 0xedb8_8320 } else { c >> 1 },
        )
    })
}

fn on_disk(name: &str, bytes: &[u8]) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("firstglow-photos-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder for pictures");
    let file = folder.join(name);
    fs::write(&file, bytes).expect("a picture on disk");
    file
}

async fn photos(browser: &Browser) -> App<'_> {
    let app = App::open(browser).await;
    app.begin("blank").await;
    app.write(SHEET).await;
    app.view_of_fit("Photos", "photos").await;
    app
}

async fn choose(app: &App<'_>, file: &std::path::Path) {
    let picker = app.page.data("file", "Choose pictures").await;
    picker.send_keys(file.to_str().expect("a plain path")).await.expect("the picker takes a path");
}

async fn saved_bytes(browser: &Browser) -> usize {
    browser.stored("firstglow/bench").await.map_or(0, |text| text.len())
}

#[test]
fn a_picture_is_scaled_bound_marked_and_found_again() {
    let file = on_disk("chassis.png", &png(2000, 1000));
    run(async |browser| {
        let app = photos(browser).await;
        let page = &app.page;
        page.choose("Photos of", "C1").await;
        choose(&app, &file).await;
        page.shows("1 photo taken in").await;
        page.data("picture", "here").await;
        let size = "const i = document.querySelector('[data-picture] img');
            return i.complete ? [i.naturalWidth, i.naturalHeight] : null";
        until("the picture at its kept size", async || {
            (browser.js(size).await == json!([1600, 800])).then_some(())
        })
        .await;

        page.click(Role::Button, "Mark V2.6").await;
        assert_eq!(page.value("Mark 1").await, "V2.6");
        app.tab_to("Mark 1: V2.6. Arrow keys move it.").await;
        page.press(Key::Right.to_string() + &Key::Right.to_string() + &Key::Up.to_string()).await;
        // A press on the picture sets the next one there.
        browser
            .js("const i = document.querySelector('[data-picture] img');
                 i.scrollIntoView({ block: 'center' });
                 const b = i.getBoundingClientRect();
                 i.dispatchEvent(new MouseEvent('click', { bubbles: true,
                   clientX: b.left + b.width * .25, clientY: b.top + b.height * .75 }))")
            .await;
        page.type_into("Mark 2", "ground lug").await;
        page.type_into("What it shows", "under the band switch").await;
        app.saved().await;
        browser.assert_accessible().await;
        browser.screenshot_full("photos").await;
        assert!(saved_bytes(browser).await < 4000, "the picture is not in the document");

        browser.reload().await;
        page.data("picture", "here").await;
        let saved = browser.stored("firstglow/bench").await.expect("a saved bench");
        let saved: Value = serde_json::from_str(&saved).expect("a document");
        let photo = &saved["data"]["sets"][0]["photos"][0];
        assert_eq!(photo["about"], "part/C1");
        assert_eq!(
            (&photo["marks"][0]["x"], &photo["marks"][0]["y"]),
            (&json!(5200), &json!(4900))
        );
        let (x, y) = (photo["marks"][1]["x"].as_i64(), photo["marks"][1]["y"].as_i64());
        let near = |found: Option<i64>, wanted: i64| (found.unwrap_or(0) - wanted).abs() < 100;
        assert!(near(x, 2500) && near(y, 7500), "{photo}");
        assert_eq!(page.value("Mark 2").await, "ground lug");
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_set_goes_out_with_its_photos_and_comes_into_a_fresh_browser_to_the_byte() {
    let mut archive = Vec::new();
    let mut pictures = Vec::new();
    run(async |browser| {
        let app = photos(browser).await;
        browser.give_pictures(3, 800, false).await;
        app.page.shows("3 photos taken in").await;
        app.page.shows("Storage:").await;
        pictures = browser.pictures().await;
        app.saved().await;
        app.stage("record").await;
        app.page.click(Role::Button, "Export this set").await;
        app.page.shows("holds it with its photos").await;
        let name = name_of_export(browser, &app).await;
        archive = browser.downloaded(&name).await;
    });
    assert!(archive.starts_with(b"PK"));
    assert_eq!(pictures.len(), 3);
    run(async |browser| {
        let app = App::open(browser).await;
        app.drop_file("set.zip", &archive).await;
        app.page.shows("Photographed set").await;
        assert_eq!(browser.pictures().await, pictures);
        app.view_of_fit("Photos", "photos").await;
        until("all three pictures", async || {
            let states = app.page.all_data("picture").await;
            (states == ["here", "here", "here"]).then_some(())
        })
        .await;
        app.saved().await;
        app.stage("record").await;
        app.page.click(Role::Button, "Export this set").await;
        let name = name_of_export(browser, &app).await;
        assert_eq!(browser.downloaded(&name).await, archive, "out again to the byte");
        // The same file again adds nothing; a cut one changes nothing.
        app.bench().await;
        app.drop_file("set.zip", &archive).await;
        app.page.shows("already here").await;
        app.drop_file("cut.zip", &archive[..archive.len() / 2]).await;
        app.page.shows("Nothing changed").await;
        assert_eq!(app.page.all_data("set").await.len(), 1);
        // A damaged picture is told, and the rest comes in.
        let mut damaged = archive.clone();
        let at = damaged.windows(2).position(|w| w == b"\xff\xd8").expect("a JPEG") + 200;
        damaged[at] ^= 0xff;
        app.page.click(Role::Button, "Delete: Photographed set").await;
        app.page.click(Role::Button, "Deleted (1)").await;
        app.page.click(Role::Button, "Delete for good: Photographed set").await;
        until("no picture", async || browser.pictures().await.is_empty().then_some(())).await;
        app.drop_file("damaged.zip", &damaged).await;
        app.page.shows("1 of its photos were damaged or missing").await;
        assert_eq!(browser.pictures().await.len(), 2);
    });
}

/// The name of the file that the page said it handed over.
async fn name_of_export(browser: &Browser, app: &App<'_>) -> String {
    app.page.shows("holds it with its photos").await;
    let said =
        browser.js("return document.body.innerText.match(/firstglow-[\\w-]+\\.zip/)[0]").await;
    said.as_str().expect("a name").to_owned()
}

#[test]
fn three_hundred_photos_are_kept_and_stay_quick() {
    run(async |browser| {
        let app = photos(browser).await;
        let start = std::time::Instant::now();
        browser.give_pictures(300, 1000, false).await;
        let taken = "300 photos taken in";
        for _ in 0..6 {
            // Longer than one wait of the harness.
            if app.page.text().await.contains(taken) {
                break;
            }
            a_while(browser).await;
        }
        app.page.shows(taken).await;
        let taken_in = start.elapsed();
        assert_eq!(browser.pictures().await.len(), 300);
        app.saved().await;
        let document = saved_bytes(browser).await;
        assert!(document < 100_000, "{document} bytes beside the pictures");
        assert_eq!(app.page.all_data("picture").await.len(), 24);
        app.page.click(Role::Button, "Show more photos").await;
        until("48 photos", async || (app.page.all_data("picture").await.len() == 48).then_some(()))
            .await;
        let start = std::time::Instant::now();
        browser.reload().await;
        app.page.role(Role::Button, "Show more photos").await;
        let reopened = start.elapsed();
        println!(
            "300 photos: taken in {taken_in:?}, document {document} bytes, reopened {reopened:?}"
        );
        browser.assert_clean_console().await;
    });
}

async fn a_while(browser: &Browser) {
    browser.js_promise("new Promise((done) => setTimeout(done, 8000))").await;
}

#[test]
fn a_full_storage_loses_nothing_and_says_so() {
    let seat = Seat::new(Kind::Chromium);
    seat.run(async |browser| {
        photos(browser).await.saved().await;
        browser.kept_for_offline_use().await;
    });
    seat.run(async |browser| {
        let quota = async |bytes: u64| {
            let origin = browser.origin().trim_end_matches('/');
            let limit = json!({ "origin": origin, "quotaSize": bytes });
            browser.devtools("Storage.overrideQuotaForOrigin", limit).await;
        };
        // The site itself takes part of it; one large picture finds room, not
        // four. Set before the app opens its databases: the browser remembers
        // for a while what room it found.
        browser.goto(&format!("{}icon.svg", browser.origin())).await;
        let used = browser.js_promise("navigator.storage.estimate().then((e) => e.usage)").await;
        quota(used.as_u64().expect("bytes") + 700_000).await;
        let app = App::on(browser, browser.open_at("#/set/1/fit").await);
        app.view_of_fit("Photos", "photos").await;
        browser.give_pictures(1, 400, false).await;
        app.page.shows("1 photo taken in").await;
        let before = browser.pictures().await;
        browser.give_pictures(4, 1600, true).await;
        app.page.shows("storage is full").await;
        app.page.shows("nothing else was lost").await;
        let now = browser.pictures().await;
        assert!(before.iter().all(|p| now.contains(p)), "what was kept is kept");
        assert_eq!(app.page.all_data("picture").await.len(), now.len(), "none without its picture");
        // Everything else still works and is saved.
        app.write(&format!("{SHEET}R2 1 meg B1 to chassis\n")).await;
        app.saved().await;
        quota(1_000_000_000).await;
        app.view_of_fit("Photos", "photos").await;
        browser.give_pictures(4, 1600, true).await;
        app.page.shows("4 photos taken in").await;
        browser.reload().await;
        until("all pictures", async || {
            let states = app.page.all_data("picture").await;
            (states.len() == now.len() + 4 && states.iter().all(|s| s == "here")).then_some(())
        })
        .await;
    });
}

#[test]
fn what_is_no_picture_is_refused_and_stops_nothing_else() {
    let file = on_disk("letter.txt", b"no picture");
    run(async |browser| {
        browser.resize(PHONE).await;
        let app = photos(browser).await;
        choose(&app, &file).await;
        app.page.shows("letter.txt: it is no picture that this browser can read").await;
        browser.give_pictures(1, 400, false).await;
        app.page.shows("1 photo taken in").await;
        app.page.data("picture", "here").await;
        assert!(!browser.overflows().await);
        browser.screenshot_full("photos-phone").await;
        // The path of stages lies over the last rows of a phone.
        browser.resize(DESKTOP).await;
        app.page.click(Role::Button, "Ask the browser to keep it").await;
        until("the browser's answer", async || {
            let text = app.page.text().await;
            (text.contains("will keep everything") || text.contains("did not agree")).then_some(())
        })
        .await;
        app.page.click(Role::Button, "Delete").await;
        app.page.click(Role::Button, "Really delete").await;
        until("an empty database", async || browser.pictures().await.is_empty().then_some(()))
            .await;
    });
}
