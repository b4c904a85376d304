//! The task while it is worked on: needs alike in one class, lines and sellers
//! that are still open, and what shrinks them.

use super::Task;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Needs of the same size that the same lines serve.
#[derive(Debug, Clone)]
pub(super) struct Class {
    /// Pieces of each need.
    pub size: usize,
    /// The needs, as the task numbers them.
    pub wishes: Vec<usize>,
    /// The lines that may serve, rising.
    pub lines: Vec<usize>,
    /// What each need offers for being met: where the bound was last best.
    pub price: f64,
}

impl Class {
    /// Pieces of all its needs.
    pub fn pieces(&self) -> usize {
        self.size * self.wishes.len()
    }
}

/// What is left of a task. Lines and sellers keep their numbers.
#[derive(Debug, Clone)]
pub(super) struct Problem {
    /// The needs.
    pub classes: Vec<Class>,
    /// Costs of each line by load, the worth of a line included.
    pub costs: Rc<[Vec<i64>]>,
    /// The most that further 0, 1, 2 … pieces of each line can add.
    adds: Rc<[Vec<i64>]>,
    /// The seller of each line.
    pub seller: Rc<[usize]>,
    /// Lines that are to be used.
    pub must: Vec<bool>,
    /// What each seller still costs to open.
    pub postage: Vec<i64>,
    /// What is paid already.
    pub paid: i64,
}

impl Problem {
    /// The whole task.
    pub fn of(task: &Task) -> Self {
        let costs: Rc<[Vec<i64>]> = task
            .lines
            .iter()
            .map(|line| {
                let worth = |(load, cost): (usize, &i64)| {
                    if load == 0 { 0 } else { cost + task.line_worth }
                };
                line.costs.iter().enumerate().map(worth).collect()
            })
            .collect();
        let classes = task.wishes.iter().enumerate().map(|(at, wish)| Class {
            size: wish.pieces,
            wishes: vec![at],
            lines: wish.lines.clone(),
            price: 0.0,
        });
        Self {
            classes: classes.collect(),
            adds: costs.iter().map(|costs| most_added(costs)).collect(),
            costs,
            seller: task.lines.iter().map(|line| line.seller).collect(),
            must: vec![false; task.lines.len()],
            postage: task.postage.clone(),
            paid: 0,
        }
    }

    /// Takes a line out.
    pub fn close(&mut self, line: usize) {
        for class in &mut self.classes {
            class.lines.retain(|l| *l != line);
        }
    }

    /// Takes a seller out.
    pub fn close_seller(&mut self, seller: usize) {
        let of = Rc::clone(&self.seller);
        for class in &mut self.classes {
            class.lines.retain(|l| of[*l] != seller);
        }
    }

    /// Pays a seller's postage.
    pub fn open_seller(&mut self, seller: usize) {
        self.paid += std::mem::take(&mut self.postage[seller]);
    }

    /// Decides what is decided: a line that alone serves a class is used, its
    /// seller paid; what another line outdoes is dropped. `false` where some
    /// class is left with nothing.
    pub fn reduce(&mut self) -> bool {
        loop {
            self.merge();
            for at in 0..self.classes.len() {
                match *self.classes[at].lines {
                    [] => return false,
                    [only] => self.must[only] = true,
                    _ => {}
                }
            }
            let used: Vec<usize> = self.live().into_iter().filter(|l| self.must[*l]).collect();
            for line in used {
                self.open_seller(self.seller[line]);
            }
            if !self.drop_outdone() {
                return true;
            }
        }
    }

    /// The lines that may still serve something, rising.
    pub fn live(&self) -> Vec<usize> {
        let mut live: Vec<usize> =
            self.classes.iter().flat_map(|c| c.lines.iter().copied()).collect();
        live.sort_unstable();
        live.dedup();
        live
    }

    /// Puts needs alike into one class.
    fn merge(&mut self) {
        let mut alike: BTreeMap<(Vec<usize>, usize), Class> = BTreeMap::new();
        for class in std::mem::take(&mut self.classes) {
            match alike.get_mut(&(class.lines.clone(), class.size)) {
                Some(kept) => {
                    kept.wishes.extend(class.wishes);
                    kept.price = kept.price.max(class.price);
                }
                None => {
                    alike.insert((class.lines.clone(), class.size), class);
                }
            }
        }
        self.classes = alike.into_values().collect();
    }

    /// Drops every line whose pieces another can always take over, never
    /// dearer whatever it serves already, from a seller who costs nothing more.
    fn drop_outdone(&mut self) -> bool {
        let live = self.live();
        let words = self.classes.len().div_ceil(64);
        let mut serves = vec![0_u64; words * live.len()];
        let mut most = vec![0_usize; live.len()];
        for (at, class) in self.classes.iter().enumerate() {
            for line in &class.lines {
                let Ok(row) = live.binary_search(line) else { continue };
                serves[row * words + at / 64] |= 1 << (at % 64);
                most[row] += class.pieces();
            }
        }
        let mut gone = vec![false; live.len()];
        for b in 0..live.len() {
            if self.must[live[b]] {
                continue;
            }
            gone[b] = (0..live.len()).any(|a| {
                let (x, y) = (live[a], live[b]);
                let seller = self.seller[x];
                let free = self.postage[seller] == 0 || seller == self.seller[y];
                a != b
                    && !gone[a]
                    && free
                    && (0..words).all(|w| serves[b * words + w] & !serves[a * words + w] == 0)
                    && (1..=most[b]).all(|q| self.adds[x][q] <= self.costs[y][q])
            });
        }
        let any = gone.contains(&true);
        if any {
            let out: Vec<usize> =
                live.iter().zip(&gone).filter(|(_, gone)| **gone).map(|(l, _)| *l).collect();
            for class in &mut self.classes {
                class.lines.retain(|l| out.binary_search(l).is_err());
            }
        }
        any
    }

    /// The pieces it falls apart into: no line, and no seller that is still to
    /// be paid, in two of them. What is paid stays behind.
    pub fn split(self) -> Vec<Self> {
        let lines = self.seller.len();
        let mut group: Vec<usize> = (0..lines + self.postage.len()).collect();
        for class in &self.classes {
            let first = class.lines[0];
            for line in &class.lines {
                join(&mut group, first, *line);
                if self.postage[self.seller[*line]] > 0 {
                    join(&mut group, first, lines + self.seller[*line]);
                }
            }
        }
        let mut parts: BTreeMap<usize, Vec<Class>> = BTreeMap::new();
        for class in self.classes {
            let root = find(&mut group, class.lines[0]);
            parts.entry(root).or_default().push(class);
        }
        let part = |classes| Self {
            classes,
            costs: Rc::clone(&self.costs),
            adds: Rc::clone(&self.adds),
            seller: Rc::clone(&self.seller),
            must: self.must.clone(),
            postage: self.postage.clone(),
            paid: 0,
        };
        parts.into_values().map(part).collect()
    }
}

/// The most that further pieces can add to a cost, whatever stands there.
fn most_added(costs: &[i64]) -> Vec<i64> {
    let most = |pieces: usize| costs.iter().zip(&costs[pieces..]).map(|(a, b)| b - a).max();
    (0..costs.len()).map(|pieces| most(pieces).unwrap_or(0)).collect()
}

fn find(group: &mut [usize], mut at: usize) -> usize {
    while group[at] != at {
        group[at] = group[group[at]];
        at = group[at];
    }
    at
}

fn join(group: &mut [usize], a: usize, b: usize) {
    let (a, b) = (find(group, a), find(group, b));
    group[a.max(b)] = a.min(b);
}
