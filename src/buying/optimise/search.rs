//! Branch and bound over a problem and the pieces it falls apart into.

use super::bound::{Bound, Bounding};
use super::greedy;
use super::model::{Class, Problem};

/// The needs with their lines.
type Pairs = Vec<(usize, usize)>;

/// What came of a problem.
#[derive(Debug, Default)]
pub(super) struct Out {
    /// The best choice found below the cutoff, and what it costs.
    pub best: Option<(i64, Pairs)>,
    /// No choice costs less than this, or than the cutoff.
    pub lower: i64,
}

/// The search, and how much of it is left.
pub(super) struct Search {
    /// Nodes looked at.
    pub nodes: usize,
    /// The most to look at.
    pub most: usize,
}

/// A piece with what its bound says.
struct Piece {
    problem: Problem,
    bound: Bound,
    lower: i64,
    best: (i64, Pairs),
}

/// Steps of the bound at the top and below.
const STEPS: [usize; 2] = [120, 40];

impl Search {
    /// Solves a problem, as far as choices below `cutoff` go. `known` is a
    /// bound that holds for it already.
    pub fn solve(&mut self, mut problem: Problem, cutoff: i64, known: i64) -> Out {
        if !problem.reduce() {
            return Out { best: None, lower: i64::MAX };
        }
        let paid = problem.paid;
        let top = self.nodes == 0;
        let parts = problem.split();
        // What the whole may cost bounds one piece only where there is but one.
        let room = if parts.len() == 1 { cutoff.saturating_sub(paid) } else { i64::MAX };
        let mut pieces: Vec<Piece> = Vec::new();
        for part in parts {
            self.nodes += 1;
            pieces.extend(look(part, room, STEPS[usize::from(!top)]));
        }
        let mut lower = paid + pieces.iter().map(|p| p.lower).sum::<i64>();
        let mut upper = paid + pieces.iter().map(|p| p.best.0).sum::<i64>();
        pieces.sort_by_key(|p| p.best.0 - p.lower);
        for piece in &mut pieces {
            if piece.lower >= piece.best.0 || lower >= cutoff {
                continue;
            }
            // This piece may cost what the others leave at the least.
            let room = cutoff.saturating_sub(lower - piece.lower);
            let room = piece.best.0.min(room);
            let out = self.branch(piece, room);
            if let Some(found) = out.best
                && found.0 < piece.best.0
            {
                upper -= piece.best.0 - found.0;
                piece.best = found;
                // It may leave out a line that this branch takes as used, and
                // then costs less than any choice that uses it.
                lower -= (piece.lower - piece.best.0).max(0);
                piece.lower = piece.lower.min(piece.best.0);
            }
            let proven = out.lower.min(room).clamp(piece.lower, piece.best.0);
            lower += proven - piece.lower;
            piece.lower = proven;
        }
        let pairs = pieces.into_iter().flat_map(|p| p.best.1).collect();
        Out { best: Some((upper, pairs)), lower: lower.max(known.min(upper)) }
    }

    /// Splits a piece in ways that leave nothing out, and solves each.
    fn branch(&mut self, piece: &Piece, cutoff: i64) -> Out {
        let Piece { problem, bound, lower, .. } = piece;
        if problem.classes.len() == 1
            && problem.classes[0].lines.iter().all(|l| problem.postage[problem.seller[*l]] == 0)
        {
            let (cost, pairs) = single(problem);
            return Out { best: Some((cost, pairs)), lower: cost };
        }
        let (mut best, mut least, mut cutoff) = (None, i64::MAX, cutoff);
        for child in children(problem, bound) {
            if self.nodes >= self.most {
                return Out { best, lower: *lower };
            }
            let out = self.solve(child, cutoff, *lower);
            least = least.min(out.lower.min(cutoff));
            if let Some(found) = out.best
                && found.0 < cutoff
            {
                cutoff = found.0;
                best = Some(found);
            }
        }
        Out { best, lower: least }
    }
}

/// Bounds a piece, fixes what the bound decides, and bounds it again.
fn look(mut problem: Problem, cutoff: i64, steps: usize) -> Option<Piece> {
    let mut best: Option<(i64, Pairs)> = None;
    let mut lower = i64::MIN;
    loop {
        let mut prices: Vec<f64> = problem.classes.iter().map(|c| c.price).collect();
        let choice = greedy::best(&problem, &prices);
        let shares = choice.shares();
        let paid = problem.paid;
        let found = (choice.cost + paid, choice.pairs());
        if best.as_ref().is_none_or(|b| found.0 < b.0) {
            best = Some(found);
        }
        if problem.classes.iter().all(|c| c.lines.len() == 1) {
            // Nothing is left to choose.
            lower = lower.max(choice.cost + paid);
        }
        let target = best.as_ref().map_or(cutoff, |b| b.0.min(cutoff)) - paid;
        let bounding = Bounding::new(&problem);
        if prices.iter().all(|p| *p <= 0.0) {
            prices.clone_from(&shares);
        }
        #[allow(clippy::cast_precision_loss)] // below 10¹²
        let bound = bounding.rise(&mut prices, target as f64, steps);
        lower = lower.max(whole(bound.value) + paid);
        for (class, price) in problem.classes.iter_mut().zip(&prices) {
            class.price = *price;
        }
        let cost = best.as_ref().map_or(cutoff, |b| b.0);
        if lower >= cost.min(cutoff) {
            let best = best?;
            return Some(Piece { problem, bound, lower: lower.min(best.0), best });
        }
        let fixed = fix(&mut problem, &bound, target);
        if !fixed {
            let best = best?;
            return Some(Piece { problem, bound, lower, best });
        }
        if !problem.reduce() {
            // Nothing below the best is left.
            let best = best?;
            return Some(Piece { problem, bound, lower: best.0, best });
        }
    }
}

/// The least whole number of ticks that a bound allows.
#[allow(clippy::cast_possible_truncation)] // below 10¹²
fn whole(bound: f64) -> i64 {
    (bound - 1e-3).ceil() as i64
}

/// Closes and opens what the bound decides: what would lift it to the target
/// cannot be part of anything better.
#[allow(clippy::cast_precision_loss)] // below 10¹²
fn fix(problem: &mut Problem, bound: &Bound, target: i64) -> bool {
    let room = target as f64 - 1.0 + 1e-3 - bound.value;
    let mut fixed = false;
    for (seller, earned) in &bound.sellers {
        if problem.postage[*seller] == 0 {
            continue;
        }
        if -earned > room {
            problem.close_seller(*seller);
            fixed = true;
        } else if *earned > room {
            problem.open_seller(*seller);
            fixed = true;
        }
    }
    for (line, earned) in &bound.earns {
        let seller = problem.seller[*line];
        let kept = bound.sellers.iter().find(|(s, _)| *s == seller).map_or(0.0, |(_, e)| *e);
        if problem.must[*line] {
            continue;
        }
        let unpaid = problem.postage[seller] > 0;
        // Used, it brings its seller along.
        let used = if unpaid { kept.max(0.0) - (kept - earned.max(0.0) + earned) } else { -earned };
        if used > room {
            problem.close(*line);
            fixed = true;
        } else if *earned > room && !unpaid {
            problem.must[*line] = true;
            fixed = true;
        }
    }
    fixed
}

/// The ways a piece is split: a seller in question, else a line in question,
/// else where the first need of a class goes.
fn children(problem: &Problem, bound: &Bound) -> Vec<Problem> {
    let asked = bound
        .sellers
        .iter()
        .filter(|(s, _)| problem.postage[*s] > 0)
        .max_by(|a, b| problem.postage[a.0].cmp(&problem.postage[b.0]).then(b.0.cmp(&a.0)));
    if let Some((seller, earned)) = asked {
        let (mut with, mut without) = (problem.clone(), problem.clone());
        with.open_seller(*seller);
        without.close_seller(*seller);
        return if *earned > 0.0 { vec![with, without] } else { vec![without, with] };
    }
    let doubt = |share: f64| (share - 0.5).abs();
    let earned = |line: usize| {
        bound.earns.iter().find(|(l, _)| *l == line).map_or(0.0, |(_, earned)| earned.abs())
    };
    let live = problem.live();
    let asked = bound
        .share
        .iter()
        .filter(|(l, _)| !problem.must[*l] && live.binary_search(l).is_ok())
        .min_by(|a, b| doubt(a.1).total_cmp(&doubt(b.1)).then(earned(a.0).total_cmp(&earned(b.0))));
    if let Some((line, share)) = asked {
        let (mut with, mut without) = (problem.clone(), problem.clone());
        with.must[*line] = true;
        without.close(*line);
        return if *share > 0.5 { vec![with, without] } else { vec![without, with] };
    }
    first_need(problem)
}

/// The first need of the class with the fewest lines goes to each of them in
/// turn; the rest of its class to none before that one.
fn first_need(problem: &Problem) -> Vec<Problem> {
    let open = |c: &&Class| c.lines.len() > 1;
    let Some(class) = problem.classes.iter().filter(open).min_by_key(|c| c.lines.len()) else {
        return vec![problem.clone()];
    };
    let split = |at: usize| {
        let mut child = problem.clone();
        child.classes.retain(|c| c.wishes[0] != class.wishes[0]);
        let mut first = class.clone();
        let rest = first.wishes.split_off(1);
        first.lines = vec![class.lines[at]];
        child.classes.push(first);
        if !rest.is_empty() {
            child.classes.push(Class {
                wishes: rest,
                lines: class.lines[at..].to_vec(),
                ..class.clone()
            });
        }
        child
    };
    (0..class.lines.len()).map(split).collect()
}

/// One class alone: the cheapest way to share its needs out, line by line.
fn single(problem: &Problem) -> (i64, Pairs) {
    let class = &problem.classes[0];
    let needs = class.wishes.len();
    let mut least = vec![i64::MAX / 2; needs + 1];
    least[0] = 0;
    let mut drawn: Vec<Vec<usize>> = Vec::new();
    for line in &class.lines {
        let costs = &problem.costs[*line];
        let mut next = least.clone();
        let mut from = vec![0; needs + 1];
        for met in 1..=needs {
            for here in 1..=met {
                let cost = least[met - here] + costs[here * class.size];
                if cost < next[met] {
                    (next[met], from[met]) = (cost, here);
                }
            }
        }
        least = next;
        drawn.push(from);
    }
    let (mut left, mut pairs) = (needs, Vec::new());
    for (line, from) in class.lines.iter().zip(&drawn).rev() {
        let here = from[left];
        pairs.extend(class.wishes[left - here..left].iter().map(|w| (*w, *line)));
        left -= here;
    }
    (least[needs] + problem.paid, pairs)
}
