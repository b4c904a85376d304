//! Small builders for tests.

use crate::sheet::part::{Designator, Leads, Part, PartKind, Place};
use crate::sheet::{Header, Sheet, SupplyKind};
use crate::trade::quantity::{Capacitance, Resistance, Voltage};

/// A part by its designator: `C7`, `C1A`.
pub fn part(name: &str, kind: PartKind) -> Part {
    let letters: String = name.chars().take_while(|c| c.is_alphabetic()).collect();
    let rest = &name[letters.len()..];
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let section = rest[digits.len()..].chars().next();
    let number = digits.parse().unwrap();
    Part::new(name, Designator { letters, number, section }, kind)
}

/// A capacitor: value in microfarads, rating in volts (empty for none).
pub fn capacitor(name: &str, microfarads: &str, rating: &str) -> Part {
    let mut made = part(name, PartKind::Capacitor);
    made.mark = format!("{microfarads} {rating} V");
    made.capacitance = Some(Capacitance::from_microfarads(microfarads.parse().unwrap()).unwrap());
    made.rating = (!rating.is_empty()).then(|| volt(rating));
    made
}

/// A resistor in ohms.
pub fn resistor(name: &str, ohms: &str) -> Part {
    let mut made = part(name, PartKind::Resistor);
    made.resistance = Some(Resistance::new(ohms.parse().unwrap()).unwrap());
    made
}

pub fn volt(text: &str) -> Voltage {
    Voltage::new(text.parse().unwrap()).unwrap()
}

/// `V2.6` is a terminal, anything else a name.
pub fn place(text: &str) -> Place {
    match text.split_once('.') {
        Some((part, terminal)) => {
            Place::Terminal { part: part.to_owned(), terminal: terminal.to_owned() }
        }
        None => Place::Named(text.to_owned()),
    }
}

pub fn between(mut made: Part, from: &str, to: &str) -> Part {
    made.leads = Some(Leads { from: place(from), to: place(to) });
    made
}

/// A series-string set on 117 V 60 Hz.
pub fn series_string(parts: Vec<Part>) -> Sheet {
    let header = Header {
        mains: Some(volt("117")),
        supply: Some(SupplyKind::SeriesString),
        ..Header::default()
    };
    Sheet { header, parts, ..Sheet::default() }
}

/// A transformer set on 117 V 60 Hz with a tapped winding.
pub fn transformer(whole: &str, parts: Vec<Part>) -> Sheet {
    let header = Header {
        mains: Some(volt("117")),
        supply: Some(SupplyKind::Transformer),
        secondary: Some(volt(whole)),
        centre_tapped: true,
        ..Header::default()
    };
    Sheet { header, parts, ..Sheet::default() }
}
