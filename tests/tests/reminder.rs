//! Reminders, read by a reader that this project did not write (crate `icalendar`).

use drycurb_core::calendar::Date;
use drycurb_core::paper::reminder::{Reminder, calendar};
use icalendar::parser::{read_calendar, unfold};
use icalendar::{Calendar, CalendarComponent, CalendarDateTime, Component, DatePerhapsTime};
use proptest::prelude::*;

fn reminder(month: u32, title: &str) -> Reminder {
    Reminder {
        on: Date::try_new(2027, month, 1).unwrap(),
        title: title.into(),
        notes: "Key in: turn the dial to seasonal adjustment.\nThen back to run.".into(),
        id: format!("2f9a-{month}"),
    }
}

fn year() -> Vec<Reminder> {
    (1..=12)
        .map(|month| reminder(month, &format!("Marrow Court: A 85 %, B {month} %; C, D")))
        .collect()
}

#[test]
fn a_year_has_twelve_events_with_their_day_and_title() {
    let text = calendar("Marrow Court", "20261125T120000Z", &year(), true);
    let read: Calendar = text.parse().unwrap();
    assert_eq!(read.get_name(), Some("Marrow Court"));
    let events: Vec<_> = read
        .components
        .iter()
        .filter_map(CalendarComponent::as_event)
        .collect();
    assert_eq!(events.len(), 12);
    for (event, wanted) in events.iter().zip(year()) {
        let day = |date: Date| {
            let (year, month, day) = date.year_month_day();
            DatePerhapsTime::Date(chrono::NaiveDate::from_ymd_opt(year, month, day).unwrap())
        };
        assert_eq!(event.get_summary(), Some(wanted.title.as_str()));
        assert_eq!(event.get_description(), Some(wanted.notes.as_str()));
        assert_eq!(
            event.get_uid(),
            Some(format!("{}@drycurb", wanted.id).as_str())
        );
        assert_eq!(event.get_start(), Some(day(wanted.on)));
        assert_eq!(event.get_end(), Some(day(wanted.on.plus_days(1))));
        assert_eq!(event.property_value("RRULE"), Some("FREQ=YEARLY"));
        let stamp = chrono::NaiveDate::from_ymd_opt(2026, 11, 25)
            .unwrap()
            .and_hms_opt(12, 0, 0)
            .unwrap();
        assert_eq!(event.get_timestamp(), Some(stamp.and_utc()));
        assert!(!matches!(
            event.get_start(),
            Some(DatePerhapsTime::DateTime(CalendarDateTime::Utc(_)))
        ));
    }
    let once = calendar("Marrow Court", "20261125T120000Z", &year(), false);
    assert!(!once.contains("RRULE"));
}

/// Source: RFC 5545, 3.1: lines end with CRLF and have 75 octets at most, without the end.
fn assert_lines(text: &str) {
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
        assert!(line.len() <= 75, "{line}");
        assert!(!line.contains(['\r', '\n']), "{line:?}");
    }
}

/// Source: RFC 5545, 3.6: required properties, each once; `BEGIN` and `END` nest.
#[test]
fn required_properties_are_there_once() {
    let text = calendar("", "20261125T120000Z", &year(), true);
    assert_lines(&text);
    let events = text.matches("BEGIN:VEVENT").count();
    assert_eq!(events, 12);
    for property in [
        "UID:", "DTSTAMP:", "DTSTART;", "DTEND;", "SUMMARY:", "TRIGGER:", "ACTION:",
    ] {
        assert_eq!(
            text.matches(&format!("\r\n{property}")).count(),
            events,
            "{property}"
        );
    }
    for property in ["VERSION:2.0", "PRODID:", "END:VCALENDAR"] {
        assert_eq!(
            text.matches(&format!("\r\n{property}")).count(),
            1,
            "{property}"
        );
    }
    let unfolded = unfold(&text);
    let parsed = read_calendar(&unfolded).unwrap();
    assert_eq!(parsed.components.len(), 12);
    assert!(
        parsed
            .components
            .iter()
            .all(|event| event.components[0].name == "VALARM")
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Any title comes back, however long, and whatever letters and marks it has.
    #[test]
    fn any_title_survives(title in "[ -~áñ💧;,\\\\:\"]{1,200}", notes in "[ -~\n,;é]{0,300}") {
        let mut one = reminder(3, &title);
        one.notes = notes.clone();
        let text = calendar("x", "20261125T120000Z", &[one], true);
        assert_lines(&text);
        let read: Calendar = text.parse().unwrap();
        let event = read.components[0].as_event().unwrap();
        prop_assert_eq!(event.get_summary(), Some(title.as_str()));
        let expected = (!notes.is_empty()).then_some(notes.as_str());
        prop_assert_eq!(event.get_description(), expected);
    }
}
