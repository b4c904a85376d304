//! What is carried, and in how many codes.

use super::code::{Code, code};
use crate::bench::Bench;
use crate::bench::list::{CarriedList, ListGroup, ListLine};
use crate::bench::stamp::Stamp;
use crate::store::parcel::{self, AROUND, MOST_PIECE, ParcelError, text};
use crate::ui::buy::model::Section;

/// Bytes of a code's share: with the address about 89 modules a side, which a
/// telephone reads from a screen at an arm's length.
pub const SHARE: usize = 440;

/// The longest link that browsers and messages pass on unharmed, in letters.
/// Common practice, no source.
const LONGEST_LINK: usize = 30_000;

/// What is shown for something to be carried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ready {
    /// The codes, in order, or why there are none.
    pub codes: Result<Vec<Code>, ParcelError>,
    /// The link, or why there is none.
    pub link: Result<String, ParcelError>,
}

/// Cuts packed bytes into codes and puts them into a link. `page` is the
/// address of the app; one that only this device can open is left out.
pub fn ready(packed: &[u8], is_compressed: bool, page: &str) -> Ready {
    let page = if opens_elsewhere(page) { page } else { "" };
    let codes = parcel::pieces(packed, is_compressed, SHARE).and_then(|pieces| {
        let codes = pieces.iter().map(|piece| {
            let (letters, digits) = text::code(page, piece);
            code(&letters, &digits)
        });
        codes.collect::<Option<Vec<_>>>().ok_or(ParcelError::TooLarge)
    });
    let share = packed.len().clamp(1, MOST_PIECE - AROUND);
    let link = parcel::pieces(packed, is_compressed, share).and_then(|pieces| {
        let link = pieces.first().map(|piece| text::link(page, piece)).unwrap_or_default();
        if pieces.len() == 1 && link.len() <= LONGEST_LINK {
            Ok(link)
        } else {
            Err(ParcelError::TooLarge)
        }
    });
    Ready { codes, link }
}

/// Whether another device can open the address: not one that leads to this
/// device itself, nor a file.
pub fn opens_elsewhere(page: &str) -> bool {
    let Some((scheme, rest)) = page.split_once("://") else { return false };
    let end = rest.find(['/', '?', '#']).unwrap_or(rest.len());
    let host = rest[..end].rsplit_once(':').map_or(&rest[..end], |(host, _)| host);
    let is_own = matches!(host, "localhost" | "[::1]" | "") || host.starts_with("127.");
    scheme.starts_with("http") && !is_own
}

/// The buying list of a set as a bench of its own, to be carried.
pub fn carried(name: &str, sections: &[Section], now: Stamp) -> Bench {
    let groups = sections.iter().map(|section| ListGroup {
        title: section.title.clone(),
        class: section.class.unwrap_or_default().to_owned(),
        lines: section
            .lines
            .iter()
            .map(|line| ListLine {
                pieces: line.pieces,
                value: line.value.clone(),
                parts: line.parts.clone(),
                got: false,
            })
            .collect(),
    });
    let list = CarriedList { id: now, name: name.to_owned(), groups: groups.collect() };
    Bench { lists: vec![list], ..Bench::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::parcel::Series;

    const PAGE: &str = "https://example.org/firstglow/";

    fn bytes(length: usize) -> Vec<u8> {
        (0..length).map(|n| u8::try_from(n * 97 % 256).unwrap_or(0)).collect()
    }

    #[test]
    fn the_link_and_each_code_carry_what_was_packed() {
        let ready = ready(&bytes(1_500), true, PAGE);
        assert_eq!(ready.codes.unwrap().len(), 4);
        let mut series = Series::default();
        series.add(&text::payload(&ready.link.unwrap()).unwrap()).unwrap();
        assert_eq!(series.whole().unwrap().bytes, bytes(1_500));
    }

    #[test]
    fn an_address_of_this_device_alone_is_not_given_away() {
        let link = ready(&bytes(9), true, "file:///home/me/firstglow.html").link.unwrap();
        assert!(link.starts_with("#/take/b"), "{link}");
    }

    #[test]
    fn codes_are_small_enough_for_a_telephone() {
        let ready = ready(&bytes(SHARE), true, &format!("https://{}/", "x".repeat(60)));
        let size = ready.codes.unwrap()[0].size;
        assert!(size <= 97, "{size} modules");
    }

    #[test]
    fn what_is_too_large_for_codes_or_a_link_says_so() {
        let middling = ready(&bytes(25_000), true, PAGE);
        assert_eq!(middling.link, Err(ParcelError::TooLarge));
        assert!(middling.codes.is_ok());
        let large = ready(&bytes(SHARE * parcel::MOST_PIECES + 1), true, PAGE);
        assert_eq!(large.codes, Err(ParcelError::TooLarge));
        assert_eq!(large.link, Err(ParcelError::TooLarge));
        assert!(ready(&bytes(200_000), true, PAGE).link.is_err());
    }

    #[test]
    fn addresses_of_this_device_alone_are_known() {
        for own in [
            "file:///home/firstglow.html",
            "http://localhost:8484/",
            "http://127.0.0.1:8484/",
            "http://[::1]:8484/",
            "http://localhost",
        ] {
            assert!(!opens_elsewhere(own), "{own}");
        }
        for other in [PAGE, "http://192.168.1.7:8484/", "https://localhost.example/"] {
            assert!(opens_elsewhere(other), "{other}");
        }
    }
}
