//! What is not closed is named, unknown and a hazard; silicon by the rectifier's
//! own inverse volts.

use super::{B_PLUS, B_PLUS_PARTS, OUTPUT, PLUGGED, T1, at, untold};
use firstglow::circuit::feed::Missing;
use firstglow::circuit::report::report;
use firstglow::plan::plan;
use firstglow::plan::types::{Decision, Plan, Severity};
use firstglow::sheet::Sheet;

/// No voltage of the set is told, and none of its parts is judged by one.
fn tells_nothing(plan: &Plan, text: &str) {
    for node in &plan.circuit.nodes {
        assert!(untold(node), "{node:?}\n{text}");
    }
    assert!(plan.supply.supplies.is_empty(), "{text}");
    assert!(plan.circuit.tubes.iter().all(|t| !t.is_known), "{text}");
    assert!(plan.circuit.discharge.curve.is_none());
    assert!(!plan.circuit.discharge.is_known, "{text}");
    for part in &plan.parts {
        assert!(part.stress.is_none(), "{part:?}\n{text}");
    }
}

/// What a set lacks, by its plan: the kinds, and the message of the first.
fn lacks(plan: &Plan) -> (Vec<Missing>, String) {
    let all = &plan.supply.unsolved;
    let own: Vec<Missing> = all.iter().map(|u| u.missing).collect();
    (own, all.first().map(|u| u.message.clone()).unwrap_or_default())
}

#[test]
fn what_is_missing_is_named_and_no_voltage_is_told() {
    let whole = format!(
        "{T1} secondary 3 to 5 tap 4 640 V CT 160 ohm\n{PLUGGED}wire T1.4 to chassis\n\
         V9 5Y3GT 4=T1.3 6=T1.5 8=B0\nC1 10 uF 500 V electrolytic B0 to chassis\n\
         R1 2K 5 W B0 to B1\nC2 10 uF 500 V electrolytic B1 to chassis\n\
         V1 6V6GT 3=p1 4=B1 5=g1 7=chassis 8=k1\nR2 5K 5 W p1 to B1\nR3 470K g1 to chassis\n\
         R4 270 1 W k1 to chassis\nC3 25 uF 50 V electrolytic k1 to chassis\n"
    );
    assert!(plan(&Sheet::read(&whole)).supply.unsolved.is_empty());
    for (part, other, missing, words) in [
        (
            "wire T1.4 to chassis\n",
            "",
            Missing::CenterTap,
            "T1: the center tap of its winding 3 to 5",
        ),
        (
            " tap 4 640 V CT",
            " 640 V",
            Missing::CenterTap,
            "T1: the center tap of its winding 3 to 5",
        ),
        (" tap 4 640 V CT", " tap 4", Missing::WindingVolts, "T1: its winding 3 to 5 has no volts"),
        ("wire T1.1 to line\n", "", Missing::Primary, "T1: its primary is not tied"),
        ("wire T1.2 to neutral\n", "", Missing::Primary, "T1: its primary is not tied"),
        ("6=T1.5 ", "", Missing::Plate, "V9: its plate (pin 6)"),
        (" 8=B0", "", Missing::Cathode, "V9: its cathode"),
        ("4=T1.3 6=T1.5 ", "", Missing::Plate, "V9: its plate"),
        ("4=T1.3 6=T1.5", "4=ht1 6=ht2", Missing::Source, "V9: no winding"),
        (
            "V9 5Y3GT 4=T1.3 6=T1.5 8=B0\n",
            "",
            Missing::Rectifier,
            "T1: no rectifier is found on its winding 3 to 5",
        ),
        ("V9 5Y3GT", "V9 5Y9X", Missing::TubeType, "V9: its tube type is not known"),
    ] {
        let text = whole.replace(part, other);
        assert_ne!(text, whole, "{part}");
        let plan = plan(&Sheet::read(&text));
        let (kinds, message) = lacks(&plan);
        assert!(kinds.contains(&missing), "{kinds:?} for {missing:?}\n{text}");
        assert!(
            plan.supply.unsolved.iter().any(|u| u.message.starts_with(words)),
            "{message} for {words}\n{text}"
        );
        tells_nothing(&plan, &text);
        let trouble = plan.circuit.trouble.as_deref().unwrap();
        assert!(trouble.contains(words), "{trouble}");
        assert!(plan.notes.iter().any(|n| n.message.starts_with(words)), "{:#?}", plan.notes);
        assert!(plan.supply.has_unknown_supply);
        let hazard = plan.hazards.iter().find(|h| h.id.starts_with("unknown-supply")).unwrap();
        assert_eq!(hazard.severity, Severity::Danger);
        assert!(hazard.what_can_happen.contains("may be live"), "{hazard:?}");
        // A bypass marked 50 V holds no more than hands may meet.
        let unknown: Vec<&str> =
            plan.charged.iter().filter(|c| c.fall.is_none()).map(|c| c.key.as_str()).collect();
        assert_eq!(unknown, ["C1", "C2"], "{text}");
    }
}

#[test]
fn the_hazard_says_how_high_an_unknown_supply_may_be() {
    // √2 × V × 125/117 of the whole winding (own arithmetic).
    for (winding, peak) in [("640 V CT", 967.0), ("900 V CT", 1359.8), ("250 V CT", 377.7)] {
        let text = format!(
            "{T1} secondary 3 to 5 tap 4 {winding} 160 ohm\n{PLUGGED}V9 5U4G 4=T1.3 6=T1.5 8=B0\n\
             C1 10 uF 600 V electrolytic B0 to chassis\nR1 20K 20 W B0 to chassis\n"
        );
        let plan = plan(&Sheet::read(&text));
        assert_eq!(lacks(&plan).0, [Missing::CenterTap]);
        let may_be = plan.supply.unsolved[0].may_be_above_v.unwrap();
        assert!((may_be - peak).abs() < 0.5, "{may_be}");
        assert!(plan.supply.highest_no_load_v.unwrap() >= may_be - 0.01);
        let hazard = plan.hazards.iter().find(|h| h.id.starts_with("unknown-supply")).unwrap();
        let words = format!("It may be above {may_be:.0} V");
        assert!(hazard.what_can_happen.contains(&words), "{hazard:?}");
        assert!(hazard.parts.contains(&"V9".to_owned()));
    }
}

#[test]
fn a_bias_that_is_not_closed_leaves_what_it_sways_unknown() {
    let own = " secondary 8 to 9 42 V 30 ohm\n";
    let bias = "D1 silicon nb to T1.8\nwire T1.9 to chassis\nC31 20 uF 100 V electrolytic chassis to nb\n\
                R31 4.7K nb to bias\nR33 12K bias to chassis\n";
    let whole = format!("{T1}{B_PLUS}{own}{PLUGGED}{B_PLUS_PARTS}{OUTPUT}{bias}");
    for (part, other, missing) in [
        (" 42 V 30 ohm", " 30 ohm", Missing::WindingVolts),
        ("wire T1.9 to chassis\n", "", Missing::Return),
        ("D1 silicon nb to T1.8\n", "", Missing::Rectifier),
        ("D1 silicon nb to T1.8", "D1 silicon nb to T1.18", Missing::Source),
    ] {
        let text = whole.replace(part, other);
        assert_ne!(text, whole);
        let plan = plan(&Sheet::read(&text));
        assert!(lacks(&plan).0.contains(&missing), "{:?}\n{text}", lacks(&plan));
        for name in ["nb", "bias", "g1", "g2", "T2.1", "T2.3", "B1", "B0"] {
            let node = plan.circuit.nodes.iter().find(|n| n.name == name);
            assert!(node.is_none_or(untold), "{node:?}\n{text}");
        }
        assert!(plan.circuit.tubes.iter().all(|t| !t.is_known), "{text}");
    }
}

#[test]
fn a_supply_that_sways_nothing_else_leaves_the_rest_known() {
    // The accelerating supply hangs on the chassis alone.
    let text = format!(
        "{T1} secondary 3 to 4 1050 ohm\n secondary 5 to 7 tap 6 600 V CT 150 ohm\n{PLUGGED}\
         wire T1.4 to chassis\nwire T1.6 to chassis\nSR1 silicon hv to T1.3\n\
         C1 .5 uF 2000 V oil hv to chassis\nR1 1 meg hv to chassis\nV8 5Y3GT 4=T1.5 6=T1.7 8=B0\n\
         C8 16 uF 450 V electrolytic B0 to chassis\nR8 9K 20 W B0 to chassis\n"
    );
    let plan = plan(&Sheet::read(&text));
    assert_eq!(lacks(&plan).0, [Missing::WindingVolts]);
    let node = |name: &str| plan.circuit.nodes.iter().find(|n| n.name == name).unwrap();
    assert!(untold(node("hv")));
    assert!(node("B0").running_v.unwrap() > 300.0);
    assert!(plan.supply.has_unknown_supply);
    let unknown: Vec<&str> =
        plan.charged.iter().filter(|c| c.fall.is_none()).map(|c| c.key.as_str()).collect();
    assert_eq!(unknown, ["C1"]);
}

#[test]
fn a_plate_that_nothing_feeds_is_not_told() {
    for (text, node) in [
        (
            "R1 100K p1 to B9\nV1 6J5 3=p1 5=g1 8=k1\nR2 2.2K k1 to chassis\nR3 1 meg g1 to chassis\n",
            "p1",
        ),
        (
            "R1 100K p1 to B0\nV1 6SJ7 8=p1 6=s1 4=g1 5=k1 3=k1\nC5 .1 uF s1 to chassis\nR2 1K k1 to chassis\nR3 1 meg g1 to chassis\n",
            "s1",
        ),
        (
            "V1 6V6GT 3=p1 4=B0 5=g1 8=k1\nR2 270 k1 to chassis\nR3 1 meg g1 to chassis\nR4 1K p1 to chassis\n",
            "p1",
        ),
    ] {
        let text = format!(
            "{T1} secondary 3 to 5 tap 4 640 V CT 160 ohm\n{PLUGGED}wire T1.4 to chassis\n\
             V9 5Y3GT 4=T1.3 6=T1.5 8=B0\nC1 10 uF 500 V electrolytic B0 to chassis\n\
             R9 20K 20 W B0 to chassis\n{text}"
        );
        let ours = report(&Sheet::read(&text));
        assert!(untold(at(&ours, node)), "{:?}\n{text}", at(&ours, node));
        assert!(at(&ours, "B0").running_v.is_some(), "{text}");
        assert!(ours.notes.iter().any(|n| n.message.contains("no part leads from a supply")));
    }
}

#[test]
fn a_dry_rectifier_is_replaced_by_its_own_inverse_volts() {
    let hv = |rest: &str| {
        format!(
            "{T1} secondary 3 to 4 {rest}\n{PLUGGED}wire T1.4 to chassis\n\
             C1 4 uF 450 V electrolytic chassis to neg\nR1 47K 2 W neg to chassis\n"
        )
    };
    // Half again 2√2 × V × 125/117: 50 V gives 227 V, 250 V 1133 V, 400 V
    // 1813 V, 1000 V 4533 V (own arithmetic).
    for (volts, rated) in [
        ("50 V 20 ohm", Some("1000 V")),
        ("250 V 90 ohm", Some("1600 V")),
        ("400 V 200 ohm", Some("2000 V")),
        ("1000 V 900 ohm", None),
    ] {
        let plan = plan(&Sheet::read(&format!("{}SR1 selenium neg to T1.3\n", hv(volts))));
        let part = plan.parts.iter().find(|p| p.key == "SR1").unwrap();
        assert_eq!(part.decision, Decision::Substitute);
        match rated {
            Some(rated) => {
                let words = format!("a silicon diode of {rated}");
                assert!(part.reason.contains(&words), "{}", part.reason);
            }
            None => assert!(part.reason.contains("No diode is named"), "{}", part.reason),
        }
    }
    // Its winding's volts are not on the sheet.
    let plan = plan(&Sheet::read(&format!("{}SR1 selenium neg to T1.3\n", hv("90 ohm"))));
    let part = plan.parts.iter().find(|p| p.key == "SR1").unwrap();
    assert!(part.reason.contains("its peak inverse voltage is not known"), "{}", part.reason);
    assert!(!part.reason.contains("1000 V"), "{}", part.reason);
}

#[test]
fn a_rectifier_whose_words_say_silicon_is_silicon() {
    for words in ["silicon", "silicon diode", "diode"] {
        let text = format!(
            "{T1} secondary 3 to 4 250 V 90 ohm\n{PLUGGED}wire T1.4 to chassis\nSR1 {words} T1.3 to B0\n\
             C1 40 uF 450 V electrolytic B0 to chassis\nR1 220K 1 W B0 to chassis\n"
        );
        let plan = plan(&Sheet::read(&text));
        let part = plan.parts.iter().find(|p| p.key == "SR1").unwrap();
        assert_eq!(part.decision, Decision::Test, "{}", part.reason);
        assert!(plan.hazards.iter().all(|h| h.id != "selenium"), "{words}");
        assert!(
            plan.supply.rectifier.as_deref() == Some("SR1 silicon"),
            "{:?}",
            plan.supply.rectifier
        );
        // Lightly loaded, a silicon drop below the crest of 353.6 V; selenium
        // loses some 4 V (own arithmetic).
        let volts = plan.supply.supplies[0].volts;
        assert!(volts > 346.0, "{volts}");
    }
}
