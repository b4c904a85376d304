//! Readings as they are typed beside a step or a part, and their verdicts.
//!
//! | typed | for a reading in | is |
//! |---|---|---|
//! | `117` | V | 117 V |
//! | `1.2k` | Ω | 1200 Ω |
//! | `0.05 A` | mA | 50 mA |
//! | `47,5 nF` | µF | 0.0475 µF |
//! | `OL`, `open` | Ω | infinite |
//!
//! The text stays as it was typed; a verdict is taken from it each time.

use crate::float;
use crate::letters::Letters;
use thiserror::Error;

/// Why a reading could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadingError {
    /// No number in front.
    #[error("Start with a number, or write OL for open.")]
    NoNumber,
    /// A unit that is not known.
    #[error("“{0}” is not a unit that is known here.")]
    UnknownUnit(String),
    /// A unit of another kind.
    #[error("This reading is in {expected}, not in {found}.")]
    OtherUnit {
        /// What is asked for.
        expected: String,
        /// What was typed.
        found: String,
    },
    /// `m` on a resistance.
    #[error("Write M for millions of ohms; “m” could be a thousandth.")]
    SmallM,
}

/// How a reading stands to its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Within them.
    Within,
    /// Below the least.
    Below,
    /// Above the most.
    Above,
    /// There are no limits to hold it against.
    Unjudged,
    /// A `<` or `>` leaves open whether it is within them: not a pass.
    Unproven,
}

/// How far a reading goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// It is this.
    Exact,
    /// It is this or more: `> 20 M`, `OL`.
    AtLeast,
    /// It is this or less: `< 1`.
    AtMost,
}

/// A reading in base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The number; infinite for `OL`.
    pub value: f64,
    /// How far it goes.
    pub bound: Bound,
}

/// Reads a reading as typed in the base of `unit`, which is taken where the
/// text names none. `Ok(None)` for an empty text.
///
/// # Errors
/// [`ReadingError`] when the text is not a reading in that unit.
pub fn figure(typed: &str, unit: &str) -> Result<Option<Figure>, ReadingError> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    let value = read(typed, unit)?.value;
    Ok(Some(Figure { value, bound: bound(typed, value) }))
}

fn bound(typed: &str, value: f64) -> Bound {
    match typed.trim_start().chars().next() {
        Some('>' | '≥') => Bound::AtLeast,
        Some('<' | '≤') => Bound::AtMost,
        _ if value.is_infinite() => Bound::AtLeast,
        _ => Bound::Exact,
    }
}

/// A number in base units (`V`, `A`, `Ω`, `F`, `H`, `W`, `Hz`, `%`, …).
#[derive(Debug, Clone, PartialEq)]
struct Quantity {
    value: f64,
    base: String,
}

/// Judges a reading as typed against limits as printed; `unit` is taken where
/// the text names none. `Ok(None)` for an empty text. `< 1` is within limits
/// only where all that is less is within them, `> 1` the same upward.
///
/// # Errors
/// [`ReadingError`] when the text is not a reading in that unit.
pub fn judge(
    typed: &str,
    unit: &str,
    least: Option<&str>,
    most: Option<&str>,
) -> Result<Option<Verdict>, ReadingError> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    let found = read(typed, unit)?;
    let limit = |text: Option<&str>| {
        text.and_then(|t| read(t, unit).ok()).filter(|q| q.base == found.base).map(|q| q.value)
    };
    let (least, most) = (limit(least), limit(most));
    let is_below = least.is_some_and(|least| found.value < least);
    let is_above = most.is_some_and(|most| found.value > most);
    let bound = bound(typed, found.value);
    Ok(Some(match bound {
        _ if least.is_none() && most.is_none() => Verdict::Unjudged,
        Bound::Exact | Bound::AtMost if is_below => Verdict::Below,
        Bound::Exact | Bound::AtLeast if is_above => Verdict::Above,
        Bound::AtMost if least.is_some() || is_above => Verdict::Unproven,
        Bound::AtLeast if most.is_some() || is_below => Verdict::Unproven,
        _ => Verdict::Within,
    }))
}

/// A reading as typed, in the base unit; `Ok(None)` for an empty text, infinite
/// for an open circuit.
///
/// # Errors
/// [`ReadingError`] when the text is not a reading in that unit.
pub fn value_of(typed: &str, unit: &str) -> Result<Option<f64>, ReadingError> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    read(typed, unit).map(|found| Some(found.value))
}

/// The unit at the end of a printed limit: `kΩ` of `47 kΩ`.
pub fn unit_of(printed: &str) -> &str {
    printed.trim_start_matches(|c: char| {
        c.is_ascii_digit() || c.is_whitespace() || matches!(c, '.' | ',' | '-' | '+')
    })
}

fn read(typed: &str, unit: &str) -> Result<Quantity, ReadingError> {
    let typed = typed.trim().trim_start_matches(['<', '>', '≥', '≤']).trim_start();
    let (expected_factor, base) = split_unit(unit.trim()).unwrap_or((1.0, unit.trim()));
    if ["ol", "open", "∞", "inf"].iter().any(|w| typed.eq_ignore_ascii_case(w)) {
        return Ok(Quantity { value: f64::INFINITY, base: base.to_owned() });
    }
    let end = typed
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(typed.len());
    let (number, rest) = typed.split_at(end);
    let number = number_of(number).ok_or(ReadingError::NoNumber)?;
    let rest = rest.trim();
    if rest.is_empty() {
        return Ok(Quantity { value: number * expected_factor, base: base.to_owned() });
    }
    if base == "Ω" && rest == "m" {
        return Err(ReadingError::SmallM);
    }
    if let Some(factor) = prefix(rest) {
        return Ok(Quantity { value: number * factor, base: base.to_owned() });
    }
    let (factor, found) =
        split_unit(rest).ok_or_else(|| ReadingError::UnknownUnit(rest.to_owned()))?;
    if !base.is_empty() && found != base {
        let (expected, found) = (unit.trim().to_owned(), rest.to_owned());
        return Err(ReadingError::OtherUnit { expected, found });
    }
    Ok(Quantity { value: number * factor, base: found.to_owned() })
}

/// A number with a decimal point or comma, or commas between thousands.
fn number_of(text: &str) -> Option<f64> {
    let plain = match text.rsplit_once(',') {
        Some((head, tail)) if !text.contains('.') && !head.contains(',') && tail.len() != 3 => {
            format!("{head}.{tail}")
        }
        Some(_) if text.starts_with("0,") => text.replace(',', "."),
        _ => text.replace(',', ""),
    };
    float::read(&plain).filter(|n| n.is_finite())
}

fn prefix(text: &str) -> Option<f64> {
    Some(match text {
        "p" => 1e-12,
        "n" => 1e-9,
        "u" | "µ" | "μ" => 1e-6,
        "m" => 1e-3,
        "k" | "K" => 1e3,
        "M" | "meg" | "Meg" | "MEG" => 1e6,
        "G" => 1e9,
        _ => return None,
    })
}

/// The factor and the base of a unit with or without a prefix.
fn split_unit(unit: &str) -> Option<(f64, &'static str)> {
    let unit = unit.split_whitespace().next().unwrap_or("");
    if let Some(base) = base_of(unit) {
        return Some((1.0, base));
    }
    let lower = unit.lower();
    match lower.as_str() {
        "mfd" | "mf" => return Some((1e-6, "F")),
        "mmf" | "mmfd" | "uuf" | "µµf" => return Some((1e-12, "F")),
        _ => {}
    }
    for split in [1, 3] {
        let at = unit.char_indices().nth(split).map(|(at, _)| at)?;
        if let (Some(factor), Some(base)) = (prefix(&unit[..at]), base_of(&unit[at..])) {
            return Some((factor, base));
        }
    }
    None
}

fn base_of(unit: &str) -> Option<&'static str> {
    Some(match unit.lower().as_str() {
        "v" | "volt" | "volts" | "vdc" | "vac" => "V",
        "a" | "amp" | "amps" => "A",
        "ω" | "ohm" | "ohms" | "r" => "Ω",
        "f" => "F",
        "h" => "H",
        "w" | "watt" | "watts" => "W",
        "hz" => "Hz",
        "s" | "sec" => "s",
        "%" => "%",
        "°c" | "c" => "°C",
        "°f" => "°F",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(typed: &str, unit: &str) -> f64 {
        read(typed, unit).unwrap().value
    }

    #[test]
    fn readings_are_read_in_the_unit_asked_for_unless_they_name_one() {
        for (typed, unit, value) in [
            ("117", "V", 117.0),
            ("117 V", "V", 117.0),
            ("117V", "V", 117.0),
            ("1.2k", "Ω", 1200.0),
            ("1.2", "kΩ", 1200.0),
            ("1,250", "Ω", 1250.0),
            ("0,05", "V", 0.05),
            ("0,047", "V", 0.047),
            ("2.2 meg", "Ω", 2.2e6),
            ("2.2 MegΩ", "Ω", 2.2e6),
            ("47 kohm", "Ω", 47e3),
            ("-1.5", "V", -1.5),
            ("> 20 M", "Ω", 20e6),
        ] {
            let found = at(typed, unit);
            assert!((found - value).abs() < value.abs() * 1e-12, "{typed} in {unit}: {found}");
        }
        assert!((at("0.05 A", "mA") - 0.05).abs() < 1e-15);
        assert!((at("47,5 nF", "µF") - 47.5e-9).abs() < 1e-20);
        assert!((at(".05 mfd", "µF") - 0.05e-6).abs() < 1e-20);
    }

    #[test]
    fn open_is_above_every_limit_and_below_none() {
        assert_eq!(judge("OL", "Ω", Some("10 MΩ"), None), Ok(Some(Verdict::Within)));
        assert_eq!(judge("open", "Ω", None, Some("5 Ω")), Ok(Some(Verdict::Above)));
    }

    #[test]
    fn a_reading_is_held_against_limits_in_any_unit_of_its_kind() {
        let window = (Some("42.3 kΩ"), Some("51.7 kΩ"));
        let verdict = |typed| judge(typed, "kΩ", window.0, window.1);
        assert_eq!(verdict("47"), Ok(Some(Verdict::Within)));
        assert_eq!(verdict("42.3k"), Ok(Some(Verdict::Within)));
        assert_eq!(verdict("42000 ohms"), Ok(Some(Verdict::Below)));
        assert_eq!(verdict("0.052M"), Ok(Some(Verdict::Above)));
        assert_eq!(verdict("  "), Ok(None));
    }

    #[test]
    fn a_bound_passes_only_where_all_that_it_allows_passes() {
        let ohms = |typed| judge(typed, "Ω", Some("20 Ω"), Some("300 Ω")).unwrap().unwrap();
        assert_eq!(ohms("< 5"), Verdict::Below);
        assert_eq!(ohms("< 100"), Verdict::Unproven);
        assert_eq!(ohms("> 100"), Verdict::Unproven);
        assert_eq!(ohms("> 5"), Verdict::Unproven);
        assert_eq!(ohms("> 400"), Verdict::Above);
        let metal = |typed| judge(typed, "MΩ", Some("2"), None).unwrap().unwrap();
        assert_eq!(metal("> 20"), Verdict::Within);
        assert_eq!(metal("> 1"), Verdict::Unproven);
        assert_eq!(metal("< 20"), Verdict::Unproven);
        assert_eq!(metal("< 1"), Verdict::Below);
        let left = |typed| judge(typed, "V", None, Some("10")).unwrap().unwrap();
        assert_eq!(left("< 1"), Verdict::Within);
        assert_eq!(left("< 12"), Verdict::Unproven);
    }

    #[test]
    fn a_reading_without_limits_is_kept_unjudged() {
        assert_eq!(judge("12", "V", None, None), Ok(Some(Verdict::Unjudged)));
    }

    #[test]
    fn what_cannot_be_read_says_what_was_expected() {
        let say = |typed, unit| judge(typed, unit, None, None).unwrap_err().to_string();
        assert_eq!(say("warm", "V"), "Start with a number, or write OL for open.");
        assert_eq!(say("12 mA", "V"), "This reading is in V, not in mA.");
        assert_eq!(say("12 furlongs", "V"), "“furlongs” is not a unit that is known here.");
        assert_eq!(say("1.5m", "Ω"), "Write M for millions of ohms; “m” could be a thousandth.");
    }

    #[test]
    fn the_unit_of_a_printed_limit_is_what_follows_the_number() {
        assert_eq!(unit_of("47 kΩ"), "kΩ");
        assert_eq!(unit_of("-1.5 V"), "V");
    }
}
