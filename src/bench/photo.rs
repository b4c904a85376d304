//! Photos of a set: what is kept of each beside the picture itself.
//!
//! The picture lies in the browser's database under [`Photo::id`]; this is its
//! description, which is saved and exported with the set.

use super::stamp::Stamp;
use serde::{Deserialize, Serialize};

/// Parts that a mark's place is counted in: the whole side is this many.
pub const WHOLE: u16 = 10_000;

/// What a photo shows.
pub const SET: &str = "set";

/// A photo.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Photo {
    /// Its name in the database and in files: letters, digits and dashes.
    pub id: String,
    /// What it shows: [`SET`], `part/C7`, `area/band switch`.
    pub about: String,
    /// When it was taken in.
    pub taken: Stamp,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Its size in bytes.
    pub bytes: u32,
    /// The CRC-32 of its bytes.
    pub crc: u32,
    /// A remark.
    pub caption: String,
    /// Places marked on it.
    pub marks: Vec<Mark>,
}

/// A place marked on a photo: where a lead goes.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Mark {
    /// Parts of [`WHOLE`] from the left.
    pub x: u16,
    /// Parts of [`WHOLE`] from the top.
    pub y: u16,
    /// What it says.
    pub text: String,
}

impl Photo {
    /// A name that its content and the moment give it.
    pub fn name(taken: Stamp, crc: u32, bytes: u32) -> String {
        format!("{}-{crc:08x}-{bytes}", taken.0)
    }

    /// Whether its name is one that [`Photo::name`] could have made: nothing
    /// else is looked up or written.
    pub fn is_well_named(&self) -> bool {
        !self.id.is_empty()
            && self.id.len() <= 60
            && self.id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
    }
}

impl Mark {
    /// A mark at parts of one of the picture's sides, kept inside it.
    pub fn at(x: f64, y: f64) -> Self {
        Self { x: place(x), y: place(y), text: String::new() }
    }

    /// Moves it by parts of one, inside the picture.
    pub fn shift(&mut self, x: f64, y: f64) {
        self.x = place(f64::from(self.x) / f64::from(WHOLE) + x);
        self.y = place(f64::from(self.y) / f64::from(WHOLE) + y);
    }

    /// Percent from the left and from the top.
    pub fn percent(&self) -> (f64, f64) {
        (f64::from(self.x) / 100.0, f64::from(self.y) / 100.0)
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // held within 0 and WHOLE
fn place(share: f64) -> u16 {
    let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
    (share * f64::from(WHOLE)).round() as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_stays_on_the_picture() {
        let mut mark = Mark::at(0.25, 2.0);
        assert_eq!((mark.x, mark.y), (2500, 10_000));
        mark.shift(-1.0, -0.01);
        assert_eq!(mark.percent(), (0.0, 99.0));
        assert_eq!(Mark::at(f64::NAN, 0.5).x, 5000);
    }

    #[test]
    fn a_name_is_plain_and_a_foreign_one_is_told() {
        let name = Photo::name(Stamp(1_700_000_000_000), 0xcbf4_3926, 9);
        assert_eq!(name, "1700000000000-cbf43926-9");
        assert!(Photo { id: name, ..Photo::default() }.is_well_named());
        for id in ["", "../x", "a b", "a/b"] {
            assert!(!Photo { id: id.into(), ..Photo::default() }.is_well_named(), "{id}");
        }
    }
}
