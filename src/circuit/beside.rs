//! What the circuit puts beside a part that is measured where it stands.
//!
//! Purpose: a reading taken in circuit is that of the part and of every other
//! path between its two nodes. This tells the other paths: their resistance to
//! an ohmmeter, and their admittance to a bridge on alternating current.
//!
//! ```
//! use firstglow::circuit::beside::Beside;
//! use firstglow::circuit::wiring::Wiring;
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::read("C1 .01 mfd a to chassis\nR1 470K a to chassis");
//! let beside = Beside::of(&sheet, &Wiring::of(&sheet), 0, 1000.0);
//! assert!((beside.ohms.unwrap() - 470e3).abs() < 1.0);
//! ```
//!
//! Limits: the set is unpowered, switches are closed, tubes and rectifiers do
//! not conduct; coils count by their resistance alone, so a bridge reading
//! across a tuned circuit is not told. On alternating current nodes more than
//! [`MOST_NODES`] paths away count as ground.

use super::model::{Model, View};
use super::netlist::{Element, NodeId};
use super::solver::{Ohmmeter, SourcesAs};
use super::wiring::Wiring;
use crate::sheet::Sheet;
use std::f64::consts::TAU;

/// The most nodes that are followed on alternating current.
pub const MOST_NODES: usize = 80;

/// Siemens from every node to the reference, so that a node with no other path
/// has an answer: a million megohms.
const LOOSE: f64 = 1e-12;

/// A complex number.
type Complex = (f64, f64);

/// The paths beside a part.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beside {
    /// Ohms on direct current; `None` where no other path joins the two nodes.
    pub ohms: Option<f64>,
    /// Conductance at the frequency asked for, siemens.
    pub siemens: f64,
    /// Susceptance at it, siemens: above zero for capacitance.
    pub susceptance: f64,
}

impl Beside {
    /// What runs beside a part, by its index on the sheet, at a frequency in
    /// hertz. Nothing where its two places are not known or are one.
    pub fn of(sheet: &Sheet, wiring: &Wiring, part: usize, hertz: f64) -> Self {
        let model = Model::of(sheet, wiring, View::Ohmmeter);
        let Some((a, b)) = sheet.parts.get(part).and_then(|p| wiring.leads(p)) else {
            return Self::default();
        };
        let (a, b) = (model.node(a), model.node(b));
        if a == b {
            return Self::default();
        }
        let own = &model.parts[part];
        let others: Vec<Element> = model
            .net
            .elements()
            .filter(|(id, _)| !own.contains(id))
            .map(|(_, element)| *element)
            .collect();
        let (siemens, susceptance) = admittance(&others, a, b, TAU * hertz);
        Self { ohms: direct(&model, part, a, b), siemens, susceptance }
    }

    /// The capacitance that a bridge would count beside the part, farads; never
    /// below zero.
    pub fn farads(&self, hertz: f64) -> f64 {
        (self.susceptance / (TAU * hertz)).max(0.0)
    }
}

/// Ohms between two nodes without the part: what both together show, less the
/// part's own.
fn direct(model: &Model, part: usize, a: NodeId, b: NodeId) -> Option<f64> {
    let own: f64 = model.parts[part]
        .iter()
        .filter_map(|id| match *model.net.element(*id) {
            Element::Resistor { ohms, .. } | Element::Coil { ohms, .. } if ohms > 0.0 => {
                Some(1.0 / ohms)
            }
            _ => None,
        })
        .sum();
    let together = 1.0 / Ohmmeter::new(&model.net, SourcesAs::Open).ok()?.read(a, b)?;
    let others = together - own;
    // What rounding leaves is no path.
    (others > 1e-9 * together && others > LOOSE).then(|| 1.0 / others)
}

/// The admittance between two nodes at an angular frequency.
fn admittance(elements: &[Element], a: NodeId, b: NodeId, omega: f64) -> Complex {
    let paths: Vec<(NodeId, NodeId, Complex)> = elements
        .iter()
        .filter_map(|element| match *element {
            Element::Resistor { a, b, ohms } | Element::Coil { a, b, ohms } => {
                Some((a, b, (1.0 / ohms.max(1e-3), 0.0)))
            }
            Element::Capacitor { a, b, farads } => Some((a, b, (0.0, omega * farads))),
            _ => None,
        })
        .collect();
    let near = near(&paths, a, b);
    // The second node is the reference; what lies beyond counts as ground.
    let at = |node: NodeId| near.iter().position(|n| *n == node);
    let place = |node: NodeId| {
        let found = at(node).or_else(|| at(NodeId::GROUND))?;
        (near[found] != b).then_some(found)
    };
    let size = near.len();
    let mut rows = vec![vec![(0.0, 0.0); size + 1]; size];
    for (at, row) in rows.iter_mut().enumerate() {
        row[at] = (LOOSE, 0.0);
    }
    for (one, other, path) in &paths {
        let (one, other) = (place(*one), place(*other));
        for (row, column, sign) in
            [(one, one, 1.0), (other, other, 1.0), (one, other, -1.0), (other, one, -1.0)]
        {
            if let (Some(row), Some(column)) = (row, column)
                && one != other
            {
                let cell = &mut rows[row][column];
                *cell = (cell.0 + sign * path.0, cell.1 + sign * path.1);
            }
        }
    }
    let Some(at) = place(a) else { return (0.0, 0.0) };
    rows[at][size] = (1.0, 0.0);
    let volts = solve(rows)[at];
    let (re, im) = over((1.0, 0.0), volts);
    ((re - LOOSE).max(0.0), im)
}

/// The nodes nearest to two, ground among them where it is reached.
fn near(paths: &[(NodeId, NodeId, Complex)], a: NodeId, b: NodeId) -> Vec<NodeId> {
    let mut near = vec![a, b];
    let mut at = 0;
    while at < near.len() && near.len() < MOST_NODES {
        let node = near[at];
        at += 1;
        // Ground joins everything: what lies beyond it is not beside the part,
        // unless the part itself hangs there.
        if node == NodeId::GROUND {
            continue;
        }
        for (one, other, _) in paths {
            let next = match (*one == node, *other == node) {
                (true, false) => *other,
                (false, true) => *one,
                _ => continue,
            };
            if near.len() < MOST_NODES && !near.contains(&next) {
                near.push(next);
            }
        }
    }
    near
}

fn over(a: Complex, b: Complex) -> Complex {
    let square = b.0 * b.0 + b.1 * b.1;
    ((a.0 * b.0 + a.1 * b.1) / square, (a.1 * b.0 - a.0 * b.1) / square)
}

/// Gauss's elimination with the largest pivot first; the last column is the
/// right side.
fn solve(mut rows: Vec<Vec<Complex>>) -> Vec<Complex> {
    let size = rows.len();
    let square = |c: Complex| c.0 * c.0 + c.1 * c.1;
    for at in 0..size {
        let best = (at..size)
            .max_by(|x, y| square(rows[*x][at]).total_cmp(&square(rows[*y][at])))
            .unwrap_or(at);
        rows.swap(at, best);
        let (done, rest) = rows.split_at_mut(at + 1);
        let pivot = &done[at];
        for row in rest {
            let (re, im) = over(row[at], pivot[at]);
            if re == 0.0 && im == 0.0 {
                continue;
            }
            for (cell, from) in row[at..].iter_mut().zip(&pivot[at..]) {
                cell.0 -= re * from.0 - im * from.1;
                cell.1 -= re * from.1 + im * from.0;
            }
        }
    }
    let mut answer = vec![(0.0, 0.0); size];
    for at in (0..size).rev() {
        let mut sum = rows[at][size];
        for column in at + 1..size {
            let (x, y) = (rows[at][column], answer[column]);
            sum = (sum.0 - (x.0 * y.0 - x.1 * y.1), sum.1 - (x.0 * y.1 + x.1 * y.0));
        }
        answer[at] = over(sum, rows[at][at]);
    }
    answer
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beside(text: &str, hertz: f64) -> Beside {
        let sheet = Sheet::read(text);
        Beside::of(&sheet, &Wiring::of(&sheet), 0, hertz)
    }

    fn close(found: f64, wanted: f64) {
        assert!((found - wanted).abs() <= 1e-6 * wanted.abs().max(1e-12), "{found} for {wanted}");
    }

    #[test]
    fn a_part_alone_on_its_nodes_has_nothing_beside_it() {
        let found = beside("C1 .01 mfd a to b\nR1 1K b to chassis", 60.0);
        assert_eq!(found.ohms, None);
        assert!(found.siemens < 1e-9 && found.susceptance.abs() < 1e-9, "{found:?}");
        assert_eq!(beside("R1 1K a to b", 60.0).ohms, None);
    }

    #[test]
    fn parallel_parts_add_their_admittances() {
        let found =
            beside("C1 .1 mfd a to chassis\nC2 .02 mfd a to chassis\nR1 100K a to chassis", 60.0);
        close(found.ohms.unwrap(), 100e3);
        close(found.siemens, 1e-5);
        close(found.farads(60.0), 0.02e-6);
    }

    /// 1/(R + 1/jwC) = (w²C²R + jwC)/(1 + w²C²R²).
    #[test]
    fn a_resistor_behind_a_capacitor_is_seen_by_a_bridge_and_not_by_an_ohmmeter() {
        let found = beside("C1 .1 mfd a to chassis\nC2 .02 mfd a to m\nR1 100K m to chassis", 60.0);
        assert_eq!(found.ohms, None);
        let (wc, r) = (TAU * 60.0 * 0.02e-6, 100e3);
        let below = 1.0 + wc * wc * r * r;
        close(found.siemens, wc * wc * r / below);
        close(found.susceptance, wc / below);
    }

    #[test]
    fn a_resistor_s_own_ohms_are_taken_out() {
        let found = beside("R1 47K a to b\nR2 100K a to m\nR3 120K m to b", 60.0);
        close(found.ohms.unwrap(), 220e3);
    }

    #[test]
    fn a_sheet_of_a_thousand_stages_is_answered() {
        use std::fmt::Write;
        let mut text = "C1 .1 mfd n0 to chassis\n".to_owned();
        for stage in 0..1000 {
            let _ = writeln!(text, "R{stage} 10K n{stage} to n{}", stage + 1);
            let _ = writeln!(text, "C{} .01 mfd n{} to chassis", stage + 2, stage + 1);
        }
        let found = beside(&text, 60.0);
        // Into a long line: Y = (jwC + sqrt((jwC)² + 4jwC/R)) / 2, less the
        // capacitor at its very end; here by the recursion of its stages.
        let mut line = (0.0, 0.0);
        for _ in 0..1000 {
            let next = (line.0, line.1 + TAU * 60.0 * 0.01e-6);
            let z = over((1.0, 0.0), next);
            line = over((1.0, 0.0), (z.0 + 10e3, z.1));
        }
        assert!((found.siemens / line.0 - 1.0).abs() < 1e-3, "{found:?} {line:?}");
        assert!((found.susceptance / line.1 - 1.0).abs() < 1e-3, "{found:?} {line:?}");
    }
}
