//! From what was typed to the answer. No browser here: plain functions over a [`Draft`].

mod year;

use drycurb_core::ground::cycle::{Limits, by_protocol};
use drycurb_core::ground::split::{ACCEPTED_LOSS, evaluate};
use drycurb_core::ground::texture::field::{self as in_hand, Feel as Rubbed, Ribbon};
use drycurb_core::ground::{Condition as Treated, Ground as Soil, Split, Texture};
use drycurb_core::json;
use drycurb_core::math;
use drycurb_core::need::climate::california;
use drycurb_core::need::plant::{self, Planting, Turf, WaterUse};
use drycurb_core::need::station::{Thirst, station_week, week_need};
use drycurb_core::quantity::{
    Arc, Area, Depth, EmitterFlow, Evapotranspiration, Flow, IntakeRate, LeachingShare, Length,
    Opening, PlantFactor, PrecipitationRate, Resistance, Share, Slope, Spacing, TestTime, Volume,
};
use drycurb_core::rate::uniformity::{CatchCans, depth_mm, run_time_multiplier};
use drycurb_core::rate::{
    flow_by_count, from_area, from_drip, from_meter, from_spacing, triangular_row_spacing,
};
use drycurb_core::supply::wire::{Gauge, LoopReading, Run, diagnose, resistance_at_20};
use serde_json::Value;

use crate::climate::table;
use crate::document::{
    Climate, Condition, Draft, Feel, Governed, Ground, Layout, Plants, RateWay, SlopeWay,
};
use crate::field::Field;
use crate::numbers::{self, NotRead};
pub use year::{Sky, area_m2, multiplier, plant_year, sky};

/// Reference evapotranspiration assumed while no place, zone or value is given: a dry summer day of
/// a temperate place. Our judgement.
pub const ASSUMED_ET_MM_PER_DAY: f64 = 5.0;

/// The month it is, and the site's own evapotranspiration of every month, where that counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Season {
    /// 1 to 12.
    pub month: u32,
    /// mm a day, January first.
    pub own: Option<[f64; 12]>,
}

impl From<u32> for Season {
    fn from(month: u32) -> Self {
        Self { month, own: None }
    }
}

/// The site's own figure, where it counts: for everybody who types none himself. Where climates are
/// only rough, a figure of a local table goes before them.
pub fn own_et(draft: &Draft, season: &Season) -> Option<f64> {
    match draft.climate {
        Climate::Typed => None,
        _ => Some(season.own?[month_of(draft, season)]),
    }
}

/// The draft's month, else the season's, from 0.
fn month_of(draft: &Draft, season: &Season) -> usize {
    draft.month.unwrap_or(season.month).clamp(1, 12) as usize - 1
}

/// Why a typed number is not taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// Nothing there.
    Empty,
    /// Not understood.
    NotANumber,
    /// Must be whole.
    NotWhole,
    /// Outside, in the field's inside unit.
    Range {
        /// Smallest accepted.
        least: f64,
        /// Largest accepted.
        most: f64,
    },
}

/// What keeps an answer from being worked out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lacking {
    /// No soil.
    pub soil: bool,
    /// No slope.
    pub slope: bool,
    /// No rate.
    pub rate: bool,
    /// Something entered is not understood.
    pub fault: bool,
    /// The timed minutes are too few to tell an intake from.
    pub timed_too_short: bool,
    /// Nothing at all was entered.
    pub blank: bool,
}

impl Lacking {
    /// Whether anything was entered, so that an earlier answer still means this station.
    pub fn given(&self) -> bool {
        !self.blank
    }
}

/// How sure the longest run is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sure {
    /// Soil class only.
    Class,
    /// Measured intake.
    Intake,
    /// Timed on site.
    Timed,
}

/// What the strip says.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Longest run, whole minutes; `None` for no limit.
    pub longest_run_minutes: Option<u32>,
    /// Soak between runs; `None` where one run does, or the ground needs no rest.
    pub soak_minutes: Option<u32>,
    /// Minutes to key for the week: days × runs × minutes.
    pub week_minutes: u32,
    /// Watering days a week.
    pub days: u32,
    /// The day's runs.
    pub split: Split,
    /// What the longest run rests on.
    pub sure: Sure,
    /// No split holds the water.
    pub too_fast: bool,
    /// The runs were keyed by hand.
    pub own: bool,
    /// Longest run if the soil is compacted, where no limit was found.
    pub if_compacted_minutes: Option<u32>,
}

/// The answer and what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What the strip says.
    pub answer: Answer,
    /// Both limits.
    pub limits: Limits,
    /// The ground as the model sees it.
    pub ground: Soil,
    /// Precipitation rate.
    pub rate: PrecipitationRate,
    /// Reference evapotranspiration.
    pub et_mm_per_day: f64,
    /// Plant factor.
    pub plant_factor: f64,
    /// Effective rain a week.
    pub rain_mm: f64,
    /// Net need of a week.
    pub week_need_mm: f64,
    /// Run-time multiplier.
    pub multiplier: f64,
    /// Minutes for the week, unrounded.
    pub week_run_minutes: f64,
    /// Water the roots may use before the next watering.
    pub usable_mm: f64,
    /// How long that lasts.
    pub longest_interval_days: f64,
    /// Water to lay down in a week, evenness allowed for.
    pub applied_mm: f64,
}

/// A field's number in its inside unit; `None` where nothing was typed.
pub fn number(draft: &Draft, field: Field) -> Result<Option<f64>, Fault> {
    let Some(typed) = draft.numbers.get(field) else {
        return Ok(None);
    };
    let spec = field.spec();
    let read = numbers::read(&typed.text).map_err(|why| match why {
        NotRead::Empty => Fault::Empty,
        NotRead::NotANumber => Fault::NotANumber,
    })?;
    let inside = spec.kind.inward(read, typed.units);
    // The stated limits are rounded for reading; a number typed from them is accepted.
    let slack = 1e-9 * inside.abs();
    if inside < spec.least - slack || inside > spec.most + slack {
        Err(Fault::Range {
            least: spec.least,
            most: spec.most,
        })
    } else if spec.whole && inside.fract() != 0.0 {
        Err(Fault::NotWhole)
    } else {
        Ok(Some(inside.max(spec.least).min(spec.most)))
    }
}

/// What is wrong with a field, if anything.
pub fn fault(draft: &Draft, field: Field) -> Option<Fault> {
    number(draft, field).err()
}

/// What a field stands at while nothing is typed.
pub fn default_of(draft: &Draft, field: Field) -> Option<f64> {
    match field {
        Field::RootDepth => Some(plant::root_depth(planting(draft.plants)).to_m() * 1000.0),
        Field::SpacingRow if draft.layout == Layout::Triangle => {
            let head = number(draft, Field::SpacingHead).ok().flatten()?;
            triangular_row_spacing(Spacing::try_m(head).ok()?)
                .ok()
                .map(Spacing::to_m)
        }
        Field::Depletion => {
            Some(100.0 * plant::allowed_depletion(planting(draft.plants)).to_of_one())
        }
        _ => field.spec().default,
    }
}

/// The number typed, or the default; `None` where it is wrong or there is none.
pub fn number_or_default(draft: &Draft, field: Field) -> Option<f64> {
    number(draft, field)
        .ok()?
        .or_else(|| default_of(draft, field))
}

/// The soil class chosen.
pub fn texture(draft: &Draft) -> Option<Texture> {
    let word = draft.soil.as_deref()?;
    Texture::WORDS
        .iter()
        .position(|w| *w == word)
        .map(|place| Texture::ALL[place])
}

/// A class from layers or percents.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sum {
    /// Not all given.
    Incomplete,
    /// The percents make this, not 100.
    Wrong(f64),
    /// The class.
    Class(Texture),
}

/// The plants, as far as roots go.
fn planting(plants: Plants) -> Planting {
    match plants {
        Plants::CoolTurf | Plants::WarmTurf | Plants::Typed => Planting::Turf,
        Plants::HighUse => Planting::AnnualsAndGroundCover,
        Plants::ModerateUse => Planting::Shrubs,
        Plants::LowUse | Plants::VeryLowUse => Planting::LowWaterShrubs,
        Plants::Trees => Planting::Trees,
    }
}

/// All numbers of a list of fields, or `None` where one is missing or wrong.
fn all<const N: usize>(draft: &Draft, fields: [Field; N]) -> Option<[f64; N]> {
    let mut numbers = [0.0; N];
    for (number, field) in numbers.iter_mut().zip(fields) {
        *number = number_or_default(draft, field)?;
    }
    Some(numbers)
}

/// Whether one of some fields is wrong.
fn wrong(draft: &Draft, fields: &[Field]) -> Result<(), Fault> {
    fields
        .iter()
        .try_for_each(|field| number(draft, *field).map(|_| ()))
}

/// Slope in percent, by the way it is given.
pub fn slope_percent(draft: &Draft) -> Result<Option<f64>, Fault> {
    let out_of_range = Fault::Range {
        least: Slope::LEAST,
        most: Slope::MOST,
    };
    let percent = match draft.slope_way {
        SlopeWay::Percent => number(draft, Field::Slope)?,
        SlopeWay::Degrees => number(draft, Field::SlopeDegrees)?.map(|degrees| {
            // The tangent of 45 degrees is a hair above one in floating point.
            (100.0 * math::tan(degrees * core::f64::consts::PI / 180.0)).min(Slope::MOST)
        }),
        SlopeWay::RiseRun => {
            wrong(draft, &[Field::SlopeRise, Field::SlopeRun])?;
            all(draft, [Field::SlopeRise, Field::SlopeRun]).map(|[rise, run]| 100.0 * rise / run)
        }
    };
    match percent {
        Some(percent) if Slope::try_percent(percent).is_err() => Err(out_of_range),
        percent => Ok(percent),
    }
}

/// The fields a way to find the rate needs.
pub fn rate_fields(way: RateWay) -> &'static [Field] {
    match way {
        RateWay::Typed => &[Field::Rate],
        RateWay::Area => &[Field::RateFlow, Field::RateArea],
        RateWay::Spacing => &[
            Field::SpacingFlow,
            Field::SpacingArc,
            Field::SpacingHead,
            Field::SpacingRow,
        ],
        RateWay::Drip => &[
            Field::DripEmitter,
            Field::DripEmitterSpacing,
            Field::DripRow,
        ],
        RateWay::Meter => &[Field::MeterVolume, Field::MeterMinutes, Field::MeterArea],
        RateWay::Cans => &[Field::CanMinutes, Field::CanOpening],
    }
}

/// Precipitation rate, by the way it is found.
pub fn rate_mm_per_h(draft: &Draft) -> Result<Option<f64>, Fault> {
    let fields = rate_fields(draft.rate_way);
    wrong(draft, fields)?;
    let mut n = [0.0; 4];
    if draft.rate_way != RateWay::Cans {
        for (number, field) in n.iter_mut().zip(fields) {
            match number_or_default(draft, *field) {
                Some(given) => *number = given,
                None => return Ok(None),
            }
        }
    }
    let found = match draft.rate_way {
        RateWay::Typed => PrecipitationRate::try_mm_per_h(n[0]),
        RateWay::Area => from_area(Flow::l_per_min(n[0]), Area::m2(n[1])),
        RateWay::Spacing => {
            let (arc, head) = (Arc::degrees(n[1]), Spacing::m(n[2]));
            from_spacing(Flow::l_per_min(n[0]), arc, head, Spacing::m(n[3]))
        }
        RateWay::Drip => from_drip(
            EmitterFlow::l_per_h(n[0]),
            Spacing::m(n[1]),
            Spacing::m(n[2]),
        ),
        RateWay::Meter => from_meter(Volume::l(n[0]), TestTime::minutes(n[1]), Area::m2(n[2])),
        RateWay::Cans => match (read_cans(draft), number(draft, Field::CanMinutes)) {
            (Ok(Some(cans)), Ok(Some(minutes))) => cans.rate(TestTime::minutes(minutes)),
            (Ok(None), _) | (_, Ok(None)) => return Ok(None),
            _ => return Err(Fault::NotANumber),
        },
    };
    let range = Fault::Range {
        least: PrecipitationRate::LEAST,
        most: PrecipitationRate::MOST,
    };
    found
        .map(|rate| Some(rate.to_mm_per_h()))
        .map_err(|_| range)
}

/// What the station should draw: its flow as given, or the meter's test; `None` where neither is.
pub fn expected_l_per_min(draft: &Draft) -> Option<f64> {
    let given = number(draft, Field::RateFlow).ok()?;
    given.or_else(|| counted_l_per_min(draft)).or_else(|| {
        let [volume, minutes] = all(draft, [Field::MeterVolume, Field::MeterMinutes])?;
        Some(volume / minutes)
    })
}

/// What is counted in [`counted_l_per_min`]: how many, and the flow of one.
pub const COUNTED: [Field; 8] = [
    Field::HeadCount,
    Field::SpacingFlow,
    Field::MoreHeads,
    Field::MoreHeadFlow,
    Field::EmitterCount,
    Field::DripEmitter,
    Field::DripLength,
    Field::DripEmitterSpacing,
];

/// What the station should draw by what waters on it; `None` while nothing is counted in full, or
/// where a number is wrong.
pub fn counted_l_per_min(draft: &Draft) -> Option<f64> {
    wrong(draft, &COUNTED).ok()?;
    let [
        heads,
        flow,
        others,
        other_flow,
        emitters,
        each,
        length,
        spacing,
    ] = COUNTED.map(|field| number(draft, field).ok().flatten());
    let head =
        |count: Option<f64>, flow: Option<f64>| Some((count?, Flow::try_l_per_min(flow?).ok()?));
    let each = each.and_then(|each| EmitterFlow::try_l_per_h(each).ok());
    let on_line = length
        .zip(spacing)
        .map(|(length, spacing)| length / spacing);
    let heads: Vec<_> = [head(heads, flow), head(others, other_flow)]
        .into_iter()
        .flatten()
        .collect();
    let drops: Vec<_> = [emitters.zip(each), on_line.zip(each)]
        .into_iter()
        .flatten()
        .collect();
    let flow = flow_by_count(&heads, &drops).ok()?.to_l_per_min();
    (flow > 0.0).then_some(flow)
}

/// How far a measured flow may be off before something is suggested: a tenth. Common practice, no
/// source.
pub const FLOW_OFF: f64 = 0.1;

/// By how much of the expected flow the measured one is more, or less; `None` where either is unknown.
pub fn flow_off(draft: &Draft) -> Option<f64> {
    let measured = number(draft, Field::MeasuredFlow).ok()??;
    let expected = counted_l_per_min(draft).or_else(|| expected_l_per_min(draft));
    Some(measured / expected? - 1.0)
}

/// What coil and wires measure at the clock, against what they should.
pub fn loop_reading(draft: &Draft) -> Option<LoopReading> {
    let fields = [
        Field::CoilOhm,
        Field::WireLength,
        Field::WireGauge,
        Field::LoopOhm,
    ];
    let [coil, length, gauge, reading] = all(draft, fields)?;
    // Odd gauges are not sold: the thinner even one is the cautious reading.
    let at = (18 - gauge as usize) / 2;
    let wire = resistance_at_20(Gauge::ALL[at.min(Gauge::ALL.len() - 1)]);
    let run = Run {
        length: Length::m(length),
        station: wire,
        common: wire,
    };
    Some(diagnose(
        Resistance::ohm(reading),
        Resistance::ohm(coil),
        &run,
    ))
}

/// What the station draws, as far as is known: measured, or else expected.
pub fn flow_l_per_min(draft: &Draft) -> Option<f64> {
    let measured = number(draft, Field::MeasuredFlow).ok()?;
    measured.or_else(|| expected_l_per_min(draft))
}

/// A catch-can test as far as it was entered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cans {
    /// Something is still missing.
    Incomplete,
    /// The list is not a list of numbers.
    NotNumbers,
    /// A comma may be a decimal mark, or part two catches.
    Unclear,
    /// Too few cans, or catches no can holds.
    Refused,
    /// Read.
    Read {
        /// How many cans.
        count: usize,
        /// How many of them make the low quarter.
        lowest: usize,
        /// Mean catch, mm.
        mean_mm: f64,
        /// Uniformity of the low quarter, percent.
        uniformity_percent: f64,
    },
}

/// The catch-can test.
pub fn cans(draft: &Draft) -> Cans {
    match read_cans(draft) {
        Ok(None) => Cans::Incomplete,
        Ok(Some(cans)) => Cans::Read {
            count: numbers::read_list(&draft.catches).map_or(0, |list| list.len()),
            lowest: cans.low_quarter_cans,
            mean_mm: cans.mean_mm,
            uniformity_percent: 100.0 * cans.low_quarter_uniformity.to_of_one(),
        },
        Err(cans) => cans,
    }
}

fn read_cans(draft: &Draft) -> Result<Option<CatchCans>, Cans> {
    if numbers::unclear_comma(&draft.catches).is_some() {
        return Err(Cans::Unclear);
    }
    let catches_ml = numbers::read_list(&draft.catches).map_err(|_| Cans::NotNumbers)?;
    let Ok(Some(opening_cm2)) = number(draft, Field::CanOpening) else {
        return Ok(None);
    };
    if catches_ml.len() < 4 {
        return if catches_ml.is_empty() {
            Ok(None)
        } else {
            Err(Cans::Refused)
        };
    }
    if catches_ml
        .iter()
        .any(|catch| !(0.0..=2000.0).contains(catch))
    {
        return Err(Cans::Refused);
    }
    let opening = Opening::cm2(opening_cm2);
    let catches_mm: Vec<f64> = catches_ml
        .iter()
        .map(|catch| depth_mm(*catch, opening))
        .collect();
    CatchCans::of(&catches_mm)
        .map(Some)
        .map_err(|_| Cans::Refused)
}

/// Uniformity measured with cans, percent, while the rate rests on them.
pub fn measured_uniformity(draft: &Draft) -> Option<f64> {
    if draft.rate_way != RateWay::Cans {
        return None;
    }
    read_cans(draft)
        .ok()?
        .map(|cans| 100.0 * cans.low_quarter_uniformity.to_of_one())
}

/// The class from a jar's layers.
pub fn by_jar(draft: &Draft) -> Sum {
    match all(draft, [Field::JarSand, Field::JarSilt, Field::JarClay]) {
        Some([sand, silt, clay]) => {
            in_hand::by_jar(sand, silt, clay).map_or(Sum::Incomplete, |jar| Sum::Class(jar.soil))
        }
        None => Sum::Incomplete,
    }
}

/// The class from percents.
pub fn by_percent(draft: &Draft) -> Sum {
    match all(
        draft,
        [Field::SandPercent, Field::SiltPercent, Field::ClayPercent],
    ) {
        Some([sand, silt, clay]) => {
            Texture::of_percent(sand, silt, clay).map_or(Sum::Wrong(sand + silt + clay), Sum::Class)
        }
        None => Sum::Incomplete,
    }
}

/// The class from the feel test.
pub fn by_feel(feel: Feel) -> Sum {
    // A ribbon in the middle of each answer's range.
    let breaks = |metres| Ribbon::Breaks(Length::m(metres));
    let (loam, clay) = (in_hand::LOAM_RIBBON_M, in_hand::CLAY_RIBBON_M);
    let ribbon = match (feel.ball, feel.ribbon, feel.length) {
        (Some(false), ..) => Ribbon::NoBall,
        (Some(true), Some(false), _) => Ribbon::NoRibbon,
        (Some(true), Some(true), Some(0)) => breaks(loam / 2.0),
        (Some(true), Some(true), Some(1)) => breaks((loam + clay) / 2.0),
        (Some(true), Some(true), Some(_)) => breaks(clay * 1.5),
        _ => return Sum::Incomplete,
    };
    let rubbed = match (ribbon, feel.rub) {
        (Ribbon::Breaks(_), None) => return Sum::Incomplete,
        (_, Some(0)) => Rubbed::Gritty,
        (_, Some(1)) => Rubbed::Smooth,
        _ => Rubbed::Neither,
    };
    Sum::Class(in_hand::by_feel(ribbon, rubbed))
}

/// Intake from a ring test, mm/h.
pub fn ring_intake(draft: &Draft) -> Option<f64> {
    let [depth, minutes] = all(draft, [Field::RingDepth, Field::RingMinutes])?;
    IntakeRate::try_mm_per_h(60.0 * depth / minutes)
        .ok()
        .map(IntakeRate::to_mm_per_h)
}

/// The draft's climate: reference evapotranspiration of the month's mean day, and whether the place
/// lies south of the equator.
fn climate(draft: &Draft, season: &Season) -> Result<(f64, bool), ()> {
    let own = own_et(draft, season);
    let month = month_of(draft, season);
    let (et, south) = match &draft.climate {
        Climate::Assumed => Ok((ASSUMED_ET_MM_PER_DAY, own.is_some() && draft.south)),
        Climate::Typed => number(draft, Field::ReferenceEt)
            .ok()
            .flatten()
            .map(|et| (et, draft.south))
            .ok_or(()),
        Climate::Place(name) => table()
            .named(name)
            .map(|place| {
                (
                    place.et_mm_per_day[month],
                    place.latitude.to_degrees() < 0.0,
                )
            })
            .ok_or(()),
        Climate::Zone(number) => california::ZONES
            .iter()
            .find(|zone| zone.number == *number)
            .map(|zone| (zone.et_mm_per_day()[month], false))
            .ok_or(()),
    }?;
    Ok((own.unwrap_or(et), south))
}

/// Share of the reference that the plants take in a month.
fn plant_factor(draft: &Draft, season: &Season, south: bool) -> Result<f64, ()> {
    // The summer day that is assumed where nothing is known is one of July.
    let month = if draft.climate == Climate::Assumed && season.own.is_none() {
        6
    } else {
        month_of(draft, season)
    };
    let turf = |turf| {
        let year = plant::turf_factors(turf);
        let year = if south {
            plant::in_the_south(year)
        } else {
            year
        };
        year[month].to_of_reference()
    };
    Ok(match draft.plants {
        Plants::CoolTurf => turf(Turf::CoolSeason),
        Plants::WarmTurf => turf(Turf::WarmSeason),
        Plants::HighUse => WaterUse::High.usual().to_of_reference(),
        Plants::ModerateUse | Plants::Trees => WaterUse::Moderate.usual().to_of_reference(),
        Plants::LowUse => WaterUse::Low.usual().to_of_reference(),
        Plants::VeryLowUse => WaterUse::VeryLow.usual().to_of_reference(),
        Plants::Typed => number(draft, Field::PlantFactor).ok().flatten().ok_or(())?,
    })
}

/// The ground as entered: class, measured or timed.
fn ground(draft: &Draft, soil: Soil, rate: PrecipitationRate) -> Result<Soil, Lacking> {
    let fault = Lacking {
        fault: true,
        ..Lacking::default()
    };
    match draft.ground {
        Ground::Class => Ok(soil),
        Ground::Intake => match number(draft, Field::Intake) {
            Ok(Some(intake)) => Ok(soil.with_measured_intake(IntakeRate::mm_per_h(intake))),
            _ => Err(fault),
        },
        Ground::Timed => match number(draft, Field::RunoffMinutes) {
            Ok(Some(minutes)) => soil
                .with_timed_run(rate, TestTime::minutes(minutes))
                .map_err(|_| Lacking {
                    timed_too_short: true,
                    ..fault
                }),
            _ => Err(fault),
        },
    }
}

/// The whole chain: need, minutes, limits, split.
///
/// The season's month stands where the draft names none.
pub fn work_out(draft: &Draft, season: &Season) -> Result<Outcome, Lacking> {
    let soil = texture(draft);
    let slope = slope_percent(draft);
    let rate = rate_mm_per_h(draft);
    let treated = match draft.condition {
        Condition::Loose => Treated::Loose,
        Condition::Settled => Treated::Settled,
        Condition::Compacted => Treated::Compacted,
    };
    let (Some(soil), Ok(Some(slope)), Ok(Some(rate))) = (soil, slope, rate) else {
        return Err(Lacking {
            soil: soil.is_none(),
            slope: !matches!(slope, Ok(Some(_))),
            rate: !matches!(rate, Ok(Some(_))),
            fault: slope.is_err() || rate.is_err(),
            blank: soil.is_none() && draft.numbers.is_empty(),
            ..Lacking::default()
        });
    };
    let fault = Lacking {
        fault: true,
        ..Lacking::default()
    };
    let rate = PrecipitationRate::try_mm_per_h(rate).map_err(|_| fault.clone())?;
    let slope = Slope::try_percent(slope).map_err(|_| fault.clone())?;
    let ground = ground(draft, Soil::of_class(soil, slope, treated), rate)?;
    let (et, south) = climate(draft, season).map_err(|()| fault.clone())?;
    let factor = plant_factor(draft, season, south).map_err(|()| fault.clone())?;
    let typed = [
        Field::Rain,
        Field::RootDepth,
        Field::Depletion,
        Field::Days,
        Field::Uniformity,
    ];
    let [rain, roots, depletion, most_days, uniformity] = all(draft, typed).ok_or(fault.clone())?;
    let cans = match draft.rate_way {
        RateWay::Cans => read_cans(draft).ok().flatten(),
        _ => None,
    };
    let uniformity = match &cans {
        Some(cans) => cans.low_quarter_uniformity,
        None => Share::of_one(uniformity / 100.0),
    };
    // Raw cans tell the low half itself; the line through the low quarter only guesses it.
    let multiplier = cans
        .as_ref()
        .and_then(|cans| cans.run_time_multiplier)
        .unwrap_or_else(|| run_time_multiplier(uniformity));
    let thirst = Thirst {
        et: Evapotranspiration::try_mm_per_day(et).map_err(|_| fault.clone())?,
        plant: PlantFactor::try_of_reference(factor).map_err(|_| fault.clone())?,
        week_rain: Depth::mm(rain),
        root_depth: Length::m(roots / 1000.0),
        allowed_depletion: Share::of_one(depletion / 100.0),
        leaching: LeachingShare::of_one(0.0),
    };
    let fewest = week_need(&ground, &thirst).fewest_days;
    let days = Some(fewest.min(most_days as u32)).filter(|days| *days > 0);
    let week = station_week(&ground, rate, &thirst, multiplier, days);
    let (need, days) = (week.need, week.days);
    let day = Depth::try_mm(week.applied_mm / f64::from(days.max(1))).map_err(|_| fault.clone())?;
    let by_both = week.cycle;
    let limits = by_both.limits;
    let (split, longest_run_minutes) = match draft.governed {
        Governed::Both => (by_both.split, limits.longest_run_minutes),
        Governed::Protocol => {
            let longest = limits
                .protocol_run_minutes
                .map(|minutes| minutes.floor().max(1.0) as u32);
            let split = match by_protocol(&ground, rate, day) {
                Some(split) if days > 0 => split,
                Some(_) => Split::NONE,
                None => by_both.split,
            };
            (split, longest)
        }
        Governed::Own => {
            let own = [Field::OwnRuns, Field::OwnMinutes, Field::OwnSoak];
            let [runs, minutes, soak] = all(draft, own).ok_or(fault)?;
            let split = evaluate(&ground, rate, runs as u32, minutes as u32, soak as u32);
            (split, limits.longest_run_minutes)
        }
    };
    let own = draft.governed != Governed::Both;
    let daily_mm = need.plants_mm / 7.0;
    Ok(Outcome {
        answer: Answer {
            longest_run_minutes,
            soak_minutes: (split.runs > 1 && split.soak_minutes > 0).then_some(split.soak_minutes),
            week_minutes: days * split.runs * split.run_minutes,
            days,
            split,
            sure: match draft.ground {
                Ground::Class => Sure::Class,
                Ground::Intake => Sure::Intake,
                Ground::Timed => Sure::Timed,
            },
            // Own runs that bring less than is wanted may stay in the ground.
            too_fast: by_both.too_fast && (!own || split.runoff_share > ACCEPTED_LOSS),
            own,
            if_compacted_minutes: by_both.longest_run_if_compacted_minutes,
        },
        limits,
        ground,
        rate,
        et_mm_per_day: et,
        plant_factor: factor,
        rain_mm: rain,
        week_need_mm: need.net_mm,
        multiplier,
        week_run_minutes: week.run_minutes,
        usable_mm: need.allowed_depletion_mm,
        longest_interval_days: if daily_mm > 0.0 {
            need.allowed_depletion_mm / daily_mm
        } else {
            f64::INFINITY
        },
        applied_mm: week.applied_mm,
    })
}

/// The most that the JSON door takes for a week's need.
const MOST_NEED_MM: f64 = 300.0;

/// The same station as the JSON door asks for it, for the worker.
pub fn request(outcome: &Outcome) -> Value {
    // The need is given with its multiplier, and an evenness that adds none; where that is more than the door
    // takes for a need, with the evenness that adds most.
    let (need, evenness) = if outcome.applied_mm <= MOST_NEED_MM {
        (outcome.applied_mm, 1.0)
    } else {
        let most = run_time_multiplier(Share::of_one(0.0));
        (outcome.applied_mm / most, 0.0)
    };
    let mut request = json!({
        "ask": "cycle",
        "soil": outcome.ground.soil.word(),
        "slope_percent": outcome.ground.slope.to_percent(),
        "condition": match outcome.ground.condition {
            Treated::Loose => "loose",
            Treated::Settled => "settled",
            Treated::Compacted => "compacted",
        },
        "precipitation_mm_per_h": outcome.rate.to_mm_per_h(),
        "days": outcome.answer.days.max(1),
        "week_need_mm": need,
        "low_quarter_uniformity": evenness,
    });
    if outcome.answer.sure != Sure::Class {
        request["measured_intake_mm_per_h"] = json!(outcome.ground.intake.to_mm_per_h());
    }
    request
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Typed;
    use crate::units::System;

    fn draft(numbers: &[(Field, &str)]) -> Draft {
        let mut draft = Draft {
            soil: Some("loam".into()),
            ..Draft::default()
        };
        for (field, text) in numbers {
            let typed = Typed {
                text: (*text).into(),
                units: System::Si,
            };
            draft.numbers.set(*field, Some(typed));
        }
        draft
    }

    /// By hand: 6 × 4 + 2 × 8 + 30 × 4/60 + 45/0.3 × 4/60 = 24 + 16 + 2 + 10 = 52 L/min.
    #[test]
    fn what_waters_is_counted() {
        let mut draft = Draft::default();
        let set = |draft: &mut Draft, list: &[(Field, &str)]| {
            for (field, text) in list {
                let (text, units) = (text.to_string(), System::Si);
                draft.numbers.set(*field, Some(Typed { text, units }));
            }
        };
        assert_eq!(counted_l_per_min(&draft), None);
        set(
            &mut draft,
            &[(Field::HeadCount, "6"), (Field::EmitterCount, "30")],
        );
        assert_eq!(counted_l_per_min(&draft), None, "nothing in full");
        set(&mut draft, &[(Field::SpacingFlow, "4,0")]);
        assert_eq!(counted_l_per_min(&draft), Some(24.0));
        set(
            &mut draft,
            &[(Field::MoreHeads, "2"), (Field::MoreHeadFlow, "8")],
        );
        set(
            &mut draft,
            &[(Field::DripEmitter, "4"), (Field::DripLength, "45")],
        );
        set(&mut draft, &[(Field::DripEmitterSpacing, "30")]);
        let counted = counted_l_per_min(&draft).unwrap();
        assert!((counted - 52.0).abs() < 1e-9, "{counted}");
        assert_eq!(flow_l_per_min(&draft), Some(counted));
        set(&mut draft, &[(Field::MeasuredFlow, "65")]);
        assert!((flow_off(&draft).unwrap() - 0.25).abs() < 1e-9);
        set(&mut draft, &[(Field::HeadCount, "x")]);
        assert_eq!(counted_l_per_min(&draft), None, "a wrong number");
        let mut none = Draft::default();
        set(
            &mut none,
            &[(Field::HeadCount, "0"), (Field::SpacingFlow, "4")],
        );
        assert_eq!(counted_l_per_min(&none), None, "no head is no flow");
    }

    #[test]
    fn catches_with_a_comma_that_may_part_two_are_not_taken() {
        let mut draft = draft(&[(Field::CanOpening, "80"), (Field::CanMinutes, "15")]);
        draft.rate_way = RateWay::Cans;
        for (catches, taken) in [
            ("12,13 14,15 16,17 18,19", false),
            ("12,5 14,5 16,5 18", true),
        ] {
            draft.catches = catches.into();
            assert_eq!(
                matches!(cans(&draft), Cans::Read { .. }),
                taken,
                "{catches}"
            );
            assert_eq!(cans(&draft) == Cans::Unclear, !taken, "{catches}");
        }
    }

    #[test]
    fn too_fast_is_said_however_the_runs_are_found() {
        let facts = [
            (Field::Slope, "20"),
            (Field::Rate, "50"),
            (Field::OwnRuns, "1"),
            (Field::OwnMinutes, "30"),
            (Field::OwnSoak, "0"),
        ];
        let mut draft = draft(&facts);
        draft.soil = Some("clay".into());
        for governed in [Governed::Both, Governed::Protocol, Governed::Own] {
            draft.governed = governed;
            assert!(
                work_out(&draft, &7.into()).unwrap().answer.too_fast,
                "{governed:?}"
            );
        }
        let minutes = Typed {
            text: "1".into(),
            units: System::Si,
        };
        draft.numbers.set(Field::OwnMinutes, Some(minutes));
        let answer = work_out(&draft, &7.into()).unwrap().answer;
        assert!(!answer.too_fast && answer.split.runoff_share <= ACCEPTED_LOSS);
    }

    /// Property, no source needed: the door gives the share that the page shows.
    #[test]
    fn the_worker_takes_every_need_that_the_page_knows() {
        let facts = [
            (Field::Slope, "20"),
            (Field::Rate, "50"),
            (Field::ReferenceEt, "20"),
            (Field::PlantFactor, "2"),
            (Field::Uniformity, "10"),
        ];
        let mut draft = draft(&facts);
        draft.climate = Climate::Typed;
        draft.plants = Plants::Typed;
        let outcome = work_out(&draft, &7.into()).unwrap();
        assert!(outcome.applied_mm > 550.0, "{}", outcome.applied_mm);
        let answer = drycurb_core::lines::answer(&request(&outcome));
        let share = answer["ok"]["expected_runoff_share"].as_f64();
        let shown = outcome.answer.split.runoff_share;
        assert!(
            share.is_some_and(|share| (share - shown).abs() < 1e-9),
            "{answer} {shown}"
        );
    }

    #[test]
    fn turf_takes_its_summer_share_in_january_south_of_the_equator() {
        let facts = [
            (Field::Slope, "2"),
            (Field::Rate, "15"),
            (Field::ReferenceEt, "5"),
        ];
        let mut draft = draft(&facts);
        draft.climate = Climate::Typed;
        draft.month = Some(1);
        let north = work_out(&draft, &6.into()).unwrap().plant_factor;
        draft.south = true;
        let south = work_out(&draft, &6.into()).unwrap().plant_factor;
        draft.month = Some(7);
        draft.south = false;
        assert_eq!(south, work_out(&draft, &6.into()).unwrap().plant_factor);
        assert!(south > north, "{south} {north}");
    }
}
