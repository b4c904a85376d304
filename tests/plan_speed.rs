//! The plan follows every keystroke: its time grows with the parts, no faster.
//!
//! Bounds are wide, for builds without optimisation on shared machines.

#![allow(clippy::unwrap_used, reason = "a test that cannot build its input should fail")]

use firstglow::plan::plan;
use firstglow::sheet::Sheet;
use std::fmt::Write;
use std::time::{Duration, Instant};

/// A set of so many capacitors, resistors and tubes, wired to each other.
fn set(parts: usize) -> Sheet {
    let mut text = String::from("mains 117 V 60 Hz, 60 W\nsupply transformer 350-0-350 V\n");
    for n in 1..=parts / 4 {
        let next = n + 1;
        let _ = writeln!(text, "V{n} 6SK7 1=chassis 8=B2");
        let _ = writeln!(text, "C{n} .05 mfd 400 V paper V{n}.p to V{next}.g1");
        let _ = writeln!(text, "C{n}A 16 mfd 450 V electrolytic B1 to chassis");
        let _ = writeln!(text, "R{n} 470K 1/2 W V{n}.g2 to B2");
    }
    Sheet::read(&text)
}

/// The quickest of several runs.
fn time(sheet: &Sheet, runs: usize) -> Duration {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            let plan = plan(sheet);
            assert_eq!(plan.parts.len(), sheet.parts.len());
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}

#[test]
fn ten_times_the_parts_take_about_ten_times_as_long() {
    let (thousand, ten_thousand) = (set(1_000), set(10_000));
    let (short, long) = (time(&thousand, 5), time(&ten_thousand, 3));
    eprintln!("1,000 parts {short:?}, 10,000 parts {long:?}, 60 parts {:?}", time(&set(60), 20));
    assert!(long < short * 30, "1,000 parts {short:?}, 10,000 parts {long:?}");
}
