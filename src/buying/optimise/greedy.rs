//! A good choice to begin with: greedy, then mended move by move.

use super::model::Problem;

/// A choice under way: how many needs of each class each of its lines serves.
#[derive(Clone)]
pub(super) struct Choice<'a> {
    problem: &'a Problem,
    /// By class, as long as its list of lines.
    drawn: Vec<Vec<usize>>,
    /// Pieces drawn from each line.
    load: Vec<usize>,
    /// Lines in use of each seller.
    open: Vec<usize>,
    /// What it costs.
    pub cost: i64,
}

/// Where so many lines are open, none is taken up on trial.
const FEW: usize = 60;

/// The best choice that greed and mending find.
pub(super) fn best<'a>(problem: &'a Problem, prices: &[f64]) -> Choice<'a> {
    let live = problem.live();
    let mut best: Option<Choice> = None;
    for heed_postage in [true, false] {
        let mut choice = Choice::greedy(problem, prices, heed_postage);
        choice.mend(&live);
        if best.as_ref().is_none_or(|b| choice.cost < b.cost) {
            best = Some(choice);
        }
    }
    best.unwrap_or_else(|| Choice::greedy(problem, prices, true))
}

impl<'a> Choice<'a> {
    /// Class by class, those with the fewest lines first, where it adds least.
    fn greedy(problem: &'a Problem, prices: &[f64], heed_postage: bool) -> Self {
        let mut choice = Self {
            problem,
            drawn: problem.classes.iter().map(|c| vec![0; c.lines.len()]).collect(),
            load: vec![0; problem.seller.len()],
            open: vec![0; problem.postage.len()],
            cost: 0,
        };
        let mut order: Vec<usize> = (0..problem.classes.len()).collect();
        order.sort_by(|a, b| {
            let lines = |at: &usize| problem.classes[*at].lines.len();
            lines(a).cmp(&lines(b)).then(prices[*b].total_cmp(&prices[*a]))
        });
        for class in order {
            let needs = problem.classes[class].wishes.len();
            let adds = |at: usize| {
                let line = problem.classes[class].lines[at];
                let postage = if heed_postage { choice.postage(line) } else { 0 };
                choice.step(line, needs * problem.classes[class].size) + postage
            };
            let at = (0..problem.classes[class].lines.len()).min_by_key(|at| adds(*at));
            choice.add(class, at.unwrap_or(0), needs);
        }
        choice
    }

    /// What further pieces of a line cost.
    fn step(&self, line: usize, pieces: usize) -> i64 {
        let costs = &self.problem.costs[line];
        costs[self.load[line] + pieces] - costs[self.load[line]]
    }

    /// What fewer pieces of a line save.
    fn save(&self, line: usize, pieces: usize) -> i64 {
        let costs = &self.problem.costs[line];
        costs[self.load[line]] - costs[self.load[line] - pieces]
    }

    /// What opening the line's seller would cost.
    fn postage(&self, line: usize) -> i64 {
        let seller = self.problem.seller[line];
        if self.open[seller] == 0 { self.problem.postage[seller] } else { 0 }
    }

    fn add(&mut self, class: usize, at: usize, needs: usize) {
        let line = self.problem.classes[class].lines[at];
        let pieces = needs * self.problem.classes[class].size;
        if pieces == 0 {
            return;
        }
        self.cost += self.step(line, pieces) + self.postage(line);
        if self.load[line] == 0 {
            self.open[self.problem.seller[line]] += 1;
        }
        self.load[line] += pieces;
        self.drawn[class][at] += needs;
    }

    fn remove(&mut self, class: usize, at: usize, needs: usize) {
        let line = self.problem.classes[class].lines[at];
        let pieces = needs * self.problem.classes[class].size;
        if pieces == 0 {
            return;
        }
        self.cost -= self.save(line, pieces);
        self.load[line] -= pieces;
        self.drawn[class][at] -= needs;
        if self.load[line] == 0 {
            self.open[self.problem.seller[line]] -= 1;
            self.cost -= self.postage(line);
        }
    }

    /// Moves needs about while that helps, then tries to do without each line
    /// and each seller, and, where few lines are open, to take each one up.
    fn mend(&mut self, live: &[usize]) {
        self.shift_all();
        for _ in 0..4 {
            let before = self.cost;
            for seller in 0..self.open.len() {
                if self.open[seller] > 0 && self.problem.postage[seller] > 0 {
                    let of = |line: usize| self.problem.seller[line] == seller;
                    let tried = self.without(of);
                    self.take_if_better(tried);
                }
            }
            for &line in live {
                if self.load[line] > 0 {
                    self.take_if_better(self.without(|l| l == line));
                } else if live.len() <= FEW {
                    self.take_if_better(Some(self.with(line)));
                }
            }
            if self.cost >= before {
                return;
            }
        }
    }

    fn take_if_better(&mut self, tried: Option<Self>) {
        if let Some(mut tried) = tried {
            tried.shift_all();
            if tried.cost < self.cost {
                *self = tried;
            }
        }
    }

    /// The same with all that those lines serve moved elsewhere.
    fn without(&self, gone: impl Fn(usize) -> bool) -> Option<Self> {
        let mut tried = self.clone();
        for class in 0..self.drawn.len() {
            let lines = &self.problem.classes[class].lines;
            for at in 0..lines.len() {
                let needs = self.drawn[class][at];
                if needs == 0 || !gone(lines[at]) {
                    continue;
                }
                tried.remove(class, at, needs);
                let pieces = needs * self.problem.classes[class].size;
                let to = (0..lines.len())
                    .filter(|to| !gone(lines[*to]))
                    .min_by_key(|to| tried.step(lines[*to], pieces) + tried.postage(lines[*to]))?;
                tried.add(class, to, needs);
            }
        }
        Some(tried)
    }

    /// The same with all that a line may serve moved to it.
    fn with(&self, line: usize) -> Self {
        let mut tried = self.clone();
        for class in 0..self.drawn.len() {
            let Ok(to) = self.problem.classes[class].lines.binary_search(&line) else { continue };
            for at in 0..self.drawn[class].len() {
                let needs = tried.drawn[class][at];
                if at != to {
                    tried.remove(class, at, needs);
                    tried.add(class, to, needs);
                }
            }
        }
        tried
    }

    /// Moves any number of needs of one class from line to line while that helps.
    fn shift_all(&mut self) {
        for _ in 0..50 {
            let before = self.cost;
            for class in 0..self.drawn.len() {
                self.shift(class);
            }
            if self.cost >= before {
                return;
            }
        }
    }

    fn shift(&mut self, class: usize) {
        let size = self.problem.classes[class].size;
        let lines = &self.problem.classes[class].lines;
        for from in 0..lines.len() {
            let mut best = (0_i64, 0_usize, 0_usize);
            for needs in 1..=self.drawn[class][from] {
                let pieces = needs * size;
                let saved = self.save(lines[from], pieces);
                let seller = self.problem.seller[lines[from]];
                let last = self.load[lines[from]] == pieces && self.open[seller] == 1;
                for to in (0..lines.len()).filter(|to| *to != from) {
                    let same = self.problem.seller[lines[to]] == seller;
                    let postage = if last && !same { self.problem.postage[seller] } else { 0 };
                    let added = self.step(lines[to], pieces) + self.postage(lines[to]);
                    let gain = saved + postage - added;
                    if gain > best.0 {
                        best = (gain, to, needs);
                    }
                }
            }
            if best.0 > 0 {
                self.remove(class, from, best.2);
                self.add(class, best.1, best.2);
            }
        }
    }

    /// The needs with their lines.
    pub fn pairs(&self) -> Vec<(usize, usize)> {
        let mut pairs = Vec::new();
        for (class, drawn) in self.problem.classes.iter().zip(&self.drawn) {
            let lines = class.lines.iter().zip(drawn);
            let each = lines.flat_map(|(line, needs)| std::iter::repeat_n(*line, *needs));
            pairs.extend(class.wishes.iter().copied().zip(each));
        }
        pairs
    }

    /// What each need pays of its line's cost, on average over its class.
    #[allow(clippy::cast_precision_loss)] // below 10¹²
    pub fn shares(&self) -> Vec<f64> {
        let mut shares = Vec::new();
        for (class, drawn) in self.problem.classes.iter().zip(&self.drawn) {
            let mut paid = 0.0;
            for (line, needs) in class.lines.iter().zip(drawn).filter(|(_, n)| **n > 0) {
                let cost = self.problem.costs[*line][self.load[*line]] as f64;
                let pieces = (needs * class.size) as f64;
                paid += cost * pieces / self.load[*line] as f64;
            }
            shares.push(paid / class.wishes.len() as f64);
        }
        shares
    }
}
