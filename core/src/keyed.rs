//! What is keyed now: the water that present programs lay down, against what the plants need and
//! against a plan.
//!
//! In comes a [`Request`] of what a controller holds (see [`replay`](crate::replay)) and, beside
//! each station, what is known of its ground and need; out come minutes, depth, litres and expected
//! runoff of a mean week, each station short or over, supplies drawn beyond what they carry, and
//! the findings of the replay. [`year`](mod@year) counts a year's water month by month, and
//! [`money`] what the difference to a plan costs.
//!
//! A mean week is all that fires in the hours looked at, over their number of weeks: four weeks
//! even out odd, even and interval days well enough. Rain, and adjustment by weather, are not
//! known here.

pub use crate::money;
mod watering;
pub mod year;

use crate::ground::Ground;
use crate::order::by_keys;
use crate::quantity::{Area, Depth, PrecipitationRate};
use crate::reference::{Source, Standing};
use crate::replay::{Kind, Replay, Request, Run, replay};

pub use watering::EVENT;

/// Hours of a week.
const WEEK_HOURS: f64 = 168.0;

/// Where [`Against::Fits`] begins and ends.
pub const FITS: Source = Source {
    work: "no publication",
    place: "within a tenth of the need",
    standing: Standing::Judgement,
    note: "reference evapotranspiration and plant factors are not known better than that",
};

/// Share of the need by which a week may differ and still fit. Source: [`FITS`].
const FITS_SHARE: f64 = 0.1;

/// What is known of a station beside what the controller holds; all of it may be missing.
#[derive(Clone, Debug, Default)]
pub struct Place {
    /// How fast it lays water on its ground.
    pub rate: Option<PrecipitationRate>,
    /// Its soil and slope.
    pub ground: Option<Ground>,
    /// The ground it wets; asked for litres where the station has no flow.
    pub area: Option<Area>,
    /// What it should lay down a week: the plants' need less rain, times the run-time multiplier.
    pub week_need: Option<Depth>,
}

/// A week's depth against the need.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// Less than the need by more than a tenth.
    Short,
    /// Within a tenth.
    Fits,
    /// More than the need by more than a tenth.
    Over,
}

impl Against {
    /// As the JSON door spells it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Short => "short",
            Self::Fits => "fits",
            Self::Over => "over",
        }
    }

    fn of(week_mm: f64, need_mm: f64) -> Self {
        if week_mm < need_mm * (1.0 - FITS_SHARE) {
            Self::Short
        } else if week_mm > need_mm * (1.0 + FITS_SHARE) {
            Self::Over
        } else {
            Self::Fits
        }
    }
}

/// One station in a mean week. What cannot be said for want of an entry is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StationWeek {
    /// Times it opens a week.
    pub openings: f64,
    /// Minutes it is open a week.
    pub minutes: f64,
    /// Its longest single run, seconds.
    pub longest_run_seconds: u32,
    /// Depth it lays down a week, mm.
    pub depth_mm: Option<f64>,
    /// How that stands to the need.
    pub against: Option<Against>,
    /// Depth above the need, below it when negative, mm a week.
    pub over_mm: Option<f64>,
    /// Litres a week: by its flow, or by depth and area.
    pub litres: Option<f64>,
    /// Share of the applied water that is expected to run off, by the soil model from field
    /// capacity.
    pub runoff_share: Option<f64>,
}

/// A supply that is drawn beyond its capacity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverSupply {
    /// Place of the supply in the request.
    pub supply: usize,
    /// Stretches of too high a flow in the hours looked at.
    pub times: u32,
    /// Minutes a week.
    pub minutes: f64,
    /// The highest flow, l/min.
    pub flow_l_per_min: f64,
}

/// What is keyed, in a mean week.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// One for each station of the request.
    pub stations: Vec<StationWeek>,
    /// Litres of all stations whose litres are known.
    pub litres: f64,
    /// Litres expected to run off, of all stations where both are known.
    pub runoff_litres: f64,
    /// Supplies that are drawn beyond their capacity.
    pub over: Vec<OverSupply>,
    /// The replay it all follows from, with its findings.
    pub replay: Replay,
}

/// Replays a request and counts a mean week of it. `places` belong to the request's stations in
/// order; stations beyond their end have nothing known.
pub fn week(request: &Request, places: &[Place]) -> Week {
    let replay = replay(request);
    let weeks = f64::from(request.entered().hours) / WEEK_HOURS;
    let mut by_station: Vec<Vec<Run>> = vec![Vec::new(); request.entered().stations.len()];
    for run in &replay.runs {
        by_station[run.station].push(*run);
    }
    let unknown = Place::default();
    let stations: Vec<StationWeek> = by_station
        .iter()
        .enumerate()
        .map(|(station, runs)| {
            let place = places.get(station).unwrap_or(&unknown);
            station_week(request, station, place, runs, weeks)
        })
        .collect();
    let litres = |station: &StationWeek| station.litres.unwrap_or(0.0);
    Week {
        litres: stations.iter().map(litres).sum(),
        runoff_litres: stations
            .iter()
            .map(|station| litres(station) * station.runoff_share.unwrap_or(0.0))
            .sum(),
        over: over_supplies(&replay, weeks),
        stations,
        replay,
    }
}

fn station_week(
    request: &Request,
    station: usize,
    place: &Place,
    runs: &[Run],
    weeks: f64,
) -> StationWeek {
    let seconds: u64 = runs.iter().map(|run| u64::from(run.seconds)).sum();
    let minutes = seconds as f64 / 60.0 / weeks;
    let depth_mm = place.rate.map(|rate| rate.to_mm_per_h() * minutes / 60.0);
    let need = depth_mm.zip(place.week_need.map(Depth::to_mm));
    let flow = request.entered().stations[station].flow;
    // A millimetre on a square metre is a litre.
    let by_depth = depth_mm.zip(place.area).map(|(mm, area)| mm * area.to_m2());
    StationWeek {
        openings: runs.len() as f64 / weeks,
        minutes,
        longest_run_seconds: runs.iter().map(|run| run.seconds).max().unwrap_or(0),
        depth_mm,
        against: need.map(|(depth, need)| Against::of(depth, need)),
        over_mm: need.map(|(depth, need)| depth - need),
        litres: flow.map(|flow| flow.to_l_per_min() * minutes).or(by_depth),
        runoff_share: place
            .ground
            .zip(place.rate)
            .map(|(ground, rate)| watering::runoff_share(&ground, rate, runs)),
    }
}

fn over_supplies(replay: &Replay, weeks: f64) -> Vec<OverSupply> {
    let mut over: Vec<OverSupply> = Vec::new();
    for finding in &replay.findings {
        let Kind::OverCapacity {
            supply,
            seconds,
            flow_l_per_min,
        } = finding.kind
        else {
            continue;
        };
        let minutes = seconds as f64 / 60.0 / weeks;
        match over.iter_mut().find(|over| over.supply == supply) {
            Some(over) => {
                over.times += 1;
                over.minutes += minutes;
                over.flow_l_per_min = over.flow_l_per_min.max(flow_l_per_min);
            }
            None => over.push(OverSupply {
                supply,
                times: 1,
                minutes,
                flow_l_per_min,
            }),
        }
    }
    by_keys(&mut over, |over| [over.supply as u64, 0]);
    over
}
