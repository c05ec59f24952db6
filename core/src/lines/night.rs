//! The ask `night`: the plan of one night.
//!
//! In: `window_start` (`HH:MM`), `window_minutes`, `supplies` `[{"id", "capacity_l_per_min", "least_l_per_min"}]`,
//! `open_at_once`, `groups` `[{"id", "open_at_once", "gap_seconds"}]`, `apart` (pairs of ids), `stations` `[{"id",
//! "supply", "group", "run_minutes", "longest_run_minutes", "soak_minutes", "flow_l_per_min", "from_minute",
//! "until_minute"}]` (see [`Draft`]); optional `effort` (units of work), `seed`, and `suggest` (false): whether to look
//! for what would help, from `days_a_week` (3) water days on.
//!
//! Out: `runs` `[{"station", "start_second", "seconds"}]`, `finish_second`, `bound_second` (proved: no plan ends
//! sooner), `limit` (what makes the bound so late: `kind` `chain`, `supply`, `open_at_once`, `lanes` or `nothing`, and
//! its `station`, `supply` or `group`), `supplies` `[{"supply", "used_share"}]` (water drawn over what it could have
//! carried until the plan ends; null without a capacity), `window_slack_seconds` (negative where the plan ends after
//! the window), `unserved` `[{"station", "minutes", "reason"}]`. With `suggest`, `suggestions` `[{"change",
//! "finish_second", "gained_seconds", "more_served"}]`, best first, each planned anew with the same effort: `more_flow`
//! (`supply`, `more_l_per_min`), `more_valves`, `more_lanes` (`group`), `shorter_soaks` (`soak_percent` of what they
//! are), `more_days` (`days_a_week`, the minutes shared among them). What serves stations that the plan can't may end
//! later: `gained_seconds` is negative then.

use serde_json::Value;

use crate::json;

use super::{Answer, Fields, whole};
use crate::calendar::ClockTime;
use crate::invalid::{Invalid, Problem};
use crate::night::{
    Change, DAY_MINUTES, Draft, Group, Limit, MORE_L_PER_MIN, MOST_GAP_SECONDS, MOST_STATIONS,
    Plan, Planner, Progress, Run, SOAK_PERCENT, Site, Station, Supply, Unserved, suggest,
    used_share,
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
pub fn night(fields: Fields) -> Answer {
    let mut work = NightWork::read(fields)?;
    work.step_to(work.effort);
    Ok(work.answer())
}

/// A night's search in slices: for a page that tells how far it is and may stop it.
///
/// Any slices give the same plan, to the bit, as one call; [`answer`](Self::answer) may be asked for after any of them.
pub struct NightWork {
    site: Site,
    planner: Planner,
    effort: u64,
    seed: u64,
    /// Water days a week, where suggestions are wanted.
    days: Option<u32>,
    assumed: Vec<String>,
}

impl NightWork {
    /// Begins the search that a request asks for, with a first plan.
    ///
    /// # Errors
    /// Everything that is wrong with the request.
    pub fn begin(request: &Value) -> Result<Self, Vec<Invalid>> {
        Self::read(whole_request(request)?)
    }

    fn read(mut fields: Fields) -> Result<Self, Vec<Invalid>> {
        let effort = fields.defaulted("effort", DEFAULT_EFFORT, whole(0, MOST_EFFORT));
        let seed = fields.defaulted("seed", 1, whole(0, u32::MAX)).into();
        let suggest = fields.defaulted_flag("suggest", false);
        let days = suggest.then(|| fields.defaulted("days_a_week", 3, whole(1, 7)));
        let site = read_site(&mut fields);
        let assumed = fields.finish()?;
        let site = site?;
        Ok(Self {
            planner: Planner::new(&site, seed),
            effort: effort.into(),
            site,
            seed,
            days,
            assumed,
        })
    }

    /// The work that the request asks for.
    pub fn effort(&self) -> u64 {
        self.effort
    }

    /// Searches on until `work` units are done since the beginning.
    pub fn step_to(&mut self, work: u64) -> Progress {
        self.planner.step_to(work.min(self.effort))
    }

    /// The answer to the request by the best plan so far.
    pub fn answer(&mut self) -> Value {
        self.planner.prove(PROOF_EFFORT);
        let (site, plan) = (&self.site, self.planner.best());
        let (bound, limit) = (self.planner.bound_second(), self.planner.limit());
        let mut answer = write_plan(site, plan, bound, limit);
        if self.days.is_some() {
            let work = (self.seed, self.effort);
            answer["suggestions"] = suggestions(site, plan, limit, self.days, work);
        }
        answer["assumed"] = self.assumed.as_slice().into();
        answer
    }
}

/// The fields of a request as a whole.
pub(super) fn whole_request(request: &Value) -> Result<Fields<'_>, Vec<Invalid>> {
    let problem = Problem::Other("must be one JSON object");
    let object = request.as_object();
    object
        .map(Fields::new)
        .ok_or_else(|| vec![Invalid::new("line", problem)])
}

/// What would help a plan, by `work`: the seed, and the units for each change.
pub(super) fn suggestions(
    site: &Site,
    plan: &Plan,
    limit: Limit,
    days: Option<u32>,
    (seed, effort): (u64, u64),
) -> Value {
    let suggestions = suggest(site, plan, limit, days, seed, effort);
    let suggestions = suggestions.iter().map(|suggestion| {
        let gained = i64::from(plan.finish_second) - i64::from(suggestion.finish_second);
        let mut written = json!({
            "change": suggestion.change.word(),
            "finish_second": suggestion.finish_second,
            "gained_seconds": gained,
            "more_served": suggestion.more_served,
        });
        match suggestion.change {
            Change::MoreFlow { supply } => {
                written["supply"] = site.supplies()[supply].id.as_str().into();
                written["more_l_per_min"] = MORE_L_PER_MIN.into();
            }
            Change::MoreLanes { group } => {
                written["group"] = site.groups()[group].id.as_str().into();
            }
            Change::ShorterSoaks => written["soak_percent"] = SOAK_PERCENT.into(),
            Change::MoreDays => written["days_a_week"] = days.map(|days| days + 1).into(),
            Change::MoreValves => {}
        }
        written
    });
    suggestions.collect()
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

/// A plan, its bound and what limits it.
pub(super) fn write_plan(site: &Site, plan: &Plan, bound_second: u32, limit: Limit) -> Value {
    let window = i64::from(site.window_minutes()) * 60;
    let supplies = site.supplies().iter().enumerate().map(|(supply, entered)| {
        json!({ "supply": entered.id.as_str(), "used_share": used_share(site, plan, supply) })
    });
    json!({
        "runs": write_runs(site, &plan.runs),
        "finish_second": plan.finish_second,
        "bound_second": bound_second,
        "limit": write_limit(site, limit),
        "supplies": supplies.collect::<Value>(),
        "window_slack_seconds": window - i64::from(plan.finish_second),
        "unserved": write_unserved(site, &plan.unserved),
    })
}

/// Runs as `night` gives them.
pub(super) fn write_runs(site: &Site, runs: &[Run]) -> Value {
    let runs = runs.iter().map(|run| {
        json!({
            "station": site.stations()[run.station].id.as_str(),
            "start_second": run.start_second,
            "seconds": run.seconds,
        })
    });
    runs.collect()
}

/// What a plan does not serve.
fn write_unserved(site: &Site, unserved: &[Unserved]) -> Value {
    let unserved = unserved.iter().map(|unserved| {
        json!({
            "station": site.stations()[unserved.station].id.as_str(),
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
    let mut fields = whole_request(request)?;
    let site = read_site(&mut fields);
    fields.finish()?;
    site
}
