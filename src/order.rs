//! Sorting by numbers.
//!
//! The standard sort is compiled for each type that is sorted, some kilobytes
//! of wasm a piece. This one is compiled once.

/// What things are sorted by, the first number first.
pub type Key = [usize; 3];

/// Sorts things by their keys; what has the same key keeps its order.
pub fn sort<T>(things: &mut Vec<T>, key: impl Fn(&T) -> Key) {
    let keys = things.iter().map(key).collect();
    let mut taken: Vec<Option<T>> = things.drain(..).map(Some).collect();
    things.extend(places(keys).into_iter().filter_map(|at| taken.get_mut(at)?.take()));
}

/// A key by which floats rise.
pub fn rising(float: f64) -> Key {
    let bits = float.to_bits();
    // As the standard's `total_cmp` orders them.
    halves(if float.is_sign_negative() { !bits } else { bits | 1 << 63 })
}

/// A key by which floats fall.
pub fn falling(float: f64) -> Key {
    rising(float).map(|part| HALF - part)
}

/// A key by which whole numbers rise.
pub fn counting(number: u64) -> Key {
    halves(number)
}

/// The largest of the halves of a key.
const HALF: usize = u32::MAX as usize;

#[allow(clippy::cast_possible_truncation)] // each half fits
fn halves(bits: u64) -> Key {
    [(bits >> 32) as usize, bits as u32 as usize, 0]
}

/// The places of keys, in the order of the keys.
fn places(keys: Vec<Key>) -> Vec<usize> {
    let mut keys: Vec<(Key, usize)> = keys.into_iter().zip(0..).collect();
    // No two are the same, by their places.
    keys.sort_unstable();
    keys.into_iter().map(|(_, at)| at).collect()
}

#[cfg(test)]
mod tests {
    use super::{falling, rising, sort};

    #[test]
    fn the_first_number_decides_first() {
        let mut found = vec![[2, 1], [1, 2], [1, 1]];
        sort(&mut found, |n| [n[0], n[1], 0]);
        assert_eq!(found, [[1, 1], [1, 2], [2, 1]]);
    }

    #[test]
    fn floats_rise_and_fall() {
        let mut found = vec![0.5, -2.0, f64::INFINITY, 1e-9, 0.0, -0.5];
        sort(&mut found, |n| rising(*n));
        assert_eq!(found, [-2.0, -0.5, 0.0, 1e-9, 0.5, f64::INFINITY]);
        sort(&mut found, |n| falling(*n));
        assert_eq!(found, [f64::INFINITY, 0.5, 1e-9, 0.0, -0.5, -2.0]);
    }

    #[test]
    fn what_has_the_same_key_keeps_its_order() {
        let mut words = vec!["bb", "c", "aa", "b", "a"];
        sort(&mut words, |w| [w.len(), 0, 0]);
        assert_eq!(words, ["c", "b", "a", "bb", "aa"]);
    }
}
