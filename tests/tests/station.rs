//! From need to minutes: the chain of one station.

use drycurb_core::lines;
use drycurb_tests::{ask, assert_near, assert_printed};
use serde_json::{Value, json};

/// A lawn in July: 0.21 in/day, cool-season turf 0.94, 1.5 in/h, uniformity 0.65, loam at 5 %,
/// roots 6 in, half of the water to be used. Invented place.
fn lawn() -> Value {
    json!({
        "ask": "station", "soil": "loam", "slope_percent": 5, "precipitation_mm_per_h": 38.1,
        "low_quarter_uniformity": 0.65, "et_mm_per_day": 5.334, "plant_factor": 0.94,
        "rain_mm_per_week": 0, "root_depth_mm": 152.4, "allowed_depletion": 0.5,
    })
}

fn number(answer: &Value, name: &str) -> f64 {
    answer[name]
        .as_f64()
        .unwrap_or_else(|| panic!("{name} in {answer}"))
}

/// Source: the chain of the Irrigation Association's 2005 method (from memory) worked by hand in
/// inches: 0.1974 in/day; 1.382 in a week; 69.96 min a week; allowed depletion 0.429 in; 2 days;
/// longest run by the protocol 13.04 min, soak 42.9. Available water 0.143 (Saxton & Rawls 2006).
#[test]
fn the_chain_worked_by_hand() {
    let answer = ask(&lawn());
    let inches = |name: &str| number(&answer, name) / 25.4;
    assert_printed(inches("week_need_mm"), "1.382");
    assert_printed(number(&answer, "week_run_minutes"), "69.96");
    assert_printed(inches("allowed_depletion_mm"), "0.429");
    assert_printed(number(&answer, "protocol_run_minutes"), "13.04");
    assert_printed(number(&answer, "protocol_soak_minutes"), "42.9");
    assert_near(inches("week_applied_mm"), 1.382 * 1.2658, 0.001);
    // Every second day is four days of a week.
    assert_eq!(answer["longest_interval_days"], 2);
    assert_eq!(answer["days"], 4);
    assert_eq!(answer["assumed"], json!(["condition", "leaching_fraction"]));
}

/// The station's plan is that of `cycle` for the same need.
#[test]
fn the_plan_is_the_cycle_of_that_need() {
    let station = ask(&lawn());
    let cycle = ask(&json!({
        "ask": "cycle", "soil": "loam", "slope_percent": 5, "precipitation_mm_per_h": 38.1,
        "low_quarter_uniformity": 0.65, "week_need_mm": number(&station, "week_need_mm"),
        "days": station["days"],
    }));
    for name in [
        "longest_run_minutes",
        "soak_minutes",
        "runs_per_day",
        "run_minutes",
        "week_run_minutes",
        "expected_runoff_share",
    ] {
        assert_eq!(station[name], cycle[name], "{name}");
    }
    let planned = number(&station, "runs_per_day") * number(&station, "run_minutes") * 4.0;
    assert!(planned >= number(&station, "week_run_minutes"));
}

/// Source: Ayers & Westcot 1985, FAO 29, equation 7: AW = ET/(1 − LR).
#[test]
fn leaching_divides_what_is_applied() {
    let plain = ask(&lawn());
    let mut salty = lawn();
    salty["leaching_fraction"] = json!(0.1905);
    let salty = ask(&salty);
    assert_eq!(salty["week_need_mm"], plain["week_need_mm"]);
    let applied = number(&plain, "week_applied_mm") / (1.0 - 0.1905);
    assert_near(number(&salty, "week_applied_mm"), applied, 1e-9);
    assert_eq!(
        salty["longest_interval_days"],
        plain["longest_interval_days"]
    );
}

#[test]
fn rain_lengthens_the_interval_and_more_than_enough_stops_watering() {
    let with = |name: &str, value: Value| {
        let mut request = lawn();
        request[name] = value;
        ask(&request)
    };
    let rainy = with("rain_mm_per_week", json!(17.5));
    assert_near(
        number(&rainy, "week_need_mm"),
        7.0 * 5.334 * 0.94 - 17.5,
        1e-9,
    );
    assert_eq!(rainy["longest_interval_days"], 4);
    assert_eq!(rainy["days"], 2);
    let drenched = with("rain_mm_per_week", json!(60));
    for name in ["week_need_mm", "week_applied_mm", "week_run_minutes"] {
        assert_eq!(drenched[name], 0.0, "{name}");
    }
    for name in ["days", "runs_per_day", "run_minutes"] {
        assert_eq!(drenched[name], 0, "{name}");
    }
    assert_eq!(drenched["longest_interval_days"], Value::Null);
    // Roots that hold less than a day's use are watered daily.
    let shallow = with("root_depth_mm", json!(20));
    assert_eq!(shallow["longest_interval_days"], 1);
    assert_eq!(shallow["days"], 7);
    assert_eq!(shallow["exceeds_depletion"], true);
    // Deep roots are watered once a week at the least.
    let deep = with("root_depth_mm", json!(900));
    assert_eq!(deep["longest_interval_days"], 12);
    assert_eq!(deep["days"], 1);
    // The days that are allowed are kept to, and the plan says that the soil will run short.
    let rationed = with("days", json!(2));
    assert_eq!(rationed["days"], 2);
    assert_eq!(rationed["exceeds_depletion"], true);
}

#[test]
fn every_fault_is_named_at_once() {
    let refused = lines::answer(&json!({
        "ask": "station", "soil": "loam", "slope_percent": 5, "precipitation_mm_per_h": 38.1,
        "et_mm_per_day": 50, "plant_factor": 3, "rain_mm_per_week": -1, "root_depth_mm": 0,
        "allowed_depletion": 50, "leaching_fraction": 1, "days": 8,
    }));
    assert_eq!(refused["error"].as_array().unwrap().len(), 7, "{refused}");
}
