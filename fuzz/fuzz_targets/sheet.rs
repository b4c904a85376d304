//! A sheet of any text is read and cut into rows, and no part of it is lost; a
//! short one is planned as well.
#![no_main]

use firstglow::plan::plan;
use firstglow::sheet::Sheet;
use firstglow::sheet::rows::rows;
use libfuzzer_sys::fuzz_target;

/// The longest sheet that is planned: a circuit takes far longer than reading.
const PLANNED: usize = 300;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let sheet = Sheet::read(&text);
    let lines = text.split('\n').count();
    assert!(sheet.parts.iter().all(|part| (1..=lines).contains(&part.line)));
    assert!(sheet.notes.iter().all(|note| (1..=lines).contains(&note.line)));
    assert!(rows(&text).iter().all(|row| (1..=lines).contains(&row.line)));
    if text.len() <= PLANNED {
        assert_eq!(plan(&sheet).parts.len(), sheet.parts.len());
    }
});
