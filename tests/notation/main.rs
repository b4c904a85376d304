//! How parts are written, and what each way of writing is read as.
//!
//! The readings were written from the standards and the habits named beside
//! each group, not from what the reader printed.

mod bad;
mod doubtful;
mod plain;
mod set_lines;

use firstglow::notation::note::Note;
use firstglow::sheet::Sheet;
use firstglow::sheet::part::Part;
use std::fmt::Write as _;

/// What a part's line says, in one line: every quantity as it prints, then the
/// words, then the leads.
fn shown(part: &Part) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut put = |text: Option<String>| out.extend(text);
    put(part.tube.clone());
    put(part.capacitance.map(|c| c.to_string()));
    put(part.inductance.map(|l| l.to_string()));
    put(part.resistance.map(|r| r.to_string()));
    put(part.power.map(|p| p.to_string()));
    put(part.rating.map(|v| format!("{v}{}", if part.rating_ac { " AC" } else { "" })));
    put(part.surge.map(|v| format!("surge {v}")));
    put(part.current.map(|a| a.to_string()));
    put(part.tolerance.map(|t| t.to_string()));
    put(part.dielectric.map(|d| d.label().to_owned()));
    put(part.class.map(|c| c.label().to_owned()));
    put(part.role.map(|r| r.label().to_owned()));
    for make in &part.makes {
        put(Some(format!("{make:?}")));
    }
    for pin in &part.pins {
        put(Some(format!("{}={}", pin.pin, pin.place)));
    }
    for winding in &part.windings {
        let mut text = format!("{:?} {}-{}", winding.kind, winding.start, winding.end);
        let _ = winding.tap.as_ref().map(|t| write!(text, " tap {t}"));
        let _ = winding.volts.map(|v| write!(text, " {v}"));
        let _ = winding.resistance.map(|r| write!(text, " {r}"));
        put(Some(text));
    }
    put(part.leads.as_ref().map(|l| format!("{} to {}", l.from, l.to)));
    put(part.area.as_ref().map(|a| format!("in {a}")));
    put(part.remark.as_ref().map(|r| format!("'{r}'")));
    out.join(", ")
}

/// What a whole text says: one part alone, or several with their names.
fn read(text: &str) -> String {
    let sheet = Sheet::read(text);
    match sheet.parts.as_slice() {
        [one] => shown(one),
        many => {
            many.iter().map(|p| format!("{}: {}", p.key, shown(p))).collect::<Vec<_>>().join("; ")
        }
    }
}

/// A note as `line:column message`.
fn note(note: &Note) -> String {
    format!("{}:{} {}", note.line, note.column, note.message)
}

/// Fails with every row that differs, not only the first.
fn hold(rows: &[(&str, &str)], read: impl Fn(&str) -> String) {
    let wrong: Vec<String> = rows
        .iter()
        .map(|(text, expected)| (text, expected, read(text)))
        .filter(|(_, expected, got)| got != *expected)
        .map(|(text, expected, got)| format!("{text:?}\n  expected {expected}\n  but read {got}"))
        .collect();
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), rows.len(), wrong.join("\n"));
}
