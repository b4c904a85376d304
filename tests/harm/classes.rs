//! Class X across the line and class Y to metal that hands touch, by the places
//! as they are typed, whatever words stand beside them.

use firstglow::plan::plan;
use firstglow::plan::types::{Decision, Plan, PlannedPart, Severity};
use firstglow::sheet::Sheet;
use firstglow::trade::dielectric::Dielectric;
use firstglow::trade::role::Role;
use firstglow::trade::safety::SafetyClass;

mod random;

fn planned(text: &str) -> Plan {
    plan(&Sheet::read(text))
}

fn part<'a>(plan: &'a Plan, key: &str) -> &'a PlannedPart {
    plan.parts.iter().find(|p| p.key == key).unwrap_or_else(|| panic!("{key} is not planned"))
}

fn class(plan: &Plan, key: &str) -> Option<SafetyClass> {
    part(plan, key).replacement.as_ref().and_then(|new| new.class)
}

fn is_y(class: Option<SafetyClass>) -> bool {
    matches!(class, Some(SafetyClass::Y1 | SafetyClass::Y2))
}

fn is_x_or_y(class: Option<SafetyClass>) -> bool {
    class.is_some()
}

fn hazard<'a>(plan: &'a Plan, id: &str) -> Option<&'a firstglow::plan::types::Hazard> {
    plan.hazards.iter().find(|h| h.id == id)
}

/// Five tubes with .15 A heaters, B- apart from the chassis.
const MINIATURE: &str = "mains 117 V 60 Hz
supply series-string half-wave
V1 12BE6 1=osc 2=k1 3=h1 4=h0 5=p1 6=B1 7=g1
V2 12BA6 1=avc 2=B- 3=h1 4=h2 5=p2 6=B1 7=k2
V3 12AV6 1=af 2=B- 3=h0 4=B- 5=det 6=det 7=p3
V4 50C5 1=k4 2=gr4 3=h2 4=h3 6=B1 7=p4
V5 35W4 3=h3 4=line 5=tap 6=tap 7=B0
PL1 6.3 V .15 A line to tap
S1 neutral to B-
R1 470K B- to chassis
R2 150 k4 to B-
R3 1K B0 to B1
C50A 50 mfd 150 V electrolytic B0 to B-
C50B 30 mfd 150 V electrolytic B1 to B-
";

/// Six-volt tubes at .3 A behind a dropper, B- apart.
const DROPPER: &str = "mains 115 V 60 Hz
supply series-string
F1 1 A line to l2
R20 160 25 W l2 to h4
V1 6D6 1=h1 6=B-
V2 6C6 1=h2 6=h1
V3 43 1=h3 6=h2 2=p3 3=B1 4=gr3 5=B-
V4 25Z5 1=h4 6=h3 2=l2 5=l2 3=B0 4=B0
wire neutral to B-
R21 3000 10 W B0 to B1
C50A 16 mfd 150 V electrolytic B0 to B-
C50B 16 mfd 150 V electrolytic B1 to B-
";

/// 220 V, 100 mA heaters, a surge resistor ahead of the rectifier.
const EUROPEAN: &str = "mains 220 V 50 Hz
supply series-string
R30 160 5 W line to a5
SR1 silicon a5 to B0
R31 900 20 W line to s1
PL1 18 V .1 A s1 to s2
V1 6SA7 2=s3 7=s2
wire s3 to B-
S1 neutral to B-
C50 50 mfd 350 V electrolytic B0 to B-
";

#[test]
fn everything_between_a_set_on_the_line_and_metal_asks_for_class_y() {
    for (set, more, key) in [
        (MINIATURE, "C1 .01 400 V paper earth to chassis", "C1"),
        (MINIATURE, "C1 .005 600 V paper ground to B-", "C1"),
        (MINIATURE, "C1 .1 200 V paper chassis to B-", "C1"),
        (MINIATURE, "C1 .02 400 V paper panel to k2", "C1"),
        (MINIATURE, "J1 \"earphone\" 1=eph 2=epr\nC1 .05 400 V paper p4 to eph", "C1"),
        (MINIATURE, "J1 \"earphone\" 1=eph 2=epr\nC1 .05 400 V paper epr to B-", "C1"),
        (MINIATURE, "J2 remote 1=q1\nC1 .25 200 V paper q1 to h2", "C1"),
        (MINIATURE, "T1 primary 1 to 2\nJ1 antenna 1=T1.1\nC1 .001 mica T1.2 to B-", "C1"),
        (MINIATURE, "C1 .05 200 V paper shaft-of-R6 to avc", "C1"),
        (MINIATURE, "C1 .05 200 V paper spk-frame to B1", "C1"),
        (DROPPER, "C1 .1 400 V paper case to B-", "C1"),
        (DROPPER, "BP1 ground 1=post1\nC1 .002 mica post1 to B-", "C1"),
        (DROPPER, "TS1 \"phono input\" 1=x1 2=x2\nC1 .01 400 V paper x2 to B-", "C1"),
        (DROPPER, "P2 \"pickup\" 1=pk\nR9 1K pk to pk2\nC1 .02 400 V paper pk2 to gr3", "C1"),
        (DROPPER, "C1 .01 600 V paper h3 to chassis", "C1"),
        (DROPPER, "C1 .01 600 V paper l2 to cabinet", "C1"),
        (EUROPEAN, "C1 .01 1000 V paper B- to antenna", "C1"),
        (EUROPEAN, "C1 5000 mmf mica earth to B-", "C1"),
        (EUROPEAN, "C1 .02 600 V paper s2 to knob", "C1"),
        (EUROPEAN, "SO1 \"external speaker\" 1=es1\nC1 .5 400 V paper es1 to B0", "C1"),
    ] {
        let plan = planned(&format!("{set}{more}\n"));
        assert!(is_y(class(&plan, key)), "{more}: {:?}", part(&plan, key));
        let new = part(&plan, key);
        let touch = new.working.iter().find(|w| w.of == "touch current").unwrap();
        assert_eq!(touch.rule.split(';').next(), Some("I = 2π·f·C·V"), "{more}");
        // Own arithmetic: a +20 % part at the high line stays within 0.5 mA.
        let farads = new.replacement.as_ref().unwrap().picofarads * 1.2e-12;
        let (volts, hertz) = (plan.supply.high_line_v, plan.supply.frequency_hz);
        assert!(std::f64::consts::TAU * hertz * farads * volts <= 0.5e-3, "{more}");
    }
}

#[test]
fn everything_across_the_line_asks_for_class_x_through_what_carries_it() {
    for (set, more) in [
        (MINIATURE, "C1 .05 400 V paper tap to B-"),
        (MINIATURE, "C1 .05 400 V paper h3 to neutral"),
        (MINIATURE, "C1 .01 400 V paper h1 to B-"),
        (MINIATURE, "F1 2 A line to lf\nL1 choke lf to lg\nC1 .1 400 V paper lg to B-"),
        (DROPPER, "C1 .1 400 V paper l2 to neutral"),
        (DROPPER, "C1 .05 400 V paper h4 to B-"),
        (DROPPER, "S2 l2 to l3\nC1 .05 400 V paper l3 to neutral"),
        (EUROPEAN, "C1 .05 1000 V paper a5 to B-"),
        (EUROPEAN, "C1 .05 1000 V paper s2 to neutral"),
        ("supply transformer\nF1 1 A line to fl\nS1 neutral to sn\n", "C1 .1 600 V fl to sn"),
        (
            "supply transformer\nT1 power primary 1 to 2 heater 3 to 4\nwire line to T1.1\n\
             L1 choke neutral to T1.2\n",
            "C1 .05 600 V paper T1.1 to T1.2",
        ),
    ] {
        let plan = planned(&format!("{set}{more}\n"));
        assert!(is_x_or_y(class(&plan, "C1")), "{more}: {:?}", part(&plan, "C1"));
    }
}

#[test]
fn circuits_of_such_a_set_stay_what_they_are() {
    let plan = planned(&format!(
        "{MINIATURE}C1 .05 200 V paper k2 to B-\nC2 .1 200 V paper B1 to B-\n\
         C3 .01 400 V paper p3 to gr4\nC4 .05 200 V paper avc to B-\n\
         C5 365 mmf gang g1 to chassis\nC6 100 mmf mica det to B-\n"
    ));
    for key in ["C1", "C2", "C3", "C4", "C6", "C50A", "C50B"] {
        assert_eq!(class(&plan, key), None, "{key}");
    }
    assert_eq!(part(&plan, "C5").decision, Decision::Clean);
    assert_eq!(part(&plan, "C50A").role.unwrap().value, Role::Reservoir);
}

#[test]
fn ground_is_the_chassis_of_a_set_with_a_transformer_and_a_terminal_on_the_line() {
    let circuit = "C1 .05 400 V paper k1 to gnd\nR1 330 k1 to chassis\nC2 .01 600 V line to earth\n\
                   C3 .1 400 V paper common to B1\nR2 10K B1 to ground\n";
    let apart = planned(&format!("supply transformer\n{circuit}"));
    assert_eq!(class(&apart, "C1"), None);
    assert!(is_y(class(&apart, "C2")));
    assert_eq!(class(&apart, "C3"), None);
    assert!(hazard(&apart, "live-contact").is_none());
    let sheet = Sheet::read(&format!("supply transformer\n{circuit}"));
    let wiring = firstglow::circuit::wiring::Wiring::of(&sheet);
    assert_eq!(wiring.named("gnd"), wiring.named("chassis"));
    let sheet = Sheet::read(&format!("supply series-string\n{circuit}"));
    let wiring = firstglow::circuit::wiring::Wiring::of(&sheet);
    assert_ne!(wiring.named("gnd"), wiring.named("chassis"));
    assert_eq!(wiring.named("gnd"), wiring.named("earth"));
    let tied = planned(&format!("supply series-string\nwire ground to chassis\n{circuit}"));
    assert_eq!(part(&tied, "C2").role.unwrap().value, Role::LineToChassis);
}

#[test]
fn a_contact_on_the_line_is_a_danger() {
    for (set, more, keys) in [
        (MINIATURE, "J1 \"phono\" 1=vol 2=B-", vec!["J1"]),
        (MINIATURE, "J1 \"ground terminal\" 1=neutral", vec!["J1"]),
        (MINIATURE, "T1 primary 1 to 2\nwire T1.2 to B-\nBP1 antenna 1=T1.1", vec!["BP1"]),
        (MINIATURE, "S3 B- to sleeve\nSO2 speaker 1=sp 2=sleeve", vec!["SO2"]),
        (DROPPER, "J4 \"phones\" 1=B1 2=p3", vec!["J4"]),
        (EUROPEAN, "wire B- to chassis\nJ9 \"record\" 1=rec 2=chassis", vec!["J9"]),
        (EUROPEAN, "wire B- to cabinet", vec![]),
    ] {
        let plan = planned(&format!("{set}{more}\n"));
        let found = hazard(&plan, "live-contact").unwrap_or_else(|| panic!("{more}"));
        assert_eq!(found.severity, Severity::Danger);
        assert_eq!(found.parts, keys, "{more}");
    }
    for (set, more) in [
        (MINIATURE, "J1 \"phono\" 1=vol 2=phs\nC1 .05 400 V phs to B-"),
        (MINIATURE, "P1 \"line plug\" 1=line 2=neutral"),
        (MINIATURE, "P1 1=line 2=neutral"),
        ("supply transformer\n", "J1 \"phono\" 1=vol 2=chassis\nJ2 ground 1=chassis"),
    ] {
        let plan = planned(&format!("{set}{more}\n"));
        assert!(hazard(&plan, "live-contact").is_none(), "{more}");
    }
}

#[test]
fn a_short_of_the_line_is_a_danger_and_classes_follow_the_places_as_typed() {
    for (ties, by) in [
        ("wire line to neutral", vec![]),
        ("wire line to x\nwire x to neutral", vec![]),
        ("F1 1 A line to neutral", vec!["F1"]),
        ("R9 0 ohm line to y\nF2 2 A y to neutral", vec!["R9", "F2"]),
        ("wire line to chassis\nwire neutral to chassis", vec![]),
    ] {
        for supply in ["transformer 300-0-300 V", "series-string"] {
            let plan = planned(&format!(
                "supply {supply}\n{ties}\nC1 .05 400 V paper line to neutral\n\
                 C2 .01 400 V paper line to chassis\nC3 .02 400 V paper neutral to chassis\n"
            ));
            let found = hazard(&plan, "line-shorted").unwrap_or_else(|| panic!("{ties}"));
            assert_eq!(found.severity, Severity::Danger);
            assert_eq!(found.title, "The line is shorted as drawn");
            assert_eq!(found.parts, by, "{ties}");
            assert!(is_x_or_y(class(&plan, "C1")), "{ties} {supply}");
            assert!(is_y(class(&plan, "C2")), "{ties} {supply}: {:?}", part(&plan, "C2"));
            assert!(is_y(class(&plan, "C3")), "{ties} {supply}: {:?}", part(&plan, "C3"));
        }
    }
}

#[test]
fn a_wire_of_the_line_on_the_chassis_is_a_hot_chassis_with_nothing_plain_on_the_line() {
    for tie in ["wire neutral to chassis", "wire line to chassis", "F1 1 A neutral to chassis"] {
        for supply in ["transformer", "series-string", "transformer 300-0-300 V"] {
            let plan = planned(&format!(
                "supply {supply}\n{tie}\nC1 .05 400 V paper line to neutral\n\
                 C2 .01 400 V paper line to chassis\nC3 .02 400 V paper neutral to chassis\n"
            ));
            let hot = hazard(&plan, "hot-chassis").unwrap();
            assert_eq!(hot.title, "The chassis itself is on the line");
            assert!(hot.what_can_happen.contains("a wire of the line goes to the chassis"));
            assert!(hazard(&plan, "line-shorted").is_none(), "{tie}");
            for key in ["C1", "C2", "C3"] {
                assert!(is_x_or_y(class(&plan, key)), "{tie} {supply} {key}");
            }
        }
    }
}

#[test]
fn letter_and_value_make_the_kind_and_words_only_the_construction() {
    use firstglow::sheet::part::PartKind as K;
    for (line, kind) in [
        ("C26 .02 600 V paper line to chassis cord", K::Capacitor),
        ("C26 .01 mfd adjustable V1.p to V2.g1", K::Capacitor),
        ("C26 .05 400 V gang", K::Capacitor),
        ("C26 8 mfd 450 V variable", K::Capacitor),
        ("C26 .005 volume control tone", K::Capacitor),
        ("C26 500 mmf paper trimmer", K::Capacitor),
        ("VC3 .05 400 V paper B- to chassis", K::Capacitor),
        ("TC1 .02 mfd line to chassis", K::Capacitor),
        ("C1A 365 mmf gang", K::VariableCapacitor),
        ("C1 .00035 gang", K::VariableCapacitor),
        ("C9 75-150 mmf trimmer", K::VariableCapacitor),
        ("C9 3-30 mica trimmer", K::VariableCapacitor),
        ("C9 tuning gang", K::VariableCapacitor),
        ("TC1 3-30 mmf", K::VariableCapacitor),
        ("R6 500K volume control", K::Potentiometer),
        ("R7 220 ohm 25 W cord", K::Resistor),
        ("R7 160 ohm line cord resistor", K::ResistanceCord),
        ("R8 10K adjustable", K::Potentiometer),
        ("L3 osc coil adjustable", K::Coil),
        ("T4 IF 455 kc trimmer", K::Transformer),
        ("S1 control 1=line 2=T1.1", K::Switch),
        ("J3 phono control 2=phs", K::Connector),
        ("W1 160 ohm resistance cord", K::ResistanceCord),
        ("A7 3-30 mmf trimmer", K::VariableCapacitor),
    ] {
        assert_eq!(Sheet::read(line).parts[0].kind, kind, "{line}");
    }
    let gang = planned("supply series-string\nC1 .00035 gang");
    assert_eq!(part(&gang, "C1").decision, Decision::Clean);
    assert_eq!(part(&gang, "C1").old.picofarads, Some(350.0));
}

#[test]
fn a_trimmer_between_line_and_metal_asks_for_its_class_too() {
    for (set, line) in [
        (MINIATURE, "C1 3-30 mmf trimmer B- to chassis"),
        (MINIATURE, "TC1 100 mmf line to cabinet"),
        (DROPPER, "C1 50 mmf trimmer ground to B-"),
        ("supply transformer\n", "C1 300 mmf gang neutral to chassis"),
    ] {
        let plan = planned(&format!("{set}{line}\n"));
        let key = line.split(' ').next().unwrap();
        assert!(is_y(class(&plan, key)), "{line}: {:?}", part(&plan, key));
    }
}

/// Every phrase of the vocabulary, from its own source, and every label.
fn words() -> Vec<String> {
    let source = include_str!("../../src/notation/vocabulary.rs");
    let mut words: Vec<String> = source
        .lines()
        .filter_map(|line| line.trim().strip_prefix("(\"")?.split_once("\", W::"))
        .map(|(word, _)| word.to_owned())
        .collect();
    assert!(words.len() > 150, "the vocabulary is read");
    words.extend(Dielectric::ALL.iter().map(|d| d.label().to_owned()));
    words.extend(Role::ALL.iter().map(|r| r.label().to_owned()));
    words
}

/// Words that are no pair of places.
fn descriptions() -> impl Iterator<Item = String> {
    words().into_iter().filter(|word| !word.contains(" to "))
}

/// What is proposed at a line place, whatever its words: nothing plain.
fn holds(plan: &Plan, key: &str, metal: bool, what: &str) {
    let part = part(plan, key);
    if let Some(new) = &part.replacement {
        assert!(new.class.is_some(), "{what}: plain {}", new.text);
        assert!(!metal || is_y(new.class), "{what}: {}", new.text);
        return;
    }
    let carries = part.reason.contains("It carries class");
    let refused = part.decision == Decision::Replace;
    assert!(carries || refused, "{what}: {:?} {}", part.decision, part.reason);
}

#[test]
fn no_word_takes_a_class_away() {
    let places: [(&str, &str, bool); 7] = [
        (MINIATURE, "line to chassis", true),
        (MINIATURE, "B- to chassis", true),
        (MINIATURE, "earth to B-", true),
        (MINIATURE, "tap to B-", false),
        (DROPPER, "l2 to neutral", false),
        (EUROPEAN, "B- to antenna", true),
        ("supply transformer\n", "neutral to chassis", true),
    ];
    for word in descriptions() {
        // Two of the places for each word.
        for turn in 0..2 {
            let at = (word.len() + turn * 3) % places.len();
            let (set, leads, metal) = &places[at];
            let value = [".02 400 V", ".05 mfd 600 V paper", ".001 mica"][at % 3];
            for line in [
                format!("C1 {value} {leads} {word}"),
                format!("C1 {word} {value} {leads}"),
                format!("C1 {value} {leads}\n   mark: course of the {word}"),
            ] {
                let plan = planned(&format!("{set}{line}\n"));
                holds(&plan, "C1", *metal, &line);
            }
        }
    }
}

/// Off the line a word that names no role and no class asks for none either.
#[test]
fn no_word_of_description_adds_a_class() {
    let roles_and_classes = |word: &str| {
        use firstglow::notation::vocabulary::{Meaning, meaning};
        matches!(meaning(word), Some(Meaning::Role(_) | Meaning::Class(_) | Meaning::Line))
    };
    for word in words().into_iter().filter(|w| !roles_and_classes(w)) {
        for leads in ["k2 to B-", "p3 to gr4"] {
            let plan = planned(&format!("{MINIATURE}C1 .02 400 V paper {leads} {word}\n"));
            assert_eq!(class(&plan, "C1"), None, "{leads} {word}");
        }
    }
}
