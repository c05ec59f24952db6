//! Filling: time is walked from event to event, and at each the free flow is filled with the best of several random
//! sets of stations that are ready.

use super::part::{NEVER, Part};
use super::random::Random;

/// Start of every run of a part in ticks, in the order of [`Part::length`], and the end of the last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Starts {
    pub(crate) starts: Vec<i32>,
    pub(crate) finish: i32,
}

/// Working space for filling, kept between passes so that none allocates.
#[derive(Clone, Debug, Default)]
pub(crate) struct Filler {
    /// Run that each station does next.
    pub(crate) next: Vec<u32>,
    ready: Vec<i32>,
    tail: Vec<i32>,
    waiting: Vec<u16>,
    /// Open runs: end and station.
    open: Vec<(i32, u16)>,
    /// Lanes still held: until, and group.
    held: Vec<(i32, u8)>,
    free: Vec<i64>,
    lanes: Vec<u32>,
    open_set: Vec<u64>,
    ready_now: Vec<u16>,
    keys: Vec<u32>,
    pull: Vec<u32>,
    chosen: Vec<u16>,
    best: Vec<u16>,
    trial_free: Vec<i64>,
    trial_lanes: Vec<u32>,
    trial_set: Vec<u64>,
    /// What a pass may leave unused on each supply before it cannot end in time any more.
    slack: Vec<i64>,
    /// Steps done: one is one look at one station.
    pub(crate) work: u64,
    pub(crate) target: i32,
    pumped: bool,
    safe_from: i32,
    ends: Vec<(i32, i64, u16)>,
    pub(crate) late: Vec<u16>,
    /// How many random sets are tried at an event.
    pub(crate) tries: u32,
}

impl Filler {
    /// Fills from `from` on: runs that `starts` begins before `from` stay, the rest is placed anew. Gives the finish,
    /// or nothing when a station cannot keep its window or the whole cannot end by `limit`.
    pub(crate) fn fill(
        &mut self,
        part: &Part,
        starts: &mut [i32],
        from: i32,
        limit: i32,
        weight: &[u32],
        random: &mut Random,
    ) -> Option<i32> {
        self.late.clear();
        self.pumped = part.least.iter().any(|least| *least > 0);
        self.safe_from = self.target - random.below(self.target.max(16) as u32 / 8) as i32;
        let mut now = self.begin(part, starts, from, limit);
        loop {
            let mut next_event = self.close(part, now);
            self.ready_now.clear();
            for &station in &self.waiting {
                let at = station as usize;
                if self.ready[at] > now {
                    next_event = next_event.min(self.ready[at]);
                    if self.ready[at] + self.tail[at] > limit.min(part.until[at]) {
                        return self.fail(station);
                    }
                    continue;
                }
                if now + self.tail[at] > limit.min(part.until[at]) {
                    return self.fail(station);
                }
                let supply = part.supply[at] as usize;
                let group = part.group[at] as usize;
                if part.flow[at] <= self.free[supply]
                    && self.lanes[group] > 0
                    && is_apart(part, &self.open_set, at)
                {
                    self.ready_now.push(station);
                }
            }
            self.work += self.waiting.len() as u64 + 8;
            if !self.ready_now.is_empty() && self.open.len() < part.open_limit as usize {
                self.choose(part, now, weight, random);
                for place in 0..self.best.len() {
                    self.start(part, self.best[place], now, starts);
                }
            }
            if self.pumped && !self.pumps(part) {
                self.late.extend_from_slice(&self.waiting);
                return None;
            }
            for &(end, _) in &self.open {
                next_event = next_event.min(end);
            }
            if next_event >= NEVER {
                break;
            }
            for supply in 0..self.free.len() {
                let span = i64::from(next_event - now);
                self.slack[supply] =
                    self.slack[supply].saturating_sub(self.free[supply].saturating_mul(span));
                if self.slack[supply] < 0 {
                    return None;
                }
            }
            now = next_event;
        }
        if !self.waiting.is_empty() {
            self.late.extend_from_slice(&self.waiting);
            return None;
        }
        Some(now)
    }

    fn fail(&mut self, station: u16) -> Option<i32> {
        self.late.push(station);
        None
    }

    /// Sets the state at `from`; gives the time of the first event.
    fn begin(&mut self, part: &Part, starts: &[i32], from: i32, limit: i32) -> i32 {
        let count = part.count();
        self.next.clear();
        self.ready.clear();
        self.tail.clear();
        self.waiting.clear();
        self.open.clear();
        self.held.clear();
        self.free.clear();
        self.free.extend_from_slice(&part.capacity);
        self.lanes.clear();
        self.lanes.extend_from_slice(&part.lanes);
        self.open_set.clear();
        self.open_set.resize(part.words, 0);
        self.slack.clear();
        for &capacity in &part.capacity {
            self.slack.push(capacity.saturating_mul(i64::from(limit)));
        }
        for station in 0..count {
            let runs = part.runs(station);
            let mut next = runs.start;
            let mut ready = part.from[station];
            let supply = part.supply[station] as usize;
            let mut ticks = 0;
            for run in runs.clone() {
                ticks += i64::from(part.length[run]);
            }
            self.slack[supply] =
                self.slack[supply].saturating_sub(ticks.saturating_mul(part.flow[station]));
            while next < runs.end && starts[next] < from {
                let end = starts[next] + part.length[next];
                ready = end + part.soak[station];
                let group = part.group[station] as usize;
                if end > from {
                    self.open.push((end, station as u16));
                    self.free[supply] -= part.flow[station];
                    self.lanes[group] -= 1;
                    if part.words > 0 {
                        self.open_set[station / 64] |= 1 << (station % 64);
                    }
                } else if end + part.gap[group] > from {
                    self.held.push((end + part.gap[group], group as u8));
                    self.lanes[group] -= 1;
                }
                next += 1;
            }
            self.next.push(next as u32);
            self.ready.push(ready);
            let open = self.open.last().is_some_and(|o| o.1 as usize == station);
            self.tail
                .push(if next < runs.end { part.tail[next] } else { 0 });
            if next < runs.end && !open {
                self.waiting.push(station as u16);
            }
        }
        if from > 0 {
            // What the kept runs left unused.
            for supply in 0..part.capacity.len() {
                self.slack[supply] = self.slack[supply]
                    .saturating_sub(part.capacity[supply].saturating_mul(i64::from(from)));
            }
            for station in 0..count {
                let supply = part.supply[station] as usize;
                let kept = part.runs(station).start..self.next[station] as usize;
                for (start, length) in starts[kept.clone()].iter().zip(&part.length[kept]) {
                    let ticks = (start + length).min(from) - start;
                    self.slack[supply] += i64::from(ticks) * part.flow[station];
                }
            }
        }
        from
    }

    /// Closes what ends now; gives the next time at which a lane comes free.
    fn close(&mut self, part: &Part, now: i32) -> i32 {
        let mut next_event = NEVER;
        let mut at = 0;
        while at < self.held.len() {
            if self.held[at].0 <= now {
                self.lanes[self.held[at].1 as usize] += 1;
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
            if part.words > 0 {
                self.open_set[place / 64] &= !(1 << (place % 64));
            }
            if part.gap[group] > 0 {
                self.held.push((end + part.gap[group], group as u8));
                next_event = next_event.min(end + part.gap[group]);
            } else {
                self.lanes[group] += 1;
            }
            if self.next[place] < part.first[place + 1] {
                self.waiting.push(station);
            }
        }
        next_event
    }

    fn start(&mut self, part: &Part, station: u16, now: i32, starts: &mut [i32]) {
        let at = station as usize;
        let run = self.next[at] as usize;
        starts[run] = now;
        let end = now + part.length[run];
        self.open.push((end, station));
        self.free[part.supply[at] as usize] -= part.flow[at];
        self.lanes[part.group[at] as usize] -= 1;
        if part.words > 0 {
            self.open_set[at / 64] |= 1 << (at % 64);
        }
        self.next[at] += 1;
        self.ready[at] = end + part.soak[at];
        if self.next[at] < part.first[at + 1] {
            self.tail[at] = part.tail[run + 1];
        }
        if let Some(place) = self.waiting.iter().position(|w| *w == station) {
            self.waiting.swap_remove(place);
        }
    }

    /// Leaves in `best` the stations to start now.
    fn choose(&mut self, part: &Part, now: i32, weight: &[u32], random: &mut Random) {
        let slots = part.open_limit as usize - self.open.len();
        let rem = i64::from(self.target - now)
            .max(i64::from(longest_tail(&self.tail, &self.ready_now)))
            .max(1);
        self.pull.clear();
        for &station in &self.ready_now {
            let at = station as usize;
            let rem = if part.until[at] < NEVER {
                rem.min(i64::from(part.until[at] - now).max(1))
            } else {
                rem
            };
            let ratio = (i64::from(self.tail[at]) * 256 / rem).min(256);
            let w = 64 + ((ratio * ratio * ratio * ratio) >> 22) as u32 * 4;
            self.pull.push((w * weight[at]) >> 10);
        }
        self.best.clear();
        let mut best_value = -1i64;
        for _ in 0..self.tries {
            self.keys.clear();
            for &pull in &self.pull {
                self.keys.push((random.next() >> 16).wrapping_mul(pull) | 1);
            }
            self.trial_free.clear();
            self.trial_free.extend_from_slice(&self.free);
            self.trial_lanes.clear();
            self.trial_lanes.extend_from_slice(&self.lanes);
            self.trial_set.clear();
            self.trial_set.extend_from_slice(&self.open_set);
            self.chosen.clear();
            let mut value = 0;
            while self.chosen.len() < slots {
                let mut top = 0;
                let mut place = usize::MAX;
                for (at, &key) in self.keys.iter().enumerate() {
                    if key <= top {
                        continue;
                    }
                    let station = self.ready_now[at] as usize;
                    if part.flow[station] <= self.trial_free[part.supply[station] as usize]
                        && self.trial_lanes[part.group[station] as usize] > 0
                        && is_apart(part, &self.trial_set, station)
                    {
                        top = key;
                        place = at;
                    }
                }
                if place == usize::MAX {
                    break;
                }
                let station = self.ready_now[place] as usize;
                self.keys[place] = 0;
                self.trial_free[part.supply[station] as usize] -= part.flow[station];
                self.trial_lanes[part.group[station] as usize] -= 1;
                if part.words > 0 {
                    self.trial_set[station / 64] |= 1 << (station % 64);
                }
                value += part.flow[station] * i64::from(weight[station]);
                self.chosen.push(station as u16);
            }
            self.work += (self.ready_now.len() * (self.chosen.len() + 2)) as u64;
            if self.pumped {
                value = self.drop_unpumped(part, now, weight);
            }
            if value > best_value {
                best_value = value;
                std::mem::swap(&mut self.best, &mut self.chosen);
            }
        }
    }

    /// Takes out of `chosen` what would be left running below its pump's least flow near the end, where nothing
    /// may be left to start beside it. Gives the value of what stays, or −1 when a pump has too little now.
    fn drop_unpumped(&mut self, part: &Part, now: i32, weight: &[u32]) -> i64 {
        for supply in 0..part.least.len() {
            let least = part.least[supply];
            if least == 0 {
                continue;
            }
            loop {
                self.ends.clear();
                for &(end, station) in &self.open {
                    if part.supply[station as usize] as usize == supply {
                        self.ends.push((end, part.flow[station as usize], u16::MAX));
                    }
                }
                for &station in &self.chosen {
                    let at = station as usize;
                    if part.supply[at] as usize == supply {
                        let end = now + part.length[self.next[at] as usize];
                        self.ends.push((end, part.flow[at], station));
                    }
                }
                latest_first(&mut self.ends);
                let mut flow = 0;
                let mut at = 0;
                let mut victim = None;
                while at < self.ends.len() {
                    let end = self.ends[at].0;
                    while at < self.ends.len() && self.ends[at].0 == end {
                        flow += self.ends[at].1;
                        at += 1;
                    }
                    if flow > 0 && flow < least && (end > self.safe_from || at == self.ends.len()) {
                        victim = self.ends[..at].iter().map(|e| e.2).find(|s| *s != u16::MAX);
                        if victim.is_none() && at == self.ends.len() {
                            return -1;
                        }
                        break;
                    }
                }
                match victim {
                    Some(victim) => self.chosen.retain(|s| *s != victim),
                    None => break,
                }
            }
        }
        let value = |&s: &u16| part.flow[s as usize] * i64::from(weight[s as usize]);
        self.chosen.iter().map(value).sum()
    }

    /// Whether every pump has nothing or enough to carry.
    fn pumps(&self, part: &Part) -> bool {
        (0..part.least.len()).all(|supply| {
            let flow = part.capacity[supply] - self.free[supply];
            flow == 0 || flow >= part.least[supply]
        })
    }
}

/// Whether none of the open stations must be kept apart from this one.
#[inline]
fn is_apart(part: &Part, open: &[u64], station: usize) -> bool {
    let words = part.words;
    let mine = &part.apart[station * words..(station + 1) * words];
    mine.iter().zip(open).all(|(mine, open)| mine & open == 0)
}

fn longest_tail(tail: &[i32], ready: &[u16]) -> i32 {
    ready.iter().map(|&s| tail[s as usize]).max().unwrap_or(1)
}

/// Orders what is open by its end, latest first; a handful, so by insertion.
fn latest_first(ends: &mut [(i32, i64, u16)]) {
    for end in 1..ends.len() {
        let mut at = end;
        while at > 0 && ends[at - 1] < ends[at] {
            ends.swap(at - 1, at);
            at -= 1;
        }
    }
}
