//! The role of every capacitor of the three example sets, by where it sits.
//!
//! The expected roles are those a technician would give from the schematic;
//! common practice, no source.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use firstglow::notation::note::Level;
use firstglow::plan::plan;
use firstglow::plan::types::{Basis, Plan};
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use firstglow::trade::role::Role::{self, *};

fn planned(id: &str, without_words: bool) -> Plan {
    let text = EXAMPLES.iter().find(|e| e.id == id).unwrap().text;
    let mut sheet = Sheet::read(text);
    if without_words {
        // Roles that the sheet states are taken away: the place alone decides.
        sheet.parts.iter_mut().for_each(|p| p.role = None);
    }
    plan(&sheet)
}

/// Every capacitor has the role listed, the place being enough to find it.
fn check(id: &str, expected: &[(&str, Role)]) {
    let plan = planned(id, true);
    let found: Vec<(&str, Option<Role>)> = plan
        .parts
        .iter()
        .filter(|p| p.designator.letters == "C")
        .map(|p| (p.key.as_str(), p.role.map(|r| r.value)))
        .collect();
    let wanted: Vec<(&str, Option<Role>)> =
        expected.iter().map(|(key, role)| (*key, Some(*role))).collect();
    for (found, wanted) in found.iter().zip(&wanted) {
        assert_eq!(found, wanted, "{id}");
    }
    assert_eq!(found.len(), wanted.len(), "{id}");
    let placed = |p: &&firstglow::plan::types::PlannedPart| {
        p.role.is_some_and(|r| r.value != Tuning) && p.designator.letters == "C"
    };
    for part in plan.parts.iter().filter(placed) {
        assert_eq!(part.role.unwrap().basis, Basis::Placed, "{id} {}", part.key);
    }
}

#[test]
fn the_table_set() {
    check(
        "table-set",
        &[
            ("C1A", Tuning),
            ("C1B", Tuning),
            ("C2A", Tuning),
            ("C2B", Tuning),
            ("C3", AntennaIsolation), // antenna to the loop of a set on the line
            ("C6", OscillatorGrid),   // oscillator coil to grid 1 of the converter
            ("C8", Tuning),
            ("C9", Tuning),
            ("C10", Tuning),
            ("C11", Tuning),
            ("C4", AcrossLine),
            ("C5", BMinusToChassis),
            ("C7", Avc),
            ("C12", CathodeBypassRf), // IF stage, paper
            ("C13", DiodeFilter),
            ("C14", DiodeFilter), // behind 47 kΩ, still the detector's load
            ("C15", GridCoupling),
            ("C16", Bypass), // radio frequency off the first audio plate
            ("C17", Coupling),
            ("C18", PlateBypass), // output plate to its cathode
            ("C19", SupplyBypass),
            ("C20A", Reservoir),
            ("C20B", Smoothing),
            ("C20C", CathodeBypassAudio),
        ],
    );
}

#[test]
fn the_console() {
    check(
        "console",
        &[
            ("C1A", Tuning),
            ("C1B", Tuning),
            ("C1C", Tuning),
            ("C2A", Tuning),
            ("C2B", Tuning),
            ("C2C", Tuning),
            ("C3", Tuning),
            ("C4", Tuning),
            ("C5", Tuning),
            ("C6", Tuning),
            ("C7", OscillatorGrid),
            ("C8", Avc),
            ("C9", CathodeBypassRf),
            ("C10", ScreenBypass),
            ("C11", ScreenBypass),
            ("C12", CathodeBypassRf),
            ("C13", Avc),
            ("C14", Coupling), // IF plate to the AVC diode: B+ stands across it
            ("C15", DiodeFilter),
            ("C16", DiodeFilter),
            ("C17", GridCoupling),
            ("C18", VolumeCompensation),
            ("C19", Bypass),
            ("C20", Coupling),
            ("C21", Tone),
            ("C22", Coupling),
            ("C23", Coupling), // from the inverter's cathode, 80 V above the grid
            ("C24", PlateBypass), // across the output transformer's primary
            ("C25", Avc),      // the eye's grid, fed through 1 MΩ from the detector
            ("C26", LineToChassis),
            ("C27", SupplyBypass),
            ("C28", Reservoir),
            ("C29A", Smoothing),
            ("C29B", Decoupling),
            ("C30", BiasBypass),
        ],
    );
}

#[test]
fn the_bench_instrument() {
    check(
        "bench-instrument",
        &[
            ("C1", LineToChassis),
            ("C2", LineToChassis),
            ("C3", AcrossLine),
            ("C4A", Reservoir),
            ("C4B", Smoothing),
            ("C5", SupplyBypass),
            ("C6", SupplyBypass),
            ("C7", Bypass), // the heater line
            ("C8", Tuned),  // across the source's coil
            ("C9", GridCoupling),
            ("C10", CathodeBypassAudio),
            ("C11", Coupling), // plate to a control that leads to a grid
            ("C12", GridCoupling),
            ("C13", CathodeBypassAudio),
            ("C14", Tuned), // across the bridge transformer
            ("C15", SupplyBypass),
            ("C16", Tuned), // the standards of the bridge: their value is the scale
            ("C17", Tuned),
            ("C18", Tuned),
            ("C19", Tuned),
            ("C20", Tuned),
            ("C21", Tuned),
            ("C22", Tuning),
            ("C23", Tuning),
            ("C24", Tuned),
            ("C25", GridCoupling),
            ("C26", CathodeBypassAudio),
            ("C27", ScreenBypass),
            ("C28", Coupling),
            ("C29", GridCoupling),
            ("C30", CathodeBypassAudio),
            ("C31", ScreenBypass),
            ("C32", Coupling), // plate to the twin T ahead of the grid
            ("C33", Tuned),    // the twin T, 2 %
            ("C34", Tuned),
            ("C35", Tuned),
            ("C36", Coupling),
            ("C37", Avc), // the rectified null voltage at the eye's grid
            ("C38", Decoupling),
            ("C39", Bypass), // grids of the leakage meter
            ("C40", Bypass),
        ],
    );
}

#[test]
fn each_role_says_what_it_joins() {
    let plan = planned("console", true);
    let of = |key: &str| {
        let part = plan.parts.iter().find(|p| p.key == key).unwrap();
        part.working.iter().find(|w| w.of == "role").unwrap().result.clone()
    };
    assert_eq!(
        of("C22"),
        "coupling: it joins the plate of V5 (pin 3) and the grid of V6 (pin 5), an output tube"
    );
    assert_eq!(of("C12"), "RF cathode bypass: it joins the cathode of V3 (pin 5) and the chassis");
    assert_eq!(
        of("C18"),
        "volume compensation: it lies between the wiper of R15 and a resistor to the return"
    );
    assert_eq!(of("C30"), "bias bypass: it bridges the negative leg: joins the chassis and B-");
}

#[test]
fn where_the_sheet_states_another_role_both_are_told_and_the_stated_one_decides() {
    let text = "supply transformer 350-0-350 V\nV3 6SQ7 6=pl\nV4 6V6GT 5=gr\n\
                C7 .01 uF 400 V paper tone pl to gr";
    let plan = plan(&Sheet::read(text));
    let part = &plan.parts[2];
    assert_eq!(part.role.unwrap().value, Tone);
    assert_eq!(part.role.unwrap().basis, Basis::Stated);
    assert!(
        part.working
            .iter()
            .any(|w| w.of == "other role" && w.result.to_string().starts_with("coupling"))
    );
    let note = plan.notes.iter().find(|n| n.message.contains("by its places it would be coupling"));
    assert_eq!(note.unwrap().level, Level::Reading);
}

#[test]
fn a_place_on_the_line_decides_against_the_sheet() {
    let text = "supply series-string\nC1 .05 uF 400 V paper bypass line to B-";
    let plan = plan(&Sheet::read(text));
    assert_eq!(plan.parts[0].role.unwrap().value, AcrossLine);
    assert!(plan.notes.iter().any(|n| n.level == Level::Error));
}

#[test]
fn small_sheets_of_every_other_role() {
    for (text, role) in [
        // A doubler's two in series, each across one rectifier and the line.
        (
            "mains 117 V 60 Hz\nsupply series-string doubler\n\
             D1 silicon line to B1\nD2 silicon B- to line\n\
             C1 40 uF 150 V electrolytic B1 to neutral\nC2 40 uF 150 V electrolytic neutral to B-\n\
             R1 5K 10 W B1 to B-",
            Doubler,
        ),
        (
            "supply vibrator\nT1 power secondary 3 to 5 tap 4 500 V CT\nC1 .008 uF 1600 V paper T1.3 to T1.5",
            Buffer,
        ),
        ("supply vibrator\nC1 .5 uF 100 V paper A+ to chassis", SparkPlate),
        (
            "supply transformer 250-0-250 V\nV1 5Y3GT 4=pa\nC1 .01 uF 1600 V paper pa to chassis",
            RectifierRf,
        ),
        ("supply series-string\nC1 .002 uF 600 V paper ground-terminal to B-", GroundIsolation),
        (
            "T1 \"oscillator coil\" primary 1 to 2 5 ohm\nV1 6SA7 5=osc\nC9 50 pF mica T1.1 to osc\n\
             C1 500 pF mica T1.2 to chassis",
            Padder,
        ),
        ("L1 2.5 mH 30 ohm a to b\nR1 1K a to c\nR2 1K b to chassis\nC1 100 pF mica a to b", Tuned),
    ] {
        let plan = plan(&Sheet::read(text));
        let part = plan.parts.iter().find(|p| p.key == "C1").unwrap();
        assert_eq!(part.role.map(|r| r.value), Some(role), "{text}");
    }
}
