//! A moment from seconds since the beginning of 1970.

use super::Moment;

impl Moment {
    /// The date and time in UTC, `seconds` after the beginning of 1970.
    ///
    /// Days to a date in the Gregorian calendar by counting 400-year cycles from 1 March of the
    /// year 0, so that the leap day is the last of its year.
    #[must_use]
    pub fn from_unix(seconds: u64) -> Self {
        let (days, time) = (seconds / 86_400, seconds % 86_400);
        let days = days + 719_468;
        let (era, day_of_era) = (days / 146_097, days % 146_097);
        let year_of_era =
            (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
        let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let month_from_march = (5 * day_of_year + 2) / 153;
        let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
        let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
        let year = era * 400 + year_of_era + u64::from(month <= 2);
        let small = |v: u64| u8::try_from(v).unwrap_or_default();
        Self {
            year: u16::try_from(year).unwrap_or(9999),
            month: small(month),
            day: small(day),
            hour: small(time / 3_600),
            minute: small(time / 60 % 60),
            second: small(time % 60),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_around_leap_days_and_centuries() {
        // Seconds from `date -u -d '...' +%s` (GNU coreutils).
        for (seconds, y, m, d, h, min, s) in [
            (0, 1970, 1, 1, 0, 0, 0),
            (951_782_399, 2000, 2, 28, 23, 59, 59),
            (951_782_400, 2000, 2, 29, 0, 0, 0),
            (951_868_800, 2000, 3, 1, 0, 0, 0),
            (1_709_164_800, 2024, 2, 29, 0, 0, 0),
            (1_795_564_800, 2026, 11, 25, 0, 0, 0),
            (4_107_542_400, 2100, 3, 1, 0, 0, 0),
        ] {
            let found = Moment::from_unix(seconds);
            let wanted = Moment { year: y, month: m, day: d, hour: h, minute: min, second: s };
            assert_eq!(found, wanted, "{seconds}");
        }
    }
}
