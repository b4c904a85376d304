//! Readings that leave no doubt.

use super::{hold, read};
use firstglow::sheet::Sheet;
use std::fmt::Write as _;

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
    ("C1 100 mmf ±10%-500V mica", "100 pF, 500 V, ±10 %, mica"),
    ("C1 100 mmf ±10% - 500 V mica", "100 pF, 500 V, ±10 %, mica"),
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
    ("C7 8 mfd 450 V, B1 to B-", "8 µF, 450 V, B1 to B-"),
    ("C7 8 mfd, B1 to B-", "8 µF, B1 to B-"),
    ("R3 470 K, V2.6 to B2", "470 kΩ, V2.6 to B2"),
    ("R3 470K, 1/2 W, 10 %, V2.6 to B2", "470 kΩ, 0.5 W, ±10 %, V2.6 to B2"),
    (
        "C7 .05 mfd, 400V, paper, coupling, V2.6 to V3.5",
        "0.05 µF, 400 V, paper, coupling, V2.6 to V3.5",
    ),
    ("C1 8-8 mfd, 450 V, B1, B2 to B-", "C1A: 8 µF, 450 V, B1 to B-; C1B: 8 µF, 450 V, B2 to B-"),
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

#[test]
fn kilovolts_joined_to_a_value_stay_kilovolts() {
    for line in ["C1 .05-1.6 KV paper", "C1 .05/1.6KV paper"] {
        let sheet = Sheet::read(line);
        let rating = sheet.parts[0].rating.map(|v| v.to_string());
        assert_eq!(rating.as_deref(), Some("1600 V"), "{line}");
    }
    let both = Sheet::read("C1 .1-.1 mfd 1-1.6 KV paper").parts;
    let ratings: Vec<String> = both.iter().filter_map(|p| Some(p.rating?.to_string())).collect();
    assert_eq!(ratings, ["1000 V", "1600 V"]);
}
