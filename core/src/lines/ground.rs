//! The asks about ground: `cycle`, `split`, `runoff`, `texture`.

use serde_json::Value;

use crate::json;

use super::{Answer, Fields, whole};
use crate::ground::cycle::{Cycle, by_protocol, cycle};
use crate::ground::event::Start;
use crate::ground::pulses::{Moment, Pulse, replay, trace};
use crate::ground::split::{DAY_MINUTES, MOST_RUNS, Split, evaluate};
use crate::ground::{Condition, Ground, Texture};
use crate::invalid::Problem;
use crate::quantity::{Depth, IntakeRate, PrecipitationRate, Share, Slope, TestTime, between};
use crate::rate::uniformity::run_time_multiplier;

/// Day's water where no need is given, mm.
const DAY_MM: f64 = 12.0;
/// Waterings a week where none are given. Two to three in summer: EPA WaterSense, controller
/// leaflet.
const DAYS: u32 = 3;
/// Latest minute of a pulse's start and longest pulse: a year.
const LAST_MINUTE: f64 = 527_040.0;
/// Most pulses in one replay.
const MOST_PULSES: usize = 10_000;
/// Uniformity of the low quarter where none is given: what EPA WaterSense asks of the largest
/// sprayed lawn of a new home (v1.1, 4.2.5).
const UNIFORMITY: f64 = 0.65;

/// Ground and rate as `cycle` and `station` give them.
pub(super) struct Place {
    pub ground: Ground,
    pub rate: PrecipitationRate,
    /// What was given and not used.
    pub passed_over: &'static [&'static str],
}

/// Soil, slope and condition.
fn class_ground(fields: &mut Fields) -> Option<Ground> {
    let soil = fields.required_word("soil", &Texture::WORDS, &Texture::ALL);
    let slope = fields.required("slope_percent", Slope::try_percent);
    if fields.value("condition").is_none() {
        fields.assume("condition");
    }
    let condition = fields.optional_word("condition", &Condition::WORDS, &Condition::ALL);
    Some(Ground::of_class(
        soil?,
        slope?,
        condition.unwrap_or(Condition::Settled),
    ))
}

/// Ground with what was measured on site. A timed run outweighs a measured intake: it tells of
/// this ground under this station.
pub(super) fn place(fields: &mut Fields) -> Option<Place> {
    let ground = class_ground(fields);
    let rate = fields.required("precipitation_mm_per_h", PrecipitationRate::try_mm_per_h);
    let measured = fields.optional("measured_intake_mm_per_h", IntakeRate::try_mm_per_h);
    let timed = fields.optional("minutes_to_runoff", TestTime::try_minutes);
    let (ground, rate) = (ground?, rate?);
    let ground = match (timed, measured) {
        (Some(time), _) => match ground.with_timed_run(rate, time) {
            Ok(ground) => ground,
            Err(problem) => {
                fields.fault("minutes_to_runoff", problem);
                return None;
            }
        },
        (None, Some(intake)) => ground.with_measured_intake(intake),
        (None, None) => ground,
    };
    let passed_over: &[&str] = match (timed, measured) {
        (Some(_), Some(_)) => &["measured_intake_mm_per_h"],
        _ => &[],
    };
    Some(Place {
        ground,
        rate,
        passed_over,
    })
}

/// Uniformity of the low quarter; the default is noted where a need makes it matter.
pub(super) fn uniformity(fields: &mut Fields, matters: bool) -> Share {
    let share = fields.optional("low_quarter_uniformity", Share::try_of_one);
    if matters && fields.value("low_quarter_uniformity").is_none() {
        fields.assume("low_quarter_uniformity");
    }
    share.unwrap_or(Share::of_one(UNIFORMITY))
}

/// A day's water, and the week's where a need is given.
struct Water {
    day: Depth,
    week_mm: Option<f64>,
}

/// The day's water: need × multiplier ÷ days, or a default.
fn water(fields: &mut Fields) -> Water {
    let need = fields.optional("week_need_mm", between(0.0, 300.0));
    let given = fields.value("week_need_mm").is_some();
    if !given {
        fields.assume("week_need_mm");
    }
    let days = fields.optional("days", whole(1, 7));
    if given && fields.value("days").is_none() {
        fields.assume("days");
    }
    let multiplier = run_time_multiplier(uniformity(fields, given));
    let week_mm = need.map(|need| need * multiplier);
    let day_mm = week_mm.map_or(DAY_MM, |week| week / f64::from(days.unwrap_or(DAYS)));
    Water {
        day: Depth::mm(day_mm),
        week_mm,
    }
}

/// `cycle`: soil, slope and precipitation rate give the longest run, the soak and the split.
pub(super) fn ask_cycle(mut fields: Fields) -> Answer {
    let place = place(&mut fields);
    let water = water(&mut fields);
    let Some(place) = place else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let Place { ground, rate, .. } = place;
    let found = cycle(&ground, rate, water.day);
    let mut answer = described(&place, &found);
    answer["week_run_minutes"] = json!(water.week_mm.map(|mm| 60.0 * mm / rate.to_mm_per_h()));
    answer["day_mm"] = json!(water.day.to_mm());
    answer["by_protocol_alone"] = json!(by_protocol(&ground, rate, water.day).map(|s| split(&s)));
    answer["assumed"] = json!(assumed);
    Ok(answer)
}

/// `split`: what a chosen sequence of runs and soaks loses on some ground.
pub(super) fn ask_split(mut fields: Fields) -> Answer {
    let place = place(&mut fields);
    let runs = fields.required("runs", whole(1, MOST_RUNS));
    let run_minutes = fields.required("run_minutes", whole(1, DAY_MINUTES));
    let soak_minutes = fields.required("soak_minutes", whole(0, DAY_MINUTES));
    let (Some(place), Some(runs), Some(run), Some(soak)) = (place, runs, run_minutes, soak_minutes)
    else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let mut answer = split(&evaluate(&place.ground, place.rate, runs, run, soak));
    answer["assumed"] = json!(assumed);
    Ok(answer)
}

/// `runoff`: what becomes of pulses of water on ground; moment by moment with
/// `trace_step_minutes`.
pub(super) fn ask_runoff(mut fields: Fields) -> Answer {
    let ground = class_ground(&mut fields);
    let measured = fields.optional("measured_intake_mm_per_h", IntakeRate::try_mm_per_h);
    if fields.value("start").is_none() {
        fields.assume("start");
    }
    let start = fields.optional_word("start", &Start::WORDS, &Start::ALL);
    let pulses = fields.objects("pulses", true, |pulse| {
        let start_minute = pulse.required("start_minute", between(0.0, LAST_MINUTE));
        let minutes = pulse.required("minutes", between(0.0, LAST_MINUTE));
        let rate = pulse.required(
            "precipitation_mm_per_h",
            between(0.0, PrecipitationRate::MOST),
        );
        Some(Pulse {
            start_minute: start_minute?,
            minutes: minutes?,
            rate_mm_per_h: rate?,
        })
    });
    if pulses.len() > MOST_PULSES {
        fields.fault(
            "pulses",
            Problem::Other("must hold no more than 10000 pulses"),
        );
    }
    let step = fields.optional("trace_step_minutes", between(0.1, 1_440.0));
    let after = fields.optional("trace_after_minutes", between(0.0, 10_080.0));
    let Some(ground) = ground else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let ground = measured.map_or(ground, |intake| ground.with_measured_intake(intake));
    let pulses: Vec<Pulse> = pulses.into_iter().flatten().collect();
    let start = start.unwrap_or(Start::Wet);
    let found = replay(&ground, start, &pulses);
    let trace =
        step.map(|step| moments(&trace(&ground, start, &pulses, step, after.unwrap_or(0.0))));
    Ok(json!({
        "trace": trace,
        "applied_mm": found.applied_mm,
        "infiltrated_mm": found.infiltrated_mm,
        "held_on_surface_mm": found.standing_mm,
        "runoff_mm": found.runoff_mm,
        "ponding_minute": found.ponding_minute,
        "runoff_minute": found.runoff_minute,
        "basis": ground.basis.word(),
        "assumed": assumed,
    }))
}

/// A trace as columns: one list a quantity, an item a moment.
fn moments(moments: &[Moment]) -> Value {
    let column = |of: fn(&Moment) -> f64| -> Vec<f64> { moments.iter().map(of).collect() };
    json!({
        "minute": column(|m| m.minute),
        "precipitation_mm_per_h": column(|m| m.rate_mm_per_h),
        "capacity_mm_per_h": column(|m| m.capacity_mm_per_h),
        "held_on_surface_mm": column(|m| m.standing_mm),
        "runoff_mm": column(|m| m.runoff_mm),
    })
}

/// `texture`: the class of so much sand, silt and clay.
pub(super) fn ask_texture(mut fields: Fields) -> Answer {
    let mut part = |name| fields.required(name, finite);
    let parts = (
        part("sand_percent"),
        part("silt_percent"),
        part("clay_percent"),
    );
    let (Some(sand), Some(silt), Some(clay)) = parts else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let soil = Texture::of_percent(sand, silt, clay)?;
    Ok(json!({ "soil": soil.word(), "assumed": assumed }))
}

fn finite(number: f64) -> Result<f64, Problem> {
    if number.is_finite() {
        Ok(number)
    } else {
        Err(Problem::NotANumber)
    }
}

/// A split as an object.
fn split(split: &Split) -> Value {
    json!({
        "runs_per_day": split.runs,
        "run_minutes": split.run_minutes,
        "soak_minutes": split.soak_minutes,
        "expected_runoff_share": split.runoff_share,
        "elapsed_minutes": split.elapsed_minutes(),
    })
}

/// What is found about longest run and split.
pub(super) fn described(place: &Place, cycle: &Cycle) -> Value {
    let ground = &place.ground;
    let limits = &cycle.limits;
    let mut answer = split(&cycle.split);
    let mut put = |name: &str, value: Value| answer[name] = value;
    put("longest_run_minutes", json!(limits.longest_run_minutes));
    put("basis", json!(ground.basis.word()));
    put(
        "governs",
        json!(limits.governs.map(|governs| governs.word())),
    );
    put("protocol_run_minutes", json!(limits.protocol_run_minutes));
    put("protocol_soak_minutes", json!(limits.protocol_soak_minutes));
    put(
        "model_first_run_minutes",
        json!(limits.model_first_run_minutes),
    );
    put("model_ponding_minutes", json!(limits.model_ponding_minutes));
    let if_compacted = cycle.longest_run_if_compacted_minutes;
    put("longest_run_if_compacted_minutes", json!(if_compacted));
    put("intake_mm_per_h", json!(ground.intake.to_mm_per_h()));
    put("passed_over", json!(place.passed_over));
    put("too_fast", json!(cycle.too_fast));
    answer
}
