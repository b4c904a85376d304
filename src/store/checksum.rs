//! The cyclic redundancy check of IEEE 802.3, 32 bits: tells damage, not malice.
//!
//! ```
//! use firstglow::store::checksum::crc32;
//! // The check value that the catalogues of such codes give for it.
//! assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
//! ```

/// The polynomial of IEEE 802.3, the lowest bit first.
const POLYNOMIAL: u32 = 0xEDB8_8320;

/// What four bits come to.
const TABLE: [u32; 16] = table();

const fn table() -> [u32; 16] {
    let mut table = [0; 16];
    let (mut index, mut bits) = (0, 0);
    while index < 16 {
        let mut value: u32 = bits;
        let mut bit = 0;
        while bit < 4 {
            value = if value & 1 == 1 { (value >> 1) ^ POLYNOMIAL } else { value >> 1 };
            bit += 1;
        }
        table[index] = value;
        (index, bits) = (index + 1, bits + 1);
    }
    table
}

/// The check of some bytes.
pub fn crc32(bytes: &[u8]) -> u32 {
    let step = |sum: u32, bits: u32| (sum >> 4) ^ TABLE[((sum ^ bits) & 15) as usize];
    !bytes.iter().fold(!0, |sum, byte| {
        let byte = u32::from(*byte);
        step(step(sum, byte), byte >> 4)
    })
}

#[cfg(test)]
mod tests {
    use super::crc32;

    #[test]
    fn known_checks_come_out() {
        // From the worked examples of the code in common references.
        assert_eq!(crc32(b""), 0);
        assert_eq!(crc32(b"a"), 0xE8B7_BE43);
        assert_eq!(crc32(b"The quick brown fox jumps over the lazy dog"), 0x414F_A339);
    }

    #[test]
    fn any_one_changed_byte_changes_the_check() {
        let text = b"C7 .05 400 V paper".to_vec();
        for at in 0..text.len() {
            for change in 1..=255 {
                let mut damaged = text.clone();
                damaged[at] ^= change;
                assert_ne!(crc32(&damaged), crc32(&text));
            }
        }
    }
}
