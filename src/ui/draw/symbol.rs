//! Schematic symbols, each drawn between two points.

use super::{Anchor, Drawing, Face, Pen, Point};
use crate::plan::polarity::Lead;
use crate::plan::types::Plan;
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::dielectric::Dielectric;

/// A symbol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symbol {
    /// A resistor.
    Resistor,
    /// A control: a resistor with an arrow.
    Control,
    /// An air-cored coil.
    Coil,
    /// A coil on iron: choke, field, winding.
    IronCoil,
    /// A capacitor; its second lead is the curved plate.
    Capacitor,
    /// A polarised capacitor; its first lead is positive.
    Polarised,
    /// An adjustable capacitor.
    Variable,
    /// A dry rectifier; it conducts from the first point to the second.
    Diode,
    /// A vacuum rectifier, plate first.
    VacuumDiode,
    /// A regulator tube.
    Regulator,
    /// A lamp.
    Lamp,
    /// A fuse.
    Fuse,
    /// A switch.
    Switch,
    /// A battery.
    Battery,
    /// A heater.
    Heater,
    /// A pin of a tube.
    Tube,
    /// A terminal.
    Terminal,
    /// A meter.
    Meter,
    /// A speaker.
    Speaker,
    /// Anything else.
    Box,
}

impl Symbol {
    /// The symbol of a part; a plus sign only where the plan has the positive
    /// lead at the first place.
    pub fn planned(part: &Part, plan: &Plan) -> Self {
        match Self::of(part) {
            Self::Polarised => {
                let planned = plan.parts.iter().find(|p| p.key == part.key);
                let new = planned.and_then(|p| p.replacement.as_ref());
                let positive = new.and_then(|r| r.polarity.as_ref()?.positive());
                if positive == Some(Lead::First) { Self::Polarised } else { Self::Capacitor }
            }
            symbol => symbol,
        }
    }

    /// The symbol of a part.
    pub fn of(part: &Part) -> Self {
        match part.kind {
            PartKind::Capacitor => {
                let polar = part.dielectric.is_some_and(Dielectric::is_electrolytic);
                if polar && !part.is_made(Make::NonPolarised) {
                    Self::Polarised
                } else {
                    Self::Capacitor
                }
            }
            PartKind::VariableCapacitor => Self::Variable,
            PartKind::Resistor | PartKind::ResistanceCord => Self::Resistor,
            PartKind::Potentiometer => Self::Control,
            PartKind::Coil => {
                let small = part.inductance.is_some_and(|l| l.to_f64() < 0.1);
                let iron = part.is_made(Make::FieldCoil) || part.is_made(Make::FilterChoke);
                if iron || !small { Self::IronCoil } else { Self::Coil }
            }
            PartKind::Transformer => Self::IronCoil,
            PartKind::Tube => Self::Tube,
            PartKind::DryRectifier | PartKind::Diode => Self::Diode,
            PartKind::Lamp => Self::Lamp,
            PartKind::Fuse => Self::Fuse,
            PartKind::Switch => Self::Switch,
            PartKind::Battery => Self::Battery,
            PartKind::Meter => Self::Meter,
            PartKind::Speaker => Self::Speaker,
            PartKind::Connector | PartKind::Cord => Self::Terminal,
            PartKind::Vibrator | PartKind::Crystal | PartKind::Other => Self::Box,
        }
    }

    /// How long its body is.
    const fn body(self) -> f64 {
        match self {
            Self::Resistor | Self::Control | Self::Coil | Self::IronCoil => 42.0,
            Self::Capacitor | Self::Polarised | Self::Variable => 9.0,
            Self::Diode => 18.0,
            Self::VacuumDiode | Self::Regulator => 36.0,
            Self::Tube => 22.0,
            Self::Lamp | Self::Meter | Self::Speaker | Self::Box => 24.0,
            Self::Fuse | Self::Switch | Self::Heater => 28.0,
            Self::Battery | Self::Terminal => 8.0,
        }
    }

    /// Draws it from one point to another.
    pub fn draw(self, drawing: &mut Drawing, pen: Pen, from: Point, to: Point) {
        let axis = Axis::new(from, to, self.body());
        drawing.line(pen, &[from, axis.at(0.0, 0.0)]);
        // What is open at its far end has no second lead.
        if !matches!(self, Self::Tube | Self::Terminal) {
            drawing.line(pen, &[axis.at(1.0, 0.0), to]);
        }
        match self {
            Self::Resistor => zigzag(drawing, pen, &axis),
            Self::Control => {
                zigzag(drawing, pen, &axis);
                arrow(drawing, pen, axis.at(0.5, 24.0), axis.at(0.5, 9.0));
            }
            Self::Coil => humps(drawing, pen, &axis, 4),
            Self::IronCoil => {
                humps(drawing, pen, &axis, 4);
                for off in [-9.0, -12.5] {
                    drawing.line(pen, &[axis.at(0.0, off), axis.at(1.0, off)]);
                }
            }
            Self::Capacitor | Self::Polarised | Self::Variable => capacitor(drawing, pen, &axis),
            Self::Diode => {
                let corners = [(0.0, 10.0), (0.0, -10.0), (1.0, 0.0)];
                drawing.closed(pen, &corners.map(|(t, s)| axis.at(t, s)));
                drawing.line(pen, &[axis.at(1.0, 10.0), axis.at(1.0, -10.0)]);
            }
            Self::VacuumDiode | Self::Regulator => envelope(drawing, pen, &axis),
            Self::Lamp => {
                drawing.circle(pen, axis.at(0.5, 0.0), 12.0);
                for s in [8.5, -8.5] {
                    drawing.line(pen, &[axis.at(0.146, s), axis.at(0.854, -s)]);
                }
            }
            Self::Fuse => {
                let middle = axis.at(0.5, 0.0);
                drawing.arc(pen, axis.at(0.0, 0.0), middle, 7.0, true);
                drawing.arc(pen, middle, axis.at(1.0, 0.0), 7.0, false);
            }
            Self::Switch => {
                for t in [0.0, 1.0] {
                    drawing.circle(Pen::Solid, axis.at(t, 0.0), 2.6);
                }
                drawing.line(pen, &[axis.at(0.0, 0.0), axis.at(0.92, -11.0)]);
            }
            Self::Battery => {
                drawing.line(pen, &[axis.at(0.0, 12.0), axis.at(0.0, -12.0)]);
                drawing.line(pen, &[axis.at(1.0, 6.0), axis.at(1.0, -6.0)]);
            }
            Self::Heater => {
                let points = [(0.0, 0.0), (0.28, 0.0), (0.5, -12.0), (0.72, 0.0), (1.0, 0.0)];
                drawing.line(pen, &points.map(|(t, s)| axis.at(t, s)));
            }
            Self::Tube => {
                drawing.circle(pen, axis.at(0.5, 0.0), 11.0);
                drawing.line(pen, &[axis.at(0.0, 0.0), axis.at(0.36, 0.0)]);
                drawing.line(pen, &[axis.at(0.36, 6.0), axis.at(0.36, -6.0)]);
            }
            Self::Terminal => drawing.circle(pen, axis.at(0.5, 0.0), 4.0),
            Self::Meter => {
                drawing.circle(pen, axis.at(0.5, 0.0), 12.0);
                arrow(drawing, pen, axis.at(0.3, -5.0), axis.at(0.7, 5.0));
            }
            Self::Speaker | Self::Box => {
                let corners = [(0.0, 8.0), (1.0, 8.0), (1.0, -8.0), (0.0, -8.0)];
                drawing.closed(pen, &corners.map(|(t, s)| axis.at(t, s)));
            }
        }
        if self == Self::Polarised {
            plus(drawing, pen, axis.at(-1.0, -10.0));
        }
        if self == Self::Variable {
            arrow(drawing, pen, axis.at(-1.2, 13.0), axis.at(2.2, -13.0));
        }
    }
}

/// A line with its own measure: along from 0 to 1 over the body, and across.
struct Axis {
    start: Point,
    along: (f64, f64),
    body: f64,
}

impl Axis {
    fn new(from: Point, to: Point, body: f64) -> Self {
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let whole = dx.hypot(dy).max(1.0);
        let along = (dx / whole, dy / whole);
        let lead = (whole - body) / 2.0;
        Self { start: from.by(along.0 * lead, along.1 * lead), along, body }
    }

    /// The point at a part of the body, `across` to the right of the way.
    fn at(&self, part: f64, across: f64) -> Point {
        let (x, y) = self.along;
        let t = part * self.body;
        self.start.by(x * t - y * across, y * t + x * across)
    }
}

fn zigzag(drawing: &mut Drawing, pen: Pen, axis: &Axis) {
    let peaks = (0..6_u8).map(|n| {
        let across = if n % 2 == 0 { -7.0 } else { 7.0 };
        axis.at((f64::from(n) + 0.5) / 6.0, across)
    });
    let points: Vec<Point> = std::iter::once(axis.at(0.0, 0.0))
        .chain(peaks)
        .chain(std::iter::once(axis.at(1.0, 0.0)))
        .collect();
    drawing.line(pen, &points);
}

fn humps(drawing: &mut Drawing, pen: Pen, axis: &Axis, count: u8) {
    let radius = axis.body / f64::from(count) / 2.0;
    for n in 0..count {
        let part = |n: u8| f64::from(n) / f64::from(count);
        drawing.arc(pen, axis.at(part(n), 0.0), axis.at(part(n + 1), 0.0), radius, true);
    }
}

/// A straight plate and a curved one.
fn capacitor(drawing: &mut Drawing, pen: Pen, axis: &Axis) {
    drawing.line(pen, &[axis.at(0.0, 12.0), axis.at(0.0, -12.0)]);
    drawing.arc(pen, axis.at(1.4, 12.0), axis.at(1.4, -12.0), 21.0, false);
}

/// A tube of two electrodes: plate bar and cathode.
fn envelope(drawing: &mut Drawing, pen: Pen, axis: &Axis) {
    drawing.circle(pen, axis.at(0.5, 0.0), 18.0);
    drawing.line(pen, &[axis.at(0.0, 0.0), axis.at(0.3, 0.0)]);
    drawing.line(pen, &[axis.at(0.3, 9.0), axis.at(0.3, -9.0)]);
    drawing.line(pen, &[axis.at(1.0, 0.0), axis.at(0.7, 0.0)]);
    drawing.line(
        pen,
        &[axis.at(0.78, 9.0), axis.at(0.7, 7.0), axis.at(0.7, -7.0), axis.at(0.78, -9.0)],
    );
}

/// A line with a head at its end.
pub fn arrow(drawing: &mut Drawing, pen: Pen, from: Point, to: Point) {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let whole = dx.hypot(dy).max(1.0);
    let (x, y) = (dx / whole * 6.0, dy / whole * 6.0);
    drawing.line(pen, &[from, to]);
    let barbs = [to.by(-x - y * 0.6, -y + x * 0.6), to, to.by(-x + y * 0.6, -y - x * 0.6)];
    drawing.line(pen, &barbs);
}

fn plus(drawing: &mut Drawing, pen: Pen, at: Point) {
    drawing.line(pen, &[at.by(-3.5, 0.0), at.by(3.5, 0.0)]);
    drawing.line(pen, &[at.by(0.0, -3.5), at.by(0.0, 3.5)]);
}

/// Where a line ends below: the metal chassis, or the common return.
pub fn foot(drawing: &mut Drawing, at: Point, name: &str) {
    if name == "chassis" {
        drawing.line(Pen::Ink, &[at.by(-12.0, 0.0), at.by(12.0, 0.0)]);
        for x in [-12.0, 0.0, 12.0] {
            drawing.line(Pen::Ink, &[at.by(x, 0.0), at.by(x - 6.0, 8.0)]);
        }
    } else {
        drawing.closed(Pen::Ink, &[at.by(-9.0, 0.0), at.by(9.0, 0.0), at.by(0.0, 10.0)]);
    }
    drawing.write(at.by(0.0, 24.0), Anchor::Middle, Face::Small, name);
}

/// A point where wires meet.
pub fn dot(drawing: &mut Drawing, at: Point) {
    drawing.circle(Pen::Solid, at, 3.4);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Sheet;

    #[test]
    fn a_symbol_stays_between_its_points_in_every_direction() {
        let all = [Symbol::Resistor, Symbol::Polarised, Symbol::IronCoil, Symbol::VacuumDiode];
        for symbol in all {
            for to in [Point::new(70.0, 0.0), Point::new(0.0, 70.0), Point::new(-70.0, 0.0)] {
                let mut drawing = Drawing::default();
                symbol.draw(&mut drawing, Pen::Ink, Point::new(0.0, 0.0), to);
                let space = drawing.space();
                assert!(space.width.max(space.height) <= 70.5, "{symbol:?} {space:?}");
            }
        }
    }

    #[test]
    fn parts_wear_the_symbol_of_their_kind() {
        let sheet = Sheet::read(
            "C1 40 mfd 150 V electrolytic B0 to B-\nC2 .05 400 V paper a to b\nR1 1K a to b\nL1 choke 12 H a to b\nF1 fuse 1 A a to b\nS1 a to b\n",
        );
        let symbols: Vec<Symbol> = sheet.parts.iter().map(Symbol::of).collect();
        assert_eq!(
            symbols,
            [
                Symbol::Polarised,
                Symbol::Capacitor,
                Symbol::Resistor,
                Symbol::IronCoil,
                Symbol::Fuse,
                Symbol::Switch
            ]
        );
    }
}
