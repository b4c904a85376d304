//! Which rows of a long list are drawn: those in view, a margin, and those that
//! have the keyboard.
//!
//! A row's height is estimated until it was drawn and measured. Once the first
//! rows were measured the estimate stays, so that what was drawn already does
//! not move when more is known.

use crate::order;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// Lists of up to so many rows are drawn whole,
pub const WHOLE: usize = 60;

/// unless they are likely higher than this, in CSS pixels: ten screens.
const TALL: f64 = 9_000.0;

/// Rows come and go by so many, so that a little scrolling changes nothing.
const STEP: usize = 4;

/// So many rows at either end are always drawn.
const END: usize = 2;

/// The heights of the rows of a list, in CSS pixels.
#[derive(Debug, Clone, Default)]
pub struct Heights {
    guess: f64,
    estimate: f64,
    is_settled: bool,
    ids: Arc<Vec<u64>>,
    measured: Vec<Option<f64>>,
}

/// The rows that are drawn, and the room that is left for the others.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawn {
    /// Stretches of rows, in their order.
    pub stretches: Vec<Range<usize>>,
    /// The height before each stretch, and that behind the last.
    pub gaps: Vec<f64>,
}

impl Drawn {
    /// The places in the list of the rows drawn, in their order.
    pub fn places(&self) -> impl Iterator<Item = usize> {
        self.stretches.iter().cloned().flatten()
    }

    /// The height left behind a stretch, by where it ends; before all of them
    /// for 0.
    pub fn gap_behind(&self, end: usize) -> f64 {
        let at = self.stretches.iter().position(|stretch| stretch.end == end);
        self.gaps.get(at.map_or(0, |at| at + 1)).copied().unwrap_or(0.0)
    }
}

impl Heights {
    /// No rows yet, each to be taken as so high.
    pub fn new(estimate: f64) -> Self {
        Self { guess: estimate, estimate, ..Self::default() }
    }

    /// Takes other rows, by what tells them apart. Those of before keep what
    /// they measured.
    pub fn follow(&mut self, ids: &Arc<Vec<u64>>) {
        if Arc::ptr_eq(&self.ids, ids) {
            return;
        }
        let old = self.ids.iter().zip(&self.measured);
        let known: HashMap<u64, f64> = old.filter_map(|(id, h)| Some((*id, (*h)?))).collect();
        self.measured = ids.iter().map(|id| known.get(id).copied()).collect();
        self.ids = Arc::clone(ids);
    }

    /// How many rows there are.
    pub fn count(&self) -> usize {
        self.ids.len()
    }

    /// Whether so many rows are drawn whole. It hangs on what was guessed of
    /// their heights, so that measuring them does not change it.
    pub fn is_short(&self, count: usize) -> bool {
        count <= WHOLE && (0..count).map(|_| self.guess).sum::<f64>() <= TALL
    }

    /// The place of a row.
    pub fn place_of(&self, id: u64) -> Option<usize> {
        self.ids.iter().position(|own| *own == id)
    }

    /// What tells the row at a place apart.
    pub fn id_at(&self, place: usize) -> Option<u64> {
        self.ids.get(place).copied()
    }

    /// Notes the height of a row that is drawn.
    pub fn measure(&mut self, place: usize, height: f64) {
        if let Some(row) = self.measured.get_mut(place).filter(|_| height > 0.0) {
            *row = Some(height);
        }
    }

    /// Takes the mean of what was measured first for the rows that were not;
    /// whether that is news.
    pub fn settle(&mut self) -> bool {
        let (mut sum, mut count) = (0.0, 0.0);
        for height in self.measured.iter().flatten() {
            sum += height;
            count += 1.0;
        }
        let is_news = !self.is_settled && count > 0.0;
        if is_news {
            self.estimate = sum / count;
            self.is_settled = true;
        }
        is_news
    }

    /// Forgets what was measured: the list has another width now.
    pub fn forget(&mut self) {
        self.measured.iter_mut().for_each(|row| *row = None);
        self.is_settled = false;
    }

    /// The rows between two distances from the top of the list, and up to a
    /// step more on either side.
    pub fn between(&self, from: f64, to: f64) -> Range<usize> {
        let (mut bottom, mut first, mut end) = (0.0, self.count(), 0);
        for (place, measured) in self.measured.iter().enumerate() {
            let top = bottom;
            bottom += measured.unwrap_or(self.estimate);
            if bottom > from {
                first = first.min(place);
            }
            if top < to {
                end = place + 1;
            }
        }
        let first = first.min(end) / STEP * STEP;
        first..end.next_multiple_of(STEP).min(self.count())
    }

    /// What is drawn where some rows are in view and one is held, which may be
    /// out of view: the row that has the keyboard. Its neighbours are drawn with
    /// it, so that Tab and arrows find them; and so are both ends, so that Tab
    /// finds the list.
    pub fn drawn(&self, seen: Range<usize>, held: Option<usize>) -> Drawn {
        let count = self.count();
        let held = held.map(|place| place.saturating_sub(1)..place + 2);
        let ends = [0..END, count.saturating_sub(END)..count];
        let mut wanted: Vec<_> = ends.into_iter().chain([seen]).chain(held).collect();
        order::sort(&mut wanted, |stretch| [stretch.start, stretch.end, 0]);
        let mut stretches: Vec<Range<usize>> = Vec::new();
        for stretch in wanted {
            let stretch = stretch.start.min(count)..stretch.end.min(count);
            match stretches.last_mut() {
                Some(last) if stretch.start <= last.end => last.end = last.end.max(stretch.end),
                _ if stretch.is_empty() => {}
                _ => stretches.push(stretch),
            }
        }
        let starts = stretches.iter().map(|s| s.start).chain([count]);
        let ends = std::iter::once(0).chain(stretches.iter().map(|s| s.end));
        let gaps = ends.zip(starts).map(|(end, start)| self.height(end..start)).collect();
        Drawn { stretches, gaps }
    }

    /// All of it, as paper has it.
    pub fn whole(&self) -> Drawn {
        self.drawn(0..self.count(), None)
    }

    fn height(&self, rows: Range<usize>) -> f64 {
        let rows = self.measured.get(rows).unwrap_or_default();
        rows.iter().map(|row| row.unwrap_or(self.estimate)).sum()
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "whole and half pixels are exact")]
mod tests {
    use super::*;

    fn of(count: u64) -> Heights {
        let mut heights = Heights::new(50.0);
        heights.follow(&Arc::new((0..count).collect()));
        heights
    }

    #[test]
    fn only_rows_in_view_and_both_ends_are_drawn_and_the_rest_keeps_its_room() {
        let heights = of(1_000);
        let seen = heights.between(10_000.0, 10_900.0);
        assert_eq!(seen, 200..220);
        let drawn = heights.drawn(seen, None);
        assert_eq!(drawn.stretches, [0..2, 200..220, 998..1_000]);
        assert_eq!(drawn.gaps, [0.0, 9_900.0, 38_900.0, 0.0]);
        assert_eq!(drawn.places().count(), 24);
        assert_eq!(
            [0, 2, 220, 1_000].map(|end| drawn.gap_behind(end)),
            [0.0, 9_900.0, 38_900.0, 0.0]
        );
    }

    #[test]
    fn the_ends_of_the_list_are_the_ends_of_what_is_drawn() {
        let heights = of(1_002);
        assert_eq!(heights.between(-900.0, 100.0), 0..4);
        assert_eq!(heights.between(50_000.0, 60_000.0), 1_000..1_002);
        // Scrolled past, above or below: nothing is in view.
        assert_eq!(heights.between(-900.0, -10.0), 0..0);
        assert_eq!(heights.drawn(0..0, None).stretches, [0..2, 1_000..1_002]);
        assert!(heights.drawn(heights.between(60_000.0, 61_000.0), None).places().count() <= 8);
    }

    #[test]
    fn a_row_that_has_the_keyboard_stays_with_its_neighbours() {
        let heights = of(1_000);
        let drawn = heights.drawn(200..220, Some(50));
        assert_eq!(drawn.stretches, [0..2, 49..52, 200..220, 998..1_000]);
        assert_eq!(drawn.gaps, [0.0, 47.0 * 50.0, 148.0 * 50.0, 38_900.0, 0.0]);
        let below = heights.drawn(200..220, Some(999));
        assert_eq!(below.stretches, [0..2, 200..220, 998..1_000]);
    }

    #[test]
    fn what_meets_is_one_stretch() {
        let heights = of(1_000);
        for held in [199, 200, 210, 219, 220] {
            let drawn = heights.drawn(200..220, Some(held));
            assert_eq!(drawn.stretches.len(), 3, "{held}");
            assert!(drawn.places().any(|place| place == held));
        }
        assert_eq!(heights.drawn(200..220, Some(221)).stretches[1], 200..223);
        assert_eq!(heights.drawn(0..0, Some(3)).stretches[0], 0..5);
    }

    #[test]
    fn measured_rows_count_as_measured_wherever_they_go() {
        let mut heights = of(100);
        heights.measure(10, 450.0);
        assert_eq!(heights.drawn(20..24, None).gap_behind(2), 17.0 * 50.0 + 450.0);
        // A row is put in above.
        heights.follow(&Arc::new(std::iter::once(1_000).chain(0..100).collect()));
        assert_eq!(heights.drawn(20..24, None).gap_behind(2), 17.0 * 50.0 + 450.0);
        assert_eq!(heights.drawn(0..11, None).gap_behind(11), 87.0 * 50.0 + 450.0);
        assert_eq!(heights.between(500.0, 940.0), 8..12);
    }

    #[test]
    fn the_estimate_is_taken_once_and_stays() {
        let mut heights = of(100);
        assert!(!heights.settle(), "nothing was measured");
        heights.measure(0, 80.0);
        heights.measure(1, 40.0);
        heights.measure(2, 0.0);
        assert!(heights.settle());
        assert_eq!(heights.drawn(0..2, None).gap_behind(2), 96.0 * 60.0);
        heights.measure(2, 600.0);
        assert!(!heights.settle());
        assert_eq!(heights.drawn(0..3, None).gap_behind(3), 95.0 * 60.0);
        heights.forget();
        heights.measure(0, 30.0);
        assert!(heights.settle());
        assert_eq!(heights.drawn(0..2, None).gap_behind(2), 96.0 * 30.0);
    }

    #[test]
    fn few_rows_are_drawn_whole_unless_they_are_tall() {
        let mut heights = of(0);
        assert!(heights.is_short(60) && !heights.is_short(61));
        heights.measure(0, 500.0);
        assert!(heights.is_short(60));
        let tall = Heights::new(450.0);
        assert!(tall.is_short(20) && !tall.is_short(21));
    }

    #[test]
    fn all_of_it_leaves_no_room() {
        let whole = Drawn { stretches: std::iter::once(0..500).collect(), gaps: vec![0.0; 2] };
        assert_eq!(of(500).whole(), whole);
        assert_eq!(of(0).whole().places().count(), 0);
        assert_eq!(of(1).whole().stretches.first(), Some(&(0..1)));
    }

    #[test]
    fn whatever_is_seen_and_held_the_heights_add_up() {
        let mut heights = of(97);
        (0..97_u32).step_by(3).for_each(|place| {
            heights.measure(place as usize, 20.0 + f64::from(place));
        });
        let total = heights.height(0..97);
        for from in 0..97 {
            for held in [None, Some(0), Some(48), Some(96)] {
                let drawn = heights.drawn(from..from + 9, held);
                let rows: f64 = drawn.stretches.iter().map(|s| heights.height(s.clone())).sum();
                let sum = rows + drawn.gaps.iter().sum::<f64>();
                assert!((sum - total).abs() < 1e-6, "{from} {held:?}");
            }
        }
    }
}
