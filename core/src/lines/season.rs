//! The asks about a year: `season`, `balance`, `rain`.

use serde_json::Value;

use crate::json;

use super::{Answer, Fields, whole};
use crate::ground::Texture;
use crate::ground::water::available_mm_per_m;
use crate::invalid::Problem;
use crate::need::balance::{self, Balance, DayIn, Schedule, Store};
use crate::need::monthly::need_per_day;
use crate::need::rain::{RainRule, effective};
use crate::quantity::{DailyNeed, Depth, Evapotranspiration, Length, PlantFactor, Share, between};
use crate::season::{self, PERCENT_MOST, PanelStep, Setting};

/// Twelve numbers that may be absent, January first.
pub(super) fn twelve<T: Copy>(
    fields: &mut Fields,
    name: &str,
    make: impl Fn(f64) -> Result<T, Problem>,
) -> Option<[T; 12]> {
    fields.value(name)?;
    let items = fields.list(name, true);
    let mut made = Vec::with_capacity(12);
    for (place, item) in items.iter().enumerate() {
        match item.as_f64().map_or(Err(Problem::NotANumber), &make) {
            Ok(one) => made.push(one),
            Err(problem) => fields.fault(&format!("{name}[{place}]"), problem),
        }
    }
    if items.len() != 12 {
        fields.fault(
            name,
            Problem::Other("must be a list of 12 numbers, January first"),
        );
    }
    made.try_into().ok()
}

/// Twelve numbers that must be there.
pub(super) fn twelve_required<T: Copy>(
    fields: &mut Fields,
    name: &str,
    make: impl Fn(f64) -> Result<T, Problem>,
) -> Option<[T; 12]> {
    if fields.value(name).is_none() {
        fields.fault(name, Problem::Missing);
    }
    twelve(fields, name, make)
}

/// Rule for the rain that counts, by name or by a share.
pub(super) fn rain_rule(fields: &mut Fields) -> RainRule {
    if let Some(share) = fields.optional("rain_share", Share::try_of_one) {
        return RainRule::Own(share);
    }
    if fields.value("rain_rule").is_none() {
        fields.assume("rain_rule");
    }
    let named = fields.optional_word("rain_rule", RainRule::WORDS, RainRule::ALL);
    named.unwrap_or(RainRule::Quarter)
}

/// Rain that counts, of one storm or one month.
pub fn rain(mut fields: Fields) -> Answer {
    let rain = fields.required("rain_mm", Depth::try_mm);
    let wanted = fields.required("wanted_mm", Depth::try_mm);
    let rule = rain_rule(&mut fields);
    let (Some(rain), Some(wanted)) = (rain, wanted) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let counted = effective(rule, rain, wanted).to_mm();
    Ok(json!({ "effective_mm": counted, "source": rule.source().work, "assumed": assumed }))
}

/// What all stations of a program share.
struct Climate {
    reference: Option<[Evapotranspiration; 12]>,
    rain: [Depth; 12],
    rule: RainRule,
}

/// Percentages of a program for every month or week.
pub fn season(mut fields: Fields) -> Answer {
    let base_month = fields.required("base_month", whole(1, 12));
    let step = fields.defaulted("step_percent", PanelStep::One, |number| {
        whole(1, 10)(number).and_then(PanelStep::try_percent)
    });
    let short = fields.defaulted("short_share", Share::of_one(0.0), Share::try_of_one);
    let rain = twelve(&mut fields, "rain_mm", Depth::try_mm);
    let climate = Climate {
        reference: twelve(
            &mut fields,
            "et_mm_per_day",
            Evapotranspiration::try_mm_per_day,
        ),
        rule: if rain.is_some() {
            rain_rule(&mut fields)
        } else {
            RainRule::Nothing
        },
        rain: rain.unwrap_or([Depth::mm(0.0); 12]),
    };
    let by_week = by_week(&mut fields);
    let stations = fields.objects("stations", true, |inner| station(inner, &climate));
    let needs: Vec<[DailyNeed; 12]> = stations.into_iter().flatten().collect();
    let Some(base_month) = base_month else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let make = if by_week {
        season::weeks
    } else {
        season::months
    };
    let settings = make(&needs, base_month as usize - 1, short, step)?;
    let listed: Vec<Value> = settings.iter().map(setting).collect();
    let mut answer = json!({ "assumed": assumed });
    answer[if by_week { "weeks" } else { "months" }] = listed.into();
    Ok(answer)
}

fn by_week(fields: &mut Fields) -> bool {
    if fields.value("by").is_none() {
        fields.assume("by");
    }
    fields
        .optional_word("by", &["month", "week"], &[false, true])
        .unwrap_or(false)
}

/// A station's needs: typed, or from the climate and its plant factor.
fn station(fields: &mut Fields, climate: &Climate) -> Option<[DailyNeed; 12]> {
    if fields.value("need_mm_per_day").is_some() {
        return twelve(fields, "need_mm_per_day", DailyNeed::try_mm_per_day);
    }
    let plant = if fields.value("plant_factors").is_some() {
        twelve(fields, "plant_factors", PlantFactor::try_of_reference)
    } else {
        let one = fields.required("plant_factor", PlantFactor::try_of_reference);
        one.map(|factor| [factor; 12])
    };
    if climate.reference.is_none() {
        let problem = Problem::Other("must be there where et_mm_per_day is not given");
        fields.fault("need_mm_per_day", problem);
    }
    Some(need_per_day(
        &climate.reference?,
        &plant?,
        &climate.rain,
        climate.rule,
    ))
}

fn setting(setting: &Setting) -> Value {
    let stations: Vec<Value> = setting
        .stations
        .iter()
        .map(|station| {
            json!({
                "own_percent": station.own_percent,
                "wanted_mm_per_day": station.wanted_mm,
                "surplus_mm_per_day": station.surplus_mm,
            })
        })
        .collect();
    json!({
        "percent": setting.percent,
        "beyond_panel": setting.beyond_panel,
        "stations": stations,
    })
}

/// A root zone's water over listed days, or over a year of months.
pub fn balance(mut fields: Fields) -> Answer {
    let store = store(&mut fields);
    let full = Depth::mm(0.0);
    let first = fields.defaulted("first_deficit_mm", full, Depth::try_mm);
    let days = if fields.value("days").is_some() {
        let days = fields.objects("days", true, day);
        Some(days.into_iter().flatten().collect())
    } else {
        year(&mut fields)
    };
    let (Some(store), Some(days)) = (store, days) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = balance::run(store, first, &days);
    Ok(sums(&found, assumed))
}

fn sums(found: &Balance, assumed: Vec<String>) -> Value {
    let deficits: Vec<f64> = found.days.iter().map(|day| day.deficit_mm).collect();
    let stressed = found
        .days
        .iter()
        .enumerate()
        .filter(|(_, day)| day.stressed);
    json!({
        "rain_mm": found.rain_mm,
        "irrigation_mm": found.irrigation_mm,
        "taken_mm": found.taken_mm,
        "drained_mm": found.drained_mm,
        "missed_mm": found.missed_mm,
        "stress_days": found.stress_days,
        "stressed": stressed.map(|(place, _)| place + 1).collect::<Vec<_>>(),
        "deficit_mm": deficits,
        "assumed": assumed,
    })
}

fn store(fields: &mut Fields) -> Option<Store> {
    let allowed = fields.defaulted("allowed_depletion", Share::of_one(0.5), Share::try_of_one);
    if fields.value("available_mm").is_some() {
        let holds = fields.required("available_mm", Depth::try_mm)?;
        return Some(Store { holds, allowed });
    }
    let per_metre = if fields.value("soil").is_some() {
        let soil = fields.required_word("soil", &Texture::WORDS, &Texture::ALL);
        soil.map(available_mm_per_m)
    } else {
        fields.required("available_mm_per_m", between(0.0, 1000.0))
    };
    let roots = fields.required("root_depth_mm", root_depth);
    Some(Store {
        holds: Depth::mm(per_metre? * roots?.to_m()),
        allowed,
    })
}

/// Roots from a millimetre to ten metres deep.
fn root_depth(mm: f64) -> Result<Length, Problem> {
    between(1.0, 10_000.0)(mm).and_then(|mm| Length::try_m(mm / 1000.0))
}

fn day(fields: &mut Fields) -> Option<DayIn> {
    let none = Depth::mm(0.0);
    let rain = fields.optional("rain_mm", Depth::try_mm).unwrap_or(none);
    let irrigation = fields
        .optional("irrigation_mm", Depth::try_mm)
        .unwrap_or(none);
    let need = fields.required("need_mm", DailyNeed::try_mm_per_day)?;
    Some(DayIn {
        rain,
        irrigation,
        need,
    })
}

fn year(fields: &mut Fields) -> Option<Vec<DayIn>> {
    let need = twelve_required(fields, "need_mm_per_day", DailyNeed::try_mm_per_day);
    if fields.value("rain_mm").is_none() {
        fields.assume("rain_mm");
    }
    let rain = twelve(fields, "rain_mm", Depth::try_mm).unwrap_or([Depth::mm(0.0); 12]);
    let schedule = fields.optional_object("schedule", |inner| {
        let days = inner.required("every_days", whole(1, 366));
        let net = inner.required("net_mm", Depth::try_mm);
        let percent = twelve(inner, "percent", |number| {
            whole(0, u32::from(PERCENT_MOST))(number).map(|percent| percent as u16)
        });
        Some(Schedule::Every {
            days: days?,
            net: net?,
            percent: percent.unwrap_or([100; 12]),
        })
    });
    let schedule = schedule.flatten().unwrap_or(Schedule::None);
    Some(balance::year_of_months(&need?, &rain, schedule))
}
