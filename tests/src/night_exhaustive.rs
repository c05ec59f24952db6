//! The earliest finish of a small night, by looking at all of them. Slow and plain; shares nothing with the core.
//!
//! Some earliest plan has no run that could be moved earlier (each rule but the pump minimum, which is not looked at
//! here, goes on holding when it is). Such a plan is found again by placing its runs in the order of their starts, each
//! as early as it fits. So all orders are tried in which no run starts before the one placed before it; an order is left
//! when it can no longer end sooner than the best.

use serde_json::Value;

struct Valve {
    supply: String,
    group: Option<usize>,
    flow: i64,
    lengths: Vec<i64>,
    soak: i64,
    from: i64,
    until: i64,
    apart: Vec<usize>,
}

#[derive(Clone, Copy)]
struct Open {
    valve: usize,
    begin: i64,
    end: i64,
}

/// A night to be searched through, in seconds and thousandths of l/min.
pub struct Night {
    valves: Vec<Valve>,
    capacity: Vec<(String, i64)>,
    open_at_once: usize,
    lanes: Vec<(usize, i64)>,
    /// Earliest finish found so far.
    best: i64,
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn whole(value: &Value, usual: i64) -> i64 {
    value.as_i64().unwrap_or(usual)
}

impl Night {
    /// Reads a request of `night`; `served` says which stations are looked at.
    pub fn new(request: &Value, served: impl Fn(&str) -> bool) -> Self {
        let name = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let flow = |value: &Value| (value.as_f64().unwrap_or(1e9) * 1000.0).round() as i64;
        let stations = list(&request["stations"]).iter();
        let stations: Vec<&Value> = stations
            .filter(|station| served(&name(&station["id"])))
            .collect();
        let groups = list(&request["groups"]);
        let valves = stations.iter().enumerate().map(|(at, station)| {
            let minutes = whole(&station["run_minutes"], 1);
            let longest = whole(&station["longest_run_minutes"], minutes);
            let count = (minutes + longest - 1) / longest;
            let apart = stations.iter().enumerate().filter(|(other, station)| {
                let pair = |pair: &Value| {
                    let of =
                        |one: &Value, two: &Value| pair[0] == one["id"] && pair[1] == two["id"];
                    of(stations[at], station) || of(station, stations[at])
                };
                *other != at && list(&request["apart"]).iter().any(pair)
            });
            Valve {
                supply: name(&station["supply"]),
                group: groups
                    .iter()
                    .position(|group| group["id"] == station["group"]),
                flow: flow(&station["flow_l_per_min"]),
                lengths: (0..count)
                    .map(|run| 60 * (minutes / count + i64::from(run < minutes % count)))
                    .collect(),
                soak: 60 * whole(&station["soak_minutes"], 0),
                from: 60 * whole(&station["from_minute"], 0),
                until: 60 * whole(&station["until_minute"], 1 << 40),
                apart: apart.map(|(other, _)| other).collect(),
            }
        });
        Self {
            valves: valves.collect(),
            capacity: list(&request["supplies"])
                .iter()
                .map(|supply| (name(&supply["id"]), flow(&supply["capacity_l_per_min"])))
                .collect(),
            open_at_once: whole(&request["open_at_once"], 1 << 20) as usize,
            lanes: groups
                .iter()
                .map(|group| {
                    let lanes = whole(&group["open_at_once"], 1 << 20) as usize;
                    (lanes, whole(&group["gap_seconds"], 0))
                })
                .collect(),
            best: i64::MAX,
        }
    }

    /// The earliest finish below `limit`, if there is one.
    pub fn earliest(mut self, limit: i64) -> Option<i64> {
        self.best = limit;
        let mut placed = Vec::new();
        let next = vec![0; self.valves.len()];
        self.search(&mut placed, &next, (0, 0));
        (self.best < limit).then_some(self.best)
    }

    /// Whether a run may be open from `begin` to `end` beside those placed.
    fn fits(&self, placed: &[Open], valve: usize, begin: i64, end: i64) -> bool {
        let me = &self.valves[valve];
        let gap = me.group.map_or(0, |group| self.lanes[group].1);
        let capacity = self.capacity.iter().find(|supply| supply.0 == me.supply);
        let capacity = capacity.map_or(i64::MAX, |supply| supply.1);
        // What is open changes at these moments only.
        let mut moments: Vec<i64> = vec![begin];
        moments.extend(placed.iter().map(|run| run.begin));
        moments
            .into_iter()
            .filter(|at| *at >= begin && *at < end + gap)
            .all(|at| {
                let (mut open, mut flow, mut held) = (0, 0, 0);
                for run in placed {
                    let other = &self.valves[run.valve];
                    if run.begin <= at && at < run.end && at < end {
                        open += 1;
                        if other.supply == me.supply {
                            flow += other.flow;
                        }
                        if me.apart.contains(&run.valve) {
                            return false;
                        }
                    }
                    if me.group.is_some()
                        && other.group == me.group
                        && run.begin <= at
                        && at < run.end + gap
                    {
                        held += 1;
                    }
                }
                let lanes = me.group.map_or(usize::MAX, |group| self.lanes[group].0);
                held < lanes
                    && (at >= end || open < self.open_at_once && flow + me.flow <= capacity)
            })
    }

    fn search(&mut self, placed: &mut Vec<Open>, next: &[usize], last: (i64, usize)) {
        let mut whole = true;
        // The last run cannot end before every chain is through and all water is drawn.
        for (at, valve) in self.valves.iter().enumerate() {
            if next[at] == valve.lengths.len() {
                continue;
            }
            whole = false;
            let ready = ready(valve, placed, at).max(last.0);
            let rest: i64 = valve.lengths[next[at]..].iter().sum();
            let soaks = (valve.lengths.len() - next[at] - 1) as i64 * valve.soak;
            let end = ready + rest + soaks;
            if end >= self.best || end > valve.until {
                return;
            }
        }
        for (supply, capacity) in &self.capacity {
            let mut water = 0;
            for (at, valve) in self.valves.iter().enumerate() {
                if valve.supply == *supply {
                    water += valve.lengths[next[at]..].iter().sum::<i64>() * valve.flow;
                }
            }
            for run in placed
                .iter()
                .filter(|run| self.valves[run.valve].supply == *supply)
            {
                water += (run.end - last.0).max(0) * self.valves[run.valve].flow;
            }
            if water > capacity.saturating_mul(self.best - 1 - last.0) {
                return;
            }
        }
        if whole {
            let end = placed.iter().map(|run| run.end).max().unwrap_or(0);
            self.best = self.best.min(end);
            return;
        }
        for at in 0..self.valves.len() {
            let valve = &self.valves[at];
            let Some(&length) = valve.lengths.get(next[at]) else {
                continue;
            };
            let ready = ready(valve, placed, at);
            let gaps = self.lanes.iter().map(|lanes| lanes.1);
            let gaps: Vec<i64> = gaps.chain([0]).collect();
            let ends = placed
                .iter()
                .flat_map(|run| gaps.iter().map(move |gap| run.end + gap));
            let mut moments: Vec<i64> = ends.chain([ready]).filter(|at| *at >= ready).collect();
            moments.sort_unstable();
            moments.dedup();
            let fits = |begin: &&i64| self.fits(placed, at, **begin, **begin + length);
            let Some(&begin) = moments.iter().find(fits) else {
                continue;
            };
            if (begin, at) < last {
                continue;
            }
            if begin + length >= self.best || begin + length > valve.until {
                continue;
            }
            placed.push(Open {
                valve: at,
                begin,
                end: begin + length,
            });
            let mut then = next.to_vec();
            then[at] += 1;
            self.search(placed, &then, (begin, at));
            placed.pop();
        }
    }
}

/// When a station may open again.
fn ready(valve: &Valve, placed: &[Open], at: usize) -> i64 {
    let last = placed
        .iter()
        .filter(|run| run.valve == at)
        .map(|run| run.end + valve.soak)
        .max();
    last.unwrap_or(0).max(valve.from)
}
