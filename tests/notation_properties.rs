//! Whatever is typed, pasted or dropped: it is read without a panic, every
//! note points into the text, and every choice leaves a text that reads.

#[path = "support/chance.rs"]
mod chance;

use firstglow::notation::note::{Edit, Level, Note};
use firstglow::sheet::{Sheet, edit};
use proptest::prelude::*;

const CASES: u32 = 10_000;

/// Pieces that lines are made of, whole and broken.
const PIECES: &[&str] = &[
    "C1",
    "C7",
    "c-7",
    "C1A",
    "C1A/C1B",
    "C1A/B",
    "C3, C4",
    "C3-C6",
    "R1",
    "R12",
    "R1-R4",
    "VR1",
    "L1",
    "V1",
    "V2",
    "T1",
    "S1",
    "S2A",
    "PL1",
    "F1",
    "SR1",
    "W1",
    "J1",
    "X9",
    "CC99999999",
    "C",
    "R",
    "ZZZ1",
    "to",
    "→",
    "->",
    "B1",
    "B2",
    "B-",
    "chassis",
    "line",
    "neutral",
    "gnd",
    "V2.6",
    "v2.G1",
    "T1.3",
    "V2.",
    ".6",
    "(x)",
    "=",
    "6=scr",
    "g2=B2",
    "6=",
    "=scr",
    ".05",
    "0.05",
    "05",
    "005",
    "0,05",
    ",05",
    "47,000",
    "47.000",
    "1,2,3",
    "1.2.3",
    "1..5",
    "100",
    "104",
    "104K",
    "104X",
    "470K",
    "470M",
    "1M",
    "2.2",
    "4K7",
    "4R7",
    "2n2",
    "R47",
    "33nK",
    "470pJ",
    "229D",
    "8",
    "8-8",
    "8-450",
    "8/450",
    "8-8/450",
    "40-20/150",
    "20/25",
    "20-20-20",
    "8+8",
    "1/2",
    "1/0",
    "½",
    "1½",
    "½W",
    "2x8",
    "99999999999999999999999999999999",
    "0",
    "-5",
    "400",
    "400 V",
    "400V",
    "450 WV",
    "525 V surge",
    "1 KV",
    "V",
    "WVDC",
    "VAC",
    "v~",
    "mfd",
    "MFD",
    "mmf",
    "uuf",
    "µF",
    "μμF",
    "pF",
    "n",
    "p",
    "K",
    "M",
    "m",
    "k",
    "meg",
    "ohms",
    "Ω",
    "\u{2126}",
    "W",
    "w",
    "watts",
    "H",
    "mH",
    "A",
    "ma",
    "Hz",
    "kc",
    "%",
    "10%",
    "±10%",
    "±",
    "+-",
    "+/-",
    "-10",
    "+50%",
    "-10/+50%",
    "400%",
    "GMV",
    "paper",
    "papre",
    "mica",
    "electrolytic",
    "oil-filled",
    "paper in oil",
    "postage stamp mica",
    "coupling",
    "line bypass",
    "across the line",
    "trimmer",
    "variable",
    "gang",
    "pot",
    "volume control",
    "NP",
    "X2",
    "Y2",
    "in",
    "area",
    "in \"under the switch\"",
    "\"",
    "“",
    "”",
    "#",
    "# remark",
    "set",
    "set Kitchen set",
    "mains",
    "mains 117 V 60 Hz",
    "high",
    "fuse 1 A",
    "touch 0.25 mA",
    "two-wire",
    "supply",
    "series-string",
    "350-0-350",
    "350-0-350 V",
    "read",
    "read M as thousand",
    "read M as million",
    "wire",
    "wire V2.8 to chassis",
    "area under switch: C7 R3",
    "area x:",
    ":",
    "power",
    "output",
    "primary",
    "secondary",
    "heater",
    "rectifier",
    "1 to 2",
    "1 to",
    "tap",
    "tap 4",
    "CT",
    "12SK7",
    "6V6",
    "GT",
    "6v6-gt",
    "80",
    ",",
    ";",
    "-",
    "–",
    "/",
    "@",
    "&",
    ".",
    "e\u{301}",
    "\u{200b}",
    "\u{feff}",
    "\u{1f4fb}",
    "٣",
    "Ⅷ",
    "ﬀ",
    "ẞ",
    "İ",
];

/// What parts pieces: mostly a space, or nothing, or a line.
const GAPS: &[&str] = &[
    " ", " ", " ", " ", " ", "", "", "\t", "  ", ", ", "\n", "\n", "\n   ", "\r\n", "\n\n",
    "\u{a0}", "\r", "\0",
];

/// A text of pieces, much like a sheet that is being typed.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        12 => prop::sample::select(PIECES).prop_map(str::to_owned),
        1 => "[0-9.,/+-]{1,12}",
        1 => "[A-Za-z]{1,4}[0-9]{1,3}[A-Za-z]?",
        1 => "\\PC{1,6}",
    ];
    prop::collection::vec((piece, prop::sample::select(GAPS)), 1..14)
        .prop_map(|all| all.into_iter().flat_map(|(p, gap)| [p, gap.to_owned()]).collect())
}

/// A line of pieces that is repeated past the longest line that is read.
fn long_lines() -> impl Strategy<Value = String> {
    (pieces(), 1_usize..2500).prop_map(|(text, length)| {
        let one: String = text.chars().filter(|c| *c != '\n').collect();
        let times = length / (one.chars().count() + 1);
        format!("{one}x").repeat(times + 1)
    })
}

/// Any text at all.
fn texts() -> impl Strategy<Value = String> {
    prop_oneof![
        60 => pieces(),
        20 => "\\PC{0,60}",
        18 => prop::collection::vec(any::<char>(), 0..80).prop_map(|c| c.into_iter().collect()),
        2 => long_lines(),
    ]
}

/// How many characters a line of the text has.
fn width(text: &str, line: usize) -> Option<usize> {
    text.lines().nth(line.checked_sub(1)?).map(|l| l.chars().count())
}

/// Whether a run of characters stands inside one line of the text.
fn inside(text: &str, line: usize, column: usize, length: usize) -> bool {
    column >= 1 && width(text, line).is_some_and(|w| column - 1 + length <= w)
}

fn choices(notes: &[Note]) -> impl Iterator<Item = &Edit> {
    notes.iter().flat_map(|n| &n.choices).map(|c| &c.edit)
}

proptest! {
    #![proptest_config(chance::cases(CASES))]

    #[test]
    fn any_text_is_read_and_every_note_points_into_it(text in texts()) {
        let sheet = Sheet::read(&text);
        for note in &sheet.notes {
            prop_assert!(inside(&text, note.line, note.column, note.length), "{:?}", note);
            prop_assert!(!note.message.is_empty());
        }
        let places = sheet.notes.iter().map(|n| (n.line, n.column)).collect::<Vec<_>>();
        prop_assert!(places.is_sorted(), "{:?}", places);
        for part in &sheet.parts {
            prop_assert!(width(&text, part.line).is_some(), "{}", part.key);
        }
    }

    #[test]
    fn every_choice_of_every_note_leaves_a_text_that_reads(text in pieces()) {
        for change in choices(&Sheet::read(&text).notes) {
            if let Edit::Replace { line, column, length, .. } = change {
                prop_assert!(inside(&text, *line, *column, *length), "{:?}", change);
            }
            let settled = edit::apply(&text, change);
            for note in &Sheet::read(&settled).notes {
                prop_assert!(inside(&settled, note.line, note.column, note.length), "{:?}", note);
            }
        }
    }

    #[test]
    fn no_choice_turns_a_reading_into_a_fault(text in pieces()) {
        let faults = |notes: &[Note]| notes.iter().filter(|n| n.level == Level::Error).count();
        let before = Sheet::read(&text).notes;
        // A line says no more than eight things, so past that they can not be counted.
        prop_assume!(before.len() < 7);
        // A change writes every line break as a line feed; a last carriage return goes.
        prop_assume!(!text.ends_with('\r'));
        for change in choices(&before) {
            let settled = edit::apply(&text, change);
            let after = Sheet::read(&settled).notes;
            prop_assert!(
                faults(&after) <= faults(&before),
                "{:?}: {:?}", settled, after
            );
        }
    }

    #[test]
    fn reading_the_same_text_twice_gives_the_same_sheet(text in texts()) {
        prop_assert_eq!(Sheet::read(&text), Sheet::read(&text));
    }

    #[test]
    fn keys_are_never_shared(text in pieces()) {
        let sheet = Sheet::read(&text);
        let mut keys: Vec<&str> = sheet.parts.iter().map(|p| p.key.as_str()).collect();
        keys.sort_unstable();
        keys.dedup();
        prop_assert_eq!(keys.len(), sheet.parts.len());
    }
}

#[test]
fn a_text_of_more_lines_than_are_read_ends_with_a_note_inside_it() {
    for last in ["", "C1 .05 mfd", "   "] {
        let text = format!("{}{last}\n", "R1 470K\n".repeat(20_000));
        let notes = Sheet::read(&text).notes;
        let end = notes.last().unwrap();
        assert_eq!(end.message, "this sheet has more than 20000 lines; the rest was left unread");
        assert!(inside(&text, end.line, end.column, end.length), "{end:?}");
    }
}

#[test]
fn a_line_of_a_million_characters_is_noted_and_stops_no_other() {
    let text = format!("C1 .05 mfd {}\nR1 470K", "paper ".repeat(170_000));
    let sheet = Sheet::read(&text);
    assert_eq!(sheet.parts.last().unwrap().key, "R1");
    let long = sheet.notes.iter().find(|n| n.message.contains("longer than")).unwrap();
    assert!(inside(&text, long.line, long.column, long.length), "{long:?}");
}
