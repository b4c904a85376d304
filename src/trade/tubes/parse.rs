//! The table's own small format.
//!
//! Purpose: one comma-separated row a type, without quotes; lists inside a
//! cell by blanks, bars or semicolons.
//!
//! ```
//! use firstglow::trade::tubes::parse_row;
//!
//! let row = "9X9,,octal,sh h p nc g nc h k,,6.3/0.3,triode,250//-8/9,20,2600,7700,,300,2.5,,a letter,from memory,";
//! let tube = parse_row(row, 1).unwrap();
//! assert_eq!(tube.pins_of("g"), [5]);
//! assert!((tube.points[0].plate_ma - 9.0).abs() < 1e-12);
//! ```
//!
//! Limits: no comma inside a cell. An unknown word is an error that names the
//! line and the cell.

use super::{
    Base, Class, Confidence, Drop, Electrode, OperatingPoint, Part, Pin, Rectifier, Regulator,
    Section, TubeType,
};
use crate::float;
use std::borrow::Cow;

/// Cells of a row.
const CELLS: usize = 18;

/// What a row or a cell should have been.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: `{cell}` is not {expected}")]
pub struct TableError {
    /// The line, from 1.
    pub line: usize,
    /// The cell as it stands.
    pub cell: String,
    /// What was expected there.
    pub expected: &'static str,
}

/// Reads one row.
///
/// # Errors
/// Names the line, the cell and what was expected.
pub fn parse_row(row: &'static str, line: usize) -> Result<TubeType, TableError> {
    let cells: Vec<&'static str> = row.split(',').map(str::trim).collect();
    let error = |cell: &str, expected| TableError { line, cell: cell.to_owned(), expected };
    if cells.len() != CELLS {
        return Err(error(row, "a row of 18 cells"));
    }
    let number =
        |at: usize| optional(cells[at]).map_err(|()| error(cells[at], "a number or blank"));
    let figures = Figures(cells[14]);
    let (volts, amps) =
        cells[5].split_once('/').ok_or_else(|| error(cells[5], "heater volts/amperes"))?;
    let heater =
        |cell: &str| float::read(cell).ok_or_else(|| error(cell, "a heater's volts or amperes"));
    let pins = |cell: &str| cell.split(' ').map(parse_pin).collect::<Option<Vec<Pin>>>();
    let points: Option<Vec<OperatingPoint>> =
        cells[7].split(';').filter(|cell| !cell.is_empty()).map(parse_point).collect();
    Ok(TubeType {
        name: Cow::Borrowed(cells[0]),
        aliases: cells[1].split('|').filter(|cell| !cell.is_empty()).map(Cow::Borrowed).collect(),
        base: base(cells[2]).ok_or_else(|| error(cells[2], "a base"))?,
        pins: pins(cells[3]).ok_or_else(|| error(cells[3], "electrodes by pin"))?,
        cap: if cells[4].is_empty() {
            None
        } else {
            Some(parse_pin(cells[4]).ok_or_else(|| error(cells[4], "an electrode"))?)
        },
        heater_volts: heater(volts)?,
        heater_amps: heater(amps)?,
        class: class(cells[6]).ok_or_else(|| error(cells[6], "a class of tube"))?,
        points: points.ok_or_else(|| error(cells[7], "points of Vp/Vg2/Vg1/Ip/Ig2"))?,
        mu: number(8)?,
        gm_micromhos: number(9)?,
        rp_ohms: number(10)?,
        cutoff_volts: number(11)?,
        max_plate_volts: number(12)?,
        max_plate_watts: number(13)?,
        rectifier: figures.rectifier(),
        regulator: figures.regulator(),
        target: figures.pair("target").map(|(ma, volts)| (volts, ma)),
        oscillator_anode: figures.pair("anode").map(|(ma, volts)| (volts, ma)),
        source: Cow::Borrowed(cells[15]),
        confidence: confidence(cells[16]).ok_or_else(|| error(cells[16], "a confidence"))?,
        note: Cow::Borrowed(cells[17]),
    })
}

fn optional(cell: &str) -> Result<Option<f64>, ()> {
    if cell.is_empty() { Ok(None) } else { float::read(cell).map(Some).ok_or(()) }
}

/// Reads `plate/screen/grid/plate mA/screen mA`; the screen's may be blank.
pub fn parse_point(cell: &str) -> Option<OperatingPoint> {
    let mut values = cell.split('/').map(optional);
    let mut next = || values.next().unwrap_or(Ok(None)).ok();
    let (plate, screen, grid, plate_ma, screen_ma) = (next()?, next()?, next()?, next()?, next()?);
    Some(OperatingPoint {
        plate_volts: plate?,
        screen_volts: screen,
        grid_volts: grid?,
        plate_ma: plate_ma?,
        screen_ma,
    })
}

/// Reads the electrodes of a pin, joined by `+`: `k+g3`, `pb`, `f-+g3`.
pub fn parse_pin(text: &str) -> Option<Pin> {
    // The plus of a filament end is not a joint.
    text.replace("f+", "fp").replace("f-", "fm").split('+').map(electrode).collect()
}

fn electrode(word: &str) -> Option<Electrode> {
    use Part::{
        Cathode, DiodePlate, Filament, FilamentCentre, FilamentMinus, FilamentPlus, Grid, Heater,
        HeaterCentre, HeaterTap, Internal, Jumper, NotConnected, Plate, Shield, Target,
    };
    use Section::{A, B, Common, Triode};
    let (part, section) = match word {
        "p" | "a" => (Plate, Common),
        "pa" => (Plate, A),
        "pb" => (Plate, B),
        "pt" => (Plate, Triode),
        "g" | "g1" => (Grid(1), Common),
        "ga" => (Grid(1), A),
        "gb" => (Grid(1), B),
        "gt" => (Grid(1), Triode),
        "g2" => (Grid(2), Common),
        "g3" => (Grid(3), Common),
        "g4" => (Grid(4), Common),
        "g5" => (Grid(5), Common),
        "k" => (Cathode, Common),
        "ka" => (Cathode, A),
        "kb" => (Cathode, B),
        "d" => (DiodePlate, Common),
        "da" => (DiodePlate, A),
        "db" => (DiodePlate, B),
        "h" => (Heater, Common),
        "htap" => (HeaterTap, Common),
        "hct" => (HeaterCentre, Common),
        "f" => (Filament, Common),
        "fp" => (FilamentPlus, Common),
        "fm" => (FilamentMinus, Common),
        "fct" => (FilamentCentre, Common),
        "sh" => (Shield, Common),
        "target" => (Target, Common),
        "jmp" => (Jumper, Common),
        "nc" => (NotConnected, Common),
        "ic" => (Internal, Common),
        _ => return None,
    };
    Some(Electrode { part, section })
}

fn base(cell: &str) -> Option<Base> {
    Some(match cell {
        "UX4" => Base::Ux4,
        "UY5" => Base::Uy5,
        "6pin" => Base::Six,
        "7pin_small" => Base::Small7,
        "7pin_medium" => Base::Medium7,
        "octal" => Base::Octal,
        "loctal" => Base::Loctal,
        "7pin_mini" => Base::Miniature7,
        "noval" => Base::Noval,
        _ => return None,
    })
}

fn class(cell: &str) -> Option<Class> {
    Some(match cell {
        "triode" => Class::Triode,
        "power triode" => Class::PowerTriode,
        "dual triode" => Class::DualTriode,
        "diode triode" => Class::DiodeTriode,
        "diode pentode" => Class::DiodePentode,
        "dual diode" => Class::DualDiode,
        "pentode" => Class::Pentode,
        "remote pentode" => Class::RemotePentode,
        "tetrode" => Class::Tetrode,
        "power pentode" => Class::PowerPentode,
        "converter" => Class::Converter,
        "eye" => Class::Eye,
        "rectifier" => Class::Rectifier,
        "regulator" => Class::Regulator,
        _ => return None,
    })
}

fn confidence(cell: &str) -> Option<Confidence> {
    Some(match cell {
        "found" => Confidence::Found,
        "from memory" => Confidence::FromMemory,
        "doubtful" => Confidence::Doubtful,
        "entered" => Confidence::Entered,
        _ => return None,
    })
}

/// `name=value` words of one cell.
struct Figures<'a>(&'a str);

impl Figures<'_> {
    fn word(&self, name: &str) -> Option<&str> {
        self.0
            .split(' ')
            .filter_map(|word| word.split_once('='))
            .find(|(key, _)| *key == name)
            .map(|(_, value)| value)
    }

    fn value(&self, name: &str) -> Option<f64> {
        float::read(self.word(name)?)
    }

    fn pair(&self, name: &str) -> Option<(f64, f64)> {
        let (first, second) = self.word(name)?.split_once('@')?;
        Some((float::read(first)?, float::read(second)?))
    }

    fn rectifier(&self) -> Option<Rectifier> {
        let drop = match self.pair("drop") {
            Some((volts, ma)) => Drop::Vacuum { volts, ma },
            None => Drop::Gas { volts: self.value("gas")? },
        };
        Some(Rectifier {
            typical_microfarads: self.value("c")?,
            max_rms_volts: self.value("v")?,
            peak_inverse_volts: self.value("piv")?,
            peak_ma: self.value("pk")?,
            dc_ma: self.value("dc")?,
            source_ohms: self.value("z")?,
            drop,
            warm_up_seconds: self.value("warm")?,
        })
    }

    fn regulator(&self) -> Option<Regulator> {
        Some(Regulator {
            volts: self.value("reg")?,
            start_volts: self.value("start")?,
            min_ma: self.value("min")?,
            max_ma: self.value("max")?,
            ohms: self.value("ohms")?,
        })
    }
}
