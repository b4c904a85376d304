//! Pieces as text: in a link that people pass on, and in a code.
//!
//! A link carries the bytes in the letters of RFC 4648, section 5, without
//! padding. A code carries them as decimal digits, 17 for each 7 bytes, since a
//! code packs digits three to ten bits (ISO/IEC 18004) and letters one to
//! eight: the same code holds a third more.

use super::{MOST_PIECE, ParcelError};

/// What stands before a piece in an address.
pub const PLACE: &str = "#/take/";

/// The letter before digits, and the one before letters.
const DIGITS: char = 'd';
const LETTERS: char = 'b';

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// So many digits hold so many bytes, from none to seven.
const DIGITS_OF: [usize; 8] = [0, 3, 5, 8, 10, 13, 15, 17];

/// The address that carries a piece, on the page at `page`.
pub fn link(page: &str, piece: &[u8]) -> String {
    format!("{page}{PLACE}{LETTERS}{}", to_letters(piece))
}

/// What a code says: first the address, as letters, then the piece, as digits.
pub fn code(page: &str, piece: &[u8]) -> (String, String) {
    (format!("{page}{PLACE}{DIGITS}"), to_digits(piece))
}

/// The piece in an address, or in what stands behind its place.
///
/// # Errors
/// [`ParcelError::Foreign`] where there is none, [`ParcelError::TooLong`],
/// [`ParcelError::Damaged`] where it is cut or has other signs in it.
pub fn payload(text: &str) -> Result<Vec<u8>, ParcelError> {
    if text.len() > 3 * MOST_PIECE {
        return Err(ParcelError::TooLong);
    }
    let text = text.trim();
    let place = PLACE.trim_start_matches('#');
    let payload = text.rsplit_once(place).map_or(text, |(_, payload)| payload);
    let mut signs = payload.chars();
    let bytes = match signs.next() {
        Some(DIGITS) => from_digits(signs.as_str()),
        Some(LETTERS) => from_letters(signs.as_str()),
        _ => return Err(ParcelError::Foreign),
    };
    bytes.ok_or(if text.contains(place) { ParcelError::Damaged } else { ParcelError::Foreign })
}

fn to_letters(bytes: &[u8]) -> String {
    let mut text = String::new();
    for group in bytes.chunks(3) {
        let mut padded = [0, 0, 0];
        padded[..group.len()].copy_from_slice(group);
        let [a, b, c] = padded.map(u32::from);
        let value = a << 16 | b << 8 | c;
        for place in 0..=group.len() {
            let six = value >> (18 - 6 * place) & 63;
            text.push(char::from(ALPHABET[six as usize]));
        }
    }
    text
}

fn from_letters(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    for group in text.as_bytes().chunks(4) {
        let mut value = 0_u32;
        for place in 0..4 {
            let six = match group.get(place) {
                Some(sign) => ALPHABET.iter().position(|letter| letter == sign)?,
                None => 0,
            };
            value = value << 6 | u32::try_from(six).ok()?;
        }
        let count = group.len().checked_sub(1).filter(|count| *count > 0)?;
        let [_, all @ ..] = value.to_be_bytes();
        // One way of writing for each piece: what is left over is nothing.
        if all[count..].iter().any(|rest| *rest != 0) {
            return None;
        }
        bytes.extend(&all[..count]);
    }
    Some(bytes)
}

fn to_digits(bytes: &[u8]) -> String {
    let mut text = String::new();
    for group in bytes.chunks(7) {
        let value = group.iter().fold(0_u64, |value, byte| value << 8 | u64::from(*byte));
        let digits = value.to_string();
        for _ in digits.len()..DIGITS_OF[group.len()] {
            text.push('0');
        }
        text.push_str(&digits);
    }
    text
}

fn from_digits(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    for group in text.as_bytes().chunks(DIGITS_OF[7]) {
        let count = DIGITS_OF.iter().position(|digits| *digits == group.len())?;
        let mut value = 0_u64;
        for sign in group {
            let digit = sign.checked_sub(b'0').filter(|digit| *digit < 10)?;
            // Seventeen digits stay far below the largest number.
            value = value * 10 + u64::from(digit);
        }
        if value >> (8 * count) != 0 {
            return None;
        }
        bytes.extend(&value.to_be_bytes()[8 - count..]);
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_those_of_rfc_4648() {
        // RFC 4648, section 10, without padding.
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg"),
            ("fo", "Zm8"),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg"),
            ("fooba", "Zm9vYmE"),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(to_letters(bytes.as_bytes()), text);
            assert_eq!(from_letters(text).as_deref(), Some(bytes.as_bytes()));
        }
        assert_eq!(to_letters(&[0xfb, 0xff]), "-_8");
        for bad in ["Z", "Zm9vY", "Zh", "Zm+v", "Zm9=", "Zm9é"] {
            assert_eq!(from_letters(bad), None, "{bad}");
        }
    }

    #[test]
    fn any_bytes_come_back_from_letters_and_from_digits() {
        for length in 0..40_u8 {
            for fill in [0, 1, 0x7f, 0xff] {
                let bytes: Vec<u8> = (0..length).map(|n| n.wrapping_mul(37) ^ fill).collect();
                assert_eq!(from_letters(&to_letters(&bytes)), Some(bytes.clone()));
                assert_eq!(from_digits(&to_digits(&bytes)), Some(bytes.clone()));
                let full = vec![fill; usize::from(length)];
                assert_eq!(from_digits(&to_digits(&full)), Some(full));
            }
        }
        for bad in ["1", "12", "256", "99999999999999999", "12x", "0123"] {
            assert_eq!(from_digits(bad), None, "{bad}");
        }
    }

    #[test]
    fn digits_hold_a_third_more_of_a_code_than_letters() {
        let bytes = vec![0xa5; 700];
        // Bits in a code: ten for three digits, eight for a letter.
        let digits = to_digits(&bytes).len() * 10 / 3;
        let letters = to_letters(&bytes).len() * 8;
        assert!(digits * 4 < letters * 3 + 300, "{digits} bits against {letters}");
    }

    #[test]
    fn a_piece_is_found_in_whatever_stands_around_it() {
        let there = Ok(vec![0xfb, 0xff]);
        assert_eq!(payload("https://example.org/app/#/take/b-_8"), there);
        assert_eq!(payload("  #/take/b-_8\n"), there);
        assert_eq!(payload("b-_8"), there);
        let (address, digits) = code("https://example.org/", &[0xfb, 0xff]);
        assert_eq!(payload(&(address + &digits)), there);
    }

    #[test]
    fn what_is_none_is_refused_with_its_reason() {
        for foreign in ["", "https://example.org/", "hello", "C1 .05 400 V", "dog"] {
            assert_eq!(payload(foreign), Err(ParcelError::Foreign), "{foreign}");
        }
        assert_eq!(payload("x#/take/bZ"), Err(ParcelError::Damaged));
        assert_eq!(payload(&"b".repeat(300_000)), Err(ParcelError::TooLong));
    }
}
