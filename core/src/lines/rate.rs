//! The asks about rate and evenness: `rate`, `cans`.

use serde_json::Value;

use crate::json;

use super::{Answer, Fields};
use crate::invalid::{Invalid, Problem};
use crate::quantity::{
    Arc, Area, EmitterFlow, Flow, Opening, PrecipitationRate, Spacing, TestTime, Volume, between,
};
use crate::rate::uniformity::{CatchCans, depth_mm, run_time_multiplier};
use crate::rate::{from_area, from_drip, from_meter, from_spacing};

/// `rate`: how fast a station lays water down, from what is known of it.
pub(super) fn ask_rate(mut fields: Fields) -> Answer {
    const WORDS: &[&str] = &["area", "spacing", "drip", "meter", "cans"];
    type Reader = fn(&mut Fields) -> Option<PrecipitationRate>;
    const READERS: &[Reader] = &[area, spacing, drip, meter, cans_rate];
    let found = fields
        .required_word("from", WORDS, READERS)
        .and_then(|read| read(&mut fields));
    let Some(rate) = found else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    Ok(json!({ "precipitation_mm_per_h": rate.to_mm_per_h(), "assumed": assumed }))
}

/// A rate, or a fault beside the field that most likely is wrong.
fn or_fault<T>(fields: &mut Fields, name: &str, made: Result<T, Problem>) -> Option<T> {
    made.map_err(|problem| fields.fault(name, problem)).ok()
}

fn area(fields: &mut Fields) -> Option<PrecipitationRate> {
    let flow = fields.required("flow_l_per_min", Flow::try_l_per_min);
    let area = fields.required("area_m2", Area::try_m2);
    or_fault(fields, "flow_l_per_min", from_area(flow?, area?))
}

fn spacing(fields: &mut Fields) -> Option<PrecipitationRate> {
    let flow = fields.required("flow_l_per_min", Flow::try_l_per_min);
    let arc = fields.required("arc_degrees", Arc::try_degrees);
    let heads = fields.required("head_spacing_m", Spacing::try_m);
    let rows = fields.required("row_spacing_m", Spacing::try_m);
    or_fault(
        fields,
        "flow_l_per_min",
        from_spacing(flow?, arc?, heads?, rows?),
    )
}

fn drip(fields: &mut Fields) -> Option<PrecipitationRate> {
    let emitter = fields.required("emitter_l_per_h", EmitterFlow::try_l_per_h);
    let emitters = fields.required("emitter_spacing_m", Spacing::try_m);
    let rows = fields.required("row_spacing_m", Spacing::try_m);
    or_fault(
        fields,
        "emitter_l_per_h",
        from_drip(emitter?, emitters?, rows?),
    )
}

fn meter(fields: &mut Fields) -> Option<PrecipitationRate> {
    let volume = fields.required("volume_l", Volume::try_l);
    let time = fields.required("minutes", TestTime::try_minutes);
    let area = fields.required("area_m2", Area::try_m2);
    or_fault(fields, "volume_l", from_meter(volume?, time?, area?))
}

fn cans_rate(fields: &mut Fields) -> Option<PrecipitationRate> {
    let (_, rate) = catches(fields)?;
    Some(rate)
}

/// `cans`: what a catch-can test says.
pub(super) fn ask_cans(mut fields: Fields) -> Answer {
    let Some((cans, rate)) = catches(&mut fields) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    Ok(json!({
        "mean_mm": cans.mean_mm,
        "precipitation_mm_per_h": rate.to_mm_per_h(),
        "low_quarter_mm": cans.low_quarter_mm,
        "low_quarter_cans": cans.low_quarter_cans,
        "low_quarter_uniformity": cans.low_quarter_uniformity.to_of_one(),
        "low_half_uniformity": cans.low_half_uniformity.to_of_one(),
        "christiansen_uniformity": cans.christiansen_uniformity,
        "run_time_multiplier": cans.run_time_multiplier,
        "multiplier_from_low_quarter": run_time_multiplier(cans.low_quarter_uniformity),
        "cans_standing_out": cans.standing_out,
        "assumed": assumed,
    }))
}

/// Cans in millimetres, or in millilitres with the area of their opening, and the test's length.
fn catches(fields: &mut Fields) -> Option<(CatchCans, PrecipitationRate)> {
    let time = fields.required("minutes", TestTime::try_minutes);
    let (name, depths) = if fields.value("catches_mm").is_some() {
        if fields.value("catches_ml").is_some() {
            fields.fault(
                "catches_ml",
                Problem::Other("must be left out where catches_mm is given"),
            );
        }
        ("catches_mm", numbers(fields, "catches_mm"))
    } else {
        let throat = fields.required("throat_area_cm2", Opening::try_cm2);
        let catches = numbers(fields, "catches_ml");
        let in_mm = |throat| catches.iter().map(|ml| depth_mm(*ml, throat)).collect();
        ("catches_ml", throat.map_or_else(Vec::new, in_mm))
    };
    if !fields.is_sound() {
        return None;
    }
    match CatchCans::of(&depths) {
        Ok(cans) => {
            let rate = cans.rate(time?);
            let rate = or_fault(fields, name, rate)?;
            Some((cans, rate))
        }
        Err(faults) => {
            for Invalid { field, problem } in faults {
                fields.fault(&format!("{name}{field}"), problem);
            }
            None
        }
    }
}

/// A list of numbers, none below 0.
pub(super) fn numbers(fields: &mut Fields, name: &str) -> Vec<f64> {
    let accept = between(0.0, 1_000_000.0);
    let items: &[Value] = fields.list(name, true);
    items
        .iter()
        .enumerate()
        .filter_map(|(place, item)| {
            let number = item.as_f64().ok_or(Problem::NotANumber).and_then(&accept);
            or_fault(fields, &format!("{name}[{place}]"), number)
        })
        .collect()
}
