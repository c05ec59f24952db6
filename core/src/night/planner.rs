//! The search: filling, again and again, from both ends.

use super::bound::bound;
use super::fill::{Filler, Reach, Starts, Taste};
use super::legal::breaches;
use super::part::{NEVER, Part, Problem};
use super::plan::{Plan, Reason, Run, Unserved};
use super::random::Random;
use super::site::Site;
use crate::order::{by_keys, signed};

/// Searches for a plan, a slice of work at a time.
#[derive(Clone, Debug)]
pub struct Planner {
    site: Site,
    problem: Problem,
    searches: Vec<Search>,
    best: Plan,
    work: u64,
}

/// Where a search stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Work done so far; one unit is about a look at one station.
    pub work: u64,
    /// End of the best plan so far.
    pub finish_second: u32,
    /// Nothing better exists, or nothing is left to try.
    pub done: bool,
}

#[derive(Clone, Debug)]
struct Search {
    part: Part,
    /// The part as seen in the direction of `current`.
    view: Part,
    backward: bool,
    view_end: i32,
    filler: Filler,
    random: Random,
    weight: Vec<u32>,
    taste: Taste,
    best: Option<Starts>,
    current: Starts,
    trial: Vec<i32>,
    blank: Vec<i32>,
    elite: [Vec<u32>; 2],
    elite_finish: [i32; 2],
    order: Vec<usize>,
    bounds: Vec<i64>,
    base: Vec<i32>,
    ends: Vec<i32>,
    rounds: u32,
    polish: u32,
    k: Knobs,
    weight_backward: Vec<u32>,
    failures: u32,
    patience: u32,
    lateness: Vec<u32>,
    /// Stations of the site that no plan was found for.
    left_out: Vec<usize>,
}

impl Search {
    fn new(part: &Part, seed: u64) -> Self {
        let filler = Filler::default();
        Self {
            part: part.clone(),
            view: part.clone(),
            backward: false,
            view_end: 0,
            filler,
            random: Random::new(seed),
            weight: vec![1024; part.count()],
            taste: Taste {
                density: vec![1.0; part.count()],
                urgency: 3.0,
                nodes: 200,
                booking: -1,
            },
            best: None,
            current: Starts::default(),
            trial: vec![NEVER; part.length.len()],
            blank: vec![NEVER; part.length.len()],
            elite: Default::default(),
            elite_finish: [NEVER; 2],
            order: Vec::new(),
            bounds: super::bound::supply_bounds(part),
            base: Vec::new(),
            ends: Vec::new(),
            rounds: 0,
            polish: 0,
            k: KNOBS,
            weight_backward: vec![1024; part.count()],
            failures: 0,
            patience: 4096,
            lateness: vec![0; part.count()],
            left_out: Vec::new(),
        }
    }

    fn step(&mut self) {
        if self.best.is_none() {
            return self.fresh();
        }
        if self.polish == 0 {
            self.rounds += 1;
            if self.rounds > self.k.first && self.random.below(100) < self.k.old {
                self.load_best();
                self.polish = self.k.polish_old;
            } else {
                self.fresh();
            }
            return;
        }
        self.polish -= 1;
        if self.random.below(self.k.flip) == 0 {
            self.flip();
        }
        self.refill();
    }

    fn load_best(&mut self) {
        if let Some(best) = &self.best {
            self.current.starts.clone_from(&best.starts);
            self.current.finish = best.finish;
            self.view = self.part.clone();
            self.backward = false;
            if self.random.below(2) == 0 {
                self.flip();
            }
        }
    }

    /// End of the last run on each supply.
    fn set_ends(&mut self, trial: bool) {
        let starts = if trial {
            &self.trial
        } else {
            &self.current.starts
        };
        self.ends.clear();
        self.ends.resize(self.view.capacity.len(), 0);
        for at in 0..self.view.count() {
            let run = self.view.first[at + 1] as usize - 1;
            let end = &mut self.ends[self.view.supply[at] as usize];
            *end = (*end).max(starts[run] + self.view.length[run] + self.view.lead[at]);
        }
    }

    fn refill(&mut self) {
        let whole = self.current.finish;
        self.set_ends(false);
        let m = self.ends.len();
        let (mut supplies, mut finish) = (u64::MAX, whole);
        if m > 1 {
            let dice = self.random.below(100);
            if dice < self.k.single {
                let p = if dice < self.k.single * 3 / 4 {
                    (0..m).max_by_key(|&p| self.ends[p]).unwrap_or(0)
                } else {
                    self.random.below(m as u32) as usize
                };
                supplies = 1 << p;
                finish = self.ends[p];
            }
        }
        self.filler.target = finish;
        self.flavour(self.k.noise_refill);
        let reach = if self.random.below(100) < self.k.local {
            let from = self.random.below(finish as u32) as i32;
            let wide = self.k.wide * finish / 1000;
            let until = from + 1 + self.random.below(wide as u32) as i32;
            let back = self.k.back * finish / 1000;
            let tail = finish - 1 - self.random.below(back as u32) as i32;
            Reach {
                supplies,
                from,
                until,
                tail,
            }
        } else {
            let u = i64::from(self.random.below(1024));
            let v = i64::from(self.random.below(1024));
            let back = ((i64::from(finish) * u * v) >> 20) as i32 + 1;
            let from = (finish - back).max(0);
            Reach {
                supplies,
                from,
                until: NEVER,
                tail: NEVER,
            }
        };
        let looser = if self.random.below(1000) < self.k.worse {
            finish
                + 1
                + self
                    .random
                    .below((finish * self.k.slack / 1000).max(1) as u32) as i32
        } else {
            finish
        };
        let done = self.filler.fill(
            &self.view,
            &self.current.starts,
            &mut self.trial,
            reach,
            looser,
            &self.taste,
            &mut self.random,
        );
        if let Some(done) = done {
            std::mem::swap(&mut self.current.starts, &mut self.trial);
            self.set_ends(false);
            self.current.finish = self.ends.iter().copied().max().unwrap_or(0);
            if done < finish {
                self.polish = self.polish.max(self.k.polish);
            }
            if self.current.finish < self.best.as_ref().map_or(NEVER, |b| b.finish) {
                self.polish = self.polish.max(self.k.polish_old);
                self.keep();
            }
        }
    }

    fn flavour(&mut self, noise: u32) {
        let finish = self.filler.target.max(100) as u32;
        self.taste.booking = if self.random.below(100) < self.k.book {
            let spread = self.random.below(1 + finish * self.k.booking / 1000);
            self.random.below(1 + spread) as i32
        } else {
            -1
        };
        let big = 0.5;
        self.taste.density.clear();
        for at in 0..self.part.count() {
            let share = self.part.flow[at] as f32
                / self.part.capacity[self.part.supply[at] as usize] as f32;
            let n = 1.0 + self.random.below(1024) as f32 / 1024.0 * noise as f32 / 100.0;
            self.taste
                .density
                .push(self.weight[at] as f32 / 1024.0 * (1.0 + big * share) * n);
        }
    }

    /// Turns time around.
    fn flip(&mut self) {
        let end = self.current.finish;
        let part = &self.view;
        let mut starts = self.current.starts.clone();
        for station in 0..part.count() {
            let runs = part.runs(station);
            for run in runs.clone() {
                let other = runs.end - 1 - (run - runs.start);
                starts[other] = end - (self.current.starts[run] + part.length[run]);
            }
        }
        self.backward = !self.backward;
        self.view_end = end;
        self.view = if self.backward {
            self.part.mirrored(end)
        } else {
            self.part.clone()
        };
        self.current.starts = starts;
    }

    fn keep(&mut self) {
        let backward = self.backward;
        if backward {
            self.flip();
        }
        if self
            .best
            .as_ref()
            .is_none_or(|best| best.finish > self.current.finish)
        {
            self.best = Some(self.current.clone());
        }
        if backward {
            self.flip();
        }
    }

    /// Gives up on the station that was late most often.
    fn leave_out(&mut self) {
        let worst = (0..self.part.count()).max_by_key(|&at| self.lateness[at]);
        if let Some(worst) = worst {
            self.left_out.push(self.part.stations[worst]);
            self.part = self.part.without(worst);
            self.view = self.part.clone();
            self.weight = vec![1024; self.part.count()];
            self.weight_backward = self.weight.clone();
            self.lateness = vec![0; self.part.count()];
            self.trial = vec![NEVER; self.part.length.len()];
            self.blank = self.trial.clone();
            self.failures = 0;
            self.patience = (self.patience / 2).max(8);
        }
    }

    fn fresh(&mut self) {
        if self.k.reset > 0 && self.random.below(self.k.reset) == 0 {
            let n = self.weight.len();
            self.weight = vec![1024; n];
            self.weight_backward = vec![1024; n];
        }
        let best = self.best.as_ref().map_or(NEVER, |best| best.finish);
        self.filler.target = if best < NEVER {
            best
        } else {
            bound(&self.part)
        };
        let limit = if best < NEVER {
            best + best * self.k.limit / 1000
        } else {
            NEVER
        };
        self.backward = best < NEVER && self.random.below(100) < self.k.backward;
        self.view = if self.backward {
            self.part.mirrored(best)
        } else {
            self.part.clone()
        };
        if self.backward {
            std::mem::swap(&mut self.weight, &mut self.weight_backward);
        }
        let side = usize::from(self.backward);
        let mut noise = self.k.noise;
        if !self.elite[side].is_empty() && self.random.below(100) < self.k.elite {
            self.weight.clone_from(&self.elite[side]);
            noise = self.k.noise_elite;
        }
        self.flavour(noise);
        let m = self.view.capacity.len();
        let done = if m == 1 || self.random.below(100) < self.k.joint {
            self.filler.fill(
                &self.view,
                &self.blank,
                &mut self.trial,
                Reach::ALL,
                limit,
                &self.taste,
                &mut self.random,
            )
        } else {
            self.order.clear();
            self.order.extend(0..m);
            let bounds = &self.bounds;
            by_keys(&mut self.order, |&p| [u64::MAX - signed(bounds[p]), 0]);
            if self.random.below(100) < self.k.shuffle {
                let one = self.random.below(m as u32) as usize;
                let other = self.random.below(m as u32) as usize;
                self.order.swap(one, other);
            }
            self.base.clone_from(&self.blank);
            let mut all = Some(0);
            for at in 0..m {
                let reach = Reach {
                    supplies: 1 << self.order[at],
                    ..Reach::ALL
                };
                let done = self.filler.fill(
                    &self.view,
                    &self.base,
                    &mut self.trial,
                    reach,
                    limit,
                    &self.taste,
                    &mut self.random,
                );
                all = all.zip(done).map(|(a, b): (i32, i32)| a.max(b));
                if done.is_none() {
                    break;
                }
                self.base.clone_from(&self.trial);
            }
            all
        };
        if let Some(finish) = done {
            self.elite_finish[side] += 1;
            if finish * 16 <= self.elite_finish[side] {
                self.elite_finish[side] = finish * 16;
                let n = self.part.count();
                let big = 0.5;
                self.elite[side].clear();
                for at in 0..n {
                    let share = self.part.flow[at] as f32
                        / self.part.capacity[self.part.supply[at] as usize] as f32;
                    self.elite[side]
                        .push(((self.taste.density[at] / (1.0 + big * share)) * 1024.0) as u32);
                }
            }
            self.set_ends(true);
            for at in 0..self.part.count() {
                let run = self.part.runs(at).end - 1;
                let end = self.trial[run] + self.view.length[run];
                let weight = &mut self.weight[at];
                let finish = self.ends[self.part.supply[at] as usize];
                if end > finish / 100 * self.k.zone {
                    *weight = (*weight * (1000 + self.k.up) / 1000).min(1 << 13);
                } else {
                    *weight = (*weight * (1000 - self.k.down) / 1000).max(512);
                }
            }
            std::mem::swap(&mut self.current.starts, &mut self.trial);
            self.trial.resize(self.current.starts.len(), 0);
            self.current.finish = finish;
            self.polish = if self.rounds < self.k.first {
                0
            } else {
                self.k.polish
            };
        } else if best == NEVER {
            self.failures += 1;
            for at in 0..self.filler.late.len() {
                let late = self.filler.late[at] as usize;
                self.weight[late] = (self.weight[late] * 3 / 2).min(1 << 17);
                self.lateness[late] += 1;
            }
            if self.failures >= self.patience {
                self.leave_out();
            }
        }
        if self.backward {
            std::mem::swap(&mut self.weight, &mut self.weight_backward);
        }
        if done.is_some_and(|finish| finish < best) {
            self.keep();
        }
    }
}

/// What the search was tuned to, on the public instances. None of it changes what is legal.
#[derive(Clone, Copy, Debug)]
struct Knobs {
    /// Fresh passes before anything is refined.
    first: u32,
    /// Percent of rounds that go on from an old plan.
    old: u32,
    /// Refinements after a fresh pass that came near.
    polish: u32,
    /// Refinements of an old plan.
    polish_old: u32,
    /// Turns the direction once in so many refinements.
    flip: u32,
    /// Noise of a fresh pass, hundredths.
    noise: u32,
    /// Noise of a refinement, hundredths.
    noise_refill: u32,
    /// Percent of refinements that reach over a stretch of time.
    local: u32,
    /// Length of that stretch, thousandths of the finish.
    wide: i32,
    /// How far back the other kind reaches, thousandths.
    back: i32,
    /// How much later than the best a pass may end, thousandths.
    limit: i32,
    /// Percent of fresh passes from the far end.
    backward: u32,
    /// Percent of the finish after which a station counts as late.
    zone: i32,
    /// Thousandths by which a late station weighs more.
    up: u32,
    /// Thousandths by which the others weigh less.
    down: u32,
    /// Percent of passes that book ahead.
    book: u32,
    /// How far they book, thousandths.
    booking: u32,
    /// Percent of refinements of one supply.
    single: u32,
    /// Percent of passes that fill all supplies together.
    joint: u32,
    /// Percent of passes that swap the order of supplies.
    shuffle: u32,
    /// Thousandths of refinements that may end later.
    worse: u32,
    /// By so much, thousandths.
    slack: i32,
    /// Starts afresh once in so many rounds; 0 for never.
    reset: u32,
    /// Percent of fresh passes that start from a good weighting.
    elite: u32,
    /// Noise of those, hundredths.
    noise_elite: u32,
}

const KNOBS: Knobs = Knobs {
    first: 100,
    old: 10,
    polish: 30,
    polish_old: 100,
    flip: 50,
    noise: 10,
    noise_refill: 10,
    local: 50,
    wide: 100,
    back: 100,
    limit: 30,
    backward: 50,
    zone: 95,
    up: 20,
    down: 3,
    book: 50,
    booking: 50,
    single: 60,
    joint: 30,
    shuffle: 20,
    worse: 0,
    slack: 5,
    reset: 0,
    elite: 0,
    noise_elite: 10,
};

impl Planner {
    /// Begins a search. The same site, seed and work give the same plan on every machine.
    pub fn new(site: &Site, seed: u64) -> Self {
        let problem = Problem::of(site);
        let searches = problem
            .parts
            .iter()
            .map(|part| Search::new(part, seed))
            .collect();
        let mut planner = Self {
            site: site.clone(),
            problem,
            searches,
            best: Plan::default(),
            work: 0,
        };
        for search in &mut planner.searches {
            while search.best.is_none() {
                search.fresh();
            }
            planner.work += search.filler.work;
        }
        planner.publish();
        planner
    }

    /// Searches on for about `units` of work.
    pub fn step(&mut self, units: u64) -> Progress {
        let target = self.work + units;
        let before_finish = self.finishes();
        while self.work < target {
            let Some(search) = self
                .searches
                .iter_mut()
                .max_by_key(|s| s.best.as_ref().map_or(NEVER, |b| b.finish))
            else {
                break;
            };
            let before = search.filler.work;
            search.step();
            self.work += search.filler.work - before;
        }
        if self.finishes() < before_finish {
            self.publish();
        }
        Progress {
            work: self.work,
            finish_second: self.best.finish_second,
            done: false,
        }
    }

    /// The best plan so far. It keeps every rule.
    pub fn best(&self) -> &Plan {
        &self.best
    }

    fn finishes(&self) -> i32 {
        self.searches
            .iter()
            .map(|s| s.best.as_ref().map_or(NEVER, |b| b.finish))
            .max()
            .unwrap_or(0)
    }

    /// No plan ends sooner than this second of the window.
    pub fn bound_second(&self) -> u32 {
        let least = self.problem.parts.iter().map(bound).max().unwrap_or(0);
        let unserved = self.best.unserved.len() > self.problem.unserved.len();
        // What is left out waters no longer: the bound is of what the plan serves.
        let served = self
            .searches
            .iter()
            .map(|search| bound(&search.part))
            .max()
            .unwrap_or(0);
        (if unserved { served } else { least }) as u32 * self.problem.tick_seconds
    }

    fn publish(&mut self) {
        let tick = self.problem.tick_seconds;
        let mut plan = Plan {
            unserved: self.problem.unserved.clone(),
            ..Plan::default()
        };
        for search in &self.searches {
            let part = &search.part;
            plan.unserved
                .extend(search.left_out.iter().map(|&station| Unserved {
                    station,
                    minutes: self.site.stations()[station].run_minutes,
                    reason: Reason::NoPlaceFound,
                }));
            let Some(best) = &search.best else { return };
            for (at, &station) in part.stations.iter().enumerate() {
                plan.runs.extend(part.runs(at).map(|run| Run {
                    start_second: best.starts[run] as u32 * tick,
                    seconds: part.length[run] as u32 * tick,
                    station,
                }));
            }
        }
        by_keys(&mut plan.runs, |run| {
            let rest = (u64::from(run.seconds) << 32) | run.station as u64;
            [run.start_second.into(), rest]
        });
        by_keys(&mut plan.unserved, |unserved| [unserved.station as u64, 0]);
        plan.finish_second = plan.runs.iter().map(Run::end_second).max().unwrap_or(0);
        let found = breaches(&self.site, &plan);
        // A plan that breaks a rule is our mistake: it is never given out, the last sound one stays.
        if found.is_empty() {
            self.best = plan;
        }
    }
}
