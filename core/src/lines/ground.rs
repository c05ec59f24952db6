//! The asks about ground: `cycle`.

use serde_json::{Value, json};

use super::fields::{Fields, whole};
use crate::ground::cycle::{Cycle, cycle};
use crate::ground::{Condition, Ground, Texture};
use crate::invalid::Problem;
use crate::quantity::{Depth, IntakeRate, PrecipitationRate, Share, Slope};
use crate::rate::uniformity::run_time_multiplier;

/// Day's water where no need is given, mm.
const DAY_MM: f64 = 12.0;
/// Waterings a week where none are given. Two to three in summer: EPA WaterSense, controller
/// leaflet.
const DAYS: u32 = 3;
/// Uniformity of the low quarter where none is given: what EPA WaterSense asks of the largest
/// sprayed lawn of a new home (v1.1, 4.2.5).
const UNIFORMITY: f64 = 0.65;

/// A number from `least` to `most`.
pub(super) fn between(least: f64, most: f64) -> impl Fn(f64) -> Result<f64, Problem> {
    move |number| {
        if number >= least && number <= most {
            Ok(number)
        } else {
            Err(Problem::OutOfRange { least, most })
        }
    }
}

/// Ground and rate as `cycle` and `station` give them.
pub(super) struct Place {
    pub ground: Ground,
    pub rate: PrecipitationRate,
}

/// Soil, slope and condition.
pub(super) fn class_ground(fields: &mut Fields) -> Option<Ground> {
    let soil = fields.required_word("soil", &Texture::WORDS, &Texture::ALL);
    let slope = fields.required("slope_percent", Slope::try_percent);
    let condition = condition(fields);
    Some(Ground::of_class(soil?, slope?, condition))
}

fn condition(fields: &mut Fields) -> Condition {
    if fields.value("condition").is_none() {
        fields.assume("condition");
    }
    fields
        .optional_word("condition", &Condition::WORDS, &Condition::ALL)
        .unwrap_or(Condition::Settled)
}

/// Ground with what was measured on site. A timed run outweighs a measured intake: it tells of
/// this ground under this station.
pub(super) fn place(fields: &mut Fields) -> Option<Place> {
    let ground = class_ground(fields);
    let rate = fields.required("precipitation_mm_per_h", PrecipitationRate::try_mm_per_h);
    let measured = fields.optional("measured_intake_mm_per_h", IntakeRate::try_mm_per_h);
    let timed = fields.optional("minutes_to_runoff", between(0.1, 1_440.0));
    let (ground, rate) = (ground?, rate?);
    let ground = match (timed, measured) {
        (Some(minutes), _) => match ground.with_timed_run(rate, minutes) {
            Ok(ground) => ground,
            Err(problem) => {
                fields.fault("minutes_to_runoff", problem);
                return None;
            }
        },
        (None, Some(intake)) => ground.with_measured_intake(intake),
        (None, None) => ground,
    };
    Some(Place { ground, rate })
}

/// Whole days a week; the default is noted where the week's need makes it matter.
pub(super) fn days(fields: &mut Fields, matters: bool) -> u32 {
    let days = fields.optional("days", whole(1, 7));
    if matters && fields.value("days").is_none() {
        fields.assume("days");
    }
    days.unwrap_or(DAYS)
}

/// Uniformity of the low quarter; the default is noted where the week's need makes it matter.
pub(super) fn uniformity(fields: &mut Fields, matters: bool) -> Share {
    let share = fields.optional("low_quarter_uniformity", Share::try_of_one);
    if matters && fields.value("low_quarter_uniformity").is_none() {
        fields.assume("low_quarter_uniformity");
    }
    share.unwrap_or(Share::of_one(UNIFORMITY))
}

/// `cycle`: soil, slope and precipitation rate give the longest run, the soak and the split.
pub(super) fn ask_cycle(mut fields: Fields) -> super::Answer {
    let place = place(&mut fields);
    let need = fields.optional("week_need_mm", between(0.0, 300.0));
    let asks_need = fields.value("week_need_mm").is_some();
    if !asks_need {
        fields.assume("week_need_mm");
    }
    let days = days(&mut fields, asks_need);
    let multiplier = run_time_multiplier(uniformity(&mut fields, asks_need));
    let assumed = fields.finish()?;
    let Some(Place { ground, rate }) = place else {
        return Err(Vec::new());
    };
    let week_mm = need.map(|need| need * multiplier);
    let day = Depth::mm(week_mm.map_or(DAY_MM, |week| week / f64::from(days)));
    let cycle = cycle(&ground, rate, day);
    let mut answer = described(&ground, &cycle);
    answer["week_run_minutes"] = json!(week_mm.map(|week| 60.0 * week / rate.to_mm_per_h()));
    answer["day_mm"] = json!(day.to_mm());
    answer["assumed"] = json!(assumed);
    Ok(answer)
}

/// What is found about longest run and split.
pub(super) fn described(ground: &Ground, cycle: &Cycle) -> Value {
    let (limits, split) = (&cycle.limits, &cycle.split);
    json!({
        "longest_run_minutes": limits.longest_run_minutes,
        "soak_minutes": split.soak_minutes,
        "basis": ground.basis.word(),
        "governs": limits.governs.map(|governs| governs.word()),
        "protocol_run_minutes": limits.protocol_run_minutes,
        "protocol_soak_minutes": limits.protocol_soak_minutes,
        "model_first_run_minutes": limits.model_first_run_minutes,
        "model_ponding_minutes": limits.model_ponding_minutes,
        "longest_run_if_compacted_minutes": cycle.longest_run_if_compacted_minutes,
        "intake_mm_per_h": ground.intake.to_mm_per_h(),
        "expected_runoff_share": split.runoff_share,
        "too_fast": cycle.too_fast,
        "runs_per_day": split.runs,
        "run_minutes": split.run_minutes,
        "elapsed_minutes": split.elapsed_minutes(),
    })
}
