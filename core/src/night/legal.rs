//! Whether a plan keeps the rules. Shares nothing with the search: it looks at the finished list of runs only.

use super::plan::{Plan, Run};
use super::site::Site;
use crate::order::by_keys;

/// Flow that may stand above a capacity, or below a least flow, for the sake of binary fractions, l/min.
pub const FLOW_SLACK: f64 = 1e-6;

/// A rule that a plan breaks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Breach {
    /// A run of a station that is not listed, or the finish is not the end of the last run.
    Malformed,
    /// The runs of a station are not its equal split, longer ones first.
    Split {
        /// The station.
        station: usize,
    },
    /// Two runs of a station lie closer than its soak.
    Soak {
        /// The station.
        station: usize,
    },
    /// A run lies outside its station's own window.
    OwnWindow {
        /// The station.
        station: usize,
    },
    /// The open stations of a supply draw more than it carries.
    Capacity {
        /// The supply.
        supply: usize,
        /// From this second.
        second: u32,
    },
    /// The open stations of a supply draw something, but less than its pump needs.
    LeastFlow {
        /// The supply.
        supply: usize,
        /// From this second.
        second: u32,
    },
    /// Too many valves open on the site.
    OpenAtOnce {
        /// From this second.
        second: u32,
    },
    /// Too many lanes of a group held, pauses counted.
    Lanes {
        /// The group.
        group: usize,
        /// From this second.
        second: u32,
    },
    /// Two stations that must be kept apart are open together.
    Apart {
        /// One of the two.
        station: usize,
        /// The other.
        other: usize,
    },
}

/// Every rule that the plan breaks; empty when it may be shown.
pub fn breaches(site: &Site, plan: &Plan) -> Vec<Breach> {
    let mut found = Vec::new();
    let finish = plan.runs.iter().map(Run::end_second).max().unwrap_or(0);
    let listed = plan.runs.iter().all(|r| r.station < site.stations().len());
    if !listed || finish != plan.finish_second {
        found.push(Breach::Malformed);
    }
    if !listed {
        return found;
    }
    let mut own = vec![Vec::new(); site.stations().len()];
    for run in &plan.runs {
        own[run.station].push(*run);
    }
    for runs in &mut own {
        by_keys(runs, |run| [run.start_second.into(), run.seconds.into()]);
    }
    for (station, runs) in own.iter().enumerate() {
        let unserved = plan.unserved.iter().any(|u| u.station == station);
        check_station(site, station, runs, unserved, &mut found);
    }
    check_supplies(site, plan, &mut found);
    check_counts(site, plan, &mut found);
    for &[station, other] in site.apart() {
        let meet =
            |a: &Run, b: &Run| a.start_second < b.end_second() && b.start_second < a.end_second();
        if own[station]
            .iter()
            .any(|a| own[other].iter().any(|b| meet(a, b)))
        {
            found.push(Breach::Apart { station, other });
        }
    }
    found
}

fn check_station(
    site: &Site,
    station: usize,
    runs: &[Run],
    unserved: bool,
    found: &mut Vec<Breach>,
) {
    let entered = &site.stations()[station];
    let lengths: Vec<u32> = runs.iter().map(|r| r.seconds).collect();
    let wanted: Vec<u32> = entered.split().iter().map(|minutes| 60 * minutes).collect();
    let whole = if unserved {
        lengths.is_empty()
    } else {
        lengths == wanted
    };
    if !whole {
        found.push(Breach::Split { station });
    }
    let soak = 60 * entered.soak_minutes;
    if runs
        .windows(2)
        .any(|pair| pair[1].start_second < pair[0].end_second() + soak)
    {
        found.push(Breach::Soak { station });
    }
    let until = entered.until_minute.map_or(u32::MAX, |minute| 60 * minute);
    let outside = |r: &Run| r.start_second < 60 * entered.from_minute || r.end_second() > until;
    if runs.iter().any(outside) {
        found.push(Breach::OwnWindow { station });
    }
}

/// Calls `see(second, level)` for every stretch on which the sum of the open weights is constant.
fn levels(spans: impl Iterator<Item = (u32, u32, f64)>, mut see: impl FnMut(u32, f64, usize)) {
    let mut changes: Vec<(u32, bool, f64)> = Vec::new();
    for (begin, end, weight) in spans {
        changes.push((begin, true, weight));
        changes.push((end, false, weight));
    }
    by_keys(&mut changes, |change| [change.0.into(), change.1.into()]);
    let (mut level, mut open, mut at) = (0.0, 0usize, 0);
    while at < changes.len() {
        let second = changes[at].0;
        while at < changes.len() && changes[at].0 == second {
            let (_, opens, weight) = changes[at];
            level += if opens { weight } else { -weight };
            open = if opens {
                open + 1
            } else {
                open.saturating_sub(1)
            };
            at += 1;
        }
        if open == 0 {
            level = 0.0;
        }
        see(second, level, open);
    }
}

fn check_supplies(site: &Site, plan: &Plan, found: &mut Vec<Breach>) {
    for (supply, entered) in site.supplies().iter().enumerate() {
        let spans = plan
            .runs
            .iter()
            .filter(|r| site.supply_of(r.station) == Some(supply))
            .map(|r| {
                (
                    r.start_second,
                    r.end_second(),
                    site.stations()[r.station].flow.to_l_per_min(),
                )
            });
        let most = entered
            .capacity
            .map_or(f64::INFINITY, |flow| flow.to_l_per_min());
        let least = entered.least.to_l_per_min();
        levels(spans, |second, flow, _| {
            if flow > most + FLOW_SLACK {
                found.push(Breach::Capacity { supply, second });
            }
            if flow > FLOW_SLACK && flow < least - FLOW_SLACK {
                found.push(Breach::LeastFlow { supply, second });
            }
        });
    }
}

fn check_counts(site: &Site, plan: &Plan, found: &mut Vec<Breach>) {
    if let Some(most) = site.open_at_once() {
        let spans = plan
            .runs
            .iter()
            .map(|r| (r.start_second, r.end_second(), 0.0));
        levels(spans, |second, _, open| {
            if open > most as usize {
                found.push(Breach::OpenAtOnce { second });
            }
        });
    }
    for (group, entered) in site.groups().iter().enumerate() {
        let Some(most) = entered.open_at_once else {
            continue;
        };
        let spans = plan
            .runs
            .iter()
            .filter(|r| site.group_of(r.station) == Some(group))
            .map(|r| (r.start_second, r.end_second() + entered.gap_seconds, 0.0));
        levels(spans, |second, _, held| {
            if held > most as usize {
                found.push(Breach::Lanes { group, second });
            }
        });
    }
}
