//! Worked examples of Allen, Pereira, Raes & Smith 1998, FAO Irrigation and Drainage Paper 56.
//!
//! The printed answers are from memory; each was derived again from the paper's equations (tests/data/fao56).

use drycurb_core::need::evapotranspiration::hourly::{self, Hour, hourly};
use drycurb_core::need::evapotranspiration::{
    DayOfYear, Humidity, Reference, Setting, Sunlight, WIND_UNKNOWN, Weather, air,
    from_temperature, monthly_soil_heat, penman_monteith, radiation,
};
use drycurb_core::quantity::{
    AirTemperature, Elevation, GaugeHeight, HoursOfDay, Latitude, Longitude, RelativeHumidity,
    Share, SoilHeat, SolarRadiation, VapourPressure, WindSpeed,
};
use drycurb_tests::{ask, assert_near, assert_printed};
use serde_json::json;

fn day(number: u32) -> DayOfYear {
    DayOfYear::try_new(number).unwrap()
}

fn celsius(degrees: f64) -> AirTemperature {
    AirTemperature::celsius(degrees)
}

fn degrees_minutes(degrees: f64, minutes: f64) -> Latitude {
    Latitude::degrees(degrees + minutes / 60.0)
}

/// Source: FAO-56 example 8: 3 September (day 246) at 20 degrees south.
#[test]
fn example_8_extraterrestrial_radiation() {
    let south = Latitude::degrees(-20.0);
    let (nearness, declination) = radiation::distance_and_declination(day(246));
    assert_printed(nearness, "0.985");
    assert_printed(declination, "0.120");
    assert_printed(radiation::sunset_angle(day(246), south), "1.527");
    let mj = radiation::extraterrestrial_mj(day(246), south);
    assert_printed(mj, "32.2");
    assert_printed(0.408 * mj, "13.1");
}

/// Source: FAO-56 example 9: the same day and place.
#[test]
fn example_9_daylight_hours() {
    assert_printed(
        radiation::daylight_hours(day(246), Latitude::degrees(-20.0)),
        "11.7",
    );
}

/// Source: FAO-56 example 10: Rio de Janeiro, May, 7.1 h of sunshine.
#[test]
fn example_10_solar_radiation_from_sunshine() {
    let rio = Latitude::degrees(-(22.0 + 54.0 / 60.0));
    let mid_may = DayOfYear::mid_months()[4];
    assert_eq!(mid_may.to_number(), 135);
    let above = radiation::extraterrestrial_mj(mid_may, rio);
    let hours = radiation::daylight_hours(mid_may, rio);
    assert_printed(above, "25.1");
    assert_printed(hours, "10.9");
    assert_printed(radiation::from_sunshine_mj(above, 7.1, hours), "14.5");
}

/// Source: FAO-56 example 17: Bangkok, April, monthly means.
#[test]
fn example_17_monthly_mean_day() {
    let weather = Weather {
        day: DayOfYear::mid_months()[3],
        latitude: degrees_minutes(13.0, 44.0),
        elevation: Elevation::m(2.0),
        high: celsius(34.8),
        low: celsius(25.6),
        humidity: Humidity::Vapour(VapourPressure::kpa(2.85)),
        wind: WindSpeed::m_per_s(2.0),
        sunlight: Sunlight::Sunshine(HoursOfDay::hours(8.5)),
        soil_heat: monthly_soil_heat(celsius(29.2), celsius(30.2), None),
    };
    assert_eq!(weather.day.to_number(), 105);
    assert_printed(weather.soil_heat.to_mj_per_m2(), "0.14");
    assert_printed(air::slope_kpa_per_c(30.2, Reference::Grass), "0.246");
    // Printed from a table by height, at 0 m; at 2 m the equation gives 0.06735.
    assert_printed(air::psychrometric_kpa_per_c(Elevation::m(0.0)), "0.0674");
    let found = penman_monteith(&weather, Reference::Grass).unwrap();
    assert_printed(found.saturation_kpa, "4.42");
    assert_printed(found.extraterrestrial_mj, "38.06");
    assert_printed(found.daylight_hours, "12.31");
    assert_printed(found.solar_mj, "22.65");
    assert_printed(found.clear_sky_mj, "28.54");
    assert_printed(found.net_short_wave_mj, "17.44");
    assert_printed(found.net_long_wave_mj, "3.11");
    assert_printed(found.net_short_wave_mj - found.net_long_wave_mj, "14.33");
    assert_printed(found.et.to_mm_per_day(), "5.72");
    assert!(!found.held_to_bounds);
}

fn uccle() -> Weather {
    Weather {
        day: day(187),
        latitude: degrees_minutes(50.0, 48.0),
        elevation: Elevation::m(100.0),
        high: celsius(21.5),
        low: celsius(12.3),
        humidity: Humidity::Range {
            high: RelativeHumidity::percent(84.0),
            low: RelativeHumidity::percent(63.0),
        },
        // 10 km/h at 10 m.
        wind: air::wind_at_2_m(WindSpeed::m_per_s(10.0 / 3.6), GaugeHeight::m(10.0)),
        sunlight: Sunlight::Sunshine(HoursOfDay::hours(9.25)),
        soil_heat: SoilHeat::mj_per_m2(0.0),
    }
}

/// Source: FAO-56 example 18: Uccle near Brussels, 6 July.
#[test]
fn example_18_one_day() {
    let weather = uccle();
    assert_printed(weather.wind.to_m_per_s(), "2.078");
    assert_printed(air::pressure_kpa(weather.elevation), "100.1");
    assert_printed(air::slope_kpa_per_c(16.9, Reference::Grass), "0.122");
    assert_printed(air::psychrometric_kpa_per_c(weather.elevation), "0.0666");
    let found = penman_monteith(&weather, Reference::Grass).unwrap();
    assert_printed(found.saturation_kpa, "1.997");
    assert_printed(found.vapour_kpa, "1.409");
    assert_printed(found.extraterrestrial_mj, "41.09");
    assert_printed(found.daylight_hours, "16.1");
    assert_printed(found.solar_mj, "22.07");
    assert_printed(found.clear_sky_mj, "30.90");
    assert_printed(found.net_short_wave_mj, "17.0");
    assert_printed(found.net_long_wave_mj, "3.71");
    assert_printed(found.net_short_wave_mj - found.net_long_wave_mj, "13.28");
    assert_printed(found.et.to_mm_per_day(), "3.88");
}

/// Source: FAO-56 example 18, through the JSON door.
#[test]
fn example_18_at_the_door() {
    let answer = ask(&json!({
        "ask": "et", "method": "penman_monteith", "day_of_year": 187,
        "latitude_degrees": 50.8, "elevation_m": 100, "high_c": 21.5, "low_c": 12.3,
        "humidity_high_percent": 84, "humidity_low_percent": 63,
        "wind_m_per_s": 2.78, "wind_height_m": 10, "sunshine_hours": 9.25,
    }));
    assert_printed(answer["et_mm_per_day"].as_f64().unwrap(), "3.88");
    assert_printed(
        answer["extraterrestrial_mj_per_m2"].as_f64().unwrap(),
        "41.09",
    );
    assert_printed(answer["daylight_hours"].as_f64().unwrap(), "16.1");
    assert_eq!(
        answer["assumed"],
        json!(["soil_heat_mj_per_m2", "reference"])
    );
}

fn n_diaye(temperature: f64, humidity: f64, wind: f64, solar: f64, clear_share: f64) -> Hour {
    Hour {
        temperature: celsius(temperature),
        humidity: RelativeHumidity::percent(humidity),
        wind: WindSpeed::m_per_s(wind),
        solar: SolarRadiation::mj_per_m2(solar),
        clear_share: Share::of_one(clear_share),
        elevation: Elevation::m(8.0),
    }
}

/// Source: FAO-56 example 19: N'Diaye, 1 October, 02:00 to 03:00.
#[test]
fn example_19_an_hour_of_the_night() {
    let found = hourly(&n_diaye(28.0, 90.0, 1.9, 0.0, 0.8), Reference::Grass);
    assert_printed(found.mm, "0.00");
}

/// Source: FAO-56 example 19: N'Diaye, 1 October, 14:00 to 15:00 of a clock kept for 15 degrees west.
#[test]
fn example_19_an_hour_of_the_day() {
    let above = hourly::extraterrestrial_mj(
        day(274),
        degrees_minutes(16.0, 13.0),
        Longitude::degrees(-(16.0 + 15.0 / 60.0)),
        Longitude::degrees(-15.0),
        14.5,
    );
    assert_printed(above, "3.543");
    let clear_sky = radiation::clear_sky_mj(above, Elevation::m(8.0));
    let found = hourly(
        &n_diaye(38.0, 52.0, 3.3, 2.450, 2.450 / clear_sky),
        Reference::Grass,
    );
    assert_printed(found.net_radiation_mj, "1.749");
    assert_printed(found.soil_heat_mj, "0.175");
    assert_printed(found.mm, "0.63");
}

fn lyon() -> Weather {
    Weather {
        day: DayOfYear::mid_months()[6],
        latitude: degrees_minutes(45.0, 43.0),
        elevation: Elevation::m(200.0),
        high: celsius(26.6),
        low: celsius(14.8),
        humidity: Humidity::FromLow,
        wind: WIND_UNKNOWN,
        sunlight: Sunlight::FromRange(Setting::Inland),
        soil_heat: SoilHeat::mj_per_m2(0.0),
    }
}

/// Source: FAO-56 example 20: near Lyon, July, nothing but high and low.
#[test]
fn example_20_missing_data() {
    let weather = lyon();
    assert_eq!(weather.day.to_number(), 196);
    let found = penman_monteith(&weather, Reference::Grass).unwrap();
    assert_printed(found.extraterrestrial_mj, "40.55");
    assert_printed(found.solar_mj, "22.3");
    assert_printed(found.et.to_mm_per_day(), "4.56");
    let alone = from_temperature(
        weather.day,
        weather.latitude,
        weather.high,
        weather.low,
        None,
    )
    .unwrap();
    assert_printed(alone.et.to_mm_per_day(), "5.0");
}

/// Source: FAO-56 example 20, through the JSON door: what is missing is assumed, and said.
#[test]
fn example_20_at_the_door() {
    let answer = ask(&json!({
        "ask": "et", "method": "penman_monteith", "day_of_year": 196, "elevation_m": 200,
        "latitude_degrees": 45.0 + 43.0 / 60.0, "high_c": 26.6, "low_c": 14.8,
    }));
    assert_printed(answer["et_mm_per_day"].as_f64().unwrap(), "4.56");
    let assumed = [
        "vapour_pressure_kpa",
        "wind_2m_m_per_s",
        "solar_mj_per_m2",
        "setting",
        "soil_heat_mj_per_m2",
        "reference",
    ];
    assert_eq!(answer["assumed"], json!(assumed));
    let answer = ask(&json!({
        "ask": "et", "method": "temperature", "day_of_year": 196,
        "latitude_degrees": 45.0 + 43.0 / 60.0, "high_c": 26.6, "low_c": 14.8,
    }));
    assert_printed(answer["et_mm_per_day"].as_f64().unwrap(), "5.0");
    assert_eq!(answer["assumed"], json!(["mean_c"]));
}

/// Source: FAO-56 annex 2, table 2.6, on the 15th of each month, from memory; it differs from equation 21 by at most
/// 0.1 MJ.
#[test]
fn table_2_6_extraterrestrial_radiation() {
    #[rustfmt::skip]
    let rows = [
        (0.0, [36.2, 37.4, 37.9, 36.8, 34.8, 33.4, 33.9, 35.6, 37.2, 37.3, 36.3, 35.6]),
        (40.0, [15.0, 20.4, 27.2, 34.7, 39.7, 41.8, 40.8, 36.7, 29.9, 22.5, 16.3, 13.6]),
        (-40.0, [43.3, 38.1, 30.9, 22.2, 15.8, 12.8, 13.9, 19.1, 27.1, 35.3, 41.8, 44.6]),
    ];
    for (latitude, printed) in rows {
        for (day, printed) in DayOfYear::mid_months().into_iter().zip(printed) {
            let mj = radiation::extraterrestrial_mj(day, Latitude::degrees(latitude));
            assert_near(mj, printed, 0.15);
        }
    }
}
