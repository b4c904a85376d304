//! The supply from line to last point: cells on a rail, wrapped to the page.

use super::symbol::{Symbol, arrow, dot, foot};
use super::{Anchor, Drawing, Face, Pen, Point};

/// A part on the drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Its symbol.
    pub symbol: Symbol,
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: String,
    /// The point its other lead goes to, where it stands upright.
    pub foot: String,
}

/// A stretch of the rail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// The plug: both wires begin.
    Plug {
        /// Volts and frequency.
        volts: String,
    },
    /// Parts in both wires, or in one of them.
    Pair {
        /// In the line wire.
        line: Option<Item>,
        /// In the neutral wire.
        neutral: Option<Item>,
    },
    /// Both wires end on a primary; the secondary begins.
    Transformer {
        /// Its name.
        name: String,
        /// Its secondary.
        value: String,
        /// Whether the secondary is tapped and gives both wires.
        tapped: bool,
        /// The point its tap or its far end goes to.
        foot: String,
    },
    /// The neutral wire ends at the common return; the line goes on.
    Return(String),
    /// A rectifier.
    Rectifier {
        /// What it is.
        item: Item,
        /// Whether two plates are fed by both wires.
        both: bool,
        /// `bridge`, `doubler`: a block instead of a symbol.
        block: Option<String>,
    },
    /// A row begins at a point that is already drawn.
    Tag(String),
    /// A row ends at a point that is drawn elsewhere.
    End(String),
    /// A part in the rail.
    Series(Item),
    /// A point, with what stands from it to the common side.
    Point {
        /// Its name.
        name: String,
        /// Its voltage.
        figure: String,
        /// What else is to be said of it.
        remark: String,
        /// What stands from it to the common side.
        shunts: Vec<Item>,
    },
}

/// A chain of cells, drawn from a new row on.
pub type Chain = Vec<Cell>;

/// The lower wire.
const LOWER: f64 = 100.0;
/// Between rows.
const BETWEEN: f64 = 30.0;
/// What an upright part takes.
const SHUNT: f64 = 104.0;

/// Draws the chains in rows no wider than the page.
pub fn draw(chains: &[Chain], width: f64, words: String) -> Drawing {
    let mut drawing = Drawing { words, ..Drawing::default() };
    let mut y = 0.0;
    for chain in chains {
        let rows = rows(chain, width);
        let last = rows.len().saturating_sub(1);
        for (at, row) in rows.iter().enumerate() {
            let sketch = row_of(row, at > 0, at < last);
            let space = sketch.space();
            drawing.add(sketch, 0.0, y - space.top);
            y += space.height + BETWEEN;
        }
    }
    drawing
}

/// Breaks a chain into rows.
fn rows(chain: &[Cell], width: f64) -> Vec<&[Cell]> {
    let (mut rows, mut from, mut used) = (Vec::new(), 0, 0.0);
    for (at, cell) in chain.iter().enumerate() {
        let own = cell.width();
        // A part goes over to the next row with the point it leads to.
        let next = match (cell, chain.get(at + 1)) {
            (Cell::Series(_), Some(next @ Cell::Point { .. })) => next.width(),
            _ => 0.0,
        };
        if at > from && used + own + next > width {
            rows.push(&chain[from..at]);
            (from, used) = (at, 0.0);
        }
        used += own;
    }
    rows.push(&chain[from..]);
    rows
}

fn row_of(row: &[Cell], continues: bool, goes_on: bool) -> Drawing {
    let mut drawing = Drawing::default();
    let mut x = 0.0;
    if continues && let Some(first) = row.first() {
        for y in first.wires() {
            arrow(&mut drawing, Pen::Fine, Point::new(-14.0, *y), Point::new(0.0, *y));
        }
    }
    for cell in row {
        let mut sketch = Drawing::default();
        cell.sketch(&mut sketch);
        drawing.add(sketch, x, 0.0);
        x += cell.width();
    }
    if goes_on && let Some(last) = row.last() {
        for y in last.ends() {
            arrow(&mut drawing, Pen::Fine, Point::new(x, *y), Point::new(x + 14.0, *y));
        }
    }
    drawing
}

impl Cell {
    /// The heights at which wires come in.
    fn wires(&self) -> &'static [f64] {
        match self {
            Self::Pair { .. }
            | Self::Transformer { .. }
            | Self::Return(_)
            | Self::Rectifier { both: true, .. } => &[0.0, LOWER],
            Self::Plug { .. } | Self::Tag(_) => &[],
            _ => &[0.0],
        }
    }

    /// The heights at which wires go on.
    fn ends(&self) -> &'static [f64] {
        match self {
            Self::Plug { .. } | Self::Pair { .. } | Self::Transformer { tapped: true, .. } => {
                &[0.0, LOWER]
            }
            _ => &[0.0],
        }
    }

    fn width(&self) -> f64 {
        let named = |item: &Item, least: f64| {
            let text = Face::Name.width(&item.name).max(Face::Small.width(&item.value));
            least.max(text + 14.0)
        };
        match self {
            Self::Plug { volts } => 30.0 + Face::Value.width(volts).max(54.0),
            Self::Pair { line, neutral } => {
                let all = [line, neutral].into_iter().flatten();
                all.map(|item| named(item, 84.0)).fold(0.0, f64::max)
            }
            Self::Transformer { value, .. } => 128.0_f64.max(Face::Small.width(value) + 12.0),
            Self::Return(name) => 34.0_f64.max(Face::Small.width(name) + 12.0),
            Self::Rectifier { both: true, .. } => 112.0,
            Self::Rectifier { item, .. } | Self::Series(item) => named(item, 92.0),
            Self::Tag(name) | Self::End(name) => Face::Name.width(name).max(24.0) + 14.0,
            Self::Point { name, figure, remark, shunts } => {
                let text = Face::Name
                    .width(name)
                    .max(Face::Figure.width(figure))
                    .max(Face::Small.width(remark));
                let parts = shunts.iter().map(|s| 22.0 + shunt_width(s)).sum::<f64>();
                (text + 26.0).max(parts + 22.0)
            }
        }
    }

    fn sketch(&self, d: &mut Drawing) {
        let width = self.width();
        match self {
            Self::Plug { volts } => plug(d, width, volts),
            Self::Pair { line, neutral } => pair(d, width, line.as_ref(), neutral.as_ref()),
            Self::Transformer { name, value, tapped, foot } => {
                transformer(d, width, *tapped, foot);
                d.write(Point::new(width / 2.0, -34.0), Anchor::Middle, Face::Name, name);
                d.write(Point::new(width / 2.0, -18.0), Anchor::Middle, Face::Small, value);
            }
            Self::Return(name) => {
                d.line(Pen::Ink, &[Point::new(0.0, 0.0), Point::new(width, 0.0)]);
                let end = Point::new(width / 2.0, LOWER + 10.0);
                d.line(Pen::Ink, &[Point::new(0.0, LOWER), Point::new(end.x, LOWER), end]);
                foot(d, end, name);
            }
            Self::Rectifier { item, both, block } => {
                rectifier(d, width, item, *both, block.as_ref());
            }
            Self::Tag(name) => {
                dot(d, Point::new(8.0, 0.0));
                d.line(Pen::Ink, &[Point::new(8.0, 0.0), Point::new(width, 0.0)]);
                d.write(Point::new(4.0, -12.0), Anchor::Start, Face::Name, name);
            }
            Self::End(name) => {
                d.line(Pen::Ink, &[Point::new(0.0, 0.0), Point::new(10.0, 0.0)]);
                dot(d, Point::new(10.0, 0.0));
                d.write(Point::new(6.0, -12.0), Anchor::Start, Face::Name, name);
            }
            Self::Series(item) => {
                item.symbol.draw(d, Pen::Ink, Point::new(0.0, 0.0), Point::new(width, 0.0));
                caption(d, item, width / 2.0);
            }
            Self::Point { name, figure, remark, shunts } => {
                point(d, width, [name, figure, remark], shunts);
            }
        }
    }
}

fn shunt_width(item: &Item) -> f64 {
    let text = Face::Name.width(&item.name).max(Face::Small.width(&item.value));
    (text + 22.0).max(SHUNT - 22.0)
}

/// Name and value above a part in the rail.
fn caption(d: &mut Drawing, item: &Item, x: f64) {
    d.write(Point::new(x, -40.0), Anchor::Middle, Face::Name, &item.name);
    d.write(Point::new(x, -24.0), Anchor::Middle, Face::Small, &item.value);
}

fn plug(d: &mut Drawing, width: f64, volts: &str) {
    for (y, name) in [(0.0, "line"), (LOWER, "neutral")] {
        d.circle(Pen::Ink, Point::new(6.0, y), 4.5);
        d.line(Pen::Ink, &[Point::new(10.5, y), Point::new(width, y)]);
        d.write(Point::new(2.0, y - 12.0), Anchor::Start, Face::Name, name);
    }
    d.write(Point::new(2.0, LOWER / 2.0), Anchor::Start, Face::Value, volts);
}

fn pair(d: &mut Drawing, width: f64, line: Option<&Item>, neutral: Option<&Item>) {
    for (y, item) in [(0.0, line), (LOWER, neutral)] {
        let (from, to) = (Point::new(0.0, y), Point::new(width, y));
        let Some(item) = item else {
            d.line(Pen::Ink, &[from, to]);
            continue;
        };
        item.symbol.draw(d, Pen::Ink, from, to);
        if y > 0.0 {
            let x = width / 2.0;
            d.write(Point::new(x, y + 28.0), Anchor::Middle, Face::Name, &item.name);
            d.write(Point::new(x, y + 43.0), Anchor::Middle, Face::Small, &item.value);
        } else {
            caption(d, item, width / 2.0);
        }
    }
}

fn transformer(d: &mut Drawing, width: f64, tapped: bool, tap: &str) {
    let middle = width / 2.0;
    let (primary, secondary) = (middle - 16.0, middle + 16.0);
    for (x, outer, clockwise) in [(primary, 0.0, true), (secondary, width, false)] {
        for n in 0..4_u8 {
            let y = 18.0 + 16.0 * f64::from(n);
            d.arc(Pen::Ink, Point::new(x, y), Point::new(x, y + 16.0), 8.0, clockwise);
        }
        let top = [Point::new(outer, 0.0), Point::new(x, 0.0), Point::new(x, 18.0)];
        d.line(Pen::Ink, &top);
    }
    for x in [middle - 2.5, middle + 2.5] {
        d.line(Pen::Ink, &[Point::new(x, 14.0), Point::new(x, 86.0)]);
    }
    let bottom =
        |x: f64, outer: f64| [Point::new(outer, LOWER), Point::new(x, LOWER), Point::new(x, 82.0)];
    d.line(Pen::Ink, &bottom(primary, 0.0));
    let from = if tapped {
        d.line(Pen::Ink, &bottom(secondary, width));
        Point::new(secondary, 50.0)
    } else {
        Point::new(secondary, 82.0)
    };
    let down = if tapped { 58.0 } else { LOWER };
    let to = Point::new(secondary + 22.0, down);
    d.line(Pen::Ink, &[from, Point::new(to.x, from.y), to]);
    foot(d, to, tap);
}

fn rectifier(d: &mut Drawing, width: f64, item: &Item, both: bool, block: Option<&String>) {
    if both {
        let join = width - 12.0;
        for y in [0.0, LOWER] {
            item.symbol.draw(d, Pen::Ink, Point::new(0.0, y), Point::new(join, y));
        }
        d.line(Pen::Ink, &[Point::new(join, LOWER), Point::new(join, 0.0)]);
        d.line(Pen::Ink, &[Point::new(join, 0.0), Point::new(width, 0.0)]);
        dot(d, Point::new(join, 0.0));
        let x = join / 2.0;
        d.write(Point::new(x, 46.0), Anchor::Middle, Face::Name, &item.name);
        d.write(Point::new(x, 62.0), Anchor::Middle, Face::Small, &item.value);
        return;
    }
    let (from, to) = (Point::new(0.0, 0.0), Point::new(width, 0.0));
    item.symbol.draw(d, Pen::Ink, from, to);
    caption(d, item, width / 2.0);
    if let Some(word) = block {
        let (left, right) = (width / 2.0 - 26.0, width / 2.0 + 26.0);
        let corners = [(left, -18.5), (right, -18.5), (right, 18.5), (left, 18.5)];
        d.closed(Pen::Ink, &corners.map(|(x, y)| Point::new(x, y)));
        d.write(Point::new(width / 2.0, 34.0), Anchor::Middle, Face::Small, word);
    }
}

fn point(d: &mut Drawing, width: f64, [name, figure, remark]: [&String; 3], shunts: &[Item]) {
    d.line(Pen::Ink, &[Point::new(0.0, 0.0), Point::new(width, 0.0)]);
    dot(d, Point::new(22.0, 0.0));
    for (y, face, text) in
        [(-44.0, Face::Name, name), (-27.0, Face::Figure, figure), (-11.0, Face::Small, remark)]
    {
        d.write(Point::new(14.0, y), Anchor::Start, face, text);
    }
    let mut x = 22.0;
    for item in shunts {
        let top = Point::new(x, 0.0);
        dot(d, top);
        let bottom = top.by(0.0, 84.0);
        item.symbol.draw(d, Pen::Ink, top, bottom);
        foot(d, bottom, &item.foot);
        let side = if matches!(item.symbol, Symbol::Regulator) { 24.0 } else { 18.0 };
        d.write(Point::new(x + side, 30.0), Anchor::Start, Face::Name, &item.name);
        d.write(Point::new(x + side, 61.0), Anchor::Start, Face::Small, &item.value);
        x += 22.0 + shunt_width(item);
    }
}

#[cfg(test)]
mod tests {
    use super::super::support::assert_readable;
    use super::*;

    fn item(symbol: Symbol, name: &str, value: &str) -> Item {
        Item { symbol, name: name.into(), value: value.into(), foot: "B-".into() }
    }

    fn chain() -> Chain {
        vec![
            Cell::Plug { volts: "117 V 60 Hz".into() },
            Cell::Pair {
                line: Some(item(Symbol::Fuse, "F1", "1 A")),
                neutral: Some(item(Symbol::Switch, "S1", "")),
            },
            Cell::Transformer {
                name: "T1".into(),
                value: "320-0-320 V".into(),
                tapped: true,
                foot: "chassis".into(),
            },
            Cell::Rectifier {
                item: item(Symbol::VacuumDiode, "V8", "5U4G"),
                both: true,
                block: None,
            },
            Cell::Point {
                name: "B0".into(),
                figure: "330 V".into(),
                remark: "cold 460 V at 129 V line".into(),
                shunts: vec![item(Symbol::Polarised, "C28", "10 µF 500 V"); 2],
            },
            Cell::Series(item(Symbol::IronCoil, "L1", "500 Ω")),
            Cell::Point {
                name: "B1".into(),
                figure: "255 V".into(),
                remark: String::new(),
                shunts: vec![item(Symbol::Regulator, "V7", "0D3")],
            },
        ]
    }

    #[test]
    fn on_a_desk_and_on_a_phone_no_text_lies_on_another() {
        for width in [350.0, 700.0, 1120.0] {
            let chains = [chain(), vec![Cell::Tag("B1".into()), chain()[5].clone()]];
            let drawing = draw(&chains, width, "words".into());
            assert_readable(&drawing, &format!("at {width}"));
            assert!(drawing.view().width <= width + 46.0, "{} at {width}", drawing.view().width);
        }
    }

    #[test]
    fn rows_keep_the_order_and_lose_no_cell() {
        let chain = chain();
        for width in [1.0, 200.0, 400.0, 5000.0] {
            assert_eq!(rows(&chain, width).concat(), chain);
        }
        assert_eq!(rows(&chain, 5000.0).len(), 1);
    }
}
