//! Buffers of vibrator sets: found in every arrangement, and replaced.

use firstglow::plan::plan;
use firstglow::plan::types::{Decision, PlannedPart};
use firstglow::sheet::Sheet;
use firstglow::trade::role::Role;

fn part(text: &str, key: &str) -> PlannedPart {
    plan(&Sheet::read(text)).parts.into_iter().find(|p| p.key == key).unwrap()
}

/// An auto set with a tube rectifier; the secondary's tap on the chassis.
const AUTO: &str = "set Auto set\nsupply vibrator\n\
    T1 \"vibrator transformer\" primary 1 to 2 tap 3 secondary 4 to 5 tap 6 480 V\n\
    VB1 vibrator 1=T1.1 2=chassis 3=T1.2\nV5 6X5GT 3=T1.4 5=T1.5 8=B0\n\
    wire T1.3 to A+\nwire T1.6 to chassis\nC50 16 mfd 400 V electrolytic B0 to chassis\n";

/// A farm set whose vibrator rectifies too: the tap is B+.
const SYNCHRONOUS: &str = "supply vibrator\n\
    T1 power primary p1 to p2 tap p3 secondary s1 to s2 tap s3\n\
    VIB1 1=T1.p1 2=T1.p2 3=chassis 4=T1.s1 5=T1.s2\nwire T1.p3 to A+\nwire T1.s3 to B0\n\
    C50A 8 mfd 350 V electrolytic B0 to chassis\n";

/// Known by the vibrator on it alone: no supply line, plates by their pins.
const UNSAID: &str = "V6 0Z4 3=pa 5=pb 8=B0\nX1 \"vibrator, 4 pins\" 1=va 2=vb 3=chassis\n\
    T9 secondary 4 to 5 tap 6\nwire T9.4 to pa\nwire T9.5 to pb\nwire T9.6 to chassis\n";

/// Workshop practice: a buffer is 1600 V or the old mark, whichever is more,
/// and keeps its value (common practice, no source).
#[test]
fn a_capacitor_on_the_high_voltage_winding_is_a_buffer_in_every_arrangement() {
    for (set, line, volts) in [
        (AUTO, "C1 .008 1600 V paper T1.4 to T1.5", 1600.0),
        (AUTO, "C1 .01 1200 V mica T1.4 to T1.6", 1600.0),
        (AUTO, "C1 .015 1000 V paper chassis to T1.5", 1600.0),
        (AUTO, "C1 .0075 2000 V mica V5.3 to V5.5", 2000.0),
        (AUTO, "R9 5000 T1.4 to damp\nC1 .005 1600 V mica damp to T1.5", 1600.0),
        (AUTO, "C1 .02 600 V mica T1.1 to T1.2", 1600.0),
        (AUTO, "C1 .007 1600 V ceramic T1.4 to T1.5 tone", 1600.0),
        (AUTO, "C1 .007 1600 V paper T1.4 to chassis trimmer", 1600.0),
        (SYNCHRONOUS, "C1 .0068 1600 V mica T1.s1 to T1.s2", 1600.0),
        (SYNCHRONOUS, "C1 .01 1600 V oil VIB1.4 to VIB1.5", 1600.0),
        (SYNCHRONOUS, "C1 .0047 1500 V mica T1.s2 to T1.s3", 1600.0),
        (SYNCHRONOUS, "C1 .01 1600 V silver mica T1.s1 to chassis across line", 1600.0),
        (UNSAID, "C1 .005 1600 V mica pa to pb", 1600.0),
        (UNSAID, "C1 .006 2000 V paper pb to chassis", 2000.0),
        (UNSAID, "C1 .02 100 V paper va to vb", 1600.0),
        // Marked new: by whom and when is not on the sheet.
        (AUTO, "C1 .008 1600 V film new T1.4 to T1.5", 1600.0),
        (SYNCHRONOUS, "C1 .01 1600 V new T1.s1 to chassis", 1600.0),
        (UNSAID, "C1 .0068 2000 V polypropylene buffer new pa to pb", 2000.0),
    ] {
        let found = part(&format!("{set}{line}\n"), "C1");
        assert_eq!(found.role.map(|r| r.value), Some(Role::Buffer), "{line}");
        assert_eq!(found.decision, Decision::Replace, "{line}");
        let new = found.replacement.unwrap_or_else(|| panic!("{line}: {}", found.reason));
        assert!(new.dielectric.is_film(), "{line}: {}", new.text);
        assert!((new.rating_v - volts).abs() < 1e-9, "{line}: {}", new.text);
        let old = found.old.picofarads.unwrap();
        assert!((new.picofarads / old - 1.0).abs() <= 0.05 + 1e-9, "{line}: {}", new.text);
    }
}

#[test]
fn filters_and_spark_plates_of_such_sets_are_no_buffers() {
    for (set, line, role) in [
        (AUTO, "", Some(Role::Reservoir)),
        (SYNCHRONOUS, "", Some(Role::Reservoir)),
        (AUTO, "C50 .5 100 V paper A+ to chassis", Some(Role::SparkPlate)),
        (
            AUTO,
            "V4 6V6GT 3=pl 5=gr 8=k\nC50 .01 600 V paper pl to chassis",
            Some(Role::PlateBypass),
        ),
    ] {
        let text = if line.is_empty() {
            set.to_owned()
        } else {
            format!("{}{line}\n", set.replace("C50 16", "C51 16"))
        };
        let key = if set == SYNCHRONOUS { "C50A" } else { "C50" };
        assert_eq!(part(&text, key).role.map(|r| r.value), role, "{line}");
    }
}

#[test]
fn the_same_places_of_a_set_without_a_vibrator_ask_for_no_buffer() {
    let text = "supply transformer\nT1 power primary 1 to 2 secondary 4 to 5 tap 6 650 V\n\
                V5 80 2=T1.4 3=T1.5 1=B0\nwire T1.6 to chassis\nC1 .01 1600 V mica T1.4 to chassis\n";
    assert_eq!(part(text, "C1").role.map(|r| r.value), Some(Role::RectifierRf));
}
