use super::*;
use crate::plan::plan;
use crate::sheet::Sheet;

fn told(text: &str, key: &str) -> Polarity {
    let plan = plan(&Sheet::read(text));
    let part = plan.parts.iter().find(|p| p.key == key).unwrap();
    part.replacement.as_ref().unwrap().polarity.clone().unwrap()
}

fn place(polarity: &Polarity) -> Option<String> {
    match polarity {
        Polarity::Positive { told, .. } => Some(told.place.to_string()),
        _ => None,
    }
}

#[test]
fn names_of_negative_rails_are_known() {
    for name in [
        "bias",
        "BIAS",
        "grid-bias",
        "biasline",
        "C-",
        "c−",
        "-C",
        "HT-",
        "-HT",
        "-150",
        "C_minus",
        "neg",
        "neg150",
        "minus",
        "B-",
    ] {
        assert!(rank(&Place::Named(name.to_owned())) <= Rank::Negative, "{name}");
    }
    for name in ["B+", "chassis", "kbias", "cathode-bias", "bias+", "neon", "screen", "HT", "C1"] {
        assert!(rank(&Place::Named(name.to_owned())) > Rank::Negative, "{name}");
    }
}

#[test]
fn without_a_voltage_the_name_of_a_negative_rail_decides() {
    for (leads, positive, doubt) in [
        ("chassis to bias", "chassis", false),
        ("bias to chassis", "chassis", true),
        ("between C- and chassis", "chassis", false),
        ("gnd to neg150", "ground", false),
        ("B- to chassis", "chassis", true),
        ("B- to bias", "B-", false),
        ("B- to B1", "B1", true),
    ] {
        let found = told(&format!("C5 50 mfd 100 V electrolytic {leads}"), "C5");
        assert_eq!(place(&found).as_deref(), Some(positive), "{leads}");
        assert_eq!(found.doubt().is_some(), doubt, "{leads}");
    }
}

#[test]
fn without_a_voltage_or_a_name_the_order_typed_is_told_as_such() {
    let found = told("C5 50 mfd 100 V electrolytic x to y", "C5");
    assert_eq!(found.to_string(), "positive to x (typed first): check the mark on the old part");
    let found = told("C5 50 mfd 100 V electrolytic x to + y", "C5");
    assert_eq!(
        found.to_string(),
        "positive to y (by the plus sign on the sheet): check the mark on the old part"
    );
    assert_eq!(told("C5 50 mfd 100 V electrolytic between x and y", "C5").positive(), None);
    assert!(told("C5 50 mfd 100 V electrolytic chassis to B1", "C5").doubt().is_some());
    assert_eq!(told("C5 50 mfd 100 V electrolytic chassis to B1", "C5").positive(), None);
}

#[test]
fn the_computed_sign_decides_and_what_contradicts_is_told() {
    let set = |leads: &str| {
        format!(
            "BT1 battery 90 V B1 to chassis\nR1 1K B1 to B2\nC5 50 mfd 100 V electrolytic {leads}"
        )
    };
    for (leads, doubt) in
        [("B2 to chassis", false), ("chassis to B2", true), ("between chassis and B2", false)]
    {
        let found = told(&set(leads), "C5");
        assert_eq!(place(&found).as_deref(), Some("B2"), "{leads}");
        assert_eq!(found.doubt().is_some(), doubt, "{leads}");
    }
    // A name does not stand against what is computed.
    let bias = "BT1 battery 90 V bias to chassis\nC5 50 mfd 100 V electrolytic bias to chassis";
    assert_eq!(place(&told(bias, "C5")).as_deref(), Some("bias"));
}

#[test]
fn a_small_sign_against_the_order_decides_nothing() {
    let text = "BT1 battery 1.5 V k to chassis\nC5 50 mfd 25 V electrolytic chassis to k";
    assert!(matches!(told(text, "C5"), Polarity::Contradiction { .. }));
}

#[test]
fn a_non_polarized_part_has_no_positive_lead() {
    let found = told("C5 10 mfd 50 V NP electrolytic a to b", "C5");
    assert!(found.is_non_polarized());
    assert_eq!(found.positive(), None);
}
