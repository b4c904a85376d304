//! The speed of buying: 200 needs against 500 offers of eight sellers, by aim,
//! and where the time goes.

#![allow(missing_docs, reason = "the macro writes a public function")]

#[path = "../tests/support/buying_texts.rs"]
mod texts;

use criterion::{Criterion, criterion_group, criterion_main};
use firstglow::buying::basket::{Aim, fill};
use firstglow::buying::money::Money;
use firstglow::buying::{list, need};
use firstglow::plan::plan;
use firstglow::sheet::Sheet;
use std::hint::black_box;

fn basket(criterion: &mut Criterion) {
    let needs = need::of_plan(&plan(&Sheet::read(&texts::sheet(200))), 0).wanted;
    let text = texts::prices(500);
    let offers = list::read(&text);
    assert_eq!((needs.len(), offers.offers.len()), (200, 500));
    let worth = Money::from_ticks(100, 2).expect("an amount");
    let aims = [
        ("cheapest", Aim::Cheapest),
        ("between", Aim::Between(worth)),
        ("fewest lines", Aim::FewestLines),
    ];
    let mut group = criterion.benchmark_group("buying");
    group.sample_size(10);
    group.bench_function("reading 500 offers", |b| b.iter(|| list::read(black_box(&text))));
    for (name, aim) in aims {
        let found = fill(&needs, &offers, aim);
        println!(
            "{name}: {} lines, {:?}, {:?}, {} nodes, {} not on the list",
            found.lines,
            found.total.map(|t| t.amount().to_string()),
            found.proof,
            found.nodes,
            found.unserved.len()
        );
        group.bench_function(name, |b| b.iter(|| fill(black_box(&needs), &offers, aim)));
    }
    group.finish();
}

criterion_group!(benches, basket);
criterion_main!(benches);
