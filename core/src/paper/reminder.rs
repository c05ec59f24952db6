//! Reminders to key in a month's percentages, as an iCalendar file.
//!
//! All-day events without a time zone: a controller's calendar has none either.
//!
//! # Source
//! RFC 5545 (2009): content lines of 75 octets (3.1), text (3.3.11), events (3.6.1), alarms (3.6.6).

use crate::calendar::Date;

/// One reminder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reminder {
    /// The day on which to key it in.
    pub on: Date,
    /// The line that a calendar shows: month, programs, percents.
    pub title: String,
    /// More about it.
    pub notes: String,
    /// Tells it from every other in the world, and is the same when the file is made again: the calendar then
    /// moves or renames the event it has. Letters, digits and hyphens.
    pub id: String,
}

/// Octets of a line without its end.
const LINE_MOST: usize = 75;

/// The file. `stamp` is when it is made, UTC, as `20260131T235959Z`; `name` is the calendar's.
/// Every reminder comes back each year where `yearly`, and rings at eight in the morning.
pub fn calendar(name: &str, stamp: &str, reminders: &[Reminder], yearly: bool) -> String {
    let mut out = String::new();
    let mut line = |name: &str, value: &str| push_folded(&mut out, name, value);
    line("BEGIN", "VCALENDAR");
    line("VERSION", "2.0");
    line("PRODID", "-//Drycurb//Reminders//EN");
    line("CALSCALE", "GREGORIAN");
    line("X-WR-CALNAME", &escaped(name));
    for reminder in reminders {
        line("BEGIN", "VEVENT");
        line("UID", &format!("{}@drycurb", reminder.id));
        line("DTSTAMP", stamp);
        line("DTSTART;VALUE=DATE", &basic(reminder.on));
        line("DTEND;VALUE=DATE", &basic(reminder.on.plus_days(1)));
        if yearly {
            line("RRULE", "FREQ=YEARLY");
        }
        line("SUMMARY", &escaped(&reminder.title));
        if !reminder.notes.is_empty() {
            line("DESCRIPTION", &escaped(&reminder.notes));
        }
        line("TRANSP", "TRANSPARENT");
        line("BEGIN", "VALARM");
        line("ACTION", "DISPLAY");
        line("DESCRIPTION", &escaped(&reminder.title));
        line("TRIGGER", "PT8H");
        line("END", "VALARM");
        line("END", "VEVENT");
    }
    line("END", "VCALENDAR");
    out
}

/// A date without hyphens.
fn basic(date: Date) -> String {
    date.to_string().replace('-', "")
}

/// Text as a value: backslash, semicolon, comma and line end are written with a backslash; other
/// control characters are left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        match letter {
            '\\' | ';' | ',' => out.extend(['\\', letter]),
            '\n' => out.push_str("\\n"),
            _ if letter.is_control() => {}
            _ => out.push(letter),
        }
    }
    out
}

/// A content line, cut so that no line has more than 75 octets and no letter is cut in two.
fn push_folded(out: &mut String, name: &str, value: &str) {
    let mut octets = 0;
    for letter in name.chars().chain([':']).chain(value.chars()) {
        if octets + letter.len_utf8() > LINE_MOST {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(letter);
        octets += letter.len_utf8();
    }
    out.push_str("\r\n");
}
