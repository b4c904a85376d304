//! Tests of it.

use super::*;
use crate::plan::plan;
use crate::sheet::examples::EXAMPLES;
use crate::ui::draw::support::assert_readable;

fn of(text: &str, key: &str) -> Card {
    let sheet = Sheet::read(text);
    card(&sheet, &Wiring::of(&sheet), &plan(&sheet), key).unwrap()
}

#[test]
fn a_coupling_capacitor_goes_from_a_plate_to_a_grid() {
    let card = of(EXAMPLES[0].text, "C17");
    let told: Vec<_> = card.leads.iter().map(|l| l.places.join("; ")).collect();
    assert_eq!(
        told,
        [
            "V3 pin 6, triode plate of 12SQ7; the point pl3",
            "V4 pin 5, grid of 50L6GT; the point gr4"
        ]
    );
    assert!(card.leads[0].bases[0].words.contains("pin 6 triode plate, pl3, C17 goes here"));
}

#[test]
fn lugs_of_transformers_stand_in_numbered_rows_with_the_right_one_marked() {
    let card = of("T3 IF\n primary 1 to 2 9 ohm\nwire T3.2 to B2\nR1 1K 1 W T3.1 to B1", "R1");
    let strip = &card.leads[0].strips[0];
    let rows: Vec<_> = strip.lugs.iter().map(|l| (l.number.as_str(), l.is_here)).collect();
    assert_eq!(rows, [("1", true), ("2", false)]);
    assert_eq!(card.leads[0].places[0], "T3 lug 1");
}

#[test]
fn a_lead_to_a_rail_is_told_by_its_name() {
    let card = of(EXAMPLES[1].text, "C12");
    let second = &card.leads[1];
    assert!(second.places[0].starts_with("chassis, where "), "{:?}", second.places);
    assert!(second.bases.is_empty());
}

#[test]
fn a_part_without_places_says_what_to_write() {
    let card = of("C7 .05 mfd 400 V paper", "C7");
    assert!(card.missing.unwrap().contains("C7 … V2.6 to B2"));
}

#[test]
fn every_card_of_the_example_sets_is_readable_and_says_every_place() {
    for example in &EXAMPLES {
        let sheet = Sheet::read(example.text);
        let (wiring, plan) = (Wiring::of(&sheet), plan(&sheet));
        let keys = keys(&sheet, &plan);
        assert_eq!(keys.len(), plan.parts.len(), "{}", example.id);
        for key in keys {
            let card = card(&sheet, &wiring, &plan, &key).unwrap();
            for lead in &card.leads {
                assert!(lead.places.iter().all(|p| !p.is_empty()), "{key} {}", lead.name);
                for drawing in &lead.bases {
                    assert_readable(drawing, &format!("{} {key}", example.id));
                }
            }
        }
    }
}

#[test]
fn next_and_previous_stop_at_the_ends() {
    let keys: Vec<String> = ["C1", "C2", "R1"].map(str::to_owned).into();
    assert_eq!(step(&keys, "C1", 1).as_deref(), Some("C2"));
    assert_eq!(step(&keys, "R1", 1).as_deref(), Some("R1"));
    assert_eq!(step(&keys, "C1", -1).as_deref(), Some("C1"));
    assert_eq!(step(&[], "C1", 1), None);
}
