//! The set on its lamp over the stages: volts of the lamp with its glow, and
//! B+, healthy and with the worst fault.

use super::shape::length;
use super::{Anchor, Drawing, Face, Pen, Point};

/// Healthy set and worst fault over the stages.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// What the axis shows: `across the lamp`, `B+`.
    pub title: String,
    /// Volts of the healthy set at each stage.
    pub healthy: Vec<f64>,
    /// The same with the worst fault; empty where there is none.
    pub worst: Vec<f64>,
    /// The least volts the axis reaches to.
    pub least: f64,
    /// Volts at which something begins, and its name: the glow.
    pub zones: Vec<(f64, &'static str)>,
}

/// Both panels.
#[derive(Debug, Clone, PartialEq)]
pub struct OnLamp {
    /// Volts of the line ahead of the lamp at each stage, rising.
    pub stages: Vec<f64>,
    /// The panels.
    pub panels: Vec<Panel>,
    /// What the worst fault is called.
    pub worst: String,
    /// The drawing in words.
    pub words: String,
}

const HEIGHT: f64 = 210.0;
/// Room left of a panel for its figures.
const LEFT: f64 = 58.0;
/// From this width on the panels stand side by side.
const WIDE: f64 = 700.0;

/// Draws them for a page so wide.
pub fn draw(chart: &OnLamp, width: f64) -> Drawing {
    let mut drawing = Drawing { words: chart.words.clone(), ..Drawing::default() };
    let beside = width >= WIDE;
    let count = if beside { length(chart.panels.len().max(1)) } else { 1.0 };
    let room = (width - 20.0) / count;
    legend(&mut drawing, chart, beside);
    let top = if beside || chart.worst.is_empty() { 42.0 } else { 64.0 };
    for (at, panel) in chart.panels.iter().enumerate() {
        let own = draw_panel(chart, panel, room - LEFT - 24.0);
        let step = length(at);
        let (x, y) = if beside { (step * room, top) } else { (0.0, top + step * (HEIGHT + 96.0)) };
        drawing.add(own, x + LEFT, y);
    }
    drawing
}

/// Which line is which: an open ring for healthy, a full one for the fault.
fn legend(drawing: &mut Drawing, chart: &OnLamp, beside: bool) {
    let mut sample = |at: Point, pen: Pen, words: &str| {
        drawing.line(pen, &[at, at.by(34.0, 0.0)]);
        mark(drawing, at.by(17.0, 0.0), pen);
        drawing.write(at.by(42.0, 4.5), Anchor::Start, Face::Value, words);
    };
    sample(Point::new(0.0, 0.0), Pen::Ink, "healthy");
    if !chart.worst.is_empty() {
        let at = if beside { Point::new(130.0, 0.0) } else { Point::new(0.0, 22.0) };
        sample(at, Pen::Glow, &chart.worst);
    }
}

fn mark(drawing: &mut Drawing, at: Point, pen: Pen) {
    let fill = if pen == Pen::Glow { Pen::GlowSolid } else { Pen::Ink };
    drawing.circle(fill, at, 4.0);
}

fn draw_panel(chart: &OnLamp, panel: &Panel, width: f64) -> Drawing {
    let mut drawing = Drawing::default();
    let far = chart.stages.last().copied().unwrap_or(1.0).max(1.0);
    let highest = panel.healthy.iter().chain(&panel.worst).copied().fold(panel.least, f64::max);
    let most = highest.max(1.0) * 1.06;
    let x = |line_v: f64| width * line_v / far;
    let y = |volts: f64| HEIGHT * (1.0 - volts / most);
    drawing.line(
        Pen::Ink,
        &[Point::new(0.0, 0.0), Point::new(0.0, HEIGHT), Point::new(width, HEIGHT)],
    );
    drawing.write(Point::new(-LEFT + 6.0, -12.0), Anchor::Start, Face::Name, &panel.title);
    let step = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0].into_iter().find(|s| most / s <= 5.5);
    let step = step.unwrap_or(500.0);
    let mut volts = 0.0;
    while volts <= most {
        let at = Point::new(-7.0, y(volts) + 4.5);
        drawing.write(at, Anchor::End, Face::Small, format!("{volts:.0} V"));
        if panel.zones.is_empty() && volts > 0.0 {
            drawing.line(Pen::Fine, &[Point::new(0.0, y(volts)), Point::new(width, y(volts))]);
        }
        volts += step;
    }
    // The first stage begins at a quarter of the line or a little before: what
    // is left of it is free for the names of the glow.
    for (volts, name) in panel.zones.iter().filter(|(volts, _)| *volts < most) {
        drawing.line(Pen::Fine, &[Point::new(0.0, y(*volts)), Point::new(width, y(*volts))]);
        drawing.write(Point::new(5.0, y(*volts) - 4.0), Anchor::Start, Face::Small, *name);
    }
    let mut free = f64::NEG_INFINITY;
    for line_v in &chart.stages {
        let (at, word) = (x(*line_v), format!("{line_v:.0} V"));
        let half = Face::Small.width(&word) / 2.0 + 3.0;
        drawing.line(Pen::Ink, &[Point::new(at, HEIGHT), Point::new(at, HEIGHT + 5.0)]);
        if at - half >= free {
            drawing.write(Point::new(at, HEIGHT + 20.0), Anchor::Middle, Face::Small, word);
            free = at + half;
        }
    }
    let at = Point::new(width, HEIGHT + 38.0);
    drawing.write(at, Anchor::End, Face::Small, "line ahead of the lamp");
    for (values, pen) in [(&panel.healthy, Pen::Ink), (&panel.worst, Pen::Glow)] {
        let points: Vec<Point> =
            chart.stages.iter().zip(values).map(|(s, v)| Point::new(x(*s), y(*v))).collect();
        if !points.is_empty() {
            drawing.line(pen, &points);
            for at in &points {
                mark(&mut drawing, *at, pen);
            }
        }
    }
    drawing
}

#[cfg(test)]
mod tests {
    use super::super::support::assert_readable;
    use super::*;

    #[test]
    fn both_panels_are_readable_on_desk_and_phone() {
        let chart = OnLamp {
            stages: vec![18.0, 35.0, 59.0, 82.0, 99.0, 117.0],
            panels: vec![
                Panel {
                    title: "across the lamp".into(),
                    healthy: vec![2.0, 5.0, 9.0, 14.0, 18.0, 22.0],
                    worst: vec![10.0, 25.0, 52.0, 76.0, 94.0, 112.0],
                    least: 120.0,
                    zones: vec![(4.7, "dull red"), (19.8, "orange"), (59.8, "bright")],
                },
                Panel {
                    title: "B+".into(),
                    healthy: vec![0.0, 0.0, 60.0, 80.0, 90.0, 100.0],
                    worst: vec![0.0; 6],
                    least: 10.0,
                    zones: vec![],
                },
            ],
            worst: "Rectifier V5 shorted".into(),
            words: "words".into(),
        };
        for width in [350.0, 900.0, 1150.0] {
            let drawing = draw(&chart, width);
            assert_readable(&drawing, &format!("at {width}"));
            assert!(drawing.view().width <= width + 20.0, "{width}: {:?}", drawing.view());
        }
    }
}
