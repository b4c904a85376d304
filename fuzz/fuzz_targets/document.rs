//! A saved document of any bytes is refused or read; what was read is written
//! and read back the same, and merges with an empty bench into itself.
#![no_main]

use firstglow::bench::Bench;
use firstglow::store::exchange::{Incoming, look};
use firstglow::store::{envelope, join};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(Incoming::Bench(bench)) = look(bytes, "bench.json") else { return };
    let text = envelope::write(&bench).expect("a bench that was read is written");
    assert_eq!(envelope::read(&text).as_ref(), Ok(&bench));
    let empty = Bench::default();
    assert_eq!(join::join(&empty, &empty, &bench).bench, bench);
    assert_eq!(join::join(&empty, &bench, &empty).bench, bench);
    assert_eq!(join::join(&bench, &bench, &bench).bench, bench);
});
