//! Readings by habit, and what settles them.

use super::{note, read};
use firstglow::notation::note::Level;
use firstglow::sheet::{Sheet, edit};

/// A doubtful mark: the text, its note, what it is read as, and each choice
/// with what the sheet says once it is applied.
struct Doubt {
    text: &'static str,
    note: &'static str,
    read: &'static str,
    choices: &'static [(&'static str, &'static str)],
}

const fn doubt(
    text: &'static str,
    note: &'static str,
    read: &'static str,
    choices: &'static [(&'static str, &'static str)],
) -> Doubt {
    Doubt { text, note, read, choices }
}

/// Readings by habit. The first choice always keeps the reading.
const DOUBTFUL: &[Doubt] = &[
    // Below 1 is microfarads. Drawing notes of service sheets, from memory.
    doubt(
        "C1 .05",
        "1:4 '.05' has no unit; read as 0.05 µF by the trade's habit",
        "0.05 µF",
        &[("it is .05 µF", "0.05 µF")],
    ),
    doubt(
        "C1 .05 400 V paper",
        "1:4 '.05' has no unit; read as 0.05 µF by the trade's habit",
        "0.05 µF, 400 V, paper",
        &[("it is .05 µF", "0.05 µF, 400 V, paper")],
    ),
    doubt(
        "C1 0,05",
        "1:4 '0,05' has no unit; read as 0.05 µF by the trade's habit",
        "0.05 µF",
        &[("it is 0,05 µF", "0.05 µF")],
    ),
    doubt(
        "C1 .00025 mica",
        "1:4 '.00025' has no unit; read as 250 pF by the trade's habit",
        "250 pF, mica",
        &[("it is .00025 µF", "250 pF, mica")],
    ),
    doubt(
        "C1 ½ 600 V paper",
        "1:4 '½' has no unit; read as 0.5 µF by the trade's habit",
        "0.5 µF, 600 V, paper",
        &[("it is ½ µF", "0.5 µF, 600 V, paper")],
    ),
    doubt(
        "C1 .01/1600",
        "1:4 '.01' has no unit; read as 0.01 µF by the trade's habit",
        "0.01 µF, 1600 V",
        &[("it is .01 µF", "0.01 µF, 1600 V")],
    ),
    doubt(
        "C1 .02 - .02 600 V",
        "1:4 '.02-.02' has no unit; read as 0.02 µF, 0.02 µF by the trade's habit",
        "C1A: 0.02 µF, 600 V; C1B: 0.02 µF, 600 V",
        &[("it is .02-.02 µF", "C1A: 0.02 µF, 600 V; C1B: 0.02 µF, 600 V")],
    ),
    // Whole numbers above 1 are picofarads. Drawing notes, from memory.
    doubt(
        "C1 250 mica",
        "1:4 '250' has no unit; read as 250 pF, not as a three-digit code",
        "250 pF, mica",
        &[
            ("it is 250 pF", "250 pF, mica"),
            ("it is 250 µF", "250 µF, mica"),
            ("it is a code: 25 pF", "25 pF, mica"),
        ],
    ),
    doubt(
        "C1 1000",
        "1:4 '1000' has no unit; read as 0.001 µF by the trade's habit",
        "0.001 µF",
        &[("it is 1000 pF", "0.001 µF"), ("it is 1000 µF", "1000 µF")],
    ),
    doubt(
        "C1 50 mica",
        "1:4 '50' has no unit; read as 50 pF by the trade's habit",
        "50 pF, mica",
        &[("it is 50 pF", "50 pF, mica"), ("it is 50 µF", "50 µF, mica")],
    ),
    doubt(
        "C1 100 mica 500 WV",
        "1:4 '100' has no unit; read as 100 pF, not as a three-digit code",
        "100 pF, 500 V, mica",
        &[
            ("it is 100 pF", "100 pF, 500 V, mica"),
            ("it is 100 µF", "100 µF, 500 V, mica"),
            ("it is a code: 10 pF", "10 pF, 500 V, mica"),
        ],
    ),
    doubt(
        "C1 5-30 trimmer",
        "1:4 '5-30' has no unit; read as 30 pF by the trade's habit",
        "30 pF",
        &[("it is 5-30 pF", "30 pF")],
    ),
    // Electrolytics, by word or by a rating that they alone have, are
    // microfarads. Common practice, no source.
    doubt(
        "C1 8 electrolytic",
        "1:4 '8' has no unit; read as 8 µF by the trade's habit",
        "8 µF, electrolytic",
        &[("it is 8 µF", "8 µF, electrolytic"), ("it is 8 pF", "8 pF, electrolytic")],
    ),
    doubt(
        "C1 8/450",
        "1:4 '8' has no unit; read as 8 µF by the trade's habit",
        "8 µF, 450 V",
        &[("it is 8 µF", "8 µF, 450 V"), ("it is 8 pF", "8 pF, 450 V")],
    ),
    doubt(
        "C1 8-8/450",
        "1:4 '8-8' has no unit; read as 8 µF, 8 µF by the trade's habit",
        "C1A: 8 µF, 450 V; C1B: 8 µF, 450 V",
        &[
            ("it is 8-8 µF", "C1A: 8 µF, 450 V; C1B: 8 µF, 450 V"),
            ("it is 8-8 pF", "C1A: 8 pF, 450 V; C1B: 8 pF, 450 V"),
        ],
    ),
    doubt(
        "C1 25 25 V",
        "1:4 '25' has no unit; read as 25 µF by the trade's habit",
        "25 µF, 25 V",
        &[("it is 25 µF", "25 µF, 25 V"), ("it is 25 pF", "25 pF, 25 V")],
    ),
    doubt(
        "C1 16 450 V",
        "1:4 '16' has no unit; read as 16 µF by the trade's habit",
        "16 µF, 450 V",
        &[("it is 16 µF", "16 µF, 450 V"), ("it is 16 pF", "16 pF, 450 V")],
    ),
    doubt(
        "C1 20 300 WV",
        "1:4 '20' has no unit; read as 20 µF by the trade's habit",
        "20 µF, 300 V",
        &[("it is 20 µF", "20 µF, 300 V"), ("it is 20 pF", "20 pF, 300 V")],
    ),
    // 1 to 10 with nothing said could be either. Common practice, no source.
    doubt(
        "C1 2",
        "1:4 '2' has no unit and could be µF or pF; read as 2 pF",
        "2 pF",
        &[("it is 2 µF", "2 µF"), ("it is 2 pF", "2 pF")],
    ),
    doubt(
        "C1 2 600 V paper",
        "1:4 '2' has no unit and could be µF or pF; read as 2 µF",
        "2 µF, 600 V, paper",
        &[("it is 2 µF", "2 µF, 600 V, paper"), ("it is 2 pF", "2 pF, 600 V, paper")],
    ),
    // A lost point. Common practice, no source.
    doubt(
        "C1 05 400 V",
        "1:4 '05' seems to have lost its point; read as 0.05 µF",
        "0.05 µF, 400 V",
        &[("it is 0.05 µF", "0.05 µF, 400 V"), ("it is 5 pF", "5 pF, 400 V")],
    ),
    doubt(
        "C1 005 mfd",
        "1:4 '005 mfd' seems to have lost its point; read as 0.005 µF",
        "0.005 µF",
        &[("it is 0.005 mfd", "0.005 µF"), ("it is 5 mfd", "5 µF")],
    ),
    // Three digits. EIA-198, from memory.
    doubt(
        "C1 104",
        "1:4 '104' is read as a three-digit code: 0.1 µF",
        "0.1 µF",
        &[("it is a code: 0.1 µF", "0.1 µF"), ("it is 104 pF", "104 pF")],
    ),
    doubt(
        "C1 473 ceramic",
        "1:4 '473' is read as a three-digit code: 0.047 µF",
        "0.047 µF, ceramic",
        &[("it is a code: 0.047 µF", "0.047 µF, ceramic"), ("it is 473 pF", "473 pF, ceramic")],
    ),
    doubt(
        "C1 104/400",
        "1:4 '104' is read as a three-digit code: 0.1 µF",
        "0.1 µF, 400 V",
        &[("it is a code: 0.1 µF", "0.1 µF, 400 V"), ("it is 104 pF", "104 pF, 400 V")],
    ),
    doubt(
        "C1 470K",
        "1:4 '470K' is read as a three-digit code: 47 pF",
        "47 pF, ±10 %",
        &[
            ("it is 47 pF", "47 pF, ±10 %"),
            ("it is 470 pF", "470 pF, ±10 %"),
            ("it is 470 nF", "0.47 µF"),
        ],
    ),
    doubt(
        "C1 220J",
        "1:4 '220J' is read as a three-digit code: 22 pF",
        "22 pF, ±5 %",
        &[("it is 22 pF", "22 pF, ±5 %"), ("it is 220 pF", "220 pF, ±5 %")],
    ),
    // K on a capacitor: thousand picofarads or ten percent. IEC 60062 and
    // common practice, no source.
    doubt(
        "C1 10K",
        "1:4 '10K': K is read as thousand picofarads: 0.01 µF",
        "0.01 µF",
        &[("it is 0.01 µF", "0.01 µF"), ("it is 10 pF ±10 %", "10 pF, ±10 %")],
    ),
    doubt(
        "C1 .1M 400 V",
        "1:4 '.1' has no unit; read as 0.1 µF by the trade's habit",
        "0.1 µF, 400 V, ±20 %",
        &[("it is .1 µF", "0.1 µF, 400 V, ±20 %")],
    ),
    // A hyphen before a rating that old parts carry. Common practice, no source.
    doubt(
        "C1 .05-600 paper",
        "1:4 '.05-600' is read as value and rating: .05 and 600 V",
        "0.05 µF, 600 V, paper",
        &[
            ("it is value and rating", "0.05 µF, 600 V, paper"),
            ("it is two sections", "C1A: 0.05 µF, paper; C1B: 600 µF, paper"),
        ],
    ),
    // A rating without its volts. Common practice, no source.
    doubt(
        "C1 .05 mfd 400 paper",
        "1:12 '400' has no unit; read as the rating 400 V",
        "0.05 µF, 400 V, paper",
        &[("it is 400 V", "0.05 µF, 400 V, paper")],
    ),
    doubt(
        "C1 8-8 mfd 450 electrolytic",
        "1:12 '450' has no unit; read as the rating 450 V",
        "C1A: 8 µF, 450 V, electrolytic; C1B: 8 µF, 450 V, electrolytic",
        &[("it is 450 V", "C1A: 8 µF, 450 V, electrolytic; C1B: 8 µF, 450 V, electrolytic")],
    ),
    doubt(
        "C1 30-20 mfd 150/25",
        "1:14 '150/25' has no unit; read as the rating 150 V, 25 V",
        "C1A: 30 µF, 150 V; C1B: 20 µF, 25 V",
        &[("it is 150 V, 25 V", "C1A: 30 µF, 150 V; C1B: 20 µF, 25 V")],
    ),
    doubt(
        "C1 16+16 mfd 350/450",
        "1:14 '350/450' has no unit; read as the rating 350 V, 450 V",
        "C1A: 16 µF, 350 V; C1B: 16 µF, 450 V",
        &[("it is 350 V, 450 V", "C1A: 16 µF, 350 V; C1B: 16 µF, 450 V")],
    ),
    doubt(
        "C1 .006 mfd 1600 buffer",
        "1:13 '1600' has no unit; read as the rating 1600 V",
        "0.006 µF, 1600 V, buffer",
        &[("it is 1600 V", "0.006 µF, 1600 V, buffer")],
    ),
    // Commas and points. Common practice, no source.
    doubt(
        "R1 47,000",
        "1:4 '47,000': the mark in the number can part thousands or decimals; read as 47 kΩ",
        "47 kΩ",
        &[("it is 47 kΩ", "47 kΩ"), ("it is 47 Ω", "47 Ω")],
    ),
    doubt(
        "R1 4,700 ohms 1/2 W",
        "1:4 '4,700 ohms': the mark in the number can part thousands or decimals; read as 4.7 kΩ",
        "4.7 kΩ, 0.5 W",
        &[("it is 4.7 kΩ", "4.7 kΩ, 0.5 W"), ("it is 4.7 Ω", "4.7 Ω, 0.5 W")],
    ),
    doubt(
        "R1 47.000",
        "1:4 '47.000': the mark in the number can part thousands or decimals; read as 47 Ω",
        "47 Ω",
        &[("it is 47 Ω", "47 Ω"), ("it is 47 kΩ", "47 kΩ")],
    ),
    doubt(
        "C1 1,000 mmf",
        "1:4 '1,000 mmf': the mark in the number can part thousands or decimals; read as 0.001 µF",
        "0.001 µF",
        &[("it is 0.001 µF", "0.001 µF"), ("it is 1 pF", "1 pF")],
    ),
    doubt(
        "C1 4.700 pF",
        "1:4 '4.700 pF': the mark in the number can part thousands or decimals; read as 4.7 pF",
        "4.7 pF",
        &[("it is 4.7 pF", "4.7 pF"), ("it is 0.0047 µF", "0.0047 µF")],
    ),
    // M on a resistor. Common practice, no source.
    doubt(
        "R1 250M",
        "1:4 '250M': M can be thousand or million; read as 250 kΩ",
        "250 kΩ",
        &[
            ("it is 250 kΩ", "250 kΩ"),
            ("it is 250 MΩ", "250 MΩ"),
            ("M is thousand on this whole sheet", "250 kΩ"),
            ("M is million on this whole sheet", "250 MΩ"),
        ],
    ),
    doubt(
        "R1 1M 1/2 W",
        "1:4 '1M': M can be thousand or million; read as 1 MΩ",
        "1 MΩ, 0.5 W",
        &[
            ("it is 1 kΩ", "1 kΩ, 0.5 W"),
            ("it is 1 MΩ", "1 MΩ, 0.5 W"),
            ("M is thousand on this whole sheet", "1 kΩ, 0.5 W"),
            ("M is million on this whole sheet", "1 MΩ, 0.5 W"),
        ],
    ),
    doubt(
        "R1 50 M ohms",
        "1:4 '50 M': M can be thousand or million; read as 50 kΩ",
        "50 kΩ",
        &[
            ("it is 50 kΩ", "50 kΩ"),
            ("it is 50 MΩ", "50 MΩ"),
            ("M is thousand on this whole sheet", "50 kΩ"),
            ("M is million on this whole sheet", "50 MΩ"),
        ],
    ),
    // w for ohms. Common practice, no source.
    doubt(
        "R1 470w",
        "1:4 '470w': read as 470 Ω, an old way to write ohms",
        "470 Ω",
        &[("it is 470 Ω", "470 Ω"), ("it is watts", "470 W")],
    ),
    doubt(
        "R1 2000w 1w",
        "1:4 '2000w': read as 2 kΩ, an old way to write ohms",
        "2 kΩ, 1 W",
        &[("it is 2 kΩ", "2 kΩ, 1 W"), ("it is watts", "2000 W")],
    ),
];

#[test]
fn what_is_doubtful_is_read_by_habit_and_says_so() {
    for row in DOUBTFUL {
        assert_eq!(read(row.text), row.read, "{}", row.text);
        let notes = Sheet::read(row.text).notes;
        assert_eq!(note(&notes[0]), row.note, "{}", row.text);
        assert!(notes[0].level < Level::Error, "{}", row.text);
        assert!(notes[0].read.is_some() || notes[0].level == Level::Warning, "{}", row.text);
    }
}

#[test]
fn each_choice_settles_its_note_and_gives_what_its_label_says() {
    for row in DOUBTFUL {
        let notes = Sheet::read(row.text).notes;
        for (label, expected) in row.choices {
            let choice = notes[0].choices.iter().find(|c| c.label == *label);
            let choice = choice.unwrap_or_else(|| panic!("{}: no '{label}'", row.text));
            let settled = edit::apply(row.text, &choice.edit);
            let left = Sheet::read(&settled).notes;
            assert_eq!(read(&settled), *expected, "{} > {settled}", row.text);
            let same = left.iter().any(|n| n.message == notes[0].message);
            assert!(!same, "{} > {settled}: {left:?}", row.text);
            assert!(left.iter().all(|n| n.level < Level::Error), "{settled}: {left:?}");
        }
    }
}

#[test]
fn every_choice_that_a_note_offers_is_in_the_table() {
    for row in DOUBTFUL {
        let note = &Sheet::read(row.text).notes[0];
        let labels: Vec<&str> = note.choices.iter().map(|c| c.label.as_str()).collect();
        let named: Vec<&str> = row.choices.iter().map(|(label, _)| *label).collect();
        assert_eq!(labels, named, "{}", row.text);
    }
}
