//! Pictures that the bench shows no more. A picture lies once in the browser's
//! database, and a backup holds its description alone: while a backup has it,
//! the picture stays, so that it can be brought back whole.

use super::keeper::KEY;
use super::shelf::{Shelf, ShelfError};
use crate::bench::Bench;

/// What the names of pictures lie under that go when no backup has them any more.
const WAITING: &str = "firstglow/pictures-dropped";

/// Which of the pictures of these names, and of those dropped before, can go
/// now. The others are remembered.
///
/// # Errors
/// [`ShelfError`] when the shelf cannot be read: then none may go.
pub fn to_go(
    shelf: &impl Shelf,
    bench: &Bench,
    ids: Vec<String>,
) -> Result<Vec<String>, ShelfError> {
    let before = shelf.get(WAITING)?.unwrap_or_default();
    let mut ids = ids;
    for id in before.lines().filter(|id| !id.is_empty()) {
        if !ids.iter().any(|other| other == id) {
            ids.push(id.to_owned());
        }
    }
    // One that was brought back is no longer dropped.
    let shown = |id: &String| bench.sets.iter().flat_map(|s| &s.photos).any(|p| p.id == *id);
    ids.retain(|id| !shown(id));
    if ids.is_empty() && before.is_empty() {
        return Ok(ids);
    }
    let mut kept = Vec::new();
    for key in shelf.keys()?.iter().filter(|key| key.starts_with(KEY) && *key != KEY) {
        kept.extend(shelf.get(key)?);
    }
    // A name is letters, digits and dashes: it stands in a document as it is.
    let (waiting, go): (Vec<String>, Vec<String>) =
        ids.into_iter().partition(|id| kept.iter().any(|text| text.contains(id)));
    if waiting.is_empty() {
        shelf.remove(WAITING)?;
    } else {
        shelf.set(WAITING, &waiting.join("\n"))?;
    }
    Ok(go)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::photo::Photo;
    use crate::bench::stamp::Stamp;
    use crate::store::backups;
    use crate::store::shelf::memory::MemoryShelf;

    fn bench(photos: &[&str]) -> Bench {
        let mut bench = Bench::default();
        let id = bench.add("set A", Stamp(1));
        let photo = |id: &&str| Photo { id: (*id).to_owned(), ..Photo::default() };
        bench.set_mut(id).unwrap().photos = photos.iter().map(photo).collect();
        bench
    }

    fn ids(ids: &[&str]) -> Vec<String> {
        ids.iter().map(|id| (*id).to_owned()).collect()
    }

    #[test]
    fn a_picture_of_a_backup_stays_until_the_backup_goes() {
        let shelf = MemoryShelf::default();
        let shelf = &&shelf;
        backups::keep(shelf, &bench(&["1-aa-5", "2-bb-5"]), Stamp(7)).unwrap();
        let now = bench(&["2-bb-5"]);
        assert_eq!(to_go(shelf, &now, ids(&["1-aa-5", "3-cc-5"])).unwrap(), ids(&["3-cc-5"]));
        assert_eq!(to_go(shelf, &now, Vec::new()).unwrap(), ids(&[]));
        shelf.remove("firstglow/bench/backup/7").unwrap();
        assert_eq!(to_go(shelf, &now, Vec::new()).unwrap(), ids(&["1-aa-5"]));
        assert_eq!(shelf.keys().unwrap(), ids(&[]), "nothing is left to be remembered");
    }

    #[test]
    fn a_picture_that_was_brought_back_is_not_dropped_later() {
        let shelf = MemoryShelf::default();
        let shelf = &&shelf;
        let with = bench(&["1-aa-5"]);
        backups::keep(shelf, &with, Stamp(7)).unwrap();
        assert_eq!(to_go(shelf, &bench(&[]), ids(&["1-aa-5"])).unwrap(), ids(&[]));
        assert_eq!(to_go(shelf, &with, Vec::new()).unwrap(), ids(&[]));
        shelf.remove("firstglow/bench/backup/7").unwrap();
        assert_eq!(to_go(shelf, &with, Vec::new()).unwrap(), ids(&[]));
        assert_eq!(to_go(shelf, &bench(&[]), Vec::new()).unwrap(), ids(&[]));
    }

    #[test]
    fn where_the_shelf_cannot_be_read_or_written_no_picture_goes() {
        let shelf = MemoryShelf::default();
        backups::keep(&&shelf, &bench(&["1-aa-5"]), Stamp(7)).unwrap();
        shelf.life.set(0);
        assert!(to_go(&&shelf, &bench(&[]), ids(&["1-aa-5", "2-bb-5"])).is_err());
    }
}
