//! The ask `week`: water days within the site's rules, the plan of each kind of night, and the programs to key for all
//! of them, proved by a replay of four weeks.
//!
//! In: everything that `night` takes, where `run_minutes` of a station are those of one water day when it has
//! `days_a_week` of them (1–7; 3). Beside it, optional: `longest_interval_days` (1–28; from one water day to the next;
//! as many as `days_a_week` need when spread evenly). Beside the stations: `from`, the first date looked at; optional:
//! - `controller`, as in `program`,
//! - `allowed_days`, the rule of the place, in the shape of a program's `days` in `replay`; null when any day is
//!   allowed. It is kept by calendar date, after midnight too,
//! - `closed_weekdays`, as `["sun"]`, to be keyed as the controller's closed days as well,
//! - `most_minutes_a_day`, of all stations together (null: no limit),
//! - `effort`, `free_effort` (for the nights' plans without programs), `seed`,
//! - `suggest` (false): whether to look for what would help the longest of the nights' plans.
//!
//! Out:
//! - `programs` `[{"id", "sort", "starts", "days", "sharing", "steps"}]`, to be keyed in this order, in the shape that
//!   `replay` takes (`sort` apart): a start's own calendar day counts, so what starts after midnight is keyed a day
//!   later than the evening before it,
//! - `sorts` `[{"days", "stations": [{"station", "run_minutes"}]}]`: who shares water days, named by the day on which
//!   the night begins, and the minutes of such a day,
//! - `nights` `[{"first", "of_28", "sorts", "stations", "plan": {"runs", "finish_second", "bound_second",
//!   "limit", "supplies", "window_slack_seconds", "unserved"}, "keyed": {"runs", "finish_second", "later_seconds", "window_slack_seconds"}}]`: each kind of night,
//!   the first date on which one begins and how many of four weeks' nights are of it, its free plan as in `night` and
//!   what the programs open in it,
//! - with `suggest`, `suggestions` as in `night`, of the night whose plan ends last; `more_days` counts from the fewest
//!   days a week that one of its stations wants,
//! - `day_minutes`, of all stations, for each of the 28 nights,
//! - `verified`: the replay of four weeks keeps every rule and every night is as its kind shows; `broken`, which not,
//! - `window_start`, `window_minutes` and `clipped` (null, `before_midnight`, `after_midnight`): the window in use, and
//!   the side of midnight it was cut to because its dates may not both be watered,
//! - `too_seldom`: stations that no allowed days serve often enough; they have the closest days there are,
//! - `cut_short`: the search was stopped before its end (never so in one call),
//! - `over_most`: some night holds more than `most_minutes_a_day`,
//! - `soak_style`, `gap_seconds`, `entries`, `holds_to_percent`, `holds_from_percent`, `starts_hold_to_percent`,
//!   `unkeyed` and `finish_second` (of the longest night) as in `program`.
//!
//! ```
//! let request = r#"{"ask": "week", "from": "2026-06-01", "window_start": "22:00", "window_minutes": 480,
//!     "supplies": [{"id": "main", "capacity_l_per_min": 60}],
//!     "stations": [
//!         {"id": "1", "supply": "main", "flow_l_per_min": 40, "run_minutes": 90, "days_a_week": 3,
//!          "longest_run_minutes": 15, "soak_minutes": 30},
//!         {"id": "2", "supply": "main", "flow_l_per_min": 40, "run_minutes": 60, "days_a_week": 3},
//!         {"id": "3", "supply": "main", "flow_l_per_min": 20, "run_minutes": 45, "days_a_week": 1}],
//!     "controller": {"programs": 4, "starts": 8},
//!     "allowed_days": {"weekdays": ["mon", "tue", "wed", "thu", "fri", "sat"]}, "effort": 200000}"#;
//! let answer: serde_json::Value =
//!     serde_json::from_str(&drycurb_core::lines::answer_line(request)).unwrap();
//! let week = &answer["ok"];
//! assert_eq!(week["verified"], true);
//! assert_eq!(week["unkeyed"], serde_json::json!([]));
//! assert_eq!(week["nights"].as_array().map(Vec::len), week["sorts"].as_array().map(Vec::len));
//! ```

use std::rc::Rc;

use serde_json::Value;

use crate::json;

use super::night::{read_site_with, suggestions, whole_request, write_plan, write_runs};
use super::program::{controller, write};
use super::replay::{days_of, weekdays_of};
use super::{Answer, Fields, whole};
use crate::calendar::{Date, Weekday};
use crate::invalid::Invalid;
use crate::night::DAY_MINUTES;
use crate::program::week::{Clip, KeyedWeek, Rule, Want, WeekAsked, WeekEffort, key_week};
use crate::replay::WaterDays;
use crate::slices::{Pace, Slices};

/// Work for one answer when the request says nothing: two or three seconds.
const DEFAULT_EFFORT: u32 = 100_000_000;
/// Work for the free plans when the request says nothing.
const DEFAULT_FREE_EFFORT: u32 = 20_000_000;
/// Most work for one answer.
const MOST_EFFORT: u32 = 4_000_000_000;
/// Most minutes of all stations in a night.
const MOST_DAY_MINUTES: u32 = 400 * 1_440;

/// Answers `week`.
pub(super) fn ask(fields: Fields) -> Answer {
    let mut work = WeekWork::read(fields)?;
    work.step_to(u64::MAX);
    work.answer()
}

/// A week's search in slices: for a page that tells how far it is and may stop it.
///
/// Any slices give the same answer, to the bit, as one call.
pub struct WeekWork {
    slices: Slices<Result<KeyedWeek, Vec<Invalid>>>,
    effort: WeekEffort,
    from: Date,
    /// Days a week of each station, where suggestions are wanted.
    suggest: Option<Vec<u32>>,
    assumed: Vec<String>,
}

impl WeekWork {
    /// Begins the search that a request asks for.
    ///
    /// # Errors
    /// Everything that is wrong with the request.
    pub fn begin(request: &Value) -> Result<Self, Vec<Invalid>> {
        Self::read(whole_request(request)?)
    }

    fn read(mut fields: Fields) -> Result<Self, Vec<Invalid>> {
        let effort = WeekEffort {
            keyed: fields
                .defaulted("effort", DEFAULT_EFFORT, whole(0, MOST_EFFORT))
                .into(),
            free: fields
                .defaulted("free_effort", DEFAULT_FREE_EFFORT, whole(0, MOST_EFFORT))
                .into(),
            seed: fields.defaulted("seed", 1, whole(0, u32::MAX)).into(),
        };
        let suggest = fields.defaulted_flag("suggest", false);
        let from = fields.required_parsed("from", Date::parse);
        for name in ["controller", "allowed_days", "closed_weekdays"] {
            if fields.value(name).is_none() {
                fields.assume(name);
            }
        }
        let controller = fields
            .optional_object("controller", controller)
            .unwrap_or_default();
        let rule = Rule {
            allowed: days_of(&mut fields, "allowed_days"),
            closed: weekdays_of(&mut fields, "closed_weekdays", false),
            most_minutes: fields.optional("most_minutes_a_day", whole(1, MOST_DAY_MINUTES)),
            past_midnight: false,
        };
        let mut wants = Vec::new();
        let site = read_site_with(&mut fields, |fields, run_minutes| {
            let days = fields.defaulted("days_a_week", 3, whole(1, 7));
            let interval =
                fields.defaulted("longest_interval_days", 7_u32.div_ceil(days), whole(1, 28));
            wants.push(Want {
                week_minutes: run_minutes * days,
                week_days: days,
                longest_interval_days: interval,
            });
        });
        let assumed = fields.finish()?;
        let from = from.unwrap_or(Date::EPOCH);
        let days = wants.iter().map(|want| want.week_days).collect();
        let asked = WeekAsked {
            draft: site?.draft().clone(),
            controller,
            rule,
            wants,
            from,
        };
        let work = async move |pace: Rc<Pace>| key_week(&asked, effort, &pace).await;
        Ok(Self {
            slices: Slices::begin(work),
            effort,
            from,
            suggest: suggest.then_some(days),
            assumed: super::replay::without_places(assumed),
        })
    }

    /// The work that the request asks for. Sites that are hard to key take some more.
    pub fn effort(&self) -> u64 {
        self.effort.keyed + self.effort.free
    }

    /// Searches on until about `work` units are done since the beginning; gives the units done.
    pub fn step_to(&mut self, work: u64) -> u64 {
        self.slices.step_to(work)
    }

    /// Whether all is searched.
    pub fn is_done(&self) -> bool {
        self.slices.is_done()
    }

    /// The answer to the request; where work is left, by the best programs so far.
    pub fn answer(self) -> Answer {
        let week = self.slices.finish()?;
        let mut answer = write(&week.site, &week.keyed);
        write_week(&week, self.from, &mut answer);
        let latest = week
            .nights
            .iter()
            .max_by_key(|night| night.plan.finish_second);
        if let (Some(night), Some(days)) = (latest, self.suggest) {
            let days = night.stations.iter().map(|at| days[*at]).min();
            let work = (
                self.effort.seed,
                self.effort.free / week.nights.len() as u64,
            );
            answer["suggestions"] = suggestions(&night.site, &night.plan, night.limit, days, work);
        }
        answer["cut_short"] = week.cut_short.into();
        answer["assumed"] = self.assumed.into();
        Ok(answer)
    }
}

fn write_week(keyed: &KeyedWeek, from: Date, answer: &mut Value) {
    let KeyedWeek { site, week, .. } = keyed;
    let name = |station: &usize| site.stations()[*station].id.as_str();
    if let Some(programs) = answer["programs"].as_array_mut() {
        for (written, program) in programs.iter_mut().zip(&keyed.keyed.programs) {
            written["days"] = write_days(&program.days);
            let first = program.steps.first().and_then(|step| step.stations.first());
            let holds = |station: &usize| first.is_some_and(|first| name(station) == first);
            let sort = week
                .sorts
                .iter()
                .position(|sort| sort.stations.iter().any(holds));
            written["sort"] = sort.into();
        }
    }
    let sorts = week.sorts.iter().map(|sort| {
        // What does not fit into a day is told among `unkeyed`.
        let stations = sort.stations.iter().zip(&sort.minutes);
        let stations = stations.filter(|(_, minutes)| **minutes <= DAY_MINUTES);
        let stations = stations
            .map(|(station, minutes)| json!({ "station": name(station), "run_minutes": *minutes }));
        json!({ "days": write_days(&sort.days), "stations": stations.collect::<Vec<Value>>() })
    });
    let window = i64::from(site.window_minutes()) * 60;
    let nights = week.nights.iter().zip(&keyed.nights).enumerate();
    let nights = nights.map(|(kind, ((sorts, first), night))| {
        let runs = keyed.keyed.nights.get(kind).map_or(&[][..], Vec::as_slice);
        let finish = runs.iter().map(|run| run.end_second()).max().unwrap_or(0);
        let same = week.night_of.iter().filter(|of| **of == Some(kind));
        json!({
            "first": from.plus_days(*first as i32).to_string(),
            "of_28": same.count(),
            "sorts": sorts.as_slice(),
            "stations": night.stations.iter().map(name).collect::<Vec<&str>>(),
            "plan": write_plan(&night.site, &night.plan, night.bound_second, night.limit),
            "keyed": json!({
                "runs": write_runs(site, runs),
                "finish_second": finish,
                "later_seconds": i64::from(finish) - i64::from(night.plan.finish_second),
                "window_slack_seconds": window - i64::from(finish),
            }),
        })
    });
    answer["sorts"] = sorts.collect();
    answer["nights"] = nights.collect();
    answer["day_minutes"] = week.day_minutes.as_slice().into();
    answer["verified"] = keyed.is_verified().into();
    answer["window_start"] = site.window_start().to_string().into();
    answer["window_minutes"] = site.window_minutes().into();
    answer["clipped"] = keyed.clip.map(Clip::word).into();
    answer["too_seldom"] = week.too_seldom.iter().map(name).collect();
    answer["over_most"] = week.over_most.into();
}

/// Water days in the shape that `replay` takes.
fn write_days(days: &WaterDays) -> Value {
    match days {
        WaterDays::Weekdays(chosen) => {
            let words = Weekday::WORDS.iter().zip(chosen);
            let words = words.filter(|(_, chosen)| **chosen).map(|(word, _)| *word);
            json!({ "weekdays": words.collect::<Vec<&str>>() })
        }
        WaterDays::Odd { skip_31 } => json!({ "odd": true, "skip_31": *skip_31 }),
        WaterDays::Even => json!({ "even": true }),
        WaterDays::Every { days, from } => json!({ "every": *days, "from": from.to_string() }),
    }
}
