//! The Lagrangian bound: every need offers a price, every line and seller keeps
//! what it can earn above its cost.
//!
//! For any prices, the sum offered less what is kept is a bound from below: a
//! choice pays each need's price once at most and costs at least what its lines
//! and sellers do not keep.

use super::model::Problem;

/// A line as the bound sees it.
struct Row {
    line: usize,
    seller: usize,
    must: bool,
    classes: Vec<usize>,
}

/// The bound of one piece, and what it says of lines and sellers.
pub(super) struct Bound {
    /// The best bound, in ticks.
    pub value: f64,
    /// For each live line, the most it can earn when it is used.
    pub earns: Vec<(usize, f64)>,
    /// For each open question of a seller, what its lines earn less its postage.
    pub sellers: Vec<(usize, f64)>,
    /// For each live line, in what share of the last steps it was used.
    pub share: Vec<(usize, f64)>,
}

/// What prices bring, before they are moved.
struct Look {
    value: f64,
    earns: Vec<f64>,
    sellers: Vec<f64>,
    used: Vec<bool>,
    /// How many needs of each class are met.
    met: Vec<f64>,
}

/// Workings of the bound on one piece.
pub(super) struct Bounding<'a> {
    problem: &'a Problem,
    rows: Vec<Row>,
    sellers: Vec<(usize, f64)>,
}

impl<'a> Bounding<'a> {
    pub fn new(problem: &'a Problem) -> Self {
        let live = problem.live();
        let mut rows: Vec<Row> = live
            .iter()
            .map(|&line| Row {
                line,
                seller: problem.seller[line],
                must: problem.must[line],
                classes: Vec::new(),
            })
            .collect();
        for (at, class) in problem.classes.iter().enumerate() {
            for line in &class.lines {
                if let Ok(row) = live.binary_search(line) {
                    rows[row].classes.push(at);
                }
            }
        }
        let mut sellers: Vec<usize> = rows.iter().map(|r| r.seller).collect();
        sellers.sort_unstable();
        sellers.dedup();
        #[allow(clippy::cast_precision_loss)] // below 10¹²
        let sellers = sellers.into_iter().map(|s| (s, problem.postage[s] as f64)).collect();
        Self { problem, rows, sellers }
    }

    /// Moves the prices by at most so many steps; stops where the bound comes
    /// within a tick of `target`, the cost to be undercut. The best prices are
    /// left in `prices`.
    pub fn rise(&self, prices: &mut Vec<f64>, target: f64, steps: usize) -> Bound {
        let mut at = prices.clone();
        let mut best = self.look(&at);
        let mut share = vec![0.0; self.rows.len()];
        let mut looked = 0.0;
        let (mut pace, mut idle) = (1.2, 0);
        for step in 0..steps {
            if best.value > target - 1.0 + 1e-3 {
                break;
            }
            let look = if step == 0 { None } else { Some(self.look(&at)) };
            let met = look.as_ref().map_or(&best.met, |l| &l.met);
            let value = look.as_ref().map_or(best.value, |l| l.value);
            let pull: Vec<f64> = self
                .problem
                .classes
                .iter()
                .zip(met)
                .map(|(class, met)| count(class.wishes.len()) - met)
                .collect();
            let square: f64 = pull.iter().map(|p| p * p).sum();
            if let Some(look) = look {
                if step * 2 >= steps {
                    looked += 1.0;
                    for (share, used) in share.iter_mut().zip(&look.used) {
                        *share += f64::from(u8::from(*used));
                    }
                }
                if look.value > best.value + 1e-6 {
                    if look.value - best.value > 1e-3 * (target - best.value) {
                        idle = 0;
                    }
                    prices.clone_from(&at);
                    best = look;
                } else {
                    idle += 1;
                }
            }
            if square < 1e-9 {
                break;
            }
            if idle >= 4 {
                (pace, idle) = (pace * 0.6, 0);
                at.clone_from(prices);
                if pace < 0.01 {
                    break;
                }
                continue;
            }
            let stride = pace * (target - value).max(1.0) / square;
            for (price, pull) in at.iter_mut().zip(&pull) {
                *price = (*price + stride * pull).max(0.0);
            }
        }
        let lines = || self.rows.iter().map(|r| r.line);
        Bound {
            value: best.value,
            earns: lines().zip(best.earns).collect(),
            sellers: self.sellers.iter().map(|(s, _)| *s).zip(best.sellers).collect(),
            share: lines().zip(share.iter().map(|s| s / f64::max(looked, 1.0))).collect(),
        }
    }

    /// What these prices bring.
    fn look(&self, prices: &[f64]) -> Look {
        let classes = &self.problem.classes;
        let mut earns = Vec::with_capacity(self.rows.len());
        let mut draws: Vec<Vec<(usize, f64)>> = Vec::with_capacity(self.rows.len());
        for row in &self.rows {
            let (earned, drawn) = self.earn(row, prices);
            earns.push(earned);
            draws.push(drawn);
        }
        let kept = |row: &Row, earned: f64| if row.must { earned } else { earned.max(0.0) };
        let mut sellers: Vec<f64> = self.sellers.iter().map(|(_, postage)| -postage).collect();
        for (row, earned) in self.rows.iter().zip(&earns) {
            sellers[self.seller(row.seller)] += kept(row, *earned);
        }
        let mut value: f64 =
            classes.iter().zip(prices).map(|(c, p)| count(c.wishes.len()) * p).sum();
        for ((_, postage), kept) in self.sellers.iter().zip(&sellers) {
            value -= if *postage > 0.0 { kept.max(0.0) } else { *kept };
        }
        let mut met = vec![0.0; classes.len()];
        let mut used = vec![false; self.rows.len()];
        for (at, row) in self.rows.iter().enumerate() {
            let seller = self.seller(row.seller);
            let open = self.sellers[seller].1 <= 0.0 || sellers[seller] > 0.0;
            if row.must || open && earns[at] > 0.0 {
                used[at] = true;
                for (class, needs) in &draws[at] {
                    met[*class] += needs;
                }
            }
        }
        Look { value, earns, sellers, used, met }
    }

    fn seller(&self, seller: usize) -> usize {
        self.sellers.binary_search_by_key(&seller, |(s, _)| *s).unwrap_or(0)
    }

    /// The most a line can earn with at least one piece, and whom it serves then.
    fn earn(&self, row: &Row, prices: &[f64]) -> (f64, Vec<(usize, f64)>) {
        let classes = &self.problem.classes;
        let costs = &self.problem.costs[row.line];
        let apiece = |class: usize| prices[class] / count(classes[class].size);
        let mut order: Vec<(f64, usize)> = row.classes.iter().map(|c| (apiece(*c), *c)).collect();
        order.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let (mut load, mut paid) = (0_usize, 0.0);
        let mut best = (f64::NEG_INFINITY, 0_usize);
        for (price, class) in &order {
            for _ in 0..classes[*class].pieces() {
                load += 1;
                paid += price;
                #[allow(clippy::cast_precision_loss)] // below 10¹²
                let earned = paid - costs[load] as f64;
                if earned > best.0 {
                    best = (earned, load);
                }
            }
        }
        let mut left = best.1;
        let mut drawn = Vec::with_capacity(order.len());
        for (_, class) in order {
            let pieces = classes[class].pieces().min(left);
            if pieces == 0 {
                break;
            }
            left -= pieces;
            drawn.push((class, count(pieces) / count(classes[class].size)));
        }
        (best.0, drawn)
    }
}

#[allow(clippy::cast_precision_loss)] // a few hundreds
pub(super) fn count(number: usize) -> f64 {
    number as f64
}
