//! A square code (ISO/IEC 18004) as one path of a drawing.

use qrcodegen::{QrCode, QrCodeEcc, QrSegment, Version};
use std::fmt::Write as _;

/// Empty modules on each side, as the standard asks.
pub const QUIET: i32 = 4;

/// A code, drawn in modules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// Modules from edge to edge, the quiet ones included.
    pub size: i32,
    /// The dark modules, as the path of a drawing.
    pub path: String,
}

/// The code of a text in letters and one in digits behind it; `None` where
/// they are more than a code holds. A seventh of it may be unreadable.
pub fn code(letters: &str, digits: &str) -> Option<Code> {
    let parts = [QrSegment::make_bytes(letters.as_bytes()), QrSegment::make_numeric(digits)];
    let level = QrCodeEcc::Medium;
    let (least, most) = (Version::MIN, Version::MAX);
    let code = QrCode::encode_segments_advanced(&parts, level, least, most, None, true).ok()?;
    Some(drawn(&code))
}

fn drawn(code: &QrCode) -> Code {
    let mut path = String::new();
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            let run = (x..code.size()).take_while(|x| code.get_module(*x, y)).count();
            let run = i32::try_from(run).unwrap_or(0);
            if run > 0 {
                // Writing to a String does not fail.
                let _ = write!(path, "M{} {}h{run}v1h-{run}z", x + QUIET, y + QUIET);
            }
            x += run.max(1);
        }
    }
    Code { size: code.size() + 2 * QUIET, path }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads a drawn code back with a reader of other people's making.
    fn read(code: &Code) -> String {
        let scale = 4;
        let side = usize::try_from(code.size).unwrap() * scale;
        let dark = dark(code);
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
            let at = (x / scale, y / scale);
            if dark.contains(&at) { 0 } else { 255 }
        });
        let grids = picture.detect_grids();
        assert_eq!(grids.len(), 1, "one code is seen");
        grids[0].decode().expect("the code is read").1
    }

    fn dark(code: &Code) -> std::collections::HashSet<(usize, usize)> {
        let runs = code.path.split('M').skip(1).flat_map(|run| {
            let (x, rest) = run.split_once(' ').expect("a place");
            let (y, rest) = rest.split_once('h').expect("a row");
            let (length, _) = rest.split_once('v').expect("a length");
            let [x, y, length] = [x, y, length].map(|n| n.parse::<usize>().expect("a number"));
            (x..x + length).map(move |x| (x, y))
        });
        runs.collect()
    }

    #[test]
    fn another_reader_reads_what_was_drawn() {
        for length in [0, 1, 17, 400, 1_500] {
            let digits: String = "3141592653".chars().cycle().take(length).collect();
            let letters = "https://example.org/#/take/d";
            assert_eq!(read(&code(letters, &digits).unwrap()), format!("{letters}{digits}"));
        }
    }

    #[test]
    fn the_worked_example_of_the_standard_has_its_size() {
        // ISO/IEC 18004, the example of encoding: 01234567 in version 1-M has
        // 21 modules a side; finders stand in three corners.
        let code = code("", "01234567").unwrap();
        assert_eq!(code.size, 21 + 2 * QUIET);
        let dark = dark(&code);
        for (x, y, is_dark) in
            [(4, 4, true), (5, 5, false), (6, 6, true), (24, 4, true), (24, 24, false)]
        {
            assert_eq!(dark.contains(&(x, y)), is_dark, "{x} {y}");
        }
    }

    #[test]
    fn more_than_a_code_holds_is_no_code() {
        assert!(code("", &"1".repeat(7_000)).is_none());
    }
}
