use super::*;

fn whole(length: usize) -> Vec<u8> {
    (0..length).map(|n| u8::try_from(n * 31 % 251).unwrap_or(0)).collect()
}

fn series(pieces: &[Vec<u8>]) -> Series {
    let mut series = Series::default();
    for piece in pieces {
        series.add(piece).unwrap();
    }
    series
}

#[test]
fn pieces_in_any_order_and_twice_make_the_whole() {
    for length in [0, 1, 99, 100, 101, 1_000, 6_400] {
        let mut cut = pieces(&whole(length), length % 2 == 1, 100).unwrap();
        assert_eq!(cut.len(), length.div_ceil(100).max(1));
        cut.rotate_left(length / 300);
        cut.reverse();
        cut.push(cut[0].clone());
        let found = series(&cut);
        assert_eq!(found.missing(), Vec::<usize>::new());
        let made = found.whole().unwrap();
        assert_eq!((made.bytes, made.is_compressed), (whole(length), length % 2 == 1));
    }
}

#[test]
fn missing_pieces_are_named_as_a_person_counts() {
    let cut = pieces(&whole(450), false, 100).unwrap();
    let found = series(&[cut[0].clone(), cut[3].clone()]);
    assert_eq!((found.of(), found.missing()), (5, vec![2, 3, 5]));
    assert_eq!(found.whole(), Err(ParcelError::Missing));
    assert_eq!(Series::default().whole(), Err(ParcelError::Missing));
}

#[test]
fn a_piece_of_another_whole_begins_anew() {
    let one = pieces(&whole(300), false, 100).unwrap();
    let other = pieces(&whole(299), false, 100).unwrap();
    let found = series(&[one[0].clone(), one[1].clone(), other[2].clone()]);
    assert_eq!(found.missing(), [1, 2]);
}

#[test]
fn a_piece_changed_at_any_bit_or_cut_anywhere_is_refused() {
    let piece = pieces(&whole(40), true, 100).unwrap().remove(0);
    for at in 0..piece.len() {
        for bit in 0..8 {
            let mut damaged = piece.clone();
            damaged[at] ^= 1 << bit;
            assert_eq!(read(&damaged), Err(ParcelError::Damaged));
        }
        assert_eq!(read(&piece[..at]), Err(ParcelError::Damaged));
    }
}

#[test]
fn pieces_that_do_not_belong_together_are_found_out() {
    // As if the checksum of the whole were the same by chance.
    let mut one = pieces(&whole(200), false, 100).unwrap();
    let forged = &mut one[1];
    let end = forged.len() - 4;
    forged[8] ^= 1;
    let own = crc32(&forged[..end]).to_be_bytes();
    forged[end..].copy_from_slice(&own);
    assert_eq!(series(&one).whole(), Err(ParcelError::Mixed));
}

#[test]
fn a_later_format_and_impossible_numbers_are_told_apart() {
    let forge = |at: usize, value: u8| {
        let mut piece = pieces(&whole(40), false, 100).unwrap().remove(0);
        let end = piece.len() - 4;
        piece[at] = value;
        let own = crc32(&piece[..end]).to_be_bytes();
        piece[end..].copy_from_slice(&own);
        read(&piece)
    };
    assert_eq!(forge(0, 7), Err(ParcelError::Newer { found: 7 }));
    assert_eq!(forge(1, 2), Err(ParcelError::Newer { found: 2 }));
    assert_eq!(forge(6, 1), Err(ParcelError::Damaged));
    assert_eq!(forge(7, 0), Err(ParcelError::Damaged));
    assert_eq!(forge(7, 65), Err(ParcelError::Damaged));
}

#[test]
fn what_is_too_large_is_refused_before_anything_is_made() {
    assert_eq!(pieces(&whole(6_401), false, 100), Err(ParcelError::TooLarge));
    assert_eq!(pieces(&whole(10), false, MOST_PIECE), Err(ParcelError::TooLarge));
    assert_eq!(read(&vec![0; MOST_PIECE + 1]), Err(ParcelError::TooLong));
}
