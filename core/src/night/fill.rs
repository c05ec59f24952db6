//! Filling: time is walked from event to event, and at each the free flow is filled with the best of several random
//! sets of stations that are ready.

use super::part::{NEVER, Part};
use super::random::Random;
use crate::order::shell;

/// Start of every run of a part in ticks, in the order of [`Part::length`], and the end of the last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Starts {
    pub(crate) starts: Vec<i32>,
    pub(crate) finish: i32,
}

/// What a pass takes out and puts back: the runs of some supplies that start in `[from, until)` or at `tail` or later.
/// Everything else stays where it is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reach {
    /// One bit for each supply.
    pub(crate) supplies: u64,
    pub(crate) from: i32,
    pub(crate) until: i32,
    pub(crate) tail: i32,
}

impl Reach {
    /// Everything.
    pub(crate) const ALL: Self = Self {
        supplies: u64::MAX,
        from: 0,
        until: NEVER,
        tail: NEVER,
    };
}

/// A run that stays: it is opened when its time comes.
#[derive(Clone, Copy, Debug)]
struct Fixed {
    start: i32,
    end: i32,
    station: u16,
    /// What is left at its start, with it and all else that is placed: flow of its supply, valves, lanes of its group.
    flow: i64,
    open: i32,
    lanes: i32,
}

/// A station that can start now.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    station: u16,
    group: u8,
    end: i32,
    flow: i64,
    worth: f32,
    density: f32,
    /// What this and all later candidates are worth together.
    rest: f32,
}

/// A station that waits for room, with what is looked at again and again.
#[derive(Clone, Copy, Debug)]
struct Waiting {
    flow: i64,
    tail: i32,
    length: i32,
    due: i32,
    density: f32,
    station: u16,
    group: u8,
}

/// How stations are valued against each other.
#[derive(Clone, Debug)]
pub(crate) struct Taste {
    /// Worth of a unit of flow of each station.
    pub(crate) density: Vec<f32>,
    /// How much more a station is worth that must start now or never.
    pub(crate) urgency: f32,
    /// Room is kept for a soaking station that has at most so many ticks to spare; negative: for none.
    pub(crate) booking: i32,
    /// Which supply is looked at first, and by how much that turns from one moment to the next.
    pub(crate) turn: (u32, u32),
    /// What an open valve of each supply costs.
    pub(crate) toll: Vec<f32>,
    /// Sets looked at for each choice.
    pub(crate) nodes: u32,
}

/// Working space for filling, kept between passes so that none allocates.
#[derive(Clone, Debug, Default)]
pub(crate) struct Filler {
    /// Run that each station does next.
    next: Vec<u32>,
    /// Runs that each station has left to place.
    left: Vec<u32>,
    ready: Vec<i32>,
    /// Latest end of the next run.
    due: Vec<i32>,
    /// Stations of each supply that wait for room.
    waiting: Vec<Vec<Waiting>>,
    /// When the first of them will be too late.
    latest: i32,
    /// Stations that soak: ready when, and station; the soonest last.
    soaking: Vec<(i32, u16)>,
    /// Open runs: end and station.
    open: Vec<(i32, u16)>,
    /// Lanes still held: until, and group.
    held: Vec<(i32, u8)>,
    free: Vec<i64>,
    lanes: Vec<i32>,
    valves: i32,
    /// Supplies at which something has come free since they were last looked at.
    stirred: u64,
    open_set: Vec<u64>,
    fixed: Vec<Fixed>,
    next_fixed: usize,
    /// Soaking stations for which room is kept.
    booked: Vec<Fixed>,
    leaving: Vec<(i32, u16, bool)>,
    trial_free: Vec<i64>,
    trial_lanes: Vec<i32>,
    candidates: Vec<Candidate>,
    chosen: Vec<u16>,
    best: Vec<u16>,
    best_worth: f32,
    nodes_left: u32,
    ends: Vec<(i32, i64, bool)>,
    changes: Vec<(i32, i64)>,
    /// What may still be left unused on each supply.
    slack: Vec<i64>,
    safe_from: i32,
    /// Finish that is hoped for.
    pub(crate) target: i32,
    /// Stations that could not be placed in time in the last pass that failed.
    pub(crate) late: Vec<u16>,
    /// Steps done: one is one look at one station.
    pub(crate) work: u64,
}

impl Filler {
    /// Places anew what is in reach. `starts` is the plan so far, `out` becomes the new one. Gives the finish, or
    /// nothing when a station can't keep its window or the whole can't end by `limit`.
    #[allow(clippy::too_many_arguments)]
    pub(crate) fn fill(
        &mut self,
        part: &Part,
        starts: &[i32],
        out: &mut [i32],
        reach: Reach,
        limit: i32,
        taste: &Taste,
        random: &mut Random,
    ) -> Option<i32> {
        self.late.clear();
        if part.pumped {
            self.safe_from = self.target - random.below(self.target.max(16) as u32 / 8) as i32;
        }
        if reach.until < reach.tail {
            self.begin(part, starts, out, reach);
            self.window(part, out, reach.from, reach.until, NEVER, taste)?;
            self.close_window(part, starts, out, reach)?;
            let tail = Reach {
                from: reach.tail,
                until: NEVER,
                tail: NEVER,
                ..reach
            };
            self.begin_from_out(part, out, tail);
        } else {
            let tail = Reach {
                until: NEVER,
                tail: NEVER,
                ..reach
            };
            self.begin(part, starts, out, tail);
        }
        let from = if reach.until < reach.tail {
            reach.tail
        } else {
            reach.from
        };
        self.window(part, out, from, NEVER, limit, taste)?;
        if self.waiting.iter().any(|waiting| !waiting.is_empty()) {
            return self.give_up();
        }
        let mut finish = 0;
        for station in 0..part.count() {
            if reach.supplies >> part.supply[station] & 1 == 0 {
                continue;
            }
            let run = part.first[station + 1] as usize - 1;
            finish = finish.max(out[run] + part.length[run] + part.lead[station]);
        }
        // What was taken out of the middle may have carried a pump.
        if part.pumped && reach.until < reach.tail && !self.pumps_throughout(part, out) {
            return None;
        }
        Some(finish)
    }

    /// Whether every pump has nothing or enough to carry all night.
    fn pumps_throughout(&mut self, part: &Part, out: &[i32]) -> bool {
        for supply in 0..part.least.len() {
            if part.least[supply] == 0 {
                continue;
            }
            self.changes.clear();
            for station in 0..part.count() {
                if part.supply[station] as usize != supply {
                    continue;
                }
                for run in part.runs(station) {
                    if out[run] < NEVER {
                        self.changes.push((out[run], part.flow[station]));
                        self.changes
                            .push((out[run] + part.length[run], -part.flow[station]));
                    }
                }
            }
            shell(&mut self.changes, |a, b| a < b);
            self.work += 4 * self.changes.len() as u64;
            let mut flow = 0;
            for (at, &(time, change)) in self.changes.iter().enumerate() {
                flow += change;
                let over = self.changes.get(at + 1).is_none_or(|next| next.0 > time);
                if over && flow > 0 && flow < part.least[supply] {
                    return false;
                }
            }
        }
        true
    }

    /// Notes what still waits.
    fn give_up<T>(&mut self) -> Option<T> {
        self.late
            .extend(self.waiting.iter().flatten().map(|waiting| waiting.station));
        self.late
            .extend(self.soaking.iter().map(|soaking| soaking.1));
        None
    }

    fn begin_from_out(&mut self, part: &Part, out: &mut [i32], reach: Reach) {
        let starts = out.to_vec();
        self.begin(part, &starts, out, reach);
    }

    /// Sets the state at `reach.from`.
    fn begin(&mut self, part: &Part, starts: &[i32], out: &mut [i32], reach: Reach) {
        let now = reach.from;
        let horizon = reach.until.saturating_add(part.longest);
        self.next.clear();
        self.left.clear();
        self.ready.clear();
        self.due.clear();
        self.waiting.resize(part.capacity.len(), Vec::new());
        self.waiting.iter_mut().for_each(Vec::clear);
        self.soaking.clear();
        self.stirred = u64::MAX;
        self.open.clear();
        self.held.clear();
        self.fixed.clear();
        self.next_fixed = 0;
        self.free.clear();
        self.free.extend_from_slice(&part.capacity);
        self.lanes.clear();
        self.lanes.extend_from_slice(&part.lanes);
        self.valves = part.open_limit;
        self.open_set.clear();
        self.open_set.resize(part.words, 0);
        for station in 0..part.count() {
            let runs = part.runs(station);
            let mut ready = part.from[station];
            let mut run = runs.start;
            while run < runs.end && starts[run] < now {
                out[run] = starts[run];
                run += 1;
            }
            if run > runs.start {
                let end = starts[run - 1] + part.length[run - 1];
                ready = end + part.soak[station];
                let group = part.group[station] as usize;
                if end > now {
                    self.occupy(part, station, end);
                } else if end + part.gap[group] > now {
                    self.held.push((end + part.gap[group], group as u8));
                    self.lanes[group] -= 1;
                }
            }
            self.next.push(run as u32);
            self.ready.push(ready);
            let mut due = part.until[station];
            let mut left = 0;
            let inside = reach.supplies >> part.supply[station] & 1 == 1;
            for later in run..runs.end {
                let start = starts[later];
                let stays = !inside || (start >= reach.until && start < reach.tail);
                if stays {
                    if start < horizon.min(NEVER) {
                        self.fixed.push(Fixed {
                            start,
                            end: start + part.length[later],
                            station: station as u16,
                            flow: 0,
                            open: 0,
                            lanes: 0,
                        });
                    }
                    if !inside {
                        out[later] = start;
                    }
                    due = due.min(start - part.soak[station]);
                } else {
                    left += 1;
                }
            }
            self.left.push(left);
            self.due.push(due);
            if left > 0 {
                self.soaking.push((ready, station as u16));
            }
        }
        shell(&mut self.soaking, |a, b| a > b);
        self.work += (part.length.len() / 4) as u64;
        if !self.fixed.is_empty() {
            self.set_fixed(part);
        }
    }

    /// Sorts the runs that stay and notes what is left at the start of each.
    fn set_fixed(&mut self, part: &Part) {
        shell(&mut self.fixed, |a, b| {
            (a.start, a.station) < (b.start, b.station)
        });
        // What ends, and when: a run gives back flow and valve at once, its lane after the pause.
        self.leaving.clear();
        for &(end, station) in &self.open {
            self.leaving.push((end, station, false));
        }
        for fixed in &self.fixed {
            self.leaving.push((fixed.end, fixed.station, false));
        }
        for at in 0..self.leaving.len() {
            let (end, station, _) = self.leaving[at];
            let gap = part.gap[part.group[station as usize] as usize];
            self.leaving.push((end + gap, station, true));
        }
        shell(&mut self.leaving, |a, b| a < b);
        self.trial_free.clone_from(&self.free);
        self.trial_lanes.clone_from(&self.lanes);
        let mut valves = self.valves;
        let (mut gone, mut unheld) = (0, 0);
        shell(&mut self.held, |a, b| a < b);
        for fixed in &mut self.fixed {
            while let Some(&(end, station, lane)) = self.leaving.get(gone)
                && end <= fixed.start
            {
                let at = station as usize;
                if lane {
                    self.trial_lanes[part.group[at] as usize] += 1;
                } else {
                    self.trial_free[part.supply[at] as usize] += part.flow[at];
                    valves += 1;
                }
                gone += 1;
            }
            while let Some(&(until, group)) = self.held.get(unheld)
                && until <= fixed.start
            {
                self.trial_lanes[group as usize] += 1;
                unheld += 1;
            }
            let at = fixed.station as usize;
            let (supply, group) = (part.supply[at] as usize, part.group[at] as usize);
            self.trial_free[supply] -= part.flow[at];
            self.trial_lanes[group] -= 1;
            valves -= 1;
            fixed.flow = self.trial_free[supply];
            fixed.open = valves;
            fixed.lanes = self.trial_lanes[group];
        }
        self.work += 4 * self.fixed.len() as u64;
    }

    /// Puts the runs that stayed behind those placed in the window; fails when their lengths would change places.
    fn close_window(
        &mut self,
        part: &Part,
        starts: &[i32],
        out: &mut [i32],
        reach: Reach,
    ) -> Option<()> {
        for station in 0..part.count() {
            if reach.supplies >> part.supply[station] & 1 == 0 {
                continue;
            }
            let runs = part.runs(station);
            let mut place = self.next[station] as usize;
            for run in runs.clone() {
                let start = starts[run];
                if start >= reach.until && start < reach.tail {
                    if part.length[place] != part.length[run] {
                        return None;
                    }
                    out[place] = start;
                    place += 1;
                }
            }
            out[place..runs.end].fill(NEVER);
        }
        Some(())
    }

    /// Fills from `now` until `until`.
    fn window(
        &mut self,
        part: &Part,
        out: &mut [i32],
        mut now: i32,
        until: i32,
        limit: i32,
        taste: &Taste,
    ) -> Option<()> {
        let bounded = limit < NEVER;
        if bounded {
            self.set_slack(part, now, limit);
        }
        let last = until >= NEVER;
        self.latest = NEVER;
        loop {
            let mut next_event = self.advance(part, now);
            while let Some(&(ready, station)) = self.soaking.last() {
                if ready > now {
                    next_event = next_event.min(ready);
                    break;
                }
                self.soaking.pop();
                let waiting = self.wait(part, station, last, limit, taste);
                self.waiting[part.supply[station as usize] as usize].push(waiting);
            }
            if now > self.latest && self.is_late(now) {
                return None;
            }
            let looked = self.stirred;
            if self.valves > 0 && self.stirred != 0 {
                self.book(part, now, last, limit, taste);
                let supplies = self.free.len();
                let turn = taste
                    .turn
                    .0
                    .wrapping_add(taste.turn.1.wrapping_mul(now as u32) >> 16);
                for place in 0..supplies {
                    let supply = (turn as usize % supplies + place) % supplies;
                    if self.valves == 0 || self.stirred >> supply & 1 == 0 {
                        continue;
                    }
                    self.gather(part, supply, now, taste);
                    if !self.candidates.is_empty() {
                        self.choose(part, supply, now, last, taste);
                        for place in 0..self.best.len() {
                            self.start(part, self.best[place], now, out);
                        }
                    }
                }
                self.stirred = 0;
            }
            if part.pumped && last && !self.pumps(part) {
                return self.give_up();
            }
            for &(end, _) in &self.open {
                next_event = next_event.min(end);
            }
            if let Some(fixed) = self.fixed.get(self.next_fixed) {
                next_event = next_event.min(fixed.start);
            }
            if next_event >= until {
                // What room was kept for, or an open valve's cost, may have held a supply back that nothing stirs.
                if last && looked != u64::MAX && self.waiting.iter().any(|w| !w.is_empty()) {
                    self.stirred = u64::MAX;
                    continue;
                }
                return Some(());
            }
            if bounded {
                let span = i64::from(next_event - now);
                for (slack, free) in self.slack.iter_mut().zip(&self.free) {
                    *slack -= free.saturating_mul(span);
                    if *slack < 0 {
                        return None;
                    }
                }
            }
            now = next_event;
        }
    }

    /// What is looked at while a station waits.
    fn wait(
        &mut self,
        part: &Part,
        station: u16,
        last: bool,
        limit: i32,
        taste: &Taste,
    ) -> Waiting {
        let at = station as usize;
        let run = self.next[at] as usize;
        let (length, tail) = (part.length[run], part.tail[run]);
        let due = if last {
            let due = self.due[at].min(limit - part.lead[at]);
            self.latest = self.latest.min(due - tail);
            due
        } else {
            self.due[at]
        };
        self.stirred |= 1 << part.supply[at];
        Waiting {
            flow: part.flow[at],
            tail,
            length,
            due,
            density: taste.density[at],
            station,
            group: part.group[at],
        }
    }

    /// Whether any station waits in vain; notes which.
    fn is_late(&mut self, now: i32) -> bool {
        self.latest = NEVER;
        for waiting in self.waiting.iter().flatten() {
            let latest = waiting.due - waiting.tail;
            self.latest = self.latest.min(latest);
            if now > latest {
                self.late.push(waiting.station);
            }
        }
        now > self.latest
    }

    /// Notes what is left for each soaking station that has no time to lose when it is ready.
    fn book(&mut self, part: &Part, now: i32, last: bool, limit: i32, taste: &Taste) {
        self.booked.clear();
        if taste.booking < 0 || !last {
            return;
        }
        let horizon = now + part.longest;
        for place in (0..self.soaking.len()).rev() {
            let (ready, station) = self.soaking[place];
            if ready > horizon {
                break;
            }
            let at = station as usize;
            let run = self.next[at] as usize;
            let due = self.due[at].min(self.target.min(limit) - part.lead[at]);
            if due - ready - part.tail[run] > taste.booking {
                continue;
            }
            let mut booking = Fixed {
                start: ready,
                end: ready + part.length[run],
                station,
                flow: 0,
                open: 0,
                lanes: 0,
            };
            self.measure(part, &mut booking);
            if booking.flow >= 0 && booking.open >= 0 && booking.lanes >= 0 {
                self.booked.push(booking);
            }
        }
    }

    /// Notes what is left at the start of a booking when it and all before it are open.
    fn measure(&self, part: &Part, here: &mut Fixed) {
        let me = here.station as usize;
        let (supply, group) = (part.supply[me], part.group[me]);
        let gap = part.gap[group as usize];
        here.flow = part.capacity[supply as usize] - part.flow[me];
        here.open = part.open_limit - 1;
        here.lanes = part.lanes[group as usize] - 1;
        let others = self
            .booked
            .iter()
            .map(|booked| (booked.end, booked.station));
        for (end, station) in self.open.iter().copied().chain(others) {
            let at = station as usize;
            if end > here.start {
                here.open -= 1;
                if part.supply[at] == supply {
                    here.flow -= part.flow[at];
                }
            }
            if part.group[at] == group && end + gap > here.start {
                here.lanes -= 1;
            }
        }
        for &(until, held) in &self.held {
            if held == group && until > here.start {
                here.lanes -= 1;
            }
        }
    }

    /// Collects the stations of a supply that can start now.
    fn gather(&mut self, part: &Part, supply: usize, now: i32, taste: &Taste) {
        self.candidates.clear();
        let free = self.free[supply];
        let span = (self.target - now).max(1) as f32;
        let toll = if self.open.is_empty() {
            0.0
        } else {
            taste.toll[supply]
        };
        let near = self.next_fixed < self.fixed.len();
        self.work += self.waiting[supply].len() as u64 + 8;
        for waiting in &self.waiting[supply] {
            if waiting.flow > free {
                continue;
            }
            let end = now + waiting.length;
            if self.lanes[waiting.group as usize] <= 0
                || end > waiting.due
                || !is_apart(part, &self.open_set, waiting.station as usize)
            {
                continue;
            }
            let span = span.min((waiting.due - now) as f32);
            let ratio = (waiting.tail as f32 / span).min(1.0);
            let square = ratio * ratio;
            let density = waiting.density * (1.0 + taste.urgency * square * square);
            let candidate = Candidate {
                station: waiting.station,
                group: waiting.group,
                end,
                flow: waiting.flow,
                worth: density * waiting.flow as f32 - toll,
                density,
                rest: 0.0,
            };
            if near && !clears(part, &self.fixed[self.next_fixed..], &candidate)
                || !clears(part, &self.booked, &candidate)
                || candidate.worth <= 0.0 && toll > 0.0
            {
                continue;
            }
            self.candidates.push(candidate);
        }
    }

    /// How much of each supply may go unused from `now` to `limit`.
    fn set_slack(&mut self, part: &Part, now: i32, limit: i32) {
        self.slack.clear();
        for &capacity in &part.capacity {
            self.slack
                .push(capacity.saturating_mul(i64::from(limit - now)));
        }
        for &(end, station) in &self.open {
            let at = station as usize;
            let water = i64::from(end - now) * part.flow[at];
            self.slack[part.supply[at] as usize] -= water;
        }
        for fixed in &self.fixed {
            let at = fixed.station as usize;
            let water = i64::from(fixed.end - fixed.start) * part.flow[at];
            self.slack[part.supply[at] as usize] -= water;
        }
        for station in 0..part.count() {
            let run = self.next[station] as usize;
            let left = &part.length[run..run + self.left[station] as usize];
            let water = left.iter().map(|&l| i64::from(l)).sum::<i64>() * part.flow[station];
            self.slack[part.supply[station] as usize] -= water;
        }
    }

    /// Closes what ends now and opens the runs that stay; gives the next time at which a lane comes free.
    fn advance(&mut self, part: &Part, now: i32) -> i32 {
        let mut next_event = NEVER;
        let mut at = 0;
        while at < self.held.len() {
            if self.held[at].0 <= now {
                self.lanes[self.held[at].1 as usize] += 1;
                self.stirred = u64::MAX;
                self.held.swap_remove(at);
            } else {
                next_event = next_event.min(self.held[at].0);
                at += 1;
            }
        }
        at = 0;
        while at < self.open.len() {
            let (end, station) = self.open[at];
            if end > now {
                at += 1;
                continue;
            }
            self.open.swap_remove(at);
            let place = station as usize;
            let group = part.group[place] as usize;
            self.free[part.supply[place] as usize] += part.flow[place];
            if self.valves == 0 {
                self.stirred = u64::MAX;
            }
            self.valves += 1;
            if part.words > 0 {
                self.open_set[place / 64] &= !(1 << (place % 64));
                // Those kept apart from it may draw on any supply.
                self.stirred = u64::MAX;
            }
            if part.gap[group] > 0 {
                self.held.push((end + part.gap[group], group as u8));
                next_event = next_event.min(end + part.gap[group]);
            } else {
                if self.lanes[group] <= 0 {
                    self.stirred = u64::MAX;
                }
                self.lanes[group] += 1;
            }
            self.stirred |= 1 << part.supply[place];
        }
        while let Some(fixed) = self.fixed.get(self.next_fixed)
            && fixed.start <= now
        {
            let station = fixed.station as usize;
            let end = fixed.end;
            self.next_fixed += 1;
            self.occupy(part, station, end);
        }
        next_event
    }

    fn occupy(&mut self, part: &Part, station: usize, end: i32) {
        self.open.push((end, station as u16));
        self.free[part.supply[station] as usize] -= part.flow[station];
        self.lanes[part.group[station] as usize] -= 1;
        self.valves -= 1;
        if part.words > 0 {
            self.open_set[station / 64] |= 1 << (station % 64);
        }
    }

    fn start(&mut self, part: &Part, station: u16, now: i32, out: &mut [i32]) {
        let at = station as usize;
        let run = self.next[at] as usize;
        out[run] = now;
        let end = now + part.length[run];
        self.occupy(part, at, end);
        self.next[at] += 1;
        self.left[at] -= 1;
        self.ready[at] = end + part.soak[at];
        let waiting = &mut self.waiting[part.supply[at] as usize];
        if let Some(place) = waiting.iter().position(|w| w.station == station) {
            waiting.swap_remove(place);
        }
        if self.left[at] > 0 {
            let ready = self.ready[at];
            let place = self
                .soaking
                .iter()
                .rposition(|s| s.0 >= ready)
                .map_or(0, |p| p + 1);
            self.soaking.insert(place, (ready, station));
        }
        if self.next_fixed < self.fixed.len() {
            take(part, &mut self.fixed[self.next_fixed..], station, end, 1);
        }
        take(part, &mut self.booked, station, end, 1);
    }

    /// Leaves in `best` the stations to start now: the set worth most, as far as `taste.nodes` looks.
    fn choose(&mut self, part: &Part, supply: usize, now: i32, last: bool, taste: &Taste) {
        self.best.clear();
        let pumped = last && part.least[supply] > 0;
        if self.candidates.len() == 1 && !pumped {
            self.best.push(self.candidates[0].station);
            return;
        }
        shell(&mut self.candidates, |a, b| a.worth > b.worth);
        let (mut rest, mut density) = (0.0, 0.0f32);
        for candidate in self.candidates.iter_mut().rev() {
            rest += candidate.worth;
            density = density.max(candidate.density);
            candidate.rest = rest;
            candidate.density = density;
        }
        self.chosen.clear();
        self.best_worth = -1.0;
        self.nodes_left = taste.nodes;
        self.dig(part, supply, now, pumped, 0, self.valves, 0.0);
        self.work += u64::from(taste.nodes - self.nodes_left) + self.candidates.len() as u64;
    }

    /// Tries the candidates from `from` on beside those already chosen.
    #[allow(clippy::too_many_arguments)]
    fn dig(
        &mut self,
        part: &Part,
        supply: usize,
        now: i32,
        pumped: bool,
        from: usize,
        slots: i32,
        worth: f32,
    ) {
        if worth > self.best_worth && (!pumped || self.is_pumped(part, supply, now)) {
            self.best_worth = worth;
            self.best.clear();
            self.best.extend_from_slice(&self.chosen);
        }
        if slots == 0 {
            return;
        }
        let near = self.next_fixed < self.fixed.len();
        let booked = !self.booked.is_empty();
        for at in from..self.candidates.len() {
            let candidate = self.candidates[at];
            let free = self.free[supply];
            let most = candidate
                .rest
                .min(candidate.density * free as f32)
                .min(candidate.worth * slots as f32);
            if worth + most <= self.best_worth || self.nodes_left == 0 {
                return;
            }
            self.nodes_left -= 1;
            let station = candidate.station as usize;
            if candidate.flow > free
                || self.lanes[candidate.group as usize] <= 0
                || !is_apart(part, &self.open_set, station)
                || near && !clears(part, &self.fixed[self.next_fixed..], &candidate)
                || booked && !clears(part, &self.booked, &candidate)
            {
                continue;
            }
            self.free[supply] -= candidate.flow;
            self.lanes[candidate.group as usize] -= 1;
            if part.words > 0 {
                self.open_set[station / 64] |= 1 << (station % 64);
            }
            if near {
                let fixed = &mut self.fixed[self.next_fixed..];
                take(part, fixed, candidate.station, candidate.end, 1);
            }
            if booked {
                take(part, &mut self.booked, candidate.station, candidate.end, 1);
            }
            self.chosen.push(candidate.station);
            self.dig(
                part,
                supply,
                now,
                pumped,
                at + 1,
                slots - 1,
                worth + candidate.worth,
            );
            self.chosen.pop();
            self.free[supply] += candidate.flow;
            self.lanes[candidate.group as usize] += 1;
            if part.words > 0 {
                self.open_set[station / 64] &= !(1 << (station % 64));
            }
            if near {
                let fixed = &mut self.fixed[self.next_fixed..];
                take(part, fixed, candidate.station, candidate.end, -1);
            }
            if booked {
                take(part, &mut self.booked, candidate.station, candidate.end, -1);
            }
        }
    }

    /// Whether the pump has enough to carry with what is chosen, now and, near the end where nothing may be left to
    /// start, until all of it closes.
    fn is_pumped(&mut self, part: &Part, supply: usize, now: i32) -> bool {
        let least = part.least[supply];
        self.ends.clear();
        for &(end, station) in &self.open {
            if part.supply[station as usize] as usize == supply {
                self.ends.push((end, part.flow[station as usize], false));
            }
        }
        for &station in &self.chosen {
            let at = station as usize;
            let end = now + part.length[self.next[at] as usize];
            self.ends.push((end, part.flow[at], true));
        }
        shell(&mut self.ends, |a, b| a > b);
        let (mut flow, mut new) = (0, false);
        for at in 0..self.ends.len() {
            let (end, more, chosen) = self.ends[at];
            flow += more;
            new |= chosen;
            let whole = at + 1 == self.ends.len();
            if !whole && self.ends[at + 1].0 == end {
                continue;
            }
            if flow > 0 && flow < least && (whole || new && end > self.safe_from) {
                return false;
            }
        }
        true
    }

    /// Whether every pump has nothing or enough to carry.
    fn pumps(&self, part: &Part) -> bool {
        (0..part.least.len()).all(|supply| {
            let flow = part.capacity[supply] - self.free[supply];
            flow == 0 || flow >= part.least[supply]
        })
    }
}

/// Whether a run from now to `candidate.end` leaves room for the runs that stay.
#[inline]
fn clears(part: &Part, fixed: &[Fixed], candidate: &Candidate) -> bool {
    let group = candidate.group;
    let held = candidate.end + part.gap[group as usize];
    for fixed in fixed {
        if fixed.start >= held {
            break;
        }
        let other = fixed.station as usize;
        if part.group[other] == group && fixed.lanes <= 0 {
            return false;
        }
        if fixed.start < candidate.end
            && (fixed.open <= 0
                || part.supply[other] == part.supply[candidate.station as usize]
                    && fixed.flow < candidate.flow
                || part.is_pair(other, candidate.station as usize))
        {
            return false;
        }
    }
    true
}

/// Takes a run from now to `end` out of what is left at the starts of the runs that stay.
fn take(part: &Part, fixed: &mut [Fixed], station: u16, end: i32, sign: i32) {
    let at = station as usize;
    let held = end + part.gap[part.group[at] as usize];
    for fixed in fixed {
        if fixed.start >= held {
            break;
        }
        let other = fixed.station as usize;
        if part.group[other] == part.group[at] {
            fixed.lanes -= sign;
        }
        if fixed.start < end {
            fixed.open -= sign;
            if part.supply[other] == part.supply[at] {
                fixed.flow -= part.flow[at] * i64::from(sign);
            }
        }
    }
}

/// Whether none of the open stations must be kept apart from this one.
#[inline]
fn is_apart(part: &Part, open: &[u64], station: usize) -> bool {
    let words = part.words;
    let mine = &part.apart[station * words..(station + 1) * words];
    mine.iter().zip(open).all(|(mine, open)| mine & open == 0)
}
