//! A sheet of any text is read, planned and drawn as rows, and reading never
//! loses a line.
#![no_main]

use firstglow::plan::plan;
use firstglow::sheet::rows::rows;
use firstglow::sheet::Sheet;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let sheet = Sheet::read(&text);
    let plan = plan(&sheet);
    assert_eq!(plan.parts.len(), sheet.parts.len());
    assert!(rows(&text).iter().all(|row| row.line >= 1));
});
