//! Days on which programs water, and times at which nothing may.

use crate::calendar::{ClockTime, Date, LocalTime};
use crate::order::shell;

/// The days on which a program's starts fire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaterDays {
    /// Chosen days of the week, Monday first; none is possible.
    Weekdays([bool; 7]),
    /// Odd days of the month.
    Odd {
        /// The 31st is skipped, and with it 29 February, so that two water days never touch.
        skip_31: bool,
    },
    /// Even days of the month.
    Even,
    /// Every so many days.
    Every {
        /// From one water day to the next, 1 to 366.
        days: u32,
        /// The first of them; before it there is none.
        from: Date,
    },
}

impl WaterDays {
    /// Whether the date is a water day.
    pub fn holds(&self, date: Date) -> bool {
        match *self {
            Self::Weekdays(chosen) => chosen[date.weekday() as usize],
            Self::Odd { skip_31 } => {
                let (_, month, day) = date.year_month_day();
                let skipped = skip_31 && (day == 31 || (month == 2 && day == 29));
                day % 2 == 1 && !skipped
            }
            Self::Even => date.year_month_day().2.is_multiple_of(2),
            Self::Every { days, from } => {
                let since = i64::from(date.days_since(from));
                since >= 0 && since % i64::from(days.max(1)) == 0
            }
        }
    }

    /// Whether no day can ever be a water day.
    pub(super) fn never(&self) -> bool {
        *self == Self::Weekdays([false; 7])
    }
}

/// A span of every day by wall time. It holds `from` and not `until`; when `until` is the earlier, it goes on past
/// midnight. The two differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Daily {
    /// Its first minute.
    pub from: ClockTime,
    /// The first minute after it.
    pub until: ClockTime,
}

impl Daily {
    /// Whether the minute of the day lies in it.
    pub fn holds(&self, time: ClockTime) -> bool {
        if self.from < self.until {
            self.from <= time && time < self.until
        } else {
            self.from <= time || time < self.until
        }
    }

    /// The first reading at or after `local` that lies outside.
    pub(super) fn next_outside(&self, local: LocalTime) -> LocalTime {
        if !self.holds(local.clock_time()) {
            return local;
        }
        let today = local.date().at(self.until);
        if today > local {
            today
        } else {
            local.date().plus_days(1).at(self.until)
        }
    }
}

/// Closed time as entered: whatever lies in any of the three is closed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Closed {
    /// Days of the week, Monday first, from 00:00 to 24:00.
    pub weekdays: [bool; 7],
    /// Dates, from 00:00 to 24:00.
    pub dates: Vec<Date>,
    /// Hours of every day.
    pub hours: Vec<Daily>,
}

/// Closed time made ready for being asked often.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ClosedTime {
    weekdays: [bool; 7],
    /// In order.
    dates: Vec<Date>,
    /// The closed minutes of every day, in order.
    minutes: Vec<ClockTime>,
}

impl ClosedTime {
    pub(super) fn new(closed: &Closed) -> Self {
        let mut dates = closed.dates.clone();
        shell(&mut dates, |one, other| one < other);
        let minutes = (0..1440).filter_map(|minute| ClockTime::try_minute_of_day(minute).ok());
        Self {
            weekdays: closed.weekdays,
            dates,
            minutes: minutes
                .filter(|time| closed.hours.iter().any(|daily| daily.holds(*time)))
                .collect(),
        }
    }

    pub(super) fn holds(&self, local: LocalTime) -> bool {
        self.holds_all_day(local.date()) || self.minutes.binary_search(&local.clock_time()).is_ok()
    }

    /// The first reading at or after `local` that is closed.
    pub(super) fn next(&self, local: LocalTime) -> Option<LocalTime> {
        if self.holds(local) {
            return Some(local);
        }
        let today = local.date();
        let passed = self
            .minutes
            .partition_point(|time| *time <= local.clock_time());
        if let Some(time) = self.minutes.get(passed) {
            return Some(today.at(*time));
        }
        let this_week = (1..=7).find_map(|days| {
            let date = today.plus_days(days);
            if self.holds_all_day(date) {
                return Some(date.at(ClockTime::MIDNIGHT));
            }
            self.minutes.first().map(|time| date.at(*time))
        });
        let later = self.dates.partition_point(|date| *date <= today);
        this_week.or_else(|| {
            self.dates
                .get(later)
                .map(|date| date.at(ClockTime::MIDNIGHT))
        })
    }

    fn holds_all_day(&self, date: Date) -> bool {
        self.weekdays[date.weekday() as usize] || self.dates.binary_search(&date).is_ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> Date {
        Date::parse(text).unwrap()
    }

    fn daily(from: &str, until: &str) -> Daily {
        Daily {
            from: ClockTime::parse(from).unwrap(),
            until: ClockTime::parse(until).unwrap(),
        }
    }

    fn local(text: &str) -> LocalTime {
        LocalTime::parse(text).unwrap()
    }

    #[test]
    fn odd_days_touch_at_the_end_of_a_month_unless_skipped() {
        let touching = WaterDays::Odd { skip_31: false };
        assert!(touching.holds(date("2027-01-31")) && touching.holds(date("2027-02-01")));
        assert!(touching.holds(date("2028-02-29")));
        let skipping = WaterDays::Odd { skip_31: true };
        assert!(!skipping.holds(date("2027-01-31")) && skipping.holds(date("2027-02-01")));
        assert!(!skipping.holds(date("2028-02-29")) && skipping.holds(date("2028-01-29")));
        assert!(!skipping.holds(date("2028-02-28")));
    }

    #[test]
    fn every_n_days_begins_with_its_date() {
        let third = WaterDays::Every {
            days: 3,
            from: date("2026-06-10"),
        };
        let days: Vec<_> = (1..=17)
            .filter(|day| third.holds(Date::try_new(2026, 6, *day).unwrap()))
            .collect();
        assert_eq!(days, [10, 13, 16]);
    }

    #[test]
    fn a_daily_span_past_midnight() {
        let night = daily("21:00", "06:00");
        assert!(!night.holds(ClockTime::parse("20:59").unwrap()));
        assert!(night.holds(ClockTime::parse("21:00").unwrap()));
        assert!(night.holds(ClockTime::MIDNIGHT));
        assert!(!night.holds(ClockTime::parse("06:00").unwrap()));
        let outside = |text| night.next_outside(local(text)).to_string();
        assert_eq!(outside("2026-06-01T23:00:05"), "2026-06-02T06:00:00");
        assert_eq!(outside("2026-06-01T05:59:59"), "2026-06-01T06:00:00");
        assert_eq!(outside("2026-06-01T06:00:01"), "2026-06-01T06:00:01");
    }

    #[test]
    fn closed_time_is_the_union_of_its_parts() {
        let closed = ClosedTime::new(&Closed {
            weekdays: [false, false, false, false, false, false, true],
            dates: vec![date("2027-01-01"), date("2026-06-03")],
            hours: vec![daily("23:00", "00:30")],
        });
        let next = |text| closed.next(local(text)).unwrap().to_string();
        assert_eq!(next("2026-06-01T12:00:00"), "2026-06-01T23:00:00");
        assert_eq!(next("2026-06-01T23:10:10"), "2026-06-01T23:10:10");
        assert_eq!(next("2026-06-02T00:30:00"), "2026-06-02T23:00:00");
        assert_eq!(next("2026-06-03T12:00:00"), "2026-06-03T12:00:00");
        assert_eq!(next("2026-06-07T22:00:00"), "2026-06-07T22:00:00");
    }

    #[test]
    fn a_date_far_ahead_is_found_and_a_past_one_is_not() {
        let closed = ClosedTime::new(&Closed {
            dates: vec![date("2026-01-01"), date("2031-05-05")],
            ..Closed::default()
        });
        assert_eq!(
            closed.next(local("2026-06-01T00:00")),
            Some(local("2031-05-05T00:00"))
        );
        assert_eq!(closed.next(local("2031-05-06T00:00")), None);
    }
}
