//! The plan's speed by the size of the sheet, and where its time goes.
//!
//! `60`, `1000` and `10000` are parts. The sheets are audio stages on one B+
//! line behind a transformer and a rectifier, wired to each other; and the
//! three example sets.

#![allow(missing_docs, reason = "the macro writes a public function")]

mod made;

use criterion::{Criterion, criterion_group, criterion_main};
use firstglow::circuit::report::report;
use firstglow::circuit::state::{Set, Tubes};
use firstglow::circuit::wiring::Wiring;
use firstglow::plan::plan;
use firstglow::sheet::Sheet;
use firstglow::sheet::examples::EXAMPLES;
use std::hint::black_box;
use std::time::Instant;

fn set(parts: usize) -> Sheet {
    Sheet::read(&made::stages(parts))
}

/// Mean seconds of `runs` runs.
fn seconds<T>(runs: u32, mut run: impl FnMut() -> T) -> f64 {
    let start = Instant::now();
    for _ in 0..runs {
        black_box(run());
    }
    start.elapsed().as_secs_f64() / f64::from(runs)
}

fn sizes(criterion: &mut Criterion) {
    let mut times = Vec::new();
    for (parts, runs) in [(60, 100), (100, 60), (1000, 10), (10_000, 2)] {
        let sheet = set(parts);
        criterion.bench_function(&format!("plan {parts} parts"), |bench| {
            bench.iter(|| plan(black_box(&sheet)));
        });
        times.push(seconds(runs, || plan(&sheet)));
    }
    let exponent = (times[3] / times[1]).log10() / 2.0;
    println!("time grows as parts to the power {exponent:.2} from 100 to 10,000");
}

fn examples(criterion: &mut Criterion) {
    for example in &EXAMPLES {
        let sheet = Sheet::read(example.text);
        criterion.bench_function(&format!("plan {}", example.id), |bench| {
            bench.iter(|| plan(black_box(&sheet)));
        });
    }
}

/// What the stages of a plan take, milliseconds.
fn stages(_: &mut Criterion) {
    let sheets = EXAMPLES.iter().map(|e| (e.id.to_owned(), Sheet::read(e.text), 50));
    let made = [(1000, 5), (10_000, 1)].map(|(n, runs)| (n.to_string(), set(n), runs));
    for (name, sheet, runs) in sheets.chain(made) {
        let wiring = Wiring::of(&sheet);
        let set = Set::of(&sheet, &wiring);
        let ms = |seconds: f64| format!("{:.2}", seconds * 1e3);
        println!(
            "{name}, {} parts: wiring {}, set {}, running {}, cold {}, report {}, plan {} ms",
            sheet.parts.len(),
            ms(seconds(runs, || Wiring::of(&sheet))),
            ms(seconds(runs, || Set::of(&sheet, &wiring))),
            ms(seconds(runs, || set.state(Tubes::Warm, 1.0))),
            ms(seconds(runs, || set.state(Tubes::Cold, 1.07))),
            ms(seconds(runs, || report(&sheet))),
            ms(seconds(runs, || plan(&sheet))),
        );
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).measurement_time(std::time::Duration::from_secs(1)).warm_up_time(std::time::Duration::from_millis(300));
    targets = stages, sizes, examples
}
criterion_main!(benches);
