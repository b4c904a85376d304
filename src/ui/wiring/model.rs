//! The chart of the wiring check, and how each reading stands.

use super::rows;
use crate::bench::reading::{ReadingError, Verdict, value_of};
use crate::bench::set::{OhmsRecord, SetRecord};
use crate::bench::wiring::{Ohmmeter, band, meter::judge};
use crate::circuit::fault::Table;
use crate::circuit::report::Band;
use crate::circuit::wiring::Wiring;
use crate::plan::types::{Basis, Input, Working};
use crate::sheet::Sheet;
use crate::trade::source::Source;
use crate::trade::tubes::Base;
use crate::ui::charts::figures::ohms;
use crate::ui::draw::Drawing;
use crate::ui::draw::base::{self, PinLabel};
use std::sync::Arc;

/// A chart with the table it is made from. Two are the same when they are one.
#[derive(Debug, Clone)]
pub struct Chart(pub(super) Arc<Inner>);

#[derive(Debug)]
pub(super) struct Inner {
    pub table: Table,
    pub sheet: Arc<Sheet>,
    pub wiring: Arc<Wiring>,
    pub stations: Vec<Station>,
    pub reference: String,
}

impl PartialEq for Chart {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// Readings that are taken one after the other: round a base, along the supply.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Station {
    /// What it is called: `V3, 12SQ7, octal base`.
    pub title: String,
    /// The tube, by its part and base, where it is one.
    pub tube: Option<(usize, Base)>,
    /// Its readings.
    pub rows: Vec<Row>,
}

/// One reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it is kept under: `V3.6`, `V3.6 to B0`.
    pub id: String,
    /// Its number in the table.
    pub probe: usize,
    /// The pin, 0 for the cap.
    pub pin: Option<u8>,
    /// Where the red lead goes, in words: `V3 pin 6`.
    pub place: String,
    /// The electrode, or what meets there.
    pub what: String,
    /// The point, by its name.
    pub point: String,
    /// Where the black lead stays.
    pub against: String,
    /// What to read.
    pub expect: String,
    /// The range that is well.
    pub band: String,
}

/// How a reading stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// Not taken.
    Open,
    /// In its band, or ticked as good.
    Well,
    /// Below its band.
    Below,
    /// Above its band.
    Above,
    /// Not to be read, and why.
    Unread(String),
}

impl Standing {
    /// Its name for `data-*`.
    pub const fn slug(&self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Well => "well",
            Self::Below => "below",
            Self::Above => "above",
            Self::Unread(_) => "unread",
        }
    }

    /// In words, with the shapes of the other verdicts.
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Open => "",
            Self::Well => "✓ within",
            Self::Below => "▼ too low",
            Self::Above => "▲ too high",
            Self::Unread(_) => "! not read",
        }
    }

    /// Whether it is out of its band.
    pub const fn is_out(&self) -> bool {
        matches!(self, Self::Below | Self::Above)
    }
}

/// The ids of all readings in the order of going.
pub fn ids(chart: &Chart) -> Vec<String> {
    chart.stations().iter().flat_map(|s| s.rows.iter().map(|r| r.id.clone())).collect()
}

/// What is to be heeded before the meter is put to the set.
pub const CAUTION: &str = "Plug pulled, not only switched off. Discharge every filter capacitor through a resistor and verify it with a voltmeter before the ohmmeter touches the set: a charge ruins the meter and can kill.";

/// How the readings are taken.
pub const HOW: &str = "Tubes cold and in their sockets, controls in their middle, switches as the sheet draws them, red lead at the point, black lead where the row says. Wait until a reading stands: electrolytics charge first. Write OL for open.";

impl Chart {
    /// The chart of a sheet; `None` where it names no chassis and no B-.
    pub fn of(sheet: &Arc<Sheet>, wiring: &Arc<Wiring>) -> Option<Self> {
        let table = Table::of(sheet, wiring)?;
        let reference = wiring.nodes.get(table.harness.node_of(table.harness.ground)?);
        let reference = reference.map_or_else(String::new, |n| n.name.clone());
        let stations = rows::stations(&table, sheet, wiring, &reference);
        let (sheet, wiring) = (Arc::clone(sheet), Arc::clone(wiring));
        Some(Self(Arc::new(Inner { table, sheet, wiring, stations, reference })))
    }

    /// Its readings by the tubes and points they are taken at.
    pub fn stations(&self) -> &[Station] {
        &self.0.stations
    }

    /// What most readings are told against.
    pub fn reference(&self) -> &str {
        &self.0.reference
    }

    /// A reading by what it is kept under, with its station.
    pub fn row(&self, id: &str) -> Option<(&Station, &Row)> {
        self.0.stations.iter().find_map(|s| Some((s, s.rows.iter().find(|r| r.id == id)?)))
    }

    fn band(&self, row: &Row) -> Band {
        band(&Ohmmeter::USUAL, &self.0.table.expected[row.probe])
    }

    /// How a reading stands by what is kept of it.
    pub fn standing(&self, row: &Row, kept: &OhmsRecord) -> Standing {
        match value_of(&kept.reading, "Ω") {
            Err(error) => Standing::Unread(said(&error)),
            Ok(None) if kept.good_at.is_some() => Standing::Well,
            Ok(None) => Standing::Open,
            Ok(Some(ohms)) => match judge(self.band(row), ohms) {
                Verdict::Below => Standing::Below,
                Verdict::Above => Standing::Above,
                _ => Standing::Well,
            },
        }
    }

    /// How many readings are taken, and how many there are.
    pub fn progress(&self, record: &SetRecord) -> (usize, usize) {
        let rows = || self.0.stations.iter().flat_map(|s| &s.rows);
        let is_taken = |r: &&Row| {
            record.ohms.get(&r.id).is_some_and(|k| self.standing(r, k) != Standing::Open)
        };
        (rows().filter(is_taken).count(), rows().count())
    }

    /// Where a reading is taken: `V3 pin 6`, `V3 pin 6 to B0`.
    pub(super) fn lead(&self, row: &Row) -> String {
        if row.against == self.0.reference {
            row.place.clone()
        } else {
            format!("{} to {}", row.place, row.against)
        }
    }

    /// The base of a station, the pin of a reading marked.
    pub fn base(&self, station: &Station, row: &Row) -> Option<Drawing> {
        let (part, base) = station.tube?;
        let socket = self.0.wiring.socket(part)?;
        let tube = socket.tube.as_ref()?;
        let cap = tube.cap.is_some().then_some(0);
        let labels: Vec<PinLabel> = (1..=base.pins())
            .chain(cap)
            .map(|pin| {
                let name = if pin == 0 { socket.cap_name() } else { socket.electrode_name(pin) };
                let rows = || station.rows.iter().filter(|r| r.pin == Some(pin));
                let own = rows().find(|r| r.against == row.against).or_else(|| rows().next());
                PinLabel {
                    pin,
                    electrode: name.unwrap_or_default(),
                    figure: own.map(|r| r.expect.clone()),
                    part: (row.pin == Some(pin)).then(|| "red lead".to_owned()),
                }
            })
            .collect();
        let name = format!("{}, {}", self.0.sheet.parts[part].key, tube.name);
        Some(base::draw(base, &name, &labels))
    }

    /// How a band was reached.
    pub fn working(&self, row: &Row) -> Working {
        let expected = &self.0.table.expected[row.probe];
        let meter = Ohmmeter::USUAL;
        let input = |name: &str, value: String, basis: Basis| Input {
            name: name.to_owned().into(),
            value: value.into(),
            basis,
        };
        let mut inputs = vec![
            input("sound set", row.expect.clone(), Basis::Computed),
            input(
                "tolerances of the parts",
                format!("± {}", ohms(expected.spread)),
                Basis::Computed,
            ),
            input(
                "ohmmeter",
                format!(
                    "± {} % and {} Ω, open past {}",
                    meter.percent,
                    meter.floor,
                    ohms(meter.top)
                ),
                Basis::Assumed,
            ),
        ];
        if expected.leak > 0.0 {
            let forming = ohms(1.0 / expected.leak);
            let name = "electrolytics that form, dry rectifiers";
            inputs.push(input(name, format!("as much as {forming} across it"), Basis::Assumed));
        }
        if expected.turn.0 < 1.0 || expected.turn.1 > 1.0 {
            inputs.push(input("controls", "from end to end".to_owned(), Basis::Assumed));
        }
        Working {
            of: format!("band of {}", row.place).into(),
            inputs,
            rule: "The network of all resistances, wires and windings of the sheet, tubes not \
                   conducting, heaters cold; tolerances add by squares, the meter's error adds whole"
                .into(),
            result: row.band.clone().into(),
            source: Source::arithmetic("resistances in a network; the limits of the meter are common practice"),
        }
    }
}

fn said(error: &ReadingError) -> String {
    error.to_string()
}
