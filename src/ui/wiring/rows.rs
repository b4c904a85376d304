//! The rows of the chart, from the readings of the table.

use super::model::{Row, Station};
use crate::bench::wiring::{Ohmmeter, band};
use crate::circuit::fault::{Expected, Spot, Table};
use crate::circuit::report::base_name;
use crate::circuit::wiring::Wiring;
use crate::sheet::Sheet;
use crate::ui::charts::figures::{ohms, ohms_band};

/// The readings of a set, by the tubes and points they are taken at.
pub fn stations(table: &Table, sheet: &Sheet, wiring: &Wiring, reference: &str) -> Vec<Station> {
    Maker { table, sheet, wiring, reference }.stations()
}

struct Maker<'a> {
    table: &'a Table,
    sheet: &'a Sheet,
    wiring: &'a Wiring,
    reference: &'a str,
}

impl Maker<'_> {
    fn stations(&self) -> Vec<Station> {
        let mut stations: Vec<Station> = Vec::new();
        let mut last: Option<Group> = None;
        for (probe, place) in self.table.probes.iter().enumerate() {
            let group = match &place.place {
                Spot::Pin(part, _) => Group::Tube(*part),
                Spot::Supply(_) => Group::Supply,
                Spot::Other(_) => Group::Other,
            };
            if last != Some(group) {
                stations.push(self.station(group));
                last = Some(group);
            }
            if let Some(station) = stations.last_mut() {
                station.rows.push(self.row(probe));
            }
        }
        stations
    }

    fn station(&self, group: Group) -> Station {
        let (title, tube) = match group {
            Group::Tube(part) => {
                let own = &self.sheet.parts[part];
                let tube = self.wiring.socket(part).and_then(|s| s.tube.as_ref());
                let words = tube.map(|t| {
                    let base = base_name(t.base);
                    format!(", {}, {base} base", t.name)
                });
                let words = words.or_else(|| own.tube.as_ref().map(|t| format!(", {t}")));
                let title = format!("{}{}", own.key, words.unwrap_or_default());
                (title, tube.map(|t| (part, t.base)))
            }
            Group::Supply => ("Supply points".to_owned(), None),
            Group::Other => ("Other points".to_owned(), None),
        };
        Station { title, tube, rows: Vec::new() }
    }

    fn row(&self, probe: usize) -> Row {
        let own = &self.table.probes[probe];
        let expected = &self.table.expected[probe];
        let name = |node: Option<usize>| {
            node.and_then(|n| self.wiring.nodes.get(n)).map(|n| n.name.clone()).unwrap_or_default()
        };
        let (point, against) = (name(own.node), name(own.against_node));
        let (base, place, what, pin) = match &own.place {
            Spot::Pin(part, pin) => {
                let tube = &self.sheet.parts[*part].key;
                let socket = self.wiring.socket(*part);
                let electrode = socket
                    .and_then(|s| if *pin == 0 { s.cap_name() } else { s.electrode_name(*pin) });
                let (id, words) = if *pin == 0 {
                    (format!("{tube}.cap"), format!("{tube} top cap"))
                } else {
                    (format!("{tube}.{pin}"), format!("{tube} pin {pin}"))
                };
                (id, words, electrode.unwrap_or_default(), Some(*pin))
            }
            Spot::Supply(name) | Spot::Other(name) => {
                (name.clone(), name.clone(), self.meets(own.node), None)
            }
        };
        let id = if against == self.reference { base } else { format!("{base} to {against}") };
        Row {
            id,
            probe,
            pin,
            place,
            what,
            point,
            against,
            expect: expect_words(expected),
            band: band_words(expected),
        }
    }

    /// The parts that meet at a node, the first few.
    fn meets(&self, node: Option<usize>) -> String {
        let Some(found) = node.and_then(|n| self.wiring.nodes.get(n)) else { return String::new() };
        let mut keys: Vec<&str> =
            found.leads.iter().map(|l| self.sheet.parts[l.part].key.as_str()).collect();
        keys.dedup();
        let more = if keys.len() > 4 { ", …" } else { "" };
        keys.truncate(4);
        format!("where {} meet{more}", keys.join(", "))
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Group {
    Tube(usize),
    Supply,
    Other,
}

fn expect_words(expected: &Expected) -> String {
    if expected.ohms.is_finite() { ohms(expected.ohms) } else { "open".to_owned() }
}

fn band_words(expected: &Expected) -> String {
    let band = band(&Ohmmeter::USUAL, expected);
    if band.most.is_finite() { ohms_band(band) } else { format!("above {}", ohms(band.least)) }
}
