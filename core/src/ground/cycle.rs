//! The longest run before runoff, and a day's water within it.

use super::first_run::FirstRun;
use super::protocol::{Protocol, protocol};
use super::soil::{Condition, Ground};
use super::split::{DAY_MINUTES, MOST_RUNS, Split, evaluate, split};
use crate::quantity::{Depth, PrecipitationRate};

/// The wettest part of a spray pattern over its mean rate: judgement. The soil model's longest run
/// is that of the wettest part.
pub const WETTEST_PART: f64 = 1.3;

/// Which of two limits set the longest run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Governs {
    /// The trade's test protocol.
    Protocol,
    /// The soil model.
    SoilModel,
}

impl Governs {
    /// As the JSON door spells it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Protocol => "protocol",
            Self::SoilModel => "soil_model",
        }
    }
}

/// How long a run may last on some ground at some rate. Times in minutes, unrounded; `None` is no
/// limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// By the trade's protocol for the soil class. A measured intake does not change it: it is a
    /// figure of the class, and the shorter of two limits holds.
    pub protocol_run_minutes: Option<f64>,
    /// The protocol's soak for that run.
    pub protocol_soak_minutes: f64,
    /// By the soil model, first run, at [`WETTEST_PART`] times the rate.
    pub model_first_run_minutes: Option<f64>,
    /// When water would first stand in that run.
    pub model_ponding_minutes: Option<f64>,
    /// The shorter of the two, whole minutes, rounded down; `None` where a run of 24 h would not
    /// run off by either.
    pub longest_run_minutes: Option<u32>,
    /// Which of the two that was; `None` with no limit.
    pub governs: Option<Governs>,
}

/// How long a run may last.
pub fn limits(ground: &Ground, rate: PrecipitationRate) -> Limits {
    let protocol: Protocol = protocol(ground.soil, ground.slope);
    let protocol_run_minutes = protocol.run_minutes(rate);
    let first_run = FirstRun::of(
        ground.intake.to_mm_per_h(),
        ground.suction_mm,
        ground.storage_mm,
        rate.to_mm_per_h() * WETTEST_PART,
    );
    let model_first_run_minutes = first_run.map(|run| run.runoff_minutes);
    let by_protocol = protocol_run_minutes.unwrap_or(f64::INFINITY);
    let by_model = model_first_run_minutes.unwrap_or(f64::INFINITY);
    let shorter = by_protocol.min(by_model);
    let limited = shorter < f64::from(DAY_MINUTES);
    let governs = if by_protocol <= by_model {
        Governs::Protocol
    } else {
        Governs::SoilModel
    };
    Limits {
        protocol_run_minutes,
        protocol_soak_minutes: protocol.soak_minutes(),
        model_first_run_minutes,
        model_ponding_minutes: first_run.map(|run| run.ponding_minutes),
        // A billionth of a minute too little is the arithmetic's, not the water's.
        longest_run_minutes: limited.then(|| (shorter + 1e-9).floor() as u32),
        governs: limited.then_some(governs),
    }
}

/// The longest run, and a day's water split so that it stays on the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycle {
    /// How long a run may last, by whom.
    pub limits: Limits,
    /// The day's water as runs and soaks.
    pub split: Split,
    /// No split keeps the loss within [`ACCEPTED_LOSS`](super::split::ACCEPTED_LOSS): the station
    /// lays water on faster than this ground takes it. The split is then the one that loses least.
    pub too_fast: bool,
    /// Where no limit was found: the longest run if the ground proves compacted, minutes. `None`
    /// where there is a limit anyway, or none even then.
    pub longest_run_if_compacted_minutes: Option<u32>,
}

/// Longest run, soak and runs for a day's water.
///
/// `day` is what the station is to lay down that day, evenness allowed for. The split is replayed
/// by the soil model at the station's own rate, from field capacity.
pub fn cycle(ground: &Ground, rate: PrecipitationRate, day: Depth) -> Cycle {
    let limits = limits(ground, rate);
    let day_minutes = 60.0 * day.to_mm() / rate.to_mm_per_h();
    let (split, accepted) = split(ground, rate, day_minutes, limits.longest_run_minutes);
    let longest_run_if_compacted_minutes = match limits.longest_run_minutes {
        Some(_) => None,
        None => {
            let compacted = Ground::of_class(ground.soil, ground.slope, Condition::Compacted);
            self::limits(&compacted, rate).longest_run_minutes
        }
    };
    Cycle {
        limits,
        split,
        too_fast: !accepted,
        longest_run_if_compacted_minutes,
    }
}

/// The day's water as the protocol alone would have it: runs no longer than its longest, its soak
/// between them, both in whole minutes; and what the soil model expects that to lose. `None` where
/// the protocol has no limit.
pub fn by_protocol(ground: &Ground, rate: PrecipitationRate, day: Depth) -> Option<Split> {
    let protocol = protocol(ground.soil, ground.slope);
    let longest = protocol.run_minutes(rate)?.floor();
    let longest = longest.clamp(1.0, f64::from(DAY_MINUTES));
    let day_minutes = 60.0 * day.to_mm() / rate.to_mm_per_h();
    if day_minutes <= 0.0 {
        return Some(Split::NONE);
    }
    let runs = (day_minutes / longest - 1e-9)
        .ceil()
        .clamp(1.0, f64::from(MOST_RUNS));
    let run_minutes = (day_minutes / runs - 1e-9).ceil().max(1.0);
    let soak_minutes = if runs > 1.0 {
        protocol.soak_minutes().ceil()
    } else {
        0.0
    };
    Some(evaluate(
        ground,
        rate,
        runs as u32,
        run_minutes as u32,
        soak_minutes as u32,
    ))
}
