//! Capacitors whose places were not read, or are told by a number, another name
//! or a slip of the pen: nothing plain where the line or metal may be.

use firstglow::plan::plan;
use firstglow::plan::types::{Decision, Plan, PlannedPart};
use firstglow::sheet::Sheet;
use firstglow::trade::safety::SafetyClass;

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(text))
}

fn part<'a>(plan: &'a Plan, key: &str) -> &'a PlannedPart {
    plan.parts.iter().find(|p| p.key == key).unwrap_or_else(|| panic!("{key} is not planned"))
}

fn class(plan: &Plan, key: &str) -> Option<SafetyClass> {
    part(plan, key).replacement.as_ref().and_then(|new| new.class)
}

const fn is_y(class: Option<SafetyClass>) -> bool {
    matches!(class, Some(SafetyClass::Y1 | SafetyClass::Y2))
}

const SETS: [&str; 3] = [
    "supply series-string\nV1 35Z5GT 2=h1 7=h2 5=line 8=B0\nS1 neutral to B-\n",
    "mains 220 V 50 Hz\nsupply series-string\nwire neutral to chassis\n",
    "supply transformer 325-0-325 V\nT1 power primary 1 to 2 secondary 3 to 5 tap 4\n",
];

#[test]
fn a_connection_that_was_not_read_names_no_part_and_keeps_none() {
    for set in SETS {
        for line in [
            "C7 .05 400 V front panel to B-",
            "C7 .01 600 V paper one side of line to chassis",
            "C7 .002 mica metal cabinet to V1.6",
            "C7 .01 400 V line/chassis",
            "C7 .02 400 V film new phones sleeve to B-",
            "C7 .001 ceramic new B-/antenna-lead",
            "C7 .05 paper T1 primary to chassis",
            "C7 .05 400 V paper to chassis",
            "C7 .05 400 V isolating capacitor B-",
            "C7 .02 400 V coupling tape head to V1.6",
            // Two pairs of places: which of them holds is not known.
            "C7 .05 400 V V1.6 to B1 line to chassis",
        ] {
            let plan = planned(&format!("{set}{line}\n"));
            let found = part(&plan, "C7");
            assert!(found.replacement.is_none(), "{line}: {found:?}");
            assert!(matches!(found.decision, Decision::Replace | Decision::Test), "{line}");
            assert!(found.reason.contains("connection was not read"), "{line}: {}", found.reason);
        }
    }
}

/// Class Y serves both across the line and to metal; class X does not.
#[test]
fn of_two_pairs_of_places_the_lesser_class_is_not_named() {
    for set in SETS {
        for line in [
            "C7 .01 600 V line to neutral B- to antenna",
            "C7 .05 400 V V1.6 to B1 line to chassis",
            "C7 .1 250 VAC X2 new line to neutral line to chassis",
        ] {
            let plan = planned(&format!("{set}{line}\n"));
            let found = part(&plan, "C7");
            assert!(found.replacement.is_none() || is_y(class(&plan, "C7")), "{line}: {found:?}");
            assert!(found.decision != Decision::Keep, "{line}: {}", found.reason);
        }
    }
}

#[test]
fn a_fault_elsewhere_on_the_line_leaves_its_places_alone() {
    for (line, class_y) in [
        ("C7 .05 400 V foo bar V1.6 to B1", false),
        ("C7 .05 400 V B- to chassis, original", true),
        ("C7 .01 400 V line to line B- to antenna", true),
    ] {
        let plan = planned(&format!("{}{line}\n", SETS[0]));
        assert!(part(&plan, "C7").replacement.is_some(), "{line}");
        assert_eq!(is_y(class(&plan, "C7")), class_y, "{line}");
    }
}

#[test]
fn contacts_of_a_switch_or_fuse_by_their_number_are_its_leads() {
    for set in [
        SETS[0],
        "supply transformer 325-0-325 V\nS1 neutral to T1.2\nwire line to T1.1\n\
                          T1 power primary 1 to 2 secondary 3 to 5 tap 4\n",
    ] {
        let plan = planned(&format!("{set}C7 .01 400 V paper S1.1 to S1.2\n"));
        assert!(class(&plan, "C7").is_some(), "{set}: {:?}", part(&plan, "C7"));
    }
}

#[test]
fn the_role_that_asks_for_a_class_counts_wherever_it_stands() {
    for (words, metal) in [
        ("RF bypass floating chassis", true),
        ("coupling antenna isolation", true),
        ("bypass line to chassis", true),
        ("tone across line", false),
        ("across line floating chassis", true),
    ] {
        for set in SETS {
            let plan = planned(&format!("{set}C7 .01 400 V paper {words}\n"));
            let class = class(&plan, "C7");
            assert!(if metal { is_y(class) } else { class.is_some() }, "{words}: {class:?}");
        }
    }
}

#[test]
fn no_role_makes_an_electrolytic_of_a_small_value() {
    for role in ["decoupling", "smoothing", "filter", "bias bypass", "cathode bypass", "padder"] {
        for (leads, metal) in [("line to B-", false), ("cabinet to B-", true)] {
            let plan = planned(&format!("{}C7 .05 400 V {role} {leads}\n", SETS[0]));
            let class = class(&plan, "C7");
            assert!(if metal { is_y(class) } else { class.is_some() }, "{role}: {class:?}");
        }
    }
}

#[test]
fn other_names_of_the_line_and_of_metal_are_known() {
    for name in ["cord", "line-plug", "interlock", "line-hot", "ac-line", "LINE-A", "acline"] {
        let plan = planned(&format!(
            "{}C7 .05 400 V paper {name} to B-\nC8 .01 400 V {name} to chassis\n",
            SETS[0]
        ));
        assert!(class(&plan, "C7").is_some(), "{name}");
        assert!(is_y(class(&plan, "C8")), "{name}");
    }
    for name in ["chasis", "chas", "antena", "grnd", "Erde", "E", "cabnet"] {
        let plan = planned(&format!("{}C7 .05 400 V paper B- to {name}\n", SETS[0]));
        assert!(is_y(class(&plan, "C7")), "{name}: {:?}", part(&plan, "C7"));
    }
}

/// Heaters for strings by the type code (RETMA and Pro Electron, from memory).
#[test]
fn tubes_made_for_strings_tell_the_set_where_no_supply_is_said() {
    for tubes in ["V1 117N7GT", "V1 50L6GT", "V4 UL41\nV5 UY41", "V2 VCL11", "V1 70L7GT"] {
        let plan = planned(&format!("{tubes}\nC7 .02 400 V paper chassis to B-\n"));
        assert_eq!(plan.supply.line_connected, Some(true), "{tubes}");
        assert_eq!(class(&plan, "C7"), Some(SafetyClass::Y1), "{tubes}");
    }
    for tubes in ["V1 UY227\nV2 45\nV3 35/51", "V1 6V6GT\nV2 VR150", "V1 VP41"] {
        let plan = planned(&format!("{tubes}\nC7 .02 400 V paper line to chassis\n"));
        assert_ne!(plan.supply.line_connected, Some(true), "{tubes}");
        assert!(is_y(class(&plan, "C7")), "{tubes}");
    }
    // With its transformer on the sheet it hangs on that.
    let plan = planned(
        "T1 power primary 1 to 2 secondary 3 to 4 heater 5 to 6\nV1 25L6GT\n\
         C7 .02 400 V paper T1.1 to chassis\n",
    );
    assert_eq!(plan.supply.line_connected, Some(false));
    assert_eq!(class(&plan, "C7"), Some(SafetyClass::Y2));
}
