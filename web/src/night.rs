//! The night of the kept stations: from the document to a request of the JSON door, and from its
//! answers to rows to show. No browser here.

use serde_json::{Value, json};

use crate::document::Document;
use crate::field::Field;
use crate::station::{flow_l_per_min, number, number_or_default, work_out};

/// Work of one planning on the page: a second or two on a phone.
pub const EFFORT: u32 = 20_000_000;

/// What can be planned, and what is left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// For the worker; `None` while supply or hours are not given, or nothing is left to plan.
    pub request: Option<Value>,
    /// Kept stations whose facts or flow are missing.
    pub missing: Vec<String>,
    /// Seconds after midnight at which the window opens.
    pub opens_second: u32,
    /// Length of the window, seconds.
    pub window_seconds: u32,
    /// What the supply can carry, L/min.
    pub capacity_l_per_min: f64,
}

/// Reads `22:00` or `22.00`; `None` for anything else. Blank is ten in the evening.
pub fn clock_minute(text: &str) -> Option<u32> {
    let text = text.trim();
    if text.is_empty() {
        return Some(22 * 60);
    }
    let (hours, minutes) = text.split_once([':', '.', 'h']).unwrap_or((text, "0"));
    let part = |digits: &str, most: u32| {
        let short = (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
        short
            .then(|| digits.bytes().fold(0, |n, b| 10 * n + u32::from(b - b'0')))
            .filter(|n| *n <= most)
    };
    Some(part(hours, 23)? * 60 + part(minutes, 59)?)
}

/// A second of the window as a clock shows it.
pub fn clock(opens_second: u32, second: u32) -> String {
    let minute = (opens_second + second) / 60 % 1440;
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// The request for the night of all kept stations.
pub fn wanted(document: &Document, month: u32) -> Wanted {
    let mut missing = Vec::new();
    let mut stations = Vec::new();
    for kept in document.stations() {
        let facts = document.facts_of(kept);
        let flow = flow_l_per_min(&facts);
        let (Some(flow), Ok(outcome)) = (flow, work_out(&facts, month)) else {
            missing.push(kept.name.clone());
            continue;
        };
        let split = outcome.answer.split;
        if split.runs > 0 {
            stations.push(json!({
                "id": kept.id.to_string(),
                "supply": "supply",
                "flow_l_per_min": flow,
                "run_minutes": split.runs * split.run_minutes,
                "longest_run_minutes": split.run_minutes,
                "soak_minutes": split.soak_minutes,
            }));
        }
    }
    let site = document.site();
    let supply = &site.supply(1).facts;
    let capacity = number(supply, Field::Capacity).ok().flatten();
    let hours = number_or_default(&site.facts, Field::WindowHours);
    let opens = clock_minute(&site.facts.window_from);
    let at_once = number(&site.facts, Field::AtOnce);
    let window_seconds = 60 * (hours.unwrap_or(0.0) * 60.0).round() as u32;
    let opens_second = 60 * opens.unwrap_or(0);
    let request = match (capacity, hours, opens, at_once) {
        (Some(capacity), Some(_), Some(_), Ok(at_once)) if !stations.is_empty() => Some(json!({
            "ask": "night",
            "effort": EFFORT,
            "window_start": clock(opens_second, 0),
            "window_minutes": window_seconds / 60,
            "supplies": [{ "id": "supply", "capacity_l_per_min": capacity }],
            "open_at_once": at_once.map(|n| n as u32),
            "groups": [],
            "apart": [],
            "stations": stations,
        })),
        _ => None,
    };
    let capacity_l_per_min = capacity.unwrap_or(0.0);
    Wanted {
        request,
        missing,
        opens_second,
        window_seconds,
        capacity_l_per_min,
    }
}

/// One run of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// The station's number.
    pub station: u32,
    /// Seconds from the window's opening.
    pub start_second: u32,
    /// Its length.
    pub seconds: u32,
}

/// A plan as it came from the worker.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What was asked.
    pub request: Value,
    /// All runs.
    pub runs: Vec<Run>,
    /// When the last run ends.
    pub finish_second: u32,
    /// Proved: no plan ends sooner.
    pub bound_second: u32,
    /// Stations that cannot be served.
    pub unserved: Vec<u32>,
}

/// Reads the worker's answer.
pub fn plan(request: &Value, answer: &Value) -> Option<Plan> {
    let ok = answer.get("ok")?;
    let id = |value: &Value| value.as_str()?.parse().ok();
    let small = |value: &Value| value.as_f64().map(|n| n as u32);
    let runs = ok["runs"].as_array()?.iter().map(|run| {
        Some(Run {
            station: id(&run["station"])?,
            start_second: small(&run["start_second"])?,
            seconds: small(&run["seconds"])?,
        })
    });
    let unserved = ok["unserved"]
        .as_array()?
        .iter()
        .map(|entry| id(&entry["station"]));
    Some(Plan {
        request: request.clone(),
        runs: runs.collect::<Option<_>>()?,
        finish_second: small(&ok["finish_second"])?,
        bound_second: small(&ok["bound_second"])?,
        unserved: unserved.collect::<Option<_>>()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Kept, Typed};
    use crate::units::System;

    #[test]
    fn a_time_of_day_is_read_and_shown() {
        assert_eq!(clock_minute("22:15"), Some(1335));
        assert_eq!(clock_minute(" 5.05 "), Some(305));
        assert_eq!(clock_minute("7"), Some(420));
        assert_eq!(clock_minute(""), Some(1320));
        for wrong in ["24:00", "7:60", "x", "7:5:3", "-1:00", "007:00", ":"] {
            assert_eq!(clock_minute(wrong), None, "{wrong}");
        }
        assert_eq!(clock(1320 * 60, 3 * 3600), "01:00");
    }

    #[test]
    fn stations_without_flow_are_named_and_the_others_planned() {
        let mut document = Document::default();
        let typed = |text: &str| {
            Some(Typed {
                text: text.into(),
                units: System::Si,
            })
        };
        let mut draft = crate::document::Draft {
            soil: Some("loam".into()),
            ..Default::default()
        };
        draft.numbers.set(Field::Slope, typed("2"));
        draft.numbers.set(Field::Rate, typed("15"));
        document.kept.push(Kept {
            id: 1,
            name: "Oval".into(),
            draft: draft.clone(),
            site: 1,
            supply: 1,
            ..Kept::default()
        });
        draft.numbers.set(Field::RateFlow, typed("40"));
        document.kept.push(Kept {
            id: 2,
            name: "Bank".into(),
            draft,
            site: 1,
            supply: 1,
            ..Kept::default()
        });
        let site = document.site_mut();
        site.supplies[0]
            .facts
            .numbers
            .set(Field::Capacity, typed("60"));
        let wanted = wanted(&document, 7);
        assert_eq!(wanted.missing, ["Oval"]);
        let request = wanted.request.unwrap();
        assert_eq!(request["stations"].as_array().unwrap().len(), 1);
        let answer = drycurb_core::lines::answer(&request);
        let plan = plan(&request, &answer).unwrap();
        assert!(plan.runs.iter().all(|run| run.station == 2));
        assert!(plan.bound_second <= plan.finish_second);
    }
}
