//! The calendar against chrono, a date library that this project did not make.

use chrono::{Datelike, Days, NaiveDate, NaiveDateTime, Timelike};
use drycurb_core::calendar::{Date, LocalTime, Weekday};
use proptest::prelude::*;

/// Source: chrono 0.4 (proleptic Gregorian calendar, ISO 8601); every day of the years 1 to 9999.
#[test]
fn every_day_agrees_with_chrono() {
    let mut theirs = NaiveDate::from_ymd_opt(1, 1, 1).expect("a date");
    let mut ours = Date::try_new(1, 1, 1).expect("a date");
    while theirs.year() <= 9999 {
        let (year, month, day) = (theirs.year(), theirs.month(), theirs.day());
        assert_eq!(ours.year_month_day(), (year, month, day));
        assert_eq!(Date::try_new(year, month, day), Ok(ours));
        let weekday = Weekday::ALL[theirs.weekday().num_days_from_monday() as usize];
        assert_eq!(ours.weekday(), weekday, "{theirs}");
        assert_eq!(ours.day_of_year(), theirs.ordinal(), "{theirs}");
        theirs = theirs.checked_add_days(Days::new(1)).expect("a date");
        ours = ours.plus_days(1);
    }
}

proptest! {
    /// Source: chrono 0.4. What it takes as a date is a date here, and nothing else is.
    #[test]
    fn the_same_dates_exist(year in 1_i32..=9999, month in 0_u32..=13, day in 0_u32..=32) {
        let theirs = NaiveDate::from_ymd_opt(year, month, day);
        let ours = Date::try_new(year, month, day);
        prop_assert_eq!(ours.is_ok(), theirs.is_some());
        let text = format!("{year:04}-{month:02}-{day:02}");
        prop_assert_eq!(Date::parse(&text), ours.clone());
        if let Ok(date) = ours {
            prop_assert_eq!(date.to_string(), text);
        }
    }

    /// Source: chrono 0.4. Seconds are added and counted alike.
    #[test]
    fn seconds_are_counted_alike(
        days in 0_u64..3_000_000,
        second in 0_i64..86_400,
        later in -50_000_000_i64..50_000_000,
    ) {
        let first = NaiveDate::from_ymd_opt(800, 1, 1).expect("a date");
        let midnight = first.checked_add_days(Days::new(days)).and_then(|day| day.and_hms_opt(0, 0, 0));
        let theirs = midnight.expect("a date") + chrono::Duration::seconds(second);
        let ours = local(theirs);
        prop_assert_eq!(ours.second_of_day(), theirs.time().num_seconds_from_midnight());
        let theirs_later = theirs + chrono::Duration::seconds(later);
        prop_assert_eq!(ours.plus_seconds(later), local(theirs_later));
        prop_assert_eq!(local(theirs_later).seconds_since(ours), later);
    }
}

fn local(theirs: NaiveDateTime) -> LocalTime {
    let text = theirs.format("%Y-%m-%dT%H:%M:%S").to_string();
    LocalTime::parse(&text).expect("chrono writes a local time")
}
