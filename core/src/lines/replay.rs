//! The ask `replay`: what a controller does with what was keyed.
//!
//! Takes a request of [`crate::replay`] field by field, in the units of the names; see [`Entered`]. Gives `runs`
//! (`program`, `station`, `start` as the clock shows it, `start_second` since `from`, `seconds`) and `findings`
//! (`kind`, `program`, `station`, `at`, and what belongs to the kind).

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::json;

use super::Answer;
use super::fields::{Fields, whole};
use crate::calendar::wall::ClockChange;
use crate::calendar::{ClockTime, Date, LocalTime, Weekday};
use crate::invalid::{Invalid, Problem};
use crate::quantity::Flow;
use crate::replay::{
    Closed, Daily, Entered, Finding, Kind, Program, Replay, Request, Run, SoakStyle, Station, Step,
    Supply, WaterDays, limits, replay,
};

/// Stands for an id that could not be read. It names nothing, and the fault beside it has been noted.
const UNREAD: &str = "\0";
const DAYS_WANTED: Problem = Problem::Other("must have one of: weekdays, odd, even, every");

/// Answers `replay`.
pub(super) fn ask(mut fields: Fields) -> Answer {
    let hours = fields.required("hours", whole(1, limits::HOURS));
    let stations = fields.objects("stations", true, station);
    let request = Request::new(entered(&mut fields, hours.unwrap_or(1), stations));
    let assumed = finish(fields, request.as_ref().err())?;
    let request = request?;
    let replay = replay(&request);
    let mut answer = answer(&request, &replay);
    answer.insert("assumed".into(), assumed.into());
    Ok(Value::Object(answer))
}

/// Ends the reading: the names of the defaults in force, or what is wrong in form and in content together. Where a
/// field could not be read, a harmless value stands for it and only the fault of form is told.
pub(super) fn finish(
    fields: Fields,
    content: Option<&Vec<Invalid>>,
) -> Result<Vec<String>, Vec<Invalid>> {
    let content = content.into_iter().flatten();
    match fields.finish() {
        Ok(assumed) => {
            let faults: Vec<Invalid> = content.cloned().collect();
            if faults.is_empty() {
                Ok(without_places(assumed))
            } else {
                Err(faults)
            }
        }
        Err(mut faults) => {
            let unread: BTreeSet<&str> = faults.iter().map(|fault| fault.field.as_str()).collect();
            let told = content.filter(|fault| !within_one_of(&fault.field, &unread));
            let told: Vec<Invalid> = told.cloned().collect();
            faults.extend(told);
            Err(faults)
        }
    }
}

/// Whether a field is one of those listed or lies inside one of them.
fn within_one_of(field: &str, listed: &BTreeSet<&str>) -> bool {
    let inside = |(end, _)| listed.contains(&field[..end]);
    listed.contains(field) || field.match_indices(['.', '[']).any(inside)
}

/// Names without the places in their lists (`programs[3].on` is `programs.on`), each once.
pub(super) fn without_places(assumed: Vec<String>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for field in assumed {
        let parts = field
            .split('[')
            .map(|part| part.split_once(']').map_or(part, |(_, rest)| rest));
        let name: String = parts.collect();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// Reads the rest of a request.
pub(super) fn entered(fields: &mut Fields, hours: u32, stations: Vec<Station>) -> Entered {
    let from = fields
        .required_parsed("from", LocalTime::parse)
        .unwrap_or_else(epoch);
    let gap_seconds = fields.defaulted("gap_seconds", 0, whole(0, limits::GAP_SECONDS));
    let soak_style = soak_style(fields);
    for name in ["clock_changes", "closed", "window", "supplies"] {
        if fields.value(name).is_none() {
            fields.assume(name);
        }
    }
    Entered {
        from,
        hours,
        gap_seconds,
        soak_style,
        clock_changes: fields.objects("clock_changes", false, clock_change),
        closed: fields.optional_object("closed", closed).unwrap_or_default(),
        window: fields.optional_object("window", daily),
        supplies: fields.objects("supplies", false, supply),
        stations,
        programs: fields.objects("programs", true, program),
    }
}

fn epoch() -> LocalTime {
    Date::EPOCH.at(ClockTime::MIDNIGHT)
}

fn soak_style(fields: &mut Fields) -> SoakStyle {
    if fields.value("soak_style").is_none() {
        fields.assume("soak_style");
    }
    let style = fields.optional_word("soak_style", SoakStyle::WORDS, &SoakStyle::ALL);
    style.unwrap_or_default()
}

pub(super) fn clock_change(fields: &mut Fields) -> ClockChange {
    ClockChange {
        at: fields
            .required_parsed("at", LocalTime::parse)
            .unwrap_or_else(epoch),
        shift_minutes: fields.required("shift_minutes", shift).unwrap_or(1),
    }
}

fn shift(number: f64) -> Result<i32, Problem> {
    let most = f64::from(ClockChange::MOST_MINUTES);
    if number.fract() != 0.0 {
        Err(Problem::NotWhole)
    } else if number < -most || number > most {
        Err(Problem::OutOfRange { least: -most, most })
    } else {
        Ok(number as i32)
    }
}

fn closed(fields: &mut Fields) -> Closed {
    Closed {
        weekdays: weekdays(fields, false),
        dates: fields.texts("dates", false, Date::EPOCH, Date::parse),
        hours: fields.objects("hours", false, daily),
    }
}

fn daily(fields: &mut Fields) -> Daily {
    let from = fields.required_parsed("from", ClockTime::parse);
    let until = fields.required_parsed("until", ClockTime::parse);
    match (from, until) {
        (Some(from), Some(until)) => Daily { from, until },
        _ => Daily {
            from: ClockTime::MIDNIGHT,
            until: ClockTime::NOON,
        },
    }
}

fn weekdays(fields: &mut Fields, required: bool) -> [bool; 7] {
    weekdays_of(fields, "weekdays", required)
}

pub(super) fn weekdays_of(fields: &mut Fields, name: &str, required: bool) -> [bool; 7] {
    let place = |word: &str| {
        let place = Weekday::WORDS.iter().position(|known| *known == word);
        place.ok_or(Problem::NotOneOf(Weekday::WORDS))
    };
    let mut chosen = [false; 7];
    for day in fields.texts(name, required, 0, place) {
        chosen[day] = true;
    }
    chosen
}

fn supply(fields: &mut Fields) -> Supply {
    Supply {
        id: fields.required_text("id").unwrap_or(UNREAD).into(),
        capacity: fields.optional("capacity_l_per_min", Flow::try_l_per_min),
    }
}

pub(super) fn station(fields: &mut Fields) -> Station {
    let most = limits::STATION_MINUTES;
    Station {
        id: fields.required_text("id").unwrap_or(UNREAD).into(),
        flow: fields.optional("flow_l_per_min", Flow::try_l_per_min),
        longest_run_minutes: fields.optional("longest_run_minutes", whole(1, most)),
        soak_minutes: fields.optional("soak_minutes", whole(0, most)),
        supply: fields.optional_text("supply").map(Into::into),
    }
}

pub(super) fn program(fields: &mut Fields) -> Program {
    let midnight = ClockTime::MIDNIGHT;
    Program {
        id: fields.required_text("id").unwrap_or(UNREAD).into(),
        starts: fields.texts("starts", true, midnight, ClockTime::parse),
        days: days(fields),
        sharing: fields.defaulted_flag("sharing", false),
        adjust_percent: fields.defaulted("adjust_percent", 100, whole(0, limits::ADJUST_PERCENT)),
        on: fields.defaulted_flag("on", true),
        steps: fields.objects("steps", true, step),
    }
}

fn days(fields: &mut Fields) -> WaterDays {
    if fields.value("days").is_none() {
        fields.fault("days", Problem::Missing);
    }
    days_of(fields, "days").unwrap_or(WaterDays::Even)
}

/// Water days under a name of their own, which may be absent.
pub(super) fn days_of(fields: &mut Fields, name: &str) -> Option<WaterDays> {
    let object = fields.value(name).and_then(Value::as_object);
    let kinds = ["weekdays", "odd", "even", "every"].into_iter();
    let named = |object: &&Map<String, Value>| {
        kinds
            .filter(|kind| object.get(*kind).is_some_and(|value| !value.is_null()))
            .count()
    };
    match object.as_ref().map(named) {
        Some(1) => {}
        Some(_) => fields.fault(name, DAYS_WANTED),
        None => {}
    }
    fields.optional_object(name, one_of_days)
}

fn one_of_days(fields: &mut Fields) -> WaterDays {
    if fields.value("weekdays").is_some() {
        return WaterDays::Weekdays(weekdays(fields, true));
    }
    if fields.value("every").is_some() {
        let days = fields
            .required("every", whole(1, limits::EVERY_DAYS))
            .unwrap_or(1);
        let from = fields
            .required_parsed("from", Date::parse)
            .unwrap_or(Date::EPOCH);
        return WaterDays::Every { days, from };
    }
    for name in ["odd", "even"] {
        if fields
            .value(name)
            .is_some_and(|value| *value != Value::Bool(true))
        {
            fields.fault(name, Problem::Other("must be true"));
        }
    }
    if fields.value("odd").is_some() {
        return WaterDays::Odd {
            skip_31: fields.defaulted_flag("skip_31", false),
        };
    }
    WaterDays::Even
}

fn step(fields: &mut Fields) -> Step {
    let read = |id: &str| Ok(id.to_owned());
    Step {
        stations: fields.texts("stations", true, UNREAD.to_owned(), read),
        seconds: fields
            .required("seconds", whole(0, limits::STEP_SECONDS))
            .unwrap_or(0),
    }
}

/// Writes the answer.
fn answer(request: &Request, replay: &Replay) -> Map<String, Value> {
    let runs: Vec<Value> = replay
        .runs
        .iter()
        .map(|run| run_value(request, run))
        .collect();
    let findings: Vec<Value> = replay
        .findings
        .iter()
        .map(|finding| finding_value(request, finding))
        .collect();
    let mut answer = Map::new();
    answer.insert("runs".into(), runs.into());
    answer.insert("findings".into(), findings.into());
    answer
}

fn run_value(request: &Request, run: &Run) -> Value {
    let entered = request.entered();
    json!({
        "program": entered.programs[run.program].id,
        "station": entered.stations[run.station].id,
        "start": request.clock().local(run.start_second).to_string(),
        "start_second": run.start_second,
        "seconds": run.seconds,
    })
}

pub(super) fn finding_value(request: &Request, finding: &Finding) -> Value {
    let entered = request.entered();
    let program = |place: usize| entered.programs[place].id.as_str();
    let mut value = json!({
        "kind": finding.kind.word(),
        "program": finding.program.map(program),
        "station": finding.station.map(|place| entered.stations[place].id.as_str()),
        "at": finding.at.map(|at| at.to_string()),
    });
    match finding.kind {
        Kind::StartNeverFires { start } => value["start"] = start.to_string().into(),
        Kind::StationBusy { by } => value["by"] = program(by).into(),
        Kind::CutByClosed { seconds } => value["seconds"] = seconds.into(),
        Kind::OverCapacity {
            supply,
            seconds,
            flow_l_per_min,
        } => {
            value["supply"] = entered.supplies[supply].id.as_str().into();
            value["seconds"] = seconds.into();
            value["flow_l_per_min"] = flow_l_per_min.into();
        }
        _ => {}
    }
    value
}
