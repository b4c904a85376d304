//! Sites that are not as they were built: newer versions, damaged copies.

use std::fs;
use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use sha2::{Digest, Sha256};

/// Makes a copy of the site another version, whole in itself: its title is
/// another one, and so is its icon.
pub fn publish_as(site: &Path, title: &str) {
    let before = page(site);
    let built = between(&before, " data-built=\"", "\"").to_owned();
    let tag = format!("<title>{title}</title>");
    let after = replaced(&before, "<title>Firstglow</title>", &tag);
    let bare = replaced(&after, &format!(" data-built=\"{built}\""), "");
    let after = replaced(&after, &built, &integrity(&packed(&bare)));
    fs::write(site.join("index.html"), &after).expect("the copy is writable");

    let icon = fs::read_to_string(site.join("icon.svg")).expect("the site has an icon");
    let newer = format!("{icon}<!-- {title} -->\n");
    fs::write(site.join("icon.svg"), &newer).expect("the copy is writable");

    let worker = fs::read_to_string(site.join("sw.js")).expect("the site has a worker");
    let (before, after) = (Value::from(before).to_string(), Value::from(after).to_string());
    let worker = replaced(&worker, &before, &after);
    let worker = replaced(&worker, &sha256(icon.as_bytes()), &sha256(newer.as_bytes()));
    let worker = replaced(&worker, "const VERSION = '", "const VERSION = 'other-");
    fs::write(site.join("sw.js"), worker).expect("the copy is writable");
}

/// The names of the files that the app is made of, but for the page and the
/// worker.
pub fn parts(site: &Path) -> Vec<String> {
    let files = fs::read_dir(site).expect("the site is readable").flatten();
    let names = files.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let others = ["index.html", "sw.js", "firstglow.html"];
    let mut names: Vec<String> = names.filter(|name| !others.contains(&name.as_str())).collect();
    names.sort();
    names
}

/// The one file whose name begins and ends so.
pub fn part(site: &Path, start: &str, end: &str) -> String {
    let mut found = parts(site);
    found.retain(|name| name.starts_with(start) && name.ends_with(end));
    assert_eq!(found.len(), 1, "{start}…{end}: {found:?}");
    found.remove(0)
}

/// The start page.
pub fn page(site: &Path) -> String {
    fs::read_to_string(site.join("index.html")).expect("the site has a start page")
}

/// The digest by which a file is known, in base64.
pub fn sha256(content: &[u8]) -> String {
    STANDARD.encode(Sha256::digest(content))
}

fn integrity(text: &str) -> String {
    format!("sha256-{}", sha256(text.as_bytes()))
}

/// A page as its digest is taken: from its first tag on, without spaces and
/// empty values.
fn packed(page: &str) -> String {
    let (_, page) = page.split_once("<html").expect("a page has a first tag");
    let text: String = format!("<html{page}").split_whitespace().collect();
    text.replace("=\"\"", "")
}

fn between<'t>(text: &'t str, start: &str, end: &str) -> &'t str {
    let (_, rest) = text.split_once(start).expect("the text holds it");
    rest.split_once(end).expect("and its end").0
}

fn replaced(text: &str, from: &str, to: &str) -> String {
    assert_eq!(text.matches(from).count(), 1, "once: {from}");
    text.replace(from, to)
}
