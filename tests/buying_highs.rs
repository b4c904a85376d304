//! The optimiser of the buying list, held against `HiGHS` on mid-size tasks.
//! `HiGHS` is an open-source solver of mixed-integer programs (`highspy`);
//! `tools/setup-tests.sh` puts it in place.

use firstglow::buying::money::Money;
use firstglow::buying::optimise::{Line, Task, Wish, solve};
use firstglow::buying::price::Price;
use serde_json::{Value, json};
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

const TASKS: u64 = 240;

/// A small generator of even numbers: the same tasks on any machine. Source of
/// its constants: Knuth, MMIX.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % bound
    }

    fn from(&mut self, least: u64, most: u64) -> u64 {
        least + self.below(most - least + 1)
    }

    fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}

/// A small number as another type.
fn fit<T: TryFrom<u64>>(number: u64) -> T {
    T::try_from(number).unwrap_or_else(|_| panic!("{number} is too large"))
}

/// A task, and the same in the words of its terms of sale.
fn task(seed: u64) -> (Task, Value) {
    let mut dice = Dice(seed.wrapping_mul(7_919) + 1);
    let needs = dice.from(12, 40);
    let sellers = fit::<usize>(dice.from(2, 6));
    let count = dice.from(20, 60);
    let line_worth = if dice.chance(50) { 0 } else { fit::<i64>(dice.from(5, 200)) };
    // Lines have a value and a rating; a need takes a window of values and any
    // rating from its own up, as parts do.
    let lines: Vec<(u64, u64, usize)> = (0..count)
        .map(|_| (dice.below(20), dice.below(3), fit::<usize>(dice.below(sellers as u64))))
        .collect();
    let mut wishes = Vec::new();
    for _ in 0..needs {
        let (value, rating, reach) = (dice.below(20), dice.below(3), dice.below(3));
        let fits = |(v, r, _): &(u64, u64, usize)| v.abs_diff(value) <= reach && *r >= rating;
        let lines: Vec<usize> =
            lines.iter().enumerate().filter(|(_, l)| fits(l)).map(|(i, _)| i).collect();
        if !lines.is_empty() {
            let pieces = if dice.chance(10) { 2 } else { 1 };
            wishes.push(Wish { pieces, lines });
        }
    }
    let most: Vec<u32> = (0..lines.len())
        .map(|line| {
            let drawn = wishes.iter().filter(|w| w.lines.contains(&line)).map(|w| w.pieces);
            fit::<u32>(drawn.sum::<usize>() as u64)
        })
        .collect();
    let prices: Vec<Price> = lines.iter().map(|_| price(&mut dice)).collect();
    let postage: Vec<i64> = (0..sellers)
        .map(|_| if dice.chance(20) { 0 } else { fit::<i64>(dice.from(50, 900)) })
        .collect();
    let ticks = |rows: &[(u32, Money)]| -> Vec<(u32, i64)> {
        rows.iter().map(|(n, money)| (*n, money.ticks(2).expect("whole cents"))).collect()
    };
    let told = json!({
        "wishes": wishes.iter().map(|w| json!({"pieces": w.pieces, "lines": w.lines})).collect::<Vec<_>>(),
        "lines": lines.iter().zip(&prices).map(|((_, _, seller), price)| json!({
            "seller": seller, "breaks": ticks(price.breaks()), "lots": ticks(price.lots()),
            "pack": price.pack, "least": price.least,
        })).collect::<Vec<_>>(),
        "postage": postage,
        "line_worth": line_worth,
    });
    let lines =
        lines.iter().zip(prices.iter().zip(&most)).map(|((_, _, seller), (price, most))| Line {
            seller: *seller,
            costs: price.costs(*most, 2).expect("costs that can be summed"),
        });
    (Task { wishes, lines: lines.collect(), postage, line_worth }, told)
}

fn price(dice: &mut Dice) -> Price {
    let mut price = Price::default();
    let cents = |amount: u64| Money::from_ticks(fit::<i64>(amount), 2).expect("an amount");
    let each = dice.from(20, 400);
    let lots_alone = dice.chance(10);
    if !lots_alone {
        price.each(1, cents(each));
        if dice.chance(50) {
            price.each(fit::<u32>(dice.from(3, 12)), cents(each * dice.from(60, 95) / 100));
        }
        if dice.chance(20) {
            price.pack = fit::<u32>(dice.from(2, 10));
        }
        if dice.chance(20) {
            price.least = fit::<u32>(dice.from(2, 10));
        }
    }
    if lots_alone || dice.chance(10) {
        let count = dice.from(4, 10);
        price.lot(fit::<u32>(count), cents(each * count * dice.from(40, 90) / 100));
    }
    price
}

fn highs(tasks: &[Value]) -> Vec<i64> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = root.join("target/python/bin/python");
    let mut child = Command::new(&python)
        .arg(root.join("tests/highs/solve.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("{}: {e}; run tools/setup-tests.sh", python.display()));
    let mut stdin = child.stdin.take().expect("a piped input");
    let lines: Vec<String> = tasks.iter().map(Value::to_string).collect();
    let writer = std::thread::spawn(move || {
        for line in lines {
            writeln!(stdin, "{line}").expect("HiGHS reads on");
        }
    });
    let out = child.wait_with_output().expect("HiGHS ends");
    writer.join().expect("all tasks are written");
    assert!(out.status.success(), "HiGHS failed; is highspy there? run tools/setup-tests.sh");
    let text = String::from_utf8(out.stdout).expect("figures");
    let costs = text.lines().filter_map(|line| line.strip_prefix("cost "));
    costs.map(|cost| cost.parse().expect("a cost")).collect()
}

#[test]
fn costs_equal_those_of_highs_on_mid_size_tasks() {
    let (tasks, told): (Vec<_>, Vec<_>) = (1..=TASKS).map(task).unzip();
    let start = Instant::now();
    let found: Vec<_> = tasks.iter().map(|task| solve(task, 200_000).unwrap()).collect();
    let ours = start.elapsed();
    let start = Instant::now();
    let theirs = highs(&told);
    println!("{TASKS} tasks: ours {ours:?}, HiGHS {:?}", start.elapsed());
    println!("nodes at most {:?}", found.iter().map(|f| f.nodes).max());
    assert_eq!(theirs.len(), found.len());
    for (seed, (found, theirs)) in (1..).zip(found.iter().zip(theirs)) {
        assert!(found.is_proven(), "task {seed}: {} to {}", found.bound, found.cost);
        assert_eq!(found.cost, theirs, "task {seed}");
    }
}
