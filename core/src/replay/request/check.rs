//! Checks a request as entered; all faults at once.

use std::collections::BTreeMap;

use super::{Entered, Program, Request, Station, limits};
use crate::calendar::wall::{ClockChange, WallClock};
use crate::invalid::{Invalid, Problem};
use crate::order::{by_keys, signed};
use crate::replay::days::{ClosedTime, Daily, WaterDays};
use crate::replay::due::{self, Due};
use crate::replay::plan::{self, PlannedStep};

const DAILY_WANTED: Problem = Problem::Other("must differ from `from`");
const TOO_MANY_RUNS: Problem =
    Problem::Other("would give more than 400000 runs; ask for fewer hours, starts or steps");

/// How long a list may be, and how that is said.
type Longest = (usize, &'static str);
const STARTS: Longest = (limits::STARTS, "must be a list of 0 to 8 times HH:MM");
const STATIONS: Longest = (limits::STATIONS, "must be a list of at most 1000");
const SUPPLIES: Longest = (limits::SUPPLIES, "must be a list of at most 1000");
const PROGRAMS: Longest = (limits::PROGRAMS, "must be a list of at most 128");
const STEPS: Longest = (limits::STEPS, "must be a list of at most 1000");
const CHANGES: Longest = (limits::CHANGES, "must be a list of at most 1000");
const DATES: Longest = (limits::DATES, "must be a list of at most 10000");

type Names<'a> = BTreeMap<&'a str, usize>;

pub(super) fn check(entered: Entered) -> Result<Request, Vec<Invalid>> {
    let mut check = Check { faults: Vec::new() };
    let faults = ClockChange::check(&entered.clock_changes, "clock_changes");
    check.faults.extend(faults);
    check.settings(&entered);
    let supply_ids = entered.supplies.iter().map(|supply| supply.id.as_str());
    let supply_names = check.names("supplies", supply_ids, SUPPLIES);
    let station_ids = entered.stations.iter().map(|station| station.id.as_str());
    let station_names = check.names("stations", station_ids, STATIONS);
    let program_ids = entered.programs.iter().map(|program| program.id.as_str());
    check.names("programs", program_ids, PROGRAMS);

    let stations = entered.stations.iter().enumerate();
    let supplies = stations
        .map(|(place, station)| {
            check.station(&format!("stations[{place}]"), station, &supply_names)
        })
        .collect();
    let programs = entered.programs.iter().enumerate();
    let places: Vec<Vec<Vec<usize>>> = programs
        .map(|(place, program)| {
            check.program(&format!("programs[{place}]"), program, &station_names)
        })
        .collect();
    if !check.faults.is_empty() {
        return Err(check.faults);
    }

    let clock = WallClock::new(entered.from, &entered.clock_changes);
    let closed = ClosedTime::new(&entered.closed);
    let steps = planned(&entered, &places);
    let dues = dues(&entered, &steps, &clock, &closed);
    if runs(&dues, &steps).max(dues.len() as u64) > limits::RUNS {
        return Err(vec![Invalid::new("hours", TOO_MANY_RUNS)]);
    }
    Ok(Request {
        supplies,
        steps,
        dues,
        clock,
        closed,
        entered,
    })
}

/// By program: the steps that run; none when it is off.
fn planned(entered: &Entered, places: &[Vec<Vec<usize>>]) -> Vec<Vec<PlannedStep>> {
    let programs = entered.programs.iter().zip(places);
    let steps = programs.map(|(program, places)| {
        if program.on {
            plan::planned_steps(program, places, &entered.stations, entered.soak_style)
        } else {
            Vec::new()
        }
    });
    steps.collect()
}

/// All starts that come due, of programs that have something to run.
fn dues(
    entered: &Entered,
    steps: &[Vec<PlannedStep>],
    clock: &WallClock,
    closed: &ClosedTime,
) -> Vec<Due> {
    let end = i64::from(entered.hours) * 3_600;
    let programs = entered.programs.iter().zip(steps).enumerate();
    let mut dues: Vec<Due> = programs
        .filter(|(_, (_, steps))| !steps.is_empty())
        .flat_map(|(place, (program, _))| due::dues(program, place, clock, closed, end))
        .collect();
    by_keys(&mut dues, |due| [signed(due.second), due.program as u64]);
    dues
}

/// How many openings there will be if closed time drops nothing.
fn runs(dues: &[Due], steps: &[Vec<PlannedStep>]) -> u64 {
    let each: Vec<u64> = steps
        .iter()
        .map(|steps| {
            steps
                .iter()
                .map(|step| u64::from(step.runs) * step.stations.len() as u64)
                .sum()
        })
        .collect();
    let firing = dues.iter().filter(|due| due.outcome.fires());
    firing
        .map(|due| each[due.program])
        .fold(0, u64::saturating_add)
}

/// The faults found so far.
struct Check {
    faults: Vec<Invalid>,
}

impl Check {
    fn fault(&mut self, field: String, problem: Problem) {
        self.faults.push(Invalid::new(field, problem));
    }

    fn range(&mut self, field: impl FnOnce() -> String, value: u32, least: u32, most: u32) {
        if value < least || value > most {
            let (least, most) = (f64::from(least), f64::from(most));
            self.fault(field(), Problem::OutOfRange { least, most });
        }
    }

    fn length(&mut self, field: impl FnOnce() -> String, length: usize, longest: Longest) {
        if length > longest.0 {
            self.fault(field(), Problem::Other(longest.1));
        }
    }

    fn daily(&mut self, field: impl FnOnce() -> String, daily: Daily) {
        if daily.from == daily.until {
            self.fault(field(), DAILY_WANTED);
        }
    }

    fn settings(&mut self, entered: &Entered) {
        self.range(|| "hours".into(), entered.hours, 1, limits::HOURS);
        self.range(
            || "gap_seconds".into(),
            entered.gap_seconds,
            0,
            limits::GAP_SECONDS,
        );
        self.length(
            || "clock_changes".into(),
            entered.clock_changes.len(),
            CHANGES,
        );
        self.length(|| "closed.dates".into(), entered.closed.dates.len(), DATES);
        self.length(
            || "closed.hours".into(),
            entered.closed.hours.len(),
            CHANGES,
        );
        for (place, daily) in entered.closed.hours.iter().enumerate() {
            self.daily(|| format!("closed.hours[{place}].until"), *daily);
        }
        if let Some(window) = entered.window {
            self.daily(|| "window.until".into(), window);
        }
    }

    /// The places of names, each of which may be used once.
    fn names<'a>(
        &mut self,
        list: &str,
        ids: impl ExactSizeIterator<Item = &'a str>,
        longest: Longest,
    ) -> Names<'a> {
        self.length(|| list.into(), ids.len(), longest);
        let mut names = Names::new();
        for (place, id) in ids.enumerate() {
            if names.insert(id, place).is_some() {
                self.fault(format!("{list}[{place}].id"), Problem::Repeated(id.into()));
            }
        }
        names
    }

    /// Gives the place of the station's supply.
    fn station(&mut self, path: &str, station: &Station, supplies: &Names) -> Option<usize> {
        let minutes = [
            ("longest_run_minutes", station.longest_run_minutes, 1),
            ("soak_minutes", station.soak_minutes, 0),
        ];
        for (field, value, least) in minutes {
            if let Some(value) = value {
                self.range(
                    || format!("{path}.{field}"),
                    value,
                    least,
                    limits::STATION_MINUTES,
                );
            }
        }
        let supply = station.supply.as_ref()?;
        let place = supplies.get(supply.as_str()).copied();
        if place.is_none() {
            self.fault(format!("{path}.supply"), Problem::Unlisted(supply.clone()));
        }
        place
    }

    /// Gives the places of the stations of each step.
    fn program(&mut self, path: &str, program: &Program, stations: &Names) -> Vec<Vec<usize>> {
        self.length(|| format!("{path}.starts"), program.starts.len(), STARTS);
        self.length(|| format!("{path}.steps"), program.steps.len(), STEPS);
        let percent = program.adjust_percent;
        self.range(
            || format!("{path}.adjust_percent"),
            percent,
            0,
            limits::ADJUST_PERCENT,
        );
        if let WaterDays::Every { days, .. } = program.days {
            self.range(|| format!("{path}.days.every"), days, 1, limits::EVERY_DAYS);
        }
        let steps = program.steps.iter().enumerate();
        steps
            .map(|(place, step)| {
                let path = format!("{path}.steps[{place}]");
                self.range(
                    || format!("{path}.seconds"),
                    step.seconds,
                    0,
                    limits::STEP_SECONDS,
                );
                self.step_stations(&path, &step.stations, stations)
            })
            .collect()
    }

    fn step_stations(&mut self, path: &str, ids: &[String], stations: &Names) -> Vec<usize> {
        if ids.is_empty() {
            let problem = Problem::Other("must be a list of one or more stations");
            self.fault(format!("{path}.stations"), problem);
        }
        let mut places = Vec::with_capacity(ids.len());
        let mut used = Names::new();
        for (place, id) in ids.iter().enumerate() {
            let field = || format!("{path}.stations[{place}]");
            match stations.get(id.as_str()) {
                Some(station) => places.push(*station),
                None => self.fault(field(), Problem::Unlisted(id.clone())),
            }
            if used.insert(id, place).is_some() {
                self.fault(field(), Problem::Repeated(id.clone()));
            }
        }
        places
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_names_its_limit() {
        for (most, wanted) in [STARTS, STATIONS, SUPPLIES, PROGRAMS, STEPS, CHANGES, DATES] {
            assert!(wanted.contains(&format!(" {most}")), "{most}: {wanted}");
        }
        let Problem::Other(wanted) = TOO_MANY_RUNS else {
            panic!("{TOO_MANY_RUNS}")
        };
        assert!(wanted.contains(&limits::RUNS.to_string()));
    }
}
