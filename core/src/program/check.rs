//! Finished programs against the rules of the night, by what a controller does with them.

use super::kinds::Kinds;
use super::week::SPAN;
use super::{Controller, Keyed};
use crate::calendar::Date;
use crate::night::legal::{Breach, breaches};
use crate::night::{Plan, Reason, Run, Site, Unserved};
use crate::replay::{Closed, Entered, Kind, Replay, Request, Station, Supply, replay};
use crate::slices::Pace;

/// A rule that the replay of the programs breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Broken {
    /// Its word.
    pub rule: &'static str,
    /// The station, where there is one.
    pub station: Option<usize>,
    /// From this second of the window, where there is one.
    pub second: Option<u32>,
}

impl Broken {
    pub(super) const fn plain(rule: &'static str) -> Self {
        Self {
            rule,
            station: None,
            second: None,
        }
    }

    fn of(breach: Breach) -> Option<Self> {
        let (rule, station, second) = match breach {
            // Programs split in their own way; see `minutes`.
            Breach::Split { .. } => return None,
            Breach::Malformed => ("malformed", None, None),
            Breach::Soak { station } => ("soak", Some(station), None),
            Breach::OwnWindow { station } => ("own_window", Some(station), None),
            Breach::Capacity { second, .. } => ("capacity", None, Some(second)),
            Breach::LeastFlow { second, .. } => ("least_flow", None, Some(second)),
            Breach::OpenAtOnce { second } => ("open_at_once", None, Some(second)),
            Breach::Lanes { second, .. } => ("lanes", None, Some(second)),
            Breach::Apart { station, .. } => ("apart", Some(station), None),
        };
        Some(Self {
            rule,
            station,
            second,
        })
    }
}

/// Units of work that the replay of one run counts as.
const RUN_WORK: u64 = 50;
/// Hours of a day.
const DAY_HOURS: u32 = 24;

/// The programs as a question to the replay, from the start of the window on a date.
fn request(
    site: &Site,
    kinds: &Kinds,
    keyed: &Keyed,
    (date, hours): (Date, u32),
    percent: u32,
) -> Option<Request> {
    let stations = site.stations().iter().map(|station| Station {
        id: station.id.clone(),
        flow: Some(station.flow),
        longest_run_minutes: station.longest_run_minutes,
        soak_minutes: Some(station.soak_minutes),
        supply: station.supply.clone(),
    });
    let supplies = site.supplies().iter().map(|supply| Supply {
        id: supply.id.clone(),
        capacity: supply.capacity,
    });
    let mut programs = keyed.programs.clone();
    for program in &mut programs {
        program.adjust_percent = percent;
    }
    let entered = Entered {
        from: date.at(site.window_start()),
        hours,
        gap_seconds: keyed.gap_seconds,
        soak_style: keyed.soak_style,
        clock_changes: Vec::new(),
        closed: Closed {
            weekdays: kinds.closed,
            ..Closed::default()
        },
        window: None,
        supplies: supplies.collect(),
        stations: stations.collect(),
        programs,
    };
    Request::new(entered).ok()
}

/// Whether every start whose day it is opens its program's first step at that very second.
fn starts_hold(site: &Site, date: Date, keyed: &Keyed, replay: &Replay) -> bool {
    let window = site.window_start().to_minute_of_day();
    let while_running = |kind: &Kind| matches!(kind, Kind::StartWhileRunning);
    let held = |(place, program): (usize, &crate::replay::Program)| {
        program.starts.iter().all(|start| {
            let minute = (start.to_minute_of_day() + 1_440 - window) % 1_440;
            let second = i64::from(minute) * 60;
            let next_day = start.to_minute_of_day() < window;
            let fires = program.days.holds(date.plus_days(i32::from(next_day)));
            let mut runs = replay.runs.iter();
            !fires
                || runs
                    .any(|run| run.program == place && run.step == 0 && run.start_second == second)
        })
    };
    keyed.programs.iter().enumerate().all(held)
        && !replay
            .findings
            .iter()
            .any(|finding| while_running(&finding.kind))
}

/// What the replay of one kind of night shows, as a plan of that night.
fn plan(site: &Site, kinds: &Kinds, night: usize, keyed: &Keyed, replay: &Replay) -> Plan {
    let runs = replay.runs.iter().map(|run| Run {
        start_second: run.start_second.clamp(0, i64::from(u32::MAX / 2)) as u32,
        seconds: run.seconds,
        station: run.station,
    });
    let left = |station: &usize| keyed.left.iter().any(|left| left.station == *station);
    let stations = 0..site.stations().len();
    let unserved = stations
        .filter(|station| !kinds.waters(*station, night) || left(station))
        .map(|station| Unserved {
            station,
            minutes: 0,
            reason: Reason::NoPlaceFound,
        });
    let runs: Vec<Run> = runs.collect();
    Plan {
        finish_second: runs.iter().map(Run::end_second).max().unwrap_or(0),
        runs,
        unserved: unserved.collect(),
    }
}

/// Everything that the replay breaks, minutes apart.
fn rules(site: &Site, date: Date, keyed: &Keyed, replay: &Replay, plan: &Plan) -> Vec<Broken> {
    let mut broken: Vec<Broken> = breaches(site, plan)
        .into_iter()
        .filter_map(Broken::of)
        .collect();
    for finding in &replay.findings {
        if !matches!(finding.kind, Kind::NeverWaters | Kind::NoSteps) {
            broken.push(Broken {
                rule: finding.kind.word(),
                station: finding.station,
                second: finding.second.map(|second| second.max(0) as u32),
            });
        }
    }
    if broken.is_empty() && !starts_hold(site, date, keyed, replay) {
        broken.push(Broken::plain("start_meets_running"));
    }
    broken
}

/// Whether every station that waters in a night gets its minutes, and at most 2 more in each pass.
fn minutes(site: &Site, plan: &Plan, keyed: &mut Keyed) {
    for (station, entered) in site.stations().iter().enumerate() {
        let runs = plan.runs.iter().filter(|run| run.station == station);
        let given: u32 = runs.map(|run| run.seconds).sum();
        let mut passes = 0;
        for program in &keyed.programs {
            for step in &program.steps {
                let named = step.stations.contains(&entered.id);
                passes += if named {
                    program.starts.len() as u32
                } else {
                    0
                };
            }
        }
        let need = if plan.unserved.iter().any(|left| left.station == station) {
            0
        } else {
            entered.run_minutes * 60
        };
        if given < need || given > need + passes * 120 * u32::from(need > 0) {
            keyed.broken.push(Broken {
                rule: "minutes",
                station: Some(station),
                second: None,
            });
        }
    }
}

/// Replays the programs, a night of each kind, and writes down what that shows.
pub(super) async fn check(
    site: &Site,
    controller: &Controller,
    kinds: &Kinds,
    keyed: &mut Keyed,
    pace: &Pace,
) {
    let mut draft = site.draft().clone();
    if let Some(most) = controller.valves_at_once {
        draft.open_at_once = Some(draft.open_at_once.map_or(most, |open| open.min(most)));
    }
    let Ok(site) = &Site::check(draft) else {
        keyed.broken.push(Broken::plain("cannot_be_replayed"));
        return;
    };
    for (night, date) in kinds.dates.iter().enumerate() {
        let Some(asked) = request(site, kinds, keyed, (*date, DAY_HOURS), 100) else {
            keyed.broken.push(Broken::plain("cannot_be_replayed"));
            return;
        };
        let played = replay(&asked);
        let seen = plan(site, kinds, night, keyed, &played);
        let broken = rules(site, *date, keyed, &played, &seen);
        keyed.broken.extend(broken);
        keyed.finish_second = keyed.finish_second.max(seen.finish_second);
        minutes(site, &seen, keyed);
        keyed.nights.push(seen.runs);
    }
    let short = controller.shortest_step_seconds;
    let mut steps = keyed.programs.iter().flat_map(|program| &program.steps);
    if steps.any(|step| step.seconds < short || step.seconds % 60 != 0) {
        keyed.broken.push(Broken::plain("step_length"));
    }
    let starts = keyed.programs.iter().map(|program| program.starts.len());
    let most = starts.max().unwrap_or(0);
    if keyed.programs.len() > controller.programs as usize || most > controller.starts as usize {
        keyed.broken.push(Broken::plain("too_many_to_key"));
    }
    if keyed.broken.is_empty() {
        percents(site, kinds, keyed, pace).await;
    }
}

/// Up and down to which adjustment the rules hold, percent by percent.
async fn percents(site: &Site, kinds: &Kinds, keyed: &mut Keyed, pace: &Pace) {
    // Whether the starts hold in every kind of night, and whether all rules do.
    let holds = |keyed: &Keyed, percent: u32| {
        let (mut starts, mut all) = (true, true);
        for (night, date) in kinds.dates.iter().enumerate() {
            let Some(asked) = request(site, kinds, keyed, (*date, DAY_HOURS), percent) else {
                return (false, false);
            };
            let played = replay(&asked);
            let seen = plan(site, kinds, night, keyed, &played);
            starts = starts && starts_hold(site, *date, keyed, &played);
            all = all && rules(site, *date, keyed, &played, &seen).is_empty();
        }
        (starts, all)
    };
    let work = keyed.nights.iter().map(Vec::len).sum::<usize>() as u64 * RUN_WORK;
    let mut all = true;
    for percent in 101..=300 {
        let (starts, rules) = holds(keyed, percent);
        pace.spend(work).await;
        all = all && rules;
        if all {
            keyed.holds_to_percent = percent;
        }
        if !starts {
            break;
        }
        keyed.starts_hold_to_percent = percent;
    }
    for percent in (1..100).rev() {
        let (_, rules) = holds(keyed, percent);
        pace.spend(work).await;
        if !rules {
            break;
        }
        keyed.holds_from_percent = percent;
    }
}

/// Replays four weeks and looks whether every night of them is as its kind shows. `kind_of` names the kind of each
/// night from `from` on, where there is one.
pub(super) fn weeks(
    site: &Site,
    kinds: &Kinds,
    keyed: &mut Keyed,
    from: Date,
    kind_of: &[Option<usize>],
) {
    let Some(asked) = request(site, kinds, keyed, (from, SPAN * DAY_HOURS), 100) else {
        keyed.broken.push(Broken::plain("cannot_be_replayed"));
        return;
    };
    let played = replay(&asked);
    // Dates may be closed by weekday: such starts are meant not to fire.
    let meant = |kind: &Kind| matches!(kind, Kind::StartInClosed | Kind::NeverWaters);
    if let Some(finding) = played.findings.iter().find(|f| !meant(&f.kind)) {
        keyed.broken.push(Broken::plain(finding.kind.word()));
    }
    let mut runs = played.runs.iter().peekable();
    for (day, kind) in kind_of.iter().enumerate() {
        let begin = day as i64 * 86_400;
        let mut own = Vec::new();
        while let Some(run) = runs.next_if(|run| run.start_second < begin + 86_400) {
            own.push(Run {
                start_second: (run.start_second - begin) as u32,
                seconds: run.seconds,
                station: run.station,
            });
        }
        let meant = kind.map_or(&[][..], |kind| &keyed.nights[kind]);
        if own != meant {
            keyed.broken.push(Broken::plain("night_differs"));
            return;
        }
    }
}
