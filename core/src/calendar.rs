//! Days, wall-clock times and clock changes, in whole numbers and without a time zone.
//!
//! The Gregorian calendar and the written forms are those of ISO 8601 (`2026-03-29`, `2026-03-29T02:00:00`). Nothing
//! here knows today's date or a time zone: what the wall clock shows comes in, and changes of the clock come in as a
//! list (see [`wall`]).

pub mod wall;

use std::fmt;

use crate::invalid::Problem;

/// Seconds of a day on which the clock is not changed.
pub const DAY_SECONDS: i64 = 86_400;

const DATE_WANTED: Problem = Problem::Other("must be a date YYYY-MM-DD, years 0001 to 9999");
const CLOCK_WANTED: Problem = Problem::Other("must be a time HH:MM, 00:00 to 23:59");
const LOCAL_WANTED: Problem = Problem::Other(
    "must be a local date and time YYYY-MM-DDTHH:MM:SS; the seconds may be left out",
);

/// A day of the week. The week begins on Monday, as in ISO 8601.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weekday {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

impl Weekday {
    /// The week in order.
    pub const ALL: [Self; 7] = [
        Self::Monday,
        Self::Tuesday,
        Self::Wednesday,
        Self::Thursday,
        Self::Friday,
        Self::Saturday,
        Self::Sunday,
    ];
    /// The word of each day at the JSON door, in the order of [`Weekday::ALL`].
    pub const WORDS: &'static [&'static str] = &["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
}

/// A day of the Gregorian calendar; inside, days since 1970-01-01.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(i32);

impl Date {
    /// 1970-01-01.
    pub const EPOCH: Self = Self(0);

    /// The day `day` of month `month`, both counted from 1.
    ///
    /// # Errors
    /// A year outside 1 to 9999, or a day that the calendar does not have.
    pub fn try_new(year: i32, month: u32, day: u32) -> Result<Self, Problem> {
        if !(1..=9999).contains(&year) || !(1..=12).contains(&month) {
            return Err(DATE_WANTED);
        }
        if day == 0 || day > days_in_month(year, month) {
            return Err(DATE_WANTED);
        }
        Ok(Self(days_from_civil(year, month as i32, day as i32)))
    }

    /// Reads `YYYY-MM-DD`.
    ///
    /// # Errors
    /// Anything else, and days that the calendar does not have.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let bytes = text.as_bytes();
        if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' {
            return Err(DATE_WANTED);
        }
        match (
            digits(&bytes[..4]),
            digits(&bytes[5..7]),
            digits(&bytes[8..]),
        ) {
            (Some(year), Some(month), Some(day)) => Self::try_new(year as i32, month, day),
            _ => Err(DATE_WANTED),
        }
    }

    /// Year, month and day, the last two counted from 1.
    pub const fn year_month_day(self) -> (i32, u32, u32) {
        let (year, month, day) = civil_from_days(self.0);
        (year, month as u32, day as u32)
    }

    /// The day of the week.
    pub const fn weekday(self) -> Weekday {
        // 1970-01-01 was a Thursday.
        Weekday::ALL[(self.0 as i64 + 3).rem_euclid(7) as usize]
    }

    /// The day of the year, 1 January being 1.
    pub const fn day_of_year(self) -> u32 {
        let (year, _, _) = self.year_month_day();
        (self.0 - days_from_civil(year, 1, 1) + 1) as u32
    }

    /// 1 January of its year.
    pub const fn first_of_year(self) -> Self {
        let (year, _, _) = self.year_month_day();
        Self(days_from_civil(year, 1, 1))
    }

    /// How many days a month has, January being 1.
    pub const fn days_in_month(year: i32, month: u32) -> u32 {
        days_in_month(year, month)
    }

    /// The date that many days later, or earlier when negative.
    #[must_use]
    pub const fn plus_days(self, days: i32) -> Self {
        Self(self.0.saturating_add(days))
    }

    /// How many days this date lies after `other`; negative when before.
    pub const fn days_since(self, other: Self) -> i32 {
        self.0.saturating_sub(other.0)
    }

    /// That clock time on this date.
    pub const fn at(self, time: ClockTime) -> LocalTime {
        LocalTime(self.0 as i64 * DAY_SECONDS + time.0 as i64 * 60)
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.year_month_day();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

/// A time of day as it is keyed: whole minutes, 00:00 to 23:59.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ClockTime(u16);

impl ClockTime {
    /// 00:00.
    pub const MIDNIGHT: Self = Self(0);
    /// 12:00.
    pub const NOON: Self = Self(720);

    /// The minute of the day, 0 to 1439.
    ///
    /// # Errors
    /// A minute that the day does not have.
    pub const fn try_minute_of_day(minute: u32) -> Result<Self, Problem> {
        if minute < 1440 {
            Ok(Self(minute as u16))
        } else {
            Err(CLOCK_WANTED)
        }
    }

    /// Reads `HH:MM`.
    ///
    /// # Errors
    /// Anything else, and times that the day does not have.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let bytes = text.as_bytes();
        if bytes.len() != 5 || bytes[2] != b':' {
            return Err(CLOCK_WANTED);
        }
        match (digits(&bytes[..2]), digits(&bytes[3..])) {
            (Some(hour), Some(minute)) if hour < 24 && minute < 60 => {
                Self::try_minute_of_day(hour * 60 + minute)
            }
            _ => Err(CLOCK_WANTED),
        }
    }

    /// The minute of the day, 0 to 1439.
    pub const fn to_minute_of_day(self) -> u32 {
        self.0 as u32
    }
}

impl fmt::Display for ClockTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

/// What a wall clock with a calendar shows, to the second; no time zone belongs to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LocalTime(i64);

impl LocalTime {
    /// Seconds since 1970-01-01T00:00:00 on the same clock.
    pub const fn to_seconds(self) -> i64 {
        self.0
    }

    /// Reads `YYYY-MM-DDTHH:MM:SS`; the seconds may be left out.
    ///
    /// # Errors
    /// Anything else, and days or times that do not exist.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let (Some(date), Some(time)) = (text.get(..10), text.get(10..)) else {
            return Err(LOCAL_WANTED);
        };
        let seconds = match time.as_bytes() {
            [b'T', _, _, b':', _, _] => Some(0),
            [b'T', _, _, b':', _, _, b':', tens, ones] => digits(&[*tens, *ones]),
            _ => None,
        };
        let clock = time.get(1..6).map(ClockTime::parse);
        match (Date::parse(date), clock, seconds) {
            (Ok(date), Some(Ok(clock)), Some(seconds)) if seconds < 60 => {
                Ok(date.at(clock).plus_seconds(i64::from(seconds)))
            }
            _ => Err(LOCAL_WANTED),
        }
    }

    /// The date it shows.
    pub const fn date(self) -> Date {
        let days = self.0.div_euclid(DAY_SECONDS);
        Date(if days > i32::MAX as i64 {
            i32::MAX
        } else {
            days as i32
        })
    }

    /// Seconds since the clock showed 00:00, 0 to 86,399.
    pub const fn second_of_day(self) -> u32 {
        self.0.rem_euclid(DAY_SECONDS) as u32
    }

    /// The time of day it shows, its seconds left out.
    pub const fn clock_time(self) -> ClockTime {
        ClockTime((self.second_of_day() / 60) as u16)
    }

    /// What a clock that is not changed shows that many seconds later.
    #[must_use]
    pub const fn plus_seconds(self, seconds: i64) -> Self {
        Self(self.0.saturating_add(seconds))
    }

    /// How many seconds a clock that is not changed takes from `other` to here; negative when `other` is later.
    pub const fn seconds_since(self, other: Self) -> i64 {
        self.0.saturating_sub(other.0)
    }
}

impl fmt::Display for LocalTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let second = self.second_of_day();
        let (hour, minute) = (second / 3600, second / 60 % 60);
        write!(
            f,
            "{}T{hour:02}:{minute:02}:{:02}",
            self.date(),
            second % 60
        )
    }
}

/// Days in a month of the Gregorian calendar.
const fn days_in_month(year: i32, month: u32) -> u32 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Days since 1970-01-01. The year is taken to begin in March, so that the leap day is its last, and 400 years
/// (146,097 days) are the period after which the calendar repeats.
const fn days_from_civil(year: i32, month: i32, day: i32) -> i32 {
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let year_of_era = year.rem_euclid(400);
    let month_from_march = (month + 9) % 12;
    let day_of_year = (153 * month_from_march + 2) / 5 + day - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    era * 146_097 + day_of_era - 719_468
}

/// The inverse of [`days_from_civil`].
const fn civil_from_days(days: i32) -> (i32, i32, i32) {
    let days = days as i64 + 719_468;
    let era = days.div_euclid(146_097);
    let day_of_era = days.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 {
        month_from_march + 3
    } else {
        month_from_march - 9
    };
    let year = year_of_era + era * 400 + if month <= 2 { 1 } else { 0 };
    (year as i32, month as i32, day as i32)
}

/// The number that ASCII digits write.
fn digits(bytes: &[u8]) -> Option<u32> {
    bytes.iter().try_fold(0, |sum, byte| {
        byte.is_ascii_digit()
            .then(|| sum * 10 + u32::from(byte - b'0'))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_days_that_do_not_exist() {
        for text in [
            "2026-02-29",
            "1900-02-29",
            "2026-00-10",
            "2026-13-01",
            "2026-04-31",
            "2026-01-00",
        ] {
            assert_eq!(Date::parse(text), Err(DATE_WANTED), "{text}");
        }
        for text in [
            "0000-01-01",
            "2026-1-01",
            "2026-01-1x",
            "+026-01-01",
            "2026/01/01",
            "é026-01-1",
        ] {
            assert_eq!(Date::parse(text), Err(DATE_WANTED), "{text}");
        }
        for text in ["24:00", "7:00", "07:60", "07:0é", "+7:00", ""] {
            assert_eq!(ClockTime::parse(text), Err(CLOCK_WANTED), "{text}");
        }
        for text in [
            "2026-01-01",
            "2026-01-01T24:00",
            "2026-01-01T00:00:60",
            "2026-01-01 00:00",
        ] {
            assert_eq!(LocalTime::parse(text), Err(LOCAL_WANTED), "{text}");
        }
    }

    #[test]
    fn reads_what_it_writes() {
        for text in [
            "2024-02-29T23:59:59",
            "0001-01-01T00:00:00",
            "9999-12-31T12:34:56",
        ] {
            assert_eq!(LocalTime::parse(text).unwrap().to_string(), text);
        }
        assert_eq!(
            LocalTime::parse("2026-06-01T07:05"),
            LocalTime::parse("2026-06-01T07:05:00")
        );
    }
}
