//! From weather to minutes: a chain worked by hand, each step beside its source.
//!
//! Zone 6 in July (California DWR and UC Davis 1999): 0.21 in a day. Cool-season lawn 0.94 (Meyer, Gibeault &
//! Youngner 1985), 1.5 in/h, uniformity 0.65, loam on 5 %, roots 6 in, half allowed.

use drycurb_core::need::balance::{Store, longest_interval_days};
use drycurb_core::need::climate::california::ZONES;
use drycurb_core::need::plant::{Planting, Turf, allowed_depletion, root_depth, turf_factors};
use drycurb_core::need::rain::{RainRule, effective};
use drycurb_core::quantity::{DailyNeed, Depth};
use drycurb_tests::{ask, assert_near, assert_printed};
use serde_json::{Value, json};

const MM_PER_INCH: f64 = 25.4;

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

fn station() -> Value {
    let factor = turf_factors(Turf::CoolSeason)[6].to_of_reference();
    ask(&json!({
        "ask": "station", "soil": "loam", "slope_percent": 5,
        "precipitation_mm_per_h": 1.5 * MM_PER_INCH, "low_quarter_uniformity": 0.65,
        "et_mm_per_day": ZONES[5].et_mm_per_day()[6], "plant_factor": factor,
        "rain_mm_per_week": 0, "root_depth_mm": root_depth(Planting::Turf).to_m() * 1000.0,
        "allowed_depletion": allowed_depletion(Planting::Turf).to_of_one(),
    }))
}

/// Need: 0.21 x 0.94 = 0.1974 in (5.014 mm) a day, 1.382 in a week.
#[test]
fn need_of_a_week() {
    let week = number(&station()["week_need_mm"]);
    assert_printed(week / 7.0, "5.014");
    assert_printed(week / MM_PER_INCH, "1.382");
}

/// Multiplier 1/(0.4 + 0.6 x 0.65) = 1.2658 (Irrigation Association 2005, from memory); 69.96 minutes a week.
#[test]
fn minutes_of_a_week() {
    let station = station();
    let applied = number(&station["week_applied_mm"]) / number(&station["week_need_mm"]);
    assert_printed(applied, "1.2658");
    assert_printed(number(&station["week_run_minutes"]), "69.96");
}

/// Loam holds 143 mm/m (Saxton & Rawls 2006, table 3): 0.858 in in 6 in, half of it 0.429 in, 2.17 days, so 2; the need
/// of two days is 0.3948 in.
#[test]
fn interval() {
    let station = station();
    assert_printed(
        number(&station["allowed_depletion_mm"]) / MM_PER_INCH,
        "0.429",
    );
    assert_eq!(station["longest_interval_days"], 2);
    let store = Store {
        holds: Depth::mm(0.143 * 6.0 * MM_PER_INCH),
        allowed: allowed_depletion(Planting::Turf),
    };
    let need = DailyNeed::mm_per_day(0.1974 * MM_PER_INCH);
    assert_eq!(longest_interval_days(store, need), Some(2));
    assert_printed(
        2.0 * number(&station["week_need_mm"]) / 7.0 / MM_PER_INCH,
        "0.3948",
    );
    // Two days' run: 19.99 minutes.
    assert_printed(2.0 * number(&station["week_run_minutes"]) / 7.0, "19.99");
}

/// Controller test protocol: 0.25 in of surface storage, intake 0.35 in/h: 13.04 minutes, soak 42.9.
#[test]
fn longest_run_and_soak_of_the_protocol() {
    let station = station();
    assert_printed(number(&station["protocol_run_minutes"]), "13.04");
    assert_printed(number(&station["protocol_soak_minutes"]), "42.9");
}

/// By hand: a quarter of 20 mm is 5 mm in a week of 35.1 mm.
#[test]
fn rain_comes_off_the_week() {
    let plants = Depth::mm(number(&station()["week_need_mm"]));
    let counted = effective(RainRule::Quarter, Depth::mm(20.0), plants).to_mm();
    assert_eq!(counted, 5.0);
    let answer = ask(&json!({
        "ask": "station", "soil": "loam", "slope_percent": 5, "precipitation_mm_per_h": 38.1,
        "et_mm_per_day": 5.334, "plant_factor": 0.94, "rain_mm_per_week": counted,
        "root_depth_mm": 152.4, "allowed_depletion": 0.5,
    }));
    assert_near(number(&answer["week_need_mm"]), plants.to_mm() - 5.0, 1e-9);
}
