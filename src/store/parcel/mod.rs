//! A document on its way to another device: cut into pieces that a link or a
//! code carries, and put together again.
//!
//! A piece is, in bytes: the format (1), flags, the checksum of the whole (4),
//! its number from 0, how many there are, its share, and its own checksum (4).
//! Checksums are the 32 bits of IEEE 802.3, the highest byte first. The whole
//! may be compressed; that is done outside, where the browser does it.
//!
//! ```
//! use firstglow::store::parcel::{Series, pieces, text::{link, payload}};
//! let cut = pieces(b"what is carried", false, 10).unwrap();
//! let links: Vec<String> = cut.iter().map(|piece| link("https://example.org/", piece)).collect();
//! let mut series = Series::default();
//! for link in links.iter().rev() {
//!     series.add(&payload(link).unwrap()).unwrap();
//! }
//! assert_eq!(series.whole().unwrap().bytes, b"what is carried");
//! ```

pub mod text;

use super::checksum::crc32;
use thiserror::Error;

/// The format that is written.
const FORMAT: u8 = 1;
/// The flag of a whole that is compressed.
const COMPRESSED: u8 = 1;
/// What stands around the share of a piece, in bytes.
pub const AROUND: usize = 12;
/// The most pieces of a whole.
pub const MOST_PIECES: usize = 64;
/// The most bytes of a piece, however it comes.
pub const MOST_PIECE: usize = 64 * 1024;
/// The most bytes of a whole before it is compressed, and after it is unpacked.
pub const MOST_WHOLE: usize = 2_000_000;

/// Why something was not cut up, or not put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ParcelError {
    /// Not a link or code of ours.
    #[error("This is no link or code of Firstglow.")]
    Foreign,
    /// Written by a later version.
    #[error(
        "This was made by a newer Firstglow (format {found}; this one reads {FORMAT}). Update \
         this copy first."
    )]
    Newer {
        /// Its format.
        found: u8,
    },
    /// The checksum of a piece does not hold.
    #[error("This link or code is damaged: a part of it is missing or changed. Read it again.")]
    Damaged,
    /// All pieces are whole, and do not make the whole.
    #[error("The codes are each whole but do not belong together. Read all of them again.")]
    Mixed,
    /// Longer than anything of ours.
    #[error("This is too long to be a link or code of Firstglow.")]
    TooLong,
    /// What is to be carried is too large.
    #[error("This is too large for links and codes. Carry it as a file instead.")]
    TooLarge,
    /// Pieces are missing.
    #[error("Some of the codes are still to be read.")]
    Missing,
}

/// What a piece says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The checksum of the whole, by which the pieces know each other.
    pub whole: u32,
    /// Whether the whole is compressed.
    pub is_compressed: bool,
    /// Its number, from 0.
    pub number: u8,
    /// How many there are.
    pub of: u8,
    /// Its share.
    pub share: Vec<u8>,
}

/// Cuts a whole into pieces whose shares have at most so many bytes.
///
/// # Errors
/// [`ParcelError::TooLarge`] where that makes too many or too long pieces.
pub fn pieces(
    whole: &[u8],
    is_compressed: bool,
    share: usize,
) -> Result<Vec<Vec<u8>>, ParcelError> {
    let count = whole.len().div_ceil(share.max(1)).max(1);
    if count > MOST_PIECES || share + AROUND > MOST_PIECE {
        return Err(ParcelError::TooLarge);
    }
    // Equal shares make codes of one size.
    let share = whole.len().div_ceil(count).max(1);
    let of = u8::try_from(count).map_err(|_| ParcelError::TooLarge)?;
    let sum = crc32(whole);
    let shares = (0..of).map(|number| {
        let from = (usize::from(number) * share).min(whole.len());
        let to = (from + share).min(whole.len());
        let mut piece = vec![FORMAT, if is_compressed { COMPRESSED } else { 0 }];
        piece.extend(sum.to_be_bytes());
        piece.extend([number, of]);
        piece.extend(&whole[from..to]);
        let own = crc32(&piece);
        piece.extend(own.to_be_bytes());
        piece
    });
    Ok(shares.collect())
}

/// Reads a piece.
///
/// # Errors
/// [`ParcelError`] where it is none, or not whole.
pub fn read(bytes: &[u8]) -> Result<Piece, ParcelError> {
    if bytes.len() > MOST_PIECE {
        return Err(ParcelError::TooLong);
    }
    let (said, own) = bytes.split_last_chunk::<4>().ok_or(ParcelError::Damaged)?;
    if crc32(said) != u32::from_be_bytes(*own) {
        return Err(ParcelError::Damaged);
    }
    // Whole, so that what it says is what was written.
    let (head, share) = said.split_first_chunk::<8>().ok_or(ParcelError::Damaged)?;
    let [format, flags, a, b, c, d, number, of] = *head;
    if format != FORMAT || flags > COMPRESSED {
        return Err(ParcelError::Newer {
            found: format.max(FORMAT + u8::from(flags > COMPRESSED)),
        });
    }
    if number >= of || usize::from(of) > MOST_PIECES {
        return Err(ParcelError::Damaged);
    }
    Ok(Piece {
        whole: u32::from_be_bytes([a, b, c, d]),
        is_compressed: flags & COMPRESSED != 0,
        number,
        of,
        share: share.to_vec(),
    })
}

/// What the pieces made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Whole {
    /// The bytes, compressed or not.
    pub bytes: Vec<u8>,
    /// Whether they are compressed.
    pub is_compressed: bool,
}

/// The pieces read so far, in any order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Series {
    pieces: Vec<Piece>,
}

impl Series {
    /// Adds a piece; one of another whole begins a new series.
    ///
    /// # Errors
    /// [`ParcelError`] where it is none; the series stays as it was.
    pub fn add(&mut self, bytes: &[u8]) -> Result<(), ParcelError> {
        let piece = read(bytes)?;
        let belongs = |other: &Piece| {
            (other.whole, other.of, other.is_compressed)
                == (piece.whole, piece.of, piece.is_compressed)
        };
        if !self.pieces.first().is_some_and(belongs) {
            self.pieces.clear();
        }
        if !self.pieces.iter().any(|other| other.number == piece.number) {
            self.pieces.push(piece);
        }
        Ok(())
    }

    /// How many there are to be in all; 0 before the first.
    pub fn of(&self) -> usize {
        self.pieces.first().map_or(0, |piece| usize::from(piece.of))
    }

    /// The numbers of those that are missing, as a person counts.
    pub fn missing(&self) -> Vec<usize> {
        let has = |number: usize| self.pieces.iter().any(|p| usize::from(p.number) == number);
        (0..self.of()).filter(|number| !has(*number)).map(|number| number + 1).collect()
    }

    /// All together.
    ///
    /// # Errors
    /// [`ParcelError::Missing`] while there are some to come,
    /// [`ParcelError::Mixed`] where they do not make what was cut.
    pub fn whole(&self) -> Result<Whole, ParcelError> {
        let first = self.pieces.first().ok_or(ParcelError::Missing)?;
        let mut bytes = Vec::new();
        for number in 0..first.of {
            let piece = self.pieces.iter().find(|piece| piece.number == number);
            bytes.extend(&piece.ok_or(ParcelError::Missing)?.share);
        }
        if crc32(&bytes) != first.whole {
            return Err(ParcelError::Mixed);
        }
        Ok(Whole { bytes, is_compressed: first.is_compressed })
    }
}

#[cfg(test)]
mod tests;
