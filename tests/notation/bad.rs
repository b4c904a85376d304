//! What cannot be read, with its exact messages.

use super::{hold, note, shown};
use firstglow::notation::note::Level;
use firstglow::sheet::Sheet;

/// What cannot be read, or must not be: the text, and every warning and error
/// it gives, as `line:column message`.
const BAD: &[(&str, &str)] = &[
    // Lines that start with nothing known.
    (
        "paper .05 400 V",
        "1:1 'paper' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, meter, read, type, wire, area",
    ),
    (
        "C1 8 mfd\nThe rest is under the chassis",
        "2:1 'The' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, meter, read, type, wire, area",
    ),
    ("C .05 mfd", "1:1 'C' has no number; expected a designator such as C1"),
    ("R 470K", "1:1 'R' has no number; expected a designator such as R1"),
    (
        "7C .05 mfd",
        "1:1 '7C' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, meter, read, type, wire, area",
    ),
    (
        "   400 V paper",
        "1:1 this line starts with a space, so it continues the part above, but there is none",
    ),
    ("C1 .05 mfd\u{1}", "1:1 this line is not text; it was left unread"),
    ("C1 8 mfd\n\u{fffd}\u{fffd}", "2:1 this line is not text; it was left unread"),
    // Words with no meaning.
    (
        "C1 .05 mfd greenish",
        "1:12 'greenish' was not understood; expected a value, rating, tolerance, dielectric, role, or 'place to place'",
    ),
    ("C1 .05 mfd papre", "1:12 'papre' was not understood; did you mean 'paper'?"),
    (
        "C1 8 mfd electrolitic",
        "1:10 'electrolitic' was not understood; did you mean 'electrolytic'?",
    ),
    ("C1 .05 mfd couplng", "1:12 'couplng' was not understood; did you mean 'coupling'?"),
    (
        "R1 470K xx",
        "1:9 'xx' was not understood; expected a value, rating, tolerance, dielectric, role, or 'place to place'",
    ),
    // Numbers and units.
    (
        "C1 5 furlongs",
        "1:4 '5' has no unit and could be µF or pF; read as 5 pF | 1:6 'furlongs' was not understood; expected a value, rating, tolerance, dielectric, role, or 'place to place'",
    ),
    ("C1 5furlongs", "1:4 '5furlongs': 'furlongs' is no unit; expected mfd, mmf, pF, nF, V or %"),
    ("R1 5q", "1:4 '5q': 'q' is no unit; expected K, meg, ohm, W, V or %"),
    ("L1 5", "1:4 '5' has no unit; expected H, mH, ohm or mA"),
    (
        "C1 1,2,3 mfd",
        "1:4 '1,2,3' is no number: its points and commas fit no way of writing a number",
    ),
    (
        "R1 1.2.3 K",
        "1:4 '1.2.3' is no number: its points and commas fit no way of writing a number",
    ),
    ("R1 1/0 W", "1:4 '1/0' is no number: it divides by zero"),
    (
        "C1 99999999999999999999999999999999 mfd",
        "1:4 '99999999999999999999999999999999' is no number: it has more digits than can be held exactly",
    ),
    // Out of range.
    ("C1 0 mfd", "1:4 '0 mfd' is out of range: capacitance must lie between 0.01 pF and 1 F"),
    ("C1 5 farads", "1:4 '5 farads' is out of range: capacitance must lie between 0.01 pF and 1 F"),
    ("C1 .001 pF", "1:4 '.001 pF' is out of range: capacitance must lie between 0.01 pF and 1 F"),
    (
        "C1 -5 mfd",
        "1:4 '-5' is out of range: a quantity must lie between zero and its greatest value",
    ),
    (
        "R1 -470",
        "1:4 '-470' is out of range: a quantity must lie between zero and its greatest value",
    ),
    ("C1 .1 mfd 500 kV", "1:11 '500 kV' is out of range: voltage must lie between 0 V and 100 kV"),
    (
        "R1 9999999999 meg",
        "1:4 '9999999999 meg' is out of range: resistance must lie between 0 Ω and 10¹⁵ Ω",
    ),
    // Measures that a part does not have.
    ("C1 470 ohms", "1:4 '470 Ω' is a resistance, which a capacitor does not have"),
    ("C1 .05 mfd 5 W", "1:12 '5 W' is a power, which a capacitor does not have"),
    ("R1 470K .05 mfd", "1:9 '0.05 µF' is a capacitance, which a resistor does not have"),
    ("R1 5 H", "1:4 '5 H' is an inductance, which a resistor does not have"),
    ("L1 12 H 8 mfd", "1:9 '8 µF' is a capacitance, which a coil does not have"),
    // Tolerances.
    ("C1 8 mfd 400%", "1:10 '400%' is no tolerance; expected 0 to 300 %, as in ±10 % or -10 +50 %"),
    (
        "C1 8 mfd -10-20%",
        "1:10 '-10-20%' is no tolerance; expected 0 to 300 %, as in ±10 % or -10 +50 %",
    ),
    ("C1 8 mfd ±ten", "1:10 '±ten' is no tolerance; expected 0 to 300 %, as in ±10 % or -10 +50 %"),
    ("C1 104X", "1:4 '104X' looks like a coded value, but 'X' is no tolerance letter of IEC 60062"),
    // What a part has once.
    ("C1 .05 mfd .1 mfd", "1:12 '0.1 µF' is a second value; the first one counts"),
    ("R1 470K 220K", "1:9 '220 kΩ' is a second value; the first one counts"),
    (
        "C1 .05 mfd 400 V 600 V",
        "1:18 '600 V' is a second rating, so the rating is left open; delete the wrong one",
    ),
    ("C1 .05 mfd paper mica", "1:18 'mica' is a second dielectric; the first one counts"),
    ("C1 .05 mfd coupling tone", "1:21 'tone' is a second role; the first one counts"),
    ("C1 8 mfd ±10 % ±20%", "1:16 '±20 %' is a second tolerance; the first one counts"),
    ("R1 470K 1 W 2 W", "1:13 '2 W' is a second power; the first one counts"),
    // Sections.
    (
        "C1 20-20-20 mfd 450-25 V",
        "1:17 '450-25' gives 2 ratings for 3 sections; give one, or one for each",
    ),
    (
        "C1 20-20-20 mfd 450 V B1, B2 to chassis",
        "1:23 2 places stand before 'to', but the part has 3 sections; give one, or one for each",
    ),
    // Places.
    ("C1 .05 mfd to chassis", "1:12 'to' needs a place on each side, as in V2.6 to B1"),
    ("C1 to 470 pF", "1:4 'to' needs a place on each side, as in V2.6 to B1"),
    ("C1 .05 mfd V2.6 to", "1:12 'to' needs a place on each side, as in V2.6 to B1"),
    ("C1 .05 mfd 400 V to chassis", "1:18 'to' needs a place on each side, as in V2.6 to B1"),
    ("C1 .05 mfd 400V paper to chassis", "1:23 'to' needs a place on each side, as in V2.6 to B1"),
    (
        "C1 .05 mfd V2.6 to (B1)",
        "1:20 '(B1)' is no place; expected a pin such as V2.6, a terminal such as T1.3, or a name such as B1",
    ),
    (
        "C1 .05 mfd B1 to B2 B3 to B4",
        "1:21 'B3 to B4' is a second pair of places; the first one counts",
    ),
    // Tubes and transformers.
    ("V1", "1:1 V1 has no tube type; expected one such as 6V6GT after the designator"),
    ("V1 6=scr", "1:1 V1 has no tube type; expected one such as 6V6GT after the designator"),
    ("V1 12SK7 =scr", "1:10 '=scr' ties no pin; expected pin=place such as 6=scr or g2=B2"),
    ("V1 12SK7 6=", "1:10 '6=' ties no pin; expected pin=place such as 6=scr or g2=B2"),
    (
        "T1 power primary 117 V",
        "1:10 the primary winding is incomplete; expected two terminals, as in primary 1 to 2",
    ),
    (
        "T1 secondary 3",
        "1:4 the secondary winding is incomplete; expected two terminals, as in secondary 1 to 2",
    ),
    // Names that stand twice.
    ("C7 .05 mfd\nC7 .1 mfd", "2:1 C7 stands on line 1 already; rename this one or delete it"),
    (
        "C1 8-8 mfd\nR1 470K\nC1A 8 mfd",
        "3:1 C1A stands on line 1 already; rename this one or delete it",
    ),
    ("C7, C7 .05 mfd", "1:5 C7 stands on line 1 already; rename this one or delete it"),
    // Areas on a part.
    ("C7 .05 mfd in", "1:12 'in' needs a name after it, in quotation marks where it has spaces"),
    // Lines that speak of the whole set.
    ("set", "1:1 'set' needs more after it: a name"),
    ("set one\nset two", "2:1 a second 'set' line; the first one counts"),
    ("mains", "1:1 'mains' needs more after it: a voltage, as in mains 117 V 60 Hz"),
    (
        "mains 117 V sixty",
        "1:13 'sixty' is not understood after 'mains'; expected volts, Hz, watts, DC, two-wire, three-wire, 'high 127 V', 'fuse 1 A', 'touch 0.25 mA'",
    ),
    (
        "supply windmill",
        "1:8 'windmill' is not understood after 'supply'; expected transformer, series-string, vibrator, battery, half-wave, full-wave, bridge, doubler, or a secondary such as 350-0-350 V",
    ),
    ("read", "1:1 'read' needs more after it: 'M as thousand' or 'M as million'"),
    (
        "read K as thousand",
        "1:6 'K' is not understood after 'read'; expected 'M as thousand' or 'M as million'",
    ),
    ("wire V2.8", "1:1 'wire' needs more after it: two places, as in wire V2.8 to chassis"),
    (
        "wire V2.8 to (x)",
        "1:14 '(x)' is no place; expected a pin such as V2.6, a terminal such as T1.3, or a name such as B1",
    ),
    (
        "area",
        "1:1 'area' needs more after it: a name and its parts, as in area under switch: C7 R3",
    ),
    ("area under switch C7", "1:1 expected 'area NAME: C7 R3'; the ':' after the name is missing"),
    (
        "area under switch: paper",
        "1:20 'paper' is no designator; expected names of parts such as C7, or after, off:, mark:, readjust:",
    ),
];

#[test]
fn what_cannot_be_read_says_where_and_what_was_expected() {
    assert!(BAD.len() >= 45, "{}", BAD.len());
    hold(BAD, |text| {
        let notes = Sheet::read(text).notes;
        let serious = notes.iter().filter(|n| n.level > Level::Reading);
        serious.map(note).collect::<Vec<_>>().join(" | ")
    });
}

#[test]
fn a_bad_line_stops_no_other_line() {
    for (text, _) in BAD {
        let sheet = Sheet::read(&format!("{text}\nR901 470K 1/2 W V2.6 to B2"));
        let last = sheet.parts.last().unwrap();
        assert_eq!(shown(last), "470 kΩ, 0.5 W, V2.6 to B2", "{text}");
    }
}
