//! Small sheets, written as a person would, against hand arithmetic and
//! handbook worked examples.
//!
//! The source of each figure stands beside it. "Separate simulation" is a
//! time-stepped rectifier written apart from this project's code.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use firstglow::circuit::report::{CapacitorReport, FallOf, NodeReport, Report, report};
use firstglow::notation::note::Level;
use firstglow::sheet::Sheet;

fn read(text: &str) -> Report {
    let report = report(&Sheet::read(text));
    assert_eq!(report.trouble, None, "{text}");
    report
}

fn node<'r>(report: &'r Report, name: &str) -> &'r NodeReport {
    report.nodes.iter().find(|n| n.name == name).unwrap_or_else(|| panic!("no node {name}"))
}

fn volts(report: &Report, name: &str) -> f64 {
    node(report, name).running_v.unwrap()
}

fn capacitor<'r>(report: &'r Report, key: &str) -> &'r CapacitorReport {
    report.capacitors.iter().find(|c| c.key == key).unwrap()
}

#[track_caller]
fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted} ± {within}");
}

/// Whether a note on a line says so.
fn notes(report: &Report, line: usize, words: &str) -> bool {
    report.notes.iter().any(|n| n.line == line && n.message.contains(words))
}

#[test]
fn a_divider() {
    // 250 V over 100 k and 150 k: 150 V; own arithmetic. 20 % parts move it by
    // 0.2 × 250 × 0.6 × 0.4 × √2 = 17 V, and the ohmmeter reads 150 k.
    let r = read("BT1 battery 250 V B1 to chassis\nR1 100K B1 to tap\nR2 150K tap to chassis");
    near(volts(&r, "tap"), 150.0, 1e-6);
    let band = node(&r, "tap").band_v.unwrap();
    // The 10 MΩ meter takes 0.6 % of it.
    near(0.5 * (band.most - band.least), 17.0, 0.5);
    near(node(&r, "tap").ohms.unwrap(), 150e3, 0.1);
}

#[test]
fn what_a_meter_makes_of_it() {
    // 100 V behind 470 k: 1000 ohm a volt on its 250 V range reads 34.7 V, ten
    // megohms 95.5 V; own arithmetic, V·Rm/(Rm + Rs).
    let text = "BT1 battery 100 V B1 to chassis\nR1 470K B1 to far\nC1 .1 uF far to chassis";
    for (ohms, shown) in [(250e3, 34.7), (5e6, 91.4), (10e6, 95.5)] {
        let mut sheet = Sheet::read(text);
        sheet.header.meter_ohms = Some(ohms);
        near(node(&report(&sheet), "far").meter_v.unwrap(), shown, 0.05);
    }
}

#[test]
fn cathode_bias_is_bias_by_current() {
    // Handbook rule R = bias / cathode current, at the published typical
    // operation (receiving-tube manuals, from memory): 6J5 250 V, -8 V, 9 mA:
    // 889 ohms; 6V6GT 250 V, -12.5 V, 45 + 4.5 mA: 252 ohms.
    let r = read(
        "BT1 battery 258 V B1 to chassis\nV1 6J5 p=B1 g=gr k=k1\nR1 470K gr to chassis\n\
         R2 889 ohm k1 to chassis",
    );
    near(volts(&r, "k1"), 8.0, 0.3);
    let r = read(
        "BT1 battery 262.5 V B1 to chassis\nV1 6V6GT p=B1 g2=B1 g1=gr k=k1\nR1 470K gr to chassis\n\
         R2 252 ohm k1 to chassis",
    );
    near(volts(&r, "k1"), 12.5, 0.5);
    near(r.tubes[0].plate_watts, 11.25, 0.6);
}

#[test]
fn a_resistor_in_the_negative_leg_makes_the_bias() {
    // 60 mA through 208 ohms: 12.5 V, 0.75 W; own arithmetic.
    let r = read(
        "BT1 battery 262.5 V B1 to B-\nR1 208 ohm 2 W chassis to B-\nR2 4167 ohm B1 to chassis\n\
         R3 250K gr to B-\nC1 25 uF 25 V electrolytic chassis to B-\nR4 1M gr to chassis",
    );
    near(volts(&r, "chassis") - volts(&r, "B-"), 12.5, 0.05);
    let watts = r.resistors.iter().find(|r| r.key == "R1").unwrap().watts;
    near(watts, 0.75, 0.01);
    near(capacitor(&r, "C1").stress_v.unwrap(), 12.5, 0.05);
}

#[test]
fn a_leaky_coupling_capacitor_moves_the_grid() {
    // 200 V, 20 MΩ of leak into 470 k would put 4.6 V on the grid; so that it
    // moves by no more than 0.1 V it needs 940 MΩ; own arithmetic,
    // V·Rg/(Ri + Rg). Here the plate stands at 200 V.
    let r = read(
        "BT1 battery 200 V B1 to chassis\nV1 6V6GT p=B1 g2=B1 g1=gr k=k1\nR1 470K gr to chassis\n\
         R2 10K k1 to chassis\nC1 .02 uF B1 to gr",
    );
    let own = capacitor(&r, "C1");
    assert_eq!(own.leak_moves.as_deref(), Some("grid of V1"));
    // The grid itself leaks a little at its contact potential.
    near(own.required_insulation.unwrap() / 1e6, 940.0, 20.0);
}

#[test]
fn a_bleeder_discharges_and_a_capacitor_without_one_stays_charged() {
    // 47 µF at 450 V through 2.2 k to 50 V: R C ln 9 = 0.227 s; own arithmetic.
    let r = read(
        "BT1 battery 450 V B1 to chassis\nC1 47 uF 450 V electrolytic B1 to chassis\n\
         R1 2.2K 100 W B1 to chassis\nR2 1M B1 to B2\nC2 1 uF B2 to far\nR3 1M far to chassis\n\
         C3 8 uF B3 to chassis\nBT2 battery 300 V B3 to chassis",
    );
    let Some(FallOf::After { seconds, through }) = &capacitor(&r, "C1").fall else { panic!() };
    near(*seconds, 0.2272, 0.002);
    assert_eq!(through.as_deref(), Some("R1"));
    let Some(FallOf::Stays { volts }) = capacitor(&r, "C3").fall else { panic!() };
    near(volts, 300.0, 0.01);
    // The curve of each follows the exponential: one time constant is 0.1034 s.
    let curve = r.curve.unwrap();
    let own = &curve.volts[curve.keys.iter().position(|k| k == "C1").unwrap()];
    for (seconds, volts) in curve.seconds.iter().zip(own) {
        near(*volts, 450.0 * (-seconds / 0.1034).exp(), 3.0);
    }
}

/// 350-0-350 V with 150 ohms a plate.
fn full_wave(farads: &str, load: &str) -> Report {
    read(&format!(
        "mains 117 V 60 Hz\nsupply transformer 350-0-350 V\n\
         T1 power primary 1 to 2 117 V .001 ohm\n secondary 3 to 5 tap 4 700 V CT 300 ohm\n\
         V1 5Y3GT 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\n\
         C1 {farads} uF 600 V electrolytic B0 to chassis\n{load}"
    ))
}

#[test]
fn a_full_wave_supply() {
    // Separate simulation with 50 V at 125 mA, 10 µF, 70 mA: 375 V, 35.1 V of
    // ripple peak to peak, 254 mA peak (limit 400); no load at 125 V of line:
    // √2 × 350 × 125/117 = 529 V; own arithmetic.
    let r = full_wave("10", "R1 5357 ohm 50 W B0 to chassis");
    let supply = &r.supplies[0];
    assert_eq!(supply.topology, "full-wave");
    near(supply.volts, 375.0, 2.0);
    near(supply.ripple_pp_v.unwrap(), 35.1, 1.0);
    near(supply.peak_ma.unwrap(), 254.0, 8.0);
    near(supply.no_load_v, 528.8, 0.2);
    assert_eq!(supply.max_peak_ma, Some(400.0));
    near(supply.inverse_v, 2.0 * 528.8, 0.5);
    // With 22 µF the peak hardly changes: 255 mA and 16.0 V.
    let r = full_wave("22", "R1 5371 ohm 50 W B0 to chassis");
    near(r.supplies[0].peak_ma.unwrap(), 255.0, 8.0);
    near(r.supplies[0].ripple_pp_v.unwrap(), 16.0, 0.5);
}

#[test]
fn an_unloaded_filter_sees_the_crest_of_the_high_line() {
    let r = full_wave("10", "L1 10 H 300 ohm B0 to B1\nC2 10 uF 450 V electrolytic B1 to chassis");
    let own = capacitor(&r, "C2");
    near(own.stress_v.unwrap(), 528.8, 2.0);
}

#[test]
fn a_half_wave_supply_on_the_line() {
    // Separate simulation with 21 V at 200 mA, 22 ohms, 40 µF, 70 mA at 117 V:
    // 117 V, 22.5 V of ripple peak to peak, 469 mA peak (limit 600).
    let r = read(
        "mains 117 V 60 Hz\nsupply series-string half-wave\nR1 22 ohm 5 W line to pl\n\
         V1 35Z5GT 5=pl 8=B0\nwire neutral to B-\nC1 40 uF 150 V electrolytic B0 to B-\n\
         R2 1671 ohm 20 W B0 to B-",
    );
    let supply = &r.supplies[0];
    assert_eq!(supply.topology, "half-wave");
    near(supply.volts, 117.0, 1.0);
    near(supply.ripple_pp_v.unwrap(), 22.5, 0.7);
    near(supply.peak_ma.unwrap(), 469.0, 15.0);
}

#[test]
fn a_bridge_a_doubler_and_a_selenium_stack() {
    // Crest less two silicon drops at hardly any load: 141.4 - 1.3 V; own
    // arithmetic, drops from memory of data.
    let bridge = read(
        "mains 117 V 60 Hz\nsupply transformer bridge 100 V\n\
         T1 power primary 1 to 2 117 V .001 ohm\n secondary 3 to 4 100 V 1 ohm\n\
         D1 silicon T1.3 to B0\nD2 silicon T1.4 to B0\nD3 silicon chassis to T1.3\n\
         D4 silicon chassis to T1.4\nC1 100 uF 200 V electrolytic B0 to chassis\n\
         R1 100K 1 W B0 to chassis",
    );
    assert_eq!(bridge.supplies[0].topology, "bridge");
    near(bridge.supplies[0].volts, 140.0, 0.7);
    // Twice the crest of 117 V less two drops, hardly loaded: 330 V.
    let doubler = read(
        "mains 117 V 60 Hz\nsupply series-string doubler\nD1 silicon line to B1\n\
         D2 silicon B- to line\nC1 40 uF 200 V electrolytic B1 to neutral\n\
         C2 40 uF 200 V electrolytic neutral to B-\nR1 470K 1 W B1 to B-",
    );
    assert_eq!(doubler.supplies[0].topology, "doubler");
    near(doubler.supplies[0].volts, 329.6, 1.5);
    // Separate simulation, 22 ohms, 40 µF, 65 mA at 117 V: 146 V behind silicon.
    // Restorers find B+ 5 to 20 V higher when silicon takes the place of a
    // good stack; common practice, no source.
    let selenium = read(
        "mains 117 V 60 Hz\nsupply series-string half-wave\nR1 22 ohm 5 W line to ac\n\
         SR1 selenium 65 mA ac to B0\nwire neutral to B-\nC1 40 uF 200 V electrolytic B0 to B-\n\
         R2 2160 ohm 20 W B0 to B-",
    );
    assert!((126.0..141.0).contains(&selenium.supplies[0].volts), "{:?}", selenium.supplies[0]);
}

#[test]
fn a_choke_comes_first() {
    // 0.9 of 350 V less the rectifier's drop and 60 mA in 250 ohms of choke and
    // winding: about 315 - 31 - 9 - 6; handbook rule, own arithmetic.
    let r = read(
        "mains 117 V 60 Hz\nsupply transformer 350-0-350 V\n\
         T1 power primary 1 to 2 117 V .001 ohm\n secondary 3 to 5 tap 4 700 V CT 200 ohm\n\
         V1 5Y3GT 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\nL1 filter choke 12 H 150 ohm B0 to B1\n\
         C1 10 uF 450 V electrolytic B1 to chassis\nR1 4.5K 50 W B1 to chassis",
    );
    near(volts(&r, "B1"), 270.0, 8.0);
    // 4/(3 pi) of 495 V at 120 Hz through 12 H and 10 uF: 149 V by 67, effective.
    near(r.supplies[0].ripple_rms_v.unwrap(), 2.21, 0.1);
    let choke = r.supplies[0].choke.as_ref().unwrap();
    // R/(6 pi f): 4500/1131; the same load 315/(1131 x 12) of an ampere.
    near(choke.critical_h.unwrap(), 3.98, 0.05);
    near(choke.needed_ma.unwrap(), 23.2, 0.3);
    assert!(choke.flows && choke.cold_flows && choke.capacitors == ["C1"], "{choke:?}");
}

#[test]
fn a_choke_of_too_little_load_lets_the_volts_climb() {
    let r = read(
        "mains 117 V 60 Hz\nsupply transformer 350-0-350 V\n\
         T1 power primary 1 to 2 117 V .001 ohm\n secondary 3 to 5 tap 4 700 V CT 200 ohm\n\
         V1 5Y3GT 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\nL1 filter choke 6 H 150 ohm B0 to B1\n\
         C1 10 uF 600 V electrolytic B1 to chassis\nR1 40K 10 W B1 to chassis",
    );
    // 36 H would be critical: the volts lie between 2/pi of the crest and it.
    let choke = r.supplies[0].choke.as_ref().unwrap();
    near(choke.critical_h.unwrap(), 35.4, 0.3);
    assert!(!choke.flows && choke.least_ma <= 0.0, "{choke:?}");
    assert!((340.0..470.0).contains(&volts(&r, "B1")), "{}", volts(&r, "B1"));
    assert!(notes(&r, 7, "its current stops between the pulses"), "{:?}", r.notes);
    // Less load, more volts.
    let lighter = read(
        "mains 117 V 60 Hz\nsupply transformer 350-0-350 V\n\
         T1 power primary 1 to 2 117 V .001 ohm\n secondary 3 to 5 tap 4 700 V CT 200 ohm\n\
         V1 5Y3GT 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\nL1 filter choke 6 H 150 ohm B0 to B1\n\
         C1 10 uF 600 V electrolytic B1 to chassis\nR1 200K 10 W B1 to chassis",
    );
    assert!(volts(&lighter, "B1") > volts(&r, "B1") + 20.0);
    // Without inductance on the sheet one is taken, and said.
    let field = read(
        "mains 117 V 60 Hz\nsupply transformer 350-0-350 V\n\
         T1 power primary 1 to 2 117 V .001 ohm\n secondary 3 to 5 tap 4 700 V CT 200 ohm\n\
         V1 5Y3GT 4=T1.3 6=T1.5 8=B0\nwire T1.4 to chassis\nL1 field coil 1000 ohm B0 to B1\n\
         C1 10 uF 600 V electrolytic B1 to chassis\nR1 4.5K 50 W B1 to chassis",
    );
    assert!(
        field.assumed.iter().any(|a| a.text.contains("10 H taken for L1")),
        "{:?}",
        field.assumed
    );
}

#[test]
fn a_battery_set() {
    // 1T4 at 90 V and 67.5 V, no bias: 3.5 and 1.4 mA (receiving-tube manuals,
    // from memory).
    let r = read(
        "supply battery\nBT1 battery 90 V B1 to A-\nBT2 battery 67.5 V B2 to A-\n\
         BT3 battery 1.4 V A+ to A-\nV1 1T4 1=A- 2=B1 3=B2 6=gr 7=A+\nR1 1M gr to A-",
    );
    let tube = &r.tubes[0];
    near(tube.plate_ma, 3.5, 0.4);
    near(tube.screen_ma, 1.4, 0.3);
    assert!(r.supplies.is_empty());
}

#[test]
fn the_heaters_of_a_string_add_up() {
    // 12.6·3 + 50 + 35 = 122.8 V at 150 mA (own arithmetic); a 300 mA type
    // among them is told.
    let string = "mains 117 V 60 Hz\nsupply series-string\nV1 12SA7 2=a\nV2 12SK7 2=b\n\
                  V3 12SQ7 7=c\nV4 50L6GT 2=d\nV5 35Z5GT 2=e\nR1 1K a to b";
    let heaters = report(&Sheet::read(string)).heaters.unwrap();
    near(heaters.sum_v, 122.8, 0.01);
    near(heaters.ma, 150.0, 0.01);
    assert!(heaters.odd.is_empty());
    let odd = string.replace("V2 12SK7", "V2 6SK7");
    assert_eq!(report(&Sheet::read(&odd)).heaters.unwrap().odd, ["V2"]);
}

#[test]
fn a_lit_regulator_discharges_to_its_own_voltage_and_no_further() {
    // 10 uF from 300 V through 10 k and the lit tube, in tenths of a second, to
    // some 147 V, where it goes out; then through 1 M: 10 s ln(147/50) = 10.8 s.
    // Without the tube 10 s ln 6 = 17.9 s. Own arithmetic; 0D3 from memory.
    let text = "BT1 battery 300 V B1 to chassis\nR1 10K 5 W B1 to B150\nR2 1M B1 to chassis\n\
                C1 10 uF 450 V electrolytic B1 to chassis\nV1 0D3 2=chassis 5=B150";
    let fall = |r: &Report| match capacitor(r, "C1").fall {
        Some(FallOf::After { seconds, .. }) => seconds,
        ref other => panic!("{other:?}"),
    };
    let lit = read(text);
    near(fall(&lit), 11.2, 0.4);
    assert!(lit.assumed.iter().any(|a| a.line == 5 && a.text.contains("taken as lit")));
    let dark = read(&text.replace("5=B150", "5=far"));
    near(fall(&dark), 17.9, 0.1);
    assert!(!dark.assumed.iter().any(|a| a.text.contains("taken as lit")));
}

#[test]
fn a_regulator_holds_and_its_tube_out_is_the_stress() {
    // 0D3 holds 150 V (from memory); out, 250 V less nothing.
    let r = read(
        "BT1 battery 250 V B1 to chassis\nR1 5K 5 W B1 to B150\nV1 0D3 2=chassis 5=B150\n\
         C1 .1 uF 400 V paper B150 to chassis",
    );
    near(volts(&r, "B150"), 150.0, 3.0);
    let own = capacitor(&r, "C1");
    // Nothing feeds a battery set's states with a tube out; cold it is lit.
    assert!(own.stress_v.unwrap() >= 149.0, "{own:?}");
}

#[test]
fn slips_are_noted_on_their_lines() {
    let r = report(&Sheet::read(
        "BT1 battery 250 V B1 to chassis\n\
         V1 6J5 6=tie p=B1 g=gr\n\
         R1 470K gr to chassis\n\
         R2 1K tie to chassis\n\
         R3 47K B1 to B1\n\
         C1 10 uF 450 V electrolytic chassis to B1\n\
         V2 6SN8GT 5=B1\n\
         C2 .01 uF B1 to nowhere\n\
         R4 10K 1/4 W B1 to chassis\n\
         R5 1K V9.3 to chassis\n\
         wire B1 to plus",
    ));
    assert!(notes(&r, 2, "pin 6 leads to nothing"), "{:#?}", r.notes);
    assert!(notes(&r, 2, "its cathode has no place"));
    assert!(notes(&r, 5, "both leads are at"));
    // Which lead is positive is the plan's to say, with a hazard.
    assert!(!notes(&r, 6, "turn the places round"));
    assert!(notes(&r, 7, "'6SN8GT' is not in the table"));
    let unknown = r.notes.iter().find(|n| n.line == 7).unwrap();
    assert!(unknown.choices.iter().any(|c| c.label.contains("6SN7GT")), "{:?}", unknown.choices);
    assert!(notes(&r, 8, "nothing else is at nowhere"));
    assert!(notes(&r, 9, "6.25 W run in a part of"));
    assert!(notes(&r, 10, "no part V9 stands on this sheet"));
    assert!(notes(&r, 11, "one node has the names"));
    // All that is sound is computed all the same.
    near(volts(&r, "gr"), 0.0, 0.5);
}

#[test]
fn a_cathode_that_leads_nowhere_is_noted() {
    let r = report(&Sheet::read(
        "BT1 battery 250 V B1 to chassis\nV1 6J5 p=B1 g=gr k=k1\nR1 470K gr to chassis\n\
         C1 25 uF 25 V electrolytic k1 to chassis",
    ));
    assert!(notes(&r, 2, "its cathode has no way to chassis"), "{:#?}", r.notes);
}

#[test]
fn resistances_that_no_part_has_and_sources_that_fight_stop_nothing() {
    // Zero ohms are a wire; a negative value is no value.
    let r = report(&Sheet::read(
        "BT1 battery 90 V B1 to chassis\nR1 0 ohm B1 to B2\nR2 -5 ohm B2 to chassis\nR3 1K B2 to chassis",
    ));
    near(volts(&r, "B2"), 90.0, 1e-6);
    let fight = report(&Sheet::read(
        "BT1 battery 90 V B1 to chassis\nBT2 battery 45 V B1 to chassis\nR1 1K B1 to chassis",
    ));
    assert!(fight.trouble.as_deref().is_some_and(|t| t.contains("BT2")), "{:?}", fight.trouble);
    assert!(fight.nodes.iter().any(|n| n.ohms.is_some()), "the ohmmeter's side stands");
}

#[test]
fn what_floats_is_left_open_and_the_rest_is_told() {
    let r = read(
        "BT1 battery 90 V B1 to chassis\nR1 1K B1 to chassis\nR2 1M x to y\nC1 .1 uF x to chassis",
    );
    assert_eq!(node(&r, "x").running_v, None);
    assert_eq!(capacitor(&r, "C1").stress_v, None);
    near(volts(&r, "B1"), 90.0, 1e-9);
}

#[test]
fn a_sheet_without_supply_says_so_once_and_reads_its_ohms() {
    let r = report(&Sheet::read("R1 100K B1 to chassis\nR2 47K B1 to B2"));
    assert!(r.trouble.unwrap().starts_with("no supply was found"));
    assert!(r.notes.iter().all(|n| n.level == Level::Warning), "B2 stands alone");
    let b1 = r.nodes.iter().find(|n| n.name == "B1").unwrap();
    near(b1.ohms.unwrap(), 100e3, 0.1);
}
