//! Rules of a site that contradict each other, or cannot be read. No browser here.

use drycurb_core::calendar::Date;

use crate::document::Site;
use crate::document::site::EVERY_DAY;
use crate::field::Field;
use crate::night::{clock_minute, hours_wrong, typed_minute};
use crate::station::number_or_default;

/// What is wrong with a site's rules.
#[derive(Clone, Debug, PartialEq)]
pub enum Wrong {
    /// No weekday is allowed.
    NoWeekday,
    /// The whole window is closed.
    WindowClosed,
    /// One of the times is no time of day, or one of the two closed ones is missing.
    Time,
    /// These are no dates.
    Dates(String),
}

/// Dates as typed: those read, and what is no date.
pub fn dates(text: &str) -> (Vec<Date>, Vec<&str>) {
    let parts = text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';'));
    let (mut good, mut bad) = (Vec::new(), Vec::new());
    for part in parts.filter(|part| !part.is_empty()) {
        match Date::parse(part) {
            Ok(date) => good.push(date),
            Err(_) => bad.push(part),
        }
    }
    (good, bad)
}

/// The closed hours, minutes of the day; `None` for none, or while they cannot be read.
pub fn closed_minutes(site: &Site) -> Option<(u32, u32)> {
    typed_minute(&site.closed_hours.0).zip(typed_minute(&site.closed_hours.1))
}

/// All that is wrong.
pub fn wrong(site: &Site) -> Vec<Wrong> {
    let mut found = Vec::new();
    if site.weekdays & EVERY_DAY == 0 {
        found.push(Wrong::NoWeekday);
    }
    let closed = closed_minutes(site);
    let opens = clock_minute(&site.facts.window_from);
    if hours_wrong(&site.closed_hours) != [false; 2] || opens.is_none() {
        found.push(Wrong::Time);
    } else if let (Some((from, until)), Some(opens)) = (closed, opens) {
        let hours = number_or_default(&site.facts, Field::WindowHours).unwrap_or(0.0);
        let is_closed = |minute: u32| {
            if from < until {
                (from..until).contains(&minute)
            } else {
                minute >= from || minute < until
            }
        };
        let minutes = (hours * 60.0) as u32;
        if minutes > 0 && (opens..opens + minutes).all(|minute| is_closed(minute % 1440)) {
            found.push(Wrong::WindowClosed);
        }
    }
    let (_, bad) = dates(&site.closed_dates);
    if !bad.is_empty() {
        found.push(Wrong::Dates(bad.join(" ")));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_kept_is_told() {
        let mut site = Site::new(1);
        assert_eq!(wrong(&site), []);
        site.weekdays = 0;
        site.closed_hours = ("20:00".into(), "8:00".into());
        site.closed_dates = "2026-07-04, 2026-02-30 soon".into();
        let dates = Wrong::Dates("2026-02-30 soon".into());
        assert_eq!(wrong(&site), [Wrong::NoWeekday, Wrong::WindowClosed, dates]);
        let mut site = Site::new(1);
        site.closed_hours = ("10:00".into(), "16:00".into());
        assert_eq!(wrong(&site), []);
        site.closed_hours.1.clear();
        assert_eq!(wrong(&site), [Wrong::Time]);
        site.closed_hours = ("10:00".into(), "10:00".into());
        assert_eq!(wrong(&site), [Wrong::Time]);
    }
}
