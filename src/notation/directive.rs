//! The lines that speak of the set as a whole: `set`, `mains`, `supply`,
//! `read`, `wire`, `area`.

use super::amount::{self, Around, BareM};
use super::area::{self, AreaLine};
use super::item::{Found, Item};
use super::name::Place;
use super::number;
use super::problem::Problem;
use super::tube_type;
use super::unit::{Measure, VoltMark};
use super::wire;
use super::word::{Span, Word};
use crate::trade::kind::{Cord, PartKind, Rectification, SupplyKind};
use crate::trade::quantity::{Current, Frequency, Power, Voltage};
use crate::trade::tubes::TubeType;
use rust_decimal::Decimal;

/// The keywords that open a directive.
pub const KEYWORDS: [&str; 8] = ["set", "mains", "supply", "meter", "read", "type", "wire", "area"];

/// What a directive line says.
#[derive(Debug, Clone, PartialEq)]
pub enum Directive {
    /// The name of the set.
    Set(String),
    /// The mains.
    Mains(Mains),
    /// The supply.
    Supply(Supply),
    /// The ohms of the user's voltmeter.
    Meter(f64),
    /// How a bare `M` is read.
    Read(BareM),
    /// A tube type that the table does not have.
    Type(Box<TubeType>),
    /// Places tied together.
    Wire(Vec<Place>),
    /// What is opened as one.
    Area(Box<AreaLine>),
}

/// What a `mains` line says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mains {
    /// Nameplate voltage.
    pub volts: Option<Voltage>,
    /// `high 127 V`.
    pub high: Option<Voltage>,
    /// Frequency; zero for `DC`.
    pub frequency: Option<Frequency>,
    /// Nameplate power.
    pub power: Option<Power>,
    /// `fuse 1 A`.
    pub fuse: Option<Current>,
    /// `touch 0.25 mA`.
    pub touch: Option<Current>,
    /// `two-wire` or `three-wire`.
    pub cord: Option<Cord>,
}

/// What a `supply` line says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Supply {
    /// The kind.
    pub kind: Option<SupplyKind>,
    /// How it rectifies.
    pub rectification: Option<Rectification>,
    /// The whole secondary voltage.
    pub secondary: Option<Voltage>,
    /// Whether it is tapped at its centre.
    pub centre_tapped: bool,
}

/// Reads the words of a line whose first one is a keyword; `raw` is the line
/// without its remark.
pub fn read(words: &[Word], raw: &str) -> (Option<Directive>, Vec<Found>) {
    let mut found = Vec::new();
    let (head, rest) = words.split_first().map_or((None, words), |(h, r)| (Some(h), r));
    let Some(head) = head else { return (None, found) };
    let directive = match head.lower().as_str() {
        "set" => set(head, raw, &mut found),
        "mains" => Some(Directive::Mains(mains(head, rest, &mut found))),
        "supply" => Some(Directive::Supply(supply(head, rest, &mut found))),
        "meter" => meter(head, rest, &mut found),
        "type" => {
            if rest.is_empty() {
                empty(head, &mut found, "type", "a name, a base and its pins");
            }
            tube_type::read(rest, &mut found).map(|t| Directive::Type(Box::new(t)))
        }
        "read" => reading(head, rest, &mut found),
        "wire" => wire::read(head, rest, &mut found).map(Directive::Wire),
        "area" => {
            area::read(head, rest, raw, &mut found).map(|line| Directive::Area(Box::new(line)))
        }
        _ => None,
    };
    (directive, found)
}

/// Notes a directive that needs more.
pub(super) fn empty(
    head: &Word,
    found: &mut Vec<Found>,
    keyword: &'static str,
    what: &'static str,
) {
    found.push(Found::error(head.span, Problem::DirectiveEmpty(keyword, what)));
}

/// The characters of the line from a column on, trimmed.
pub(super) fn tail(raw: &str, column: usize) -> String {
    raw.chars().skip(column - 1).collect::<String>().trim().to_owned()
}

/// The characters of the line after its first `count`.
pub(super) fn tail_after(raw: &str, count: usize) -> String {
    raw.chars().skip(count).collect()
}

fn set(head: &Word, raw: &str, found: &mut Vec<Found>) -> Option<Directive> {
    let name = tail(raw, head.span.column + head.span.length);
    if name.is_empty() {
        empty(head, found, "set", "a name");
        return None;
    }
    Some(Directive::Set(name))
}

/// What the `mains` line may say, for notes.
const MAINS_WORDS: &str =
    "volts, Hz, watts, DC, two-wire, three-wire, 'high 127 V', 'fuse 1 A', 'touch 0.25 mA'";

fn mains(head: &Word, rest: &[Word], found: &mut Vec<Found>) -> Mains {
    let mut mains = Mains::default();
    if rest.is_empty() {
        empty(head, found, "mains", "a voltage, as in mains 117 V 60 Hz");
    }
    let mut at = 0;
    let mut label = "";
    while let Some(word) = rest.get(at) {
        let lower = word.lower();
        at += 1;
        match lower.as_str() {
            "high" | "fuse" | "touch" => label = ["high", "fuse", "touch"][position(&lower)],
            "dc" | "d.c." => mains.frequency = Frequency::new(Decimal::ZERO).ok(),
            "ac" | "a.c." | "ac-dc" | "ac/dc" | "and" => {}
            "two-wire" | "2-wire" => mains.cord = Some(Cord::TwoWire),
            "three-wire" | "3-wire" | "earthed" | "grounded" => mains.cord = Some(Cord::ThreeWire),
            _ if label.is_empty() && nameplate_range(&lower).is_some() => {
                (mains.volts, mains.high) = nameplate_range(&lower).unwrap_or_default();
                let unit = rest.get(at).is_some_and(|w| super::unit::read(&w.text).is_some());
                at += usize::from(unit);
            }
            _ => {
                at -= 1;
                let span = word.span;
                let Some(taken) = take(&rest[at..]) else {
                    found.push(unknown(span, "mains", word, MAINS_WORDS));
                    at += 1;
                    continue;
                };
                at += taken.words.max(1);
                found.extend(taken.found);
                for placed in taken.items {
                    if !mains_item(&mut mains, label, &placed.item) {
                        found.push(unknown(placed.span, "mains", word, MAINS_WORDS));
                    }
                }
                label = "";
            }
        }
    }
    mains
}

/// The middle and the top of a nameplate such as `105-125 V`: planned for the
/// middle, rated for the top.
fn nameplate_range(text: &str) -> Option<(Option<Voltage>, Option<Voltage>)> {
    let (low, high) = text.trim_end_matches('v').split_once(['-', '–'])?;
    let whole = |t: &str| number::read(t).ok().filter(|n| n.length == t.len()).map(|n| n.value);
    let (low, high) = (whole(low)?, whole(high)?);
    if low >= high {
        return None;
    }
    let middle = low.checked_add(high)?.checked_div(Decimal::TWO)?;
    Some((Voltage::new(middle).ok(), Voltage::new(high).ok()))
}

/// Which of the three labels a word is.
fn position(label: &str) -> usize {
    ["high", "fuse", "touch"].iter().position(|l| *l == label).unwrap_or(0)
}

/// A number with its unit, on no particular part.
fn take(words: &[Word]) -> Option<amount::Taken> {
    amount::take(
        words,
        Around { kind: PartKind::Other, bare_m: BareM::default(), has_value: false, rated: false },
    )
}

/// Puts a quantity where it belongs; `false` where it belongs nowhere.
fn mains_item(mains: &mut Mains, label: &str, item: &Item) -> bool {
    match (label, item) {
        ("high", Item::Volts(all, _)) => mains.high = all.first().copied(),
        ("fuse", Item::Current(a)) => mains.fuse = Some(*a),
        ("touch", Item::Current(a)) => mains.touch = Some(*a),
        ("", Item::Volts(all, mark)) => {
            mains.volts = all.first().copied();
            // `110 V DC` is direct current, not a working voltage.
            if *mark == VoltMark::Working {
                mains.frequency = Frequency::new(Decimal::ZERO).ok();
            }
        }
        ("", Item::Frequency(f)) => mains.frequency = Some(*f),
        ("", Item::Power(p)) => mains.power = Some(*p),
        _ => return false,
    }
    true
}

/// A word that a directive does not know.
fn unknown(span: Span, keyword: &'static str, word: &Word, expected: &'static str) -> Found {
    Found::error(span, Problem::DirectiveWord(keyword, word.text.clone(), expected))
}

/// What the `supply` line may say, for notes.
const SUPPLY_WORDS: &str = "transformer, series-string, vibrator, battery, half-wave, full-wave, bridge, doubler, or a secondary such as 350-0-350 V";

fn supply(head: &Word, rest: &[Word], found: &mut Vec<Found>) -> Supply {
    let mut supply = Supply::default();
    if rest.is_empty() {
        empty(head, found, "supply", "its kind: transformer, series-string, vibrator or battery");
    }
    let mut at = 0;
    while let Some(word) = rest.get(at) {
        at += 1;
        match word.lower().as_str() {
            "transformer" | "power-transformer" => supply.kind = Some(SupplyKind::Transformer),
            "series-string" | "series" | "ac-dc" | "ac/dc" | "transformerless" | "string" => {
                supply.kind = Some(SupplyKind::SeriesString);
            }
            "vibrator" => supply.kind = Some(SupplyKind::Vibrator),
            "battery" | "batteries" => supply.kind = Some(SupplyKind::Battery),
            "half-wave" | "halfwave" => supply.rectification = Some(Rectification::HalfWave),
            "full-wave" | "fullwave" => supply.rectification = Some(Rectification::FullWave),
            "bridge" => supply.rectification = Some(Rectification::Bridge),
            "doubler" | "voltage-doubler" => supply.rectification = Some(Rectification::Doubler),
            "ct" | "centre-tapped" | "center-tapped" => supply.centre_tapped = true,
            _ => at = secondary(&mut supply, rest, at - 1, found),
        }
    }
    supply
}

/// Reads `350-0-350 V` or `700 V CT` at a word; returns the word after it.
fn secondary(supply: &mut Supply, rest: &[Word], at: usize, found: &mut Vec<Found>) -> usize {
    let word = &rest[at];
    if let Some((whole, used)) = tapped(&rest[at..]) {
        supply.secondary = Some(whole);
        supply.centre_tapped = true;
        return at + used;
    }
    let Some(taken) = take(&rest[at..]) else {
        found.push(unknown(word.span, "supply", word, SUPPLY_WORDS));
        return at + 1;
    };
    found.extend(taken.found);
    for placed in taken.items {
        match placed.item {
            Item::Volts(all, mark) => {
                supply.secondary = all.first().copied();
                supply.centre_tapped |= mark == VoltMark::CentreTapped;
            }
            _ => found.push(unknown(placed.span, "supply", word, SUPPLY_WORDS)),
        }
    }
    at + taken.words.max(1)
}

/// The voltage from end to end of `350-0-350 V`, and how many words it takes.
pub(super) fn tapped(words: &[Word]) -> Option<(Voltage, usize)> {
    let half = halves(&words.first()?.text)?;
    let whole = half.checked_mul(Decimal::TWO).and_then(|v| Voltage::new(v).ok())?;
    let volts = |w: &Word| {
        super::unit::read(&w.text).is_some_and(|u| matches!(u.measure, Measure::Volts(_)))
    };
    Some((whole, 1 + usize::from(words.get(1).is_some_and(volts))))
}

/// The half of `350-0-350`, with `V` joined to it or not.
fn halves(text: &str) -> Option<Decimal> {
    let text = text.trim_end_matches(['V', 'v']);
    let mut parts = text.split(['-', '–']);
    let (first, zero, last) = (parts.next()?, parts.next()?, parts.next()?);
    let whole = |t: &str| number::read(t).ok().filter(|n| n.length == t.len()).map(|n| n.value);
    let (half, other) = (whole(first)?, whole(last)?);
    (parts.next().is_none() && zero == "0" && half == other).then_some(half)
}

/// What the `meter` line may say, for notes.
const METER_WORDS: &str = "'10 meg', or '20000 ohm per volt on 250 V'";

/// Reads `meter 10 meg` or `meter 20000 ohm per volt on 250 V`.
fn meter(head: &Word, rest: &[Word], found: &mut Vec<Found>) -> Option<Directive> {
    let mut ohms = None;
    let mut range = None;
    let mut per_volt = false;
    let mut at = 0;
    while let Some(word) = rest.get(at) {
        at += 1;
        match word.lower().as_str() {
            "per" => per_volt = true,
            "volt" | "volts" | "on" | "range" | "meter" => {}
            _ => {
                let Some(taken) = take(&rest[at - 1..]) else {
                    found.push(unknown(word.span, "meter", word, METER_WORDS));
                    continue;
                };
                at += taken.words.max(1) - 1;
                for placed in taken.items {
                    match placed.item {
                        Item::Resistance(r) => ohms = Some(r.to_f64()),
                        Item::Volts(all, _) => range = all.first().map(|v| v.to_f64()),
                        _ => found.push(unknown(placed.span, "meter", word, METER_WORDS)),
                    }
                }
                found.extend(taken.found);
            }
        }
    }
    let ohms = match (ohms, range, per_volt) {
        (Some(ohms), Some(volts), true) => Some(ohms * volts),
        (Some(ohms), _, false) => Some(ohms),
        _ => None,
    };
    if ohms.is_none_or(|o| o <= 0.0) {
        empty(head, found, "meter", METER_WORDS);
        return None;
    }
    ohms.map(Directive::Meter)
}

/// What the `read` line may say, for notes.
const READ_WORDS: &str = "'M as thousand' or 'M as million'";

fn reading(head: &Word, rest: &[Word], found: &mut Vec<Found>) -> Option<Directive> {
    let said = rest.iter().map(Word::lower).collect::<Vec<_>>().join(" ");
    match said.as_str() {
        "m as thousand" | "m thousand" | "m as k" => Some(Directive::Read(BareM::Thousand)),
        "m as million" | "m million" | "m as meg" | "m as megohm" => {
            Some(Directive::Read(BareM::Million))
        }
        "" => {
            empty(head, found, "read", READ_WORDS);
            None
        }
        _ => {
            found.push(unknown(rest[0].span, "read", &rest[0], READ_WORDS));
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::word::cut;
    use super::*;

    fn reading(line: &str) -> Option<Directive> {
        let (directive, found) = read(&cut(line, 1).words, line);
        assert!(found.is_empty(), "{line}: {found:?}");
        directive
    }

    #[test]
    fn a_nameplate_range_is_planned_for_its_middle_and_rated_for_its_top() {
        for line in ["mains 105-125 V 60 Hz", "mains 105-125V 60 Hz"] {
            let Some(Directive::Mains(mains)) = reading(line) else { panic!("{line}") };
            assert_eq!(mains.volts.unwrap().to_string(), "115 V");
            assert_eq!(mains.high.unwrap().to_string(), "125 V");
            assert_eq!(mains.frequency.unwrap().to_string(), "60 Hz");
        }
    }

    #[test]
    fn a_meter_is_told_by_its_ohms_or_by_its_ohms_a_volt() {
        assert_eq!(reading("meter 10 meg"), Some(Directive::Meter(10e6)));
        assert_eq!(reading("meter 20000 ohm per volt on 250 V"), Some(Directive::Meter(5e6)));
        assert_eq!(reading("meter 1K per volt, 250 V"), Some(Directive::Meter(250e3)));
    }
}
