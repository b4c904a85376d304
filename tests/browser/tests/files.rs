//! What comes in as files: lists, tables, benches, and what is none of these.

use firstglow_browser_tests::{App, Role, SHEET, run};

#[test]
fn lists_tables_and_benches_come_in() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        app.drop_file("list.txt", b"set Dropped set\nC1 .05 mfd 400 V paper\n").await;
        page.shows("Dropped set").await;
        page.shows("1 part").await;
        app.bench().await;
        app.drop_file(
            "list.csv",
            b"Ref,Value (uF),Volts,Type\nC7,.05,400,paper\nC8,.1,200,paper\n",
        )
        .await;
        page.shows("2 parts").await;
        assert!(app.sheet().await.contains("C8  .1 uf 200 V paper"));
        app.bench().await;
        let bench = br#"{"type":"firstglow-bench","version":1,"app":"0.1.0","data":{"sets":[
            {"id":1,"text":"set From a file\nC3 .1 mfd 200 V paper","created":0,"changed":0}]}}"#;
        app.drop_file("bench.json", bench).await;
        page.shows("From a file").await;
        app.bench().await;
        app.drop_file("bench.json", bench).await;
        page.shows("already here").await;
        assert_eq!(page.all_data("set").await.len(), 3);
        browser.assert_clean_console().await;
    });
}

#[test]
fn a_spreadsheet_is_pasted_into_the_text_and_into_the_table() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        app.begin("blank").await;
        app.write("R1 470K\n").await;
        page.field(SHEET).await.click().await.expect("the text takes the focus");
        assert!(!app.paste("plain words").await, "plain text is left to the browser");
        assert!(app.paste("Ref\tValue (uF)\tVolts\tType\nC7\t.05\t400\tpaper\n").await);
        assert!(app.sheet().await.contains("C7  .05 uf 400 V paper"), "{}", app.sheet().await);
        page.shows("2 parts").await;
        page.click(Role::Radio, "Table").await;
        let cell = page.field("Value, line 1").await;
        cell.click().await.expect("a cell takes the focus");
        assert!(app.paste("C8\t.1 mfd\t200 V\nC9\t.02 mfd\t600 V\n").await);
        page.shows("4 parts").await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn the_file_picker_takes_a_list() {
    run(async |browser| {
        let app = App::open(browser).await;
        let folder = std::env::temp_dir().join(format!("firstglow-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder for the list");
        let file = folder.join("picked.csv");
        std::fs::write(&file, "Part;Value;Rating\nC1;8 mfd;450 V\n").expect("a list on disk");
        let picker = app.page.data("file", "Import a file").await;
        let path = file.to_str().expect("a path in plain letters");
        picker.send_keys(path).await.expect("the picker takes a path");
        app.page.shows("1 part").await;
        assert!(app.sheet().await.contains("C1  8 mfd 450 V"));
        std::fs::remove_dir_all(&folder).expect("the folder goes again");
    });
}

#[test]
fn what_is_no_list_is_refused_with_a_reason_and_changes_nothing() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        for (name, bytes, message) in [
            ("photo.png", &b"\x89PNG\x00\x01\x02\xff\xfe"[..], "is no text file"),
            ("empty.txt", b"", "is empty"),
            ("other.json", b"{\"a\": 1}", "does not say that it is one"),
            ("cut.json", b"{\"type\": \"firstglow-bench\", \"ver", "damaged near line 1"),
            (
                "new.json",
                br#"{"type":"firstglow-bench","version":99,"data":{}}"#,
                "newer Firstglow",
            ),
        ] {
            app.drop_file(name, bytes).await;
            page.shows(message).await;
        }
        assert_eq!(page.all_data("set").await.len(), 0);
    });
}

#[test]
fn huge_sheets_keep_the_page_alive() {
    run(async |browser| {
        let app = App::open(browser).await;
        let page = &app.page;
        app.begin("blank").await;
        app.write("C1 .05 mfd 400 V paper\n").await;
        let five_megabytes = "C1 .05 400 V paper\n".repeat(270_000);
        app.write(&five_megabytes).await;
        page.shows("1,000,000 characters").await;
        assert_eq!(app.sheet().await, "C1 .05 mfd 400 V paper\n");
        let lines: Vec<String> = (1..=10_000).map(|n| format!("R{n} 470K 1/2 W")).collect();
        app.write(&lines.join("\n")).await;
        page.shows("10000 parts").await;
        app.stage("plan").await;
        page.role(Role::Button, "R1: reasons").await;
        page.type_into("Go to part", "R9999").await;
        page.click(Role::Button, "Go").await;
        page.role(Role::Button, "R9999: reasons").await;
        app.saved().await;
        browser.assert_clean_console().await;
    });
}

#[test]
fn hostile_text_never_becomes_markup() {
    run(async |browser| {
        let app = App::open(browser).await;
        app.begin("blank").await;
        let hostile = "set <img src=x onerror=window.hit=1>\nC1 .05 <script>window.hit=1</script>\n\
            C2 .1 \"><svg onload=window.hit=1>\narea <b>x</b>: C1 C2\n";
        app.write(hostile).await;
        for stage in firstglow_browser_tests::STAGES {
            app.stage(stage).await;
        }
        assert_eq!(browser.js("return window.hit ?? 0").await, 0);
        assert_eq!(
            browser
                .js("return document.querySelectorAll('main img, main script, main b > x').length")
                .await,
            0
        );
    });
}
