//! Moments, and how they are written for the person at the bench.
//!
//! ```
//! use firstglow::bench::stamp::Stamp;
//! assert_eq!(Stamp(951_827_696_000).day(0), "Feb 29, 2000");
//! assert_eq!(Stamp(951_827_696_000).day_and_time(-300), "Feb 29, 2000, 07:34");
//! ```

use serde::{Deserialize, Serialize};

/// Milliseconds since the start of 1970, UTC.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct Stamp(pub u64);

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// A stamp past this is a damaged one (the year 9999).
const LAST_SECOND: u64 = 253_402_300_799;

impl Stamp {
    /// `Feb 29, 2000`, with the minutes that local time runs ahead of UTC.
    pub fn day(self, ahead_minutes: i32) -> String {
        let (year, month, day) = civil(self.local_minutes(ahead_minutes).div_euclid(24 * 60));
        format!("{} {day}, {year}", MONTHS[month])
    }

    /// `Feb 29, 2000, 12:34`.
    pub fn day_and_time(self, ahead_minutes: i32) -> String {
        let minute = self.local_minutes(ahead_minutes).rem_euclid(24 * 60);
        format!("{}, {:02}:{:02}", self.day(ahead_minutes), minute / 60, minute % 60)
    }

    /// `2000-02-29`, for file names.
    pub fn iso_day(self, ahead_minutes: i32) -> String {
        let (year, month, day) = civil(self.local_minutes(ahead_minutes).div_euclid(24 * 60));
        format!("{year:04}-{:02}-{day:02}", month + 1)
    }

    fn local_minutes(self, ahead_minutes: i32) -> i64 {
        let seconds = (self.0 / 1000).min(LAST_SECOND);
        i64::try_from(seconds / 60).unwrap_or(0) + i64::from(ahead_minutes)
    }
}

/// Year, month (from 0) and day of a day counted from 1970-01-01, in the
/// Gregorian calendar: eras of 400 years that start on March 1.
fn civil(days: i64) -> (i64, usize, i64) {
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let day_of_era = shifted.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = usize::try_from((month_from_march + 2) % 12).unwrap_or(0);
    let year = year_of_era + era * 400 + i64::from(month < 2);
    (year, month, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_told_right_across_leap_years_and_centuries() {
        for (seconds, day) in [
            (0, "1970-01-01"),
            (951_782_400, "2000-02-29"),
            (951_868_800, "2000-03-01"),
            (1_735_689_599, "2024-12-31"),
            (1_735_689_600, "2025-01-01"),
            (4_107_542_400, "2100-03-01"),
        ] {
            assert_eq!(Stamp(seconds * 1000).iso_day(0), day);
        }
    }

    #[test]
    fn local_time_moves_the_day() {
        let new_year = Stamp(1_735_689_600_000);
        assert_eq!(new_year.iso_day(-60), "2024-12-31");
        assert_eq!(new_year.day_and_time(90), "Jan 1, 2025, 01:30");
    }

    #[test]
    fn a_damaged_stamp_is_still_a_date() {
        assert_eq!(Stamp(u64::MAX).iso_day(0), "9999-12-31");
    }
}
