//! `night`: the plan of one night.

use serde_json::{Value, json};

use super::{Answer, Fields, whole};
use crate::calendar::ClockTime;
use crate::invalid::{Invalid, Problem};
use crate::night::{
    DAY_MINUTES, Draft, Group, Limit, MOST_GAP_SECONDS, MOST_STATIONS, Planner, Run, Site, Station,
    Supply, Unserved,
};
use crate::quantity::Flow;

/// Work for one answer when the request says nothing: about a second for a campus of 200 stations.
const DEFAULT_EFFORT: u32 = 100_000_000;
/// Most work for the bound beside it.
const PROOF_EFFORT: u64 = 5_000_000;
/// Most work for one answer.
const MOST_EFFORT: u32 = 4_000_000_000;

/// Stands for a name that could not be read.
const UNREAD: &str = "\0unread";

/// Answers `night`.
pub fn night(mut fields: Fields) -> Answer {
    let effort = fields.defaulted("effort", DEFAULT_EFFORT, whole(0, MOST_EFFORT));
    let seed = fields.defaulted("seed", 1, whole(0, u32::MAX));
    let site = read_site(&mut fields);
    let assumed = fields.finish()?;
    let site = site?;
    let mut planner = Planner::new(&site, u64::from(seed));
    planner.step(u64::from(effort));
    planner.prove(PROOF_EFFORT);
    Ok(write_plan(&site, &planner, assumed))
}

/// Reads the site of a request. What is wrong is noted in `fields`, or is the error when the fields are sound each by
/// itself.
pub(super) fn read_site(fields: &mut Fields) -> Result<Site, Vec<Invalid>> {
    read_site_with(fields, |_, _| ())
}

/// The same; `more` reads what else stands beside each station, and is told its minutes.
pub(super) fn read_site_with(
    fields: &mut Fields,
    mut more: impl FnMut(&mut Fields, u32),
) -> Result<Site, Vec<Invalid>> {
    let draft = read_draft(fields, &mut more);
    let known: Vec<String> = fields
        .faults()
        .iter()
        .map(|fault| fault.field.clone())
        .collect();
    let faults = match Site::check(draft) {
        Ok(site) => return Ok(site),
        Err(faults) => faults,
    };
    // What could not be read stands under a name that nobody can type; once is enough.
    let unread =
        |problem: &Problem| matches!(problem, Problem::Unlisted(name) if name.starts_with(UNREAD));
    for fault in &faults {
        if !unread(&fault.problem) && !known.contains(&fault.field) {
            fields.fault(&fault.field, fault.problem.clone());
        }
    }
    Err(faults)
}

/// Reads the lists of a request. A harmless value stands in for a field at fault, so that the rest is looked at too.
fn read_draft(fields: &mut Fields, more: &mut dyn FnMut(&mut Fields, u32)) -> Draft {
    let no_flow = Flow::l_per_min(0.0);
    let day = || whole(0, DAY_MINUTES);
    let run = || whole(1, DAY_MINUTES);
    let open = || whole(1, MOST_STATIONS as u32);
    let mut unread = 0;
    let supplies = fields.objects("supplies", false, |fields| Supply {
        id: name(fields, &mut unread),
        capacity: fields.optional("capacity_l_per_min", Flow::try_l_per_min),
        least: fields
            .optional("least_l_per_min", Flow::try_l_per_min)
            .unwrap_or(no_flow),
    });
    let groups = fields.objects("groups", false, |fields| Group {
        id: name(fields, &mut unread),
        open_at_once: fields.optional("open_at_once", open()),
        gap_seconds: fields
            .optional("gap_seconds", whole(0, MOST_GAP_SECONDS))
            .unwrap_or(0),
    });
    let stations = fields.objects("stations", true, |fields| {
        let run_minutes = fields.required("run_minutes", run()).unwrap_or(1);
        more(fields, run_minutes);
        Station {
            id: name(fields, &mut unread),
            supply: fields.optional_text("supply").map(str::to_owned),
            group: fields.optional_text("group").map(str::to_owned),
            run_minutes,
            longest_run_minutes: fields.optional("longest_run_minutes", run()),
            soak_minutes: fields.optional("soak_minutes", day()).unwrap_or(0),
            flow: fields
                .required("flow_l_per_min", Flow::try_l_per_min)
                .unwrap_or(no_flow),
            from_minute: fields.optional("from_minute", day()).unwrap_or(0),
            until_minute: fields.optional("until_minute", day()),
        }
    });
    Draft {
        window_start: fields
            .required_parsed("window_start", ClockTime::parse)
            .unwrap_or(ClockTime::MIDNIGHT),
        window_minutes: fields.required("window_minutes", run()).unwrap_or(1),
        supplies,
        open_at_once: fields.optional("open_at_once", open()),
        groups,
        apart: pairs(fields, "apart"),
        stations,
    }
}

/// The `id` of an object; when it can't be read, a name of its own that no request is likely to hold.
fn name(fields: &mut Fields, unread: &mut u32) -> String {
    *unread += 1;
    fields
        .required_text("id")
        .map_or_else(|| format!("{UNREAD}{unread}"), str::to_owned)
}

/// Reads a list of pairs of names. An absent list is empty.
fn pairs(fields: &mut Fields, list: &str) -> Vec<[String; 2]> {
    let mut pairs = Vec::new();
    for (at, entry) in fields.list(list, false).iter().enumerate() {
        pairs.push(match entry.as_array().map(Vec::as_slice) {
            Some([Value::String(one), Value::String(other)]) => [one.clone(), other.clone()],
            _ => {
                let sentence = "must be a pair of names";
                fields.fault(&format!("{list}[{at}]"), Problem::Other(sentence));
                [UNREAD.into(), UNREAD.into()]
            }
        });
    }
    pairs
}

fn write_plan(site: &Site, planner: &Planner, assumed: Vec<String>) -> Value {
    let plan = planner.best();
    let window = i64::from(site.window_minutes()) * 60;
    json!({
        "runs": write_runs(site, &plan.runs),
        "finish_second": plan.finish_second,
        "bound_second": planner.bound_second(),
        "limit": write_limit(site, planner.limit()),
        "window_slack_seconds": window - i64::from(plan.finish_second),
        "unserved": write_unserved(site, &plan.unserved),
        "assumed": assumed,
    })
}

/// Runs as `night` gives them.
pub(super) fn write_runs(site: &Site, runs: &[Run]) -> Value {
    let runs = runs.iter().map(|run| {
        json!({
            "station": site.stations()[run.station].id,
            "start_second": run.start_second,
            "seconds": run.seconds,
        })
    });
    runs.collect()
}

/// What a plan does not serve.
pub(super) fn write_unserved(site: &Site, unserved: &[Unserved]) -> Value {
    let unserved = unserved.iter().map(|unserved| {
        json!({
            "station": site.stations()[unserved.station].id,
            "minutes": unserved.minutes,
            "reason": unserved.reason.word(),
        })
    });
    unserved.collect()
}

/// What makes the bound as late as it is: its kind, and the name of the station, supply or group.
fn write_limit(site: &Site, limit: Limit) -> Value {
    let mut written = json!({ "kind": limit.word() });
    let (key, name) = match limit {
        Limit::Chain { station } => ("station", &site.stations()[station].id),
        Limit::Supply { supply } => ("supply", &site.supplies()[supply].id),
        Limit::Lanes { group } => ("group", &site.groups()[group].id),
        Limit::OpenAtOnce | Limit::Nothing => return written,
    };
    written[key] = name.as_str().into();
    written
}

/// Reads the site that a `night` request describes.
///
/// # Errors
/// Everything that is wrong with it.
pub fn read_night(request: &Value) -> Result<Site, Vec<Invalid>> {
    let Some(object) = request.as_object() else {
        let problem = Problem::Other("must be one JSON object");
        return Err(vec![Invalid::new("line", problem)]);
    };
    let mut fields = Fields::new(object);
    let site = read_site(&mut fields);
    fields.finish()?;
    site
}
