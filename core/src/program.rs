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
mod search;
mod timeline;
pub mod week;

use crate::calendar::{ClockTime, Date};
use crate::night::{Plan, Reason, Run, Site};
use crate::order::by_keys;
use crate::replay::{self, SoakStyle, WaterDays};
use block::Maker;
pub use check::Broken;
use search::{Programs, Search, Worth};
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
}

impl NotKeyed {
    /// The word at the JSON door.
    pub fn word(self) -> &'static str {
        match self {
            Self::Night(reason) => reason.word(),
            Self::NoProgram => "no_program",
            Self::NoStart => "no_start",
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

/// Programs to key, and what their replay shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Keyed {
    /// In the order of their first starts; water days are every day until they are chosen.
    pub programs: Vec<replay::Program>,
    /// The cycle and soak that they count on: the controller's own, or [`SoakStyle::None`] when it is not to be keyed.
    pub soak_style: SoakStyle,
    /// The pause between steps that they count on, seconds.
    pub gap_seconds: u32,
    /// What they open, in seconds from the start of the window.
    pub runs: Vec<Run>,
    /// The last closing, seconds from the start of the window.
    pub finish_second: u32,
    /// How much later that is than the free plan's.
    pub later_seconds: i64,
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
    style: SoakStyle,
    gap: u32,
}

/// Programs for a night, by about `effort` units of work. `free` is the night's plan without programs: what it cannot
/// serve is not keyed, and its finish is compared with.
pub fn key(site: &Site, controller: &Controller, free: &Plan, seed: u64, effort: u64) -> Keyed {
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
    // Each way gets a short try, the best of them the rest.
    let ways = gaps.len() * styles.len();
    let share = if ways == 1 { effort } else { effort / 10 };
    let rank = |found: &Found| (found.left.len(), found.worth);
    let mut best = find(site, controller, free, (styles[0], gaps[0]), seed, share);
    for (at, &style) in styles.iter().enumerate() {
        for &gap in &gaps[usize::from(at == 0)..] {
            let found = find(site, controller, free, (style, gap), seed, share);
            if rank(&found) < rank(&best) {
                best = found;
            }
        }
    }
    if ways > 1 {
        let rest = effort.saturating_sub(share * ways as u64);
        let found = find(site, controller, free, (best.style, best.gap), seed, rest);
        if rank(&found) < rank(&best) {
            best = found;
        }
    }
    write(site, controller, free, best)
}

fn find(
    site: &Site,
    controller: &Controller,
    free: &Plan,
    (style, gap): (SoakStyle, u32),
    seed: u64,
    effort: u64,
) -> Found {
    let demands = Demands::of(site, controller.valves_at_once, controller.sharing);
    let maker = Maker {
        site,
        demands: &demands,
        controller,
        style,
        gap,
    };
    let mut search = Search::new(maker, seed);
    let served = |station: &usize| free.unserved.iter().all(|left| left.station != *station);
    let mut stations: Vec<usize> = (0..site.stations().len()).filter(served).collect();
    let unserved = free.unserved.iter();
    let mut left: Vec<Left> = unserved
        .map(|unserved| Left {
            station: unserved.station,
            reason: NotKeyed::Night(unserved.reason),
        })
        .collect();
    let mut share = effort;
    loop {
        let (first, without) = search.first(&stations);
        if let [station, ..] = without[..] {
            // All its parts go.
            let reason = NotKeyed::NoProgram;
            left.push(Left { station, reason });
            stations.retain(|other| *other != station);
            continue;
        }
        let (programs, worth) = search.improve(first, share);
        let blamed = search.blamed.filter(|_| worth.broken > 0);
        let starts = std::mem::take(&mut search.starts);
        let Some(station) = blamed else {
            return Found {
                programs,
                starts,
                worth,
                left,
                style,
                gap,
            };
        };
        let reason = NotKeyed::NoStart;
        left.push(Left { station, reason });
        stations.retain(|other| *other != station);
        share = effort / 8;
    }
}

/// Writes the programs as they are keyed, replays them and looks at what that gives.
fn write(site: &Site, controller: &Controller, free: &Plan, found: Found) -> Keyed {
    let mut order: Vec<u64> = Vec::new();
    for (at, starts) in found.starts.iter().enumerate() {
        if let Some(start) = starts.first() {
            order.push((u64::from(*start) << 16) | at as u64);
        }
    }
    by_keys(&mut order, |key| [*key, 0]);
    let mut programs = Vec::new();
    for key in order {
        let at = (key & 0xffff) as usize;
        let member = &found.programs.members[at];
        let Some(block) = &member.block else { continue };
        let mut steps: Vec<replay::Step> = Vec::new();
        for item in &member.items {
            let station = found.programs.pieces[item.piece].station;
            if !item.joined {
                steps.push(replay::Step {
                    stations: Vec::new(),
                    seconds: block
                        .steps
                        .get(steps.len())
                        .map_or(0, |minutes| minutes * 60),
                });
            }
            if let Some(step) = steps.last_mut() {
                step.stations.push(site.stations()[station].id.clone());
            }
        }
        let starts = found.starts[at].iter().map(|second| {
            let minute = site.window_start().to_minute_of_day() + second / 60;
            ClockTime::try_minute_of_day(minute % 1_440).unwrap_or(ClockTime::MIDNIGHT)
        });
        programs.push(replay::Program {
            id: (programs.len() + 1).to_string(),
            starts: starts.collect(),
            days: WaterDays::Every {
                days: 1,
                from: Date::EPOCH,
            },
            sharing: controller.sharing,
            adjust_percent: 100,
            on: true,
            steps,
        });
    }
    let mut keyed = Keyed {
        entries: found.worth.entries,
        programs,
        soak_style: found.style,
        gap_seconds: found.gap,
        runs: Vec::new(),
        finish_second: 0,
        later_seconds: 0,
        holds_to_percent: 100,
        holds_from_percent: 100,
        starts_hold_to_percent: 100,
        left: found.left,
        broken: Vec::new(),
    };
    check::check(site, controller, &mut keyed);
    if keyed.finish_second != found.worth.finish && keyed.broken.is_empty() {
        keyed.broken.push(Broken::plain("finish"));
    }
    keyed.later_seconds = i64::from(keyed.finish_second) - i64::from(free.finish_second);
    keyed
}
