//! Hold timers: what is left of a wait that began at a moment kept with the
//! set, so that it runs on through a reload or a locked screen.

use super::stamp::Stamp;

/// How a hold stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hold {
    /// Not begun.
    Waiting,
    /// Running, with the seconds left.
    Running(u32),
    /// Over.
    Over,
}

/// How a hold of `seconds` stands at `now`. A clock set back meanwhile shows
/// the full hold again, never more.
pub fn standing(started: Option<Stamp>, seconds: u32, now: Stamp) -> Hold {
    let Some(started) = started else { return Hold::Waiting };
    let gone = now.0.saturating_sub(started.0);
    let whole = u64::from(seconds) * 1000;
    if gone >= whole {
        return Hold::Over;
    }
    Hold::Running(u32::try_from((whole - gone).div_ceil(1000)).unwrap_or(seconds))
}

/// `2:05`, or `1:02:05` from an hour up.
pub fn clock(seconds: u32) -> String {
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{rest:02}")
    } else {
        format!("{minutes}:{rest:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hold_counts_down_whole_seconds_and_ends() {
        let start = Some(Stamp(10_000));
        assert_eq!(standing(None, 120, Stamp(0)), Hold::Waiting);
        assert_eq!(standing(start, 120, Stamp(10_000)), Hold::Running(120));
        assert_eq!(standing(start, 120, Stamp(10_001)), Hold::Running(120));
        assert_eq!(standing(start, 120, Stamp(129_001)), Hold::Running(1));
        assert_eq!(standing(start, 120, Stamp(130_000)), Hold::Over);
    }

    #[test]
    fn a_clock_set_back_never_lengthens_a_hold() {
        assert_eq!(standing(Some(Stamp(10_000)), 60, Stamp(0)), Hold::Running(60));
    }

    #[test]
    fn times_read_like_a_kitchen_timer() {
        assert_eq!(clock(0), "0:00");
        assert_eq!(clock(125), "2:05");
        assert_eq!(clock(3725), "1:02:05");
    }
}
