//! A set that nobody drew: stages of random kinds on a random supply.

#[path = "../support/mod.rs"]
#[allow(clippy::unwrap_used, reason = "part of other tests")]
mod support;

use std::fmt::Write as _;
pub use support::Sequence;

const OHMS: [&str; 8] = ["1K", "2.2K", "10K", "47K", "100K", "220K", "470K", "1 meg"];

/// The sheet of a set with so many stages.
pub fn sheet(seed: u64, stages: usize) -> String {
    #![allow(clippy::many_single_char_names, reason = "electrodes")]
    let mut by = Sequence::new(seed);
    let mut text = String::from("set Random\nmains 117 V\nsupply transformer full-wave\n");
    let mut line = |words: String| {
        let _ = writeln!(text, "{words}");
    };
    line("T1 power primary 1 to 2 117 V 6 ohm".into());
    line(" secondary 3 to 5 tap 4 600 V CT 200 ohm".into());
    line(" rectifier 6 to 7 5 V".into());
    line(" heater 8 to 9 6.3 V".into());
    for wire in ["T1.4 to chassis", "T1.7 to B0", "T1.9 to chassis", "T1.8 to heat"] {
        line(format!("wire {wire}"));
    }
    line("V1 5Y3GT 2=T1.6 4=T1.3 6=T1.5 8=B0".into());
    line("L1 filter choke 10 H 300 ohm B0 to B1".into());
    line("C1A, C1B 20-20 mfd 450 V electrolytic B0, B1 to chassis".into());
    if by.next() < 0.5 {
        line("R1 33K 5 W B1 to chassis".into());
    }
    let mut before = "in".to_owned();
    let mut number = 2;
    line(format!("R2 {} in to chassis", OHMS[4 + by.pick(4)]));
    for stage in 0..stages {
        let v = stage + 2;
        let (g, k, p, s) = (before, format!("k{v}"), format!("p{v}"), format!("s{v}"));
        let triode = by.next() < 0.4;
        let noval = by.next() < 0.5;
        line(match (triode, noval) {
            (true, true) => format!("V{v} 12AX7 1={p} 2={g} 3={k} 4=heat 5=heat 9=chassis"),
            (true, false) => format!("V{v} 6J5 1=chassis 2=heat 3={p} 5={g} 7=chassis 8={k}"),
            (false, true) => {
                format!("V{v} 6AU6 1={g} 2={k} 3=heat 4=chassis 5={p} 6={s} 7={k}")
            }
            (false, false) => {
                format!("V{v} 6SJ7 1=chassis 2=heat 3={k} 4={g} 5={k} 6={s} 7=chassis 8={p}")
            }
        });
        let mut resistor = |value: &str, from: &str, to: &str| {
            number += 1;
            line(format!("R{number} {value} 1/2 W {from} to {to}"));
        };
        resistor(OHMS[by.pick(2)], &k, "chassis");
        resistor(OHMS[3 + by.pick(3)], &p, "B1");
        if !triode {
            resistor(OHMS[5 + by.pick(3)], &s, "B1");
            line(format!("C{v}0 .1 400 V paper {s} to chassis"));
        }
        let next = format!("g{}", v + 1);
        number += 1;
        line(format!("R{number} {} {next} to chassis", OHMS[5 + by.pick(3)]));
        line(format!("C{v}1 .02 400 V paper {p} to {next}"));
        line(format!("C{v}2 25 mfd 25 V electrolytic {k} to chassis"));
        before = next;
    }
    text
}

#[test]
fn the_random_set_is_read_without_a_fault() {
    let sheet = firstglow::sheet::Sheet::read(&self::sheet(7, 5));
    let wrong = sheet.notes.iter().filter(|n| n.level == firstglow::notation::note::Level::Error);
    assert_eq!(wrong.map(|n| &n.message).collect::<Vec<_>>(), Vec::<&String>::new());
    assert!(sheet.parts.len() > 30);
}
