//! The asks about what is allowed: `allowance`, `peak_month`.

use serde_json::Value;

use crate::json;

use super::{Answer, Fields};
use crate::allowance::california::{self, Rounding, Rule};
use crate::allowance::peak_month::{UNIFORMITY_LEAST, Zone, peak_month};
use crate::allowance::{
    Planted, allowed_litres, estimated_litres, is_within, less_a_quarter_of_rain,
};
use crate::invalid::Problem;
use crate::quantity::{Area, Depth, Efficiency, PlantFactor, Share, between};

/// Most that an allowance may be typed as, litres: a million square metres under 20 m of water.
const TYPED_MOST: f64 = 2e10;

/// Water allowed and expected in a year.
pub fn allowance(mut fields: Fields) -> Answer {
    let reference = fields.required("et_mm_per_year", Depth::try_mm);
    let rain = fields.optional("rain_mm_per_year", Depth::try_mm);
    let planted = fields.objects("areas", true, planted).into_iter().flatten();
    let planted: Vec<Planted> = planted.collect();
    let typed = fields.optional("allowed_litres", between(0.0, TYPED_MOST));
    let factor = factor(&mut fields, typed.is_some());
    let Some(reference) = reference else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let net = rain.map_or(reference, |rain| less_a_quarter_of_rain(reference, rain));
    let estimated = estimated_litres(net, &planted);
    let allowed = match (typed, factor) {
        (Some(typed), _) => typed,
        (None, Some(factor)) => allowed_litres(net, factor, &planted),
        (None, None) => 0.0,
    };
    let legal = factor.map(|factor| {
        json!({
            "allowed_gallons":
                california::allowed_gallons(net, factor, &planted, Rounding::AtTheEnd),
            "estimated_gallons":
                california::estimated_gallons(net, &planted, Rounding::AtTheEnd),
            "allowed_gallons_rounded_on_the_way":
                california::allowed_gallons(net, factor, &planted, Rounding::OnTheWay),
            "estimated_gallons_rounded_on_the_way":
                california::estimated_gallons(net, &planted, Rounding::OnTheWay),
        })
    });
    Ok(json!({
        "allowed_litres": allowed,
        "estimated_litres": estimated,
        "within": is_within(estimated, allowed),
        "california": legal,
        "assumed": assumed,
    }))
}

/// The adjustment factor as a number or by its rule; none is needed where the allowance itself is typed.
fn factor(fields: &mut Fields, typed: bool) -> Option<Share> {
    let given = ["adjustment_factor", "california_rule", "allowed_litres"]
        .into_iter()
        .filter(|name| fields.value(name).is_some());
    if given.count() > 1 {
        let problem = Problem::Other(
            "must be left out where california_rule, adjustment_factor or allowed_litres is given",
        );
        fields.fault("adjustment_factor", problem);
    }
    if let Some(rule) = fields.optional_word("california_rule", Rule::WORDS, Rule::ALL) {
        return Some(rule.factor());
    }
    if typed || fields.value("california_rule").is_some() {
        return None;
    }
    fields.required("adjustment_factor", Share::try_of_one)
}

pub(super) fn planted(fields: &mut Fields) -> Option<Planted> {
    let area = fields.required("area_m2", Area::try_m2);
    if fields
        .value("special")
        .is_some_and(|value| value == &Value::Bool(true))
    {
        return Some(Planted::Special { area: area? });
    }
    fields.defaulted_flag("special", false);
    let factor = fields.required("plant_factor", PlantFactor::try_of_reference);
    let efficiency = fields.required("efficiency", Efficiency::try_of_one);
    Some(Planted::Ordinary {
        area: area?,
        factor: factor?,
        efficiency: efficiency?,
    })
}

/// The federal label's peak month.
pub fn ask_peak_month(mut fields: Fields) -> Answer {
    let reference = fields.required("et_mm_per_month", Depth::try_mm);
    let rain = fields.defaulted("rain_mm_per_month", Depth::mm(0.0), Depth::try_mm);
    let zones = fields.objects("zones", true, |inner| {
        let area = inner.required("area_m2", Area::try_m2);
        let factor = inner.required("plant_factor", PlantFactor::try_of_reference);
        let uniformity = inner.required("low_quarter_uniformity", uniformity);
        Some(Zone {
            area: area?,
            factor: factor?,
            uniformity: uniformity?,
        })
    });
    let zones: Vec<Zone> = zones.into_iter().flatten().collect();
    let Some(reference) = reference else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = peak_month(reference, rain, &zones);
    Ok(json!({
        "baseline_litres": found.baseline_litres,
        "allowed_litres": found.allowed_litres,
        "needed_litres": found.needed_litres,
        "within": is_within(found.needed_litres, found.allowed_litres),
        "assumed": assumed,
    }))
}

fn uniformity(number: f64) -> Result<Share, Problem> {
    between(UNIFORMITY_LEAST, Share::MOST)(number).and_then(Share::try_of_one)
}
