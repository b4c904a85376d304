//! A link or code of any text is refused or gives a piece that is cut the same
//! again; pieces of any bytes never make a whole that was not cut.
#![no_main]

use firstglow::store::envelope;
use firstglow::store::parcel::{Series, pieces, read, text};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    // As text from outside: whatever it is, it is one piece or none.
    if let Ok(piece) = text::payload(&String::from_utf8_lossy(bytes)) {
        assert_eq!(text::payload(&text::link("", &piece)).as_ref(), Ok(&piece));
        let (letters, digits) = text::code("", &piece);
        assert_eq!(text::payload(&(letters + &digits)).as_ref(), Ok(&piece));
        drop(read(&piece));
    }
    // As the bytes of a piece that a reader handed over.
    let mut series = Series::default();
    drop(series.add(bytes));
    drop(series.whole());
    // As what is carried: it comes out as it went in, in any order.
    if let Ok(mut cut) = pieces(bytes, false, 40) {
        cut.reverse();
        let mut series = Series::default();
        for piece in &cut {
            series.add(piece).expect("a piece that was just cut");
        }
        assert_eq!(series.whole().expect("all are there").bytes, bytes);
    }
    // As the document inside.
    drop(envelope::read(&String::from_utf8_lossy(bytes)));
});
