//! What is in use over time: valves, flow, lanes, and the right to run alone.

use super::block::Opening;
use crate::night::Site;

/// Limits of the site, and what each station takes of them.
#[derive(Clone, Debug)]
pub(super) struct Demands {
    /// By resource: how much there is.
    pub limits: Vec<i64>,
    /// By resource: the least that may be in use unless nothing is.
    pub least: Vec<i64>,
    stations: Vec<Demand>,
    /// By station: those it must not be open with.
    pub apart: Vec<Vec<usize>>,
}

#[derive(Clone, Debug)]
struct Demand {
    supply: Option<usize>,
    flow: i64,
    group: Option<usize>,
    gap: u32,
}

/// Flow in whole billionths of l/min: sums of 400 stay within the slack of the night's own check.
fn fixed(l_per_min: f64) -> i64 {
    (l_per_min * 1e9 + 0.5) as i64
}

impl Demands {
    const OPEN: usize = 0;
    /// The resource that only one program may have.
    pub const ALONE: usize = 1;

    pub fn of(site: &Site, valves_at_once: Option<u32>, sharing: bool) -> Self {
        let count = |most: Option<u32>| most.map_or(i64::MAX / 4, i64::from);
        let open = count(site.open_at_once()).min(count(valves_at_once));
        let mut limits = vec![open, if sharing { i64::MAX / 4 } else { 1 }];
        let mut least = vec![0; 2];
        for supply in site.supplies() {
            let most = supply.capacity.map(|flow| fixed(flow.to_l_per_min()));
            limits.push(most.unwrap_or(i64::MAX / 4));
            least.push(fixed(supply.least.to_l_per_min()));
        }
        let groups = limits.len();
        limits.extend(site.groups().iter().map(|group| count(group.open_at_once)));
        least.resize(limits.len(), 0);
        let mut apart = vec![Vec::new(); site.stations().len()];
        for &[one, other] in site.apart() {
            apart[one].push(other);
            apart[other].push(one);
        }
        let stations = site.stations().iter().enumerate();
        let stations = stations.map(|(place, station)| {
            let group = site.group_of(place);
            Demand {
                supply: site.supply_of(place).map(|supply| supply + 2),
                flow: fixed(station.flow.to_l_per_min()),
                group: group.map(|group| group + groups),
                gap: group.map_or(0, |group| site.groups()[group].gap_seconds),
            }
        });
        Self {
            limits,
            least,
            stations: stations.collect(),
            apart,
        }
    }

    pub fn are_apart(&self, one: usize, other: usize) -> bool {
        self.apart[one].contains(&other)
    }
}

/// Stretches of constant use, each up to the next; the last without end.
#[derive(Clone, Debug)]
pub(super) struct Timeline {
    starts: Vec<u32>,
    /// By stretch, then resource.
    used: Vec<i64>,
    width: usize,
}

impl Timeline {
    pub fn new(demands: &Demands) -> Self {
        let width = demands.limits.len();
        Self {
            starts: vec![0],
            used: vec![0; width],
            width,
        }
    }

    pub fn clear(&mut self) {
        self.starts.truncate(1);
        self.used.truncate(self.width);
        self.used.fill(0);
    }

    /// The stretch that holds a second.
    pub fn holding(&self, second: u32) -> usize {
        self.starts.partition_point(|start| *start <= second) - 1
    }

    /// The place of the stretch that begins at a second, made when there is none.
    fn cut(&mut self, second: u32) -> usize {
        self.cut_from(self.holding(second), second)
    }

    /// The same, looked for from a stretch at or before it.
    fn cut_from(&mut self, mut at: usize, second: u32) -> usize {
        while at + 1 < self.starts.len() && self.starts[at + 1] <= second {
            at += 1;
        }
        if self.starts[at] == second {
            return at;
        }
        self.starts.insert(at + 1, second);
        let end = self.used.len();
        self.used.resize(end + self.width, 0);
        let from = (at + 1) * self.width;
        self.used.copy_within(from..end, from + self.width);
        self.used.copy_within(at * self.width..from, from);
        at + 1
    }

    /// Takes some of a resource from `begin` to `end`.
    pub fn hold(&mut self, begin: u32, end: u32, resource: usize, amount: i64) {
        if begin < end {
            let first = self.cut(begin);
            for at in first..self.cut(end) {
                self.used[at * self.width + resource] += amount;
            }
        }
    }

    pub fn open(&mut self, demands: &Demands, opening: &Opening) {
        let demand = &demands.stations[opening.station];
        let (begin, end) = (opening.start, opening.start + opening.seconds);
        self.hold(begin, end, Demands::OPEN, 1);
        if let Some(supply) = demand.supply {
            self.hold(begin, end, supply, demand.flow);
        }
        if let Some(group) = demand.group {
            self.hold(begin, end + demand.gap, group, 1);
        }
    }

    pub fn is_within(&self, limits: &[i64]) -> bool {
        let mut stretches = self.used.chunks(self.width);
        stretches.all(|used| used.iter().zip(limits).all(|(used, limit)| used <= limit))
    }

    /// Adds a block's use, begun at `second`.
    pub fn add(&mut self, block: &Timeline, second: u32) {
        let mut end = self.cut(second);
        for at in 0..block.starts.len() - 1 {
            let first = end;
            end = self.cut_from(first, second + block.starts[at + 1]);
            let more = &block.used[at * self.width..(at + 1) * self.width];
            for used in self.used[first * self.width..end * self.width].chunks_mut(self.width) {
                for (used, more) in used.iter_mut().zip(more) {
                    *used += more;
                }
            }
        }
    }

    /// `near` is a stretch at or before `second`, and is moved there. None when a block fits at `second`; otherwise the first later second at which what is in the way is over.
    pub fn in_the_way(
        &self,
        block: &Timeline,
        second: u32,
        limits: &[i64],
        near: &mut usize,
        work: &mut u64,
    ) -> Option<u32> {
        while *near + 1 < self.starts.len() && self.starts[*near + 1] <= second {
            *near += 1;
        }
        let mut at = *near;
        for stretch in 0..block.starts.len() - 1 {
            let begin = second + block.starts[stretch];
            let end = second + block.starts[stretch + 1];
            let more = &block.used[stretch * self.width..(stretch + 1) * self.width];
            while at + 1 < self.starts.len() && self.starts[at + 1] <= begin {
                at += 1;
            }
            loop {
                *work += 1;
                let used = &self.used[at * self.width..(at + 1) * self.width];
                let over = used.iter().zip(more).zip(limits);
                if over
                    .into_iter()
                    .any(|((used, more), limit)| *more > 0 && used + more > *limit)
                {
                    let after = self.starts.get(at + 1)?;
                    return Some(second + (after - begin.min(*after)).max(1));
                }
                if at + 1 >= self.starts.len() || self.starts[at + 1] >= end {
                    break;
                }
                at += 1;
            }
        }
        None
    }

    /// Seconds, over all resources, in which something is in use but less than the least.
    pub fn below_least(&self, least: &[i64]) -> u32 {
        let mut seconds = 0;
        for (resource, least) in least.iter().enumerate().filter(|(_, least)| **least > 0) {
            for at in 0..self.starts.len() - 1 {
                let used = self.used[at * self.width + resource];
                // The slack of the night's own check, in billionths.
                if used > 0 && used < least - 900 {
                    seconds += self.starts[at + 1] - self.starts[at];
                }
            }
        }
        seconds
    }
}
