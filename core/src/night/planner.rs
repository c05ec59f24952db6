//! A search that can be stopped and goes on: a slice of work at a time, the best plan at hand.

use super::bound::{Limit, bound};
use super::configuration::Configurations;
use super::legal::breaches;
use super::part::{Part, Problem};
use super::plan::{Plan, Reason, Run, Unserved};
use super::search::Search;
use super::site::Site;
use crate::order::by_keys;

/// One part in so many of the work goes into the bound while a plan is searched for.
const PROOF_SHARE: u64 = 12;

/// Searches for a plan, a slice of work at a time.
#[derive(Clone, Debug)]
pub struct Planner {
    site: Site,
    problem: Problem,
    searches: Vec<Search>,
    proofs: Vec<Proof>,
    best: Plan,
    work: u64,
    proof_work: u64,
}

/// Where a search stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Work done so far; one unit is about a look at one station.
    pub work: u64,
    /// End of the best plan so far.
    pub finish_second: u32,
    /// No plan ends sooner, as far as is proved.
    pub bound_second: u32,
    /// Nothing ends sooner: the plan ends when the bound says.
    pub done: bool,
}

/// The bound of one part, and what is left to sharpen it with.
#[derive(Clone, Debug)]
struct Proof {
    ticks: i64,
    limit: Limit,
    /// One for each supply, those still to be solved.
    programmes: Vec<Configurations>,
}

impl Proof {
    fn new(part: &Part) -> Self {
        let (ticks, limit) = bound(part);
        let supplies = 0..part.capacity.len();
        Self {
            ticks,
            limit,
            programmes: supplies
                .map(|supply| Configurations::new(part, supply))
                .collect(),
        }
    }

    /// Solves on for about `units` of work; gives the work done.
    fn step(&mut self, part: &Part, units: u64) -> u64 {
        let mut done = 0;
        while done < units
            && let Some(programme) = self.programmes.last_mut()
        {
            let before = programme.work;
            programme.step(part);
            if programme.done {
                let ticks = programme.bound(part);
                if ticks > self.ticks {
                    self.ticks = ticks;
                    self.limit = Limit::Supply {
                        supply: programme.supply,
                    };
                }
                done += programme.work - before;
                self.programmes.pop();
            } else {
                done += programme.work - before;
            }
        }
        done
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
            proofs: Vec::new(),
            best: Plan::default(),
            work: 0,
            proof_work: 0,
        };
        for search in &mut planner.searches {
            while search.best.is_none() {
                search.step();
            }
            planner.work += search.work();
        }
        planner.proofs = planner
            .searches
            .iter()
            .map(|search| Proof::new(&search.part))
            .collect();
        planner.publish();
        planner
    }

    /// Searches on for about `units` of work, less when nothing better exists.
    pub fn step(&mut self, units: u64) -> Progress {
        self.step_to(self.work.saturating_add(units))
    }

    /// Searches on until about `target` units of work have been done since the beginning, less when nothing better
    /// exists. However the way there is cut into slices, the plan is the same.
    pub fn step_to(&mut self, target: u64) -> Progress {
        let before = self.finish();
        while self.work < target && self.finish() > self.bound() {
            if self.proof_work * PROOF_SHARE < self.work {
                self.prove(self.work / PROOF_SHARE - self.proof_work + 1);
            }
            let latest = self
                .searches
                .iter_mut()
                .max_by_key(|search| search.finish());
            let Some(search) = latest else { break };
            let before = search.work();
            search.step();
            self.work += search.work() - before;
        }
        if self.finish() < before {
            self.publish();
        }
        Progress {
            work: self.work,
            finish_second: self.best.finish_second,
            bound_second: self.bound_second(),
            done: self.finish() <= self.bound(),
        }
    }

    /// Sharpens the bound by about `units` of work; beyond what is left to do nothing happens.
    pub fn prove(&mut self, units: u64) {
        let target = self.proof_work.saturating_add(units);
        for (proof, search) in self.proofs.iter_mut().zip(&self.searches) {
            let left = target.saturating_sub(self.proof_work);
            self.proof_work += proof.step(&search.part, left);
        }
        if self.proofs.iter().all(|proof| proof.programmes.is_empty()) {
            self.proof_work = self.proof_work.max(target);
        }
    }

    /// The best plan so far. It keeps every rule.
    pub fn best(&self) -> &Plan {
        &self.best
    }

    /// No plan that serves what the best plan serves ends sooner than this second of the window.
    pub fn bound_second(&self) -> u32 {
        (self.bound() as u32 * self.problem.tick_seconds).min(self.best.finish_second)
    }

    /// What makes the bound as late as it is.
    pub fn limit(&self) -> Limit {
        let latest = (0..self.proofs.len()).max_by_key(|&at| self.proofs[at].ticks);
        let Some(at) = latest else {
            return Limit::Nothing;
        };
        let part = &self.searches[at].part;
        match self.proofs[at].limit {
            Limit::Chain { station } => Limit::Chain {
                station: part.stations[station],
            },
            Limit::Supply { supply } => Limit::Supply {
                supply: part.supplies[supply],
            },
            Limit::Lanes { group } => Limit::Lanes {
                group: part.groups[group],
            },
            Limit::OpenAtOnce => Limit::OpenAtOnce,
            Limit::Nothing => Limit::Nothing,
        }
    }

    /// End of the best plan, ticks.
    fn finish(&self) -> i32 {
        self.searches.iter().map(Search::finish).max().unwrap_or(0)
    }

    /// Least possible end, ticks.
    fn bound(&self) -> i32 {
        self.proofs
            .iter()
            .map(|proof| proof.ticks as i32)
            .max()
            .unwrap_or(0)
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
        // A plan that breaks a rule is our mistake: it is never given out, the last sound one stays. Without one, nothing
        // is served.
        if found.is_empty() {
            self.best = plan;
        } else if self.best.runs.is_empty() {
            let left = self.site.stations().iter().enumerate();
            let left = left.map(|(station, entered)| Unserved {
                station,
                minutes: entered.run_minutes,
                reason: Reason::NoPlaceFound,
            });
            self.best.unserved = left.collect();
        }
    }
}
