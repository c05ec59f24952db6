//! The search for one part: fill, learn which stations come late, refine, turn time around, again.
//!
//! A round begins with a *fresh pass*: the whole part is filled from an empty night, with every station's worth
//! shaken a little. Stations that end late in a pass weigh more in the next: so the order is learned that leaves no
//! long chain and no awkward valve for the end. A pass that comes near the best plan is *refined*: the end from some
//! moment on, or a stretch of the middle together with the end, is filled anew, and kept when it ends no later. The
//! problem is the same seen from the far end, so every other pass runs backward in time, with weights of its own.
//!
//! Where several supplies share valves, a pass fills all of them at once, or one of them alone; the others are then
//! placed around it when it ends sooner than the best plan.

use super::bound::{bound, supply_bound};
use super::fill::{Filler, Reach, Starts, Taste};
use super::part::{NEVER, Part};
use super::random::Random;
use crate::order::{by_keys, signed};

/// Weight of a station that is neither late nor early.
const EVEN: u32 = 1024;
/// Fresh passes that may fail before a station is given up, when no plan at all is known.
const PATIENCE: u32 = 4096;

/// Up to so many runs, waiting is tried much.
const SMALL: usize = 24;

/// What the search was tuned to, on invented sites. None of it changes what is legal.
#[derive(Clone, Copy, Debug)]
pub(super) struct Knobs {
    /// Fresh passes before anything is refined.
    pub(super) first: u32,
    /// Percent of rounds that go on from the best plan.
    pub(super) old: u32,
    /// Refinements after a fresh pass that came near.
    pub(super) polish: u32,
    /// Refinements of the best plan.
    pub(super) polish_old: u32,
    /// Turns the direction once in so many refinements.
    pub(super) flip: u32,
    /// Noise of a fresh pass, hundredths.
    pub(super) noise: u32,
    /// Noise of a refinement, hundredths.
    pub(super) noise_refill: u32,
    /// Percent of refinements that reach over a stretch of the middle.
    pub(super) local: u32,
    /// Longest such stretch, thousandths of the finish.
    pub(super) wide: i32,
    /// Longest end that is filled together with it, thousandths of the finish.
    pub(super) back: i32,
    /// How much later than the best plan a pass may end, thousandths.
    pub(super) limit: i32,
    /// Percent of fresh passes from the far end.
    pub(super) backward: u32,
    /// Thousandths of the finish after which a station counts as late.
    pub(super) zone: i32,
    /// Thousandths by which a late station weighs more.
    pub(super) up: u32,
    /// Thousandths by which the others weigh less.
    pub(super) down: u32,
    /// Percent of passes that keep room for stations without time to lose.
    pub(super) book: u32,
    /// The most time to lose that still counts as none, thousandths of the finish.
    pub(super) booking: i32,
    /// Percent of refinements of one supply, where there are several.
    pub(super) single: u32,
    /// Percent of fresh passes that fill all supplies together.
    pub(super) joint: u32,
    /// Percent of passes of one supply that take the one which ends last.
    pub(super) critical: u32,
    /// Attempts to place the other supplies around one.
    pub(super) attempts: u32,
    /// Thousandths of refinements that may end later.
    pub(super) worse: u32,
    /// By so much, thousandths of the finish.
    pub(super) slack: i32,
    /// Percent of passes in which an open valve costs something; half of that on one supply.
    pub(super) tolls: u32,
    /// The most that it costs, hundredths of the supply's capacity.
    pub(super) toll: u32,
    /// How much more a unit of a large flow is worth, hundredths for a flow of the whole capacity.
    pub(super) big: u32,
    /// How much more a station is worth that must start now, hundredths.
    pub(super) urgency: u32,
    /// Percent of fresh passes in which some stations wait though they could start.
    pub(super) waits: u32,
    /// The same where there are many runs and a plan is known.
    pub(super) waits_large: u32,
    /// Sets looked at for each choice.
    pub(super) nodes: u32,
}

/// The setting in use.
pub(super) const KNOBS: Knobs = Knobs {
    first: 40,
    old: 10,
    polish: 30,
    polish_old: 400,
    flip: 50,
    noise: 40,
    noise_refill: 40,
    local: 20,
    wide: 100,
    back: 30,
    limit: 30,
    backward: 50,
    zone: 850,
    up: 10,
    down: 6,
    book: 50,
    booking: 100,
    single: 85,
    joint: 50,
    critical: 70,
    attempts: 3,
    worse: 30,
    slack: 15,
    tolls: 50,
    toll: 15,
    big: 50,
    urgency: 400,
    waits: 50,
    waits_large: 2,
    nodes: 200,
};

/// The search for one part.
#[derive(Clone, Debug)]
pub(super) struct Search {
    /// What is planned; stations that were given up are no longer in it.
    pub(super) part: Part,
    /// The part as seen in the direction of `current`.
    view: Part,
    backward: bool,
    filler: Filler,
    random: Random,
    knobs: Knobs,
    /// What each station weighs in passes forward and backward.
    weight: [Vec<u32>; 2],
    taste: Taste,
    /// The best plan, forward.
    pub(super) best: Option<Starts>,
    /// End of each supply in it.
    best_ends: Vec<i32>,
    /// The plan that is refined.
    current: Starts,
    /// The only supply that `current` holds, when it is not a whole plan.
    alone: Option<usize>,
    trial: Vec<i32>,
    blank: Vec<i32>,
    base: Vec<i32>,
    order: Vec<usize>,
    bounds: Vec<i64>,
    ends: Vec<i32>,
    rounds: u32,
    polish: u32,
    failures: u32,
    patience: u32,
    lateness: Vec<u32>,
    /// Stations of the site that no plan was found for.
    pub(super) left_out: Vec<usize>,
}

impl Search {
    pub(super) fn new(part: &Part, seed: u64) -> Self {
        let knobs = KNOBS;
        let supplies = part.capacity.len();
        let mut search = Self {
            part: part.clone(),
            view: part.clone(),
            backward: false,
            filler: Filler::default(),
            random: Random::new(seed),
            knobs,
            weight: Default::default(),
            taste: Taste {
                density: Vec::new(),
                urgency: knobs.urgency as f32 / 100.0,
                booking: -1,
                turn: (0, 0),
                toll: vec![0.0; supplies],
                nodes: knobs.nodes,
            },
            best: None,
            best_ends: Vec::new(),
            current: Starts::default(),
            alone: None,
            trial: Vec::new(),
            blank: Vec::new(),
            base: Vec::new(),
            order: Vec::new(),
            bounds: (0..supplies)
                .map(|supply| supply_bound(part, supply))
                .collect(),
            ends: Vec::new(),
            rounds: 0,
            polish: 0,
            failures: 0,
            patience: PATIENCE,
            lateness: Vec::new(),
            left_out: Vec::new(),
        };
        search.reset();
        search
    }

    /// Sets up what depends on which stations there are.
    fn reset(&mut self) {
        let count = self.part.count();
        self.view = self.part.clone();
        self.weight = [vec![EVEN; count], vec![EVEN; count]];
        self.lateness = vec![0; count];
        self.blank = vec![NEVER; self.part.length.len()];
        self.trial.clone_from(&self.blank);
        self.failures = 0;
    }

    /// Work done so far.
    pub(super) fn work(&self) -> u64 {
        self.filler.work
    }

    /// End of the best plan, or [`NEVER`].
    pub(super) fn finish(&self) -> i32 {
        self.best.as_ref().map_or(NEVER, |best| best.finish)
    }

    /// One pass or one refinement.
    pub(super) fn step(&mut self) {
        if self.polish > 0 {
            self.polish -= 1;
            if self.random.below(self.knobs.flip) == 0 {
                self.flip();
            }
            self.refine();
            return;
        }
        self.rounds += 1;
        let settled = self.best.is_some() && self.rounds > self.knobs.first;
        if settled && self.random.below(100) < self.knobs.old {
            self.load_best();
            self.polish = self.knobs.polish_old;
        } else {
            self.fresh();
        }
    }

    fn load_best(&mut self) {
        let Some(best) = &self.best else { return };
        self.alone = None;
        self.current.clone_from(best);
        self.view = self.part.clone();
        self.backward = false;
        if self.random.below(2) == 0 {
            self.flip();
        }
    }

    /// Fills the whole part, or one supply of it, from an empty night.
    fn fresh(&mut self) {
        let best = self.finish();
        let known = best < NEVER;
        self.backward = known && self.random.below(100) < self.knobs.backward;
        self.view = self.part.clone();
        if self.backward {
            self.view.mirror(best);
        }
        self.filler.target = if known {
            best
        } else {
            bound(&self.part).0 as i32
        };
        let limit = if known {
            best + thousandths(best, self.knobs.limit)
        } else {
            NEVER
        };
        let side = usize::from(self.backward);
        self.season(side, self.knobs.noise);
        let waits = if known && self.part.length.len() > SMALL {
            self.knobs.waits_large
        } else {
            self.knobs.waits
        };
        if self.random.below(100) < waits {
            self.hold_back(self.filler.target);
        }
        let supplies = self.view.capacity.len();
        let together = supplies == 1 || !known || self.random.below(100) < self.knobs.joint;
        self.alone = if together {
            None
        } else {
            Some(self.pick_supply())
        };
        let reach = Reach {
            supplies: self.alone.map_or(u64::MAX, |supply| 1 << supply),
            ..Reach::ALL
        };
        let done = self.filler.fill(
            &self.view,
            &self.blank,
            &mut self.trial,
            reach,
            limit,
            &self.taste,
            &mut self.random,
        );
        match done {
            Some(finish) => {
                std::mem::swap(&mut self.current.starts, &mut self.trial);
                self.trial.resize(self.blank.len(), NEVER);
                self.current.finish = finish;
                self.set_ends();
                self.learn(side);
                if self.rounds > self.knobs.first {
                    self.polish = self.knobs.polish;
                }
                if finish < best {
                    self.keep();
                }
            }
            None if !known => self.learn_failure(side),
            None => {}
        }
    }

    /// Lets some stations wait though they could start: the earliest plan may want that.
    fn hold_back(&mut self, finish: i32) {
        let one_in = 1 + self.random.below(6);
        let most = 1 + self.random.below(1 + finish.max(1) as u32 / 2);
        for at in 0..self.view.count() {
            if self.random.below(one_in) == 0 {
                let wait = self.random.below(most) as i32;
                if self.random.below(2) == 0 {
                    self.view.from[at] += wait;
                } else {
                    self.view.soak[at] += wait;
                }
            }
        }
        self.view.set_tails();
    }

    /// The supply that ends last in the best plan, or any.
    fn pick_supply(&mut self) -> usize {
        let supplies = self.view.capacity.len();
        if self.random.below(100) < self.knobs.critical {
            last_of(&self.best_ends)
        } else {
            self.random.below(supplies as u32) as usize
        }
    }

    /// Stations that end late on their supply weigh more, the others less.
    fn learn(&mut self, side: usize) {
        for at in 0..self.part.count() {
            let run = self.view.first[at + 1] as usize - 1;
            let start = self.current.starts[run];
            if start >= NEVER {
                continue;
            }
            let finish = self.ends[self.view.supply[at] as usize];
            let weight = &mut self.weight[side][at];
            *weight = if start + self.view.length[run] > thousandths(finish, self.knobs.zone) {
                (*weight * (1000 + self.knobs.up) / 1000).min(8 * EVEN)
            } else {
                (*weight * (1000 - self.knobs.down) / 1000).max(EVEN / 2)
            };
        }
    }

    /// Stations that missed their window weigh much more; one that always does is given up in the end.
    fn learn_failure(&mut self, side: usize) {
        self.failures += 1;
        for &late in &self.filler.late {
            let late = late as usize;
            self.weight[side][late] = (self.weight[side][late] * 3 / 2).min(128 * EVEN);
            self.lateness[late] += 1;
        }
        if self.failures < self.patience {
            return;
        }
        let worst = (0..self.part.count()).max_by_key(|&at| self.lateness[at]);
        if let Some(worst) = worst {
            self.left_out.push(self.part.stations[worst]);
            self.part = self.part.without(worst);
            self.patience = (self.patience / 2).max(8);
            self.reset();
        }
    }

    /// Fills a part of the current plan anew.
    fn refine(&mut self) {
        self.set_ends();
        let (supplies, finish) = self.scope();
        self.filler.target = finish;
        self.season(usize::from(self.backward), self.knobs.noise_refill);
        let reach = self.reach(supplies, finish);
        let mut limit = finish;
        if self.random.below(1000) < self.knobs.worse {
            let slack = thousandths(finish, self.knobs.slack).max(1);
            limit += 1 + self.random.below(slack as u32) as i32;
        }
        let done = self.filler.fill(
            &self.view,
            &self.current.starts,
            &mut self.trial,
            reach,
            limit,
            &self.taste,
            &mut self.random,
        );
        let Some(done) = done else { return };
        std::mem::swap(&mut self.current.starts, &mut self.trial);
        self.set_ends();
        self.current.finish = self.ends.iter().copied().max().unwrap_or(0);
        if done < finish {
            self.polish = self.polish.max(self.knobs.polish);
        }
        if self.current.finish < self.finish() {
            self.polish = self.polish.max(self.knobs.polish_old);
            self.keep();
        }
    }

    /// Which supplies are filled anew, and when they end now.
    fn scope(&mut self) -> (u64, i32) {
        let supplies = self.ends.len();
        if let Some(alone) = self.alone {
            return (1 << alone, self.ends[alone]);
        }
        let dice = self.random.below(100);
        if supplies == 1 || dice >= self.knobs.single {
            return (u64::MAX, self.current.finish);
        }
        let supply = if dice < self.knobs.single * 3 / 4 {
            last_of(&self.ends)
        } else {
            self.random.below(supplies as u32) as usize
        };
        (1 << supply, self.ends[supply])
    }

    /// From when on the plan is filled anew: mostly a short end, sometimes a stretch of the middle too.
    fn reach(&mut self, supplies: u64, finish: i32) -> Reach {
        let some = |random: &mut Random, most: i32| random.below(most.max(1) as u32) as i32;
        if self.random.below(100) < self.knobs.local {
            let from = some(&mut self.random, finish);
            let until = from + 1 + some(&mut self.random, thousandths(finish, self.knobs.wide));
            let tail = finish - 1 - some(&mut self.random, thousandths(finish, self.knobs.back));
            Reach {
                supplies,
                from,
                until,
                tail,
            }
        } else {
            let (one, other) = (self.random.below(1024), self.random.below(1024));
            let back = ((i64::from(finish) * i64::from(one) * i64::from(other)) >> 20) as i32 + 1;
            Reach {
                supplies,
                from: (finish - back).max(0),
                ..Reach::ALL
            }
        }
    }

    /// Sets what stations are worth in the next pass: what was learned, shaken.
    fn season(&mut self, side: usize, noise: u32) {
        let finish = self.filler.target;
        self.taste.booking = -1;
        if self.random.below(100) < self.knobs.book {
            let spread = 1 + thousandths(finish, self.knobs.booking) as u32;
            let spread = self.random.below(spread);
            self.taste.booking = self.random.below(1 + spread) as i32;
        }
        let supplies = self.taste.toll.len();
        if supplies > 1 {
            let turns = self.random.below(2) * self.random.below(1 << 16);
            self.taste.turn = (self.random.below(supplies as u32), turns);
        }
        let scarce = self.part.open_limit < self.part.count() as i32;
        let tolls = self.knobs.tolls >> u32::from(self.taste.toll.len() == 1);
        for (toll, &capacity) in self.taste.toll.iter_mut().zip(&self.part.capacity) {
            *toll = 0.0;
            if scarce && self.random.below(100) < tolls {
                let share = self.random.below(1000) as f32 / 1000.0;
                *toll = share * share * self.knobs.toll as f32 / 100.0 * capacity as f32;
            }
        }
        self.taste.density.clear();
        for at in 0..self.part.count() {
            let capacity = self.part.capacity[self.part.supply[at] as usize];
            let big = self.knobs.big as f32 / 100.0 * self.part.flow[at] as f32 / capacity as f32;
            let shake = self.random.below(1024) as f32 * noise as f32 / 102_400.0;
            let weight = self.weight[side][at] as f32 / EVEN as f32;
            self.taste
                .density
                .push(weight * (1.0 + big) * (1.0 + shake));
        }
    }

    /// End of the last run on each supply of the current plan.
    fn set_ends(&mut self) {
        self.ends.clear();
        self.ends.resize(self.view.capacity.len(), 0);
        for at in 0..self.view.count() {
            let run = self.view.first[at + 1] as usize - 1;
            let start = self.current.starts[run];
            if start < NEVER {
                let end = &mut self.ends[self.view.supply[at] as usize];
                *end = (*end).max(start + self.view.length[run] + self.view.lead[at]);
            }
        }
    }

    /// Turns time around.
    fn flip(&mut self) {
        let end = self.current.finish;
        let part = &self.view;
        self.base.clone_from(&self.current.starts);
        for station in 0..part.count() {
            let runs = part.runs(station);
            for run in runs.clone() {
                let start = self.base[run];
                self.current.starts[runs.start + runs.end - 1 - run] = if start >= NEVER {
                    NEVER
                } else {
                    end - (start + part.length[run])
                };
            }
        }
        self.backward = !self.backward;
        self.view = self.part.clone();
        if self.backward {
            self.view.mirror(end);
        }
    }

    /// Makes the current plan the best, when it is whole or can be made whole.
    fn keep(&mut self) {
        if self.alone.is_some() && !self.complete() {
            return;
        }
        self.set_ends();
        self.best_ends.clone_from(&self.ends);
        let backward = self.backward;
        if backward {
            self.flip();
        }
        self.best = Some(self.current.clone());
        if backward {
            self.flip();
        }
    }

    /// Places the other supplies around the one that was planned alone, sooner than the best plan.
    fn complete(&mut self) -> bool {
        let Some(alone) = self.alone.take() else {
            return true;
        };
        self.polish = 0;
        let limit = self.finish() - 1;
        let supplies = self.view.capacity.len();
        for attempt in 0..self.knobs.attempts {
            self.order.clear();
            self.order
                .extend((0..supplies).filter(|&supply| supply != alone));
            let bounds = &self.bounds;
            by_keys(&mut self.order, |&supply| {
                [u64::MAX - signed(bounds[supply]), 0]
            });
            if attempt > 0 {
                let other = self.random.below(supplies as u32 - 1) as usize;
                self.order.swap(0, other);
            }
            self.filler.target = limit;
            self.season(usize::from(self.backward), self.knobs.noise);
            self.base.clone_from(&self.current.starts);
            let placed = (0..self.order.len()).all(|at| {
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
                self.base.clone_from(&self.trial);
                done.is_some()
            });
            if placed {
                self.current.starts.clone_from(&self.base);
                self.set_ends();
                self.current.finish = self.ends.iter().copied().max().unwrap_or(0);
                self.polish = self.knobs.polish_old;
                return true;
            }
        }
        false
    }
}

/// So many thousandths of a time.
fn thousandths(time: i32, share: i32) -> i32 {
    (i64::from(time) * i64::from(share) / 1000) as i32
}

/// The place of the latest.
fn last_of(ends: &[i32]) -> usize {
    (0..ends.len()).max_by_key(|&at| ends[at]).unwrap_or(0)
}
