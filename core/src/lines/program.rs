//! The ask `program`: a night as programs that can be keyed.
//!
//! In: everything that `night` takes, and, all optional, `controller` `{"programs" (8), "starts" (8),
//! "shortest_step_seconds" (60), "soak_style" ("none" | "wait" | "fill"), "sharing" (false), "gap_seconds" (null: may be
//! keyed), "valves_at_once" (null), "station_order" (null: steps stand as they like; true: a program holds a station once
//! at most, alone in its step, in the order of `stations`)}` (see [`Controller`]), `effort`, `seed`, and `free_effort`, the work for the plan
//! that the programs are compared with.
//!
//! Out: `programs` `[{"id", "starts", "sharing", "steps": [{"stations", "seconds"}]}]` in keying order, in the shape
//! that `replay` takes but for the days; `soak_style` and `gap_seconds` that they count on; `runs` and `finish_second`
//! of their replay; `free_finish_second`, `bound_second` and `later_seconds` against the plan without programs;
//! `entries` (starts, steps and sets of days to key); `holds_to_percent`, `holds_from_percent` and
//! `starts_hold_to_percent`: the adjustments within which every rule, every rule but the minutes, and every start
//! holds; `unkeyed` `[{"station", "reason"}]`; `broken` `[{"rule", "station", "second"}]`, empty when the programs may
//! be keyed.

use serde_json::Value;

use crate::json;

use super::night::{read_site, write_runs};
use super::{Answer, Fields, whole};
use crate::night::{MOST_GAP_SECONDS, MOST_STATIONS, Planner, Site};
use crate::program::{Controller, Keyed, MOST_PROGRAMS, MOST_SHORTEST_SECONDS, key};
use crate::replay::SoakStyle;

/// Work for one answer when the request says nothing: about five seconds for a commercial site.
const DEFAULT_EFFORT: u32 = 300_000_000;
/// Work for the free plan when the request says nothing.
const DEFAULT_FREE_EFFORT: u32 = 10_000_000;
/// Most work for one answer.
const MOST_EFFORT: u32 = 4_000_000_000;

/// Answers `program`.
pub(super) fn ask(mut fields: Fields) -> Answer {
    let effort = fields.defaulted("effort", DEFAULT_EFFORT, whole(0, MOST_EFFORT));
    let free_effort = fields.defaulted("free_effort", DEFAULT_FREE_EFFORT, whole(0, MOST_EFFORT));
    let seed = fields.defaulted("seed", 1, whole(0, u32::MAX));
    if fields.value("controller").is_none() {
        fields.assume("controller");
    }
    let controller = fields.optional_object("controller", controller);
    let controller = controller.unwrap_or_default();
    let site = read_site(&mut fields);
    let assumed = fields.finish()?;
    let site = site?;
    let mut planner = Planner::new(&site, u64::from(seed));
    planner.step(u64::from(free_effort));
    let free = planner.best();
    let keyed = key(&site, &controller, free, u64::from(seed), u64::from(effort));
    let mut answer = write(&site, &keyed);
    let later = i64::from(keyed.finish_second) - i64::from(free.finish_second);
    answer["later_seconds"] = later.into();
    answer["free_finish_second"] = free.finish_second.into();
    answer["bound_second"] = planner.bound_second().into();
    answer["assumed"] = assumed.into();
    Ok(answer)
}

pub(super) fn controller(fields: &mut Fields) -> Controller {
    let usual = Controller::default();
    if fields.value("soak_style").is_none() {
        fields.assume("soak_style");
    }
    let style = fields.optional_word("soak_style", SoakStyle::WORDS, &SoakStyle::ALL);
    Controller {
        programs: fields.defaulted("programs", usual.programs, whole(1, MOST_PROGRAMS)),
        starts: fields.defaulted("starts", usual.starts, whole(1, 8)),
        shortest_step_seconds: fields.defaulted(
            "shortest_step_seconds",
            usual.shortest_step_seconds,
            whole(0, MOST_SHORTEST_SECONDS),
        ),
        soak_style: style.unwrap_or(usual.soak_style),
        sharing: fields.defaulted_flag("sharing", usual.sharing),
        gap_seconds: fields.optional("gap_seconds", whole(0, MOST_GAP_SECONDS)),
        valves_at_once: fields.optional("valves_at_once", whole(1, MOST_STATIONS as u32)),
        station_order: fields.value("station_order").is_some()
            && fields.defaulted_flag("station_order", false),
    }
}

pub(super) fn write(site: &Site, keyed: &Keyed) -> Value {
    let name = |station: usize| site.stations()[station].id.as_str();
    let programs = keyed.programs.iter().map(|program| {
        let starts: Vec<String> = program.starts.iter().map(ToString::to_string).collect();
        let steps = program.steps.iter();
        let steps = steps
            .map(|step| json!({ "stations": step.stations.as_slice(), "seconds": step.seconds }));
        json!({
            "id": program.id.as_str(),
            "starts": starts,
            "sharing": program.sharing,
            "steps": steps.collect::<Vec<Value>>(),
        })
    });
    let runs = keyed.nights.first().map_or(&[][..], Vec::as_slice);
    let left = keyed
        .left
        .iter()
        .map(|left| json!({ "station": name(left.station), "reason": left.reason.word() }));
    let broken = keyed.broken.iter().map(|broken| {
        json!({
            "rule": broken.rule,
            "station": broken.station.map(name),
            "second": broken.second,
        })
    });
    let style = SoakStyle::ALL
        .iter()
        .position(|style| *style == keyed.soak_style);
    json!({
        "programs": programs.collect::<Vec<Value>>(),
        "soak_style": style.map(|place| SoakStyle::WORDS[place]),
        "gap_seconds": keyed.gap_seconds,
        "runs": write_runs(site, runs),
        "finish_second": keyed.finish_second,
        "entries": keyed.entries,
        "holds_to_percent": keyed.holds_to_percent,
        "holds_from_percent": keyed.holds_from_percent,
        "starts_hold_to_percent": keyed.starts_hold_to_percent,
        "unkeyed": left.collect::<Vec<Value>>(),
        "broken": broken.collect::<Vec<Value>>(),
    })
}
