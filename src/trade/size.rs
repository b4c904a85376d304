//! How large new parts are, and whether they go into a shell.
//!
//! ```
//! use firstglow::trade::size::{Room, Round, fits};
//! let parts = [Round { diameter: 16.0, length: 25.0 }; 2];
//! // Side by side they need 32 mm, one above the other 50 mm.
//! assert!(fits(&parts, Room::Round(Round { diameter: 34.0, length: 30.0 })).is_some());
//! assert!(fits(&parts, Room::Round(Round { diameter: 20.0, length: 60.0 })).is_some());
//! assert!(fits(&parts, Room::Round(Round { diameter: 20.0, length: 40.0 })).is_none());
//! ```
//!
//! Limits: upright cylinders in layers. Four and more of different size in a
//! round layer are taken as all of the largest, and a box is filled row by row:
//! what is said to fit fits, some that would fit is not found.

use super::dielectric::Dielectric;
use super::source::Source;

/// Where typical sizes come from.
pub const SIZE_SOURCE: Source = Source::from_memory(
    "radial electrolytics of 105 °C and polypropylene film of 400 to 630 V in makers' catalogues; \
     makers differ by a size up or down",
);
/// Where the packing comes from.
pub const PACKING_SOURCE: Source = Source::arithmetic(
    "cylinders side by side in a circle (two: the sum of their diameters; three: Descartes' \
     circles; more: equal circles of the largest), in layers one above the other",
);
/// Millimetres of length kept free for leads and closing. Source: common
/// practice, no source.
pub const FOR_LEADS: f64 = 5.0;
/// Millimetres of diameter kept free for sleeving. Source: own choice.
pub const FOR_SLEEVE: f64 = 1.0;
/// The most parts whose every arrangement is tried.
const MOST: usize = 6;

/// A cylinder, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Across.
    pub diameter: f64,
    /// Along its axis.
    pub length: f64,
}

/// The room inside a shell, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Room {
    /// A can.
    Round(Round),
    /// A block: width, depth and height.
    Box(f64, f64, f64),
}

/// Diameter and length of electrolytics by their µF·V, millimetres.
const ELECTROLYTIC: [(f64, f64, f64); 10] = [
    (500.0, 5.0, 11.0),
    (1_500.0, 6.3, 11.0),
    (3_000.0, 8.0, 12.0),
    (5_000.0, 10.0, 20.0),
    (10_000.0, 12.5, 25.0),
    (16_000.0, 16.0, 25.0),
    (22_000.0, 16.0, 31.5),
    (32_000.0, 18.0, 35.0),
    (48_000.0, 18.0, 40.0),
    (80_000.0, 22.0, 50.0),
];

/// Diameter and length of film by its µF, to 630 V, millimetres.
const FILM: [(f64, f64, f64); 8] = [
    (0.01, 7.0, 16.0),
    (0.022, 8.0, 18.0),
    (0.047, 10.0, 20.0),
    (0.1, 12.0, 25.0),
    (0.22, 15.0, 31.0),
    (0.47, 19.0, 32.0),
    (1.0, 24.0, 42.0),
    (2.2, 30.0, 50.0),
];

/// The usual size of a new part; `None` for kinds and values without one.
pub fn typical(dielectric: Dielectric, farads: f64, volts: f64) -> Option<Round> {
    let microfarads = farads * 1e6;
    let (table, by): (&[(f64, f64, f64)], f64) = if dielectric.is_electrolytic() {
        (&ELECTROLYTIC, microfarads * volts)
    } else if dielectric.is_film() && volts <= 630.0 {
        (&FILM, microfarads)
    } else {
        return None;
    };
    let (_, diameter, length) = table.iter().find(|(most, ..)| by <= most * 1.001)?;
    Some(Round { diameter: *diameter, length: *length })
}

/// How parts go into a room: the layers, each with the places of its parts in
/// `parts`; `None` where no way was found.
pub fn fits(parts: &[Round], room: Room) -> Option<Vec<Vec<usize>>> {
    let height = match room {
        Room::Round(room) => room.length,
        Room::Box(_, _, height) => height,
    };
    let sleeved: Vec<Round> =
        parts.iter().map(|p| Round { diameter: p.diameter + FOR_SLEEVE, ..*p }).collect();
    let mut layers = Vec::new();
    layered(&sleeved, 0, &mut layers, &|layers| {
        let stacked: f64 = layers.iter().map(|l| tallest(&sleeved, l)).sum();
        stacked + FOR_LEADS <= height && layers.iter().all(|l| is_wide_enough(&sleeved, l, room))
    })
    .then_some(layers)
}

fn tallest(parts: &[Round], layer: &[usize]) -> f64 {
    layer.iter().map(|p| parts[*p].length).fold(0.0, f64::max)
}

/// Tries every way to put parts into layers; the first that serves stays.
fn layered(
    parts: &[Round],
    next: usize,
    layers: &mut Vec<Vec<usize>>,
    serves: &dyn Fn(&[Vec<usize>]) -> bool,
) -> bool {
    if next == parts.len() {
        return serves(layers);
    }
    // Past a handful only one layer is tried.
    let most = if parts.len() > MOST { 1 } else { layers.len() + 1 };
    for layer in 0..most {
        if layer == layers.len() {
            layers.push(Vec::new());
        }
        layers[layer].push(next);
        if layered(parts, next + 1, layers, serves) {
            return true;
        }
        layers[layer].pop();
        if layers[layer].is_empty() {
            layers.pop();
        }
    }
    false
}

fn is_wide_enough(parts: &[Round], layer: &[usize], room: Room) -> bool {
    let mut across: Vec<f64> = layer.iter().map(|p| parts[*p].diameter).collect();
    crate::order::sort(&mut across, |d| crate::order::falling(*d));
    match room {
        Room::Round(room) => enclosing(&across) <= room.diameter,
        Room::Box(width, depth, _) => {
            in_rows(&across, width, depth) || in_rows(&across, depth, width)
        }
    }
}

/// The diameter of a circle around circles side by side, the largest first.
pub fn enclosing(across: &[f64]) -> f64 {
    let radius = |at: usize| across[at] / 2.0;
    match across.len() {
        0 => 0.0,
        1 => across[0],
        2 => across[0] + across[1],
        3 => {
            let [a, b, c] = [1.0 / radius(0), 1.0 / radius(1), 1.0 / radius(2)];
            // A small third lies in the gap beside the two.
            let two = radius(0) + radius(1);
            let around = -1.0 / two;
            let gap = around + a + b + 2.0 * (around * a + a * b + b * around).max(0.0).sqrt();
            if c >= gap {
                return 2.0 * two;
            }
            let outer = a + b + c - 2.0 * (a * b + b * c + c * a).sqrt();
            -2.0 / outer
        }
        // Equal circles in a circle, published packings, from memory.
        4 => across[0] * (1.0 + std::f64::consts::SQRT_2),
        5 => across[0] * 2.701_302,
        6 | 7 => across[0] * 3.0,
        // More than any packing of so many needs.
        _ => across[0] * (1.0 + 1.2 * across.iter().map(|_| 1.0).sum::<f64>().sqrt()),
    }
}

/// Whether circles go into rows of a rectangle, the largest first.
fn in_rows(across: &[f64], width: f64, depth: f64) -> bool {
    let (mut used, mut row, mut left) = (0.0, 0.0, 0.0);
    for d in across {
        if *d > width {
            return false;
        }
        if *d > left {
            used += row;
            (row, left) = (*d, width);
        }
        left -= d;
    }
    used + row <= depth
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, wanted: f64) {
        assert!((found - wanted).abs() < 1e-6, "{found} for {wanted}");
    }

    /// Three equal circles need 1 + 2/√3 = 2.1547 of their diameter: published
    /// packings of equal circles in a circle.
    #[test]
    fn circles_in_a_circle_need_what_is_published() {
        close(enclosing(&[1.0, 1.0, 1.0]), 1.0 + 2.0 / 3.0_f64.sqrt());
        close(enclosing(&[2.0, 1.0]), 3.0);
        // A third of two thirds of the radius fills the gap of two equal ones:
        // 1/(−1/2 + 1 + 1 + 2√(−1/2 + 1 − 1/2)) = 2/3.
        close(enclosing(&[2.0, 2.0, 4.0 / 3.0]), 4.0);
        assert!(enclosing(&[2.0, 2.0, 1.4]) > 4.0);
    }

    #[test]
    fn a_box_is_filled_in_rows() {
        let parts = [Round { diameter: 11.0, length: 20.0 }; 4];
        assert!(fits(&parts, Room::Box(25.0, 25.0, 26.0)).is_some());
        assert!(fits(&parts, Room::Box(25.0, 13.0, 26.0)).is_none());
        assert!(fits(&parts, Room::Box(25.0, 13.0, 46.0)).is_some(), "in two layers");
    }

    #[test]
    fn usual_parts_have_usual_sizes() {
        let size = |microfarads: f64, volts| {
            typical(Dielectric::Electrolytic, microfarads * 1e-6, volts).unwrap().diameter
        };
        assert!((size(47.0, 200.0) - 12.5).abs() < 1e-9);
        assert!((size(22.0, 25.0) - 6.3).abs() < 1.4);
        assert!(size(47.0, 450.0) > size(10.0, 450.0));
        assert_eq!(typical(Dielectric::Mica, 1e-9, 500.0), None);
    }
}
