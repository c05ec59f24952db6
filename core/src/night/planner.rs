//! The search: filling, again and again, from both ends.

use super::bound::bound;
use super::fill::{Filler, Starts};
use super::legal::breaches;
use super::part::{NEVER, Part, Problem};
use super::plan::{Plan, Reason, Run, Unserved};
use super::random::Random;
use super::site::Site;
use crate::order::by_keys;

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
    best: Option<Starts>,
    current: Starts,
    trial: Vec<i32>,
    rounds: u32,
    failures: u32,
    patience: u32,
    lateness: Vec<u32>,
    /// Stations of the site that no plan was found for.
    left_out: Vec<usize>,
}

impl Search {
    fn new(part: &Part, seed: u64) -> Self {
        let mut filler = Filler::default();
        filler.tries = 8;
        Self {
            part: part.clone(),
            view: part.clone(),
            backward: false,
            view_end: 0,
            filler,
            random: Random::new(seed),
            weight: vec![1024; part.count()],
            best: None,
            current: Starts::default(),
            trial: vec![NEVER; part.length.len()],
            rounds: 0,
            failures: 0,
            patience: 4096,
            lateness: vec![0; part.count()],
            left_out: Vec::new(),
        }
    }

    fn step(&mut self) {
        if self.best.is_none() || self.rounds < 20 {
            self.rounds += 1;
            return self.fresh();
        }
        self.rounds += 1;
        if self.rounds.is_multiple_of(50) {
            self.flip();
        }
        let finish = self.current.finish;
        let u = i64::from(self.random.below(1024));
        let v = i64::from(self.random.below(1024));
        let back = ((i64::from(finish) * u * v) >> 20) as i32 + 1;
        let cut = (finish - back).max(0);
        self.trial.copy_from_slice(&self.current.starts);
        self.filler.target = finish;
        let done = self.filler.fill(
            &self.view,
            &mut self.trial,
            cut,
            finish,
            &self.weight,
            &mut self.random,
        );
        if let Some(done) = done {
            let better = done < finish;
            std::mem::swap(&mut self.current.starts, &mut self.trial);
            self.current.finish = done;
            if better {
                self.keep();
            }
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
            self.lateness = vec![0; self.part.count()];
            self.trial = vec![NEVER; self.part.length.len()];
            self.failures = 0;
            self.patience = (self.patience / 2).max(8);
        }
    }

    fn fresh(&mut self) {
        let limit = self.best.as_ref().map_or(NEVER, |best| best.finish - 1);
        self.trial.fill(NEVER);
        self.filler.target = if limit < NEVER {
            limit
        } else {
            bound(&self.part)
        };
        let done = self.filler.fill(
            &self.part,
            &mut self.trial,
            0,
            limit,
            &self.weight,
            &mut self.random,
        );
        if done.is_none() && self.best.is_none() {
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
        if let Some(finish) = done {
            self.best = Some(Starts {
                starts: self.trial.clone(),
                finish,
            });
            self.current = self.best.clone().unwrap();
            self.view = self.part.clone();
            self.backward = false;
        }
    }
}

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
        self.publish();
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
        if found.is_empty() {
            self.best = plan;
        } else {
            debug_assert!(false, "{found:?}");
        }
    }
}
