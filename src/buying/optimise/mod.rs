//! Which offers to take so that every need is met at the least cost, proven.
//!
//! A need is met by one offer that may serve it, wholly. An offer costs what
//! its price tables say for the pieces drawn from it, and what a line is worth;
//! a seller costs postage once anything is bought there.
//!
//! ```
//! use firstglow::buying::optimise::{Line, Task, Wish, solve};
//! let task = Task {
//!     wishes: vec![Wish { pieces: 1, lines: vec![0, 1] }, Wish { pieces: 1, lines: vec![1] }],
//!     lines: vec![
//!         Line { seller: 0, costs: vec![0, 30, 60] },
//!         Line { seller: 0, costs: vec![0, 40, 80] },
//!     ],
//!     postage: vec![100],
//!     line_worth: 20,
//! };
//! let found = solve(&task, 10_000).unwrap();
//! assert_eq!((found.cost, &found.choice[..]), (200, &[1, 1][..])); // one line for both
//! assert!(found.is_proven());
//! ```
//!
//! The method is branch and bound. The bound is Lagrangian: each need offers a
//! price for being met, and sellers and lines keep what they can earn above
//! their cost; the price is moved by subgradient steps until the bound rises no
//! further. What the bound already decides is fixed, lines that another one
//! outdoes are dropped, and what falls apart into pieces is solved piece by
//! piece. Source: textbook facility location (Cornuéjols, Nemhauser, Wolsey,
//! "The uncapacitated facility location problem", 1990, from memory).
//!
//! Limits: costs are whole ticks, below [`MOST`] in all; the work is counted in
//! nodes, so that the same task gives the same answer on any machine.

mod bound;
mod greedy;
mod model;
mod search;

use model::Problem;
use thiserror::Error;

/// The greatest sum of costs that is worked with, in ticks.
pub const MOST: i64 = 1_000_000_000_000;

/// One need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wish {
    /// How many pieces, drawn from one line: 1 or more.
    pub pieces: usize,
    /// The lines that may serve, rising.
    pub lines: Vec<usize>,
}

/// One offer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Whose it is.
    pub seller: usize,
    /// The least cost of at least 0, 1, 2 … pieces, in ticks: none for none,
    /// never falling, as long as all the pieces that may be drawn from it.
    pub costs: Vec<i64>,
}

/// What is to be solved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// The needs; each may be served by some line.
    pub wishes: Vec<Wish>,
    /// The offers.
    pub lines: Vec<Line>,
    /// The postage of each seller, in ticks.
    pub postage: Vec<i64>,
    /// What one line fewer is worth, in ticks.
    pub line_worth: i64,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// For each need, the line that serves it.
    pub choice: Vec<usize>,
    /// What that costs, postage and the worth of lines included, in ticks.
    pub cost: i64,
    /// No choice costs less than this.
    pub bound: i64,
    /// How many nodes were looked at.
    pub nodes: usize,
}

impl Found {
    /// Whether no choice can be better.
    pub const fn is_proven(&self) -> bool {
        self.bound >= self.cost
    }
}

/// Why a task is not solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum TaskError {
    /// No line may serve that need.
    #[error("nothing serves need {0}")]
    Unserved(usize),
    /// Costs past [`MOST`].
    #[error("the costs are too large to be summed")]
    TooDear,
    /// A line or seller that is not there, a table that is too short or falls.
    #[error("line {0} is not whole")]
    Malformed(usize),
}

/// Solves a task, looking at most at so many nodes.
///
/// # Errors
/// [`TaskError`] where it cannot be solved at all.
pub fn solve(task: &Task, most_nodes: usize) -> Result<Found, TaskError> {
    check(task)?;
    let problem = Problem::of(task);
    let mut search = search::Search { nodes: 0, most: most_nodes.max(1) };
    let out = search.solve(problem, i64::MAX, 0);
    let (_, pairs) = out.best.unwrap_or_default();
    let mut choice = vec![0; task.wishes.len()];
    for (wish, line) in pairs {
        choice[wish] = line;
    }
    let cost = cost(task, &choice);
    Ok(Found { choice, cost, bound: out.lower.min(cost), nodes: search.nodes })
}

/// What a choice costs, in ticks.
pub fn cost(task: &Task, choice: &[usize]) -> i64 {
    let mut loads = vec![0; task.lines.len()];
    for (wish, line) in task.wishes.iter().zip(choice) {
        loads[*line] += wish.pieces;
    }
    let mut total = 0;
    let mut paid = vec![false; task.postage.len()];
    for (line, load) in task.lines.iter().zip(loads).filter(|(_, load)| *load > 0) {
        total += line.costs[load] + task.line_worth;
        if !std::mem::replace(&mut paid[line.seller], true) {
            total += task.postage[line.seller];
        }
    }
    total
}

fn check(task: &Task) -> Result<(), TaskError> {
    let mut most = vec![0_usize; task.lines.len()];
    for (at, wish) in task.wishes.iter().enumerate() {
        if wish.lines.is_empty() || wish.pieces == 0 {
            return Err(TaskError::Unserved(at));
        }
        for line in &wish.lines {
            *most.get_mut(*line).ok_or(TaskError::Malformed(*line))? += wish.pieces;
        }
    }
    let mut sum = task.postage.iter().try_fold(0_i64, |sum, p| sum.checked_add(*p));
    for (at, (line, most)) in task.lines.iter().zip(most).enumerate() {
        let whole = line.costs.len() > most
            && line.costs[0] == 0
            && line.costs.is_sorted()
            && line.seller < task.postage.len();
        if !whole {
            return Err(TaskError::Malformed(at));
        }
        sum = sum.and_then(|s| s.checked_add(line.costs[most])?.checked_add(task.line_worth));
    }
    let fits = task.line_worth >= 0 && task.postage.iter().all(|p| *p >= 0);
    match sum.filter(|sum| fits && *sum <= MOST) {
        Some(_) => Ok(()),
        None => Err(TaskError::TooDear),
    }
}
