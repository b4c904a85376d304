//! The resistances of the harness, factored once, and what a few changed
//! conductances make of every reading.
//!
//! A fault changes one to six conductances. By the matrix-inversion lemma
//! (Woodbury 1950; any text of numerical algebra) every reading then follows
//! from one solve for each of them.
//!
//! Limits: what is insulated is taken as 1 GΩ, so that no part of the network
//! floats; readings above [`OPEN_OHMS`] are open.

use super::harness::{PointIndex, joined};
use crate::circuit::solver::sparse::{Factors, Pattern};

/// Siemens of insulation: more than an ohmmeter on the bench can tell from
/// open. Own choice.
const INSULATION: f64 = 1e-9;
/// Ohms above which a reading is open.
pub const OPEN_OHMS: f64 = 1e8;

/// One conductance more or less between two points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// One point.
    pub a: PointIndex,
    /// The other.
    pub b: PointIndex,
    /// Siemens more; less where negative.
    pub siemens: f64,
}

impl Change {
    /// A conductance taken away.
    pub fn without(a: PointIndex, b: PointIndex, siemens: f64) -> Self {
        Self { a, b, siemens: INSULATION - siemens }
    }
}

/// A place for the two leads of an ohmmeter.
pub type Port = (PointIndex, PointIndex);

/// The factored network.
#[derive(Debug, Clone)]
pub struct Network {
    factors: Factors,
    ground: PointIndex,
    len: usize,
    /// The point of each floating island that its readings are told against.
    pub anchors: Vec<PointIndex>,
    /// The island's anchor for each point; ground's own for what it ties.
    pub island: Vec<PointIndex>,
}

impl Network {
    /// Factors the network. `rank` says which point of a floating island is its
    /// anchor: the one of the highest rank.
    ///
    /// `None` where the numbers allow no answer, which no positive conductances
    /// bring about.
    pub fn new(
        len: usize,
        ground: PointIndex,
        conductors: &[Change],
        rank: impl Fn(PointIndex) -> usize,
    ) -> Option<Self> {
        let root = joined(len, conductors.iter().map(|c| (c.a, c.b)));
        let mut anchor_of: Vec<Option<PointIndex>> = vec![None; len];
        for point in 0..len {
            let best = &mut anchor_of[root[point]];
            if best.is_none_or(|best| rank(point) > rank(best)) {
                *best = Some(point);
            }
        }
        anchor_of[root[ground]] = Some(ground);
        let island: Vec<PointIndex> =
            (0..len).map(|p| anchor_of[root[p]].unwrap_or(ground)).collect();
        let anchors: Vec<PointIndex> =
            (0..len).filter(|p| island[*p] == *p && *p != ground).collect();
        let row =
            |point: PointIndex| (point != ground).then(|| point - usize::from(point > ground));
        let edges: Vec<(usize, usize)> =
            conductors.iter().filter_map(|c| Some((row(c.a)?, row(c.b)?))).collect();
        let pattern = Pattern::new(len - 1, &edges);
        let mut values = vec![0.0; pattern.len()];
        let held = anchors.iter().map(|a| Change { a: *a, b: ground, siemens: INSULATION });
        for Change { a, b, siemens } in conductors.iter().copied().chain(held) {
            let (a, b) = (row(a), row(b));
            let mut add = |r: Option<usize>, c: Option<usize>, by: f64| {
                if let Some(slot) = r.zip(c).and_then(|(r, c)| pattern.slot(r, c)) {
                    values[slot] += by;
                }
            };
            add(a, a, siemens);
            add(b, b, siemens);
            if a != b {
                add(a, b, -siemens);
                add(b, a, -siemens);
            }
        }
        let mut factors = Factors::new(pattern);
        factors.factor(&values).ok()?;
        Some(Self { factors, ground, len, anchors, island })
    }

    /// Volts of every point per ampere led in at one and out at another.
    pub fn column(&mut self, (a, b): Port) -> Vec<f64> {
        let mut rows = vec![0.0; self.len - 1];
        let ground = self.ground;
        let row =
            |point: PointIndex| (point != ground).then(|| point - usize::from(point > ground));
        if let Some(a) = row(a) {
            rows[a] += 1.0;
        }
        if let Some(b) = row(b) {
            rows[b] -= 1.0;
        }
        self.factors.solve(&mut rows);
        rows.insert(ground, 0.0);
        rows
    }

    /// The same as far as it matters: `reach` is told each point that moves,
    /// and says whether to follow further. The two ends are always told.
    pub fn spread(&mut self, (a, b): Port, mut reach: impl FnMut(PointIndex, f64) -> bool) {
        let ground = self.ground;
        let row =
            |point: PointIndex| (point != ground).then(|| point - usize::from(point > ground));
        let ends: Vec<(usize, f64)> = [(row(a), 1.0), (row(b), -1.0)]
            .into_iter()
            .filter_map(|(r, v)| Some((r?, v)))
            .collect();
        self.factors.spread(&ends, |row, volts| reach(row + usize::from(row >= ground), volts));
    }

    /// Ohms between two points.
    pub fn ohms(&mut self, (a, b): Port) -> f64 {
        let mut ohms = 0.0;
        if a != b {
            self.spread((a, b), |point, volts| {
                ohms += if point == a {
                    volts
                } else if point == b {
                    -volts
                } else {
                    0.0
                };
                false
            });
        }
        ohms
    }
}

/// Some changes, ready to tell what they make of any reading.
#[derive(Debug, Clone)]
pub struct Changed<'a> {
    columns: &'a [Vec<f64>],
    /// The inverse of the small matrix of the lemma, row by row.
    inner: Vec<f64>,
}

impl<'a> Changed<'a> {
    /// Prepares changes whose columns are told, in their order.
    pub fn new(changes: &[Change], columns: &'a [Vec<f64>]) -> Option<Self> {
        let count = changes.len();
        let mut inner = vec![0.0; count * count];
        for (at, change) in changes.iter().enumerate() {
            for (with, column) in columns.iter().enumerate() {
                inner[at * count + with] = column[change.a] - column[change.b];
            }
            inner[at * count + at] += 1.0 / change.siemens;
        }
        Some(Self { columns, inner: inverse(inner, count)? })
    }

    /// The reading at a port whose ohms were `before`; infinite where it is open.
    pub fn ohms(&self, (a, b): Port, before: f64) -> f64 {
        let count = self.columns.len();
        let seen = |at: usize| self.columns[at][a] - self.columns[at][b];
        let mut ohms = before;
        for row in 0..count {
            let sum: f64 = (0..count).map(|c| self.inner[row * count + c] * seen(c)).sum();
            ohms -= seen(row) * sum;
        }
        // What is cut off is tied by its insulation alone, whose sign is lost
        // in rounding now and then.
        if (-1e-3..OPEN_OHMS).contains(&ohms) { ohms.max(0.0) } else { f64::INFINITY }
    }
}

/// The inverse of a small matrix, by elimination with the largest pivot.
fn inverse(mut matrix: Vec<f64>, count: usize) -> Option<Vec<f64>> {
    let mut other = vec![0.0; count * count];
    for at in 0..count {
        other[at * count + at] = 1.0;
    }
    for column in 0..count {
        let size = |row: &usize| matrix[row * count + column].abs();
        let pivot = (column..count).max_by(|a, b| size(a).total_cmp(&size(b)))?;
        for at in 0..count {
            matrix.swap(column * count + at, pivot * count + at);
            other.swap(column * count + at, pivot * count + at);
        }
        let scale = matrix[column * count + column];
        if scale == 0.0 || !scale.is_finite() {
            return None;
        }
        for row in 0..count {
            if row == column {
                continue;
            }
            let factor = matrix[row * count + column] / scale;
            for at in 0..count {
                matrix[row * count + at] -= factor * matrix[column * count + at];
                other[row * count + at] -= factor * other[column * count + at];
            }
        }
        for at in 0..count {
            matrix[column * count + at] /= scale;
            other[column * count + at] /= scale;
        }
    }
    Some(other)
}
