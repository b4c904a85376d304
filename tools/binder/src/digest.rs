//! Digests: in file names, and in the content security policy.

use std::fmt::Write;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// Names `stem-0123456789abcdef.extension` by its content.
pub(crate) fn hashed_name(stem: &str, extension: &str, content: &[u8]) -> String {
    format!("{stem}-{}.{extension}", short(&[content]))
}

/// Sixteen hex digits: enough to tell versions of a file apart.
pub(crate) fn short(parts: &[&[u8]]) -> String {
    let mut hasher = Sha256::new();
    for part in parts {
        // The length first, so that no two lists of parts run into one.
        hasher.update((part.len() as u64).to_le_bytes());
        hasher.update(part);
    }
    let mut name = String::with_capacity(16);
    for byte in &hasher.finalize()[..8] {
        // Writing to a String cannot fail.
        let _ = write!(name, "{byte:02x}");
    }
    name
}

/// The source expression that allows exactly this inline script or style.
pub(crate) fn policy_source(inline: &str) -> String {
    format!("'{}'", integrity(inline.as_bytes()))
}

/// What a link or script element says of the file that it names (Subresource
/// Integrity, W3C).
pub(crate) fn integrity(content: &[u8]) -> String {
    format!("sha256-{}", sha256(content))
}

/// The whole digest, in base64.
pub(crate) fn sha256(content: &[u8]) -> String {
    base64(&Sha256::digest(content))
}

/// Base64 with padding, as `atob`, data addresses and policies read it.
pub(crate) fn base64(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_follows_the_content() {
        let name = hashed_name("style", "css", b"a{}");
        assert_eq!(name, hashed_name("style", "css", b"a{}"));
        assert_ne!(name, hashed_name("style", "css", b"b{}"));
        assert_eq!(name.len(), "style-0123456789abcdef.css".len());
    }

    #[test]
    fn where_one_part_ends_matters() {
        assert_ne!(short(&[b"ab", b"c"]), short(&[b"a", b"bc"]));
    }

    /// The digest of "abc" is the example of FIPS 180-2, appendix B.1.
    #[test]
    fn a_policy_source_is_the_digest_in_base64() {
        assert_eq!(policy_source("abc"), "'sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0='");
    }
}
