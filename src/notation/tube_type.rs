//! A tube type that the table does not have, entered on the sheet.
//!
//! ```text
//! type 9X9 octal triode 2=h 3=p 5=g1 7=h 8=k heater 6.3 V .3 A
//!      plate 250 V 9 mA grid -8 V mu 20 gm 2600
//! type RX1 4-pin rectifier 1=f 2=pa 3=pb 4=f heater 5 V 2 A drop 50 V 125 mA peak 400 mA
//! ```

use super::item::Found;
use super::number;
use super::problem::Problem;
use super::unit::{self, Measure};
use super::word::{Span, Word};
use crate::letters::Letters;
use crate::trade::tubes::{
    Base, Class, Confidence, Drop, OperatingPoint, Rectifier, TubeType, parse_pin,
};
use rust_decimal::prelude::ToPrimitive;
use std::borrow::Cow;

/// What a `type` line may say, for notes.
const WORDS: &str =
    "a base, a class, pins such as 3=p, heater, plate, screen, grid, mu, gm, rp, drop, peak";

/// Bases by the words that people use.
const BASES: [(&[&str], Base); 9] = [
    (&["4-pin", "ux4", "four-pin"], Base::Ux4),
    (&["5-pin", "uy5", "five-pin"], Base::Uy5),
    (&["6-pin", "six-pin"], Base::Six),
    (&["7-pin-small", "small-7"], Base::Small7),
    (&["7-pin-medium", "medium-7"], Base::Medium7),
    (&["octal", "8-pin"], Base::Octal),
    (&["loctal", "loktal"], Base::Loctal),
    (&["7-pin", "miniature", "7-pin-miniature"], Base::Miniature7),
    (&["9-pin", "noval", "9-pin-miniature"], Base::Noval),
];

/// Classes by the words that people use.
const CLASSES: [(&str, Class); 13] = [
    ("triode", Class::Triode),
    ("power-triode", Class::PowerTriode),
    ("dual-triode", Class::DualTriode),
    ("diode-triode", Class::DiodeTriode),
    ("diode-pentode", Class::DiodePentode),
    ("dual-diode", Class::DualDiode),
    ("pentode", Class::Pentode),
    ("remote-pentode", Class::RemotePentode),
    ("tetrode", Class::Tetrode),
    ("power-pentode", Class::PowerPentode),
    ("converter", Class::Converter),
    ("eye", Class::Eye),
    ("rectifier", Class::Rectifier),
];

/// The figures of the line, before they are put together.
#[derive(Default)]
struct Figures {
    heater: (f64, f64),
    plate: (f64, f64),
    screen: Option<(f64, f64)>,
    grid: f64,
    mu: Option<f64>,
    gm: Option<f64>,
    rp: Option<f64>,
    drop: Option<(f64, f64)>,
    peak_ma: Option<f64>,
}

/// Reads the words of a `type` line after the keyword; `None` where the name or
/// the base is missing.
pub fn read(words: &[Word], found: &mut Vec<Found>) -> Option<TubeType> {
    let (name, rest) = words.split_first()?;
    let mut base = None;
    let mut class = Class::Triode;
    let mut pins: Vec<(String, String, Span)> = Vec::new();
    let mut figures = Figures::default();
    let mut at = 0;
    while let Some(word) = rest.get(at) {
        let lower = word.lower();
        at += 1;
        if let Some((_, b)) = BASES.iter().find(|(names, _)| names.contains(&lower.as_str())) {
            base = Some(*b);
        } else if let Some((_, c)) = CLASSES.iter().find(|(n, _)| *n == lower) {
            class = *c;
        } else if let Some((pin, electrode)) = lower.split_once('=') {
            pins.push((pin.to_owned(), electrode.to_owned(), word.span));
        } else if !figure(&lower, rest, &mut at, &mut figures) {
            found.push(unknown(word));
        }
    }
    let Some(base) = base else {
        let what = "a base, such as octal or 7-pin";
        found.push(Found::error(name.span, Problem::DirectiveEmpty("type", what)));
        return None;
    };
    Some(assemble(&name.text.upper(), base, class, &pins, &figures, found))
}

fn unknown(word: &Word) -> Found {
    Found::error(word.span, Problem::DirectiveWord("type", word.text.clone(), WORDS))
}

/// Reads a figure and moves past it; `false` where the word opens none.
fn figure(word: &str, rest: &[Word], at: &mut usize, into: &mut Figures) -> bool {
    match word {
        "heater" | "filament" => into.heater = pair(rest, at, into.heater),
        "plate" => into.plate = pair(rest, at, into.plate),
        "screen" => into.screen = Some(pair(rest, at, (0.0, 0.0))),
        "grid" => into.grid = pair(rest, at, (into.grid, 0.0)).0,
        "drop" => into.drop = Some(pair(rest, at, (0.0, 0.0))),
        "peak" => into.peak_ma = Some(pair(rest, at, (0.0, 0.0)).1),
        "mu" => into.mu = bare(rest, at),
        "gm" => into.gm = bare(rest, at),
        "rp" => into.rp = bare(rest, at),
        _ => return false,
    }
    true
}

/// Volts, and milliamperes (amperes of a heater come in amperes), in any order.
fn pair(rest: &[Word], at: &mut usize, mut into: (f64, f64)) -> (f64, f64) {
    while let Some((value, measure, used)) = amount(&rest[*at..]) {
        match measure {
            Measure::Volts(_) => into.0 = value,
            Measure::Current => into.1 = value,
            _ => break,
        }
        *at += used;
    }
    into
}

/// A signed number with its unit, in base units.
fn amount(rest: &[Word]) -> Option<(f64, Measure, usize)> {
    let word = rest.first()?;
    let (sign, text) =
        word.text.strip_prefix(['-', '−', '–']).map_or((1.0, word.text.as_str()), |t| (-1.0, t));
    let number = number::read(text).ok()?;
    let attached = text.char_indices().nth(number.length).map_or("", |(i, _)| &text[i..]);
    let (unit, used) = if attached.is_empty() {
        (unit::read(&rest.get(1)?.text)?, 2)
    } else {
        (unit::read(attached)?, 1)
    };
    let value = number.value.checked_mul(unit.scale)?.to_f64()?;
    Some((sign * value, unit.measure, used))
}

/// A number without unit, or with ohms or micromhos.
fn bare(rest: &[Word], at: &mut usize) -> Option<f64> {
    let word = rest.get(*at)?;
    let number = number::read(&word.text).ok()?;
    *at += 1;
    let unit = rest.get(*at).map(Word::lower);
    if unit.is_some_and(|u| matches!(u.as_str(), "ohm" | "ohms" | "umho" | "umhos" | "micromhos")) {
        *at += 1;
    }
    number.value.to_f64()
}

/// Puts the type together; pins that cannot be are noted.
fn assemble(
    name: &str,
    base: Base,
    class: Class,
    pins: &[(String, String, Span)],
    figures: &Figures,
    found: &mut Vec<Found>,
) -> TubeType {
    let mut by_pin = vec![parse_pin("nc").unwrap_or_default(); usize::from(base.pins())];
    let mut cap = None;
    for (pin, electrode, span) in pins {
        let electrodes = parse_pin(electrode);
        let slot = pin.parse::<usize>().ok().and_then(|p| by_pin.get_mut(p.checked_sub(1)?));
        match (electrodes, slot, pin.as_str()) {
            (Some(electrodes), Some(slot), _) => *slot = electrodes,
            (Some(electrodes), None, "cap") => cap = Some(electrodes),
            _ => {
                let text = format!("{pin}={electrode}");
                found.push(Found::error(*span, Problem::PinTie(text)));
            }
        }
    }
    let point = (figures.plate.1 > 0.0).then(|| OperatingPoint {
        plate_volts: figures.plate.0,
        screen_volts: figures.screen.map(|s| s.0),
        grid_volts: figures.grid,
        plate_ma: figures.plate.1 * 1e3,
        screen_ma: figures.screen.map(|s| s.1 * 1e3).filter(|ma| *ma > 0.0),
    });
    TubeType {
        name: Cow::Owned(name.to_owned()),
        aliases: Vec::new(),
        base,
        pins: by_pin,
        cap,
        heater_volts: figures.heater.0,
        heater_amps: figures.heater.1,
        class,
        points: point.into_iter().collect(),
        mu: figures.mu,
        gm_micromhos: figures.gm,
        rp_ohms: figures.rp,
        cutoff_volts: None,
        max_plate_volts: None,
        max_plate_watts: None,
        rectifier: figures.drop.map(|(volts, amps)| rectifier(volts, amps, figures.peak_ma)),
        regulator: None,
        target: None,
        oscillator_anode: None,
        source: Cow::Borrowed("the sheet"),
        confidence: Confidence::Entered,
        note: Cow::Borrowed(""),
    }
}

/// A rectifier of which only the drop and the peak are told: no other limit is
/// known, so none is held against it.
fn rectifier(volts: f64, amps: f64, peak: Option<f64>) -> Rectifier {
    Rectifier {
        typical_microfarads: f64::INFINITY,
        max_rms_volts: f64::INFINITY,
        peak_inverse_volts: f64::INFINITY,
        peak_ma: peak.map_or(f64::INFINITY, |a| a * 1e3),
        dc_ma: f64::INFINITY,
        source_ohms: 0.0,
        drop: Drop::Vacuum { volts, ma: amps * 1e3 },
        warm_up_seconds: 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::word::cut;

    fn entered(line: &str) -> (Option<TubeType>, Vec<String>) {
        let mut found = Vec::new();
        let tube = read(&cut(line, 1).words, &mut found);
        (tube, found.into_iter().map(|f| f.problem.to_string()).collect())
    }

    #[test]
    fn a_triode_is_entered_by_its_pins_and_one_point() {
        let (tube, found) = entered(
            "9x9 octal triode 2=h 3=p 5=g1 7=h 8=k heater 6.3 V .3 A plate 250 V 9 mA grid -8 V mu 20 gm 2600",
        );
        let tube = tube.unwrap();
        assert!(found.is_empty(), "{found:?}");
        assert_eq!(tube.pins_of("p"), [3]);
        assert_eq!((tube.heater_volts, tube.heater_amps), (6.3, 0.3));
        let point = tube.points[0];
        assert_eq!((point.plate_volts, point.grid_volts, point.plate_ma), (250.0, -8.0, 9.0));
        assert_eq!((tube.mu, tube.gm_micromhos), (Some(20.0), Some(2600.0)));
    }

    #[test]
    fn what_cannot_be_is_noted_where_it_stands() {
        let (tube, found) = entered("9X9 octal 12=p 3=zz wobbly");
        assert!(tube.is_some());
        assert_eq!(
            found,
            [
                format!("'wobbly' is not understood after 'type'; expected {WORDS}"),
                "'12=p' ties no pin; expected pin=place such as 6=scr or g2=B2".to_owned(),
                "'3=zz' ties no pin; expected pin=place such as 6=scr or g2=B2".to_owned(),
            ]
        );
        let (tube, found) = entered("9X9 triode");
        assert!(tube.is_none());
        assert_eq!(found, ["'type' needs more after it: a base, such as octal or 7-pin"]);
    }
}
