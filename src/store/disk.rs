//! The second copy of the saved bench, which lies on the disk before the page
//! calls anything saved.
//!
//! The shelf of a browser takes a text at once and writes it down in its own
//! time: a browser that is killed loses the last seconds of it, or more. The
//! browser's database says when a text lies on the disk, but not at once. So a
//! document goes onto the shelf first, where other pages see it, and is called
//! saved when its copy lies in the database too. At the next start what the
//! shelf has lost is taken from there ([`super::keeper::Keeper::take_in`]).

use super::envelope;
use super::trail::Trail;

/// What to do where a document is to be laid down and something lies there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// All that lies there is in the document: it takes its place.
    Lay,
    /// All of the document is in what lies there: it is the same, or was written
    /// by a page that went on from it.
    There,
    /// Each has something of its own, or what lies there cannot be read. It is
    /// to be looked at first.
    Look,
}

/// How a document with that trail stands to what lies in the database.
pub fn verdict(found: Option<&str>, trail: &Trail) -> Verdict {
    let Some(found) = found else { return Verdict::Lay };
    match envelope::trail(found) {
        Ok(old) if old.contains(trail) => Verdict::There,
        Ok(old) if trail.contains(&old) => Verdict::Lay,
        Ok(_) | Err(_) => Verdict::Look,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::Bench;

    #[test]
    fn a_later_document_takes_the_place_of_an_earlier_one_and_never_the_other_way() {
        let trail = |writes: &[(&str, u64)]| writes.iter().copied().collect::<Trail>();
        let found = envelope::write_after(&Bench::default(), &trail(&[("a", 2)])).unwrap();
        let verdict = |writes: &[(&str, u64)]| verdict(Some(&found), &trail(writes));
        assert_eq!(verdict(&[("a", 3)]), Verdict::Lay);
        assert_eq!(verdict(&[("a", 2), ("b", 1)]), Verdict::Lay);
        assert_eq!(verdict(&[("a", 2)]), Verdict::There);
        assert_eq!(verdict(&[("a", 1)]), Verdict::There);
        assert_eq!(verdict(&[("a", 1), ("b", 1)]), Verdict::Look);
        assert_eq!(super::verdict(None, &trail(&[])), Verdict::Lay);
    }

    #[test]
    fn what_cannot_be_read_is_looked_at_and_not_written_over() {
        let trail = [("a", 9)].into_iter().collect();
        for found in ["", "half a docu", r#"{"type":"firstglow-bench","version":9,"data":{}}"#] {
            assert_eq!(verdict(Some(found), &trail), Verdict::Look, "{found}");
        }
    }
}
