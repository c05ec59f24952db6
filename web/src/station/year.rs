//! A station's facts over the whole year.

use drycurb_core::need::climate::california;
use drycurb_core::need::rain::RainRule;
use drycurb_core::paper::year::Weather;
use drycurb_core::quantity::{Depth, Evapotranspiration, PlantFactor, Share};
use drycurb_core::rate::uniformity::run_time_multiplier;

use super::{
    flow_l_per_min, measured_uniformity, number, number_or_default, plant_factor, rate_mm_per_h,
    read_cans,
};
use crate::climate::table;
use crate::document::{Climate, Draft};
use crate::field::Field;

/// A year's weather and what is known about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sky {
    /// The months.
    pub weather: Weather,
    /// South of the equator.
    pub south: bool,
    /// Rain is known; a zone's is not.
    pub rain: bool,
}

/// The year at the place or zone that was chosen; `None` where there is neither.
pub fn sky(draft: &Draft) -> Option<Sky> {
    let (et, rain, south) = match &draft.climate {
        Climate::Place(name) => {
            let place = table().named(name)?;
            let south = place.latitude.to_degrees() < 0.0;
            (place.et_mm_per_day, Some(place.rain_mm()), south)
        }
        Climate::Zone(number) => {
            let zone = california::ZONES
                .iter()
                .find(|zone| zone.number == *number)?;
            (zone.et_mm_per_day(), None, false)
        }
        Climate::Assumed | Climate::Typed => return None,
    };
    Some(Sky {
        weather: Weather {
            et: et.map(Evapotranspiration::mm_per_day),
            rain: rain.unwrap_or_default().map(Depth::mm),
            rule: RainRule::Half,
        },
        south,
        rain: rain.is_some(),
    })
}

/// What the plants take of the reference in each month, January first.
pub fn plant_year(draft: &Draft, south: bool) -> Option<[PlantFactor; 12]> {
    let mut draft = draft.clone();
    // So that the months count.
    draft.climate = Climate::Typed;
    let mut year = [PlantFactor::of_reference(0.0); 12];
    for (place, month) in year.iter_mut().zip(1..) {
        draft.month = Some(month);
        let factor = plant_factor(&draft, &month.into(), south).ok()?;
        *place = PlantFactor::try_of_reference(factor).ok()?;
    }
    Some(year)
}

/// Ground that the station wets, m²: typed, or its flow over its rate.
pub fn area_m2(draft: &Draft) -> Option<f64> {
    let given = |field| number(draft, field).ok().flatten();
    let by_flow = || {
        let rate = rate_mm_per_h(draft).ok().flatten()?;
        Some(60.0 * flow_l_per_min(draft)? / rate)
    };
    given(Field::RateArea)
        .or_else(|| given(Field::MeterArea))
        .or_else(by_flow)
}

/// How much more than the need is run because water falls unevenly.
pub fn multiplier(draft: &Draft) -> f64 {
    let cans = || read_cans(draft).ok().flatten();
    let measured = measured_uniformity(draft).and_then(|_| cans()?.run_time_multiplier);
    measured.unwrap_or_else(|| {
        let percent = measured_uniformity(draft);
        let percent = percent.or_else(|| number_or_default(draft, Field::Uniformity));
        run_time_multiplier(Share::of_one(percent.unwrap_or(65.0) / 100.0))
    })
}
