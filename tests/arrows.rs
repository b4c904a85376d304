//! Holds the arrows of the design: data flows one way, and only the screens
//! know the browser.

use std::fs;
use std::path::{Path, PathBuf};

/// Each folder of `src`, and the folders it may use besides itself.
const MAY_USE: [(&str, &[&str]); 9] = [
    ("trade", &[]),
    ("notation", &["trade"]),
    ("sheet", &["notation", "trade"]),
    ("circuit", &["sheet", "notation", "trade"]),
    ("plan", &["circuit", "sheet", "notation", "trade"]),
    ("buying", &["plan", "sheet", "notation", "trade"]),
    ("bench", &["buying", "plan", "circuit", "sheet", "notation", "trade"]),
    ("store", &["bench", "plan", "sheet", "notation", "trade"]),
    ("ui", &["store", "bench", "buying", "plan", "circuit", "sheet", "notation", "trade"]),
];

/// Crates that only the screens may name.
const BROWSER: [&str; 8] = [
    "leptos",
    "reactive_graph",
    "tachys",
    "web_sys",
    "js_sys",
    "wasm_bindgen",
    "gloo_storage",
    "gloo_timers",
];

/// What no domain folder may read: time, chance, the disk.
const WORLD: [&str; 4] = ["std::time", "std::fs", "std::env", "rand::"];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            all.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            all.push(path);
        }
    }
    all
}

/// The lines of a file that are code, not comments.
fn code(path: &Path) -> Vec<String> {
    let text = fs::read_to_string(path).expect("a source that can be read");
    text.lines().map(str::trim).filter(|l| !l.starts_with("//")).map(str::to_owned).collect()
}

/// The folders that a line of code names after `crate::`.
fn named(line: &str) -> Vec<String> {
    line.match_indices("crate::")
        .map(|(i, m)| {
            line[i + m.len()..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
        })
        .collect()
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn no_arrow_points_back() {
    let folders: Vec<&str> = MAY_USE.iter().map(|(f, _)| *f).collect();
    let mut read = 0;
    for (folder, may_use) in MAY_USE {
        for path in sources(&src().join(folder)) {
            read += 1;
            for name in code(&path).iter().flat_map(|l| named(l)) {
                let other = folders.contains(&name.as_str()) && name != folder;
                assert!(
                    !other || may_use.contains(&name.as_str()),
                    "{} uses {name}, which {folder} must not know",
                    path.display()
                );
            }
        }
    }
    assert!(read > 20, "only {read} sources were read");
}

#[test]
fn only_the_screens_know_the_browser() {
    for (folder, _) in MAY_USE.iter().filter(|(f, _)| *f != "ui") {
        for path in sources(&src().join(folder)) {
            for line in code(&path) {
                for name in BROWSER.iter().chain(&WORLD) {
                    assert!(!line.contains(name), "{} names {name}: {line}", path.display());
                }
            }
        }
    }
}

#[test]
fn every_folder_has_its_arrows() {
    let listed: Vec<&str> = MAY_USE.iter().map(|(f, _)| *f).collect();
    for entry in fs::read_dir(src()).unwrap().flatten() {
        let name = entry.file_name().into_string().unwrap();
        if entry.path().is_dir() {
            assert!(listed.contains(&name.as_str()), "src/{name} has no arrows in this test");
        }
    }
}
