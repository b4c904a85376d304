//! What the tests of all layouts ask.

use super::Drawing;

/// Fails where two texts lie on each other.
pub fn assert_readable(drawing: &Drawing, of: &str) {
    for (at, label) in drawing.labels.iter().enumerate() {
        for other in &drawing.labels[at + 1..] {
            assert!(
                !label.space().meets(&other.space()),
                "{of}: “{}” lies on “{}”",
                label.text,
                other.text
            );
        }
    }
    assert!(!drawing.words.is_empty(), "{of}: no words");
}
