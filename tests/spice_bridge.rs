//! What a bridge sees beside a part, beside ngspice's small-signal analysis.
//!
//! Source of every expected figure in this file: Debian's ngspice, run here.
//! Conductance and susceptance within 0.01 % of the admittance.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod support;

use firstglow::circuit::beside::Beside;
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::Sheet;
use std::fmt::Write as _;
use support::{Sequence, run};

/// Resistors and capacitors between points drawn, as a sheet and as a deck.
fn network(seed: u64) -> (String, String) {
    let mut s = Sequence::new(seed);
    let name = |at: usize| if at == 0 { "chassis".to_owned() } else { format!("n{at}") };
    let node = |at: usize| if at == 0 { "0".to_owned() } else { format!("n{at}") };
    let mut sheet = "C999 1000 pF n1 to n2\n".to_owned();
    let mut deck = "admittance beside a part\n".to_owned();
    for at in 1..=24_usize {
        // Every point hangs on one before it, the rest anywhere.
        let (a, b) = if at < 10 { (at, s.pick(at)) } else { (s.pick(10), s.pick(10)) };
        if a == b {
            continue;
        }
        if at % 3 == 0 || at < 10 && s.next() < 0.5 {
            let ohms = s.between(470.0, 4.7e6).round();
            writeln!(sheet, "R{at} {ohms} ohm {} to {}", name(a), name(b)).unwrap();
            writeln!(deck, "R{at} {} {} {ohms}", node(a), node(b)).unwrap();
        } else {
            let picofarads = s.between(50.0, 500_000.0).round();
            writeln!(sheet, "C{at} {picofarads} pF {} to {}", name(a), name(b)).unwrap();
            writeln!(deck, "C{at} {} {} {picofarads}p", node(a), node(b)).unwrap();
        }
    }
    (sheet, deck)
}

#[test]
fn admittances_agree_within_a_hundredth_of_a_percent() {
    for seed in 0..20 {
        let (text, mut deck) = network(seed);
        let sheet = Sheet::read(&text);
        assert!(sheet.parts.len() > 15, "{text}");
        let hertz = [60.0, 120.0, 1000.0][usize::try_from(seed % 3).unwrap()];
        let ours = Beside::of(&sheet, &Wiring::of(&sheet), 0, hertz);
        // The same looseness that keeps points without a path from floating.
        for at in 1..10 {
            writeln!(deck, "RLOOSE{at} n{at} n2 1e12").unwrap();
        }
        writeln!(deck, "RGROUND 0 n2 1e12\nITEST n2 n1 DC 0 AC 1").unwrap();
        writeln!(
            deck,
            ".control\nset numdgt=12\nac lin 1 {hertz} {hertz}\nlet y = 1/(v(n1)-v(n2))"
        )
        .unwrap();
        deck.push_str("let g = real(y)\nlet b = imag(y)\nprint g\nprint b\n.endc\n.end\n");
        let told = run(&deck);
        let (g, b) = (told["g"], told["b"]);
        let size = g.hypot(b);
        let off = (ours.siemens - g).hypot(ours.susceptance - b) / size;
        assert!(off < 1e-4, "seed {seed}: ours {ours:?}, ngspice {g:e} {b:e}\n{text}");
    }
}
