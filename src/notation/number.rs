//! Numbers as they are written: points, commas, fractions.
//!
//! ```
//! use firstglow::notation::number::read;
//! assert_eq!(read(".05mfd").unwrap().value, "0.05".parse().unwrap());
//! assert_eq!(read("47,000").unwrap().value, "47000".parse().unwrap());
//! assert_eq!(read("0,05").unwrap().value, "0.05".parse().unwrap());
//! assert_eq!(read("1/2").unwrap().value, "0.5".parse().unwrap());
//! ```

use rust_decimal::Decimal;
use thiserror::Error;

/// Why a run of characters is no number.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NumberError {
    /// It does not start with a digit, point or fraction.
    #[error("no digit stands there")]
    NoDigit,
    /// Its points and commas fit no way of writing numbers.
    #[error("its points and commas fit no way of writing a number")]
    Separators,
    /// It has more digits than can be held exactly.
    #[error("it has more digits than can be held exactly")]
    TooManyDigits,
    /// A fraction by zero.
    #[error("it divides by zero")]
    DivisionByZero,
}

/// A number and how it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// Its value.
    pub value: Decimal,
    /// What it could also be, where a comma or point can mean two things.
    pub other: Option<Decimal>,
    /// How many characters it takes.
    pub length: usize,
    /// Its digits as written, without fraction.
    pub written: String,
    /// Whether it was written with a point or decimal comma.
    pub pointed: bool,
    /// Numerator and denominator, for `1/2`.
    pub fraction: Option<(Decimal, Decimal)>,
}

impl Number {
    /// Whether a point seems to be lost before it: `05`.
    pub fn lost_point(&self) -> bool {
        !self.pointed
            && self.fraction.is_none()
            && self.written.len() >= 2
            && self.written.starts_with('0')
            && !self.value.is_zero()
    }

    /// Its value with a point before its first digit: 0.05 for `05`.
    pub fn with_point(&self) -> Decimal {
        let digits = u32::try_from(self.written.len()).unwrap_or(0);
        Decimal::try_from_i128_with_scale(1, digits)
            .ok()
            .and_then(|unit| self.value.checked_mul(unit))
            .unwrap_or(self.value)
            .normalize()
    }
}

/// Reads the number at the start of `text`.
///
/// # Errors
/// [`NumberError`] where none stands there.
pub fn read(text: &str) -> Result<Number, NumberError> {
    let mut number = if vulgar(text).is_some() {
        Number {
            value: Decimal::ZERO,
            other: None,
            length: 0,
            written: String::new(),
            pointed: false,
            fraction: None,
        }
    } else {
        plain(text)?
    };
    // Digits, points and commas take one byte each.
    let rest = &text[number.length..];
    if let Some(part) = vulgar(rest) {
        number.value = number.value.checked_add(part).ok_or(NumberError::TooManyDigits)?;
        number.length += 1;
        number.written.extend(rest.chars().next());
        number.pointed = true;
    } else if let Some((below, length)) = denominator(rest)? {
        number.fraction = Some((number.value, below));
        number.value = number.value.checked_div(below).ok_or(NumberError::DivisionByZero)?;
        number.length += length;
    }
    number.value = number.value.normalize();
    Ok(number)
}

/// The value of a fraction that is one character.
fn vulgar(text: &str) -> Option<Decimal> {
    let thousandths = match text.chars().next()? {
        '½' => 500,
        '¼' => 250,
        '¾' => 750,
        '⅛' => 125,
        _ => return None,
    };
    Some(Decimal::new(thousandths, 3))
}

/// How many digits a text starts with.
fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// The number after a `/`, with the characters it takes.
fn denominator(text: &str) -> Result<Option<(Decimal, usize)>, NumberError> {
    let Some(rest) = text.strip_prefix('/') else { return Ok(None) };
    let length = digits(rest);
    if length == 0 {
        return Ok(None);
    }
    let value = parse(&rest[..length])?;
    if value.is_zero() {
        return Err(NumberError::DivisionByZero);
    }
    Ok(Some((value, length + 1)))
}

/// The most characters a number is looked for in.
const LONGEST: usize = 60;

/// Digits with points and commas, no fraction.
fn plain(text: &str) -> Result<Number, NumberError> {
    let bytes = text.as_bytes();
    let mut end = 0;
    while end < bytes.len().min(LONGEST) {
        let inside = match bytes[end] {
            b'0'..=b'9' => true,
            b'.' | b',' => bytes.get(end + 1).is_some_and(u8::is_ascii_digit),
            _ => false,
        };
        if !inside {
            break;
        }
        end += 1;
    }
    if end == 0 {
        return Err(NumberError::NoDigit);
    }
    let written = text[..end].to_owned();
    let (value, other, pointed) = if digits(&written) == end {
        (parse(&written)?, None, false)
    } else {
        let (one, other) = separators(&written)?;
        (parse(&one)?, other.map(|o| parse(&o)).transpose()?, one.contains('.'))
    };
    // "2." at the end of a word: the point belongs to it.
    let length = end + usize::from(&text[end..] == ".");
    Ok(Number { value, other, length, written, pointed, fraction: None })
}

/// Resolves points and commas into one decimal point; where a mark can mean
/// two things, the second is what else it could be.
fn separators(written: &str) -> Result<(String, Option<String>), NumberError> {
    let commas = written.matches(',').count();
    let points = written.matches('.').count();
    let no_commas = || written.replace(',', "");
    match (commas, points) {
        (0, 0) => Ok((written.to_owned(), None)),
        (0, 1) => {
            let thousands = grouped(written, '.') && written.ends_with("00");
            Ok((written.to_owned(), thousands.then(|| written.replace('.', ""))))
        }
        (1, 0) if grouped(written, ',') => Ok((no_commas(), Some(written.replace(',', ".")))),
        (1, 0) => Ok((written.replace(',', "."), None)),
        (_, 0) if grouped(written, ',') => Ok((no_commas(), None)),
        (0, _) if grouped(written, '.') => Ok((written.replace('.', ""), None)),
        (_, 1) => {
            let point = written.find('.').unwrap_or(0);
            if grouped(&written[..point], ',') {
                Ok((no_commas(), None))
            } else if commas == 1 && written.find(',') > Some(point) {
                Ok((written.replace('.', "").replace(',', "."), None))
            } else {
                Err(NumberError::Separators)
            }
        }
        _ => Err(NumberError::Separators),
    }
}

/// Whether the mark cuts the digits into groups of three after a first group
/// of one to three that does not start with zero.
fn grouped(written: &str, mark: char) -> bool {
    let mut groups = written.split(mark);
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && written.contains(mark)
        && groups.all(|g| g.len() == 3 && g.chars().all(|c| c.is_ascii_digit()))
}

/// An exact decimal from digits with at most one point.
fn parse(digits: &str) -> Result<Decimal, NumberError> {
    Decimal::from_str_exact(digits).map_err(|_| NumberError::TooManyDigits)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> String {
        read(text).map_or_else(|e| e.to_string(), |n| n.value.to_string())
    }

    #[test]
    fn points_commas_and_fractions_are_read() {
        for (text, expected) in [
            ("8", "8"),
            (".00025", "0.00025"),
            ("0.1", "0.1"),
            ("0,05", "0.05"),
            (",05", "0.05"),
            ("x", "no digit stands there"),
            ("47,000", "47000"),
            ("1,000,000", "1000000"),
            ("1,000.5", "1000.5"),
            ("1.000,5", "1000.5"),
            ("1.000.000", "1000000"),
            ("½", "0.5"),
            ("1½", "1.5"),
            ("1/2", "0.5"),
            ("3/4W", "0.75"),
            ("1/0", "it divides by zero"),
            ("1,2,3", "its points and commas fit no way of writing a number"),
            ("1..5", "1"),
            ("9999999999999999999999999999999", "it has more digits than can be held exactly"),
        ] {
            assert_eq!(value(text), expected, "{text}");
        }
    }

    #[test]
    fn a_mark_that_can_mean_two_things_says_so() {
        assert_eq!(read("4,700").unwrap().other, Some("4.700".parse().unwrap()));
        assert_eq!(read("47.000").unwrap().other, Some("47000".parse().unwrap()));
        assert_eq!(read("0,047").unwrap().other, None);
        assert!(read("05").unwrap().lost_point());
    }
}
