//! A search that can be stopped and goes on: a slice of work at a time, the best plan at hand.

use super::bound::bound;
use super::legal::breaches;
use super::part::Problem;
use super::plan::{Plan, Reason, Run, Unserved};
use super::search::Search;
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
                search.step();
            }
            planner.work += search.work();
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
                .max_by_key(|search| search.finish())
            else {
                break;
            };
            let before = search.work();
            search.step();
            self.work += search.work() - before;
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
        self.searches.iter().map(Search::finish).max().unwrap_or(0)
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
