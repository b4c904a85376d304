//! Random sheets with one phrase of one line damaged: what the damaged sheet
//! says, the undamaged one says too, but for what is lost. And soups of tokens,
//! of which no rating becomes a value.

use super::places;
use crate::chance;
use firstglow::sheet::Sheet;
use firstglow::sheet::part::Part;
use firstglow::trade::quantity::Capacitance;
use proptest::prelude::*;
use proptest::sample::select;
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// Tubes of every sheet; the rest of it is random.
const HEAD: &str = "supply transformer\nV1 6SK7 2=chassis 3=chassis 5=k1 7=h1\nV2 6SQ7\nV3 6K6GT\n\
    T1 power primary 1 to 2 117 V secondary 3 to 5 tap 4 600 V\n";

/// Places, none of them a word of the trade.
const PLACES: [&str; 24] = [
    "V1.8",
    "V1.6",
    "V2.6",
    "V3.3",
    "V2 pin 2",
    "V3 pin 5",
    "plate of V3",
    "V1 plate",
    "V3 grid",
    "screen of V3",
    "pin 4 of V1",
    "V1-4",
    "V3/8",
    "T1.3",
    "T1 term 4",
    "lug 5 of T1",
    "B1",
    "B2",
    "B-",
    "chassis",
    "volhi",
    "det",
    "scr",
    "osc1",
];

const FARADS: [&str; 6] = [
    ".05 mfd 400 V",
    ".01 mfd 600 V paper",
    "8 mfd 450 V",
    "100 mmf mica",
    "20-20 mfd 250 V",
    ".1 mfd",
];
const OHMS: [&str; 5] = ["470K 1/2 W", "1 meg", "10K 2 W", "330 ohm", "47K ±10 %"];

/// Words that say nothing where they are put, or something else.
const STRAY: [&str; 21] = [
    "foo", "spike", "of", "pin", "plate", "grid", "6", "V2", "V3", "T1", "to", "to to", "-", "/",
    "and", "(x)", "top", "8", "between", "chassis", "lug",
];

fn place() -> impl Strategy<Value = &'static str> {
    select(&PLACES[..])
}

/// A part's line: all before its places, then the two places.
fn line() -> impl Strategy<Value = (String, [&'static str; 2])> {
    let c =
        (select(&FARADS[..]), place(), place()).prop_map(|(v, a, b)| (format!("C7 {v}"), [a, b]));
    let r = (select(&OHMS[..]), place(), place()).prop_map(|(v, a, b)| (format!("R7 {v}"), [a, b]));
    let w = (place(), place()).prop_map(|(a, b)| ("wire".to_owned(), [a, b]));
    prop_oneof![3 => c, 3 => r, 1 => w].prop_filter("two places", |(_, [a, b])| a != b)
}

/// What is done to the words of the places.
#[derive(Debug, Clone)]
enum Damage {
    /// A stray word before the word of that number.
    Insert(usize, &'static str),
    /// A word goes.
    Remove(usize),
    /// The first or the last characters of a word go.
    Cut(usize, bool, usize),
    /// Another pin or electrode, one that the part has not.
    BadPin(usize, &'static str),
}

fn damage() -> impl Strategy<Value = Damage> {
    prop_oneof![
        4 => (0_usize..8, select(&STRAY[..])).prop_map(|(at, word)| Damage::Insert(at, word)),
        2 => (0_usize..8).prop_map(Damage::Remove),
        3 => (0_usize..8, any::<bool>(), 1_usize..3).prop_map(|(at, end, n)| Damage::Cut(at, end, n)),
        2 => (0_usize..8, select(&["V1.44", "V2.zz", "V3 pin 31", "V2.", "V.6", "zz of V3"][..]))
            .prop_map(|(at, pin)| Damage::BadPin(at, pin)),
    ]
}

fn damaged(phrase: &str, damage: &Damage) -> String {
    let mut words: Vec<String> = phrase.split(' ').map(str::to_owned).collect();
    let count = words.len();
    match damage {
        Damage::Insert(at, word) => words.insert(at % (count + 1), (*word).to_owned()),
        Damage::Remove(at) => {
            words.remove(at % count);
        }
        Damage::Cut(at, end, n) => {
            let word = &mut words[at % count];
            let kept = word.chars().count().saturating_sub(*n);
            *word = if *end {
                word.chars().take(kept).collect()
            } else {
                word.chars().skip(word.chars().count() - kept).collect()
            };
        }
        Damage::BadPin(at, pin) => (*pin).clone_into(&mut words[at % count]),
    }
    words.retain(|w| !w.is_empty());
    words.join(" ")
}

/// A name may lose a letter and be another name that nobody can tell from a
/// right one: `avc` and `av`, `B1` and `B`.
fn is_plain_name(place: &str) -> bool {
    !place.contains('.')
}

fn sayings(part: &Part) -> (Vec<String>, bool) {
    let own = [
        part.capacitance.map(|v| v.to_string()),
        part.resistance.map(|v| v.to_string()),
        part.rating.map(|v| v.to_string()),
        part.power.map(|v| v.to_string()),
        part.inductance.map(|v| v.to_string()),
        part.current.map(|v| v.to_string()),
        part.role.map(|v| v.label().to_owned()),
        part.tolerance.map(|v| v.to_string()),
    ];
    (own.into_iter().flatten().collect(), part.leads.is_some())
}

proptest! {
    #![proptest_config(chance::cases(1_500))]

    #[test]
    fn a_damaged_connection_adds_nothing(
        (head, [from, to]) in line(),
        damage in damage(),
    ) {
        let whole = format!("{HEAD}{head} {from} to {to}");
        let phrase = damaged(&format!("{from} to {to}"), &damage);
        let text = format!("{HEAD}{head} {phrase}");
        let (before, after) = (Sheet::read(&whole), Sheet::read(&text));
        prop_assert_eq!(before.parts.len(), after.parts.len(), "{}", text);
        // What a cut leaves may be a whole name or another pin: nobody can tell.
        let cut = matches!(damage, Damage::Cut(..) | Damage::Remove(_));
        let known: BTreeSet<String> = places(&before).into_iter().collect();
        for place in places(&after) {
            let pardoned = cut && (is_plain_name(&place) || is_pin_of_the_sheet(&place));
            // `V2` before `pin 6` of another, `6` after `V3`: a right pin again.
            let again = is_pin_of_the_sheet(&place) && text.split(' ').count() > 2
                && matches!(damage, Damage::Insert(..));
            prop_assert!(known.contains(&place) || pardoned || again, "{}: {}", text, place);
        }
        for (was, is) in before.parts.iter().zip(&after.parts) {
            let (was, is) = (sayings(was), sayings(is));
            for said in &is.0 {
                // Behind a whole connection `grid` is a role, rightly.
                if said == "grid coupling" && matches!(damage, Damage::Insert(_, "grid")) {
                    continue;
                }
                prop_assert!(was.0.contains(said), "{}: {}", text, said);
            }
            prop_assert!(was.1 || !is.1, "{}", text);
        }
    }

    #[test]
    fn a_damaged_value_adds_neither_value_nor_rating(
        (head, [from, to]) in line(),
        stray in select(&["foo", "47yy", "3..3", "(x)", "10x10", "of", "9zz"][..]),
        at in 0_usize..4,
    ) {
        let whole = Sheet::read(&format!("{HEAD}{head} {from} to {to}"));
        let mut words: Vec<&str> = head.split(' ').collect();
        words.insert(1 + at % words.len(), stray);
        let text = format!("{HEAD}{} {from} to {to}", words.join(" "));
        let after = Sheet::read(&text);
        prop_assume!(after.parts.len() <= whole.parts.len());
        let said: Vec<String> = whole.parts.iter().flat_map(|p| sayings(p).0).collect();
        for part in &after.parts {
            for now in sayings(part).0 {
                prop_assert!(said.contains(&now), "{}: {}", text, now);
            }
        }
    }

    #[test]
    fn no_rating_becomes_a_value(
        tokens in prop::collection::vec(prop_oneof![
            3 => select(&["450 V", "350V", "600 WV", "/450V", "525 V surge", "400VDC"][..]),
            3 => select(&["8", "20", ".05", ".1 mfd", "16", "8-8", "40-20", "20/20", "30 mmf"][..]),
            4 => select(&["x", "20x20", "/", "-", "foo", "47q", "electrolytic", "paper", "@", "of",
                "9zz", "can", "8x8", "dual", ",", "B1 to chassis", "(", "..", "+"][..]),
        ], 1..7),
    ) {
        let text = format!("C1 {}", tokens.join(" "));
        for part in Sheet::read(&text).parts {
            for volts in [450, 350, 600, 525, 400] {
                for scale in [1, 1_000, 1_000_000] {
                    let wrong = Capacitance::new(Decimal::from(volts * scale)).ok();
                    prop_assert!(part.capacitance.is_none() || part.capacitance != wrong, "{}", text);
                }
            }
        }
    }
}

/// Whether a place is a pin or terminal that a part of the head has.
fn is_pin_of_the_sheet(place: &str) -> bool {
    let text = format!("{HEAD}R1 1K {place} to B1");
    Sheet::read(&text).parts.iter().any(|p| p.key == "R1" && p.leads.is_some())
        && place.contains('.')
        && !place.starts_with("V9")
}
