//! The part that is meant by what was typed.

use crate::letters::Letters;

/// The key that is typed; or else the first that begins with it; or else the
/// first that has it somewhere. Capitals do not matter.
pub fn find<'a>(keys: &'a [String], typed: &str) -> Option<&'a String> {
    let typed = typed.trim().lower();
    if typed.is_empty() {
        return None;
    }
    let first = |fits: &dyn Fn(&str) -> bool| keys.iter().find(|key| fits(&key.lower()));
    first(&|key| key == typed)
        .or_else(|| first(&|key| key.starts_with(&typed)))
        .or_else(|| first(&|key| key.contains(&typed)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_part_itself_comes_before_those_that_begin_like_it() {
        let keys = ["C10", "C1A", "C1", "R10"].map(str::to_owned);
        let found = |typed| find(&keys, typed).map(String::as_str);
        assert_eq!(found(" c1 "), Some("C1"));
        assert_eq!(found("c1a"), Some("C1A"));
        assert_eq!(found("r"), Some("R10"));
        assert_eq!(found("10"), Some("C10"));
        assert_eq!(found("V1"), None);
        assert_eq!(found(" "), None);
    }
}
