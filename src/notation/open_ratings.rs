//! When the ratings of a capacitor stay open.
//!
//! A section that was not read never lends its rating to another, nor the other
//! way round: where a number of the value or the rating cannot be read, the
//! ratings it may belong to are left out, all of a can with several sections.

use super::item::{Found, Item, Placed};
use super::line::PartLine;
use super::problem::Problem;
use super::settle::{is_unread, measure_name, shown};
use super::unit::VoltMark;
use super::word::Span;
use crate::trade::kind::PartKind;
use std::ops::Range;

/// Leaves out the ratings that an unread number may belong to.
pub(super) fn settle(line: &mut PartLine) {
    if line.kind != PartKind::Capacitor {
        return;
    }
    two_ratings(line);
    let Some(open) = open(line) else { return };
    let dropped = (0..line.items.len())
        .filter(|at| is_rating(&line.items[*at].item) && open.covers(*at))
        .collect::<Vec<_>>();
    if dropped.is_empty() {
        return;
    }
    leave_out(line, &dropped);
    line.found.push(Found::warning(open.span, Problem::RatingsOpen(open.text)));
}

/// What leaves ratings open.
struct Open {
    /// Whether all of the line are, or those among these items.
    all: bool,
    run: Range<usize>,
    span: Span,
    text: String,
}

impl Open {
    fn covers(&self, at: usize) -> bool {
        self.all || self.run.contains(&at)
    }
}

/// The first item that leaves ratings open, and how far.
fn open(line: &PartLine) -> Option<Open> {
    let values: Vec<usize> = (0..line.items.len())
        .filter(|at| matches!(line.items[*at].item, Item::Capacitance(_)))
        .collect();
    let unread = line.items.iter().position(|p| is_unread(&p.item));
    let at = unread.or_else(|| values.get(1).copied())?;
    let sections = values.iter().map(|at| match &line.items[*at].item {
        Item::Capacitance(all) => all.len(),
        _ => 0,
    });
    let before = values.first().is_some_and(|first| *first < at);
    let all = sections.sum::<usize>() > 1 || line.designators.len() > 1 || !before;
    let number = |p: &Placed| is_unread(&p.item) || measure_name(&p.item).is_some();
    let first = line.items[..at].iter().rposition(|p| !number(p)).map_or(0, |at| at + 1);
    let last =
        line.items[at..].iter().position(|p| !number(p)).map_or(line.items.len(), |n| at + n);
    let placed = &line.items[at];
    let text = match &placed.item {
        Item::Unread(text) => text.clone(),
        item => shown(item),
    };
    Some(Open { all, run: first..last, span: placed.span, text })
}

/// Takes items out of a line.
fn leave_out(line: &mut PartLine, items: &[usize]) {
    let mut at = 0;
    line.items.retain(|_| {
        at += 1;
        !items.contains(&(at - 1))
    });
}

/// Two ratings for the same: neither counts, unless they are one and the same.
fn two_ratings(line: &mut PartLine) {
    let ratings: Vec<usize> =
        (0..line.items.len()).filter(|at| is_working(&line.items[*at].item)).collect();
    let &[first, ref others @ ..] = ratings.as_slice() else { return };
    let same = |at: &usize| match (&line.items[first].item, &line.items[*at].item) {
        (Item::Volts(a, _), Item::Volts(b, _)) => a == b,
        _ => false,
    };
    let Some(second) = others.iter().find(|at| !same(at)) else { return };
    let placed = &line.items[*second];
    line.found.push(Found::warning(placed.span, Problem::TwoRatings(shown(&placed.item))));
    leave_out(line, &ratings);
}

const fn is_rating(item: &Item) -> bool {
    matches!(item, Item::Volts(..))
}

fn is_working(item: &Item) -> bool {
    matches!(item, Item::Volts(_, mark) if *mark != VoltMark::Surge)
}
