//! Measures what a first visit costs.

use std::fs;
use std::path::Path;

use brotli::enc::BrotliEncoderParams;

use crate::error::{Error, Result};
use crate::single_file::is_single_file;

const START: &str = "index.html";

/// The most bytes after brotli before the first screen can be used.
const FIRST: usize = 350_000;

/// The most bytes after brotli of all files that are kept for offline use.
const ALL: usize = 1_300_000;

/// A file of the site.
struct File {
    name: String,
    raw: usize,
    small: usize,
    /// Whether the start page asks for it.
    is_first: bool,
}

/// Prints the size of every file of the site, what comes before the first
/// screen ahead of the rest, and fails past a limit.
pub(crate) fn report(folder: &Path) -> Result<()> {
    let files = measure(folder)?;
    let (first, later): (Vec<&File>, Vec<&File>) = files.iter().partition(|file| file.is_first);
    println!("{:>10} {:>10}  file", "raw", "brotli");
    table(&first);
    let first = sum(&first, "before the first screen is usable", FIRST);
    table(&later);
    let all = sum(&files.iter().collect::<Vec<_>>(), "in all", ALL);
    first?;
    all
}

fn measure(folder: &Path) -> Result<Vec<File>> {
    let start = fs::read_to_string(folder.join(START)).map_err(|_| nothing_built(folder))?;
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(|_| nothing_built(folder))? {
        let path = entry.map_err(Error::reading(folder))?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if !is_single_file(&name) {
            let content = fs::read(&path).map_err(Error::reading(&path))?;
            let is_first = name == START || asks_for(&start, &name);
            let (raw, small) = (content.len(), compressed(&content));
            files.push(File { name, raw, small, is_first });
        }
    }
    files.sort_by(|one, other| one.name.cmp(&other.name));
    Ok(files)
}

/// Whether the start page has a script or a link of that name.
fn asks_for(start: &str, name: &str) -> bool {
    ["src", "href"].iter().any(|attribute| start.contains(&format!("{attribute}=\"{name}\"")))
}

fn table(files: &[&File]) {
    for File { name, raw, small, .. } in files {
        println!("{raw:>10} {small:>10}  {name}");
    }
}

fn sum(files: &[&File], what: &'static str, limit: usize) -> Result<()> {
    let raw: usize = files.iter().map(|file| file.raw).sum();
    let total: usize = files.iter().map(|file| file.small).sum();
    println!("{raw:>10} {total:>10}  {what}; {limit} allowed\n");
    if total > limit { Err(Error::TooBig { what, total, limit }) } else { Ok(()) }
}

fn nothing_built(folder: &Path) -> Error {
    Error::NothingBuilt { folder: folder.to_owned() }
}

fn compressed(content: &[u8]) -> usize {
    let mut small = Vec::new();
    let params = BrotliEncoderParams::default();
    match brotli::BrotliCompress(&mut &content[..], &mut small, &params) {
        Ok(length) => length,
        // Memory to memory it does not fail; if it did, the file would be sent raw.
        Err(_) => content.len(),
    }
}

#[cfg(test)]
mod tests {
    use super::{asks_for, compressed};

    #[test]
    fn the_first_download_is_what_the_start_page_names() {
        let start = r#"<link rel="preload" href="app-1.wasm"><script src="boot-1.js"></script>"#;
        assert!(asks_for(start, "app-1.wasm") && asks_for(start, "boot-1.js"));
        assert!(!asks_for(start, "workshop-1.wasm") && !asks_for(start, "boot"));
    }

    #[test]
    fn repetition_compresses_well() {
        assert!(compressed(&[b'a'; 10_000]) < 50);
    }
}
