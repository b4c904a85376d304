//! Numbers with a point, read.
//!
//! The standard reading of a float rounds the last bit of seventeen digits
//! right, by tables larger than a screen of this app. What is typed and looked
//! up here has a few digits; those are read just as exactly.

/// Digits that a float holds for certain.
const DIGITS: u32 = 15;

/// Reads a number in plain figures: `0.05`, `-1.5`, `.4`.
pub fn read(text: &str) -> Option<f64> {
    let (sign, figures) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let (mut number, mut scale) = (0.0_f64, 1.0_f64);
    let (mut digits, mut any, mut after_point) = (0, false, false);
    for sign in figures.chars() {
        match sign.to_digit(10) {
            Some(digit) => {
                any = true;
                digits += u32::from(digits > 0 || digit > 0);
                let counts = digits <= DIGITS;
                if counts {
                    number = number * 10.0 + f64::from(digit);
                }
                // Two exact numbers, divided or multiplied once at the end.
                if counts && after_point {
                    scale *= 10.0;
                } else if !counts && !after_point {
                    scale /= 10.0;
                }
            }
            None if sign == '.' && !after_point => after_point = true,
            None => return None,
        }
    }
    any.then_some(sign * number / scale)
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn figures_are_read_to_the_last_bit() {
        for text in ["0", "6.3", ".15", "117", "-1.5", "+4", "12.", "0.000001", "450.125"] {
            assert_eq!(read(text), text.parse().ok(), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in ["", ".", "-", "1.2.3", "1e5", "inf", "1 2", "0x1", "--1"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn more_figures_than_a_float_holds_are_read_nearly() {
        let read = read("123456789012345678901234567890.5").unwrap();
        assert!((read / 1.234_567_890_123_456_8e29 - 1.0).abs() < 1e-14);
    }
}
