//! Sets with their photos, out to a file and in again.

use super::browser::files;
use super::browser::pictures::{self, PictureError};
use super::browser::shelf::BrowserShelf;
use super::intake;
use super::state::App;
use crate::bench::Bench;
use crate::bench::photo::Photo;
use crate::store::dropped;
use crate::store::envelope;
use crate::store::pack::{BENCH, Entry, LOCAL, PHOTOS, PackError, Packer, TAIL};
use crate::store::pack::{begin, crc, directory, entries};
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys::{Blob, BlobPropertyBag};
use thiserror::Error;
use wasm_bindgen::JsValue;

/// The largest archive that is taken in, bytes.
const MOST: f64 = 2.0 * 1024.0 * 1024.0 * 1024.0;
/// The largest piece that is read at once, bytes.
const MOST_PIECE: u64 = 64 * 1024 * 1024;

/// Why an archive did not go out or come in.
#[derive(Debug, Error)]
enum FileError {
    #[error(transparent)]
    Pack(#[from] PackError),
    #[error("{0}")]
    Bench(#[from] envelope::ReadError),
    #[error("The bench could not be written down.")]
    Unwritable,
    #[error("The file could not be read from the disk.")]
    Disk,
    #[error("The photos were not kept: {0}. Free some room and open the file again.")]
    Picture(#[from] PictureError),
    #[error("It is over 2 GB, too large for a set with its photos.")]
    TooLarge,
}

/// Hands the user a bench with its photos as one archive.
pub fn export(app: App, bench: Bench, name: String) {
    spawn_local(async move {
        match pack(&bench).await {
            Ok((blob, 0)) if files::hand_over(&name, &blob) => {
                app.say(format!("{name} holds it with its photos."), None);
            }
            Ok((blob, missing)) if files::hand_over(&name, &blob) => app.say(
                format!("{name} holds it; {missing} of its photos are not in this browser."),
                None,
            ),
            Ok(_) => app.say("The browser did not take the file.", None),
            Err(error) => app.say(error.to_string(), None),
        }
    });
}

/// The archive, and how many photos are not in this browser.
async fn pack(bench: &Bench) -> Result<(Blob, usize), FileError> {
    let document = envelope::write(bench).map_err(|_| FileError::Unwritable)?;
    let mut packer = Packer::default();
    let pieces = js_sys::Array::new();
    let put = |bytes: &[u8]| pieces.push(&js_sys::Uint8Array::from(bytes));
    let size = u32::try_from(document.len()).map_err(|_| PackError::TooLarge)?;
    put(&packer.add(BENCH, crc(document.as_bytes()), size)?);
    put(document.as_bytes());
    let mut missing = 0;
    for photo in photos(bench) {
        let found = pictures::get(&photo.id).await?;
        let Some(blob) = found.filter(|b| (b.size() - f64::from(photo.bytes)).abs() < 0.5) else {
            missing += 1;
            continue;
        };
        put(&packer.add(&entry_name(&photo.id), photo.crc, photo.bytes)?);
        pieces.push(&blob);
    }
    put(&packer.finish());
    let kind = BlobPropertyBag::new();
    kind.set_type("application/zip");
    let blob = Blob::new_with_blob_sequence_and_options(&JsValue::from(pieces), &kind);
    Ok((blob.map_err(|_| FileError::Disk)?, missing))
}

fn entry_name(id: &str) -> String {
    format!("{PHOTOS}{id}.jpg")
}

/// The photos of a bench, each once.
fn photos(bench: &Bench) -> Vec<Photo> {
    let mut all: Vec<Photo> = Vec::new();
    for photo in bench.sets.iter().flat_map(|s| &s.photos) {
        if photo.is_well_named() && all.iter().all(|p| p.id != photo.id) {
            all.push(photo.clone());
        }
    }
    all
}

/// Takes an archive in.
pub fn take(app: App, file: Blob, name: String) {
    spawn_local(async move {
        match unpack(&file).await {
            Ok((bench, 0)) => intake::join(app, bench, ""),
            Ok((bench, damaged)) => {
                let words =
                    format!(" {damaged} of its photos were damaged or missing in the file.");
                intake::join(app, bench, &words);
            }
            Err(error) => app.say(format!("{name}: {error} Nothing changed."), None),
        }
    });
}

/// The bench of an archive, its photos kept, and how many were not whole.
async fn unpack(file: &Blob) -> Result<(Bench, usize), FileError> {
    let length = file.size();
    if length > MOST {
        return Err(FileError::TooLarge);
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most MOST
    let length = length as u64;
    let tail = length.saturating_sub(TAIL);
    let (start, size) = directory(&piece(file, tail, length - tail).await?, length)?;
    let entries = entries(&piece(file, start, size).await?)?;
    let find = |name: &str| entries.iter().find(|e| e.name == name);
    let document = content(file, find(BENCH).ok_or(PackError::NoBench)?).await?;
    let text = String::from_utf8(document).map_err(|_| PackError::Damaged)?;
    let mut bench = envelope::read(&text)?;
    for set in &mut bench.sets {
        set.photos.retain(Photo::is_well_named);
    }
    let mut damaged = 0;
    let mut kept: Vec<String> = Vec::new();
    for photo in photos(&bench) {
        let whole = match find(&entry_name(&photo.id)) {
            Some(entry) => content(file, entry).await.ok(),
            None => None,
        };
        let Some(bytes) = whole.filter(|b| crc(b) == photo.crc) else {
            damaged += 1;
            continue;
        };
        let is_new = pictures::get(&photo.id).await?.is_none();
        if let Err(error) = keep(&photo.id, &bytes).await {
            // All or nothing: what came in so far goes out again.
            for id in kept {
                pictures::remove(&id).await;
            }
            return Err(error.into());
        }
        kept.extend(is_new.then_some(photo.id));
    }
    Ok((bench, damaged))
}

async fn keep(id: &str, bytes: &[u8]) -> Result<(), PictureError> {
    let pieces = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
    let kind = BlobPropertyBag::new();
    kind.set_type("image/jpeg");
    let blob = Blob::new_with_u8_array_sequence_and_options(&pieces, &kind);
    pictures::put(id, &blob.map_err(|_| PictureError::NoPicture)?).await
}

/// The bytes of an entry, checked.
async fn content(file: &Blob, entry: &Entry) -> Result<Vec<u8>, FileError> {
    let local = piece(file, u64::from(entry.header), LOCAL as u64).await?;
    let bytes = piece(file, begin(entry, &local)?, u64::from(entry.size)).await?;
    if crc(&bytes) == entry.crc { Ok(bytes) } else { Err(PackError::Damaged.into()) }
}

async fn piece(file: &Blob, start: u64, size: u64) -> Result<Vec<u8>, FileError> {
    if size > MOST_PIECE {
        return Err(FileError::TooLarge);
    }
    #[allow(clippy::cast_precision_loss)] // at most MOST
    let (from, to) = (start as f64, (start + size) as f64);
    let slice = file.slice_with_f64_and_f64(from, to).map_err(|_| FileError::Disk)?;
    pictures::bytes(&slice).await.map_err(|_| FileError::Disk)
}

/// Drops pictures that neither a set nor a backup has any more, those among
/// them that were dropped before and waited for that.
pub fn drop_unused(app: App, ids: Vec<String>) {
    let go = app.bench.with_untracked(|bench| dropped::to_go(&BrowserShelf, bench, ids));
    spawn_local(async move {
        // Where the shelf cannot be read, they stay: they are only room.
        for id in go.unwrap_or_default() {
            pictures::remove(&id).await;
        }
    });
}

/// Tells what was brought back, and how many of its pictures are gone from
/// this browser.
pub fn brought_back(app: App, bench: Bench, words: &'static str) {
    spawn_local(async move {
        let mut missing = 0;
        for photo in photos(&bench) {
            // Without a database no picture is there either.
            missing += usize::from(!pictures::get(&photo.id).await.is_ok_and(|p| p.is_some()));
        }
        let gone = match missing {
            0 => String::new(),
            _ => format!(" {} no longer in this browser.", are(missing)),
        };
        app.say(format!("{words}{gone}"), None);
    });
}

fn are(pictures: usize) -> String {
    if pictures == 1 {
        "1 of its pictures is".to_owned()
    } else {
        format!("{pictures} of its pictures are")
    }
}
