//! How parts are written, and what each way of writing is read as.
//!
//! The readings were written from the standards and the habits named beside
//! each group, not from what the reader printed.

use firstglow::notation::note::{Level, Note};
use firstglow::sheet::part::Part;
use firstglow::sheet::{Sheet, edit};
use std::fmt::Write as _;

/// What a part's line says, in one line: every quantity as it prints, then the
/// words, then the leads.
fn shown(part: &Part) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut put = |text: Option<String>| out.extend(text);
    put(part.tube.clone());
    put(part.capacitance.map(|c| c.to_string()));
    put(part.inductance.map(|l| l.to_string()));
    put(part.resistance.map(|r| r.to_string()));
    put(part.power.map(|p| p.to_string()));
    put(part.rating.map(|v| format!("{v}{}", if part.rating_ac { " AC" } else { "" })));
    put(part.surge.map(|v| format!("surge {v}")));
    put(part.current.map(|a| a.to_string()));
    put(part.tolerance.map(|t| t.to_string()));
    put(part.dielectric.map(|d| d.label().to_owned()));
    put(part.class.map(|c| c.label().to_owned()));
    put(part.role.map(|r| r.label().to_owned()));
    for make in &part.makes {
        put(Some(format!("{make:?}")));
    }
    for pin in &part.pins {
        put(Some(format!("{}={}", pin.pin, pin.place)));
    }
    for winding in &part.windings {
        let mut text = format!("{:?} {}-{}", winding.kind, winding.start, winding.end);
        let _ = winding.tap.as_ref().map(|t| write!(text, " tap {t}"));
        let _ = winding.volts.map(|v| write!(text, " {v}"));
        let _ = winding.resistance.map(|r| write!(text, " {r}"));
        put(Some(text));
    }
    put(part.leads.as_ref().map(|l| format!("{} to {}", l.from, l.to)));
    put(part.area.as_ref().map(|a| format!("in {a}")));
    put(part.remark.as_ref().map(|r| format!("'{r}'")));
    out.join(", ")
}

/// What a whole text says: one part alone, or several with their names.
fn read(text: &str) -> String {
    let sheet = Sheet::read(text);
    match sheet.parts.as_slice() {
        [one] => shown(one),
        many => {
            many.iter().map(|p| format!("{}: {}", p.key, shown(p))).collect::<Vec<_>>().join("; ")
        }
    }
}

/// A note as `line:column message`.
fn note(note: &Note) -> String {
    format!("{}:{} {}", note.line, note.column, note.message)
}

/// Fails with every row that differs, not only the first.
fn hold(rows: &[(&str, &str)], read: impl Fn(&str) -> String) {
    let wrong: Vec<String> = rows
        .iter()
        .map(|(text, expected)| (text, expected, read(text)))
        .filter(|(_, expected, got)| got != *expected)
        .map(|(text, expected, got)| format!("{text:?}\n  expected {expected}\n  but read {got}"))
        .collect();
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), rows.len(), wrong.join("\n"));
}

/// Readings that leave no doubt: the text, and what it says.
const PLAIN: &[(&str, &str)] = &[
    // Microfarads. Old sheets write MF and mF for them, never for millifarads.
    // Common practice, no source.
    ("C1 .05 mfd", "0.05 µF"),
    ("C1 .05 MFD", "0.05 µF"),
    ("C1 .05 Mfd.", "0.05 µF"),
    ("C1 .05mfd", "0.05 µF"),
    ("C1 0.05 mf", "0.05 µF"),
    ("C1 0.05 MF", "0.05 µF"),
    ("C1 0.05 mF", "0.05 µF"),
    ("C1 0.05 M.F.", "0.05 µF"),
    ("C1 0.05 uF", "0.05 µF"),
    ("C1 0.05uF", "0.05 µF"),
    ("C1 0.05 \u{b5}F", "0.05 µF"),
    ("C1 0.05 \u{3bc}F", "0.05 µF"),
    ("C1 8 MF 450V", "8 µF, 450 V"),
    ("C1 0.5 mike", "0.5 µF"),
    ("C1 0.1 microfarad", "0.1 µF"),
    // Picofarads, then and now. Common practice, no source.
    ("C1 50 mmf", "50 pF"),
    ("C1 50 MMF", "50 pF"),
    ("C1 50 MMFD", "50 pF"),
    ("C1 50 mmfd.", "50 pF"),
    ("C1 50 M.M.F.", "50 pF"),
    ("C1 250 uuf", "250 pF"),
    ("C1 250 UUF", "250 pF"),
    ("C1 250 \u{b5}\u{b5}F", "250 pF"),
    ("C1 250 \u{3bc}\u{3bc}F", "250 pF"),
    ("C1 250 micromike", "250 pF"),
    ("C1 100 puff", "100 pF"),
    ("C1 100 pF", "100 pF"),
    ("C1 100pf", "100 pF"),
    ("C1 1500 mmf", "0.0015 µF"),
    ("C1 10 nF", "0.01 µF"),
    ("C1 10n", "0.01 µF"),
    ("C1 10 kpF", "0.01 µF"),
    // The centimetre and the jar. Physics; published encyclopaedia.
    ("C1 100 cm", "111.265 pF"),
    ("C1 1 jar", "0.0011111111 µF"),
    ("C1 2 jars", "0.0022222222 µF"),
    // A letter for the point. IEC 60062:2016, from memory.
    ("C1 4n7", "0.0047 µF"),
    ("C1 n47", "470 pF"),
    ("C1 470p", "470 pF"),
    ("C1 2u2", "2.2 µF"),
    ("C1 2µ2", "2.2 µF"),
    ("C1 u1", "0.1 µF"),
    ("C1 3p3", "3.3 pF"),
    ("C1 p33", "0.33 pF"),
    ("C1 1m0", "1000 µF"),
    ("C1 100n", "0.1 µF"),
    ("C1 2n2J", "0.0022 µF, ±5 %"),
    ("C1 33nK", "0.033 µF, ±10 %"),
    ("C1 470pJ", "470 pF, ±5 %"),
    ("C1 n68G", "680 pF, ±2 %"),
    // R for the point on small ceramics, in picofarads. EIA-198, from memory.
    ("C1 4R7", "4.7 pF"),
    ("C1 2R2 ceramic", "2.2 pF, ceramic"),
    // Three digits and a tolerance letter. EIA-198 and IEC 60062, from memory.
    ("C1 473K", "0.047 µF, ±10 %"),
    ("C1 104M 100V", "0.1 µF, 100 V, ±20 %"),
    ("C1 223J 630V", "0.022 µF, 630 V, ±5 %"),
    ("C1 102K 1KV disc", "0.001 µF, 1000 V, ±10 %, ceramic"),
    ("C1 221K", "220 pF, ±10 %"),
    ("C1 103Z", "0.01 µF, -20 +80 %"),
    ("C1 472p", "472 pF"),
    ("C1 105G", "1 µF, ±2 %"),
    ("C1 229D", "2.2 pF, ±22.73 %"),
    ("C1 509C", "5 pF, ±5 %"),
    // Points, commas, fractions. Common practice, no source.
    ("C1 0,05 µF", "0.05 µF"),
    ("C1 ,05 mfd", "0.05 µF"),
    ("C1 1/2 mfd", "0.5 µF"),
    ("C1 1/4 mfd 600 V", "0.25 µF, 600 V"),
    ("C1 ½ mfd", "0.5 µF"),
    ("C1 ½mfd/600V paper", "0.5 µF, 600 V, paper"),
    ("C1 1½ mfd", "1.5 µF"),
    ("C1 ,05µF/400", "0.05 µF, 400 V"),
    ("C1 .00025 mfd mica", "250 pF, mica"),
    // Ratings. Common practice, no source.
    ("C1 .1 mfd 400 V", "0.1 µF, 400 V"),
    ("C1 .1 mfd 400V", "0.1 µF, 400 V"),
    ("C1 .1 mfd, 400 volts", "0.1 µF, 400 V"),
    ("C1 .1 mfd 400 WV", "0.1 µF, 400 V"),
    ("C1 .1 mfd 400 W.V.", "0.1 µF, 400 V"),
    ("C1 .1 mfd 600 WVDC", "0.1 µF, 600 V"),
    ("C1 .1 mfd 600VDCW", "0.1 µF, 600 V"),
    ("C1 8 mfd 450 D.C.W.V.", "8 µF, 450 V"),
    ("C1 8 mfd 450 V DC", "8 µF, 450 V"),
    ("C1 8 mfd 450 volts working", "8 µF, 450 V"),
    ("C1 8mfd/450V", "8 µF, 450 V"),
    ("C1 8mfd/450", "8 µF, 450 V"),
    ("C1 8mfd/450 V", "8 µF, 450 V"),
    ("C1 8mfd-450 WVDC", "8 µF, 450 V"),
    ("C1 8 mfd @ 450 V", "8 µF, 450 V"),
    ("C1 8 mfd at 450 V", "8 µF, 450 V"),
    ("C1 450 V 8 mfd", "8 µF, 450 V"),
    ("C1 .005 mfd 1.6 KV buffer", "0.005 µF, 1600 V, buffer"),
    ("C1 16 mfd 450 V 525 V surge", "16 µF, 450 V, surge 525 V"),
    ("C1 .1 mfd 250 VAC", "0.1 µF, 250 V AC"),
    ("C1 .1 mfd 275 V~ X2", "0.1 µF, 275 V AC, X2"),
    ("C1 4700 pF 250 V AC Y2", "0.0047 µF, 250 V AC, Y2"),
    // Tolerances. Common practice, no source; GMV: EIA-198, from memory.
    ("C1 100 mmf 10%", "100 pF, ±10 %"),
    ("C1 100 mmf 5 %", "100 pF, ±5 %"),
    ("C1 100 mmf ±5%", "100 pF, ±5 %"),
    ("C1 100 mmf ± 2 %", "100 pF, ±2 %"),
    ("C1 100 mmf +-10%", "100 pF, ±10 %"),
    ("C1 100 mmf +/- 10%", "100 pF, ±10 %"),
    ("C1 100 mmf 20 percent", "100 pF, ±20 %"),
    ("C1 8 mfd -10 +50 %", "8 µF, -10 +50 %"),
    ("C1 8 mfd -10/+50%", "8 µF, -10 +50 %"),
    ("C1 8 mfd +100 -10 %", "8 µF, -10 +100 %"),
    ("C1 .01 mfd -20% +80%", "0.01 µF, -20 +80 %"),
    ("C1 .005 mfd GMV disc", "0.005 µF, -0 +100 %, ceramic"),
    // Dielectrics. Common practice, no source.
    ("C1 .1 mfd waxed paper", "0.1 µF, paper"),
    ("C1 .1 mfd molded paper", "0.1 µF, moulded paper"),
    ("C1 .1 mfd bathtub", "0.1 µF, oil paper"),
    ("C1 .1 mfd oil-filled", "0.1 µF, oil paper"),
    ("C1 .1 mfd paper in oil", "0.1 µF, oil paper"),
    ("C1 8 mfd wet electrolytic", "8 µF, wet electrolytic"),
    ("C1 8 mfd elect.", "8 µF, electrolytic"),
    ("C1 8 mfd dry electrolytic", "8 µF, electrolytic"),
    ("C1 250 mmf postage stamp mica", "250 pF, mica"),
    ("C1 250 mmf silver mica", "250 pF, silver mica"),
    ("C1 250 mmf silvered-mica", "250 pF, silver mica"),
    ("C1 10 mmf NPO", "10 pF, ceramic"),
    ("C1 .1 mfd polypropylene", "0.1 µF, polypropylene"),
    ("C1 .1 mfd POLYESTER", "0.1 µF, polyester"),
    ("C1 16 mfd 150 V NP electrolytic", "16 µF, 150 V, electrolytic, NonPolarised"),
    // Roles, in any place among the rest. Common practice, no source.
    ("C1 .05 mfd coupling", "0.05 µF, coupling"),
    ("C1 coupling 400 V .05 mfd paper", "0.05 µF, 400 V, paper, coupling"),
    ("C1 .05 mfd line bypass", "0.05 µF, across the line"),
    ("C1 .05 mfd across the line", "0.05 µF, across the line"),
    ("C1 .05 mfd screen bypass", "0.05 µF, screen bypass"),
    ("C1 .05 mfd AVC", "0.05 µF, AVC filter"),
    ("C1 16 mfd first filter", "16 µF, first filter"),
    ("C1 25 mfd cathode bypass 25 V", "25 µF, 25 V, cathode bypass"),
    ("C1 600 mmf padder mica", "600 pF, mica, padder"),
    // Variable parts: the greatest value counts. Common practice, no source.
    ("C1 10-365 mmf variable", "365 pF"),
    ("C1 3-30 mmf trimmer", "30 pF"),
    ("C1 gang 420 mmf", "420 pF"),
    // Several sections in one can. Common practice, no source.
    ("C1 8-8 mfd 450 V", "C1A: 8 µF, 450 V; C1B: 8 µF, 450 V"),
    ("C1 20-20-20 MFD 450 V", "C1A: 20 µF, 450 V; C1B: 20 µF, 450 V; C1C: 20 µF, 450 V"),
    ("C1 40-20 mfd 150 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 150 V"),
    ("C1 40 - 20 mfd 150 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 150 V"),
    ("C1 40+20 mfd 150 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 150 V"),
    ("C1 20-20 mfd 450-25 V", "C1A: 20 µF, 450 V; C1B: 20 µF, 25 V"),
    ("C1 40 mfd 150 V 20 mfd 25 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 25 V"),
    ("C1 40-40 mfd 150 V 20 mfd 25 V", "C1A: 40 µF, 150 V; C1B: 40 µF, 150 V; C1C: 20 µF, 25 V"),
    (
        "C1 20-20 mfd 450 V B1, B2 to chassis",
        "C1A: 20 µF, 450 V, B1 to chassis; C1B: 20 µF, 450 V, B2 to chassis",
    ),
    ("C1 .1-.1 mfd 400 V paper", "C1A: 0.1 µF, 400 V, paper; C1B: 0.1 µF, 400 V, paper"),
    // Ohms. Common practice, no source.
    ("R1 470", "470 Ω"),
    ("R1 470 ohms", "470 Ω"),
    ("R1 470 ohm.", "470 Ω"),
    ("R1 470\u{3a9}", "470 Ω"),
    ("R1 470 \u{2126}", "470 Ω"),
    ("R1 470ω", "470 Ω"),
    ("R1 470K", "470 kΩ"),
    ("R1 470 k", "470 kΩ"),
    ("R1 470 K ohms", "470 kΩ"),
    ("R1 470 kΩ", "470 kΩ"),
    ("R1 470k-ohm", "470 kΩ"),
    ("R1 2.2 meg", "2.2 MΩ"),
    ("R1 2.2 MEG", "2.2 MΩ"),
    ("R1 2.2meg.", "2.2 MΩ"),
    ("R1 2.2 megohms", "2.2 MΩ"),
    ("R1 2.2 MΩ", "2.2 MΩ"),
    ("R1 2,2 meg", "2.2 MΩ"),
    ("R1 .5 meg", "500 kΩ"),
    ("R1 1/2 meg", "500 kΩ"),
    ("R1 ½ meg", "500 kΩ"),
    ("R1 1½ meg", "1.5 MΩ"),
    ("R1 1,000,000", "1 MΩ"),
    ("R1 1.5", "1.5 Ω"),
    ("R1 .25 ohm", "0.25 Ω"),
    // A letter for the point. IEC 60062:2016, from memory.
    ("R1 4K7", "4.7 kΩ"),
    ("R1 4k7", "4.7 kΩ"),
    ("R1 R47", "0.47 Ω"),
    ("R1 47R", "47 Ω"),
    ("R1 4R7", "4.7 Ω"),
    ("R1 1M2", "1.2 MΩ"),
    ("R1 1M0", "1 MΩ"),
    ("R1 2G2", "2200 MΩ"),
    ("R1 5L6", "0.0056 Ω"),
    ("R1 4K7J", "4.7 kΩ, ±5 %"),
    ("R1 6K8M", "6.8 kΩ, ±20 %"),
    ("R1 R33K", "0.33 Ω, ±10 %"),
    ("R1 220RJ", "220 Ω, ±5 %"),
    ("R1 100KJ", "100 kΩ, ±5 %"),
    ("R1 1M0F", "1 MΩ, ±1 %"),
    // Watts. Common practice, no source.
    ("R1 470K 1/2W", "470 kΩ, 0.5 W"),
    ("R1 470K 1/2 W", "470 kΩ, 0.5 W"),
    ("R1 470K ½W", "470 kΩ, 0.5 W"),
    ("R1 470K ½ watt", "470 kΩ, 0.5 W"),
    ("R1 470K-1/2W", "470 kΩ, 0.5 W"),
    ("R1 470K, 1/4 W, 10%", "470 kΩ, 0.25 W, ±10 %"),
    ("R1 470K .5 W 5%", "470 kΩ, 0.5 W, ±5 %"),
    ("R1 1 watt 470K", "470 kΩ, 1 W"),
    ("R1 150 ohms 10 watts wire wound", "150 Ω, 10 W, Wirewound"),
    ("R1 470K carbon comp.", "470 kΩ, CarbonComposition"),
    ("R1 500K volume control", "500 kΩ"),
    // Coils. Common practice, no source.
    ("L1 12 H 250 ohm", "12 H, 250 Ω"),
    ("L1 12 Hy filter choke 75 ma", "12 H, 75 mA, FilterChoke"),
    ("L1 2.5 mH", "2.5 mH"),
    ("L1 500 uH", "500 µH"),
    ("L1 field coil 1800 ohm B1 to B2", "1.8 kΩ, FieldCoil, B1 to B2"),
    // Tubes and transformers. Common practice, no source.
    ("V1 6v6gt", "6V6GT"),
    ("V1 6V6-GT", "6V6GT"),
    ("V1 6V6 GT # output", "6V6GT, 'output'"),
    ("V2 12SK7 1=chassis 8=B2 g2=scr", "12SK7, 1=chassis, 8=B2, g2=scr"),
    ("V1 80 1=B0 4=B0", "80, 1=B0, 4=B0"),
    (
        "T1 power primary 1 to 2 117 V secondary 3 to 5 tap 4 500 V CT 180 ohm",
        "PowerTransformer, Primary 1-2 117 V, Secondary 3-5 tap 4 500 V 180 Ω",
    ),
    (
        "T1 power primary 1 to 2 117 V\n   secondary 3 to 5 tap 4 500 V CT 180 ohm\n   heater 6 to 7 6.3 V",
        "PowerTransformer, Primary 1-2 117 V, Secondary 3-5 tap 4 500 V 180 Ω, Heater 6-7 6.3 V",
    ),
    ("T2 output primary 1 to 2 200 ohm", "OutputTransformer, Primary 1-2 200 Ω"),
    // Lamps, fuses, dry rectifiers. Common practice, no source.
    ("PL1 6.3 V .15 A", "6.3 V, 150 mA"),
    ("PL1 6.3 volts 150 ma", "6.3 V, 150 mA"),
    ("F1 1 amp", "1 A"),
    ("F1 1/2 A", "500 mA"),
    ("F1 3/4 amp 250 V", "250 V, 750 mA"),
    ("SR1 selenium 100 ma", "100 mA, Selenium"),
    // Designators and places. Common practice, no source.
    ("c7 .05 mfd v2.6 to gnd", "0.05 µF, V2.6 to chassis"),
    ("C-7 .05 mfd V2.G1 to B-", "0.05 µF, V2.g1 to B-"),
    ("C7: .05 mfd V2.6 to V3.5", "0.05 µF, V2.6 to V3.5"),
    ("C1A 40 mfd 150 V B1 to B-", "40 µF, 150 V, B1 to B-"),
    ("C7 .05 mfd LINE to Neutral", "0.05 µF, line to neutral"),
    ("C7 .05 mfd hot to ground", "0.05 µF, line to chassis"),
    ("R3 470K V2.6 → B2", "470 kΩ, V2.6 to B2"),
    ("C3, C4 .05 mfd 400 V", "C3: 0.05 µF, 400 V; C4: 0.05 µF, 400 V"),
    ("C3 & C4 .05 mfd", "C3: 0.05 µF; C4: 0.05 µF"),
    ("R3-R5 470K", "R3: 470 kΩ; R4: 470 kΩ; R5: 470 kΩ"),
    ("C1A, C1B 40-20 mfd 150 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 150 V"),
    ("C1A/C1B 40-20 mfd 150 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 150 V"),
    ("C1A/B 40-20 mfd 150 V", "C1A: 40 µF, 150 V; C1B: 20 µF, 150 V"),
    // Remarks and areas. Common practice, no source.
    ("C7 .05 mfd # by the switch", "0.05 µF, 'by the switch'"),
    ("C7 .05 mfd \"mounted upright\"", "0.05 µF, 'mounted upright'"),
    ("C7 .05 mfd in \"under band switch\"", "0.05 µF, in under band switch"),
    // A line that goes on.
    ("C7 .05 mfd\n   400 V paper\n   V2.6 to V3.5", "0.05 µF, 400 V, paper, V2.6 to V3.5"),
    (
        "C1 20-10 mfd\n\t450 V\n\tB1, B2 to B-",
        "C1A: 20 µF, 450 V, B1 to B-; C1B: 10 µF, 450 V, B2 to B-",
    ),
    // What the whole sheet says of M.
    ("read M as thousand\nR1 470M", "470 kΩ"),
    ("read M as thousand\nR1 1M", "1 kΩ"),
    ("R1 250 M\nread M as thousand", "250 kΩ"),
    ("read M as million\nR1 50M", "50 MΩ"),
    ("read M as thousand\nR1 2 meg", "2 MΩ"),
    ("read M as thousand\nR1 2M2", "2.2 MΩ"),
];

#[test]
fn what_leaves_no_doubt_is_read_without_a_note() {
    assert!(PLAIN.len() >= 160, "{}", PLAIN.len());
    hold(PLAIN, |text| {
        let mut out = read(text);
        for note in &Sheet::read(text).notes {
            let _ = write!(out, " [{}]", note.message);
        }
        out
    });
}

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

/// What cannot be read, or must not be: the text, and every warning and error
/// it gives, as `line:column message`.
const BAD: &[(&str, &str)] = &[
    // Lines that start with nothing known.
    (
        "paper .05 400 V",
        "1:1 'paper' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, read, wire, area",
    ),
    (
        "C1 8 mfd\nThe rest is under the chassis",
        "2:1 'The' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, read, wire, area",
    ),
    ("C .05 mfd", "1:1 'C' has no number; expected a designator such as C1"),
    ("R 470K", "1:1 'R' has no number; expected a designator such as R1"),
    (
        "7C .05 mfd",
        "1:1 '7C' does not start a line; expected a designator such as C7 or R12, or set, mains, supply, read, wire, area",
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
    ("C1 .05 mfd 400 V 600 V", "1:18 '600 V' is a second rating; the first one counts"),
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
        "area under switch: C7 paper",
        "1:23 'paper' is no designator; expected names of parts such as C7",
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

/// The lines that speak of the set, as what they say.
#[test]
fn the_lines_of_the_set_are_read() {
    let header = |text: &str| {
        let sheet = Sheet::read(text);
        let header = sheet.header;
        let mut out: Vec<String> = Vec::new();
        out.extend(header.name);
        out.extend(header.mains.map(|v| v.to_string()));
        out.extend(header.frequency.map(|f| f.to_string()));
        out.extend(header.power.map(|p| p.to_string()));
        out.extend(header.high_line.map(|v| format!("high {v}")));
        out.extend(header.fuse.map(|a| format!("fuse {a}")));
        out.extend(header.touch_limit.map(|a| format!("touch {a}")));
        out.extend(header.cord.map(|c| format!("{c:?}")));
        out.extend(header.supply.map(|s| format!("{s:?}")));
        out.extend(header.rectification.map(|r| format!("{r:?}")));
        out.extend(header.secondary.map(|v| format!("secondary {v}")));
        out.extend(header.centre_tapped.then(|| "tapped".to_owned()));
        out.extend(sheet.wires.iter().map(|w| {
            let places: Vec<String> = w.places.iter().map(ToString::to_string).collect();
            format!("wire {}", places.join("="))
        }));
        out.extend(sheet.areas.iter().map(|a| format!("{}: {}", a.name, a.parts.join(" "))));
        out.extend(sheet.notes.iter().map(note));
        out.join(", ")
    };
    hold(
        &[
            ("set     Kitchen table set, 1947", "Kitchen table set, 1947"),
            ("SET Bench # mine", "Bench"),
            ("mains   117 V 60 Hz, 35 W", "117 V, 60 Hz, 35 W"),
            ("mains 117 volts 60 cycles 35 watts two-wire", "117 V, 60 Hz, 35 W, TwoWire"),
            (
                "mains 230 V 50 Hz three-wire fuse 1 A high 253 V touch .25 mA",
                "230 V, 50 Hz, high 253 V, fuse 1 A, touch 250 µA, ThreeWire",
            ),
            ("mains 110 V DC", "110 V, 0 Hz"),
            ("mains 117 V AC 60 cps", "117 V, 60 Hz"),
            ("supply transformer", "Transformer"),
            (
                "supply transformer full-wave 350-0-350 V",
                "Transformer, FullWave, secondary 700 V, tapped",
            ),
            ("supply 350-0-350", "secondary 700 V, tapped"),
            ("supply 700 V CT", "secondary 700 V, tapped"),
            ("supply series-string half-wave", "SeriesString, HalfWave"),
            ("supply AC/DC", "SeriesString"),
            ("supply vibrator", "Vibrator"),
            ("supply battery", "Battery"),
            ("supply doubler", "Doubler"),
            ("wire V2.8 to chassis", "wire V2.8=chassis"),
            ("wire V2.8 V3.8 and gnd", "wire V2.8=V3.8=chassis"),
            ("area under band switch: C7 C8 R3", "under band switch: C7 C8 R3"),
            ("area \"IF can\": C7, C8-C10 C1A/B", "IF can: C7 C8 C9 C10 C1A C1B"),
        ],
        header,
    );
}
