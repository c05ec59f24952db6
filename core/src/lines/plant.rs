//! The asks about plants, salt and repairs: `plant`, `leaching`, `repair`.

use crate::json;

use super::rate::numbers;
use super::{Answer, Fields, whole};
use crate::calendar::Date;
use crate::invalid::{Invalid, Problem};
use crate::money::WaterPrice;
use crate::need::establishment::Establishment;
use crate::need::leaching::{self, Hazard, LeachingRemark};
use crate::need::plant::{
    Planting, SiteFactor, Turf, WaterUse, allowed_depletion, in_the_south, landscape_factor,
    root_depth, turf_factors,
};
use crate::need::repair;
use crate::quantity::{Conductivity, PlantFactor, Share, Volume, between};

const PLANTINGS: &[Planting] = &[
    Planting::Turf,
    Planting::AnnualsAndGroundCover,
    Planting::Shrubs,
    Planting::Trees,
    Planting::LowWaterShrubs,
];
const PLANTING_WORDS: &[&str] = &[
    "turf",
    "annuals_and_ground_cover",
    "shrubs",
    "trees",
    "low_water_shrubs",
];

/// Factors by month, root depth and allowed depletion of a planting.
pub fn plant(mut fields: Fields) -> Answer {
    let turf = fields.optional_word(
        "turf",
        &["cool_season", "warm_season"],
        &[Turf::CoolSeason, Turf::WarmSeason],
    );
    let water_use = fields.optional_word(
        "water_use",
        &["very_low", "low", "moderate", "high"],
        &[
            WaterUse::VeryLow,
            WaterUse::Low,
            WaterUse::Moderate,
            WaterUse::High,
        ],
    );
    let planting = fields.optional_word("planting", PLANTING_WORDS, PLANTINGS);
    if turf.is_some() == water_use.is_some() && fields.is_sound() {
        fields.fault(
            "water_use",
            Problem::Other("must be there, or turf, and not both"),
        );
    }
    let average = SiteFactor::AVERAGE;
    let density = fields.defaulted("density_factor", average, SiteFactor::try_new);
    let microclimate = fields.defaulted("microclimate_factor", average, SiteFactor::try_new);
    let south = fields.defaulted_flag("south", false);
    let species = match (turf, water_use) {
        (Some(turf), _) if south => in_the_south(turf_factors(turf)),
        (Some(turf), _) => turf_factors(turf),
        (None, Some(class)) => [class.usual(); 12],
        (None, None) => return Err(fields.into_faults()),
    };
    let mut factors = [0.0; 12];
    for (month, species) in species.into_iter().enumerate() {
        match landscape_factor(species, density, microclimate) {
            Ok(factor) => factors[month] = factor.to_of_reference(),
            Err(problem) => fields.fault("density_factor", problem),
        }
    }
    let planting = planting.unwrap_or(match turf {
        Some(_) => Planting::Turf,
        None => Planting::Shrubs,
    });
    let establishment = establishment(&mut fields);
    let assumed = fields.finish()?;
    let range = water_use.map(|class| {
        let (least, most) = class.range();
        [least, most].map(PlantFactor::to_of_reference)
    });
    Ok(json!({
        "plant_factors": factors,
        "published_range": range,
        "establishment_factor": establishment.unwrap_or(1.0),
        "root_depth_mm": root_depth(planting).to_m() * 1000.0,
        "allowed_depletion": allowed_depletion(planting).to_of_one(),
        "assumed": assumed,
    }))
}

/// The factor of a new planting on a date; `None` where nothing is said of it.
fn establishment(fields: &mut Fields) -> Option<f64> {
    fields.value("establishment_factor")?;
    let factor = fields.required("establishment_factor", |factor| {
        between(Establishment::LEAST, Establishment::MOST)(factor)
    });
    let until = fields.required_parsed("establishment_until", Date::parse);
    let date = fields.required_parsed("date", Date::parse);
    let new = Establishment::try_new(factor?, until?).ok()?;
    Some(new.factor_on(date?))
}

/// Share of the water that washes salt down.
pub fn leaching(mut fields: Fields) -> Answer {
    let water = fields.required("water_ds_per_m", Conductivity::try_ds_per_m);
    let soil = fields.required("plants_bear_ds_per_m", Conductivity::try_ds_per_m);
    let (Some(water), Some(soil)) = (water, soil) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = leaching::leaching(water, soil)?;
    let remark = |remark: &LeachingRemark| match remark {
        LeachingRemark::SevereWater => "severe_water",
        LeachingRemark::LargeShare => "large_share",
        LeachingRemark::NeedsDrainage => "needs_drainage",
    };
    Ok(json!({
        "leaching_fraction": found.share.to_of_one(),
        "hazard": match found.hazard {
            Hazard::None => "none",
            Hazard::SlightToModerate => "slight_to_moderate",
            Hazard::Severe => "severe",
        },
        "remarks": found.remarks.iter().map(remark).collect::<Vec<_>>(),
        "assumed": assumed,
    }))
}

/// What better uniformity is worth.
pub fn repair(mut fields: Fields) -> Answer {
    let net = fields.required("net_litres_per_year", Volume::try_l);
    let uniformities = uniformities(&mut fields);
    let price = fields.required("price_thousandths_per_m3", |number| {
        whole(0, WaterPrice::MOST_THOUSANDTHS)(number).and_then(WaterPrice::try_thousandths_per_m3)
    });
    let cost = fields.optional("repair_cost_hundredths", whole(0, u32::MAX));
    let (Some(net), Some((now, then)), Some(price)) = (net, uniformities, price) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = repair::saving(net, now, then, price)?;
    Ok(json!({
        "uniformity_now": now.to_of_one(),
        "uniformity_after": then.to_of_one(),
        "saved_litres_per_year": found.litres,
        "saved_millionths_per_year": found.money.to_millionths(),
        "saved_hundredths_per_year": found.money.to_hundredths(),
        "months_to_pay": cost.and_then(|cost| repair::months_to_pay(cost, found.money)),
        "assumed": assumed,
    }))
}

/// Uniformity now and after: typed, or from cans whose low ones come up to the others.
fn uniformities(fields: &mut Fields) -> Option<(Share, Share)> {
    if fields.value("catches_mm").is_none() {
        let now = fields.required("uniformity_now", Share::try_of_one);
        let then = fields.required("uniformity_after", Share::try_of_one);
        return now.zip(then);
    }
    for name in ["uniformity_now", "uniformity_after"] {
        if fields.value(name).is_some() {
            fields.fault(
                name,
                Problem::Other("must be left out where catches_mm is given"),
            );
        }
    }
    let catches = numbers(fields, "catches_mm");
    if !fields.is_sound() {
        return None;
    }
    match repair::if_repaired(&catches) {
        Ok((now, then)) => {
            let (now, then) = (now.low_quarter_uniformity, then.low_quarter_uniformity);
            // Raising cans also raises the mean; where that outweighs, nothing is gained.
            Some((now, if then > now { then } else { now }))
        }
        Err(faults) => {
            for Invalid { field, problem } in faults {
                fields.fault(&format!("catches_mm{field}"), problem);
            }
            None
        }
    }
}
