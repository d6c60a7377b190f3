//! A day, a month or a year, as surveys are dated.

use serde::{Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// A day, or a month or a year of which the day isn't known.
///
/// # Invariants
/// There is such a day in the calendar, from 1900 on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Date {
    year: u16,
    /// Nothing where only the year is known.
    month: Option<u8>,
    /// Nothing where the month is all that is known.
    day: Option<u8>,
}

/// No date.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DateError {
    /// It isn't written as one.
    #[error("\"{text}\" is no date; write 2019-06-30, 2019-06 or 2019")]
    Form {
        /// The text as given.
        text: String,
    },
    /// No elevations are so old, or so new.
    #[error("\"{text}\": the year must lie between {} and {}", YEARS[0], YEARS[1])]
    Year {
        /// The text as given.
        text: String,
    },
    /// There is no such month.
    #[error("\"{text}\": there are 12 months, written year-month-day")]
    Month {
        /// The text as given.
        text: String,
    },
    /// There is no such day.
    #[error("\"{text}\": that month has {days} days")]
    Day {
        /// The text as given.
        text: String,
        /// How many the month has.
        days: u8,
    },
}

/// The first and the last year that is taken for one. Ours.
const YEARS: [u16; 2] = [1900, 2199];

impl Date {
    /// The first day that it may be, as year, month and day.
    #[must_use]
    pub fn first_day(self) -> (u16, u8, u8) {
        (self.year, self.month.unwrap_or(1), self.day.unwrap_or(1))
    }

    /// The last day that it may be.
    #[must_use]
    pub fn last_day(self) -> (u16, u8, u8) {
        let month = self.month.unwrap_or(12);
        (self.year, month, self.day.unwrap_or_else(|| days(self.year, month)))
    }

    /// The day that lies so many days after the first of January 1970, by the Gregorian calendar; nothing outside the
    /// years of dates.
    #[must_use]
    pub fn from_days_since_1970(mut left: u64) -> Option<Self> {
        let of_year = |year: u16| 337 + u64::from(days(year, 2));
        let mut year = 1970;
        while left >= of_year(year) {
            left -= of_year(year);
            year += 1;
            if year > YEARS[1] {
                return None;
            }
        }
        let mut month = 1;
        while left >= u64::from(days(year, month)) {
            left -= u64::from(days(year, month));
            month += 1;
        }
        let day = u8::try_from(left + 1).ok()?;
        Some(Self { year, month: Some(month), day: Some(day) })
    }

    /// Whether it may lie before another date.
    #[must_use]
    pub fn may_precede(self, other: Self) -> bool {
        self.first_day() < other.last_day()
    }

    /// Whether it lies before another date, whatever day either is.
    #[must_use]
    pub fn precedes(self, other: Self) -> bool {
        self.last_day() < other.first_day()
    }
}

/// Days of a month in the Gregorian calendar.
const fn days(year: u16, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => 29,
        2 => 28,
        _ => 31,
    }
}

impl FromStr for Date {
    type Err = DateError;

    /// `2019-06-30`, `2019-06` or `2019`.
    fn from_str(text: &str) -> Result<Self, DateError> {
        let form = || DateError::Form { text: text.to_owned() };
        let parts: Vec<&str> = text.trim().split('-').collect();
        let widths: Vec<usize> = parts.iter().map(|part| part.len()).collect();
        let is_digits = |part: &&str| part.bytes().all(|byte| byte.is_ascii_digit());
        if !matches!(widths[..], [4] | [4, 2] | [4, 2, 2]) || !parts.iter().all(is_digits) {
            return Err(form());
        }
        let number = |place: usize| parts.get(place).map(|part| part.parse::<u8>().map_err(|_cause| form()));
        let year: u16 = parts[0].parse().map_err(|_cause| form())?;
        let (month, day) = (number(1).transpose()?, number(2).transpose()?);
        if !(YEARS[0]..=YEARS[1]).contains(&year) {
            return Err(DateError::Year { text: text.to_owned() });
        }
        if month.is_some_and(|month| !(1..=12).contains(&month)) {
            return Err(DateError::Month { text: text.to_owned() });
        }
        let days = days(year, month.unwrap_or(1));
        if day.is_some_and(|day| !(1..=days).contains(&day)) {
            return Err(DateError::Day { text: text.to_owned(), days });
        }
        Ok(Self { year, month, day })
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}", self.year)?;
        [self.month, self.day].into_iter().flatten().try_for_each(|part| write!(f, "-{part:02}"))
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> Date {
        text.parse().expect("a date")
    }

    // The calendar: 2000 and 2024 are leap years, 1900 and 2023 are not.
    #[test]
    fn only_days_of_the_calendar_are_dates() {
        for good in ["2019", "2019-06", "2019-06-30", "2000-02-29", "2024-02-29", "1900-02-28"] {
            assert_eq!(date(good).to_string(), good);
        }
        for (bad, cause) in [
            ("2023-02-29", "28 days"),
            ("1900-02-29", "28 days"),
            ("2019-06-31", "30 days"),
            ("2019-06-00", "30 days"),
            ("2019-13-01", "12 months"),
            ("2019-00", "12 months"),
            ("1850", "between 1900 and 2199"),
            ("30.06.2019", "no date"),
            ("06/30/2019", "no date"),
            ("2019-6-30", "no date"),
            ("last year", "no date"),
            ("", "no date"),
            ("2019-06-30-01", "no date"),
        ] {
            let said = bad.parse::<Date>().expect_err(bad).to_string();
            assert!(said.contains(cause) && said.contains(bad), "{said}");
        }
    }

    // By hand: 1970 has 365 days, 1972 is a leap year (365 + 365 + 31 + 29 days up to its 1st of March); from memory of
    // the usual clock the day 20000 is the 4th of October 2024.
    #[test]
    fn days_are_counted_from_1970_on() {
        for (count, text) in [
            (0, "1970-01-01"),
            (364, "1970-12-31"),
            (365, "1971-01-01"),
            (789, "1972-02-29"),
            (790, "1972-03-01"),
            (20_000, "2024-10-04"),
        ] {
            assert_eq!(Date::from_days_since_1970(count), Some(date(text)), "{count}");
        }
        assert_eq!(Date::from_days_since_1970(100_000), None);
    }

    #[test]
    fn a_month_or_a_year_is_all_of_its_days() {
        assert_eq!(date("2024-02").last_day(), (2024, 2, 29));
        assert_eq!((date("2019").first_day(), date("2019").last_day()), ((2019, 1, 1), (2019, 12, 31)));
        assert!(date("2018").precedes(date("2019-01-01")));
        assert!(!date("2019").precedes(date("2019-06")) && date("2019").may_precede(date("2019-06")));
        assert!(!date("2019-06-30").may_precede(date("2019-06-30")));
        assert!(!date("2020").may_precede(date("2019")));
    }
}
