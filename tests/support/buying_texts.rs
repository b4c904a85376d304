//! A bench of 200 needs and a list of 500 offers, as text: for timing.

use std::fmt::Write as _;

/// Capacitors as sets of the time have them: values, marks and roles in the
/// proportions of a shelf of table sets and consoles.
pub fn sheet(parts: usize) -> String {
    const KINDS: [&str; 20] = [
        ".05 400 V paper coupling",
        ".01 600 V paper coupling",
        ".02 400 V paper coupling",
        ".1 400 V paper screen bypass",
        ".05 200 V paper avc",
        ".1 200 V paper cathode rf bypass",
        ".25 400 V paper screen bypass",
        ".005 600 V paper tone",
        ".5 400 V paper supply bypass",
        ".002 600 V paper coupling",
        ".006 600 V paper tone",
        ".03 400 V paper coupling",
        ".05 mfd 400 V paper across line",
        ".01 mfd 400 V paper line to chassis",
        "8 mfd 450 V electrolytic 2nd filter",
        "16 mfd 450 V electrolytic 1st filter",
        "20 mfd 25 V electrolytic cathode bypass",
        "10 mfd 50 V electrolytic cathode bypass",
        "40 mfd 150 V electrolytic 2nd filter",
        "25 mfd 25 V electrolytic cathode bypass",
    ];
    let mut text =
        "set Timed\nmains 117 V 60 Hz\nsupply transformer full-wave 600 V CT\n".to_owned();
    for part in 1..=parts {
        // Writing to a String does not fail.
        let _ = writeln!(text, "C{part} {}", KINDS[part * 7 % KINDS.len()]);
    }
    text
}

/// Offers of eight sellers: the same shelf of values and ratings at prices of
/// their own, with breaks, packs, lots and least orders.
pub fn prices(offers: usize) -> String {
    const FILM: [&str; 15] = [
        ".0018", ".0022", ".0047", ".0056", ".0068", ".01", ".022", ".027", ".033", ".047", ".056",
        ".1", ".22", ".27", ".47",
    ];
    const ELECTROLYTIC: [&str; 7] = ["10", "15", "18", "22", "33", "39", "47"];
    let mut dice = 12_345_u64;
    let mut below = |bound: u64| {
        // Source of the constants: Knuth, MMIX.
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (dice >> 33) % bound
    };
    let mut pick =
        |list: &[&'static str]| list[usize::try_from(below(list.len() as u64)).unwrap_or(0)];
    let mut parts: Vec<String> = Vec::new();
    for offer in 0..offers {
        parts.push(match offer % 10 {
            0..=5 => {
                let sort = pick(&["polypropylene", "polyester", "film"]);
                format!("{} {}V {sort}", pick(&FILM), pick(&["250", "400", "630", "1000"]))
            }
            6..=7 => {
                format!(
                    "{} uF {}V electrolytic",
                    pick(&ELECTROLYTIC),
                    pick(&["63", "250", "450", "500"])
                )
            }
            8 => format!("{} 275VAC X2", pick(&[".022", ".033", ".047", ".1"])),
            _ => format!("{} 250VAC Y2", pick(&[".0022", ".0033", ".0047", ".0068"])),
        });
    }
    let mut text = String::new();
    for (offer, part) in parts.iter().enumerate() {
        if offer % offers.div_ceil(8) == 0 {
            let (seller, postage) = (offer / offers.div_ceil(8) + 1, below(600) + 200);
            let _ = writeln!(
                text,
                "seller Number {seller}, postage {}.{:02}",
                postage / 100,
                postage % 100
            );
        }
        let cents = below(200) + 25;
        let each = |cents: u64| format!("{}.{:02}", cents / 100, cents % 100);
        let _ = write!(text, "{part}  {}", each(cents));
        let _ = match below(6) {
            0 | 1 => writeln!(text, "  10+ {}", each(cents * 4 / 5)),
            2 => writeln!(text, "  10+ {}  100+ {}", each(cents * 9 / 10), each(cents * 7 / 10)),
            3 => writeln!(text, "  pack 5"),
            4 => writeln!(text, ", 10 for {}", each(cents * 7)),
            _ => writeln!(text, "  least 3"),
        };
    }
    text
}
