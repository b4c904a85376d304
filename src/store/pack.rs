//! A bench with its photos in one file: a ZIP archive whose entries are stored
//! as they are, so that any tool opens it.
//!
//! Purpose: the bytes around each entry, and finding entries again. Pictures
//! never pass through here whole: only headers do, and each picture's CRC.
//! Source: APPNOTE.TXT, the ZIP file format specification (sections 4.3.7,
//! 4.3.12, 4.3.16), from memory; held against other programs in the tests.
//!
//! ```
//! use firstglow::store::pack::{Packer, crc, directory, entries};
//! let mut packer = Packer::default();
//! let mut file = packer.add("a.txt", crc(b"abc"), 3).unwrap();
//! file.extend(b"abc");
//! let end = packer.finish();
//! file.extend(&end);
//! let (start, size) = directory(&file, file.len() as u64).unwrap();
//! let found = entries(&file[start as usize..][..size as usize]).unwrap();
//! assert_eq!((found[0].name.as_str(), found[0].size), ("a.txt", 3));
//! ```
//!
//! Limits: up to 65,535 entries and four gigabytes; compressed entries are
//! refused by name.

use thiserror::Error;

/// The name of the bench inside.
pub const BENCH: &str = "bench.json";
/// The folder of the photos inside.
pub const PHOTOS: &str = "photos/";
/// Bytes of a local header before its name.
pub const LOCAL: usize = 30;
/// Bytes from the end in which the end record stands, with its remark.
pub const TAIL: u64 = 22 + 65_535;

const LOCAL_MARK: [u8; 4] = *b"PK\x03\x04";
const CENTRAL_MARK: [u8; 4] = *b"PK\x01\x02";
const END_MARK: [u8; 4] = *b"PK\x05\x06";
/// January 1, 1980: archives carry no clock of ours.
const DATE: u16 = 0x0021;

/// Why an archive was not read or written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PackError {
    /// It has no directory.
    #[error("This file is cut off or no archive: its directory is missing.")]
    NoDirectory,
    /// The directory does not hold together.
    #[error("This archive is damaged: its directory does not hold together.")]
    Damaged,
    /// An entry is compressed.
    #[error("This archive was packed by another program: {0} is compressed.")]
    Compressed(String),
    /// It has no bench in it.
    #[error("This archive is no Firstglow file: it holds no bench.")]
    NoBench,
    /// Too much for one archive.
    #[error("This is too much for one file: it ends at four gigabytes.")]
    TooLarge,
}

/// An entry found in an archive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// The CRC-32 of its bytes.
    pub crc: u32,
    /// Its size in bytes.
    pub size: u32,
    /// Where its local header stands.
    pub header: u32,
}

/// Writes an archive piece by piece.
#[derive(Debug, Clone, Default)]
pub struct Packer {
    at: u32,
    count: u16,
    central: Vec<u8>,
}

impl Packer {
    /// The bytes before an entry; its own `size` bytes follow them.
    ///
    /// # Errors
    /// [`PackError::TooLarge`].
    pub fn add(&mut self, name: &str, crc: u32, size: u32) -> Result<Vec<u8>, PackError> {
        let length = u16::try_from(name.len()).map_err(|_| PackError::TooLarge)?;
        let mut shared = Vec::new();
        // Version 2.0, UTF-8 names, stored.
        for number in [20, 0x0800, 0, 0, DATE] {
            shared.extend(u16::to_le_bytes(number));
        }
        for number in [crc, size, size] {
            shared.extend(u32::to_le_bytes(number));
        }
        shared.extend(length.to_le_bytes());
        shared.extend([0, 0]);
        let mut local = LOCAL_MARK.to_vec();
        local.extend(&shared);
        local.extend(name.as_bytes());
        self.central.extend(CENTRAL_MARK);
        self.central.extend(20_u16.to_le_bytes());
        self.central.extend(&shared);
        // No remark, first disk, no attributes.
        self.central.extend([0; 10]);
        self.central.extend(self.at.to_le_bytes());
        self.central.extend(name.as_bytes());
        let whole = u32::try_from(local.len()).ok().and_then(|l| l.checked_add(size));
        self.at = whole.and_then(|w| self.at.checked_add(w)).ok_or(PackError::TooLarge)?;
        self.count = self.count.checked_add(1).ok_or(PackError::TooLarge)?;
        Ok(local)
    }

    /// The directory, which ends the archive.
    pub fn finish(self) -> Vec<u8> {
        let size = u32::try_from(self.central.len()).unwrap_or(u32::MAX);
        let mut end = self.central;
        end.extend(END_MARK);
        end.extend([0; 4]);
        end.extend(self.count.to_le_bytes());
        end.extend(self.count.to_le_bytes());
        end.extend(size.to_le_bytes());
        end.extend(self.at.to_le_bytes());
        end.extend([0; 2]);
        end
    }
}

/// Where the directory stands and how long it is, by the last bytes of a file
/// of `length` bytes ([`TAIL`] of them, or all).
///
/// # Errors
/// [`PackError`].
pub fn directory(tail: &[u8], length: u64) -> Result<(u64, u64), PackError> {
    let at = (0..tail.len().saturating_sub(21))
        .rev()
        .find(|at| tail[*at..].starts_with(&END_MARK))
        .ok_or(PackError::NoDirectory)?;
    let end = &tail[at..];
    let size = u64::from(number(end, 12).ok_or(PackError::NoDirectory)?);
    let start = u64::from(number(end, 16).ok_or(PackError::NoDirectory)?);
    if start + size > length { Err(PackError::Damaged) } else { Ok((start, size)) }
}

/// The entries of a directory.
///
/// # Errors
/// [`PackError`].
pub fn entries(directory: &[u8]) -> Result<Vec<Entry>, PackError> {
    let mut all = Vec::new();
    let mut rest = directory;
    while !rest.is_empty() {
        if !rest.starts_with(&CENTRAL_MARK) {
            return Err(PackError::Damaged);
        }
        let short = |at: usize| {
            let bytes = rest.get(at..at + 2).ok_or(PackError::Damaged)?;
            Ok::<usize, PackError>(usize::from(bytes[0]) | usize::from(bytes[1]) << 8)
        };
        let (name, extra, remark) = (short(28)?, short(30)?, short(32)?);
        let bytes = rest.get(46..46 + name).ok_or(PackError::Damaged)?;
        let name = String::from_utf8_lossy(bytes).into_owned();
        if short(10)? != 0 {
            return Err(PackError::Compressed(name));
        }
        let size = number(rest, 24).ok_or(PackError::Damaged)?;
        let (crc, header) = (number(rest, 16), number(rest, 42));
        let (crc, header) = crc.zip(header).ok_or(PackError::Damaged)?;
        let next = 46 + bytes.len() + extra + remark;
        all.push(Entry { name, crc, size, header });
        rest = rest.get(next..).ok_or(PackError::Damaged)?;
    }
    Ok(all)
}

/// Where an entry's bytes begin, by its local header of [`LOCAL`] bytes.
///
/// # Errors
/// [`PackError::Damaged`].
pub fn begin(entry: &Entry, local: &[u8]) -> Result<u64, PackError> {
    if local.len() < LOCAL || !local.starts_with(&LOCAL_MARK) {
        return Err(PackError::Damaged);
    }
    let short = |at: usize| u64::from(local[at]) | u64::from(local[at + 1]) << 8;
    Ok(u64::from(entry.header) + LOCAL as u64 + short(26) + short(28))
}

fn number(bytes: &[u8], at: usize) -> Option<u32> {
    let bytes = bytes.get(at..at + 4)?;
    Some(u32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]))
}

/// The CRC-32 of ISO 3309 that ZIP uses, four bits at a time.
pub fn crc(bytes: &[u8]) -> u32 {
    let mut table = [0_u32; 16];
    for (index, entry) in (0_u32..).zip(&mut table) {
        *entry = (0..4).fold(
            index,
            |crc, _| {
                if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 }
            },
        );
    }
    let step = |crc: u32| crc >> 4 ^ table[(crc & 15) as usize];
    !bytes.iter().fold(u32::MAX, |crc, byte| step(step(crc ^ u32::from(*byte))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut packer = Packer::default();
        let mut file = Vec::new();
        for (name, bytes) in files {
            file.extend(packer.add(name, crc(bytes), u32::try_from(bytes.len()).unwrap()).unwrap());
            file.extend(*bytes);
        }
        file.extend(packer.finish());
        file
    }

    fn read(file: &[u8]) -> Result<Vec<(String, Vec<u8>)>, PackError> {
        let (start, size) = directory(file, file.len() as u64)?;
        let range = |start: u64, size: u64| {
            let start = usize::try_from(start).unwrap();
            file.get(start..start + usize::try_from(size).unwrap()).ok_or(PackError::Damaged)
        };
        entries(range(start, size)?)?
            .into_iter()
            .map(|entry| {
                let local = range(u64::from(entry.header), LOCAL as u64)?;
                let bytes = range(begin(&entry, local)?, u64::from(entry.size))?;
                if crc(bytes) != entry.crc {
                    return Err(PackError::Damaged);
                }
                Ok((entry.name, bytes.to_vec()))
            })
            .collect()
    }

    /// The check value of CRC-32/ISO-HDLC in published catalogues of CRCs.
    #[test]
    fn the_check_value_is_the_published_one() {
        assert_eq!(crc(b"123456789"), 0xcbf4_3926);
        assert_eq!(crc(b""), 0);
    }

    #[test]
    fn what_is_packed_is_found_again_byte_by_byte() {
        let picture: Vec<u8> = (0..1000_u32).map(|n| (n * 7).to_le_bytes()[0]).collect();
        let file =
            archive(&[(BENCH, b"{}"), ("photos/1-2-3.jpg", &picture), ("photos/é.jpg", b"")]);
        let found = read(&file).unwrap();
        assert_eq!(found.len(), 3);
        assert_eq!(found[1], ("photos/1-2-3.jpg".to_owned(), picture));
        assert_eq!(found[2].0, "photos/é.jpg");
    }

    #[test]
    fn an_archive_cut_anywhere_is_refused_and_never_panics() {
        let file = archive(&[(BENCH, b"{}"), ("photos/1.jpg", b"abcdefgh")]);
        for end in 0..file.len() {
            assert!(read(&file[..end]).is_err(), "cut at {end}");
        }
    }

    #[test]
    fn an_archive_with_any_byte_changed_is_read_the_same_or_refused() {
        let file = archive(&[(BENCH, b"{}"), ("photos/1.jpg", b"abcdefgh")]);
        let whole = read(&file).unwrap();
        for at in 0..file.len() {
            let mut damaged = file.clone();
            damaged[at] ^= 0x55;
            // Names and dates may change unseen; bytes under a name may not.
            if let Ok(found) = std::panic::catch_unwind(|| read(&damaged)).expect("no panic") {
                for (_, bytes) in found {
                    assert!(whole.iter().any(|(_, b)| *b == bytes), "byte {at}");
                }
            }
        }
    }
}
