//! A night as programs that can be keyed: start times, steps, minutes.
//!
//! A program is a block, its steps one after another, that runs once for each of its start times. Its soaks come from
//! the time between the starts, in which other programs water; or from the controller, where it cuts and soaks by
//! itself. Which station goes where is searched for (`search`), then the finished programs are replayed with
//! [`crate::replay`], and what the replay shows is held against every rule of the night (`check`). What it breaks is
//! told beside the programs, never hidden.
//!
//! Minutes are whole, never below what a station needs, and at most 2 above it in each pass (common practice, no
//! source).

mod block;
mod check;
mod kinds;
mod search;
mod timeline;
pub mod week;

use crate::calendar::ClockTime;
use crate::night::{Plan, Reason, Run, Site, Unserved};
use crate::order::by_keys;
use crate::replay::{self, SoakStyle};
use crate::slices::{Pace, at_once};
use block::Maker;
pub use check::Broken;
use kinds::Kinds;
use search::{Programs, Search, Thrift, Worth};
use timeline::Demands;

/// Most programs that are looked for.
pub const MOST_PROGRAMS: u32 = 40;
/// Longest shortest step, seconds.
pub const MOST_SHORTEST_SECONDS: u32 = 3_600;

/// What the controller can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    /// How many programs it has, 1 to [`MOST_PROGRAMS`].
    pub programs: u32,
    /// How many start times a program has, 1 to 8.
    pub starts: u32,
    /// Its shortest step, seconds, 0 to 3600. Steps are keyed in whole minutes, 1 or more.
    pub shortest_step_seconds: u32,
    /// Its own cycle and soak.
    pub soak_style: SoakStyle,
    /// Whether programs may run beside each other.
    pub sharing: bool,
    /// Pause between the steps of a program, seconds, 0 to 3600; `None` when it can be keyed: none, or the longest
    /// pause of a group, whichever ends sooner.
    pub gap_seconds: Option<u32>,
    /// Most valves that it opens at once.
    pub valves_at_once: Option<u32>,
    /// A program holds a station once at most, alone in its step, in the order of the site's stations. (So do most
    /// panels: one run time per station and program. Common practice, no source.)
    pub station_order: bool,
}

impl Default for Controller {
    /// Eight programs of eight starts, steps from a minute on, nothing of its own.
    fn default() -> Self {
        Self {
            programs: 8,
            starts: 8,
            shortest_step_seconds: 60,
            soak_style: SoakStyle::None,
            sharing: false,
            gap_seconds: None,
            valves_at_once: None,
            station_order: false,
        }
    }
}

/// Why a station stands in no program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotKeyed {
    /// No plan serves it either.
    Night(Reason),
    /// No program can give its minutes: too many passes, or a step too short to be keyed.
    NoProgram,
    /// No start was found that keeps every rule.
    NoStart,
    /// There is no day on which it may water.
    NoWaterDay,
    /// The days on which it may water are too few: one would have to hold more than its 24 hours.
    MoreThanADay,
}

impl NotKeyed {
    /// The word at the JSON door.
    pub fn word(self) -> &'static str {
        match self {
            Self::Night(reason) => reason.word(),
            Self::NoProgram => "no_program",
            Self::NoStart => "no_start",
            Self::NoWaterDay => "no_water_day",
            Self::MoreThanADay => "more_than_a_day",
        }
    }
}

/// A station that stands in no program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Left {
    /// Its place in the site.
    pub station: usize,
    /// Why.
    pub reason: NotKeyed,
}

impl Left {
    /// A station that no plan serves.
    fn of(unserved: &Unserved) -> Self {
        Self {
            station: unserved.station,
            reason: NotKeyed::Night(unserved.reason),
        }
    }
}

/// Programs to key, and what their replay shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Keyed {
    /// In the order of their first starts, those of each sort of stations together. Water days are every day where
    /// only one night is asked for.
    pub programs: Vec<replay::Program>,
    /// The cycle and soak that they count on: the controller's own, or [`SoakStyle::None`] when it is not to be keyed.
    pub soak_style: SoakStyle,
    /// The pause between steps that they count on, seconds.
    pub gap_seconds: u32,
    /// What they open in each kind of night, in seconds from the start of the window; one kind where only one night
    /// is asked for.
    pub nights: Vec<Vec<Run>>,
    /// The last closing of all, seconds from the start of the window.
    pub finish_second: u32,
    /// Start times, steps and sets of water days to key.
    pub entries: u32,
    /// The largest adjustment, 100 to 300 percent, up to which every rule holds.
    pub holds_to_percent: u32,
    /// The smallest, 0 to 100 percent, down to which every rule holds but the minutes.
    pub holds_from_percent: u32,
    /// The largest, 100 to 300 percent, up to which no start meets a program that runs or waits.
    pub starts_hold_to_percent: u32,
    /// Stations in no program.
    pub left: Vec<Left>,
    /// Rules that the replay breaks; empty when the programs may be keyed.
    pub broken: Vec<Broken>,
}

/// A draft and how it was made.
struct Found {
    programs: Programs,
    starts: Vec<Vec<u32>>,
    worth: Worth,
    left: Vec<Left>,
    way: Way,
}

impl Found {
    /// What stands until something is found: every station is left out.
    fn nothing(asked: Asked, way: Way) -> Self {
        let reason = NotKeyed::NoStart;
        let stations = 0..asked.site.stations().len();
        let known = |station: &usize| asked.left.iter().any(|left| left.station == *station);
        let rest = stations.filter(|station| !known(station));
        let rest = rest.map(|station| Left { station, reason });
        Self {
            programs: Programs::default(),
            starts: Vec::new(),
            worth: Worth {
                broken: u32::MAX,
                ..Worth::default()
            },
            left: asked.left.iter().copied().chain(rest).collect(),
            way,
        }
    }
}

/// A way to make programs.
#[derive(Clone, Copy, PartialEq)]
struct Way {
    style: SoakStyle,
    gap: u32,
    /// Stations are joined into steps to begin with.
    joined: bool,
}

/// Programs for a night, by about `effort` units of work. `free` is the night's plan without programs: what it cannot
/// serve is not keyed.
pub fn key(site: &Site, controller: &Controller, free: &Plan, seed: u64, effort: u64) -> Keyed {
    let kinds = Kinds::one(site.stations().len());
    let left: Vec<Left> = free.unserved.iter().map(Left::of).collect();
    let asked = Asked {
        site,
        controller,
        kinds: &kinds,
        left: &left,
        thrift: None,
        seed,
    };
    at_once(key_kinds(asked, effort, &Pace::free()))
}

/// Programs for all kinds of nights, by about `effort` units of work.
async fn key_kinds(asked: Asked<'_>, effort: u64, pace: &Pace) -> Keyed {
    let (site, controller) = (asked.site, asked.controller);
    let mut gaps = match controller.gap_seconds {
        Some(gap) => vec![gap],
        None => vec![0],
    };
    let longest = site.groups().iter().map(|group| group.gap_seconds).max();
    if let (None, Some(longest @ 1..)) = (controller.gap_seconds, longest) {
        gaps.push(longest);
    }
    let mut styles = vec![SoakStyle::None];
    let soaks = site.stations().iter().any(|station| station.runs() > 1);
    if controller.soak_style != SoakStyle::None && soaks {
        styles.push(controller.soak_style);
    }
    let mut ways: Vec<Way> = Vec::new();
    for style in styles {
        for &gap in &gaps {
            ways.extend([true, false].map(|joined| Way { style, gap, joined }));
        }
    }
    // Each way gets a short try, the best of them the rest. One that leaves out more than another is given up.
    let share = effort / 10;
    let rest = effort.saturating_sub(share * ways.len() as u64);
    let mut best = Found::nothing(asked, ways[0]);
    for &way in &ways {
        best = better(best, asked, way, share, pace).await;
    }
    let first = best.way;
    best = better(best, asked, first, rest, pace).await;
    // What still breaks a rule may not do so another way.
    for way in ways {
        if best.worth.broken > 0 && way != first && !pace.hurries() {
            best = better(best, asked, way, rest, pace).await;
        }
    }
    write(site, controller, asked.kinds, best, pace).await
}

/// What programs are looked for.
#[derive(Clone, Copy)]
struct Asked<'a> {
    site: &'a Site,
    controller: &'a Controller,
    kinds: &'a Kinds,
    /// Stations that are not to be keyed.
    left: &'a [Left],
    /// What is to be spared beside time, if anything.
    thrift: Option<Thrift>,
    seed: u64,
}

/// What another search finds, where it is better.
async fn better(best: Found, asked: Asked<'_>, way: Way, effort: u64, pace: &Pace) -> Found {
    let nothing = best.worth.broken == u32::MAX;
    if !nothing && pace.hurries() {
        return best;
    }
    let rank = |found: &Found| (found.left.len(), found.worth);
    match find(asked, way, effort, best.left.len(), pace).await {
        Some(found) if rank(&found) < rank(&best) => found,
        _ => best,
    }
}

/// Searches one way; nothing when that leaves out more than `most_left` stations.
async fn find(
    asked: Asked<'_>,
    way: Way,
    effort: u64,
    most_left: usize,
    pace: &Pace,
) -> Option<Found> {
    let Way { style, gap, joined } = way;
    let Asked {
        site, controller, ..
    } = asked;
    let demands = Demands::of(site, controller.valves_at_once, controller.sharing);
    let maker = Maker {
        site,
        demands: &demands,
        controller,
        kinds: asked.kinds,
        style,
        gap,
    };
    let mut search = Search::new(maker, asked.thrift, asked.seed);
    let mut left = asked.left.to_vec();
    let served = |station: &usize| left.iter().all(|left| left.station != *station);
    let mut stations: Vec<usize> = (0..site.stations().len()).filter(served).collect();
    let mut share = effort;
    loop {
        if left.len() > most_left {
            return None;
        }
        let (first, without) = search.first(&stations, joined);
        if let [station, ..] = without[..] {
            // All its parts go.
            let reason = NotKeyed::NoProgram;
            left.push(Left { station, reason });
            stations.retain(|other| *other != station);
            continue;
        }
        let (programs, worth) = search.improve(first, share, pace).await;
        // However many are left out one after another, it is no more work than the first search.
        share = if share == effort {
            effort / 8
        } else {
            share / 8 * 7
        };
        let half = (controller.programs as usize / 2).max(1);
        if search.over > 0 && search.most > half {
            // Half as many find room even when each is keyed twice.
            search.most = half;
            continue;
        }
        let blamed = search.blamed.filter(|_| worth.broken > 0);
        let starts = std::mem::take(&mut search.starts);
        let Some(station) = blamed else {
            return Some(Found {
                programs,
                starts,
                worth,
                left,
                way,
            });
        };
        let reason = NotKeyed::NoStart;
        left.push(Left { station, reason });
        stations.retain(|other| *other != station);
    }
}

/// Writes the programs as they are keyed, replays them and looks at what that gives.
async fn write(
    site: &Site,
    controller: &Controller,
    kinds: &Kinds,
    found: Found,
    pace: &Pace,
) -> Keyed {
    // By sort, then first start: program of the draft, and whether its starts before midnight or the others.
    let mut order: Vec<(u64, usize, bool)> = Vec::new();
    for (at, starts) in found.starts.iter().enumerate() {
        let Some(block) = &found.programs.members[at].block else {
            continue;
        };
        let first_late = starts.partition_point(|start| *start < kinds.midnight);
        let parts = if kinds.is_split(block.sort, starts) {
            [&starts[..first_late], &starts[first_late..]]
        } else {
            [&starts[..], &[]]
        };
        for (part, starts) in parts.iter().enumerate() {
            if let Some(start) = starts.first() {
                let key = ((block.sort as u64) << 32) | u64::from(*start);
                order.push((key, at, part > 0));
            }
        }
    }
    by_keys(&mut order, |entry| [entry.0, 0]);
    let mut programs = Vec::new();
    for (_, at, late) in order {
        let starts = &found.starts[at];
        let Some(block) = &found.programs.members[at].block else {
            continue;
        };
        let split = kinds.is_split(block.sort, starts);
        let own = starts
            .iter()
            .filter(|start| !split || (**start >= kinds.midnight) == late);
        let after = starts.first().is_some_and(|start| *start >= kinds.midnight) || late;
        let starts = own.map(|second| {
            let minute = site.window_start().to_minute_of_day() + second / 60;
            ClockTime::try_minute_of_day(minute % 1_440).unwrap_or(ClockTime::MIDNIGHT)
        });
        programs.push(replay::Program {
            id: (programs.len() + 1).to_string(),
            starts: starts.collect(),
            days: kinds.days[block.sort][usize::from(after)],
            sharing: controller.sharing,
            adjust_percent: 100,
            on: true,
            steps: steps(site, &found.programs, at),
        });
    }
    let mut keyed = Keyed {
        entries: found.worth.entries,
        programs,
        soak_style: found.way.style,
        gap_seconds: found.way.gap,
        nights: Vec::new(),
        finish_second: 0,
        holds_to_percent: 100,
        holds_from_percent: 100,
        starts_hold_to_percent: 100,
        left: found.left,
        broken: Vec::new(),
    };
    check::check(site, controller, kinds, &mut keyed, pace).await;
    if keyed.finish_second != found.worth.finish && keyed.broken.is_empty() {
        keyed.broken.push(Broken::plain("finish"));
    }
    keyed
}

/// The steps of a program of the draft.
fn steps(site: &Site, programs: &Programs, at: usize) -> Vec<replay::Step> {
    let member = &programs.members[at];
    let minutes = member.block.as_ref().map_or(&[][..], |block| &block.steps);
    let mut steps: Vec<replay::Step> = Vec::new();
    for item in &member.items {
        let station = programs.pieces[item.piece].station;
        if !item.joined {
            steps.push(replay::Step {
                stations: Vec::new(),
                seconds: minutes.get(steps.len()).map_or(0, |minutes| minutes * 60),
            });
        }
        if let Some(step) = steps.last_mut() {
            step.stations.push(site.stations()[station].id.clone());
        }
    }
    steps
}
