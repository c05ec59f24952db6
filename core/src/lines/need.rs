//! The asks about water need: `et`, `et_hour`, `climate`.

use serde_json::Value;

use crate::json;

use super::{Answer, Fields, whole};
use crate::invalid::Problem;
use crate::need::climate::{self, Place, california};
use crate::need::evapotranspiration::air::wind_at_2_m;
use crate::need::evapotranspiration::hourly::{Hour, hourly};
use crate::need::evapotranspiration::{
    DayOfYear, Humidity, Reference, Setting, Sunlight, WIND_UNKNOWN, Weather, from_temperature,
    penman_monteith,
};
use crate::quantity::{
    AirTemperature, Elevation, GaugeHeight, HoursOfDay, Latitude, Longitude, RelativeHumidity,
    Share, SoilHeat, SolarRadiation, VapourPressure, WindSpeed,
};

/// Reference evapotranspiration of a day or of a month's mean day.
pub fn et(mut fields: Fields) -> Answer {
    const METHODS: &[&str] = &["penman_monteith", "temperature"];
    type Method = for<'a> fn(Fields<'a>) -> Answer;
    const MEANINGS: &[Method] = &[by_penman_monteith, by_temperature];
    match fields.required_word("method", METHODS, MEANINGS) {
        Some(method) => method(fields),
        None => Err(fields.into_faults()),
    }
}

fn day_of_year(number: f64) -> Result<DayOfYear, Problem> {
    whole(1, DayOfYear::MOST)(number).and_then(DayOfYear::try_new)
}

fn by_temperature(mut fields: Fields) -> Answer {
    let day = fields.required("day_of_year", day_of_year);
    let latitude = fields.required("latitude_degrees", Latitude::try_degrees);
    let high = fields.required("high_c", AirTemperature::try_celsius);
    let low = fields.required("low_c", AirTemperature::try_celsius);
    let mean = fields.defaulted("mean_c", None, |c| AirTemperature::try_celsius(c).map(Some));
    let (Some(day), Some(latitude), Some(high), Some(low)) = (day, latitude, high, low) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let found = from_temperature(day, latitude, high, low, mean)?;
    Ok(json!({
        "et_mm_per_day": found.et.to_mm_per_day(),
        "extraterrestrial_mj_per_m2": found.extraterrestrial_mj,
        "daylight_hours": found.daylight_hours,
        "held_to_bounds": found.held_to_bounds,
        "assumed": assumed,
    }))
}

fn by_penman_monteith(mut fields: Fields) -> Answer {
    let day = fields.required("day_of_year", day_of_year);
    let latitude = fields.required("latitude_degrees", Latitude::try_degrees);
    let elevation = fields.required("elevation_m", Elevation::try_m);
    let high = fields.required("high_c", AirTemperature::try_celsius);
    let low = fields.required("low_c", AirTemperature::try_celsius);
    let humidity = humidity(&mut fields);
    let wind = wind(&mut fields);
    let sunlight = sunlight(&mut fields);
    let still = SoilHeat::mj_per_m2(0.0);
    let soil_heat = fields.defaulted("soil_heat_mj_per_m2", still, SoilHeat::try_mj_per_m2);
    let reference = reference(&mut fields);
    let (Some(day), Some(latitude), Some(elevation)) = (day, latitude, elevation) else {
        return Err(fields.into_faults());
    };
    let (Some(high), Some(low)) = (high, low) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let weather = Weather {
        day,
        latitude,
        elevation,
        high,
        low,
        humidity,
        wind,
        sunlight,
        soil_heat,
    };
    let found = penman_monteith(&weather, reference)?;
    Ok(json!({
        "et_mm_per_day": found.et.to_mm_per_day(),
        "extraterrestrial_mj_per_m2": found.extraterrestrial_mj,
        "daylight_hours": found.daylight_hours,
        "solar_mj_per_m2": found.solar_mj,
        "net_radiation_mj_per_m2": found.net_short_wave_mj - found.net_long_wave_mj,
        "vapour_pressure_kpa": found.vapour_kpa,
        "held_to_bounds": found.held_to_bounds,
        "assumed": assumed,
    }))
}

/// Reference evapotranspiration of one hour.
pub fn et_hour(mut fields: Fields) -> Answer {
    let temperature = fields.required("temperature_c", AirTemperature::try_celsius);
    let humidity = fields.required("humidity_percent", RelativeHumidity::try_percent);
    let wind = wind(&mut fields);
    let solar = fields.required("solar_mj_per_m2", SolarRadiation::try_mj_per_m2);
    let clear_share = fields.required("clear_share", Share::try_of_one);
    let elevation = fields.required("elevation_m", Elevation::try_m);
    let reference = reference(&mut fields);
    let (Some(temperature), Some(humidity), Some(solar)) = (temperature, humidity, solar) else {
        return Err(fields.into_faults());
    };
    let (Some(clear_share), Some(elevation)) = (clear_share, elevation) else {
        return Err(fields.into_faults());
    };
    let assumed = fields.finish()?;
    let hour = Hour {
        temperature,
        humidity,
        wind,
        solar,
        clear_share,
        elevation,
    };
    let found = hourly(&hour, reference);
    Ok(json!({
        "et_mm_per_hour": found.mm,
        "net_radiation_mj_per_m2": found.net_radiation_mj,
        "soil_heat_mj_per_m2": found.soil_heat_mj,
        "assumed": assumed,
    }))
}

fn reference(fields: &mut Fields) -> Reference {
    const WORDS: &[&str] = &["grass", "short", "tall"];
    const MEANINGS: &[Reference] = &[Reference::Grass, Reference::Short, Reference::Tall];
    if fields.value("reference").is_none() {
        fields.assume("reference");
    }
    let named = fields.optional_word("reference", WORDS, MEANINGS);
    named.unwrap_or(Reference::Grass)
}

/// Most places that one answer lists.
const PLACES_LISTED: usize = 20;

/// Places by name or position, or a zone of California, and their typical year.
pub fn climate(mut fields: Fields) -> Answer {
    only_one(
        &mut fields,
        &["name", "latitude_degrees", "california_zone"],
    );
    if let Some(number) = fields.optional("california_zone", whole(1, 18)) {
        fields.finish()?;
        let zone = &california::ZONES[number as usize - 1];
        return Ok(json!({
            "et_mm_per_day": zone.et_mm_per_day(),
            "inches_per_month": zone.inches_per_month(),
        }));
    }
    if let Some(name) = fields.value("name") {
        let Some(name) = name.as_str() else {
            fields.fault("name", Problem::Other("must be a text"));
            return Err(fields.into_faults());
        };
        fields.finish()?;
        let found = climate::BUILT_IN.search(name);
        let listed: Vec<_> = found
            .iter()
            .take(PLACES_LISTED)
            .map(|p| place(p, None))
            .collect();
        return Ok(json!({ "places": listed, "roughness": climate::ROUGHNESS.to_of_one() }));
    }
    let latitude = fields.required("latitude_degrees", Latitude::try_degrees);
    let longitude = fields.required("longitude_degrees", Longitude::try_degrees);
    let (Some(latitude), Some(longitude)) = (latitude, longitude) else {
        return Err(fields.into_faults());
    };
    fields.finish()?;
    let near = climate::BUILT_IN.nearest(latitude, longitude);
    let listed: Vec<_> = near
        .iter()
        .map(|near| place(&near.place, Some(near.distance_km)))
        .collect();
    Ok(json!({ "places": listed, "roughness": climate::ROUGHNESS.to_of_one() }))
}

fn place(place: &Place, distance_km: Option<f64>) -> Value {
    json!({
        "name": place.name,
        "country": place.country(),
        "latitude_degrees": place.latitude.to_degrees(),
        "longitude_degrees": place.longitude.to_degrees(),
        "distance_km": distance_km,
        "et_mm_per_day": place.et_mm_per_day,
        "rain_mm": place.rain_mm(),
    })
}

/// Faults where more than one of the fields that mean the same is there.
fn only_one(fields: &mut Fields, names: &[&str]) {
    let mut given = names.iter().filter(|name| fields.value(name).is_some());
    given.next();
    if let Some(second) = given.next() {
        fields.fault(
            second,
            Problem::Other("must be left out where another form of it is given"),
        );
    }
}

fn humidity(fields: &mut Fields) -> Humidity {
    only_one(
        fields,
        &[
            "vapour_pressure_kpa",
            "humidity_high_percent",
            "dew_point_c",
        ],
    );
    only_one(
        fields,
        &["vapour_pressure_kpa", "humidity_low_percent", "dew_point_c"],
    );
    if let Some(vapour) = fields.optional("vapour_pressure_kpa", VapourPressure::try_kpa) {
        return Humidity::Vapour(vapour);
    }
    if let Some(dew_point) = fields.optional("dew_point_c", AirTemperature::try_celsius) {
        return Humidity::DewPoint(dew_point);
    }
    let range = ["humidity_high_percent", "humidity_low_percent"];
    if range.iter().any(|name| fields.value(name).is_some()) {
        let [high, low] = range.map(|name| fields.required(name, RelativeHumidity::try_percent));
        if let (Some(high), Some(low)) = (high, low) {
            return Humidity::Range { high, low };
        }
    } else {
        fields.assume("vapour_pressure_kpa");
    }
    Humidity::FromLow
}

fn wind(fields: &mut Fields) -> WindSpeed {
    only_one(fields, &["wind_2m_m_per_s", "wind_m_per_s"]);
    if fields.value("wind_m_per_s").is_none() {
        return fields.defaulted("wind_2m_m_per_s", WIND_UNKNOWN, WindSpeed::try_m_per_s);
    }
    let speed = fields.required("wind_m_per_s", WindSpeed::try_m_per_s);
    let height = fields.required("wind_height_m", GaugeHeight::try_m);
    match (speed, height) {
        (Some(speed), Some(height)) => wind_at_2_m(speed, height),
        _ => WIND_UNKNOWN,
    }
}

fn sunlight(fields: &mut Fields) -> Sunlight {
    const SETTINGS: &[&str] = &["inland", "coast"];
    only_one(fields, &["solar_mj_per_m2", "sunshine_hours"]);
    if let Some(solar) = fields.optional("solar_mj_per_m2", SolarRadiation::try_mj_per_m2) {
        return Sunlight::Measured(solar);
    }
    if let Some(hours) = fields.optional("sunshine_hours", HoursOfDay::try_hours) {
        return Sunlight::Sunshine(hours);
    }
    let setting = fields.optional_word("setting", SETTINGS, &[Setting::Inland, Setting::Coast]);
    fields.assume("solar_mj_per_m2");
    if setting.is_none() {
        fields.assume("setting");
    }
    Sunlight::FromRange(setting.unwrap_or(Setting::Inland))
}
