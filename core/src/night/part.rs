//! The night in whole numbers: the part of a site that can be planned on its own.
//!
//! Time is counted in ticks, the longest step that divides a minute and every pause between valves; flow in the
//! largest unit that divides every flow. Nothing is rounded in a plan's favour: see [`scale_flows`].

use super::plan::{Reason, Unserved};
use super::site::{MOST_RUNS, Site, Supply};
use crate::order::by_keys;

/// More flow than any supply carries.
const NO_LIMIT: i64 = i64::MAX / 4;

/// Later than any plan.
pub(crate) const NEVER: i32 = i32::MAX / 4;

/// Supplies that share a rule, and their stations. Everything is held in flat arrays by place.
#[derive(Clone, Debug, Default)]
pub(crate) struct Part {
    /// Place of each station in the site.
    pub(crate) stations: Vec<usize>,
    /// Place of each supply in the site.
    pub(crate) supplies: Vec<usize>,
    /// Place of each group in the site.
    pub(crate) groups: Vec<usize>,
    /// Flow of each station.
    pub(crate) flow: Vec<i64>,
    /// Supply of each station.
    pub(crate) supply: Vec<u8>,
    /// Group of each station; the last group stands for none.
    pub(crate) group: Vec<u8>,
    /// Pause between two runs, ticks.
    pub(crate) soak: Vec<i32>,
    /// Earliest start, ticks.
    pub(crate) from: Vec<i32>,
    /// Latest end, ticks.
    pub(crate) until: Vec<i32>,
    /// How long before the finish of the whole it must be done: seen from the far end, its earliest start.
    pub(crate) lead: Vec<i32>,
    /// Where each station's runs begin in `length`; one more than there are stations.
    pub(crate) first: Vec<u32>,
    /// Length of every run, ticks, station by station.
    pub(crate) length: Vec<i32>,
    /// From the start of a run to the end of its station's last run at the soonest, ticks.
    pub(crate) tail: Vec<i32>,
    /// What each supply carries.
    pub(crate) capacity: Vec<i64>,
    /// What each supply could carry by the laxest reading of the rules; for bounds.
    pub(crate) most: Vec<i64>,
    /// What each supply's pump needs.
    pub(crate) least: Vec<i64>,
    /// Most stations open at once.
    pub(crate) open_limit: i32,
    /// Lanes of each group.
    pub(crate) lanes: Vec<i32>,
    /// Ticks for which a closed run still holds its lane.
    pub(crate) gap: Vec<i32>,
    /// Longest run, ticks.
    pub(crate) longest: i32,
    /// Whether any pump needs a least flow.
    pub(crate) pumped: bool,
    /// For each station, the words of a set of stations that may not be open beside it.
    pub(crate) apart: Vec<u64>,
    /// Words in each set of `apart`; 0 when no pair is kept apart.
    pub(crate) words: usize,
}

impl Part {
    /// How many stations.
    #[inline]
    pub(crate) fn count(&self) -> usize {
        self.stations.len()
    }

    /// Places in `length` of a station's runs.
    #[inline]
    pub(crate) fn runs(&self, station: usize) -> std::ops::Range<usize> {
        self.first[station] as usize..self.first[station + 1] as usize
    }

    /// How long a station is open, all runs together.
    pub(crate) fn ticks(&self, station: usize) -> i64 {
        let lengths = &self.length[self.runs(station)];
        lengths.iter().map(|&length| i64::from(length)).sum()
    }

    /// Whether two stations must be kept apart.
    #[inline]
    pub(crate) fn is_pair(&self, one: usize, other: usize) -> bool {
        self.words > 0 && (self.apart[one * self.words + other / 64] >> (other % 64)) & 1 == 1
    }

    /// The same part without one of its stations.
    pub(crate) fn without(&self, station: usize) -> Self {
        let mut part = Self {
            capacity: self.capacity.clone(),
            most: self.most.clone(),
            supplies: self.supplies.clone(),
            groups: self.groups.clone(),
            least: self.least.clone(),
            lanes: self.lanes.clone(),
            gap: self.gap.clone(),
            first: vec![0],
            ..Self::default()
        };
        let kept: Vec<usize> = (0..self.count()).filter(|&at| at != station).collect();
        for &at in &kept {
            part.stations.push(self.stations[at]);
            part.flow.push(self.flow[at]);
            part.supply.push(self.supply[at]);
            part.group.push(self.group[at]);
            part.soak.push(self.soak[at]);
            part.from.push(self.from[at]);
            part.lead.push(self.lead[at]);
            part.until.push(self.until[at]);
            part.length.extend_from_slice(&self.length[self.runs(at)]);
            part.first.push(part.length.len() as u32);
        }
        part.open_limit = self.open_limit.min(kept.len() as i32);
        if self.words > 0 {
            part.words = kept.len().div_ceil(64);
            part.apart = vec![0; part.words * kept.len()];
            for (one, &old) in kept.iter().enumerate() {
                for (other, &at) in kept.iter().enumerate() {
                    if self.apart[old * self.words + at / 64] >> (at % 64) & 1 == 1 {
                        part.apart[one * part.words + other / 64] |= 1 << (other % 64);
                    }
                }
            }
        }
        part.set_tails();
        part
    }

    /// Turns the part to be seen from the far end: time runs backward from `end`. For a part seen from the near end.
    pub(crate) fn mirror(&mut self, end: i32) {
        for station in 0..self.count() {
            let runs = self.runs(station);
            self.length[runs].reverse();
            let (from, until) = (self.from[station], self.until[station]);
            self.from[station] = if until >= NEVER {
                0
            } else {
                (end - until).max(0)
            };
            self.until[station] = NEVER;
            self.lead[station] = from;
        }
        self.set_tails();
    }

    pub(crate) fn set_tails(&mut self) {
        self.longest = self.length.iter().copied().max().unwrap_or(0);
        self.pumped = self.least.iter().any(|least| *least > 0);
        self.tail = self.length.clone();
        for station in 0..self.count() {
            let runs = self.runs(station);
            for run in runs.clone().rev().skip(1) {
                self.tail[run] += self.soak[station] + self.tail[run + 1];
            }
        }
    }
}

/// What a site comes down to: its parts, its tick, and what cannot be served.
#[derive(Clone, Debug, Default)]
pub(crate) struct Problem {
    pub(crate) tick_seconds: u32,
    pub(crate) parts: Vec<Part>,
    pub(crate) unserved: Vec<Unserved>,
}

/// The site's flows in whole units.
struct Scaled {
    flows: Vec<i64>,
    capacity: Vec<i64>,
    /// Capacity by the laxest reading of the rules: a millionth of a litre a minute may stand above it.
    most: Vec<i64>,
    least: Vec<i64>,
}

/// Flows as whole numbers of one unit. A flow is rounded to the nearest nanolitre a minute, and a capacity gets 400 of
/// them more: so three thirds of a capacity fit, and 400 stations together stay within a millionth of a litre a minute.
fn scale_flows(site: &Site) -> Scaled {
    let nano = |litres: f64| (litres * 1e9).round() as i64;
    let mut flows: Vec<i64> = site
        .stations()
        .iter()
        .map(|s| nano(s.flow.to_l_per_min()))
        .collect();
    let unit = flows
        .iter()
        .fold(0, |unit, flow| common_divisor(unit, *flow))
        .max(1);
    for flow in &mut flows {
        *flow /= unit;
    }
    let capacity = |more: i64| -> Vec<i64> {
        let carries = |s: &Supply| match s.capacity {
            Some(capacity) => (nano(capacity.to_l_per_min()) + more) / unit,
            None => NO_LIMIT,
        };
        site.supplies().iter().map(carries).collect()
    };
    let least = site
        .supplies()
        .iter()
        .map(|s| (nano(s.least.to_l_per_min()) - 400).max(0) as u64)
        .map(|least| least.div_ceil(unit as u64) as i64);
    Scaled {
        capacity: capacity(400),
        most: capacity(1_400),
        least: least.collect(),
        flows,
    }
}

fn common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

impl Problem {
    /// Sets a checked site out in whole numbers.
    pub(crate) fn of(site: &Site) -> Self {
        let tick_seconds = site
            .groups()
            .iter()
            .filter(|group| group.open_at_once.is_some())
            .fold(60, |tick, group| {
                common_divisor(tick, i64::from(group.gap_seconds))
            }) as u32;
        let scaled = scale_flows(site);
        let mut served = Vec::new();
        let mut unserved = Vec::new();
        for (at, station) in site.stations().iter().enumerate() {
            match reason_against(site, at, &scaled) {
                Some(reason) => unserved.push(Unserved {
                    station: at,
                    minutes: station.run_minutes,
                    reason,
                }),
                None => served.push(at),
            }
        }
        let sets = coupled(site, &served);
        let parts = sets
            .iter()
            .map(|set| part_of(site, set, tick_seconds as i32, &scaled))
            .collect();
        Self {
            tick_seconds,
            parts,
            unserved,
        }
    }
}

fn reason_against(site: &Site, at: usize, scaled: &Scaled) -> Option<Reason> {
    let Scaled {
        flows,
        capacity,
        least,
        ..
    } = scaled;
    let station = &site.stations()[at];
    let chain = station.run_minutes + (station.runs() - 1) * station.soak_minutes;
    if station
        .until_minute
        .is_some_and(|until| station.from_minute + chain > until)
    {
        return Some(Reason::OwnWindowTooShort);
    }
    let supply = site.supply_of(at)?;
    if flows[at] > capacity[supply] {
        return Some(Reason::AboveCapacity);
    }
    if flows[at] > 0 && flows[at] < least[supply] {
        let mut others: Vec<i64> = (0..flows.len())
            .filter(|&other| other != at && site.supply_of(other) == Some(supply))
            .map(|other| flows[other])
            .collect();
        by_keys(&mut others, |flow| [u64::MAX - flow.unsigned_abs(), 0]);
        let beside = site
            .open_at_once()
            .map_or(usize::MAX, |open| open as usize - 1);
        let most: i64 = others.iter().take(beside).sum();
        if flows[at] + most < least[supply] {
            return Some(Reason::BelowLeastFlow);
        }
    }
    None
}

/// Sets of stations between which no rule stands.
fn coupled(site: &Site, served: &[usize]) -> Vec<Vec<usize>> {
    let supplies = site.supplies().len();
    let mut root: Vec<usize> = (0..=supplies).collect();
    fn find(root: &mut [usize], mut at: usize) -> usize {
        while root[at] != at {
            root[at] = root[root[at]];
            at = root[at];
        }
        at
    }
    let place = |station: usize| site.supply_of(station).unwrap_or(supplies);
    let mut join = |one: usize, other: usize| {
        let (one, other) = (find(&mut root, place(one)), find(&mut root, place(other)));
        root[one.max(other)] = one.min(other);
    };
    if site
        .open_at_once()
        .is_some_and(|open| (open as usize) < served.len())
    {
        served.windows(2).for_each(|pair| join(pair[0], pair[1]));
    }
    for (group, entered) in site.groups().iter().enumerate() {
        let inside: Vec<usize> = served
            .iter()
            .copied()
            .filter(|&station| site.group_of(station) == Some(group))
            .collect();
        // A station whose soak is shorter than the pause may hold several lanes by itself.
        let held = inside.iter().map(|&station| {
            let station = &site.stations()[station];
            if station.soak_minutes * 60 >= entered.gap_seconds {
                1
            } else {
                station.runs()
            }
        });
        let held: u32 = held.sum();
        if entered.open_at_once.is_some_and(|lanes| lanes < held) {
            inside.windows(2).for_each(|pair| join(pair[0], pair[1]));
        }
    }
    site.apart().iter().for_each(|pair| join(pair[0], pair[1]));
    let mut sets = vec![Vec::new(); supplies + 1];
    for &station in served {
        sets[find(&mut root, place(station))].push(station);
    }
    sets.retain(|set: &Vec<usize>| !set.is_empty());
    sets
}

fn part_of(site: &Site, stations: &[usize], tick: i32, scaled: &Scaled) -> Part {
    let Scaled {
        flows,
        capacity,
        most,
        least,
    } = scaled;
    let minute = 60 / tick;
    let open = site.open_at_once().unwrap_or(u32::MAX);
    let mut part = Part {
        stations: stations.to_vec(),
        open_limit: open.min(stations.len() as u32) as i32,
        first: vec![0],
        ..Part::default()
    };
    let mut supplies: Vec<Option<usize>> = stations.iter().map(|&s| site.supply_of(s)).collect();
    let mut groups: Vec<Option<usize>> = stations.iter().map(|&s| site.group_of(s)).collect();
    for list in [&mut supplies, &mut groups] {
        by_keys(list, |place| [place.map_or(0, |place| place as u64 + 1), 0]);
        list.dedup();
    }
    for &station in stations {
        let entered = &site.stations()[station];
        let place = |list: &[Option<usize>], item| list.iter().position(|i| *i == item);
        let supply = place(&supplies, site.supply_of(station)).unwrap_or(0);
        let group = place(&groups, site.group_of(station)).unwrap_or(0);
        part.flow.push(flows[station]);
        part.supply.push(supply as u8);
        part.group.push(group as u8);
        part.soak.push(entered.soak_minutes as i32 * minute);
        part.lead.push(0);
        part.from.push(entered.from_minute as i32 * minute);
        part.until.push(
            entered
                .until_minute
                .map_or(NEVER, |until| until as i32 * minute),
        );
        part.length
            .extend(entered.split().iter().map(|&run| run as i32 * minute));
        part.first.push(part.length.len() as u32);
    }
    for supply in supplies {
        part.supplies.push(supply.unwrap_or(usize::MAX));
        part.capacity
            .push(supply.map_or(NO_LIMIT, |at| capacity[at]));
        part.most.push(supply.map_or(NO_LIMIT, |at| most[at]));
        part.least.push(supply.map_or(0, |at| least[at]));
    }
    for group in groups {
        let entered = group.map(|at| &site.groups()[at]);
        let lanes = entered.and_then(|entered| entered.open_at_once);
        let gap = entered.map_or(0, |entered| entered.gap_seconds as i32);
        part.groups.push(group.unwrap_or(usize::MAX));
        part.lanes.push(lanes.unwrap_or(MOST_RUNS) as i32);
        part.gap.push(if lanes.is_some() { gap / tick } else { 0 });
    }
    set_apart(&mut part, site);
    part.set_tails();
    part
}

fn set_apart(part: &mut Part, site: &Site) {
    let place = |station: usize| part.stations.iter().position(|s| *s == station);
    let pairs: Vec<(usize, usize)> = site
        .apart()
        .iter()
        .filter_map(|pair| Some((place(pair[0])?, place(pair[1])?)))
        .collect();
    if pairs.is_empty() {
        return;
    }
    part.words = part.count().div_ceil(64);
    part.apart = vec![0; part.words * part.count()];
    for (one, other) in pairs {
        part.apart[one * part.words + other / 64] |= 1 << (other % 64);
        part.apart[other * part.words + one / 64] |= 1 << (one % 64);
    }
}
