//! A phrase that fails contributes nothing: neither half of it becomes a place,
//! a value, a rating or a role. Pins and windings are read in the ways people
//! write them.

mod damage;
mod line_side;
mod places;
mod sections;
mod windings;

use firstglow::notation::note::{Level, Note};
use firstglow::sheet::Sheet;
use firstglow::sheet::part::{Part, Place};

/// The part of a name.
fn part<'a>(sheet: &'a Sheet, key: &str) -> &'a Part {
    sheet.parts.iter().find(|p| p.key == key).unwrap()
}

/// Where the leads of a part go, as they print.
fn leads(part: &Part) -> Option<(String, String)> {
    part.leads.as_ref().map(|l| (l.from.to_string(), l.to.to_string()))
}

/// The errors on a line of a sheet.
fn errors(sheet: &Sheet, line: usize) -> Vec<&Note> {
    sheet.notes.iter().filter(|n| n.level == Level::Error && n.line == line).collect()
}

/// Every place that a sheet names, as it prints.
fn places(sheet: &Sheet) -> Vec<String> {
    let leads = sheet.parts.iter().flat_map(|p| p.leads.iter()).flat_map(|l| [&l.from, &l.to]);
    let ties = sheet.parts.iter().flat_map(|p| p.pins.iter().map(|t| &t.place));
    let wires = sheet.wires.iter().flat_map(|w| &w.places);
    let named = leads.chain(ties).chain(wires).map(Place::to_string);
    let windings = sheet.parts.iter().flat_map(|p| &p.windings);
    let ends = windings.flat_map(|w| [Some(&w.start), w.tap.as_ref(), Some(&w.end)]);
    named.chain(ends.flatten().cloned()).collect()
}
