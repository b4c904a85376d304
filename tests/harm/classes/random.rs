//! Random sheets against a definition of their own: what the line reaches and
//! what hands touch, written apart from the code.

use super::{holds, planned};
use crate::chance::cases;
use firstglow::plan::types::PlannedPart;
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::fmt::Write as _;

const PLACES: [&str; 26] = [
    "line", "neutral", "chassis", "B-", "B0", "B1", "ground", "antenna", "cabinet", "panel",
    "shaft", "l1", "l2", "h1", "h2", "h3", "tap", "k4", "gr4", "p4", "j1", "j2", "x1", "x2",
    "T5.1", "T5.2",
];
/// What hands touch: by name, or as contacts of the jacks that every sheet has.
const TOUCHED: [&str; 8] =
    ["chassis", "ground", "antenna", "cabinet", "panel", "shaft", "j1", "j2"];
/// Points that stand on a circuit of the set, when it is on the line.
const CIRCUIT: [&str; 4] = ["B0", "B1", "k4", "p4"];

#[derive(Debug, Clone)]
struct Drawn {
    series: bool,
    /// Kind and the two places.
    carriers: Vec<(u8, usize, usize)>,
    capacitors: Vec<(usize, usize, usize, usize)>,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let place = || 0..PLACES.len();
    (
        any::<bool>(),
        prop::collection::vec((0_u8..8, place(), place()), 0..7),
        prop::collection::vec((place(), place(), 0_usize..6, 0_usize..8), 1..6),
    )
        .prop_map(|(series, carriers, capacitors)| Drawn { series, carriers, capacitors })
}

impl Drawn {
    fn text(&self) -> String {
        let mut text = String::from("mains 117 V 60 Hz\n");
        text += if self.series {
            "supply series-string\nV4 50L6GT 2=h2 7=h3 3=p4 4=B1 5=gr4 8=k4\n\
             V5 35Z5GT 2=h1 3=tap 5=tap 7=h2 8=B0\n"
        } else {
            "supply transformer 600 V CT\n"
        };
        text += "J1 \"phono\" 1=j1\nTS2 \"remote\" 1=j2\n";
        for (number, (kind, a, b)) in self.carriers.iter().enumerate() {
            let leads = format!("{} to {}", PLACES[*a], PLACES[*b]);
            let line = match kind {
                0 => format!("wire {leads}"),
                1 => format!("F{} 1 A {leads}", number + 1),
                2 => format!("S{} {leads}", number + 1),
                3 => format!("PL{} 6.3 V .15 A {leads}", number + 1),
                4 => format!("R{} 33 {leads}", number + 1),
                5 => format!("R{} 470K {leads}", number + 1),
                6 => format!("L{} choke 20 ohm {leads}", number + 1),
                _ => format!("R{} 220 ohm 25 W {leads}", number + 1),
            };
            writeln!(text, "{line}").unwrap();
        }
        for (number, (a, b, value, word)) in self.capacitors.iter().enumerate() {
            let value =
                [".05 400 V", ".01 600 V paper", ".1", "250 mmf mica", "2 mfd 400 V", ".02"]
                    [*value];
            let word =
                ["", "coupling", "trimmer", "cord", "tone", "electrolytic", "across line", "film"]
                    [*word];
            let (a, b) = (PLACES[*a], PLACES[*b]);
            writeln!(text, "C{} {value} {a} to {b} {word}", number + 1).unwrap();
        }
        text
    }

    /// Places by number; those that wires join have one.
    fn nodes(&self) -> HashMap<&'static str, usize> {
        let mut of: BTreeMap<&str, usize> =
            PLACES.iter().enumerate().map(|(number, place)| (*place, number)).collect();
        for (kind, a, b) in &self.carriers {
            if *kind == 0 {
                let (from, to) = (of[PLACES[*a]], of[PLACES[*b]]);
                of.values_mut().filter(|n| **n == from).for_each(|n| *n = to);
            }
        }
        if !self.series && !self.tied(&of) {
            let (from, to) = (of["ground"], of["chassis"]);
            of.values_mut().filter(|n| **n == from).for_each(|n| *n = to);
        }
        of.into_iter().collect()
    }

    /// Whether anything that carries the line joins it with B- or the chassis.
    fn tied(&self, of: &BTreeMap<&str, usize>) -> bool {
        let contacts: Vec<(usize, usize)> = self
            .carriers
            .iter()
            .filter(|(kind, ..)| !matches!(kind, 0 | 5))
            .map(|(_, a, b)| (of[PLACES[*a]], of[PLACES[*b]]))
            .collect();
        let on = reach(&contacts, &[of["line"], of["neutral"]], &[]);
        on.contains(&of["chassis"]) || on.contains(&of["B-"])
    }
}

fn reach(edges: &[(usize, usize)], from: &[usize], stop: &[usize]) -> BTreeSet<usize> {
    let mut all: BTreeSet<usize> = from.iter().copied().collect();
    loop {
        let before = all.len();
        for (a, b) in edges {
            for (x, y) in [(a, b), (b, a)] {
                if all.contains(x) && !stop.contains(x) {
                    all.insert(*y);
                }
            }
        }
        if all.len() == before {
            return all;
        }
    }
}

fn check(drawn: &Drawn) {
    let text = drawn.text();
    let plan = planned(&text);
    let of = drawn.nodes();
    let on_line = drawn.series || drawn.tied(&of.iter().map(|(k, v)| (*k, *v)).collect());
    let edges = |wanted: &[u8]| -> Vec<(usize, usize)> {
        drawn
            .carriers
            .iter()
            .filter(|(kind, ..)| wanted.contains(kind))
            .map(|(_, a, b)| (of[PLACES[*a]], of[PLACES[*b]]))
            .collect()
    };
    // Fuses, switches, lamps, droppers, surge resistors; heaters of the string.
    let mut carriers = edges(&[1, 2, 3, 4, 7]);
    if drawn.series {
        carriers.extend([("h2", "h3"), ("h1", "tap"), ("tap", "h2")].map(|(a, b)| (of[a], of[b])));
    }
    // B- is the other side of the line where no transformer feeds the set.
    let low = if drawn.series { vec![of["neutral"], of["B-"]] } else { vec![of["neutral"]] };
    let from_line = reach(&carriers, &[of["line"]], &low);
    let wires_low = reach(&edges(&[1, 2]), &low, &[of["line"]]);
    // What stands on the line in any way is no metal apart from it.
    let mut any = edges(&[1, 2, 3, 4, 6, 7]);
    if drawn.series {
        any.extend([("h2", "h3"), ("h1", "tap"), ("tap", "h2")].map(|(a, b)| (of[a], of[b])));
    }
    let mut stand: Vec<usize> = vec![of["line"], of["neutral"]];
    if on_line {
        stand.push(of["B-"]);
        stand.extend(CIRCUIT.map(|p| of[p]));
    }
    if drawn.series {
        stand.extend(["h1", "h2", "h3", "tap"].map(|p| of[p]));
    }
    let stands = reach(&any, &stand, &[]);
    let metal: BTreeSet<usize> =
        TOUCHED.iter().map(|p| of[p]).filter(|node| !stands.contains(node)).collect();
    let minus = reach(&edges(&[1, 2]), &[of["B-"]], &[]);
    let side = |node: usize| {
        from_line.contains(&node) || wires_low.contains(&node) || on_line && minus.contains(&node)
    };
    for (number, (a, b, ..)) in drawn.capacitors.iter().enumerate() {
        let (a, b) = (of[PLACES[*a]], of[PLACES[*b]]);
        let key = format!("C{}", number + 1);
        // A resistor beside it makes a leg of B- of the two.
        let joined = edges(&[4, 6, 7]).iter().any(|(x, y)| [(a, b), (b, a)].contains(&(*x, *y)));
        let across = a != b
            && !joined
            && (from_line.contains(&a) && wires_low.contains(&b)
                || from_line.contains(&b) && wires_low.contains(&a));
        let touched = side(a) && metal.contains(&b) || side(b) && metal.contains(&a);
        if across || touched {
            holds(&plan, &key, touched, &format!("{key}\n{text}"));
        }
    }
}

proptest! {
    #![proptest_config(cases(3_000))]

    #[test]
    fn nothing_plain_stands_across_the_line_or_between_it_and_hands(drawn in drawn()) {
        check(&drawn);
    }

    #[test]
    fn words_change_no_class(drawn in drawn(), word in select(vec![
        "cord", "adjustable", "control", "gang", "pot", "taper", "trimmer", "variable", "new",
        "carbon", "can", "dry", "tubular", "field", "power", "asbestos", "wirewound",
    ])) {
        let plain = drawn.text();
        let worded: String = plain
            .lines()
            .map(|line| if line.starts_with('C') { format!("{line} {word}\n") } else { format!("{line}\n") })
            .collect();
        let (before, after) = (planned(&plain), planned(&worded));
        for (old, new) in before.parts.iter().zip(&after.parts) {
            let class = |p: &PlannedPart| p.replacement.as_ref().and_then(|r| r.class);
            if old.designator.letters == "C" && old.replacement.is_some() && new.replacement.is_some() {
                prop_assert_eq!(class(old), class(new), "{} {}\n{}", old.key, word, plain);
            }
        }
    }
}
