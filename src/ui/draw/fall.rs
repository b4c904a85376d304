//! How charge falls after switching off: curves with their names beside them.

use super::shape::length;
use super::{Anchor, Drawing, Face, Pen, Point, Rect};
use crate::order;

/// Capacitors that end as one, drawn each and named once.
#[derive(Debug, Clone, PartialEq)]
pub struct Fall {
    /// Their names, and when they are below the limit.
    pub label: String,
    /// Whether they stay above it.
    pub stays: bool,
    /// Volts of each at each time.
    pub volts: Vec<Vec<f64>>,
}

/// All curves over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Falls {
    /// Seconds since switching off.
    pub seconds: Vec<f64>,
    /// The curves.
    pub curves: Vec<Fall>,
    /// The voltage below which a capacitor counts as discharged on the way.
    pub limit: f64,
    /// The drawing in words.
    pub words: String,
}

/// Marks along the axis of time, with their names.
const MARKS: [(f64, &str); 14] = [
    (0.001, "1 ms"),
    (0.01, "10 ms"),
    (0.1, "0.1 s"),
    (0.3, "0.3 s"),
    (1.0, "1 s"),
    (3.0, "3 s"),
    (10.0, "10 s"),
    (30.0, "30 s"),
    (60.0, "1 min"),
    (300.0, "5 min"),
    (1800.0, "30 min"),
    (7200.0, "2 h"),
    (36000.0, "10 h"),
    (864_000.0, "10 days"),
];

/// Where a name may stand beside a point of its curve, the best places first.
const BESIDE: [(f64, f64, Anchor); 7] = [
    (9.0, -6.0, Anchor::Start),
    (0.0, -9.0, Anchor::Middle),
    (-9.0, 18.0, Anchor::End),
    (9.0, 18.0, Anchor::Start),
    (-9.0, -7.0, Anchor::End),
    (16.0, -22.0, Anchor::Start),
    (-16.0, 34.0, Anchor::End),
];

/// The chart's own measure.
struct Plane {
    width: f64,
    height: f64,
    from: f64,
    to: f64,
    most: f64,
    linear: bool,
}

impl Plane {
    /// Falls of much the same length are drawn over plain time. Long and short
    /// ones are told apart on a logarithmic axis that begins where the quickest
    /// has begun to fall.
    fn of(falls: &Falls, width: f64) -> Self {
        let volts = falls.curves.iter().flat_map(|c| &c.volts).flatten();
        let most = volts.copied().fold(falls.limit * 1.2, f64::max) * 1.06;
        let end = falls.seconds.last().copied().unwrap_or(1.0).max(1e-2);
        let first = falls
            .curves
            .iter()
            .filter(|c| !c.stays)
            .flat_map(|c| &c.volts)
            .filter_map(|volts| begun(&falls.seconds, volts))
            .fold(end / 10.0, f64::min);
        let linear = first > end / 25.0;
        let from = if linear { 0.0 } else { (first / 3.0).max(1e-4) };
        Self { width, height: 250.0, from, to: end * 1.15, most, linear }
    }

    fn x(&self, seconds: f64) -> f64 {
        if self.linear {
            return (seconds / self.to).min(1.0) * self.width;
        }
        let part = (seconds.max(self.from) / self.from).ln() / (self.to / self.from).ln();
        part.min(1.0) * self.width
    }

    fn y(&self, volts: f64) -> f64 {
        self.height * (1.0 - volts / self.most)
    }
}

/// When a curve has lost a tenth.
fn begun(seconds: &[f64], volts: &[f64]) -> Option<f64> {
    let start = *volts.first()?;
    seconds.iter().zip(volts).find(|(_, v)| **v < 0.9 * start).map(|(s, _)| *s)
}

/// Draws the curves.
pub fn draw(falls: &Falls, width: f64) -> Drawing {
    let mut drawing = Drawing { words: falls.words.clone(), ..Drawing::default() };
    let plane = Plane::of(falls, width - 60.0);
    axes(&mut drawing, &plane, falls.limit);
    let lines: Vec<Vec<Vec<Point>>> =
        falls.curves.iter().map(|curve| lines(&plane, &falls.seconds, curve)).collect();
    for (curve, own) in falls.curves.iter().zip(&lines) {
        let pen = if curve.stays { Pen::Glow } else { Pen::Ink };
        for line in own {
            drawing.line(pen, line);
        }
    }
    // A name on the line of the limit would read as a remark on it.
    let y = plane.y(falls.limit);
    let limit = vec![Point::new(0.0, y), Point::new(plane.width, y)];
    let all: Vec<&Vec<Point>> = lines.iter().flatten().chain([&limit]).collect();
    for (curve, own) in falls.curves.iter().zip(&lines) {
        if let Some(line) = own.first() {
            name(&mut drawing, &plane, line, curve, &all);
        }
    }
    drawing
}

/// The lines of capacitors that end as one.
fn lines(plane: &Plane, seconds: &[f64], curve: &Fall) -> Vec<Vec<Point>> {
    let line = |volts: &Vec<f64>| {
        // What is all but gone lies on the axis and tells no more.
        let told = volts.iter().rposition(|v| *v > 1.0).map_or(volts.len(), |last| last + 2);
        let points = seconds.iter().zip(volts).take(told);
        let mut line: Vec<Point> =
            points.map(|(s, v)| Point::new(plane.x(*s), plane.y(*v))).collect();
        if let (true, Some(last)) = (curve.stays, line.last().copied()) {
            line.push(Point::new(plane.width, last.y));
        }
        line.dedup_by(|a, b| (a.x - b.x).abs() < 0.5 && (a.y - b.y).abs() < 0.5);
        line
    };
    curve.volts.iter().map(line).collect()
}

fn axes(drawing: &mut Drawing, plane: &Plane, limit: f64) {
    let (width, height) = (plane.width, plane.height);
    drawing.line(
        Pen::Ink,
        &[Point::new(0.0, 0.0), Point::new(0.0, height), Point::new(width, height)],
    );
    let step = [10.0, 20.0, 50.0, 100.0, 200.0].into_iter().find(|s| plane.most / s <= 5.5);
    let step = step.unwrap_or(500.0);
    let mut volts = 0.0;
    while volts <= plane.most {
        let y = plane.y(volts);
        if volts > 0.0 && (volts - limit).abs() > 1.0 {
            drawing.line(Pen::Fine, &[Point::new(0.0, y), Point::new(width, y)]);
        }
        if (plane.y(limit) - y).abs() > 14.0 {
            let at = Point::new(-7.0, y + 4.5);
            drawing.write(at, Anchor::End, Face::Small, format!("{volts:.0} V"));
        }
        volts += step;
    }
    let y = plane.y(limit);
    drawing.line(Pen::Dashed, &[Point::new(0.0, y), Point::new(width, y)]);
    drawing.write(Point::new(-7.0, y + 4.5), Anchor::End, Face::Name, format!("{limit:.0} V"));
    let mut free = f64::NEG_INFINITY;
    for (seconds, word) in marks(plane) {
        let x = plane.x(seconds);
        let half = Face::Small.width(&word) / 2.0 + 4.0;
        if seconds < plane.from || seconds > plane.to || x - half < free {
            continue;
        }
        drawing.line(Pen::Ink, &[Point::new(x, height), Point::new(x, height + 5.0)]);
        drawing.write(Point::new(x, height + 20.0), Anchor::Middle, Face::Small, word);
        free = x + half;
    }
    let at = Point::new(width, height + 38.0);
    let scale = if plane.linear { "" } else { ", logarithmic" };
    drawing.write(at, Anchor::End, Face::Small, format!("after switching off{scale}"));
}

/// The marks of the axis of time.
fn marks(plane: &Plane) -> Vec<(f64, String)> {
    let named = MARKS.iter().map(|(s, word)| (*s, (*word).to_owned()));
    if !plane.linear {
        return named.collect();
    }
    let steps = [
        0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 60.0,
        120.0, 600.0,
    ];
    let step = steps.into_iter().find(|s| plane.to / s <= 8.0).unwrap_or(plane.to / 6.0);
    (0..=8_u8).map(|n| f64::from(n) * step).map(|s| (s, time(s))).collect()
}

/// A time in words: `0.3 s`, `12 s`, `4 min`, `6 h`, `3 days`.
pub fn time(seconds: f64) -> String {
    let of = |value: f64, unit: &str| {
        let value = (value * 10.0).round() / 10.0;
        if value >= 10.0 { format!("{value:.0} {unit}") } else { format!("{value} {unit}") }
    };
    match seconds {
        s if s <= 0.0 => "0 s".to_owned(),
        s if s < 0.1 => of(s * 1e3, "ms"),
        s if s < 120.0 => of(s, "s"),
        s if s < 7200.0 => of(s / 60.0, "min"),
        s if s < 172_800.0 => of(s / 3600.0, "h"),
        s => of(s / 86_400.0, "days"),
    }
}

/// Writes the name of a curve beside it, where neither a text nor a curve is
/// in the way; where there is no such place the list below tells it.
fn name(drawing: &mut Drawing, plane: &Plane, line: &[Point], curve: &Fall, all: &[&Vec<Point>]) {
    let (width, size) = (Face::Name.width(&curve.label), Face::Name.size());
    let paper = Rect { left: 0.0, top: -14.0, width: plane.width + 22.0, height: plane.height };
    let steps = 24_u8;
    for n in 0..=steps {
        // From the later half of the fall outwards: that is where it tells.
        let away = f64::from(n) / f64::from(steps) * if n % 2 == 0 { -0.7 } else { 0.7 };
        let share = (0.7 + away).clamp(0.02, 0.98);
        let Some(at) = along(line, share) else { return };
        for (dx, dy, anchor) in BESIDE {
            let spot = at.by(dx, dy);
            let left = match anchor {
                Anchor::Start => spot.x,
                Anchor::Middle => spot.x - width / 2.0,
                Anchor::End => spot.x - width,
            };
            let space = Rect { left, top: spot.y - 0.8 * size, width, height: 1.1 * size };
            let taken = drawing.labels.iter().any(|l| l.space().meets(&space));
            let crossed = all.iter().any(|line| crosses(line, &space));
            if paper.holds(&space) && !taken && !crossed {
                let face = if curve.stays { Face::Figure } else { Face::Name };
                drawing.write(spot, anchor, face, &curve.label);
                return;
            }
        }
    }
}

/// The point at a part of a line's length.
fn along(line: &[Point], share: f64) -> Option<Point> {
    let legs: Vec<f64> =
        line.windows(2).map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y)).collect();
    let mut left = legs.iter().sum::<f64>() * share;
    for (pair, leg) in line.windows(2).zip(&legs) {
        if left <= *leg {
            let part = left / leg.max(1e-9);
            let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
            return Some(pair[0].by(dx * part, dy * part));
        }
        left -= leg;
    }
    line.last().copied()
}

/// Whether a line goes through a rectangle, by samples of its legs.
fn crosses(line: &[Point], space: &Rect) -> bool {
    line.windows(2).any(|w| {
        let far = (w[1].x - w[0].x).hypot(w[1].y - w[0].y);
        let steps = (0..=64_u8).map(|n| f64::from(n) / 64.0);
        let near = |p: f64| {
            let (x, y) = (w[0].x + (w[1].x - w[0].x) * p, w[0].y + (w[1].y - w[0].y) * p);
            space.holds(&Rect { left: x, top: y, width: 0.0, height: 0.0 })
        };
        if far < 2.0 { near(0.0) } else { steps.into_iter().any(near) }
    })
}

/// Joins curves that end as one: from a thirtieth of the time on, nobody could
/// tell them apart.
pub fn together(seconds: &[f64], volts: &[Vec<f64>]) -> Vec<Vec<usize>> {
    let late = seconds.last().copied().unwrap_or_default() / 30.0;
    let alike = |a: &Vec<f64>, b: &Vec<f64>| {
        let most = a.iter().chain(b).copied().fold(1.0, f64::max);
        let mut pairs = seconds.iter().zip(a.iter().zip(b)).filter(|(s, _)| **s >= late);
        pairs.all(|(_, (a, b))| (a - b).abs() < 0.06 * most)
    };
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, own) in volts.iter().enumerate() {
        match groups.iter_mut().find(|group| alike(&volts[group[0]], own)) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    order::sort(&mut groups, |group| order::falling(length(group.len())));
    groups
}

#[cfg(test)]
mod tests {
    use super::super::support::assert_readable;
    use super::*;

    fn falling(start: f64, seconds: &[f64], time: f64) -> Vec<f64> {
        seconds.iter().map(|s| start * (-s / time).exp()).collect()
    }

    #[test]
    fn curves_are_named_beside_themselves_without_crossing() {
        let seconds: Vec<f64> = (0..80_u8).map(|n| 1e-4 * 1.15_f64.powi(i32::from(n))).collect();
        let curve = |label: &str, start: f64, time: f64| Fall {
            label: label.into(),
            stays: false,
            volts: vec![falling(start, &seconds, time)],
        };
        let curves = vec![
            curve("C1, 4 s", 450.0, 1.8),
            curve("C2 C3, 0.3 s", 300.0, 0.16),
            curve("C4", 150.0, 0.02),
        ];
        let falls = Falls { seconds, curves, limit: 50.0, words: "words".into() };
        for width in [350.0, 900.0] {
            let drawing = draw(&falls, width);
            assert_readable(&drawing, &format!("at {width}"));
            for curve in &falls.curves {
                assert!(drawing.labels.iter().any(|l| l.text == curve.label), "{}", curve.label);
            }
            assert!(drawing.view().width <= width + 20.0, "{}", drawing.view().width);
        }
    }

    #[test]
    fn times_are_told_in_the_unit_that_reads_best() {
        let told = [0.0, 0.012, 0.31, 5.6, 31.2, 400.0, 9000.0, 400_000.0].map(time);
        assert_eq!(
            told,
            ["0 s", "12 ms", "0.3 s", "5.6 s", "31 s", "6.7 min", "2.5 h", "4.6 days"]
        );
    }

    #[test]
    fn curves_that_lie_on_each_other_are_one() {
        let seconds = [0.0, 1.0, 2.0];
        let volts = [
            falling(300.0, &seconds, 1.0),
            falling(100.0, &seconds, 1.0),
            falling(302.0, &seconds, 1.0),
        ];
        assert_eq!(together(&seconds, &volts), [vec![0, 2], vec![1]]);
    }
}
