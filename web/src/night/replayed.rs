//! The planned programs played on chosen dates, night by night.

use drycurb_core::calendar::{Date, LocalTime};
use drycurb_core::json;
use serde_json::Value;

use super::now::around;
use super::{Plan, Run, State, clock, id_of, night_runs, whole};
use crate::document::Document;
use crate::document::json::items;

/// The request for the kept programs on the dates of the state.
pub fn asked(document: &Document, month: u32, today: &str, state: &State) -> Option<Value> {
    let site = document.site();
    let answer = &site.planned.answer;
    let from = if state.from.is_empty() {
        today
    } else {
        &state.from
    };
    Date::parse(from).ok()?;
    let mut asked = around(document, month);
    asked["ask"] = json!("replay");
    // From noon to noon, so that a night is whole.
    asked["from"] = json!(format!("{from}T12:00"));
    asked["hours"] = json!(24 * state.nights.clamp(1, 365));
    asked["programs"] = answer["programs"].clone();
    asked["gap_seconds"] = answer["gap_seconds"].clone();
    asked["soak_style"] = answer["soak_style"].clone();
    if Date::parse(&state.clock_date).is_ok() && state.clock_minutes != 0 {
        let put_back = state.clock_minutes < 0;
        let hour = if put_back { "03:00" } else { "02:00" };
        asked["clock_changes"] = json!([{
            "at": format!("{}T{hour}", state.clock_date),
            "shift_minutes": state.clock_minutes,
        }]);
    }
    Some(asked)
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
pub fn nights(request: &Value, answer: &Value, plan: Option<&Plan>) -> Vec<Night> {
    let first = request["from"].as_str().unwrap_or_default();
    let Ok(first) = LocalTime::parse(first) else {
        return Vec::new();
    };
    let all = items(&answer["runs"]);
    let opens = plan.map_or(0, super::said::opens_minute);
    let known: Option<Vec<Vec<Run>>> = plan.map(|plan| {
        let kinds = items(&plan.answer["nights"]).iter();
        kinds.map(|night| in_order(night_runs(night))).collect()
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

    #[test]
    fn every_night_of_a_plan_is_as_planned() {
        let mut document = site_of(&["40", "30", "20", "35"]);
        let plan = planned(&mut document);
        let mut state = State {
            nights: 28,
            from: "2026-08-01".into(),
            ..State::default()
        };
        let request = asked(&document, 7, "2026-07-06", &state).unwrap();
        let mut whole = answer(&request);
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
        let mut whole = answer(&request);
        let findings = whole["ok"]["findings"].take();
        let skipped = |found: &&Value| found["kind"] == "start_skipped_by_clock";
        assert_eq!(items(&findings).iter().filter(skipped).count(), 1);
    }
}
