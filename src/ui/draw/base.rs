//! A tube base seen from below: pins at their true angles, numbers clockwise.

use super::{Anchor, Drawing, Face, Pen, Point, Rect};
use crate::trade::tubes::{Base, KeyKind};

/// What is written at a pin.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PinLabel {
    /// Its number; 0 for the top cap.
    pub pin: u8,
    /// Its electrode.
    pub electrode: String,
    /// The voltage to expect.
    pub figure: Option<String>,
    /// The part in hand that goes there.
    pub part: Option<String>,
}

const CENTER: Point = Point::new(0.0, 0.0);
/// The circle of the pins.
const PINS: f64 = 84.0;
/// The edge of the base.
const EDGE: f64 = 114.0;
/// Where labels begin.
const LABELS: f64 = 125.0;
/// Half the least width, so that all bases are drawn to one scale.
const HALF: f64 = 190.0;
/// From line to line.
const LINE: f64 = 17.0;

/// Draws a base with what is known of its pins.
pub fn draw(base: Base, name: &str, pins: &[PinLabel]) -> Drawing {
    let least = Rect { left: -HALF, top: -168.0, width: 2.0 * HALF, height: 330.0 };
    let words = words(base, name, pins);
    let mut drawing = Drawing { words, least: Some(least), ..Drawing::default() };
    drawing.circle(Pen::Ink, CENTER, EDGE);
    key(&mut drawing, base);
    for pin in 1..=base.pins() {
        let label = pins.iter().find(|l| l.pin == pin);
        socket_pin(&mut drawing, base, pin, label.is_some_and(|l| l.part.is_some()));
    }
    let marked: Vec<u8> = pins.iter().filter(|l| l.part.is_some()).map(|l| l.pin).collect();
    for pin in marked.iter().flat_map(|pin| base.neighbours(*pin)) {
        if !marked.contains(&pin)
            && let Some(at) = place(base, pin)
        {
            drawing.circle(Pen::Dashed, at, radius(base, pin) + 5.0);
        }
    }
    for label in pins {
        if let Some(angle) = base.angle(label.pin) {
            beside(&mut drawing, angle, label);
        } else if label.pin == 0 {
            top_cap(&mut drawing, label);
        }
    }
    let below = drawing.space();
    let caption = Point::new(0.0, below.top + below.height + 26.0);
    drawing.write(caption, Anchor::Middle, Face::Value, "Seen from below, numbers run clockwise");
    drawing
}

/// The middle of a pin.
pub fn place(base: Base, pin: u8) -> Option<Point> {
    base.angle(pin).map(|angle| Point::polar(CENTER, PINS, angle))
}

fn radius(base: Base, pin: u8) -> f64 {
    let thick = base.key() == KeyKind::LargePins && (pin == 1 || pin == base.pins());
    if thick { 20.0 } else { 15.0 }
}

fn socket_pin(drawing: &mut Drawing, base: Base, pin: u8, marked: bool) {
    let Some(at) = place(base, pin) else { return };
    let (pen, face) = if marked { (Pen::GlowSolid, Face::Marked) } else { (Pen::Ink, Face::Pin) };
    drawing.circle(pen, at, radius(base, pin));
    drawing.write(at.by(0.0, 6.0), Anchor::Middle, face, pin.to_string());
}

/// What tells the first pin from the last.
fn key(drawing: &mut Drawing, base: Base) {
    let word = match base.key() {
        KeyKind::Post => {
            drawing.circle(Pen::Ink, CENTER, 30.0);
            let notch = [(-7.0, 29.2), (-7.0, 39.0), (7.0, 39.0), (7.0, 29.2)];
            drawing.line(Pen::Ink, &notch.map(|(x, y)| Point::new(x, y)));
            (56.0, "key")
        }
        KeyKind::Gap => (92.0, "gap"),
        KeyKind::LargePins => (44.0, "thick pins"),
        KeyKind::ClosePins => (44.0, "close pair"),
    };
    drawing.write(Point::new(0.0, word.0), Anchor::Middle, Face::Small, word.1);
}

/// The lines written at a pin: electrodes, then the figure, then the part.
fn lines(label: &PinLabel) -> Vec<(Face, String)> {
    let mut lines: Vec<(Face, String)> = Vec::new();
    if let Some(part) = &label.part {
        lines.push((Face::Figure, part.clone()));
    }
    let mut electrodes = label.electrode.split(" and ").peekable();
    while let Some(electrode) = electrodes.next() {
        let more = if electrodes.peek().is_some() { " and" } else { "" };
        lines.push((Face::Value, format!("{electrode}{more}")));
    }
    if let Some(figure) = &label.figure {
        lines.push((Face::Name, figure.clone()));
    }
    lines
}

/// Writes the label of a pin outside the edge, where its angle points.
fn beside(drawing: &mut Drawing, angle: f64, label: &PinLabel) {
    let at = Point::polar(CENTER, LABELS, angle);
    let (sin, cos) = angle.to_radians().sin_cos();
    let anchor = if sin > 0.2 {
        Anchor::Start
    } else if sin < -0.2 {
        Anchor::End
    } else {
        Anchor::Middle
    };
    let lines = lines(label);
    let height = super::shape::length(lines.len()) * LINE;
    // Above the base the last line meets the point, below it the first.
    let share = 0.5 + 0.5 * cos;
    let mut y = at.y - height * share + 13.0;
    for (face, text) in lines {
        drawing.write(Point::new(at.x, y), anchor, face, text);
        y += LINE;
    }
}

/// The top cap, beside the base, which hides it.
fn top_cap(drawing: &mut Drawing, label: &PinLabel) {
    let at = Point::new(HALF - 30.0, -EDGE - 60.0);
    let pen = if label.part.is_some() { Pen::GlowSolid } else { Pen::Ink };
    drawing.circle(pen, at, 11.0);
    drawing.circle(Pen::Ink, at, 4.5);
    let mut lines = lines(label);
    lines.insert(0, (Face::Small, "top cap".to_owned()));
    let mut y = at.y - 3.0;
    for (face, text) in lines {
        drawing.write(Point::new(at.x - 18.0, y), Anchor::End, face, text);
        y += LINE;
    }
}

/// The drawing in words.
fn words(base: Base, name: &str, pins: &[PinLabel]) -> String {
    let pins = pins.iter().map(|label| {
        let pin = if label.pin == 0 { "top cap".to_owned() } else { format!("pin {}", label.pin) };
        let part = label.part.as_ref().map(|p| format!(", {p} goes here")).unwrap_or_default();
        let figure = label.figure.as_ref().map(|f| format!(", {f}")).unwrap_or_default();
        format!("{pin} {}{figure}{part}", label.electrode)
    });
    let key = match base.key() {
        KeyKind::Post => "the key is between the last pin and pin 1",
        KeyKind::Gap => "the gap is between the last pin and pin 1",
        KeyKind::LargePins => "pin 1 and the last are thick",
        KeyKind::ClosePins => "pin 1 and the last stand close",
    };
    let pins = pins.collect::<Vec<_>>().join("; ");
    format!("{name}: base seen from below, numbers run clockwise, {key}. {pins}.")
}

#[cfg(test)]
mod tests {
    use super::super::support::assert_readable;
    use super::*;
    use crate::ui::draw::Stroke;

    fn full(base: Base) -> Vec<PinLabel> {
        (1..=base.pins())
            .map(|pin| PinLabel {
                pin,
                electrode: ["cathode and grid 3", "triode plate", "heater"][usize::from(pin % 3)]
                    .to_owned(),
                figure: Some("−125 V".to_owned()),
                part: (pin == 4).then(|| "C20A".to_owned()),
            })
            .chain([PinLabel { pin: 0, electrode: "grid".into(), ..PinLabel::default() }])
            .collect()
    }

    #[test]
    fn on_every_base_no_text_lies_on_another() {
        for base in Base::ALL {
            assert_readable(&draw(base, "V1", &full(base)), &format!("{base:?}"));
        }
    }

    #[test]
    fn every_pin_is_inside_the_edge_and_apart_from_its_neighbours() {
        for base in Base::ALL {
            for pin in 1..=base.pins() {
                let at = place(base, pin).unwrap();
                assert!(at.x.hypot(at.y) + radius(base, pin) < EDGE, "{base:?} {pin}");
                for other in base.neighbours(pin) {
                    let o = place(base, other).unwrap();
                    let apart = (at.x - o.x).hypot(at.y - o.y);
                    assert!(apart > radius(base, pin) + radius(base, other) + 5.0, "{base:?}");
                }
            }
        }
    }

    #[test]
    fn numbers_run_clockwise_with_the_key_below() {
        for base in Base::ALL {
            let first = place(base, 1).unwrap();
            let last = place(base, base.pins()).unwrap();
            assert!(first.x < 0.0 && last.x > 0.0, "{base:?}: 1 is left of the key from below");
            assert!(first.y > 0.0 && last.y > 0.0, "{base:?}: both beside the key");
        }
    }

    #[test]
    fn the_pin_of_the_part_in_hand_is_filled_and_its_neighbours_are_ringed() {
        let drawing = draw(Base::Octal, "V1", &full(Base::Octal));
        let circles = |pen: Pen| {
            let own = drawing.strokes.iter().filter(move |(p, _)| *p == pen);
            own.filter_map(|(_, s)| match s {
                Stroke::Circle(c, _) => Some(*c),
                _ => None,
            })
            .collect::<Vec<_>>()
        };
        assert_eq!(circles(Pen::GlowSolid), [place(Base::Octal, 4).unwrap()]);
        assert_eq!(circles(Pen::Dashed).len(), 2);
        assert!(drawing.words.contains("pin 4 triode plate, −125 V, C20A goes here"));
        assert!(drawing.labels.iter().any(|l| l.text.starts_with("Seen from below")));
        let view: Rect = drawing.view();
        assert!(drawing.labels.iter().all(|l| view.holds(&l.space())));
    }
}
