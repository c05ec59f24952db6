//! The planned programs played on chosen dates, night by night.

use drycurb_core::calendar::{Date, LocalTime};
use serde_json::Value;

use super::now::around;
use super::{Plan, Run, State, clock, digits, id_of, json_with, looked_from, night_runs, whole};
use crate::document::Document;
use crate::document::json::items;
use crate::json::{parse, print};

/// The request for the kept programs on the dates of the state.
pub fn asked(document: &Document, month: u32, today: &str, state: &State) -> Option<String> {
    let answer = &document.site().planned.answer;
    let from = match state.from.as_str() {
        "" => looked_from(document, month, today),
        from => from.into(),
    };
    Date::parse(&from).ok()?;
    let changes = if Date::parse(&state.clock_date).is_ok() && state.clock_minutes != 0 {
        let (hour, shift) = if state.clock_minutes < 0 {
            ("03", "-60")
        } else {
            ("02", "60")
        };
        json_with(
            r#"{"at":"@T@:00","shift_minutes":@}"#,
            &[&state.clock_date, hour, shift],
        )
    } else {
        String::new()
    };
    // From noon to noon, so that a night is whole.
    Some(json_with(
        r#"{"ask":"replay","from":"@T12:00","hours":@,"programs":@,"gap_seconds":@,"soak_style":@,"clock_changes":[@],@}"#,
        &[
            &from,
            &digits(24 * state.nights()),
            &print(&answer["programs"]),
            &print(&answer["gap_seconds"]),
            &print(&answer["soak_style"]),
            &changes,
            &around(document, month),
        ],
    ))
}

/// One night of a replay.
#[derive(Clone, Debug, PartialEq)]
pub struct Night {
    /// The date on which it begins.
    pub date: String,
    /// When the first run opens and the last one closes, as the clock shows it; `None` on a dry night.
    pub span: Option<(String, String)>,
    /// Minutes of all runs.
    pub minutes: u32,
    /// How many runs.
    pub runs: usize,
    /// Whether it is a night of the plan to the second; `None` where the plan's nights are not known.
    pub as_planned: Option<bool>,
}

/// The nights of a replay, each from noon to noon.
pub fn nights(request: &str, answer: &Value, plan: Option<&Plan>) -> Vec<Night> {
    let request = parse(request).unwrap_or_default();
    let first = request["from"].as_str().unwrap_or_default();
    let Ok(first) = LocalTime::parse(first) else {
        return Vec::new();
    };
    let all = items(&answer["runs"]);
    let opens = plan.map_or(0, super::said::opens_minute);
    let known: Option<Vec<Vec<Run>>> = plan.map(|plan| {
        let kinds = 0..items(&plan.answer["nights"]).len();
        kinds
            .map(|kind| in_order(night_runs(&plan.answer, kind)))
            .collect()
    });
    let days = whole(&request["hours"]) / 24;
    let nights = (0..days).map(|day| {
        let date = first.date().plus_days(day as i32);
        let noon = 86_400 * day;
        let own: Vec<&Value> = all
            .iter()
            .filter(|run| (noon..noon + 86_400).contains(&whole(&run["start_second"])))
            .collect();
        let runs: Vec<Run> = own
            .iter()
            .map(|run| Run {
                station: id_of(&run["station"]),
                // Noon to the opening of the window, a day later when it opens in the morning.
                start: whole(&run["start_second"]).wrapping_sub(noon + 60 * ((opens + 720) % 1440)),
                seconds: whole(&run["seconds"]),
            })
            .collect();
        let last = runs
            .iter()
            .map(|run| run.start.wrapping_add(run.seconds) as i32)
            .max();
        let span = own.first().zip(last).map(|(run, last)| {
            let start = run["start"].as_str().unwrap_or_default();
            let start = start.get(11..16).unwrap_or_default();
            // Elapsed since the first opening, on the clock of the first opening.
            let begun = runs.iter().map(|run| run.start as i32).min().unwrap_or(0);
            let minute = super::clock_minute(start).unwrap_or(0);
            let long = (last - begun).max(0) as u32;
            (start.to_string(), clock(minute + long.div_ceil(60)))
        });
        let minutes = runs.iter().map(|run| run.seconds).sum::<u32>() / 60;
        Night {
            date: date.to_string(),
            span,
            minutes,
            runs: runs.len(),
            as_planned: known.as_ref().map(|known| {
                let ordered = in_order(runs);
                ordered.is_empty() || known.contains(&ordered)
            }),
        }
    });
    nights.collect()
}

/// Runs in one order, whatever order they came in.
fn in_order(mut runs: Vec<Run>) -> Vec<Run> {
    runs.sort_by_key(|run| (run.start, run.station));
    runs
}

#[cfg(test)]
mod tests {
    use super::super::tests::{planned, site_of};
    use super::*;
    use drycurb_core::lines::answer;
    use serde_json::json;

    #[test]
    fn every_night_of_a_plan_is_as_planned() {
        let mut document = site_of(&["40", "30", "20", "35"]);
        let plan = planned(&mut document);
        let mut state = State {
            nights: 28,
            from: "2026-08-01".into(),
            ..State::default()
        };
        let first = asked(&document, 7, "2026-07-01", &State::default()).unwrap();
        assert!(
            first.contains("\"from\":\"2026-07-06T12:00\",\"hours\":336"),
            "{first}"
        );
        let request = asked(&document, 7, "2026-07-06", &state).unwrap();
        let mut whole = answer(&parse(&request).unwrap());
        let ok = whole["ok"].take();
        assert_eq!(items(&ok["findings"]).len(), 0);
        let found = nights(&request, &ok, Some(&plan));
        assert_eq!(found.len(), 28);
        assert!(found.iter().all(|night| night.as_planned == Some(true)));
        assert!(found.iter().any(|night| night.runs > 0));
        // A clock put forward over a start: it does not fire on that day, and that is told.
        state.clock_date = "2026-08-12".into();
        state.clock_minutes = 60;
        let program = &mut document.site_mut().planned.answer["programs"][0];
        program["starts"] = json!(["02:30"]);
        program["days"] = json!({ "every": 1, "from": "2026-07-06" });
        let request = asked(&document, 7, "2026-07-06", &state).unwrap();
        let mut whole = answer(&parse(&request).unwrap());
        let findings = whole["ok"]["findings"].take();
        let skipped = |found: &&Value| found["kind"] == "start_skipped_by_clock";
        assert_eq!(items(&findings).iter().filter(skipped).count(), 1);
    }
}
