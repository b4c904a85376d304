//! The wiring check by the size of the sheet: the chart, and the ranking with
//! the first reading out of its band.

#![allow(missing_docs, reason = "the macro writes a public function")]

use criterion::{Criterion, criterion_group, criterion_main};
use firstglow::bench::wiring::{Taken, Value, check};
use firstglow::circuit::fault::Table;
use firstglow::circuit::wiring::Wiring;
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use std::fmt::Write as _;
use std::hint::black_box;

/// About `parts` parts: stages on one B+ line.
fn set(parts: usize) -> String {
    let mut text = String::from(
        "supply transformer\nT1 power primary 1 to 2 117 V 4 ohm\n \
         secondary 3 to 5 tap 4 700 V CT 200 ohm\nV99999 5U4G 4=T1.3 6=T1.5 8=B0\n\
         wire T1.4 to chassis\nL1 10 H 20 ohm B0 to B1\n\
         C99999 20 mfd 600 V electrolytic B1 to chassis\n",
    );
    for n in 1..=parts / 7 {
        let next = n + 1;
        let _ = writeln!(text, "V{n} 6J5 3=pl{n} 5=g{n} 7=chassis 8=k{n}");
        let _ = writeln!(text, "R{n}A 100K 1/2 W pl{n} to B1\nR{n}B 470K g{n} to chassis");
        let _ = writeln!(text, "R{n}C 2.2K k{n} to chassis\nC{n}A .05 400 V pl{n} to g{next}");
        let _ = writeln!(
            text,
            "C{n}B 25 mfd 25 V electrolytic k{n} to chassis\nR{n}D 1M g{n} to pl{n}"
        );
    }
    text
}

/// A fifth of the readings as a sound set gives them, and then one open.
fn readings(table: &Table) -> Vec<Taken> {
    let some = table.probes.len() / 5;
    let value = |probe: usize| Taken { probe, value: Value::Ohms(table.expected[probe].ohms) };
    let wrong = (some..table.probes.len()).find(|p| table.expected[*p].ohms.is_finite());
    let wrong = wrong.map(|probe| Taken { probe, value: Value::Ohms(f64::INFINITY) });
    (0..some).map(value).chain(wrong).collect()
}

fn bench(c: &mut Criterion) {
    let sized = [60, 1000, 10_000].map(|n| (n.to_string(), set(n)));
    let examples = EXAMPLES.map(|e| (e.id.to_owned(), e.text.to_owned()));
    for (name, text) in sized.into_iter().chain(examples) {
        let sheet = Sheet::read(&text);
        let wiring = Wiring::of(&sheet);
        let Some(table) = Table::of(&sheet, &wiring) else { continue };
        let taken = readings(&table);
        let (parts, probes, faults) = (sheet.parts.len(), table.probes.len(), table.faults.len());
        eprintln!("{name}: {parts} parts, {probes} readings, {faults} faults");
        let mut group = c.benchmark_group("wiring check");
        group.sample_size(10);
        group.bench_function(format!("chart of {name}"), |b| {
            b.iter(|| Table::of(black_box(&sheet), &wiring));
        });
        group.bench_function(format!("ranking of {name}"), |b| {
            b.iter(|| check(black_box(&table), &taken));
        });
        group.finish();
    }
}

criterion_group!(benches, bench);
criterion_main!(benches);
