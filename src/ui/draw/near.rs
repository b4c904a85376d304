//! The neighbourhood of one part: its nodes and all that meets them.

use super::symbol::{Symbol, dot};
use super::{Anchor, Drawing, Face, Pen, Point};

/// Something that meets a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Met {
    /// Its symbol.
    pub symbol: Symbol,
    /// Whether its second lead is the one that meets the node.
    pub turned: bool,
    /// Its name: `R3`, `V2 pin 6`.
    pub name: String,
    /// What it is and where it goes on: `470 kΩ to B2`, `plate`.
    pub detail: String,
}

/// A node of the part in hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// The part's terminal there, where it has more than two.
    pub terminal: Option<String>,
    /// The node's name.
    pub name: String,
    /// The voltage to expect there.
    pub figure: String,
    /// What meets it.
    pub met: Vec<Met>,
    /// How many more do.
    pub more: usize,
}

/// A part and its nodes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Neighbourhood {
    /// The part's name.
    pub name: String,
    /// Its value.
    pub value: String,
    /// Its symbol.
    pub symbol: Symbol,
    /// Its nodes.
    pub blocks: Vec<Block>,
}

/// From row to row.
const ROW: f64 = 42.0;
/// How long a neighbour's symbol is with its leads.
const REACH: f64 = 64.0;
/// Half the space of the part between its nodes.
const GAP: f64 = 78.0;

/// Draws the part between its two nodes; one of another number of nodes has
/// them one below the other.
pub fn wide(near: &Neighbourhood) -> Drawing {
    let [first, second] = &near.blocks[..] else { return narrow(near) };
    let mut drawing = Drawing { words: words(near), ..Drawing::default() };
    near.symbol.draw(&mut drawing, Pen::Glow, Point::new(-GAP, 0.0), Point::new(GAP, 0.0));
    drawing.write(Point::new(0.0, -42.0), Anchor::Middle, Face::Figure, &near.name);
    drawing.write(Point::new(0.0, -25.0), Anchor::Middle, Face::Value, &near.value);
    block(&mut drawing, first, Point::new(-GAP, 0.0), -1.0);
    block(&mut drawing, second, Point::new(GAP, 0.0), 1.0);
    drawing
}

/// Draws the nodes one below the other, for a narrow page.
pub fn narrow(near: &Neighbourhood) -> Drawing {
    let mut drawing = Drawing { words: words(near), ..Drawing::default() };
    let mut y = 0.0;
    for (at, one) in near.blocks.iter().enumerate() {
        let last = block(&mut drawing, one, Point::new(0.0, y), 1.0);
        let next = last + ROW;
        if at + 1 < near.blocks.len() {
            y = next + 106.0;
            if near.blocks.len() == 2 {
                let (from, to) = (Point::new(0.0, last), Point::new(0.0, y));
                near.symbol.draw(&mut drawing, Pen::Glow, from, to);
                let middle = f64::midpoint(last, y);
                let at = Point::new(26.0, middle - 3.0);
                drawing.write(at, Anchor::Start, Face::Figure, &near.name);
                drawing.write(at.by(0.0, 17.0), Anchor::Start, Face::Value, &near.value);
            }
        }
    }
    drawing
}

/// Draws a node downwards with what meets it to one side; the height of its
/// last row.
fn block(drawing: &mut Drawing, block: &Block, top: Point, side: f64) -> f64 {
    let anchor = if side < 0.0 { Anchor::End } else { Anchor::Start };
    let head = top.by(side * 10.0, 0.0);
    dot(drawing, top);
    let name = match &block.terminal {
        Some(terminal) => format!("{terminal}, {}", block.name),
        None => block.name.clone(),
    };
    drawing.write(head.by(0.0, -5.0), anchor, Face::Name, name);
    drawing.write(head.by(0.0, 13.0), anchor, Face::Figure, &block.figure);
    let mut y = top.y;
    for met in &block.met {
        y += if y > top.y { ROW } else { ROW + 6.0 };
        let at = Point::new(top.x, y);
        let far = at.by(side * REACH, 0.0);
        dot(drawing, at);
        // A tube's pin is drawn from the wire inwards, whatever way it is met.
        let (from, to) = if met.turned { (far, at) } else { (at, far) };
        met.symbol.draw(drawing, Pen::Ink, from, to);
        let text = far.by(side * 8.0, 0.0);
        drawing.write(text.by(0.0, -3.0), anchor, Face::Name, &met.name);
        drawing.write(text.by(0.0, 13.0), anchor, Face::Small, &met.detail);
    }
    if block.more > 0 {
        y += ROW;
        let text = Point::new(top.x + side * 12.0, y + 4.0);
        drawing.write(text, anchor, Face::Value, format!("and {} more", block.more));
    }
    if block.met.is_empty() {
        y += ROW;
        let text = Point::new(top.x + side * 12.0, y);
        drawing.write(text, anchor, Face::Value, "Nothing else meets it");
    }
    drawing.line(Pen::Ink, &[top, Point::new(top.x, y)]);
    y
}

/// The drawing in words.
fn words(near: &Neighbourhood) -> String {
    let blocks = near.blocks.iter().map(|block| {
        let met = block.met.iter().map(|m| format!("{}, {}", m.name, m.detail));
        let met = met.collect::<Vec<_>>().join("; ");
        let more =
            if block.more > 0 { format!("; and {} more", block.more) } else { String::new() };
        let lead = block.terminal.as_ref().map(|t| format!("{t} at ")).unwrap_or_default();
        let met = if met.is_empty() { "nothing else".to_owned() } else { met };
        format!("{lead}{} ({}) meets {met}{more}", block.name, block.figure)
    });
    let blocks = blocks.collect::<Vec<_>>().join(". ");
    format!("What {} {} is joined to. {blocks}.", near.name, near.value)
}

#[cfg(test)]
mod tests {
    use super::super::support::assert_readable;
    use super::*;

    fn sample(count: usize, blocks: usize) -> Neighbourhood {
        let met = (0..count)
            .map(|n| Met {
                symbol: if n % 2 == 0 { Symbol::Resistor } else { Symbol::Tube },
                turned: false,
                name: format!("V{n} pin 6"),
                detail: "triode plate of the first audio tube".into(),
            })
            .collect();
        let block = Block {
            terminal: None,
            name: "chassis".into(),
            figure: "−125 V".into(),
            met,
            more: usize::from(count == 12) * 30,
        };
        Neighbourhood {
            name: "C20A".into(),
            value: "0.05 µF".into(),
            symbol: Symbol::Capacitor,
            blocks: vec![block; blocks],
        }
    }

    #[test]
    fn twelve_neighbours_a_node_lie_apart_and_the_rest_is_counted() {
        for (count, blocks) in [(0, 2), (1, 2), (12, 2), (12, 5)] {
            let near = sample(count, blocks);
            for drawing in [wide(&near), narrow(&near)] {
                assert_readable(&drawing, &format!("{count} in {blocks}"));
                if count == 12 {
                    assert!(drawing.words.contains("and 30 more"));
                }
            }
        }
    }

    #[test]
    fn the_narrow_drawing_fits_a_phone() {
        let space = narrow(&sample(12, 2)).view();
        assert!(space.width < 350.0, "{space:?}");
    }
}
