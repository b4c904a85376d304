//! The area lines together: which area a part sits in, and which areas must be
//! open before which.

use super::{Area, Sheet};
use crate::letters::Letters;
use crate::notation::area::AreaLine;
use crate::notation::item::Found;
use crate::notation::problem::Problem;
use std::collections::HashMap;

/// The most areas of a sheet.
pub const MOST: usize = 64;

/// Joins the lines of each area, tells every part its area, and notes what does
/// not fit together. What the line of a part says itself counts before.
pub fn join(sheet: &mut Sheet, lines: &[(usize, AreaLine)]) -> Vec<Found> {
    if lines.is_empty() {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut areas: Vec<Area> = Vec::new();
    let mut index: HashMap<String, usize> = HashMap::new();
    let mut own: Vec<Option<usize>> = Vec::with_capacity(lines.len());
    for (number, line) in lines {
        let name = line.name.lower();
        let at = index.get(&name).copied().or_else(|| {
            if areas.len() == MOST {
                found.push(Found::error(line.span, Problem::TooManyAreas(MOST)));
                return None;
            }
            areas.push(Area { line: *number, name: line.name.clone(), ..Area::default() });
            index.insert(name, areas.len() - 1);
            Some(areas.len() - 1)
        });
        own.push(at);
        let Some(at) = at else { continue };
        let area = &mut areas[at];
        area.parts.extend(line.parts.iter().map(|(name, _)| name.clone()));
        area.off.extend_from_slice(&line.off);
        area.mark.extend_from_slice(&line.mark);
        area.readjust.extend_from_slice(&line.readjust);
    }
    let owned = || lines.iter().zip(&own).filter_map(|((_, line), own)| Some((line, (*own)?)));
    // Which areas each needs, as bits.
    let mut needed = [0_u64; MOST];
    for (line, own) in owned() {
        tie(&mut areas, &mut needed, &index, (line, own), &mut found);
    }
    place(sheet, &areas, owned, &mut found);
    sheet.areas = areas;
    found
}

/// Ties an area to those that must be open before.
fn tie(
    areas: &mut [Area],
    needed: &mut [u64; MOST],
    index: &HashMap<String, usize>,
    (line, own): (&AreaLine, usize),
    found: &mut Vec<Found>,
) {
    for (name, span) in &line.after {
        let Some(before) = index.get(&name.lower()).copied() else {
            let unknown = Found::error(*span, Problem::AreaUnknown(name.clone()));
            found.push(unknown.or_line(format!("add the area {name}"), format!("area {name}:")));
            continue;
        };
        let with = needed[before] | 1 << before;
        if with >> own & 1 == 1 {
            found.push(Found::error(*span, Problem::AreaCircle(areas[own].name.clone())));
        } else if !areas[own].after.contains(&before) {
            areas[own].after.push(before);
            for (at, needs) in needed.iter_mut().enumerate() {
                if at == own || *needs >> own & 1 == 1 {
                    *needs |= with;
                }
            }
        }
    }
}

/// Every area that must be open before one, without itself.
pub fn needs(areas: &[Area], area: usize) -> Vec<usize> {
    let mut all: Vec<usize> = Vec::new();
    let mut open = vec![area];
    while let Some(next) = open.pop() {
        for before in &areas[next].after {
            if !all.contains(before) {
                all.push(*before);
                open.push(*before);
            }
        }
    }
    all.sort_unstable();
    all
}

/// Tells every part its area. A can stands for all its sections.
fn place<'a, I: Iterator<Item = (&'a AreaLine, usize)>>(
    sheet: &mut Sheet,
    areas: &[Area],
    owned: impl Fn() -> I,
    found: &mut Vec<Found>,
) {
    let mut listed: HashMap<String, usize> = HashMap::new();
    for (line, own) in owned() {
        for (name, span) in &line.parts {
            if let Some(first) = listed.get(name) {
                let problem = Problem::AreaTwice(name.clone(), areas[*first].name.clone());
                found.push(Found::warning(*span, problem));
            } else {
                listed.insert(name.clone(), own);
            }
        }
    }
    let mut met: HashMap<String, usize> = HashMap::new();
    for part in &mut sheet.parts {
        for name in [part.designator.to_string(), part.designator.unit().to_string()] {
            let Some(own) = listed.get(&name) else { continue };
            if part.area.is_none() {
                part.area = Some(areas[*own].name.clone());
            }
            met.insert(name, *own);
        }
    }
    for (name, span) in owned().flat_map(|(line, _)| &line.parts) {
        if !met.contains_key(name) {
            found.push(Found::warning(*span, Problem::AreaStranger(name.clone())));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn notes(text: &str) -> Vec<String> {
        let sheet = Sheet::read(text);
        let at = |n: &crate::notation::note::Note| format!("{}:{} {}", n.line, n.column, n.message);
        sheet.notes.iter().map(at).collect()
    }

    #[test]
    fn every_part_knows_its_area_and_a_can_its_sections() {
        let sheet = Sheet::read(
            "C1 8-8 mfd 450 V electrolytic\nR1 1K in \"the shield\"\nR2 1K\nR3 1K\n\
             area top: C1 R1-R2",
        );
        let areas: Vec<_> = sheet.parts.iter().map(|p| p.area.as_deref().unwrap_or("")).collect();
        assert_eq!(areas, ["top", "top", "the shield", "top", ""]);
        assert!(sheet.notes.iter().all(|n| n.line != 5), "{:?}", sheet.notes);
    }

    #[test]
    fn lines_of_one_name_add_up_and_covers_are_tied() {
        let sheet = Sheet::read(
            "R1 1 kohm\narea Switch: R1 after bottom cover\narea bottom cover: off: four screws\n\
             area switch: off: two knobs\n     mark: pointer readjust: pointer",
        );
        assert!(sheet.notes.is_empty(), "{:?}", sheet.notes);
        assert_eq!(sheet.areas.len(), 2);
        assert_eq!(sheet.areas[0].after, [1]);
        assert_eq!(sheet.areas[0].off, ["two knobs"]);
        assert_eq!(sheet.areas[0].readjust, ["pointer"]);
        assert_eq!(needs(&sheet.areas, 0), [1]);
    }

    #[test]
    fn hostile_areas_are_bounded() {
        use std::fmt::Write;
        let mut text = String::new();
        for n in 0..20_000 {
            let _ = writeln!(text, "area a{n}: R{n} after a{}, a{}", n + 1, n / 2);
        }
        let sheet = Sheet::read(&text);
        assert_eq!(sheet.areas.len(), MOST);
        assert!(sheet.notes.iter().any(|n| n.message.contains("more than 64 areas")));
    }

    #[test]
    fn what_does_not_fit_together_is_noted_where_it_stands() {
        assert_eq!(
            notes("R1 1 kohm\narea a: R1 after b\n"),
            ["2:18 no area is called 'b'; write a line 'area b:' for it"]
        );
        assert_eq!(
            notes("area a: after b\narea b: after c\narea c: after a"),
            ["3:15 'c' would have to be open before itself; this one is left out"]
        );
        assert_eq!(
            notes("R1 1 kohm\narea a: R1\narea b: R1 R2"),
            [
                "3:9 R1 stands in the area 'a' already; the first one counts",
                "3:12 R2 is no part of this sheet"
            ]
        );
    }
}
