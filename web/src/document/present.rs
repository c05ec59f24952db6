//! What stands in a controller now, as entered, and the programs that were planned last.

use drycurb_core::json;
use serde_json::Value;

use super::json::{items, small, words as text};
use super::{Named, named};

/// What stands in the controller of a site now, as far as it was entered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Present {
    /// Its programs in the controller's order.
    pub programs: Vec<Program>,
}

/// A program as it stands in the controller; numbers as typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Program {
    /// Start times in one line: `22:00 23:30`.
    pub starts: String,
    /// On which kind of days it waters.
    pub days: DaysKind,
    /// The weekdays, Monday in the lowest bit.
    pub weekdays: u32,
    /// Every so many days.
    pub every: String,
    /// A day on which an interval falls, `2026-06-01`; blank for the day of asking.
    pub first: String,
    /// Seasonal adjustment in percent; blank for 100.
    pub percent: String,
    /// Minutes by the station's number; who is absent is not in the program.
    pub minutes: Vec<(u32, String)>,
}

named! {
    /// Kinds of water days.
    DaysKind {
        /// Chosen weekdays.
        #[default]
        Weekdays = "weekdays",
        /// Odd dates.
        Odd = "odd",
        /// Even dates.
        Even = "even",
        /// Every so many days.
        Every = "every",
    }
}

/// What was planned last, so that it can be keyed and printed without planning again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Planned {
    /// The answer of the JSON door as [`crate::night::to_keep`] keeps it; null while nothing was
    /// planned.
    pub answer: Value,
    /// The mark of what was asked: by it the plan is known to be old. None in a text of an older page.
    pub of: Option<u32>,
    /// The entries that are keyed already; see [`crate::night::entries`].
    pub ticks: Vec<String>,
}

impl Planned {
    /// The programs to key; none where the replay found that they break a rule.
    pub fn programs(&self) -> &[Value] {
        let broken = self.answer["verified"] == Value::Bool(false);
        if broken || !items(&self.answer["broken"]).is_empty() {
            return &[];
        }
        items(&self.answer["programs"])
    }
}

impl Program {
    /// The minutes typed for a station.
    pub fn minutes_of(&self, station: u32) -> &str {
        let found = self.minutes.iter().find(|(id, _)| *id == station);
        found.map_or("", |(_, text)| text)
    }

    /// Takes the minutes typed for a station.
    pub fn set_minutes(&mut self, station: u32, text: &str) {
        self.minutes.retain(|(id, _)| *id != station);
        if !text.is_empty() {
            self.minutes.push((station, text.to_string()));
        }
    }
}

/// The programs' value.
pub fn of_present(present: &Present) -> Value {
    if present.programs.is_empty() {
        return Value::Null;
    }
    let programs = present.programs.iter().map(|program| {
        json!({
            "starts": program.starts,
            "days": program.days.name(),
            "weekdays": program.weekdays,
            "every": program.every,
            "first": program.first,
            "percent": program.percent,
            "minutes": program.minutes,
        })
    });
    programs.collect()
}

/// The programs of a value.
pub fn present(value: &Value) -> Present {
    let programs = items(value).iter().map(|program| Program {
        starts: text(&program["starts"]),
        days: DaysKind::of(&text(&program["days"])).unwrap_or_default(),
        weekdays: small(&program["weekdays"]).unwrap_or_default() & 127,
        every: text(&program["every"]),
        first: text(&program["first"]),
        percent: text(&program["percent"]),
        minutes: items(&program["minutes"])
            .iter()
            .filter_map(|pair| Some((small(&pair[0])?, text(&pair[1]))))
            .collect(),
    });
    Present {
        programs: programs.collect(),
    }
}

/// The value of what was planned.
pub fn of_planned(planned: &Planned) -> Value {
    if planned.answer.is_null() {
        return Value::Null;
    }
    json!({ "answer": planned.answer, "of": json!(planned.of), "ticks": planned.ticks })
}

/// What was planned, of a value.
pub fn planned(value: &Value) -> Planned {
    let ticks = items(&value["ticks"]).iter();
    Planned {
        answer: value["answer"].clone(),
        of: small(&value["of"]),
        ticks: ticks
            .filter_map(|tick| tick.as_str().map(str::to_string))
            .collect(),
    }
}
