//! The primitives: points, strokes of a pen, labels, and the sheet they are on.

use std::fmt::Write;

/// A point; x runs right, y runs down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Across.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Point {
    /// A point.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point at so many degrees clockwise from twelve o'clock.
    pub fn polar(center: Self, radius: f64, degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Self { x: center.x + radius * sin, y: center.y - radius * cos }
    }

    /// The point moved.
    #[must_use]
    pub fn by(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y }
    }
}

/// A number of things as a length.
pub fn length(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::INFINITY, f64::from)
}

/// What a stroke is drawn with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    /// Thin and soft: guides and grids.
    Fine,
    /// Thin and dashed.
    Dashed,
    /// The line of a drawing.
    Ink,
    /// A line that is meant to be seen first.
    Glow,
    /// Filled with ink.
    Solid,
    /// Filled with what is meant to be seen first.
    GlowSolid,
}

impl Pen {
    /// In the order they lie on the paper.
    pub const ALL: [Self; 6] =
        [Self::Fine, Self::Dashed, Self::Ink, Self::Solid, Self::Glow, Self::GlowSolid];

    /// Its class in the style sheet.
    pub const fn class(self) -> &'static str {
        match self {
            Self::Fine => "pen pen--fine",
            Self::Dashed => "pen pen--dashed",
            Self::Ink => "pen pen--ink",
            Self::Glow => "pen pen--glow",
            Self::Solid => "pen pen--solid",
            Self::GlowSolid => "pen pen--glow-solid",
        }
    }
}

/// What a pen draws.
#[derive(Debug, Clone, PartialEq)]
pub enum Stroke {
    /// From point to point.
    Line(Vec<Point>),
    /// From point to point and back.
    Loop(Vec<Point>),
    /// A circle.
    Circle(Point, f64),
    /// A part of a circle from one point to another, the shorter way.
    Arc {
        /// Where it begins.
        from: Point,
        /// Where it ends.
        to: Point,
        /// Its radius.
        radius: f64,
        /// Whether it turns clockwise.
        clockwise: bool,
    },
}

impl Stroke {
    /// As path data.
    fn write(&self, d: &mut String) {
        // Writing to a string does not fail.
        let _ = match self {
            Self::Line(points) => line(d, points),
            Self::Loop(points) => line(d, points).and_then(|()| d.write_char('z')),
            Self::Circle(c, r) => write!(
                d,
                "M{} {}a{r} {r} 0 1 0 {} 0a{r} {r} 0 1 0 {} 0",
                round(c.x - r),
                round(c.y),
                2.0 * r,
                -2.0 * r
            ),
            Self::Arc { from, to, radius, clockwise } => write!(
                d,
                "M{} {}A{radius} {radius} 0 0 {} {} {}",
                round(from.x),
                round(from.y),
                u8::from(*clockwise),
                round(to.x),
                round(to.y)
            ),
        };
    }

    fn points(&self) -> Vec<Point> {
        match self {
            Self::Line(points) | Self::Loop(points) => points.clone(),
            Self::Circle(c, r) => vec![c.by(-r, -r), c.by(*r, *r)],
            Self::Arc { from, to, .. } => vec![*from, *to],
        }
    }

    fn moved(self, x: f64, y: f64) -> Self {
        let all = |points: Vec<Point>| points.into_iter().map(|p| p.by(x, y)).collect();
        match self {
            Self::Line(points) => Self::Line(all(points)),
            Self::Loop(points) => Self::Loop(all(points)),
            Self::Circle(c, r) => Self::Circle(c.by(x, y), r),
            Self::Arc { from, to, radius, clockwise } => {
                Self::Arc { from: from.by(x, y), to: to.by(x, y), radius, clockwise }
            }
        }
    }
}

fn line(d: &mut String, points: &[Point]) -> std::fmt::Result {
    for (at, point) in points.iter().enumerate() {
        let step = if at == 0 { 'M' } else { 'L' };
        write!(d, "{step}{} {}", round(point.x), round(point.y))?;
    }
    Ok(())
}

/// A tenth of a unit is finer than any screen.
fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// Where the point of a label lies in its text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At its beginning.
    Start,
    /// In its middle.
    Middle,
    /// At its end.
    End,
}

impl Anchor {
    /// As SVG says it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// How a label is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// The name of a thing.
    Name,
    /// Its value.
    Value,
    /// A figure that is meant to be read first.
    Figure,
    /// Remarks.
    Small,
    /// The number of a pin.
    Pin,
    /// The number of a marked pin, on its fill.
    Marked,
}

impl Face {
    /// Its size; the style sheet says the same.
    pub const fn size(self) -> f64 {
        match self {
            Self::Name | Self::Figure => 15.0,
            Self::Value => 14.0,
            Self::Small => 12.5,
            Self::Pin | Self::Marked => 17.0,
        }
    }

    /// Its class in the style sheet.
    pub const fn class(self) -> &'static str {
        match self {
            Self::Name => "face face--name",
            Self::Value => "face face--value",
            Self::Figure => "face face--figure",
            Self::Small => "face face--small",
            Self::Pin => "face face--pin",
            Self::Marked => "face face--marked",
        }
    }

    /// The width of a text, by common sans faces, a little generous.
    pub fn width(self, text: &str) -> f64 {
        let heavy = if matches!(self, Self::Value | Self::Small) { 1.0 } else { 1.06 };
        let units: f64 = text
            .chars()
            .map(|c| match c {
                'i' | 'l' | 'j' | '.' | ',' | ':' | '\'' | '|' => 0.3,
                ' ' | 't' | 'f' | 'r' | '(' | ')' | '-' | '·' => 0.38,
                'm' | 'w' | 'M' | 'W' => 0.92,
                c if c.is_ascii_lowercase() => 0.59,
                c if c.is_ascii_digit() => 0.62,
                _ => 0.72,
            })
            .sum();
        units * self.size() * heavy
    }
}

/// A text on the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where its baseline is.
    pub at: Point,
    /// Where in the text that is.
    pub anchor: Anchor,
    /// How it is set.
    pub face: Face,
    /// The text.
    pub text: String,
}

impl Label {
    /// The space it takes.
    pub fn space(&self) -> Rect {
        let width = self.face.width(&self.text);
        let left = match self.anchor {
            Anchor::Start => self.at.x,
            Anchor::Middle => self.at.x - width / 2.0,
            Anchor::End => self.at.x - width,
        };
        let size = self.face.size();
        Rect { left, top: self.at.y - 0.76 * size, width, height: 0.98 * size }
    }
}

/// A rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Its left edge.
    pub left: f64,
    /// Its upper edge.
    pub top: f64,
    /// How wide.
    pub width: f64,
    /// How high.
    pub height: f64,
}

impl Rect {
    /// Whether two lie on each other.
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.left + other.width
            && other.left < self.left + self.width
            && self.top < other.top + other.height
            && other.top < self.top + self.height
    }

    /// Whether another lies wholly inside.
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.left + self.width >= other.left + other.width
            && self.top + self.height >= other.top + other.height
    }

    /// The least rectangle around both.
    fn around(self, other: Self) -> Self {
        let (left, top) = (self.left.min(other.left), self.top.min(other.top));
        let right = (self.left + self.width).max(other.left + other.width);
        let bottom = (self.top + self.height).max(other.top + other.height);
        Self { left, top, width: right - left, height: bottom - top }
    }
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// What was drawn, by pen.
    pub strokes: Vec<(Pen, Stroke)>,
    /// What was written.
    pub labels: Vec<Label>,
    /// What it shows, for those who do not see it.
    pub words: String,
    /// The least space it is given, so that drawings of a kind share a scale.
    pub least: Option<Rect>,
}

impl Drawing {
    /// Draws from point to point.
    pub fn line(&mut self, pen: Pen, points: &[Point]) {
        self.strokes.push((pen, Stroke::Line(points.to_vec())));
    }

    /// Draws from point to point and back.
    pub fn closed(&mut self, pen: Pen, points: &[Point]) {
        self.strokes.push((pen, Stroke::Loop(points.to_vec())));
    }

    /// Draws a circle.
    pub fn circle(&mut self, pen: Pen, center: Point, radius: f64) {
        self.strokes.push((pen, Stroke::Circle(center, radius)));
    }

    /// Draws a part of a circle.
    pub fn arc(&mut self, pen: Pen, from: Point, to: Point, radius: f64, clockwise: bool) {
        self.strokes.push((pen, Stroke::Arc { from, to, radius, clockwise }));
    }

    /// Writes a text.
    pub fn write(&mut self, at: Point, anchor: Anchor, face: Face, text: impl Into<String>) {
        let text = text.into();
        if !text.is_empty() {
            self.labels.push(Label { at, anchor, face, text });
        }
    }

    /// Adds another drawing, moved.
    pub fn add(&mut self, other: Self, x: f64, y: f64) {
        self.strokes.extend(other.strokes.into_iter().map(|(pen, s)| (pen, s.moved(x, y))));
        self.labels
            .extend(other.labels.into_iter().map(|label| Label { at: label.at.by(x, y), ..label }));
    }

    /// The space that everything takes.
    pub fn space(&self) -> Rect {
        let points = self.strokes.iter().flat_map(|(_, stroke)| stroke.points());
        let points = points.map(|p| Rect { left: p.x, top: p.y, width: 0.0, height: 0.0 });
        let all = points.chain(self.labels.iter().map(Label::space)).chain(self.least);
        let all = all.reduce(Rect::around);
        all.unwrap_or(Rect { left: 0.0, top: 0.0, width: 0.0, height: 0.0 })
    }

    /// The same with a margin: what is put on the page.
    pub fn view(&self) -> Rect {
        const MARGIN: f64 = 8.0;
        let Rect { left, top, width, height } = self.space();
        Rect {
            left: (left - MARGIN).floor(),
            top: (top - MARGIN).floor(),
            width: (width + 2.0 * MARGIN).ceil() + 1.0,
            height: (height + 2.0 * MARGIN).ceil() + 1.0,
        }
    }

    /// The path data of each pen that was used, in the order they lie.
    pub fn paths(&self) -> Vec<(Pen, String)> {
        Pen::ALL
            .into_iter()
            .filter_map(|pen| {
                let mut d = String::new();
                let own = self.strokes.iter().filter(|(p, _)| *p == pen);
                own.for_each(|(_, stroke)| stroke.write(&mut d));
                (!d.is_empty()).then_some((pen, d))
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_oclock_is_up_and_degrees_run_clockwise() {
        let up = Point::polar(Point::new(10.0, 10.0), 5.0, 0.0);
        let right = Point::polar(Point::new(10.0, 10.0), 5.0, 90.0);
        assert!((up.x - 10.0).abs() < 1e-9 && (up.y - 5.0).abs() < 1e-9);
        assert!((right.x - 15.0).abs() < 1e-9 && (right.y - 10.0).abs() < 1e-9);
    }

    #[test]
    fn strokes_of_one_pen_are_one_path() {
        let mut drawing = Drawing::default();
        drawing.line(Pen::Ink, &[Point::new(0.0, 0.0), Point::new(5.0, 0.0)]);
        drawing.circle(Pen::Ink, Point::new(0.0, 0.0), 2.0);
        drawing.line(Pen::Fine, &[Point::new(0.0, 1.0), Point::new(0.25, 1.0)]);
        let paths = drawing.paths();
        assert_eq!(paths[0], (Pen::Fine, "M0 1L0.3 1".to_owned()));
        assert_eq!(paths[1].1, "M0 0L5 0M-2 0a2 2 0 1 0 4 0a2 2 0 1 0 -4 0");
    }

    #[test]
    fn the_view_holds_every_label() {
        let mut drawing = Drawing::default();
        drawing.write(Point::new(0.0, 0.0), Anchor::End, Face::Name, "grid 3");
        assert!(drawing.view().holds(&drawing.labels[0].space()));
    }
}
