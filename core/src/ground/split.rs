//! A day's water as equal runs with soaks between them.

use super::event::{Event, Model, Start};
use super::soil::Ground;
use crate::quantity::PrecipitationRate;

/// Shortest run that is planned, minutes: a shorter one mostly fills the pipe. Common practice, no
/// source.
pub const SHORTEST_RUN_MINUTES: u32 = 2;
/// Longest run, minutes: a day.
pub const DAY_MINUTES: u32 = 1_440;
/// Soaks are planned in steps of so many minutes, up to [`LONGEST_SOAK_MINUTES`].
pub const SOAK_STEP_MINUTES: u32 = 5;
/// Longest soak that is planned, minutes.
pub const LONGEST_SOAK_MINUTES: u32 = 180;
/// Share of the water that a plan may lose to runoff: judgement.
pub const ACCEPTED_LOSS: f64 = 0.02;
/// Most runs that are looked at, beyond the fewest that the longest run allows: as many as a day
/// holds.
pub const MOST_RUNS: u32 = DAY_MINUTES / SHORTEST_RUN_MINUTES;

/// Equal runs, with a soak between each two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// How many runs; 0 where no water is wanted.
    pub runs: u32,
    /// Length of each, minutes.
    pub run_minutes: u32,
    /// From the end of a run to the start of the next, minutes; 0 for a single run.
    pub soak_minutes: u32,
    /// Share of the water applied that runs off, by the soil model at the station's rate.
    pub runoff_share: f64,
}

impl Split {
    /// No water at all.
    pub const NONE: Split = Split {
        runs: 0,
        run_minutes: 0,
        soak_minutes: 0,
        runoff_share: 0.0,
    };

    /// From the start of the first run to the end of the last, minutes.
    pub fn elapsed_minutes(&self) -> u32 {
        self.runs * self.run_minutes + self.runs.saturating_sub(1) * self.soak_minutes
    }
}

/// What a chosen sequence loses, replayed on ground at field capacity.
pub fn evaluate(
    ground: &Ground,
    rate: PrecipitationRate,
    runs: u32,
    run_minutes: u32,
    soak_minutes: u32,
) -> Split {
    let model = Model::new(ground, Start::Wet);
    let trial = Trial {
        model: &model,
        rate_mm_per_h: rate.to_mm_per_h(),
    };
    Split {
        runs,
        run_minutes,
        soak_minutes,
        runoff_share: trial
            .loss(runs, run_minutes, soak_minutes, 1.0)
            .unwrap_or(1.0),
    }
}

/// The soonest split that loses no more than accepted, or else the one that loses least.
///
/// `day_minutes` is the day's water in minutes at `rate`; `longest_run_minutes` is `None` where no
/// run of a day runs off. The second of the pair says whether the loss is accepted.
///
/// Every number of equal whole-minute runs is looked at, none above the longest nor below
/// [`SHORTEST_RUN_MINUTES`] (a smaller day's water takes one such run), and for each the shortest
/// soak that will do. Of those that end soonest the fewest runs are taken.
pub fn split(
    ground: &Ground,
    rate: PrecipitationRate,
    day_minutes: f64,
    longest_run_minutes: Option<u32>,
) -> (Split, bool) {
    split_on(
        &Model::new(ground, Start::Wet),
        rate,
        day_minutes,
        longest_run_minutes,
    )
}

/// [`split`] on a soil model of the caller's making.
pub fn split_on(
    model: &Model,
    rate: PrecipitationRate,
    day_minutes: f64,
    longest_run_minutes: Option<u32>,
) -> (Split, bool) {
    if day_minutes <= 0.0 {
        return (Split::NONE, true);
    }
    let longest = longest_run_minutes.unwrap_or(DAY_MINUTES).min(DAY_MINUTES);
    let trial = Trial {
        model,
        rate_mm_per_h: rate.to_mm_per_h(),
    };
    if longest < SHORTEST_RUN_MINUTES {
        let runs = runs_of(day_minutes, SHORTEST_RUN_MINUTES);
        return (
            trial.least_loss([(runs, SHORTEST_RUN_MINUTES)].into_iter()),
            false,
        );
    }
    let fewest = runs_of(day_minutes, longest);
    let most = runs_of(day_minutes, SHORTEST_RUN_MINUTES).min(fewest + MOST_RUNS);
    let mut length_before = 0;
    let candidates = (fewest..=most.max(fewest)).filter_map(move |runs| {
        let run_minutes = round_up(day_minutes / f64::from(runs)).max(SHORTEST_RUN_MINUTES);
        // More runs of the same length end later and, by `Trial::loss`, lose no smaller share.
        let news = run_minutes != length_before && run_minutes <= longest;
        length_before = run_minutes;
        news.then_some((runs, run_minutes))
    });
    match trial.soonest(candidates.clone()) {
        Some(split) => (split, true),
        None => (trial.least_loss(candidates), false),
    }
}

/// Whole minutes, up; a billionth of a minute too much is the arithmetic's, not the water's.
fn round_up(minutes: f64) -> u32 {
    (minutes - 1e-9).ceil() as u32
}

/// How many runs of a length cover some minutes.
fn runs_of(day_minutes: f64, run_minutes: u32) -> u32 {
    round_up(day_minutes / f64::from(run_minutes)).max(1)
}

/// So many runs, with the shortest soak between them that has not been tried.
struct Untried {
    runs: u32,
    run_minutes: u32,
    soak_minutes: u32,
    elapsed_minutes: u32,
}

impl Untried {
    /// In place of the elapsed minutes where every soak was tried.
    const NO_MORE: u32 = u32::MAX;

    fn new((runs, run_minutes): (u32, u32)) -> Self {
        Self {
            runs,
            run_minutes,
            soak_minutes: 0,
            elapsed_minutes: runs * run_minutes,
        }
    }

    fn lengthen_soak(&mut self) {
        self.soak_minutes += SOAK_STEP_MINUTES;
        if self.runs == 1 || self.soak_minutes > LONGEST_SOAK_MINUTES {
            self.elapsed_minutes = Self::NO_MORE;
        } else {
            self.elapsed_minutes += (self.runs - 1) * SOAK_STEP_MINUTES;
        }
    }
}

struct Trial<'a> {
    model: &'a Model,
    rate_mm_per_h: f64,
}

impl Trial<'_> {
    /// Share lost, or `None` as soon as it is sure to exceed `most`.
    ///
    /// No run loses less than the one before it. Equal runs after equal soaks find the ground no
    /// better: more water in it drains more slowly, so less suction comes back; and where water
    /// still stands, the same front goes on with a smaller intake.
    fn loss(&self, runs: u32, run_minutes: u32, soak_minutes: u32, most: f64) -> Option<f64> {
        let (run, soak) = (
            f64::from(run_minutes) / 60.0,
            f64::from(soak_minutes) / 60.0,
        );
        let applied = self.rate_mm_per_h * run * f64::from(runs);
        if applied <= 0.0 {
            return Some(0.0);
        }
        let accepted = most * applied;
        let mut event = Event::new(self.model);
        for left in (0..runs).rev() {
            let before = event.runoff_mm();
            event.run(self.rate_mm_per_h, run);
            let lost = event.runoff_mm();
            if lost + f64::from(left) * (lost - before) > accepted * (1.0 + 1e-9) {
                return None;
            }
            if left > 0 {
                event.run(0.0, soak);
            }
        }
        let share = event.runoff_mm() / applied;
        (share <= most).then_some(share)
    }

    /// Of the splits that lose no more than accepted, the one that is over soonest; of equals the
    /// fewest runs. `candidates` are in order of runs.
    ///
    /// The splits are tried in the order in which they are over, so the first that will do is it.
    fn soonest(&self, candidates: impl Iterator<Item = (u32, u32)>) -> Option<Split> {
        let mut open: Vec<Untried> = candidates.map(Untried::new).collect();
        loop {
            let next = open
                .iter_mut()
                .min_by_key(|untried| untried.elapsed_minutes)?;
            let Untried {
                runs,
                run_minutes,
                soak_minutes,
                elapsed_minutes,
            } = *next;
            if elapsed_minutes == Untried::NO_MORE {
                return None;
            }
            let loss = self.loss(runs, run_minutes, soak_minutes, ACCEPTED_LOSS);
            if let Some(runoff_share) = loss {
                return Some(Split {
                    runs,
                    run_minutes,
                    soak_minutes,
                    runoff_share,
                });
            }
            next.lengthen_soak();
        }
    }

    /// The split that loses least; among equals the one that is over soonest.
    fn least_loss(&self, candidates: impl Iterator<Item = (u32, u32)>) -> Split {
        let mut best = Split {
            runoff_share: 1.0,
            ..Split::NONE
        };
        for (runs, run_minutes) in candidates {
            let steps = if runs == 1 {
                0
            } else {
                LONGEST_SOAK_MINUTES / SOAK_STEP_MINUTES
            };
            for soak_minutes in (0..=steps).rev().map(|step| step * SOAK_STEP_MINUTES) {
                let loss = self.loss(runs, run_minutes, soak_minutes, best.runoff_share);
                let Some(runoff_share) = loss else { continue };
                let split = Split {
                    runs,
                    run_minutes,
                    soak_minutes,
                    runoff_share,
                };
                if best.runs == 0
                    || runoff_share < best.runoff_share
                    || split.elapsed_minutes() < best.elapsed_minutes()
                {
                    best = split;
                }
            }
        }
        best
    }
}
