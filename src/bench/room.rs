//! Sizes as they are typed, and whether the new parts go into the old shell.
//!
//! ```
//! use firstglow::bench::room::room;
//! use firstglow::trade::size::{Room, Round};
//! let can = Room::Round(Round { diameter: 35.0, length: 76.0 });
//! assert_eq!(room("35 x 76 mm"), Ok(Some(can)));
//! assert_eq!(room("1 x 2 x 4 in"), Ok(Some(Room::Box(25.4, 50.8, 101.6))));
//! ```

use crate::float;
use crate::plan::text::{figure, input, working};
use crate::plan::types::{Basis, Working};
use crate::trade::size::{FOR_LEADS, FOR_SLEEVE, PACKING_SOURCE, Room, Round, fits};
use thiserror::Error;

/// The key under which the room of a shell is kept, with its first section.
pub const ROOM: &str = "room in the shell";
/// The key under which the size of a new part is kept.
pub const SIZE: &str = "size of the new part";
/// The key under which it is kept how the new parts are fitted.
pub const WAY: &str = "new parts go";

/// Why a size could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SizeError {
    /// Not two or three measures.
    #[error(
        "Write diameter x length, as in 16 x 25 mm or 1 3/8 x 3 in; for a box width x depth x height."
    )]
    Measures,
    /// One that is no number above zero.
    #[error("“{0}” is no measure above zero.")]
    Number(String),
}

/// Reads a room; `Ok(None)` for an empty text. Millimetres unless it says `in`.
///
/// # Errors
/// [`SizeError`].
pub fn room(text: &str) -> Result<Option<Room>, SizeError> {
    let all = measures(text)?;
    Ok(match all.as_slice() {
        [] => None,
        [diameter, length] => Some(Room::Round(Round { diameter: *diameter, length: *length })),
        [width, depth, height] => Some(Room::Box(*width, *depth, *height)),
        _ => return Err(SizeError::Measures),
    })
}

/// Reads the size of a part: diameter and length.
///
/// # Errors
/// [`SizeError`].
pub fn size(text: &str) -> Result<Option<Round>, SizeError> {
    match room(text)? {
        Some(Room::Round(round)) => Ok(Some(round)),
        // A box as the cylinder around it.
        Some(Room::Box(width, depth, length)) => {
            Ok(Some(Round { diameter: width.hypot(depth), length }))
        }
        None => Ok(None),
    }
}

fn measures(text: &str) -> Result<Vec<f64>, SizeError> {
    let text = text.trim();
    let inches = text.ends_with("in") || text.ends_with('"') || text.ends_with("inch");
    let plain =
        text.trim_end_matches(|c: char| c.is_alphabetic() && c != 'x' || c == '"' || c == '.');
    if plain.trim().is_empty() {
        return if text.is_empty() { Ok(Vec::new()) } else { Err(SizeError::Measures) };
    }
    let factor = if inches { 25.4 } else { 1.0 };
    let all: Vec<f64> = plain
        .split(['x', 'X', '×'])
        .map(|one| measure(one).map(|value| value * factor))
        .collect::<Result<_, _>>()?;
    if all.len() < 2 { Err(SizeError::Measures) } else { Ok(all) }
}

/// `16`, `12,5`, `1 3/8`, `5/8`.
fn measure(text: &str) -> Result<f64, SizeError> {
    let wrong = || SizeError::Number(text.trim().to_owned());
    let mut sum = 0.0;
    let mut any = false;
    for word in text.trim().trim_end_matches("mm").trim_end_matches('"').split_whitespace() {
        any = true;
        sum += match word.split_once('/') {
            Some((above, below)) => {
                float::read(above).ok_or_else(wrong)? / float::read(below).ok_or_else(wrong)?
            }
            None => float::read(&word.replace(',', ".")).ok_or_else(wrong)?,
        };
    }
    if any && sum > 0.0 && sum.is_finite() { Ok(sum) } else { Err(wrong()) }
}

/// `16 x 25 mm`.
pub fn shown(size: Round) -> String {
    format!("{} x {} mm", figure(size.diameter), figure(size.length))
}

/// Whether new parts go into a shell, in a sentence and its working.
pub fn judge(parts: &[(String, Round, Basis)], room: Room) -> (bool, Working) {
    let rounds: Vec<Round> = parts.iter().map(|(_, size, _)| *size).collect();
    let mut inputs: Vec<_> =
        parts.iter().map(|(key, size, basis)| input(key.clone(), shown(*size), *basis)).collect();
    inputs.push(input("room", shown_room(room), Basis::Stated));
    inputs.push(input("kept free for leads", format!("{} mm", figure(FOR_LEADS)), Basis::Assumed));
    inputs.push(input("and for sleeving", format!("{} mm", figure(FOR_SLEEVE)), Basis::Assumed));
    let found = fits(&rounds, room);
    let result = match &found {
        Some(layers) if layers.len() == 1 => "They go in, side by side.".to_owned(),
        Some(layers) => {
            let named = |layer: &Vec<usize>| {
                layer.iter().map(|p| parts[*p].0.as_str()).collect::<Vec<_>>().join(" and ")
            };
            let all: Vec<String> = layers.iter().map(named).collect();
            format!("They go in, in {} layers: {}.", layers.len(), all.join(", then "))
        }
        None => "No way was found to get them in: mount them beside the shell, or choose smaller \
                 ones."
            .to_owned(),
    };
    let rule = "upright side by side and in layers, leads and sleeving kept free";
    (found.is_some(), working("room in the shell", inputs, rule, result, PACKING_SOURCE))
}

fn shown_room(room: Room) -> String {
    match room {
        Room::Round(round) => shown(round),
        Room::Box(a, b, c) => format!("{} x {} x {} mm", figure(a), figure(b), figure(c)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_are_read_in_millimetres_and_in_fractions_of_an_inch() {
        for (text, diameter, length) in [
            ("16x25", 16.0, 25.0),
            ("12,5 x 25 mm", 12.5, 25.0),
            ("1 3/8 x 3 in", 34.925, 76.2),
            ("1.375\" x 3\"", 34.925, 76.2),
            ("12.5mm × 25mm", 12.5, 25.0),
        ] {
            let found = size(text).unwrap().unwrap();
            assert!((found.diameter - diameter).abs() < 1e-9, "{text}: {found:?}");
            assert!((found.length - length).abs() < 1e-9, "{text}: {found:?}");
        }
        assert_eq!(size("  "), Ok(None));
        assert_eq!(size("16"), Err(SizeError::Measures));
        assert_eq!(size("wide x 25"), Err(SizeError::Number("wide".into())));
        assert_eq!(size("0 x 25"), Err(SizeError::Number("0".into())));
        assert_eq!(size("1/0 x 25"), Err(SizeError::Number("1/0".into())));
        assert_eq!(room("1 x 2 x 3 x 4"), Err(SizeError::Measures));
    }

    #[test]
    fn a_can_of_three_is_told_its_layers() {
        let part =
            |key: &str, d, l| (key.to_owned(), Round { diameter: d, length: l }, Basis::Assumed);
        let parts = [part("C1A", 16.0, 31.5), part("C1B", 16.0, 31.5), part("C1C", 6.3, 11.0)];
        let (fits, working) = judge(&parts, Room::Round(Round { diameter: 23.0, length: 90.0 }));
        assert!(fits, "{}", working.result);
        assert!(working.result.to_string().contains("layers"), "{}", working.result);
        let (fits, working) = judge(&parts, Room::Round(Round { diameter: 23.0, length: 40.0 }));
        assert!(!fits && working.result.to_string().contains("beside"));
    }
}
