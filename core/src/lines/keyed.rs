//! The ask `keyed`: what the present programs lay down a week and a year, against need and plan.
//!
//! In: everything that `replay` takes, `hours` being 672 (four weeks) where it is left out. Beside
//! each station, all optional: `precipitation_mm_per_h`; `soil`, `slope_percent`, `condition`,
//! `measured_intake_mm_per_h`, `minutes_to_runoff` as in `cycle` (with any of them the first two
//! and the rate are needed); `area_m2`; `week_need_mm`, the plants' need less rain, and
//! `low_quarter_uniformity`, by which it is raised. Optional beside the stations:
//! `month_percents`, twelve whole percentages 0–300 from January on, null for a month as keyed
//! (all as keyed); `plan`, `{"programs": […], "month_percents": […]}`, other programs on the same
//! controller; the price of water, either `price_thousandths_per_m3`, whole, or by steps, `tariff`:
//! `{"unit": "m3" | "ccf" | "kgal" (default m3), "tiers": [{"until_thousandths",
//! "price_thousandths"}, …]}`, lowest step first, both whole: of a unit a month, left out in the
//! last step, and of the currency's unit for one unit of water.
//!
//! Out: `now` and, with a plan, `plan`, each with
//! - `stations` `[{"id", "week_openings", "week_minutes", "longest_run_seconds", "week_mm",
//!   "against" ("short" | "fits" | "over"), "over_mm", "week_litres", "runoff_share"}]`, null for
//!   what cannot be said,
//! - `over_capacity` `[{"supply", "times", "week_minutes", "flow_l_per_min"}]`,
//! - `week_litres`, `week_runoff_litres`, `month_litres` (twelve whole numbers), `year_litres`,
//! - `findings` as in `replay`;
//!
//! with a plan also `difference`: `year_litres`, what the plan saves, negative when it takes more,
//! and `year_millionths` and `year_hundredths` of the currency's unit (null without a price), the
//! first exact, the second rounded; beside them `now_hundredths` and `plan_hundredths`, the year's
//! twelve bills. Each month is a bill of its own and holds no other water.

use serde_json::Value;

use crate::json;

use super::Answer;
use super::fields::{Fields, whole};
use super::ground::{place as ground_place, uniformity};
use super::replay::{entered, finding_value, finish, program, station};
use crate::invalid::{Invalid, Problem};
use crate::keyed::money::{BillUnit, Tariff, Tier, WaterPrice};
use crate::keyed::year::{Adjustment, WaterYear, difference, water_year};
use crate::keyed::{OverSupply, Place, StationWeek, Week, week};
use crate::quantity::{Area, Depth, PrecipitationRate, between};
use crate::rate::uniformity::run_time_multiplier;
use crate::replay::{Entered, Program, Request, limits};

/// Hours looked at where none are given: four weeks.
const HOURS: u32 = 672;
const ONE_PRICE: &str = "must be left out beside price_thousandths_per_m3";
const MONTHS_WANTED: Problem =
    Problem::Other("must be twelve whole percentages 0 to 300, or null for a month as keyed");

/// Answers `keyed`.
pub(super) fn ask(mut fields: Fields) -> Answer {
    let hours = fields.defaulted("hours", HOURS, whole(1, limits::HOURS));
    let both = fields.objects("stations", true, |fields| (station(fields), place(fields)));
    let (stations, places): (Vec<_>, Vec<_>) = both.into_iter().unzip();
    let entered = entered(&mut fields, hours, stations);
    let months = months(&mut fields);
    let tariff = tariff(&mut fields);
    let plan = fields.optional_object("plan", plan);

    let now = Request::new(entered.clone());
    let plan = plan.map(|(programs, months)| {
        let entered = Entered {
            programs,
            ..entered.clone()
        };
        let request = Request::new(entered.clone()).map_err(of_plan);
        (entered, request, months)
    });
    let mut content = now.as_ref().err().cloned().unwrap_or_default();
    if let Some((_, Err(faults), _)) = &plan {
        content.extend(faults.iter().cloned());
    }
    let assumed = finish(fields, Some(&content))?;

    let (now_value, now_year) = side(&now?, &entered, &places, &months)?;
    let mut answer = json!({ "now": now_value, "assumed": assumed });
    if let Some((entered, request, months)) = plan {
        let (value, year) = side(&request?, &entered, &places, &months).map_err(of_plan)?;
        answer["plan"] = value;
        let difference = difference(&now_year, &year, tariff.as_ref())
            .map_err(|problem| vec![Invalid::new("price_thousandths_per_m3", problem)])?;
        let bills = difference.money;
        let less = bills.map(|bills| bills.now.less(bills.plan));
        answer["difference"] = json!({
            "year_litres": difference.litres,
            "year_millionths": less.map(|money| money.to_millionths()),
            "year_hundredths": less.map(|money| money.to_hundredths()),
            "now_hundredths": bills.map(|bills| bills.now.to_hundredths()),
            "plan_hundredths": bills.map(|bills| bills.plan.to_hundredths()),
        });
    }
    Ok(answer)
}

/// The faults of a plan that are its own: all else is entered once and told beside `now`.
fn of_plan(faults: Vec<Invalid>) -> Vec<Invalid> {
    let own = faults
        .into_iter()
        .filter_map(|fault| match fault.field.as_str() {
            "hours" => Some(Invalid::new("plan.programs", fault.problem)),
            field if field.starts_with("programs") => {
                Some(Invalid::new(format!("plan.{field}"), fault.problem))
            }
            _ => None,
        });
    own.collect()
}

/// What is known of a station beside the controller.
fn place(fields: &mut Fields) -> Place {
    let of_ground = [
        "soil",
        "slope_percent",
        "measured_intake_mm_per_h",
        "minutes_to_runoff",
    ];
    let has_ground = of_ground.iter().any(|name| fields.value(name).is_some());
    let (rate, ground) = if has_ground {
        let known = ground_place(fields);
        (
            known.as_ref().map(|known| known.rate),
            known.map(|known| known.ground),
        )
    } else {
        (
            fields.optional("precipitation_mm_per_h", PrecipitationRate::try_mm_per_h),
            None,
        )
    };
    let need_mm = fields.optional("week_need_mm", between(0.0, 300.0));
    let multiplier = run_time_multiplier(uniformity(fields, need_mm.is_some()));
    Place {
        rate,
        ground,
        area: fields.optional("area_m2", Area::try_m2),
        week_need: need_mm.and_then(|need| Depth::try_mm(need * multiplier).ok()),
    }
}

fn months(fields: &mut Fields) -> [Adjustment; 12] {
    let mut months = [Adjustment::AsKeyed; 12];
    let Some(value) = fields.value("month_percents") else {
        fields.assume("month_percents");
        return months;
    };
    let Some(list) = value.as_array().filter(|list| list.len() == months.len()) else {
        fields.fault("month_percents", MONTHS_WANTED);
        return months;
    };
    let percent = whole(0, limits::ADJUST_PERCENT);
    for (place, (month, value)) in months.iter_mut().zip(list).enumerate() {
        if value.is_null() {
            continue;
        }
        match value.as_f64().map_or(Err(Problem::NotANumber), &percent) {
            Ok(percent) => *month = Adjustment::Percent(percent),
            Err(problem) => fields.fault(&format!("month_percents[{place}]"), problem),
        }
    }
    months
}

/// One price, or prices by steps; both at once is a fault.
fn tariff(fields: &mut Fields) -> Option<Tariff> {
    let name = "price_thousandths_per_m3";
    let thousandths = fields.optional(name, whole(0, WaterPrice::MOST_THOUSANDTHS));
    let flat = thousandths.and_then(|price| WaterPrice::try_thousandths_per_m3(price).ok());
    if fields.value("tariff").is_some() && fields.value(name).is_some() {
        fields.fault("tariff", Problem::Other(ONE_PRICE));
    }
    let steps = fields.optional_object("tariff", steps).flatten();
    steps.or(flat.map(Tariff::flat))
}

/// Prices by steps.
pub(super) fn steps(fields: &mut Fields) -> Option<Tariff> {
    if fields.value("unit").is_none() {
        fields.assume("unit");
    }
    let unit = fields.optional_word("unit", &BillUnit::WORDS, &BillUnit::ALL);
    let tiers = fields.objects("tiers", true, |tier| Tier {
        until_thousandths: tier
            .optional("until_thousandths", whole(1, u32::MAX))
            .map(u64::from),
        price_thousandths: {
            let price = whole(0, WaterPrice::MOST_THOUSANDTHS);
            tier.required("price_thousandths", price).unwrap_or(0)
        },
    });
    if !fields.is_sound() {
        return None;
    }
    let tariff = Tariff::try_tiers(unit.unwrap_or_default(), tiers);
    let fault = |fault: Invalid| fields.fault("tiers", fault.problem);
    tariff.map_err(fault).ok()
}

fn plan(fields: &mut Fields) -> (Vec<Program>, [Adjustment; 12]) {
    (fields.objects("programs", true, program), months(fields))
}

/// One side of the comparison: week and year of some programs.
fn side(
    request: &Request,
    entered: &Entered,
    places: &[Place],
    months: &[Adjustment; 12],
) -> Result<(Value, WaterYear), Vec<Invalid>> {
    let week = week(request, places);
    let year = water_year(entered, places, months)?;
    let mut value = week_value(request, &week);
    value["month_litres"] = year.litres.as_slice().into();
    value["year_litres"] = year.total_litres().into();
    Ok((value, year))
}

fn week_value(request: &Request, week: &Week) -> Value {
    let stations = request.entered().stations.iter().zip(&week.stations);
    let stations: Vec<Value> = stations
        .map(|(station, week)| station_value(&station.id, week))
        .collect();
    let over: Vec<Value> = week
        .over
        .iter()
        .map(|over| over_value(request, over))
        .collect();
    let findings = week.replay.findings.iter();
    let findings: Vec<Value> = findings
        .map(|finding| finding_value(request, finding))
        .collect();
    json!({
        "stations": stations,
        "over_capacity": over,
        "week_litres": week.litres,
        "week_runoff_litres": week.runoff_litres,
        "findings": findings,
    })
}

fn station_value(id: &str, week: &StationWeek) -> Value {
    json!({
        "id": id,
        "week_openings": week.openings,
        "week_minutes": week.minutes,
        "longest_run_seconds": week.longest_run_seconds,
        "week_mm": week.depth_mm,
        "against": week.against.map(|against| against.word()),
        "over_mm": week.over_mm,
        "week_litres": week.litres,
        "runoff_share": week.runoff_share,
    })
}

fn over_value(request: &Request, over: &OverSupply) -> Value {
    json!({
        "supply": request.entered().supplies[over.supply].id.as_str(),
        "times": over.times,
        "week_minutes": over.minutes,
        "flow_l_per_min": over.flow_l_per_min,
    })
}
