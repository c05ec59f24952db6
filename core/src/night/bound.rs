//! A finish that no plan can beat.
//!
//! Every bound here is of the night without its pump minimum. That night has a best plan in which nothing can be moved
//! earlier, so all its times are sums of runs, soaks, pauses and earliest starts: whole ticks. A bound may therefore be
//! rounded up to a tick.

use super::part::Part;

/// What holds the finish back most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Nothing is planned.
    Nothing,
    /// A station's own runs and soaks, from its earliest start on.
    Chain {
        /// Place of the station in [`Site::stations`](super::Site::stations).
        station: usize,
    },
    /// The water asked of a supply, and which of its valves may be open together.
    Supply {
        /// Place of the supply in [`Site::supplies`](super::Site::supplies).
        supply: usize,
    },
    /// How many valves may be open at once.
    OpenAtOnce,
    /// The lanes of a group.
    Lanes {
        /// Place of the group in [`Site::groups`](super::Site::groups).
        group: usize,
    },
}

impl Limit {
    /// The word by which the JSON door names it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Chain { .. } => "chain",
            Self::Supply { .. } => "supply",
            Self::OpenAtOnce => "open_at_once",
            Self::Lanes { .. } => "lanes",
        }
    }
}

/// The least possible finish of a part in ticks, as far as it is quickly seen, and what makes it so. Places in the
/// limit are those of the part.
pub(super) fn bound(part: &Part) -> (i64, Limit) {
    let mut most = (0, Limit::Nothing);
    let mut see = |ticks: i64, limit: Limit| {
        if ticks > most.0 {
            most = (ticks, limit);
        }
    };
    for station in 0..part.count() {
        see(chain(part, station), Limit::Chain { station });
    }
    see(open(part), Limit::OpenAtOnce);
    for group in 0..part.lanes.len() {
        see(lanes(part, group), Limit::Lanes { group });
    }
    for supply in 0..part.capacity.len() {
        let ticks = energy(part, supply).max(rounded(part, supply));
        see(ticks, Limit::Supply { supply });
    }
    most
}

/// The least possible finish of one supply by itself, in ticks, as far as it is quickly seen.
pub(super) fn supply_bound(part: &Part, supply: usize) -> i64 {
    let own = (0..part.count()).filter(|&at| part.supply[at] as usize == supply);
    let chain = own.map(|at| chain(part, at)).max().unwrap_or(0);
    chain.max(energy(part, supply))
}

/// A station's runs and soaks one after another, from its earliest start on.
fn chain(part: &Part, station: usize) -> i64 {
    i64::from(part.from[station]) + i64::from(part.tail[part.first[station] as usize])
}

/// Water asked of a supply over what it carries; also of only the stations that may not start before some time, from
/// that time on.
fn energy(part: &Part, supply: usize) -> i64 {
    let own = |at: &usize| part.supply[*at] as usize == supply;
    let most = i128::from(part.most[supply]).max(1);
    let mut least = 0;
    for release in (0..part.count()).filter(own).map(|at| part.from[at]) {
        let late = (0..part.count())
            .filter(own)
            .filter(|&at| part.from[at] >= release);
        let water: i128 = late
            .map(|at| i128::from(part.ticks(at)) * i128::from(part.flow[at]))
            .sum();
        least = least.max(i64::from(release) + ((water + most - 1) / most) as i64);
    }
    least
}

/// The energy bound with rounded flows (dual-feasible functions, after Fekete and Schepers): flows that a supply can
/// carry together stay within it when small ones count as nothing and those that then fit beside nothing count as all;
/// or when every flow is rounded down to a multiple of a half, a third, a quarter.
fn rounded(part: &Part, supply: usize) -> i64 {
    let most = i128::from(part.most[supply]).max(1);
    let own: Vec<(i128, i128)> = (0..part.count())
        .filter(|&at| part.supply[at] as usize == supply)
        .map(|at| (i128::from(part.flow[at]), i128::from(part.ticks(at))))
        .collect();
    let mut least = 0;
    for &(small, _) in own.iter().filter(|(flow, _)| 2 * flow <= most) {
        let count = |flow: i128| match flow {
            _ if flow > most - small => most,
            _ if flow < small => 0,
            _ => flow,
        };
        let water: i128 = own.iter().map(|&(flow, ticks)| count(flow) * ticks).sum();
        least = least.max((water + most - 1) / most);
    }
    for share in 1..6 {
        // A flow of exactly a multiple of 1 / (share + 1) keeps its size; others lose what is above a multiple.
        let count = |flow: i128| match (share + 1) * flow % most {
            0 => share * flow,
            _ => (share + 1) * flow / most * most,
        };
        let water: i128 = own.iter().map(|&(flow, ticks)| count(flow) * ticks).sum();
        let all = share * most;
        least = least.max((water + all - 1) / all);
    }
    least as i64
}

/// Open time of all stations over the valves that may be open at once.
fn open(part: &Part) -> i64 {
    let all: i64 = (0..part.count()).map(|at| part.ticks(at)).sum();
    let limit = i64::from(part.open_limit.max(1));
    (all + limit - 1) / limit
}

/// Time for which a group's lanes are held over their number. The pause after the last run is not waited for.
fn lanes(part: &Part, group: usize) -> i64 {
    let own = (0..part.count()).filter(|&at| part.group[at] as usize == group);
    let pause = i64::from(part.gap[group]);
    let held: i64 = own
        .map(|at| part.ticks(at) + part.runs(at).len() as i64 * pause)
        .sum();
    let lanes = i64::from(part.lanes[group]).max(1);
    (held + lanes - 1) / lanes - pause
}
