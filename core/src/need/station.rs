//! What one station runs in a week: from the weather and the plant to minutes on a panel.
//!
//! The chain of the Irrigation Association's scheduling method: the week's need, the longest time
//! between waterings that the root zone bears, how many waterings that makes, and each watering cut
//! into runs that the ground lets in.

use crate::ground::cycle::{Cycle, cycle};
use crate::ground::soil::Ground;
use crate::ground::water::allowed_depletion_mm;
use crate::quantity::{
    Depth, Evapotranspiration, LeachingShare, Length, PlantFactor, PrecipitationRate, Share,
};
use crate::reference::{Source, Standing};

/// Where the chain comes from.
pub const CHAIN: Source = Source {
    work: "Irrigation Association, Landscape Irrigation Scheduling and Water Management, March \
           2005, cited by EPA WaterSense; leaching: Ayers & Westcot 1985, FAO Irrigation and \
           Drainage Paper 29, equation 7",
    place: "need, interval, run time",
    standing: Standing::FromMemory,
    note: "the run-time multiplier stands for unevenness, so no efficiency is applied besides",
};

/// Days in a week.
const WEEK_DAYS: f64 = 7.0;

/// A planting's thirst, and the ground it can draw on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thirst {
    /// Reference evapotranspiration.
    pub et: Evapotranspiration,
    /// What the planting uses of it.
    pub plant: PlantFactor,
    /// Rain of a week that reaches the roots (effective rain).
    pub week_rain: Depth,
    /// Depth of the roots.
    pub root_depth: Length,
    /// Share of the root zone's available water that may be used before a watering is due.
    pub allowed_depletion: Share,
    /// Share of the water applied that is to wash salt down.
    pub leaching: LeachingShare,
}

/// A week's water of one station, before it is cut into runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeekNeed {
    /// What the plants use beyond rain, mm; never below 0.
    pub plants_mm: f64,
    /// The same with the leaching water, which no plant needs: the net depth that must enter the
    /// root zone, mm.
    pub net_mm: f64,
    /// What may be drawn from the root zone before a watering is due, mm.
    pub allowed_depletion_mm: f64,
    /// Whole days that this lasts, one at least; `None` where nothing is drawn.
    pub longest_interval_days: Option<u32>,
    /// Waterings a week that keep to that interval, 1 to 7; 0 where nothing is needed.
    pub fewest_days: u32,
}

/// The week's need of a planting on some ground. Source: [`CHAIN`].
pub fn week_need(ground: &Ground, thirst: &Thirst) -> WeekNeed {
    let use_mm = WEEK_DAYS * thirst.et.to_mm_per_day() * thirst.plant.to_of_reference();
    let plants_mm = (use_mm - thirst.week_rain.to_mm()).max(0.0);
    let depletion_mm =
        allowed_depletion_mm(ground.soil, thirst.root_depth, thirst.allowed_depletion);
    let days = (plants_mm > 0.0).then(|| {
        // A billionth of a day too little is the arithmetic's.
        let days = (depletion_mm / (plants_mm / WEEK_DAYS) + 1e-9).floor();
        days.max(1.0) as u32
    });
    WeekNeed {
        plants_mm,
        net_mm: plants_mm / (1.0 - thirst.leaching.to_of_one()),
        allowed_depletion_mm: depletion_mm,
        longest_interval_days: days,
        fewest_days: days.map_or(0, |days| 7_u32.div_ceil(days)),
    }
}

/// What a station is to be set to for a week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StationWeek {
    /// The need it serves.
    pub need: WeekNeed,
    /// Waterings a week; 0 where nothing is needed.
    pub days: u32,
    /// Water applied in a week, mm: the net need times the run-time multiplier.
    pub applied_mm: f64,
    /// Minutes a week, unrounded.
    pub run_minutes: f64,
    /// Whether a watering, spread over so few days, brings more than the root zone may have lost.
    pub exceeds_depletion: bool,
    /// Each watering's runs and soaks.
    pub cycle: Cycle,
}

/// The whole chain for one station. `days` are the waterings a week that are wanted or allowed;
/// without them the fewest that the root zone bears are taken.
/// `multiplier` (1 or more) is the run-time multiplier for unevenness: from the low quarter by
/// [`run_time_multiplier`](crate::rate::uniformity::run_time_multiplier), or measured with cans.
pub fn station_week(
    ground: &Ground,
    rate: PrecipitationRate,
    thirst: &Thirst,
    multiplier: f64,
    days: Option<u32>,
) -> StationWeek {
    let need = week_need(ground, thirst);
    let days = match need.fewest_days {
        0 => 0,
        fewest => days.unwrap_or(fewest).clamp(1, 7),
    };
    let applied_mm = need.net_mm * multiplier;
    let day_mm = applied_mm / f64::from(days.max(1));
    StationWeek {
        need,
        days,
        applied_mm,
        run_minutes: 60.0 * applied_mm / rate.to_mm_per_h(),
        exceeds_depletion: days > 0
            && need.plants_mm / f64::from(days) > need.allowed_depletion_mm * (1.0 + 1e-9),
        cycle: cycle(ground, rate, Depth::mm(day_mm)),
    }
}
