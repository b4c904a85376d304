//! A file of any bytes, taken as a parts list or a table, becomes a sheet or is
//! refused with a reason.
#![no_main]

use firstglow::sheet::{Sheet, import};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    for name in ["list.csv", "list.tsv", "list.txt"] {
        match import::import(bytes, name) {
            Ok(list) => drop(Sheet::read(&list.text)),
            Err(why) => assert!(!why.to_string().is_empty()),
        }
    }
});
