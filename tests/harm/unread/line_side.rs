//! A capacitor on the power line whose side is not said.

use super::{errors, part};
use firstglow::plan::plan;
use firstglow::sheet::{Sheet, edit, print};
use firstglow::trade::role::Role;
use firstglow::trade::safety::SafetyClass;

const SUPPLIES: [&str; 3] =
    ["supply series-string half-wave", "supply transformer 350-0-350 V", "mains 117 V 60 Hz"];

const WORDS: [&str; 8] = [
    "line bypass",
    "line filter",
    "line capacitor",
    "line",
    "RF bypass line",
    "hash filter",
    "mains filter",
    "line noise filter",
];

#[test]
fn it_is_asked_and_no_part_is_named_until_it_is_settled() {
    for supply in SUPPLIES {
        for (words, made) in WORDS.iter().zip(["paper", "mica", "film", ""].iter().cycle()) {
            let text = format!("{supply}\nC12 .047 mfd 600 V {made} {words}");
            let sheet = Sheet::read(&text);
            assert!(part(&sheet, "C12").role.is_none(), "{text}");
            let errors = errors(&sheet, 2);
            let [asked] = errors[..] else { panic!("{text}: {errors:?}") };
            assert!(asked.choices.len() >= 2, "{asked:?}");
            let planned = plan(&sheet);
            let new = planned.parts.iter().find(|p| p.key == "C12").unwrap();
            assert!(new.replacement.is_none(), "{text}");
            for (choice, is_class) in asked.choices.iter().zip([is_x as fn(_) -> _, is_y]) {
                let settled = Sheet::read(&edit::apply(&text, &choice.edit));
                let planned = plan(&settled);
                let new = planned.parts.iter().find(|p| p.key == "C12").unwrap();
                let class = new.replacement.as_ref().and_then(|r| r.class);
                assert!(class.is_none_or(is_class), "{text}: {}: {class:?}", choice.label);
                assert!(super::errors(&settled, 2).is_empty(), "{text}");
            }
        }
    }
}

const fn is_x(class: SafetyClass) -> bool {
    matches!(class, SafetyClass::X1 | SafetyClass::X2)
}

const fn is_y(class: SafetyClass) -> bool {
    matches!(class, SafetyClass::Y1 | SafetyClass::Y2)
}

#[test]
fn places_and_plain_words_settle_it() {
    for (line, role) in [
        ("C12 .01 mfd 600 V paper line bypass line to neutral", Role::AcrossLine),
        ("C12 .01 mfd 600 V paper line filter across the line", Role::AcrossLine),
        ("C12 .01 mfd 600 V line filter X2", Role::AcrossLine),
        ("C12 .01 mfd 600 V paper line to line", Role::AcrossLine),
        ("C12 .005 mfd 600 V paper line bypass line to chassis", Role::LineToChassis),
        ("C12 .005 mfd 600 V paper line-to-chassis", Role::LineToChassis),
        ("C12 .005 mfd 600 V line bypass Y2", Role::LineToChassis),
    ] {
        let sheet = Sheet::read(&format!("supply transformer 350-0-350 V\n{line}"));
        assert!(errors(&sheet, 2).is_empty(), "{line}: {:?}", errors(&sheet, 2));
        let planned = plan(&sheet);
        let new = planned.parts.iter().find(|p| p.key == "C12").unwrap();
        assert_eq!(new.role.map(|r| r.value), Some(role), "{line}");
        let class = new.replacement.as_ref().map(|r| r.class);
        let fits = if role == Role::AcrossLine { is_x } else { is_y };
        assert!(class.is_none_or(|class| class.is_some_and(fits)), "{line}: {class:?}");
    }
}

#[test]
fn places_elsewhere_do_not_settle_it() {
    for line in [
        "C12 .01 mfd 600 V paper line bypass ? to ?",
        "C12 .01 mfd 600 V paper line filter V1.3 to V2.5",
        "C12 .01 mfd 600 V mica line capacitor det to avc",
    ] {
        let planned = plan(&Sheet::read(&format!("supply series-string\n{line}")));
        let new = planned.parts.iter().find(|p| p.key == "C12").unwrap();
        assert!(new.replacement.is_none(), "{line}");
    }
}

#[test]
fn a_lead_on_metal_asks_class_y_whatever_the_other_one_is() {
    let planned = plan(&Sheet::read(
        "supply series-string\nC12 .01 mfd 600 V paper line bypass ? to chassis",
    ));
    let new = planned.parts.iter().find(|p| p.key == "C12").unwrap();
    let class = new.replacement.as_ref().map(|r| r.class);
    assert!(class.is_none_or(|class| class.is_some_and(is_y)), "{class:?}");
}

#[test]
fn it_is_still_asked_after_it_is_printed() {
    for words in WORDS {
        let sheet = Sheet::read(&format!("C12 .047 mfd 600 V paper {words}"));
        let again = Sheet::read(&print::line(&sheet.parts[0]));
        assert!(again.parts[0].line_side_unsaid, "{words}");
        assert_eq!(print::line(&again.parts[0]), print::line(&sheet.parts[0]));
    }
}
