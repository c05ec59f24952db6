//! The ask `year`: twelve months of need, settings, water and money, and what they save.
//!
//! In: `et_mm_per_day`, twelve numbers, January first; `rain_mm`, twelve a month (no rain), with
//! `rain_rule` or `rain_share` as in `season`; `et_times` and `rain_times` (1) for another year than
//! the usual one; `stations` `[{"plant_factor" or "plant_factors", "area_m2" (not counted),
//! "multiplier" (1), "program" (0, whole), "keyed_mm_per_day" (what its run times give at 100 percent, after unevenness;
//! its need in the base month of the usual year)}]`; `base_month`, 1 to 12 (the thirstiest);
//! `step_percent` 1, 5 or 10 (1); `short_share` (0); `tariff` as in `keyed`; an allowance: `adjustment_factor` with `areas` as in
//! `allowance`. What is used now: `now_litres_per_year`, or a compared week: `compared`
//! `{"month", "now_litres_per_week", "plan_litres_per_week"}`.
//!
//! Out: `months` `[{"et_mm", "rain_mm", "counted_rain_mm", "need_mm", "programs" [{"percent",
//! "beyond_panel"}], "litres", "millionths", "hundredths", "allowed_litres"}]`, null for what was not
//! asked; `base_month`, `without_area`, `year_litres`, `year_millionths`, `year_hundredths`; `saving`
//! `{"litres", "millionths", "hundredths", "weeks_now", "weeks_plan"}`, null where it was not asked or cannot be said.

use serde_json::Value;

use super::super::allowance::planted;
use super::super::keyed::steps;
use super::super::season::{rain_rule, twelve, twelve_required};
use super::super::{Answer, Fields, whole};
use crate::allowance::Planted;
use crate::invalid::{Invalid, Problem};
use crate::json;
use crate::need::rain::RainRule;
use crate::paper::saving::{Compared, Saving, against_week, against_year};
use crate::paper::year::{self, Keying, Month, Plan, Station, Weather, Year};
use crate::quantity::{Area, DailyNeed, Depth, Evapotranspiration, PlantFactor, Share, between};
use crate::season::PanelStep;

/// Most that a year or a week may use, litres.
const LITRES_MOST: f64 = 1e12;

/// What is used now.
enum Now {
    Year(u64),
    Week(Compared),
}

/// Answers `year`.
pub fn year(mut fields: Fields) -> Answer {
    let weather = weather(&mut fields);
    let stations = fields.objects("stations", true, station);
    let mut stations: Vec<Station> = stations.into_iter().flatten().collect();
    let mut keying = Keying {
        base_month: fields
            .optional("base_month", whole(1, 12))
            .map(|month| month as usize - 1),
        step: fields.defaulted("step_percent", PanelStep::One, |number| {
            whole(1, 10)(number).and_then(PanelStep::try_percent)
        }),
        short_most: fields.defaulted("short_share", Share::of_one(0.0), Share::try_of_one),
    };
    let tariff = fields.optional_object("tariff", steps).flatten();
    let factor = fields.optional("adjustment_factor", Share::try_of_one);
    let grounds = fields.objects("areas", factor.is_some(), planted);
    let grounds: Vec<Planted> = grounds.into_iter().flatten().collect();
    let now = now(&mut fields);
    let Some((usual, weather)) = weather else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    if usual != weather {
        // Run times are those of the usual year, whatever year then comes.
        let (month, base) = year::base(&stations, keying.base_month, &usual);
        keying.base_month = Some(month);
        for (station, base) in stations.iter_mut().zip(base) {
            if base.to_mm_per_day() > 0.0 {
                station.keyed = station.keyed.or(Some(base));
            }
        }
    }
    let plan = Plan {
        stations: &stations,
        keying,
        tariff: tariff.as_ref(),
        allowance: factor.map(|factor| (factor, &grounds[..])),
    };
    let found = year::year(&plan, &weather)?;
    let saving = match &now {
        Some(Now::Year(litres)) => against_year(&found, *litres, tariff.as_ref()),
        Some(Now::Week(week)) => against_week(&found, week, tariff.as_ref()),
        None => Ok(None),
    };
    let saving = saving.map_err(|problem| vec![Invalid::new("tariff", problem)])?;
    Ok(answer(&found, saving.as_ref(), assumed))
}

fn answer(found: &Year, saving: Option<&Saving>, assumed: Vec<String>) -> Value {
    let cost = found.cost();
    json!({
        "months": found.months.iter().map(month).collect::<Vec<Value>>(),
        "base_month": found.base_month + 1,
        "without_area": found.without_area,
        "year_litres": found.litres(),
        "year_millionths": cost.map(|cost| cost.to_millionths()),
        "year_hundredths": cost.map(|cost| cost.to_hundredths()),
        "saving": saving.map(|saving| json!({
            "litres": saving.litres,
            "millionths": saving.money.map(|money| money.to_millionths()),
            "hundredths": saving.money.map(|money| money.to_hundredths()),
            "weeks_now": saving.weeks.map(|[now, _]| now),
            "weeks_plan": saving.weeks.map(|[_, plan]| plan),
        })),
        "assumed": assumed,
    })
}

fn month(month: &Month) -> Value {
    let programs = month.programs.iter();
    let programs =
        programs.map(|one| json!({ "percent": one.percent, "beyond_panel": one.beyond_panel }));
    json!({
        "et_mm": month.et_mm,
        "rain_mm": month.rain_mm,
        "counted_rain_mm": month.counted_rain_mm,
        "need_mm": month.need_mm,
        "programs": programs.collect::<Vec<Value>>(),
        "litres": month.litres,
        "millionths": month.cost.map(|cost| cost.to_millionths()),
        "hundredths": month.cost.map(|cost| cost.to_hundredths()),
        "allowed_litres": month.allowed_litres,
    })
}

/// The usual year's weather, and that of the year asked for.
fn weather(fields: &mut Fields) -> Option<(Weather, Weather)> {
    let et = twelve_required(fields, "et_mm_per_day", Evapotranspiration::try_mm_per_day);
    let rain = twelve(fields, "rain_mm", Depth::try_mm);
    let rule = if rain.is_some() {
        rain_rule(fields)
    } else {
        fields.assume("rain_mm");
        RainRule::Nothing
    };
    let et_times = fields.defaulted("et_times", 1.0, between(0.0, 10.0));
    let rain_times = fields.defaulted("rain_times", 1.0, between(0.0, 10.0));
    let usual = Weather {
        et: et?,
        rain: rain.unwrap_or([Depth::mm(0.0); 12]),
        rule,
    };
    let asked = match (et_times, rain_times) {
        (1.0, 1.0) => usual,
        _ => usual.times(et_times, rain_times),
    };
    Some((usual, asked))
}

fn station(fields: &mut Fields) -> Option<Station> {
    let plant = if fields.value("plant_factors").is_some() {
        twelve(fields, "plant_factors", PlantFactor::try_of_reference)
    } else {
        let one = fields.required("plant_factor", PlantFactor::try_of_reference);
        one.map(|factor| [factor; 12])
    };
    let area = fields.optional("area_m2", Area::try_m2);
    let multiplier = fields.defaulted("multiplier", 1.0, between(1.0, 10.0));
    let most = (year::PROGRAMS_MOST - 1) as u32;
    let program = fields.defaulted("program", 0, whole(0, most)) as usize;
    let keyed = fields.optional("keyed_mm_per_day", DailyNeed::try_mm_per_day);
    Some(Station {
        plant: plant?,
        area,
        multiplier,
        program,
        also: 0,
        keyed,
    })
}

fn now(fields: &mut Fields) -> Option<Now> {
    let week = fields.optional_object("compared", |inner| {
        let month = inner.required("month", whole(1, 12));
        let now = inner.required("now_litres_per_week", between(0.0, LITRES_MOST));
        let plan = inner.required("plan_litres_per_week", between(0.0, LITRES_MOST));
        Some(Compared {
            month: month? as usize - 1,
            now_litres: now?,
            plan_litres: plan?,
        })
    });
    let of_year = fields.optional("now_litres_per_year", litres);
    if of_year.is_some() && week.is_some() {
        let problem = Problem::Other("must be left out where now_litres_per_year is given");
        fields.fault("compared", problem);
    }
    let week = week.flatten().map(Now::Week);
    week.or(of_year.map(Now::Year))
}

/// Whole litres.
fn litres(number: f64) -> Result<u64, Problem> {
    if number.fract() != 0.0 {
        return Err(Problem::NotWhole);
    }
    between(0.0, LITRES_MOST)(number).map(|litres| litres as u64)
}
