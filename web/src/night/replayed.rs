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
    let changes = if Date::parse(&state.clock_date).is_ok() && state.clock_hour != 0 {
        let (hour, shift) = (
            state.clock_hour.unsigned_abs(),
            60 * state.clock_hour.signum(),
        );
        json_with(
            r#"{"at":"@T0@:00","shift_minutes":@}"#,
            &[&state.clock_date, &digits(hour), &shift.to_string()],
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

/// Whether a change of the clock was chosen that these nights do not see.
pub fn change_unseen(state: &State, from: &str) -> bool {
    let seen = || {
        let first = Date::parse(from).ok()?;
        let change = Date::parse(&state.clock_date).ok()?;
        let days = change.days_since(first);
        // From noon to noon: the night before the first date is over.
        Some((1..=state.nights() as i32).contains(&days))
    };
    state.clock_hour != 0 && seen() != Some(true)
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
    // By the panel's clock: a night after a change is a night like any other. From noon to noon.
    let clocked = |run: &Value| {
        let start = LocalTime::parse(run["start"].as_str()?).ok()?;
        Some(start.seconds_since(first) as i32)
    };
    // It bears the date on which its hours begin.
    let later = i32::from(opens < 720);
    let nights = (0..days as i32).map(|day| {
        let date = first.date().plus_days(day + later);
        let noon = 86_400 * day;
        let own = all.iter().filter_map(|run| {
            let start = clocked(run)? - noon;
            (0..86_400).contains(&start).then_some((run, start))
        });
        // Noon to the opening of the window, a day later when it opens in the morning.
        let runs: Vec<Run> = own
            .map(|(run, start)| Run {
                station: id_of(&run["station"]),
                start: (start as u32).wrapping_sub(60 * ((opens + 720) % 1440)),
                seconds: whole(&run["seconds"]),
            })
            .collect();
        let starts = runs.iter().map(|run| run.start as i32);
        let ends = runs
            .iter()
            .map(|run| run.start.wrapping_add(run.seconds) as i32);
        let shown =
            |second: i32| clock((60 * opens as i32 + second).rem_euclid(86_400) as u32 / 60);
        let span = starts.min().zip(ends.max());
        let span = span.map(|(start, end)| (shown(start), shown(end + 59)));
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
        state.clock_hour = 2;
        let program = &mut document.site_mut().planned.answer["programs"][0];
        program["starts"] = json!(["02:30"]);
        program["days"] = json!({ "every": 1, "from": "2026-07-06" });
        let request = asked(&document, 7, "2026-07-06", &state).unwrap();
        let mut whole = answer(&parse(&request).unwrap());
        let findings = whole["ok"]["findings"].take();
        let skipped = |found: &&Value| found["kind"] == "start_skipped_by_clock";
        assert_eq!(items(&findings).iter().filter(skipped).count(), 1);
    }

    /// Two weeks from the first of August.
    fn fortnight() -> State {
        State {
            nights: 14,
            from: "2026-08-01".into(),
            ..State::default()
        }
    }

    fn played(document: &Document, state: &State, plan: &Plan) -> Vec<Night> {
        let request = asked(document, 7, "2026-07-06", state).unwrap();
        let answer = answer(&parse(&request).unwrap());
        nights(&request, &answer["ok"], Some(plan))
    }

    #[test]
    fn nights_after_a_change_of_the_clock_are_as_planned() {
        let mut document = site_of(&["40", "30", "20", "35"]);
        let plan = planned(&mut document);
        let mut state = fortnight();
        let usual = played(&document, &state, &plan);
        state.clock_date = "2026-08-06".into();
        for hour in [2, -2, -3] {
            state.clock_hour = hour;
            assert!(!change_unseen(&state, &state.from));
            let changed = played(&document, &state, &plan);
            assert_eq!(changed.len(), usual.len());
            for (now, usual) in changed.iter().zip(&usual) {
                if now.date != "2026-08-05" {
                    assert_eq!(now, usual, "{hour}");
                }
            }
        }
        for (date, unseen) in [
            ("2026-08-01", true),
            ("2026-08-02", false),
            ("2026-08-15", false),
            ("2026-08-16", true),
            ("", true),
        ] {
            state.clock_date = date.into();
            assert_eq!(change_unseen(&state, &state.from), unseen, "{date}");
        }
    }

    #[test]
    fn a_night_bears_the_date_on_which_its_hours_begin() {
        let mut document = site_of(&["40"]);
        document.site_mut().facts.window_from = "00:30".into();
        document.site_mut().days = crate::document::site::WaterDays::Odd;
        let plan = planned(&mut document);
        let found = played(&document, &fortnight(), &plan);
        let wet: Vec<_> = found.iter().filter(|night| night.runs > 0).collect();
        assert!(wet.len() > 5, "{found:?}");
        for night in wet {
            let day: u32 = night.date[8..].parse().unwrap();
            assert_eq!(day % 2, 1, "{night:?}");
            assert_eq!(night.as_planned, Some(true), "{night:?}");
        }
    }
}
