//! The ask `station`: from need to minutes on a panel.

use crate::json;

use super::ground::{described, place, uniformity};
use super::{Answer, Fields, whole};
use crate::need::station::{Thirst, station_week};
use crate::quantity::{
    Depth, Evapotranspiration, LeachingShare, Length, PlantFactor, Share, between,
};
use crate::rate::uniformity::run_time_multiplier;

/// `station`: everything that `cycle` takes, with weather and plant in place of the week's need.
pub(super) fn ask_station(mut fields: Fields) -> Answer {
    let place = place(&mut fields);
    let thirst = thirst(&mut fields);
    let uniformity = uniformity(&mut fields, true);
    let days = fields.optional("days", whole(1, 7));
    let (Some(place), Some(thirst)) = (place, thirst) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let week = station_week(
        &place.ground,
        place.rate,
        &thirst,
        run_time_multiplier(uniformity),
        days,
    );
    let mut answer = described(&place, &week.cycle);
    answer["week_need_mm"] = json!(week.need.plants_mm);
    answer["week_net_mm"] = json!(week.need.net_mm);
    answer["week_applied_mm"] = json!(week.applied_mm);
    answer["week_run_minutes"] = json!(week.run_minutes);
    answer["allowed_depletion_mm"] = json!(week.need.allowed_depletion_mm);
    answer["longest_interval_days"] = json!(week.need.longest_interval_days);
    answer["days"] = json!(week.days);
    answer["exceeds_depletion"] = json!(week.exceeds_depletion);
    answer["assumed"] = json!(assumed);
    Ok(answer)
}

fn thirst(fields: &mut Fields) -> Option<Thirst> {
    let et = fields.required("et_mm_per_day", Evapotranspiration::try_mm_per_day);
    let plant = fields.required("plant_factor", PlantFactor::try_of_reference);
    let rain = fields.required("rain_mm_per_week", between(0.0, 2_000.0));
    let roots = fields.required("root_depth_mm", between(10.0, 5_000.0));
    let allowed_depletion = fields.required("allowed_depletion", Share::try_of_one);
    let none = LeachingShare::of_one(0.0);
    let leaching = fields.defaulted("leaching_fraction", none, LeachingShare::try_of_one);
    Some(Thirst {
        et: et?,
        plant: plant?,
        week_rain: Depth::mm(rain?),
        root_depth: Length::m(roots? / 1_000.0),
        allowed_depletion: allowed_depletion?,
        leaching,
    })
}
