//! The chart of the wiring check, how each reading stands, and the faults that
//! explain those that are out of their band.

use crate::bench::reading::{ReadingError, Verdict, value_of};
use crate::bench::set::{OhmsRecord, SetRecord};
use crate::bench::wiring::{Candidate, Ohmmeter, Taken, Value, band, check, meter::judge};
use crate::circuit::fault::{Expected, Spot, Table};
use crate::circuit::report::Band;
use crate::circuit::wiring::Wiring;
use crate::plan::types::{Basis, Input, Working};
use crate::sheet::Sheet;
use crate::trade::source::Source;
use crate::trade::tubes::Base;
use crate::ui::charts::figures::{ohms, ohms_band};
use crate::ui::draw::Drawing;
use crate::ui::draw::base::{self, PinLabel};
use std::sync::Arc;

/// A chart with the table it is made from. Two are the same when they are one.
#[derive(Debug, Clone)]
pub struct Chart(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    table: Table,
    sheet: Arc<Sheet>,
    wiring: Arc<Wiring>,
    stations: Vec<Station>,
    reference: String,
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

/// A fault that explains readings, and those that cannot be told from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suspect {
    /// What it is, in a sentence.
    pub says: String,
    /// What to look at first.
    pub look: String,
    /// Its share, in whole percent.
    pub percent: u8,
    /// What no reading of the chart tells from it.
    pub alike: Vec<String>,
    /// Readings that it does not explain.
    pub unexplained: Vec<String>,
}

/// What the readings come to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Finding {
    /// Each reading that is out of its band, in a sentence.
    pub out: Vec<String>,
    /// What explains them, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// The reading to take next: what it is kept under, and why.
    pub next: Option<(String, String)>,
    /// Where no single fault explains everything, or nothing at all.
    pub remark: Option<&'static str>,
}

/// The most suspects shown.
const MOST_SUSPECTS: usize = 5;
/// The most that is told of what is alike to one.
const MOST_ALIKE: usize = 6;
/// A share below this is not shown behind the first three.
const LEAST_SHARE: f64 = 0.02;

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
        let maker = Maker { table: &table, sheet, wiring, reference: &reference };
        let stations = maker.stations();
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

    /// What the readings come to.
    pub fn finding(&self, record: &SetRecord) -> Finding {
        let mut taken: Vec<Taken> = Vec::new();
        for row in self.0.stations.iter().flat_map(|s| &s.rows) {
            let Some(kept) = record.ohms.get(&row.id) else { continue };
            let value = match value_of(&kept.reading, "Ω") {
                Ok(Some(ohms)) => Value::Ohms(ohms),
                Ok(None) if kept.good_at.is_some() => Value::Good,
                _ => continue,
            };
            taken.push(Taken { probe: row.probe, value });
        }
        let table = &self.0.table;
        let found = check(table, &taken);
        let by_probe =
            |probe: usize| self.0.stations.iter().flat_map(|s| &s.rows).find(|r| r.probe == probe);
        let out = found.out.iter().filter_map(|probe| {
            let row = by_probe(*probe)?;
            Some(note(row, &record.ohms.get(&row.id)?.reading))
        });
        let says = |fault: usize| table.says(&self.0.sheet, &self.0.wiring, &table.faults[fault]);
        let explains = |c: &Candidate| c.unexplained.len() < found.out.len();
        let shown = found.candidates.iter().enumerate();
        let shown = shown.filter(|(at, c)| (*at < 3 || c.share >= LEAST_SHARE) && explains(c));
        let shown = shown.map(|(_, c)| c);
        let suspects: Vec<Suspect> = shown
            .take(MOST_SUSPECTS)
            .map(|c| {
                let first = c.faults[0];
                let mut alike: Vec<String> = Vec::new();
                for words in c.faults.iter().skip(1).map(|f| says(*f)) {
                    if !alike.contains(&words) {
                        alike.push(words);
                    }
                }
                let more = alike.len().saturating_sub(MOST_ALIKE);
                alike.truncate(MOST_ALIKE);
                if more > 0 {
                    alike.push(format!("{more} more"));
                }
                let left = c.unexplained.iter().filter_map(|p| Some(self.lead(by_probe(*p)?)));
                Suspect {
                    says: crate::ui::words::capital(&says(first)),
                    look: table.look(&self.0.sheet, &table.faults[first]),
                    percent: percent(c.share),
                    alike,
                    unexplained: left.collect(),
                }
            })
            .collect();
        let next = found.next.and_then(|next| {
            let row = by_probe(next.probe)?;
            let why =
                format!("{}: it parts what is left into {} groups", self.lead(row), next.groups);
            Some((row.id.clone(), why))
        });
        let remark = remark(&suspects, found.out.is_empty());
        Finding { out: out.collect(), suspects, next, remark }
    }

    /// Where a reading is taken: `V3 pin 6`, `V3 pin 6 to B0`.
    fn lead(&self, row: &Row) -> String {
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
        let input =
            |name: &str, value: String, basis: Basis| Input { name: name.to_owned(), value, basis };
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
            of: format!("band of {}", row.place),
            inputs,
            rule: "The network of all resistances, wires and windings of the sheet, tubes not \
                   conducting, heaters cold; tolerances add by squares, the meter's error adds whole"
                .to_owned(),
            result: row.band.clone(),
            source: Source::arithmetic("resistances in a network; the limits of the meter are common practice"),
        }
    }
}

fn said(error: &ReadingError) -> String {
    error.to_string()
}

fn remark(suspects: &[Suspect], is_well: bool) -> Option<&'static str> {
    match suspects.first() {
        _ if is_well => None,
        None => Some(
            "No single fault that is known here explains this. Take the reading once more, then look at the parts and wires of this point.",
        ),
        Some(first) if !first.unexplained.is_empty() => Some(
            "No single fault explains every reading. There may be two: mend the first, then read again.",
        ),
        Some(_) => None,
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between 0 and 100
fn percent(share: f64) -> u8 {
    (share * 100.0).round().clamp(0.0, 100.0) as u8
}

/// `V2 pin 6 reads 0; 220 to 270 kΩ expected, to B-`.
fn note(row: &Row, typed: &str) -> String {
    let unit = if typed.trim().chars().all(|c| c.is_ascii_digit() || ".,".contains(c)) {
        " Ω"
    } else {
        ""
    };
    format!("{} reads {}{unit} to {}; {} expected", row.place, typed.trim(), row.against, row.band)
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
                    let base = crate::circuit::report::base_name(t.base);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;
    use crate::sheet::examples::EXAMPLES;
    use crate::ui::draw::support::assert_readable;

    fn chart(text: &str) -> Option<Chart> {
        let sheet = Arc::new(Sheet::read(text));
        Chart::of(&sheet, &Arc::new(Wiring::of(&sheet)))
    }

    fn with(readings: &[(&str, &str)]) -> SetRecord {
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for (id, typed) in readings {
            record.ohms_mut(id).reading = (*typed).to_owned();
        }
        record
    }

    #[test]
    fn every_pin_that_is_wired_has_a_reading_with_its_band() {
        for example in &EXAMPLES {
            let chart = chart(example.text).unwrap();
            let ids = ids(&chart);
            let mut sorted = ids.clone();
            sorted.sort();
            sorted.dedup();
            assert_eq!(sorted.len(), ids.len(), "{}: an id stands for two readings", example.id);
            for station in chart.stations() {
                for row in &station.rows {
                    assert!(!row.expect.is_empty() && !row.band.is_empty(), "{}", row.id);
                    if let Some(drawing) = chart.base(station, row) {
                        assert_readable(&drawing, &format!("{} {}", example.id, row.id));
                    }
                    assert!(!chart.working(row).inputs.is_empty());
                }
            }
        }
    }

    #[test]
    fn the_walk_goes_round_each_base_pin_by_pin() {
        let chart = chart(EXAMPLES[0].text).unwrap();
        let first: Vec<_> = chart.stations()[0].rows.iter().map(|r| r.id.as_str()).collect();
        assert_eq!(
            first,
            [
                "V1.1",
                "V1.2",
                "V1.3",
                "V1.3 to B0",
                "V1.4",
                "V1.4 to B0",
                "V1.5",
                "V1.6",
                "V1.7",
                "V1.8"
            ]
        );
        assert_eq!(chart.stations()[0].title, "V1, 12SA7, octal base");
        assert_eq!(chart.row("V4.5").unwrap().1.band, "365 to 581 kΩ");
    }

    #[test]
    fn a_short_across_a_coupling_capacitor_is_found_and_told() {
        let chart = chart(EXAMPLES[0].text).unwrap();
        // C16 shorted: the plate of V3 reads nothing to B-.
        let found = chart.finding(&with(&[("V3.6", "0"), ("V3.6 to B0", "470K")]));
        assert_eq!(found.out[0], "V3 pin 6 reads 0 Ω to B-; above 577 kΩ expected");
        let first = &found.suspects[0];
        assert!(found.suspects.iter().any(|s| s.says.starts_with("C16 shorted")), "{first:?}");
        assert!(first.unexplained.is_empty(), "{first:?}");
        let first_only = chart.finding(&with(&[("V3.6", "0")]));
        assert!(first_only.next.is_some(), "{first_only:?}");
    }

    #[test]
    fn old_notation_is_judged_and_kept_as_it_was_typed() {
        let chart = chart(EXAMPLES[0].text).unwrap();
        let row = chart.row("V4.5").unwrap().1;
        let stands =
            |typed: &str| chart.standing(row, &OhmsRecord { reading: typed.into(), good_at: None });
        assert_eq!(stands("470K"), Standing::Well);
        assert_eq!(stands(".47 meg"), Standing::Well);
        assert_eq!(stands("220,000"), Standing::Below);
        assert_eq!(stands("OL"), Standing::Above);
        assert!(matches!(stands("lots"), Standing::Unread(_)));
        let ticked = OhmsRecord { reading: String::new(), good_at: Some(Stamp(1)) };
        assert_eq!(chart.standing(row, &ticked), Standing::Well);
    }

    #[test]
    fn readings_that_no_single_fault_explains_are_said_to_be_so() {
        let chart = chart(EXAMPLES[0].text).unwrap();
        let found = chart.finding(&with(&[("V4.5", "OL"), ("V1.5", "OL"), ("V2.3", "OL")]));
        assert!(found.remark.unwrap().contains("There may be two"), "{:?}", found.remark);
    }

    #[test]
    fn a_set_that_reads_well_has_no_suspect() {
        let chart = chart(EXAMPLES[0].text).unwrap();
        assert_eq!(chart.finding(&with(&[("V4.5", "470K")])), Finding::default());
    }

    #[test]
    fn a_sheet_without_a_reference_has_no_chart() {
        assert!(chart("C1 .05 mfd 400 V paper").is_none());
    }
}
